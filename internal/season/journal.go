package season

import (
	"maps"
	"slices"
	"sync"

	"larder/internal/fault"
	"larder/internal/units"
)

// Journal is the facts in memory, kept so that each new fact is folded in
// without reading the others again. It does not matter in which order facts
// arrive, nor how often: the same set of facts is the same Journal.
//
// A Journal is not safe for use by several goroutines at once.
type Journal struct {
	pages   [][]Fact          // in order of arrival, pageLen to a page; they never move, States point into them
	n       int32             // how many
	byID    map[ID]int32      // where each is
	about   map[Subject]*line // facts about a subject
	against map[ID][]int32    // strikes and corrections that name a fact
	named   []bool            // of each fact, whether against has it: few are
	dirty   map[Subject]struct{}
	loose   []*line // lines not in order yet
	live    *State
	room    []Subject // scratch
}

// line is the facts about one subject, in order of truth.
type line struct {
	facts []int32
	loose bool // put in order at the end of this Add
}

// pageLen facts are kept together: few enough that an empty Journal is cheap,
// enough that a large one has few pages.
const pageLen = 256

// NewJournal makes an empty one.
func NewJournal() *Journal {
	return &Journal{
		byID: map[ID]int32{}, about: map[Subject]*line{}, against: map[ID][]int32{},
		dirty: map[Subject]struct{}{},
	}
}

// Len gives how many facts there are, struck ones included.
func (j *Journal) Len() int { return int(j.n) }

func (j *Journal) at(i int32) *Fact { return &j.pages[i/pageLen][i%pageLen] }

// Fact gives the fact with this id.
func (j *Journal) Fact(id ID) (Fact, bool) {
	i, ok := j.byID[id]
	if !ok {
		return Fact{}, false
	}
	return *j.at(i), true
}

// Add takes in facts. A fact that is already there is passed over; one with the
// id of another but different content is refused (fault.Conflict), as is one
// that fails [Fact.Check]; then none of the facts is taken. It gives how many
// were new.
func (j *Journal) Add(facts ...Fact) (int, error) {
	from := j.n
	if from == 0 && len(facts) > pageLen {
		j.byID = make(map[ID]int32, len(facts))
	}
	for i := range facts {
		if err := j.put(&facts[i]); err != nil {
			j.forget(from)
			return 0, err
		}
	}
	early := len(j.against) > 0
	j.file(from)
	j.name(from, early)
	return int(j.n - from), nil
}

// JournalOf makes a Journal of facts, as Add to an empty one does, but takes the
// slice over instead of copying it: its facts must not be changed any more. For a
// whole book that is quicker and needs less room.
func JournalOf(facts []Fact) (*Journal, error) {
	j := NewJournal()
	if !j.adopt(facts) {
		j = NewJournal()
		if _, err := j.Add(facts...); err != nil { // says what is wrong
			return nil, err
		}
	}
	return j, nil
}

// adopt fills an empty Journal with many facts at once: while they are filed, they
// are checked and their ids noted. It is false, and the Journal of no use, when one
// is bad or there twice.
func (j *Journal) adopt(facts []Fact) bool {
	for from := 0; from < len(facts); from += pageLen {
		page := facts[from:min(from+pageLen, len(facts))]
		if len(page) < pageLen { // others will come after these
			page = append(make([]Fact, 0, pageLen), page...)[:pageLen]
		}
		j.pages = append(j.pages, page)
	}
	j.n = int32(len(facts))
	j.byID = make(map[ID]int32, len(facts))
	good := true
	var other sync.WaitGroup
	other.Go(func() {
		for i := range j.n {
			j.byID[j.at(i).ID] = i
		}
		good = len(j.byID) == len(facts)
		for i := 0; good && i < len(facts); i++ {
			good = facts[i].Check() == nil
		}
	})
	j.file(0) // what is no fact of ours is about nothing
	other.Wait()
	if !good {
		return false
	}
	j.name(0, false)
	return true
}

// put stores one fact, not filed yet.
func (j *Journal) put(f *Fact) error {
	if err := f.Check(); err != nil {
		return err
	}
	if i, ok := j.byID[f.ID]; ok {
		if !Same(j.at(i), f) {
			return fault.Newf(fault.Conflict, f.ID.String(), "another fact has this id").
				WithHint("a correction is a new fact that replaces the old one")
		}
		return nil
	}
	if int(j.n) == len(j.pages)*pageLen {
		j.pages = append(j.pages, make([]Fact, pageLen))
	}
	*j.at(j.n) = *f
	j.byID[f.ID] = j.n
	j.n++
	return nil
}

// forget takes back facts that were put but not filed.
func (j *Journal) forget(from int32) {
	for i := from; i < j.n; i++ {
		delete(j.byID, j.at(i).ID)
		*j.at(i) = Fact{}
	}
	j.n = from
}

// file notes the facts after from under what they are about and what they are
// against. It does not look at ids.
func (j *Journal) file(from int32) {
	for n := from; n < j.n; n++ {
		j.fileOne(n)
	}
	for _, l := range j.loose {
		slices.SortFunc(l.facts, j.order)
		l.loose = false
	}
	j.loose = j.loose[:0]
}

