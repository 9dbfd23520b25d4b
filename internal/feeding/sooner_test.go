package feeding

import "testing"

// A colony that can do with one fill gets it on the first visit of its yard, not on
// the last, while a slow feeder beside it is filled twice. The plan costs the same.
func TestFillsComeSooner(t *testing.T) {
	p := tiny()
	p.Days = 5
	p.Yards, p.Hives = p.Yards[:1], nil
	y := &p.Yards[0]
	y.Feed, y.Factor, y.Stop = every(5), full(5, 1), start+4
	slow := Hive{Colony: "a", Yard: y.ID, Need: 8, Feeder: 5, Uptake: 3, Risk: 0.5}
	once := Hive{Colony: "b", Yard: y.ID, Stand: 2, Need: 4, Feeder: 5, Uptake: 3, Risk: 0.5}
	p.Hives = append(p.Hives, slow, once)
	j, err := prepare(&p)
	if err != nil {
		t.Fatal(err)
	}
	j.setUp()
	// Put late on purpose: a gets 5 L and 3 L, b its 4 L on the second visit.
	s := j.empty()
	fill := func(h int, l float64) pour { return pour{h, dose{v: micro(l * 1e6), by: endsNeed}} }
	c := calls{days: []int{0, 2}, pours: [][]pour{{fill(0, 5)}, {fill(0, 3), fill(1, 4)}}}
	if !s.give(0, c) || !s.weigh() {
		t.Fatal("the plan cannot be driven")
	}
	x := s.sooner()
	if x.mark.time != s.mark.time || x.mark.dist != s.mark.dist || x.mark.loads != s.mark.loads {
		t.Errorf("it costs %+v, was %+v", x.mark, s.mark)
	}
	first, second := x.days[0][0].trips[0].q, x.days[2][0].trips[0].q
	if first != 9e6 || second != 3e6 {
		t.Errorf("%d µL go out first and %d later, want 9 L and 3 L", first, second)
	}
	if got := x.yards[0].pours[0]; len(got) != 2 || got[1].h != 1 || got[1].v != 4e6 {
		t.Errorf("on the first visit %v", got)
	}
	if x.soonerFor(0) != nil || x.soonerFor(1) != nil {
		t.Error("it is not done")
	}
}
