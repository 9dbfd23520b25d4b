package season

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/weather"
	"pgregory.net/rapid"
)

// twoSides draws two plans of a season: of the planner, with one thing more, with
// a load fewer, by habit.
func twoSides(t *rapid.T) (a, b Side) {
	p := anySeason(t)
	pl, err := feeding.Make(p)
	if err != nil {
		t.Fatal(err)
	}
	now := &Planned{Plan: pl, Problem: p}
	st := &State{}
	keys := []string{SideNow, SideHabit, SideFewer, "hours", "days", "tank", "trucks"}
	one := func(name string) Side {
		key := rapid.SampledFrom(keys).Draw(t, name)
		s, err := st.Side(now, units.OnDay(p.Start), key, 1, nil)
		if err != nil {
			if key == SideFewer && fault.Is(err, fault.Missing) { // no load, or none that sets out from home and ends there
				if _, ok := leastMissed(now); ok {
					t.Fatal(err)
				}
				t.Skip("there is no load to leave out")
			}
			t.Fatalf("%s: %v: %v", key, err, errors.Unwrap(err))
		}
		return s
	}
	return one("first"), one("second")
}

// mirror turns a comparison round.
func mirror(c Comparison) Comparison {
	c.A, c.B, c.OfA, c.OfB = c.B, c.A, c.OfB, c.OfA
	var hs []HiveDiff
	for _, h := range c.Hives {
		h.A, h.B = h.B, h.A
		hs = append(hs, h)
	}
	var ds []DayDiff
	for _, d := range c.Days {
		x := DayDiff{Day: d.Day}
		for _, y := range d.Yards {
			x.Yards = append(x.Yards, DayYard{y.Yard, y.B, y.A, y.HivesB, y.HivesA})
		}
		ds = append(ds, x)
	}
	var ms []YardDays
	for _, m := range c.Moves {
		ms = append(ms, YardDays{m.Yard, m.B, m.A})
	}
	var cs []YardDays
	for _, m := range c.Calls {
		cs = append(cs, YardDays{m.Yard, m.B, m.A})
	}
	c.Hives, c.Days, c.Moves, c.Calls = hs, ds, ms, cs
	return c
}

// plain is a comparison without the functions in it, which are never equal.
func plain(c Comparison) Comparison {
	c.A, c.B = Side{Key: c.A.Key}, Side{Key: c.B.Key}
	return c
}

