package feeding

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"larder/internal/units"
	"pgregory.net/rapid"
)

// TestFlowIsTheLeastCut: the most that can be sent is the narrowest cut (Ford and
// Fulkerson, Canadian J. of Mathematics 8 (1956), 399-404; from memory), found
// here by going through all cuts. A pipe shut is a pipe that was never there.
func TestFlowIsTheLeastCut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 7).Draw(t, "nodes")
		type edge struct {
			a, b int
			room micro
		}
		var edges []edge
		for range rapid.IntRange(0, 16).Draw(t, "pipes") {
			e := edge{rapid.IntRange(0, n-1).Draw(t, "from"), rapid.IntRange(0, n-1).Draw(t, "to"), micro(rapid.IntRange(0, 9).Draw(t, "room"))}
			if e.a != e.b {
				edges = append(edges, e)
			}
		}
		cut := func(without int) micro {
			least := most
			for set := range 1 << n {
				if set&1 == 0 || set>>1&1 == 1 {
					continue
				}
				var v micro
				for i, e := range edges {
					if i != without && set>>e.a&1 == 1 && set>>e.b&1 == 0 {
						v += e.room
					}
				}
				least = min(least, v)
			}
			return least
		}
		var f flow
		f.reset(n)
		var pipes []int
		for _, e := range edges {
			pipes = append(pipes, f.pipe(e.a, e.b, e.room))
		}
		all := f.send(0, 1, most)
		if want := cut(-1); all != want {
			t.Fatalf("%d sent, the narrowest cut lets %d through: %v", all, want, edges)
		}
		var old []micro
		for i := range pipes {
			if got, want := f.shut(pipes[i], &old), cut(i) == all; got != want {
				t.Fatalf("pipe %d can be done without: %v, it is said %v: %v", i, want, got, edges)
			} else if got {
				edges[i].room = 0
			}
		}
		in := make([]micro, n)
		for i, e := range edges {
			v := f.carries(pipes[i])
			if v < 0 || v > e.room {
				t.Fatalf("%d in a pipe of %d", v, e.room)
			}
			in[e.b] += v
			in[e.a] -= v
		}
		for i, v := range in {
			if i == 1 && v != all || i > 1 && v != 0 {
				t.Fatalf("node %d keeps %d of %d", i, v, all)
			}
		}
	})
}

// TestLitresAreSharedByHand is a season found on paper: two yards side by side,
// one hive each of 8 L with a feeder of 5 L that takes 3 L a day. With a tank of
// 8 L both cannot be filled to the brim on the first round: less is given then,
// and two loads do for both, full ones, and fewer there cannot be, for 16 L.
// With a tank of 10 L they can, and what is given early is not given late.
func TestLitresAreSharedByHand(t *testing.T) {
	for _, c := range []struct {
		tank  units.Volume
		loads []float64
	}{{8, []float64{8, 8}}, {10, []float64{10, 6}}} {
		p := tiny()
		p.Days = 5
		p.Rigs[0].Tank, p.Rigs[0].Payload = c.tank, 0
		p.Kitchen.Mixer, p.Kitchen.OnHand = c.tank, 0
		p.Yards, p.Hives = p.Yards[:2], nil
		for i := range p.Yards {
			y := &p.Yards[i]
			y.Feed, y.Factor, y.Stop = every(5), full(5, 1), start+4
			p.Hives = append(p.Hives, Hive{Colony: y.ID + "1", Yard: y.ID, Need: 8, Feeder: 5, Uptake: 3, Risk: 0.5})
		}
		pl, err := Make(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range Check(p, pl) {
			t.Error(e)
		}
		var got []float64
		for _, l := range pl.Loads {
			got = append(got, math.Round(1000*l.Syrup.L())/1000)
		}
		if !slices.Equal(got, c.loads) || pl.Totals.Visits != 4 || pl.Totals.Fills != 4 || len(pl.Unmet) > 0 {
			t.Errorf("a tank of %v: loads of %v, want %v: %s", c.tank, got, c.loads, dump(pl))
		}
	}
}

// TestLitresComeEarly: litres put on the last load without need go back to the
// first as far as its tank and the feeder let them.
func TestLitresComeEarly(t *testing.T) {
	p := tiny()
	p.Days = 5
	p.Yards, p.Hives = p.Yards[:1], nil
	y := &p.Yards[0]
	y.Feed, y.Factor, y.Stop = every(5), full(5, 1), start+4
	p.Hives = append(p.Hives, Hive{Colony: "a", Yard: y.ID, Need: 8, Feeder: 5, Uptake: 3, Risk: 0.5})
	j, err := prepare(&p)
	if err != nil {
		t.Fatal(err)
	}
	j.setUp()
	b := &byLoad{job: j, best: j.empty(), lid: longest}
	if !b.ready() {
		t.Fatal("not a small season")
	}
	if !b.lay(layout{[]int{1, 1}, []int{0, 2}}) {
		t.Fatal("two loads, on the first and the third day, can go out")
	}
	// 4 L each, sent on purpose.
	caps, can := []micro{4e6, 0, 4e6, 0, 0}, []micro{most, most, most, most, most}
	if !b.pipes(caps, can) {
		t.Fatal("4 L and 4 L are 8 L")
	}
	s := b.early()
	if s == nil {
		t.Fatal("no plan")
	}
	first, second := s.days[0][0].trips[0].q, s.days[2][0].trips[0].q
	if first != 5e6 || second != 3e6 {
		t.Errorf("%d and %d, want a feeder full of 5 L first and the 3 L left", first, second)
	}
}

// TestLoadsThatCostNothing: a yard at home, with nothing to be set up and no time
// to fill the tank, could be gone to any number of times; the sets of loads gone
// through stay as many as the days allow (they once took all the memory there
// is).
func TestLoadsThatCostNothing(t *testing.T) {
	p := tiny()
	p.Days = 3
	p.Rigs[0].Tank, p.Rigs[0].Payload, p.Rigs[0].Fill = 10, 0, 0
	p.Yards, p.Hives = p.Yards[:1], nil
	y := &p.Yards[0]
	y.Feed, y.Factor, y.Stop, y.Setup = every(3), full(3, 1), start+2, 0
	p.Road = plane(map[string]spot{"": {0, 0}, y.ID: {0, 0}})
	for i := range 20 {
		p.Hives = append(p.Hives, Hive{Colony: fmt.Sprint(i), Yard: y.ID, Stand: i, Need: 3, Feeder: 5, Uptake: 3, Risk: 0.5})
	}
	j, err := prepare(&p)
	if err != nil {
		t.Fatal(err)
	}
	j.setUp()
	b := &byLoad{job: j, best: j.empty(), lid: longest}
	if !b.ready() {
		t.Fatal("not a small season")
	}
	if b.rounds[1].time != 0 {
		t.Fatalf("a load takes %d, this is about loads that take nothing", b.rounds[1].time)
	}
	b.ranks, b.cheap = []int{1}, []tick{0}
	var found []setOfLoads
	b.gather(0, nil, []int{1}, b.base, b.base-1, b.base, &found)
	if len(found) == 0 {
		t.Fatal("no set of loads")
	}
	for _, f := range found {
		if n := len(f.loads); n < 6 || n > byLoadLoads {
			t.Errorf("%d loads, want from 60 L in tanks of 10 L to %d", n, byLoadLoads)
		}
	}
	pl := mustMake(t, p)
	if len(pl.Loads) == 0 {
		t.Error("no load")
	}
}
