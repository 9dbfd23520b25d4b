package season

import (
	"slices"

	"larder/internal/fault"
	"larder/internal/units"
)

// Journal is the facts in memory, kept so that each new fact is folded in
// without reading the others again. It does not matter in which order facts
// arrive, nor how often: the same set of facts is the same Journal.
//
// A Journal is not safe for use by several goroutines at once.
type Journal struct {
	facts   []Fact              // in order of arrival
	byID    map[ID]int32        // where each is
	about   map[Subject][]int32 // facts about a subject, in order of truth
	against map[ID][]int32      // strikes and corrections that name a fact
	dirty   map[Subject]struct{}
	live    *State
}

// NewJournal makes an empty one.
func NewJournal() *Journal {
	return &Journal{
		byID: map[ID]int32{}, about: map[Subject][]int32{}, against: map[ID][]int32{},
		dirty: map[Subject]struct{}{},
	}
}

// Len gives how many facts there are, struck ones included.
func (j *Journal) Len() int { return len(j.facts) }

// Fact gives the fact with this id.
func (j *Journal) Fact(id ID) (Fact, bool) {
	i, ok := j.byID[id]
	if !ok {
		return Fact{}, false
	}
	return j.facts[i], true
}

// Add takes in facts. A fact that is already there is passed over; one with the
// id of another but different content is refused (fault.Conflict), as is one
// that fails [Fact.Check]; then none of the facts is taken. It gives how many
// were new.
func (j *Journal) Add(facts ...Fact) (int, error) {
	fresh := make([]Fact, 0, len(facts))
	in := make(map[ID]int, len(facts))
	for i := range facts {
		f := &facts[i]
		if err := f.Check(); err != nil {
			return 0, err
		}
		old, ok := j.Fact(f.ID)
		if k, twice := in[f.ID]; !ok && twice {
			old, ok = facts[k], true
		}
		if ok {
			if !Same(&old, f) {
				return 0, fault.Newf(fault.Conflict, f.ID.String(), "another fact has this id").
					WithHint("a correction is a new fact that replaces the old one")
			}
			continue
		}
		in[f.ID] = i
		fresh = append(fresh, *f)
	}
	for _, f := range fresh {
		j.take(f)
	}
	return len(fresh), nil
}

func (j *Journal) take(f Fact) {
	n := int32(len(j.facts))
	j.facts = append(j.facts, f)
	j.byID[f.ID] = n
	for _, s := range f.About() {
		l := j.about[s]
		at, _ := slices.BinarySearchFunc(l, n, j.order)
		j.about[s] = slices.Insert(l, at, n)
		j.dirty[s] = struct{}{}
	}
	if t := target(&f); !t.IsZero() {
		j.against[t] = append(j.against[t], n)
		j.touch(t)
	}
	// Strikes that came before this fact already stand against it; its subjects
	// are dirty by its own arrival.
}

// touch marks what a fact is about as changed, through chains of strikes.
func (j *Journal) touch(id ID) {
	seen := map[ID]bool{} // chains may be circular in hostile input
	for !id.IsZero() && !seen[id] {
		seen[id] = true
		i, ok := j.byID[id]
		if !ok {
			return
		}
		f := &j.facts[i]
		for _, s := range f.About() {
			j.dirty[s] = struct{}{}
		}
		id = target(f)
	}
}

// target gives the fact that f strikes or corrects, or none.
func target(f *Fact) ID {
	if s, ok := f.Body.(Strike); ok {
		return s.Fact
	}
	return f.Replaces
}

// order is the order of truth: seen, then id.
func (j *Journal) order(a, b int32) int {
	x, y := &j.facts[a], &j.facts[b]
	if c := x.Seen.Compare(y.Seen); c != 0 {
		return c
	}
	return x.ID.Compare(y.ID)
}

// later tells whether a was written down after b (then id): only a later fact
// can strike or correct an earlier one, so there are no circles.
func later(a, b *Fact) bool {
	if c := a.WrittenAt().Compare(b.WrittenAt()); c != 0 {
		return c > 0
	}
	return a.ID.Compare(b.ID) > 0
}

// known tells whether f had been seen and written down by asOf; the zero
// Moment knows everything.
func known(f *Fact, asOf units.Moment) bool {
	return asOf.IsZero() || asOf.Covers(f.Seen) && asOf.Covers(f.WrittenAt())
}

// InForce tells whether fact i counts, as of asOf.
func (j *Journal) inForce(i int32, asOf units.Moment) bool {
	f := &j.facts[i]
	for _, s := range j.against[f.ID] {
		g := &j.facts[s]
		if known(g, asOf) && later(g, f) && j.inForce(s, asOf) {
			return false
		}
	}
	return true
}

// InForce tells whether the fact with this id is there and counts, as of asOf
// (zero = by all that is known).
func (j *Journal) InForce(id ID, asOf units.Moment) bool {
	i, ok := j.byID[id]
	return ok && known(&j.facts[i], asOf) && j.inForce(i, asOf)
}

// Facts gives all facts known as of asOf in order of truth, struck ones
// included (zero = all).
func (j *Journal) Facts(asOf units.Moment) []Fact {
	idx := make([]int32, 0, len(j.facts))
	for i := range j.facts {
		if known(&j.facts[i], asOf) {
			idx = append(idx, int32(i))
		}
	}
	slices.SortFunc(idx, j.order)
	out := make([]Fact, len(idx))
	for k, i := range idx {
		out[k] = j.facts[i]
	}
	return out
}

// line gives the facts about s that are in force as of asOf, in order of truth.
func (j *Journal) line(s Subject, asOf units.Moment) []*Fact {
	l := j.about[s]
	out := make([]*Fact, 0, len(l))
	for _, i := range l {
		if known(&j.facts[i], asOf) && j.inForce(i, asOf) {
			out = append(out, &j.facts[i])
		}
	}
	return out
}

// Now gives the state by all that is known, folding in only what has changed
// since the last call. The State is the Journal's own: do not change it, and
// do not keep it past the next Add.
func (j *Journal) Now() *State {
	if j.live == nil {
		j.live = newState(units.Moment{})
		for s := range j.about {
			j.dirty[s] = struct{}{}
		}
	}
	j.live.refold(j, j.dirty)
	clear(j.dirty)
	return j.live
}

// AsOf gives the state as it was believed at asOf: only what had been seen and
// written down by then, with the strikes and corrections made by then.
func (j *Journal) AsOf(asOf units.Moment) *State {
	st := newState(asOf)
	all := make(map[Subject]struct{}, len(j.about))
	for s := range j.about {
		all[s] = struct{}{}
	}
	st.refold(j, all)
	return st
}