// TestCompareHolds: a plan against itself differs in nothing; the first against
// the second is the second against the first, turned round; what the hives differ
// by adds up to what the sums differ by; the sums are those of the plans; and the
// order of rows changes nothing.
func TestCompareHolds(t *testing.T) {
	differed, left, short := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		a, b := twoSides(t)
		for _, s := range []*Side{&a, &b} {
			if self := Compare(s, s); !self.Same() || len(self.OnlyA())+len(self.OnlyB()) > 0 {
				t.Fatalf("%s against itself: %+v", s.Key, self.Rows())
			}
		}
		c, back := Compare(&a, &b), Compare(&b, &a)
		if x, y := plain(mirror(back)), plain(c); !reflect.DeepEqual(x, y) {
			t.Fatalf("not mirrored:\n%+v\n%+v", x, y)
		}
		for i, r := range c.Rows() {
			m := back.Rows()[i]
			if !reflect.DeepEqual(r.More, m.More) || r.More != nil && r.Down == m.Down || !reflect.DeepEqual(r.A, m.B) {
				t.Errorf("%s: %+v, turned round %+v", r.What, r, m)
			}
		}
		var given, lack, dregs float64
		for _, h := range c.Hives {
			given += (h.B.Given - h.A.Given).L()
			lack += (h.B.Short - h.A.Short).L()
			dregs += (h.B.Left - h.A.Left).L()
		}
		for _, x := range []struct {
			what       string
			hives, sum float64
		}{{"given", given, (c.OfB.Syrup - c.OfA.Syrup).L()}, {"short", lack, (c.OfB.Short - c.OfA.Short).L()}, {"left", dregs, (c.OfB.Left - c.OfA.Left).L()}} {
			if math.Abs(x.hives-x.sum) > 1e-3 {
				t.Errorf("%s: the hives differ by %v L, the sums by %v L", x.what, x.hives, x.sum)
			}
		}
		var byDay float64
		for _, d := range c.Days {
			for _, y := range d.Yards {
				byDay += (y.B - y.A).L()
			}
		}
		if math.Abs(byDay-given) > aboutLitres*float64(len(a.Plan.Problem.Yards)*a.Plan.Problem.Days+1) {
			t.Errorf("the days differ by %v L, the hives by %v L", byDay, given)
		}
		if n := len(c.OnlyB()) + len(c.ShortBoth()); n != c.OfB.Hives || math.Abs((c.OfB.Short-b.Plan.Unserved()).L()) > 0.011*float64(len(c.Hives)+1) {
			t.Errorf("%d short, %d in the sum; %v, the plan says %v", n, c.OfB.Hives, c.OfB.Short, b.Plan.Unserved())
		}
		differed += min(1, len(c.Days))
		left += min(1, int(c.OfA.Left+c.OfB.Left))
		short += min(1, len(c.OnlyA())+len(c.OnlyB()))
		shuffled := shuffle(b, rapid.Uint64().Draw(t, "order"))
		if x, y := plain(Compare(&a, &shuffled)), plain(c); !reflect.DeepEqual(x.Hives, y.Hives) || !reflect.DeepEqual(x.Days, y.Days) || !reflect.DeepEqual(x.Moves, y.Moves) || !reflect.DeepEqual(x.OfB, y.OfB) {
			t.Errorf("another order of rows gives another comparison:\n%+v\n%+v", x.OfB, y.OfB)
		}
	})
	if differed < 10 || left < 5 || short < 5 {
		t.Errorf("of the pairs drawn %d differ by day, %d leave syrup, %d differ in who is short: that proves little", differed, left, short)
	}
}

// shuffle puts the rows of a plan and its problem in another order.
func shuffle(s Side, seed uint64) Side {
	r := rand.New(rand.NewPCG(seed, 1))
	q := *s.Plan
	q.Problem.Hives = append([]feeding.Hive(nil), q.Problem.Hives...)
	q.Problem.Yards = append([]feeding.Yard(nil), q.Problem.Yards...)
	q.Colonies = append([]feeding.ColonyPlan(nil), q.Colonies...)
	q.Unmet = append([]feeding.Unmet(nil), q.Unmet...)
	r.Shuffle(len(q.Problem.Hives), func(i, k int) { q.Problem.Hives[i], q.Problem.Hives[k] = q.Problem.Hives[k], q.Problem.Hives[i] })
	r.Shuffle(len(q.Problem.Yards), func(i, k int) { q.Problem.Yards[i], q.Problem.Yards[k] = q.Problem.Yards[k], q.Problem.Yards[i] })
	r.Shuffle(len(q.Colonies), func(i, k int) { q.Colonies[i], q.Colonies[k] = q.Colonies[k], q.Colonies[i] })
	r.Shuffle(len(q.Unmet), func(i, k int) { q.Unmet[i], q.Unmet[k] = q.Unmet[k], q.Unmet[i] })
	s.Plan = &q
	return s
}

