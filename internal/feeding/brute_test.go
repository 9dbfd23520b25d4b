package feeding

import (
	"math"
	"testing"

	"larder/internal/units"
	"pgregory.net/rapid"
)

// bruteForce goes through every choice of visits (yard by day) of a tiny
// season in which hours and mixing do not bind, fills every hive up at every
// visit, and gives the fewest visits and, apart from that, the fewest loads
// with which every need is served; false when none does. Floats and plain
// loops: nothing of the planner.
func bruteForce(p Problem) (visits, loads int, ok bool) {
	n := len(p.Yards) * p.Days
	visits, loads = math.MaxInt, math.MaxInt
	for set := range 1 << n {
		v, l, served := bruteTry(p, set)
		if served {
			visits, loads, ok = min(visits, v), min(loads, l), true
		}
	}
	return visits, loads, ok
}

func bruteTry(p Problem, set int) (visits, loads int, served bool) {
	goes := make([]float64, p.Days)
	for yi, y := range p.Yards {
		for d := range p.Days {
			if set>>(yi*p.Days+d)&1 == 1 {
				if !y.Feed[d] || p.Start+units.Day(d) > y.Stop {
					return 0, 0, false
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
					in, left, goes[d] = in+v, left-v, goes[d]+v
				}
				if p.Start+units.Day(d) <= y.Stop {
					in -= min(in, h.Uptake.L()*y.Factor[d])
				}
			}
			if left > 1e-6 || in > 1e-6 {
				return 0, 0, false
			}
		}
	}
	for _, q := range goes {
		loads += int(math.Ceil(q/p.Rig.Tank.L() - 1e-9))
	}
	return visits, loads, true
}

// tinySeason draws one to three yards, up to four days, whole litres, and a
// tank that holds what one yard takes on a day.
func tinySeason(t *rapid.T) Problem {
	p := tiny()
	p.Hives, p.Yards = nil, nil
	p.Days = rapid.IntRange(1, 4).Draw(t, "days")
	p.Crew.PerDay, p.Kitchen.Mixing = 1000*3600, 0
	p.Rig.Tank, p.Rig.Payload = units.Volume(rapid.IntRange(12, 40).Draw(t, "tank")), 0
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
// serves it, with the fewest visits there are. It never has fewer loads than
// the least, and its bounds never lie above it.
func TestFewestVisitsAndLoads(t *testing.T) {
	var cases, best int
	rapid.Check(t, func(t *rapid.T) {
		p := tinySeason(t)
		visits, loads, ok := bruteForce(p)
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
		if pl.Totals.Loads < loads || pl.Bounds.Loads > loads || pl.Bounds.Visits > visits {
			t.Errorf("fewest are %d visits, %d loads\n%s", visits, loads, dump(pl))
		}
		cases++
		if yardDays(pl) == visits && pl.Totals.Loads == loads {
			best++
		}
	})
	t.Logf("%d of %d plans have the fewest visits and the fewest loads at once", best, cases)
}
