package feeding

import (
	"math"
	"testing"

	"larder/internal/units"
	"pgregory.net/rapid"
)

// bruteForce goes through every choice of visits (yard by day) of a tiny
// season in which hours and mixing do not bind, fills every hive up at every
// visit, and gives, each apart from the others, the fewest visits, the fewest
// loads and the shortest road with which every need is served; false when none
// does. Floats and plain
// loops: nothing of the planner.
func bruteForce(p Problem) (visits, loads int, road float64, ok bool) {
	n := len(p.Yards) * p.Days
	visits, loads, road = math.MaxInt, math.MaxInt, math.Inf(1)
	for set := range 1 << n {
		goes, v, served := bruteTry(p, set)
		if !served {
			continue
		}
		l, km := 0, 0.0
		for d, day := range goes {
			l += int(math.Ceil(total(day)/p.Rigs[0].Tank.L() - 1e-9))
			km += bruteRoad(p, day, set, d)
		}
		visits, loads, road, ok = min(visits, v), min(loads, l), min(road, km), true
	}
	return visits, loads, road, ok
}

func total(x []float64) (s float64) {
	for _, v := range x {
		s += v
	}
	return s
}

// bruteRoad is the shortest road of one day with whole yards on a load: every
// way to put up to three yards on loads, every order.
func bruteRoad(p Problem, goes []float64, set, d int) float64 {
	var yards []int
	for y := range p.Yards {
		if set>>(y*p.Days+d)&1 == 1 {
			yards = append(yards, y)
		}
	}
	leg := func(a, b int) float64 {
		id := func(y int) string {
			if y < 0 {
				return ""
			}
			return p.Yards[y].ID
		}
		r, _ := p.Road(id(a), id(b))
		return float64(r.Dist)
	}
	best := math.Inf(1)
	var try func(left []int, at int, q, m float64)
	try = func(left []int, at int, q, m float64) {
		if len(left) == 0 {
			best = min(best, m+leg(at, -1))
			return
		}
		for i, y := range left {
			rest := append(append([]int(nil), left[:i]...), left[i+1:]...)
			if q+goes[y] <= p.Rigs[0].Tank.L()+1e-9 {
				try(rest, y, q+goes[y], m+leg(at, y))
			}
			if at >= 0 {
				try(rest, y, goes[y], m+leg(at, -1)+leg(-1, y))
			}
		}
	}
	if len(yards) == 0 {
		return 0
	}
	try(yards, -1, 0, 0)
	return best
}

// bruteTry fills up at the visits of set: litres by day and yard.
func bruteTry(p Problem, set int) (goes [][]float64, visits int, served bool) {
	goes = make([][]float64, p.Days)
	for d := range goes {
		goes[d] = make([]float64, len(p.Yards))
	}
	for yi, y := range p.Yards {
		for d := range p.Days {
			if set>>(yi*p.Days+d)&1 == 1 {
				if !y.Feed[d] || p.Start+units.Day(d) > y.Stop {
					return nil, 0, false
				}
				visits++
			}
		}
		for _, h := range p.Hives {
			if h.Yard != y.ID {
				continue
			}
			in, left := 0.0, h.Need.L()
			for d := range p.Days {
				if set>>(yi*p.Days+d)&1 == 1 {
					v := min(left, h.Feeder.L()-in)
					in, left, goes[d][yi] = in+v, left-v, goes[d][yi]+v
				}
				if p.Start+units.Day(d) <= y.Stop {
					in -= min(in, h.Uptake.L()*y.Factor[d])
				}
			}
			if left > 1e-6 || in > 1e-6 {
				return nil, 0, false
			}
		}
	}
	return goes, visits, true
}

// tinySeason draws one to three yards, up to four days, whole litres, and a
// tank that holds what one yard takes on a day.
func tinySeason(t *rapid.T) Problem {
	p := tiny()
	p.Hives, p.Yards = nil, nil
	p.Days = rapid.IntRange(1, 4).Draw(t, "days")
	p.Crew.PerDay, p.Kitchen.Mixing = 1000*3600, 0
	p.Rigs[0].Tank, p.Rigs[0].Payload = units.Volume(rapid.IntRange(12, 40).Draw(t, "tank")), 0
	at := map[string]spot{"": {0, 0}}
	for i, id := range []string{"a", "b", "c"}[:rapid.IntRange(1, 3).Draw(t, "yards")] {
		at[id] = spot{float64(5 + 3*i), float64(i * i)}
		y := Yard{ID: id, Stop: start + units.Day(p.Days-1)}
		for range p.Days {
			y.Feed = append(y.Feed, rapid.IntRange(0, 3).Draw(t, "feed") > 0)
			y.Factor = append(y.Factor, float64(rapid.IntRange(0, 2).Draw(t, "factor"))/2)
		}
		p.Yards = append(p.Yards, y)
		for k := range rapid.IntRange(1, 2).Draw(t, "hives") {
			p.Hives = append(p.Hives, Hive{Colony: id + string(rune('0'+k)), Yard: id, Stand: k, Risk: 0.5,
				Need: units.Volume(rapid.IntRange(1, 8).Draw(t, "need")), Feeder: units.Volume(rapid.IntRange(2, 6).Draw(t, "feeder")), Uptake: 4})
		}
	}
	p.Road = plane(at)
	return p
}

// yardDays counts the yards visited, day by day; a yard parted between two
// loads of a day counts once.
func yardDays(pl Plan) int {
	seen := map[string]bool{}
	for _, l := range pl.Loads {
		for _, s := range l.Stops {
			seen[s.Yard+l.Day.String()] = true
		}
	}
	return len(seen)
}

// TestFewestVisitsAndLoads: where every need can be served at all, the plan
// serves it, with the fewest visits there are. Its bounds never lie above what
// filling up needs. It may do with fewer loads than filling up, by giving less
// at first, but never with fewer than the litres fill.
func TestFewestVisitsAndLoads(t *testing.T) {
	var cases, best int
	rapid.Check(t, func(t *rapid.T) {
		p := tinySeason(t)
		visits, loads, road, ok := bruteForce(p)
		pl, err := Make(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range Check(p, pl) {
			t.Error(e)
		}
		if !ok {
			if len(pl.Unmet) == 0 {
				t.Errorf("no choice of visits serves every need, the plan claims to\n%s", dump(pl))
			}
			return
		}
		if len(pl.Unmet) > 0 {
			t.Errorf("%d visits serve every need, the plan does not\n%s", visits, dump(pl))
			return
		}
		var litres float64
		for _, l := range pl.Loads {
			litres += l.Syrup.L()
		}
		if float64(pl.Totals.Loads) < litres/p.Rigs[0].Tank.L()-1e-9 || pl.Bounds.Loads > loads || pl.Bounds.Visits > visits {
			t.Errorf("fewest are %d visits, %d loads\n%s", visits, loads, dump(pl))
		}
		// A yard may be parted between loads, which can only lengthen the road
		// on a plane: the shortest way with whole yards is above the bound.
		if float64(pl.Bounds.Dist) > road+3 {
			t.Errorf("the road is %v m at the shortest, the bound says %v", road, pl.Bounds.Dist)
		}
		cases++
		if yardDays(pl) == visits && pl.Totals.Loads <= loads {
			best++
		}
	})
	// Not a proof, a measure: the fewest visits and the fewest loads can exclude
	// each other.
	if cases >= 20 && best < cases*9/10 {
		t.Errorf("only %d of %d plans have both the fewest visits and the fewest loads", best, cases)
	}
	t.Logf("%d of %d plans have the fewest visits and the fewest loads at once", best, cases)
}
