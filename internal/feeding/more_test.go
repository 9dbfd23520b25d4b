package feeding

import (
	"errors"
	"math"
	"testing"

	"larder/internal/fault"
	"larder/internal/units"
)

// TestWhatWouldChange: 60 hives of 6 L on one feedable day and two hours of work:
// an hour more feeds more of them, a store of syrup changes nothing.
func TestWhatWouldChange(t *testing.T) {
	p := tiny()
	p.Hives, p.Yards = nil, p.Yards[:1]
	p.Yards[0].Feed = make([]bool, 20)
	p.Yards[0].Feed[0] = true
	p.Kitchen.OnHand, p.Kitchen.Store = 500, 500
	p.Crew.PerDay = 2 * units.Hour
	for i := range 60 {
		p.Hives = append(p.Hives, Hive{Colony: string(rune('A'+i/10)) + string(rune('0'+i%10)), Yard: "hill", Stand: i, Need: 6, Feeder: 7.5, Uptake: 2, Risk: 0.5})
	}
	pl := mustMake(t, p)
	got, err := WhatWouldChange(p, pl, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	// Each hive takes 1 min at the lid and 0.6 min of pumping: an hour feeds 37
	// more, less a second filling of the tank and the way.
	seen := map[string]Change{}
	for _, c := range got {
		seen[c.Why.Code] = c
		if c.Less < -0.01 {
			t.Errorf("%s leaves more unserved: %v", c.Why.Code, c.Less)
		}
	}
	if c := seen["more-hours"]; !c.Helps || c.Less < 30 {
		t.Errorf("an hour more: %+v", c)
	}
	if c := seen["more-store"]; c.Helps || c.Less > 0.01 {
		t.Errorf("a larger store: %+v", c)
	}
	if c := seen["more-trucks"]; !c.Helps || c.Less < 60 {
		t.Errorf("a second truck: %+v", c)
	}
	if !got[0].Helps {
		t.Errorf("what helps does not come first: %+v", got)
	}
}

// TestTwoTrucks: two yards that take 6 h each on the only day; one crew of 8 h
// does one of them, two crews do both, each truck its own yard.
func TestTwoTrucks(t *testing.T) {
	p := tiny()
	for y := range p.Yards {
		p.Yards[y].Feed = make([]bool, 20)
		p.Yards[y].Feed[0] = true
		p.Yards[y].Setup = 5 * units.Hour
	}
	p.Kitchen.OnHand = 100
	if pl := mustMake(t, p); len(pl.Unmet) == 0 {
		t.Errorf("one crew cannot do both\n%s", dump(pl))
	}
	r := p.Rigs[0]
	r.Truck, r.Tank = "van", 60
	p.Rigs = append(p.Rigs, r)
	p.Kitchen.OnHand = 100
	pl := mustMake(t, p)
	by := map[string]int{}
	for _, l := range pl.Loads {
		by[l.Truck]++
	}
	// h2 needs two fills and has one day: 2.5 L of it stay unmet with any crew.
	if by["truck"] != 1 || by["van"] != 1 || math.Abs(lack(&pl).L()-2.5) > 1e-6 {
		t.Errorf("want a load for each truck\n%s", dump(pl))
	}
	p.Rigs[1].Out = []bool{false}
	if pl := mustMake(t, p); lack(&pl) < 5 {
		t.Errorf("the van stays at home\n%s", dump(pl))
	}
}

// TestHelperDay: with a helper on day 3 alone, a lid takes half the time there.
// The hill's three hives are worth going there on that day.
func TestHelperDay(t *testing.T) {
	p := tiny()
	p.Rigs[0].PerHive, p.Rigs[0].Shared = 30*units.Minute, 30*units.Minute
	p.Crew.Day = []CrewDay{{}, {}, {}, {Hands: 2}}
	pl := mustMake(t, p)
	// On day 3 and once more for h2: 4 lids at 15 min and one at 30.
	var lids units.Duration
	for _, l := range pl.Loads {
		for _, s := range l.Stops {
			v := units.Duration(0)
			for _, f := range s.Fills {
				v += units.Duration(f.Volume.L() / float64(p.Rigs[0].Pump))
			}
			lids += s.Time - 600 - v
		}
	}
	if math.Abs(lids.Min()-90) > 0.1 {
		t.Errorf("lids take %v min, want 4·15 + 30\n%s", lids.Min(), dump(pl))
	}
	p.Crew.Day[3].Off = true
	for _, l := range mustMake(t, p).Loads {
		if l.Day == start+3 {
			t.Error("a load goes on a day nobody works")
		}
	}
}

// TestGates: the lane opens at 12 and shuts at 13, work begins at 7. The load
// leaves late enough not to wait, and an hour too short is told.
func TestGates(t *testing.T) {
	p := tiny()
	p.Crew.Begins = 7 * units.Hour
	p.Yards[1].Opens, p.Yards[1].Shuts = 12*units.Hour, 13*units.Hour
	pl := mustMake(t, p)
	if lack(&pl) > 0 {
		t.Fatalf("all can be fed\n%s", dump(pl))
	}
	for _, l := range pl.Loads {
		for _, s := range l.Stops {
			if s.Yard == "lane" && len(l.Stops) == 1 && l.Leave < 11*units.Hour {
				t.Errorf("the truck leaves at %v and waits at the gate", l.Leave)
			}
		}
	}
	p.Yards[1].Shuts = p.Yards[1].Opens + 5*units.Minute
	pl = mustMake(t, p)
	if u := unmetOf(pl, "l1"); u == nil || !hasCode(u.Why, "gate") {
		t.Errorf("want the lane unmet for its gate: %+v", u)
	}
}

// TestSyrupElsewhere: the tank holds 15 L and the yards lie 10 km out beside a
// shed with 100 L. Filling there saves time.
func TestSyrupElsewhere(t *testing.T) {
	p := tiny()
	p.Rigs[0].Tank = 15
	without := mustMake(t, p)
	p.Road = plane(map[string]spot{"": {0, 0}, "hill": {10, 0}, "lane": {10, 4}, "shed": {10, 1}})
	p.Sources = []Source{{Place: "shed", OnHand: 100, Fill: 300}}
	pl := mustMake(t, p)
	there := 0
	for _, l := range pl.Loads {
		if l.From == "shed" {
			there++
		}
	}
	if there == 0 || pl.Totals.Time >= without.Totals.Time || lack(&pl) > 0 {
		t.Errorf("%d loads filled there, %v, without %v\n%s", there, pl.Totals.Time, without.Totals.Time, dump(pl))
	}
	p.Sources[0].OnHand = 5
	mustMake(t, p)
	// What comes on the third day is not there on the first two.
	p.Sources[0].OnHand, p.Sources[0].From = 100, p.Start+2
	for _, l := range mustMake(t, p).Loads {
		if l.From == "shed" && l.Day < p.Start+2 {
			t.Errorf("load %d is filled on %s with syrup that comes on %s", l.N, l.Day, p.Start+2)
		}
	}
}

// TestNeverEmpty: h2 needs 10 L, holds 7.5 and takes 2 a day. Where its feeder
// must never be empty, the second fill comes by day 3; else it may come later.
func TestNeverEmpty(t *testing.T) {
	p := tiny()
	p.Hives[1].Never = true
	pl := mustMake(t, p)
	var days []int
	for _, l := range pl.Loads {
		for _, s := range l.Stops {
			for _, f := range s.Fills {
				if f.Colony == "h2" {
					days = append(days, int(l.Day-start))
				}
			}
		}
	}
	if len(days) < 2 || days[1]-days[0] > 3 || lack(&pl) > 0 {
		t.Errorf("h2 is filled on days %v; 7.5 L last 3 whole days at 2 a day\n%s", days, dump(pl))
	}
}

// TestOneMorePairOfHands: 12 minutes from lid to lid, all of it shared, are six
// with a second pair, and where a helper comes anyway, four with a third.
func TestOneMorePairOfHands(t *testing.T) {
	p := tiny()
	p.Rigs[0].PerHive, p.Rigs[0].Shared = 12*units.Minute, 12*units.Minute
	p.Crew.Day = []CrewDay{{}, {Hands: 2}}
	for _, m := range MoreOf(p) {
		if m.Why.Code != "more-hands" {
			continue
		}
		q, _, err := m.Make(p, mustMake(t, p), nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		if a, b := q.perHive(&q.Rigs[0], 0), q.perHive(&q.Rigs[0], 1); math.Abs(a.Min()-6) > 1e-9 || math.Abs(b.Min()-4) > 1e-9 {
			t.Errorf("%v and %v min, want 6 and 4", a.Min(), b.Min())
		}
		if p.Rigs[0].PerHive != 12*units.Minute || p.Crew.Day[1].Hands != 2 {
			t.Error("the problem asked about is changed")
		}
		return
	}
	t.Error("no more hands are offered")
}

// TestWhatWouldChangeIsProvenAndStops: every plan goes before the judge, once
// more without the plan out where it is turned down, and the work stops in the
// midst of a plan.
func TestWhatWouldChangeIsProvenAndStops(t *testing.T) {
	p := tiny()
	pl := mustMake(t, p)
	seen, no := 0, errors.New("it breaks a rule")
	if l, err := WhatWouldChange(p, pl, nil, func(*Problem, *Plan) error { seen++; return nil }); err != nil || len(l) != len(MoreOf(p)) || seen != len(l) {
		t.Errorf("%d seen of %d, %v", seen, len(l), err)
	}
	alone := 0
	turn := func(q *Problem, _ *Plan) error {
		if q.Before == nil {
			alone++
			return nil
		}
		return no
	}
	if _, err := WhatWouldChange(p, pl, nil, turn); err != nil || alone != seen {
		t.Errorf("%d made anew of %d, %v", alone, seen, err)
	}
	if l, err := WhatWouldChange(p, pl, nil, func(*Problem, *Plan) error { return no }); !errors.Is(err, no) || l != nil {
		t.Errorf("%v %v", l, err)
	}
	n, most := 0, 0
	_, err := WhatWouldChange(p, pl, func(done, _ int) bool { n++; most = max(most, done); return n < 3 }, nil)
	if !fault.Is(err, fault.Stopped) || n != 3 || most != 0 {
		t.Errorf("stopped at call %d with %d plans made: %v", n, most, err)
	}
}
