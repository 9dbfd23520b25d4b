package feeding

import (
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
// one hive each of 8 L with a feeder of 5 L that takes 3 L a day, and a tank of
// 8 L. Filled to the brim on the first round the two would take 10 L, more than
// the tank holds; given 4 L each on two rounds, two loads do for both, and fewer
// than two there cannot be, for 16 L.
func TestLitresAreSharedByHand(t *testing.T) {
	p := tiny()
	p.Days = 5
	p.Rigs[0].Tank, p.Rigs[0].Payload = 8, 0
	p.Kitchen.Mixer, p.Kitchen.OnHand = 8, 0
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
	if len(pl.Loads) != 2 || pl.Totals.Visits != 4 || pl.Totals.Fills != 4 || len(pl.Unmet) > 0 {
		t.Errorf("two loads of both yards do: %s", dump(pl))
	}
	for _, e := range Check(p, pl) {
		t.Error(e)
	}
	for _, l := range pl.Loads {
		if l.Syrup != units.Volume(8) {
			t.Errorf("a load of %v, not a full tank", l.Syrup)
		}
	}
}
