package folder

import (
	"larder/internal/season"
)

// namer gives ids to facts without one: the n-th of equal ones gets the n-th id
// of its content that no other fact carries.
type namer struct {
	taken map[season.ID]bool
	next  map[season.ID]int // by the first id of a content
}

func newNamer() *namer {
	return &namer{taken: map[season.ID]bool{}, next: map[season.ID]int{}}
}

// take tells the namer of an id that is written down.
func (x *namer) take(id season.ID) { x.taken[id] = true }

func (x *namer) derive(kind string, content []byte) season.ID {
	first := season.DerivedID(kind, content, 0)
	for n := x.next[first]; ; n++ {
		id := first
		if n > 0 {
			id = season.DerivedID(kind, content, n)
		}
		if !x.taken[id] {
			x.next[first] = n + 1
			return id
		}
	}
}

// spare tells which facts can go without a written id: those that would get
// just theirs when the rows are read back. may says which are allowed to; an id
// that another fact names stays written, so that the row can be mended later
// without cutting the tie.
func spare(facts []season.Fact, bodies [][]byte, may func(i int) bool) []bool {
	out := make([]bool, len(facts))
	groups := map[season.ID][]int{} // by the first id of their content
	var firsts []season.ID          // the groups in the order in which they come up
	x := newNamer()
	for i := range facts {
		f := &facts[i]
		if !may(i) {
			x.take(f.ID)
			continue
		}
		if v := f.ID[6] >> 4; v != 8 { // not made by DerivedID
			x.take(f.ID)
			continue
		}
		c := f.RowContent(bodies[i], nil)
		first := season.DerivedID(f.Kind(), c, 0)
		if groups[first] == nil {
			firsts = append(firsts, first)
		}
		groups[first] = append(groups[first], i)
	}
	// A group may lose members to the written ids, never win any, so it settles.
	for _, first := range firsts {
		members := groups[first]
		kind := facts[members[0]].Kind()
		c := facts[members[0]].RowContent(bodies[members[0]], nil)
		for len(members) > 0 {
			x.next[first] = 0
			given := map[season.ID]bool{}
			for range members {
				given[x.derive(kind, c)] = true
			}
			var keep []int
			for _, i := range members {
				if given[facts[i].ID] {
					keep = append(keep, i)
				} else {
					x.take(facts[i].ID)
				}
			}
			if len(keep) == len(members) {
				break
			}
			members = keep
		}
		for _, i := range members {
			out[i] = true
		}
	}
	return out
}
