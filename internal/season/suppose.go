package season

import (
	"maps"
	"slices"

	"larder/internal/fault"
	"larder/internal/units"
)

// Suppose gives the state as it would stand with more facts about colonies, for
// showing what a reading would make before it is kept. st itself is not
// changed; the two share all that the facts do not touch. Facts about anything
// else than colonies, corrections and strikes are refused (fault.Internal): the
// journal alone can weigh them.
func (st *State) Suppose(facts ...Fact) (*State, error) {
	out := *st
	out.colonies = maps.Clone(st.colonies)
	lines := map[string][]*Fact{}
	for i := range facts {
		f := &facts[i]
		if err := f.Check(); err != nil {
			return nil, err
		}
		for _, s := range f.About() {
			if s.Sort != "colony" || !f.Replaces.IsZero() {
				return nil, &fault.Error{Kind: fault.Internal, Op: "season.Suppose", Thing: f.Kind(), Say: "this kind of fact cannot be supposed"}
			}
			l, begun := lines[s.Name]
			if c, ok := st.colonies[s.Name]; ok && !begun {
				l = slices.Clone(c.Events)
			}
			lines[s.Name] = append(l, f)
		}
	}
	for name, l := range lines {
		slices.SortStableFunc(l, orderOfTruth)
		out.colonies[name] = foldColony(name, l)
	}
	return &out, nil
}

// orderOfTruth orders facts by when they were so, then by id.
func orderOfTruth(a, b *Fact) int {
	if c := a.Seen.Compare(b.Seen); c != 0 {
		return c
	}
	return a.ID.Compare(b.ID)
}

// ShortOf is [State.Short] for the colonies named, in that order; names nobody
// knows are passed over.
func (st *State) ShortOf(at units.Moment, ids ...string) []Short {
	b := st.bench(at)
	out := make([]Short, 0, len(ids))
	for _, id := range ids {
		if c, ok := st.Colony(id); ok {
			out = append(out, b.short(c))
		}
	}
	return out
}