func (j *Journal) fileOne(n int32) {
	f := j.at(n)
	j.room = f.appendAbout(j.room[:0])
	for _, s := range j.room {
		l := j.about[s]
		if l == nil {
			l = &line{}
			j.about[s] = l
		}
		if k := len(l.facts); k > 0 && !l.loose && j.order(l.facts[k-1], n) > 0 {
			l.loose = true
			j.loose = append(j.loose, l)
		}
		l.facts = append(l.facts, n)
		j.mark(s)
	}
	if t := target(f); !t.IsZero() {
		j.against[t] = append(j.against[t], n)
	}
}

// name notes of which facts those after from are strikes or corrections, and of
// those after from which are named by others; with early some may have been
// before they came. What they are about is dirty by their own arrival then.
func (j *Journal) name(from int32, early bool) {
	j.named = append(j.named, make([]bool, j.n-from)...)
	for n := from; n < j.n; n++ {
		f := j.at(n)
		if early && len(j.against[f.ID]) > 0 {
			j.named[n] = true
		}
		t := target(f)
		if t.IsZero() {
			continue
		}
		if i, ok := j.byID[t]; ok {
			j.named[i] = true
		}
		j.touch(t)
	}
}

// mark notes that the state of s has to be worked out again. Before the first
// state there is nothing to note: all of it will be worked out.
func (j *Journal) mark(s Subject) {
	if j.live != nil {
		j.dirty[s] = struct{}{}
	}
}

// touch marks what a fact is about as changed, through chains of strikes.
func (j *Journal) touch(id ID) {
	if j.live == nil {
		return
	}
	seen := map[ID]bool{} // chains may be circular in hostile input
	for !id.IsZero() && !seen[id] {
		seen[id] = true
		i, ok := j.byID[id]
		if !ok {
			return
		}
		f := j.at(i)
		for _, s := range f.About() {
			j.mark(s)
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
	x, y := j.at(a), j.at(b)
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

// inForce tells whether fact i counts, as of asOf.
func (j *Journal) inForce(i int32, asOf units.Moment) bool {
	if !j.named[i] {
		return true
	}
	f := j.at(i)
	for _, s := range j.against[f.ID] {
		g := j.at(s)
		if g.KnownAt(asOf) && later(g, f) && j.inForce(s, asOf) {
			return false
		}
	}
	return true
}

// InForce tells whether the fact with this id is there and counts, as of asOf
// (zero = by all that is known).
func (j *Journal) InForce(id ID, asOf units.Moment) bool {
	i, ok := j.byID[id]
	return ok && j.at(i).KnownAt(asOf) && j.inForce(i, asOf)
}

// Facts gives all facts known as of asOf in order of truth, struck ones
// included (zero = all).
func (j *Journal) Facts(asOf units.Moment) []Fact {
	idx := make([]int32, 0, j.n)
	for i := range j.n {
		if j.at(i).KnownAt(asOf) {
			idx = append(idx, i)
		}
	}
	slices.SortFunc(idx, j.order)
	out := make([]Fact, len(idx))
	for k, i := range idx {
		out[k] = *j.at(i)
	}
	return out
}

// line gives the facts about s that are in force as of asOf, in order of truth.
func (j *Journal) line(s Subject, asOf units.Moment) []*Fact {
	l := j.about[s]
	if l == nil {
		return nil
	}
	out := make([]*Fact, 0, len(l.facts))
	for _, i := range l.facts {
		if f := j.at(i); f.KnownAt(asOf) && j.inForce(i, asOf) {
			out = append(out, f)
		}
	}
	return out
}

// Now gives the state by all that is known, folding in only what has changed
// since the last call. The State is the Journal's own: do not change it, and
// do not keep it past the next Add.
func (j *Journal) Now() *State {
	if j.live == nil {
		j.live = j.AsOf(units.Moment{})
		return j.live
	}
	j.live.refold(j, j.dirty)
	clear(j.dirty)
	return j.live
}

// Frozen gives the state by all that is known as one that stays: it may be kept
// and read, by several goroutines too, while the Journal goes on.
func (j *Journal) Frozen() *State {
	st := *j.Now()
	st.yards, st.colonies, st.weather, st.roads = maps.Clone(st.yards), maps.Clone(st.colonies), maps.Clone(st.weather), maps.Clone(st.roads)
	st.batches, st.purchases, st.plans = maps.Clone(st.batches), maps.Clone(st.purchases), maps.Clone(st.plans)
	st.goods, st.mixes, st.labels, st.spoons = maps.Clone(st.goods), maps.Clone(st.mixes), maps.Clone(st.labels), maps.Clone(st.spoons)
	st.chores, st.values, st.forage = maps.Clone(st.chores), maps.Clone(st.values), maps.Clone(st.forage)
	st.trucks, st.workdays, st.feedable, st.sources = maps.Clone(st.trucks), maps.Clone(st.workdays), maps.Clone(st.feedable), maps.Clone(st.sources)
	st.places, st.foretold = maps.Clone(st.places), maps.Clone(st.foretold)
	return &st
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
