package season_test

import (
	"math"
	"strconv"
	"testing"

	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/units"
)

// The parts of a day come to its batches and loads as the plan times them, and what
// limits it follows from what is left: where a hive's doses fill the tank to the
// brim and one load a day may go out, it is the tank; where the work of that day is
// all the time there is, it is the time.
func TestWhatLimitsADay(t *testing.T) {
	made := func(set ...string) season.Planned {
		t.Helper()
		s := newSmall(t)
		for i := 0; i < len(set); i += 2 {
			s.add(-10, season.Setting{Key: set[i], Value: set[i+1]})
		}
		p, err := s.journal(t).AsOf(at).Plan(at, 1)
		if err != nil {
			t.Fatal(err)
		}
		if len(p.Loads) == 0 {
			t.Fatal("nothing goes out")
		}
		for _, w := range p.WorkDays() {
			l := w.Limits
			work, syrup, parts, share := 0.0, 0.0, 0.0, 0.0
			for _, b := range p.Batches {
				if b.Day == w.Day {
					work += p.Problem.Kitchen.Mixing.Min()
				}
			}
			for _, x := range p.Loads {
				if x.Day == w.Day {
					work, syrup = work+x.Time.Min(), syrup+x.Syrup.L()
				}
			}
			for i, u := range l.Uses {
				parts, share = parts+u.Time.Min(), share+u.Share
				if u.Time <= 0 || i > 0 && u.Time > l.Uses[i-1].Time {
					t.Errorf("%s: %+v", w.Day, l.Uses)
				}
			}
			if math.Abs(work-l.Busy.Min()) > 0.02 || math.Abs(parts-work) > 0.02 || math.Abs(share-1) > 1e-9 || math.Abs(syrup-l.Full.L()) > 1e-9 || l.Full > l.Room+1e-6 {
				t.Errorf("%s: %v min of work and %v L in the plan, %+v", w.Day, work, syrup, l)
			}
			if l.Limit == "" || len(l.Why) == 0 {
				t.Errorf("%s: %+v", w.Day, l)
			}
		}
		return p
	}
	first := func(p season.Planned) season.DayLimit { return p.LimitsOn(p.Loads[0].Day) }
	if l := first(made("kitchen.mixing", "90 min")); l.Limit != "hives" {
		t.Errorf("with time and tank to spare: %+v", l)
	}
	// One hive lacks more than this tank holds, so each load is full.
	if l := first(made("rig.tank", "6 L", "kitchen.mixing", "0 min", "crew.loads_per_day", "1")); l.Limit != "tank" || l.Room != 6 || l.Room-l.Full > 0.5 {
		t.Errorf("a small tank, once a day: %+v", l)
	}
	// 6 L of 2:1 weigh 7.9 kg (1.32 kg/L): a truck that may carry 7 kg is the tighter.
	if l := first(made("rig.tank", "6 L", "rig.payload", "7 kg", "kitchen.mixing", "0 min", "crew.loads_per_day", "1")); l.Limit != "payload" || !(l.Room > 5.2 && l.Room < 5.4) {
		t.Errorf("a light truck, once a day: %+v", l)
	}
	// As much time as the most laden day takes, and a minute more.
	free := made("kitchen.mixing", "0 min", "rig.tank", "6 L", "crew.loads_per_day", "1")
	most := 0.0
	for _, w := range free.WorkDays() {
		most = max(most, w.Limits.Busy.Min())
	}
	tight := first(made("kitchen.mixing", "0 min", "rig.tank", "6 L", "crew.per_day", strconv.Itoa(int(math.Ceil(most))+1)+" min"))
	if tight.Limit != "time" && tight.Limit != "another" {
		t.Errorf("with %v min a day: %+v", most, tight)
	}
	if tight.Of < tight.Busy {
		t.Errorf("more work than time: %+v", tight)
	}
}

// Two crews of 100 minutes, a hive of ten minutes at each of their stops: with five
// and six minutes left neither has time for one hive more, though together they have
// eleven. A third crew that stays at home has.
func TestWhatLimitsTwoCrews(t *testing.T) {
	day := units.DayOf(2026, 9, 7)
	p := season.Planned{Problem: feeding.Problem{Start: day, Days: 1, Yards: []feeding.Yard{{ID: "a"}},
		Crew: feeding.Crew{PerDay: 100 * units.Minute}, Rigs: []feeding.Rig{{Truck: "one", Tank: 500}, {Truck: "two", Tank: 500}},
		Road: func(from, to string) (feeding.Road, bool) { return feeding.Road{Time: 1 * units.Minute}, true }}}
	for i, work := range []units.Duration{93, 92} { // and a minute there and back
		fills := make([]feeding.Fill, 9)
		for k := range fills {
			fills[k].Volume = 1
		}
		p.Loads = append(p.Loads, feeding.Load{N: i + 1, Day: day, Truck: p.Problem.Rigs[i].Truck, Syrup: 9, Time: (work + 2) * units.Minute,
			Stops: []feeding.Stop{{Yard: "a", Fills: fills, Time: work * units.Minute}}})
	}
	l := p.LimitsOn(day)
	if l.Limit != "time" || l.Crews != 2 || math.Abs(l.Free.Min()-6) > 1e-9 || math.Abs((l.Of-l.Busy).Min()-11) > 1e-9 || l.Why[0].Amounts[0] != l.Free {
		t.Errorf("two crews with five and six minutes left: %+v", l)
	}
	p.Problem.Rigs = append(p.Problem.Rigs, feeding.Rig{Truck: "three", Tank: 500})
	if l := p.LimitsOn(day); l.Limit != "hives" || l.Free != 100*units.Minute {
		t.Errorf("a third crew at home: %+v", l)
	}
	// One tank full and one not: what is left in the second is room for a hive.
	p.Problem.Rigs = p.Problem.Rigs[:2]
	p.Problem.Crew = feeding.Crew{LoadsPerDay: 2}
	p.Problem.Rigs[0].Tank, p.Problem.Rigs[1].Tank = 9, 9
	if l := p.LimitsOn(day); l.Limit != "tank" {
		t.Errorf("two full tanks, two loads a day: %+v", l)
	}
	p.Problem.Rigs[1].Tank = 10
	if l := p.LimitsOn(day); l.Limit != "hives" {
		t.Errorf("room for one hive in the second tank: %+v", l)
	}
}
