package season

import (
	"context"
	"slices"
	"sync"

	"larder/internal/fault"
	"larder/internal/units"
)

// Memory is a Book that forgets when the program ends: for tests, for screens
// without a database, and for a first look. It keeps the promises of Book but
// durability. The zero Memory is empty and ready; it is safe for use by several
// goroutines.
type Memory struct {
	mu    sync.Mutex
	facts []Fact
	at    map[ID]int
}

// Append keeps facts until the program ends.
func (m *Memory) Append(ctx context.Context, facts ...Fact) error {
	if err := ctx.Err(); err != nil {
		return fault.Wrap(err, "append")
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	fresh := make([]Fact, 0, len(facts))
	in := make(map[ID]*Fact, len(facts))
	for i := range facts {
		f := &facts[i]
		if err := f.Check(); err != nil {
			return err
		}
		old := in[f.ID]
		if k, ok := m.at[f.ID]; ok {
			old = &m.facts[k]
		}
		switch {
		case old == nil:
			in[f.ID] = f
			fresh = append(fresh, *f)
		case !Same(old, f):
			return fault.Newf(fault.Conflict, f.ID.String(), "another fact has this id").
				WithHint("a correction is a new fact that replaces the old one")
		}
	}
	if m.at == nil {
		m.at = map[ID]int{}
	}
	for _, f := range fresh {
		m.at[f.ID] = len(m.facts)
		m.facts = append(m.facts, f)
	}
	return nil
}

// Facts gives what was known by asOf, in order of truth.
func (m *Memory) Facts(ctx context.Context, asOf units.Moment) ([]Fact, error) {
	if err := ctx.Err(); err != nil {
		return nil, fault.Wrap(err, "facts")
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	var out []Fact
	for i := range m.facts {
		if m.facts[i].KnownAt(asOf) {
			out = append(out, m.facts[i])
		}
	}
	slices.SortFunc(out, func(a, b Fact) int {
		if c := a.Seen.Compare(b.Seen); c != 0 {
			return c
		}
		return a.ID.Compare(b.ID)
	})
	return out, nil
}

// Close does nothing.
func (m *Memory) Close() error { return nil }