// TestCompareOnPaper is worked out by hand: a hive that needs 6 L and takes 1 L a
// day with a feeder of 4 L, one that needs 2 L; ten days. By habit both get the
// average, 4 L, on the first day.
func TestCompareOnPaper(t *testing.T) {
	p := paperSeason(6, 2)
	pl, err := feeding.Make(p)
	if err != nil || len(pl.Unmet) > 0 {
		t.Fatal(err, pl.Unmet)
	}
	now := Side{Key: SideNow, Plan: &Planned{Plan: pl, Problem: p}}
	habit, err := (&State{}).Side(now.Plan, units.OnDay(p.Start), SideHabit, 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	c := Compare(&now, &habit)
	if only := c.OnlyB(); len(only) != 1 || only[0].Colony != "a" || math.Abs(only[0].B.Short.L()-2) > 1e-9 || len(c.OnlyA()) != 0 {
		t.Errorf("a lacks 2 L by habit: %+v", only)
	}
	if c.OfA.Syrup != 8 || c.OfB.Syrup != 8 || c.OfB.Left != 0 || c.OfB.Hives != 1 || c.OfA.Hives != 0 {
		t.Errorf("%+v\n%+v", c.OfA, c.OfB)
	}
	if len(habit.Notes) != 1 || habit.Notes[0].Code != "breaks-need" || habit.Notes[0].Amounts[0] != 1 {
		t.Errorf("b is given twice its need, and that is told: %+v", habit.Notes)
	}
	// Three days only: of 4 L given on the first day 1 L is left in each.
	p = paperSeason(6, 6)
	for i := range p.Yards {
		p.Yards[i].Stop = p.Start + 2
	}
	if pl, err = feeding.Make(p); err != nil {
		t.Fatal(err)
	}
	now.Plan = &Planned{Plan: pl, Problem: p}
	if habit, err = (&State{}).Side(now.Plan, units.OnDay(p.Start), SideHabit, 1, nil); err != nil {
		t.Fatal(err)
	}
	c = Compare(&now, &habit)
	if c.OfA.Left != 0 || math.Abs(c.OfB.Left.L()-2) > 1e-9 || math.Abs(c.OfA.Short.L()-6) > 1e-9 || math.Abs(c.OfB.Short.L()-6) > 1e-9 {
		t.Errorf("%+v\n%+v", c.OfA, c.OfB)
	}
}

// paperSeason is one yard 10 km away, hives named a, b … with these needs.
func paperSeason(needs ...float64) feeding.Problem {
	d := units.DayOf(2026, 9, 7)
	p := feeding.Problem{Start: d, Days: 10, Figures: figure.NewSet(feeding.Figures(), weather.Figures()),
		Rigs:    []feeding.Rig{{Truck: "van", Tank: 100, Pump: 0.2}},
		Kitchen: feeding.Kitchen{Strength: 0.6, Density: 1290}, Crew: feeding.Crew{PerDay: 8 * units.Hour},
		Yards: []feeding.Yard{{ID: "hill", Stop: d + 9}},
		Road:  func(from, to string) (feeding.Road, bool) { return feeding.Road{Dist: 10000, Time: 600}, true },
	}
	for range p.Days {
		p.Yards[0].Feed, p.Yards[0].Factor = append(p.Yards[0].Feed, true), append(p.Yards[0].Factor, 1)
	}
	for i, n := range needs {
		p.Hives = append(p.Hives, feeding.Hive{Colony: string(rune('a' + i)), Yard: "hill", Stand: i, Need: units.Volume(n), Feeder: 4, Uptake: 1, Risk: 0.5})
	}
	return p
}

// TestSideStops: a side that is long in the making can be stopped, and one that
// cannot be had says so.
func TestSideStops(t *testing.T) {
	p := paperSeason(6, 2)
	pl, err := feeding.Make(p)
	if err != nil {
		t.Fatal(err)
	}
	now := &Planned{Plan: pl, Problem: p}
	stop := func(Progress) bool { return false }
	for _, key := range []string{"hours", SideHabit} {
		if _, err := (&State{}).Side(now, units.OnDay(p.Start), key, 1, stop); !fault.Is(err, fault.Stopped) {
			t.Errorf("%s: %v", key, err)
		}
	}
	for key, kind := range map[string]fault.Kind{"mixer": fault.NotFound, "sideways": fault.NotFound, SideOut: fault.Missing, SideCare: fault.Missing, "care=": fault.Missing} {
		if _, err := (&State{memo: newMemo()}).Side(now, units.OnDay(p.Start), key, 1, nil); !fault.Is(err, kind) {
			t.Errorf("%s: %v", key, err)
		}
	}
	names := (&State{memo: newMemo()}).SideNames(now)
	for _, n := range names {
		if n.Key == SideCare {
			continue
		}
		if _, err := (&State{memo: newMemo()}).Side(now, units.OnDay(p.Start), n.Key, 1, nil); err != nil {
			t.Errorf("%s is offered: %v", n.Key, err)
		}
	}
	if s := fmt.Sprint(names); len(names) < 7 {
		t.Error(s)
	}
}
