package season_test

import (
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/winter"
)

// The watch ranks hives: what is not known first, then what a heft may change;
// who is surely well off comes last. A later heft narrows the fan.
func TestWatchRanksAndNarrows(t *testing.T) {
	dec := units.DayOf(2026, time.December, 20)
	at := units.OnDay(units.DayOf(2027, time.January, 5))
	st := winterHerd(t, 6, func(i int) float64 { return 1 + 2*float64(i) }) // c5 lost 11 kg
	l := st.WatchList(at, 1)
	if len(l.Rows) != 6 || len(l.Yards) != 1 || l.Starts != 0 || !l.Yards[0].Begun || !l.Yards[0].Spring {
		t.Fatalf("%d rows, %+v", len(l.Rows), l.Yards)
	}
	for i, w := range l.Rows {
		if w.Rank != i+1 || !w.Modelled || !w.Fan.Known {
			t.Fatalf("%s: %+v", w.Colony.ID, w.Fan)
		}
		if i > 0 && l.Rows[i-1].Look.Worth < w.Look.Worth {
			t.Errorf("%s is worth more than the one before", w.Colony.ID)
		}
		if w.Lack > 0 && len(w.Need.Options) == 0 {
			t.Errorf("%s lacks %v and nothing is offered", w.Colony.ID, w.Lack)
		}
	}
	one := st.WinterWatch(at, 1, "c2")
	if len(one) != 1 || one[0].Colony.ID != "c2" {
		t.Fatalf("asked for one, got %d", len(one))
	}
	more := winterHerd(t, 6, func(i int) float64 { return 1 + 2*float64(i) },
		extra(190, dec, stores.Reading{Colony: "c2", Way: stores.Full, Gross: units.In(units.Mass(44))}))
	a, b := one[0].Stores().SD, more.WinterWatch(at, 1, "c2")[0].Stores().SD
	if b > a+1e-9 {
		t.Errorf("one more heft: spread %v, was %v", b, a)
	}
	// Nothing liquid in the cold: the weather made up has highs of 5 °C.
	for _, w := range l.Rows {
		for _, o := range w.Need.Options {
			if o.Litres > 0 {
				t.Errorf("%s is offered syrup at 5 °C", w.Colony.ID)
			}
		}
	}
}

// Forage seen is a fact of the yard: it ends the watch there and moves the day
// expected in later springs; a programme runs until it is ended.
func TestSpringIsNoted(t *testing.T) {
	apr := units.DayOf(2026, time.April, 9)
	j, at := herdAt(t, 1, extra(1, apr, apiary.Chore{Yard: "y0", What: season.ForageBegan}))
	st := j.AsOf(at)
	if seen := st.ForageSeen("y0"); len(seen) != 1 || seen[0] != apr {
		t.Fatalf("%v", seen)
	}
	plain, _ := herdAt(t, 1)
	day := func(s *season.State) units.Day { return s.WatchList(at, 1).Yards[0].Forage.Day }
	if got, was := day(st), day(plain.AsOf(at)); got >= was {
		t.Errorf("noted on 9 April, expected %s, by the figure %s", got, was)
	}
	st = winterHerd(t, 1, func(int) float64 { return 2 }, extra(180, units.DayOf(2027, time.January, 2), apiary.Chore{Yard: "y0", What: season.ProgBuildUp}))
	if what, since := st.Programme("y0"); what != season.ProgBuildUp || since != units.DayOf(2027, time.January, 2) {
		t.Errorf("%q since %s", what, since)
	}
	st = winterHerd(t, 1, func(int) float64 { return 2 }, extra(180, units.DayOf(2027, time.January, 2), apiary.Chore{Yard: "y0", What: season.ProgBuildUp}),
		extra(181, units.DayOf(2027, time.January, 4), apiary.Chore{Yard: "y0", What: season.ProgrammeOff}))
	if what, _ := st.Programme("y0"); what != "" {
		t.Errorf("ended, yet %q runs", what)
	}
}

// Dead-outs are counted with their cause and against their stores at the stop day.
func TestReviewCountsTheDead(t *testing.T) {
	st := winterHerd(t, 4, func(int) float64 { return 2 },
		extra(180, units.DayOf(2027, time.January, 3), apiary.Ended{Colony: "c1", State: apiary.Dead, Cause: "starved"}),
		extra(181, units.DayOf(2027, time.January, 3), apiary.Ended{Colony: "c2", State: apiary.Dead, Cause: "mites"}))
	at := units.OnDay(units.DayOf(2027, time.January, 5))
	l := st.WatchList(at, 1)
	if y := l.Yards[0].Tally; y.Colonies != 4 || y.Alive != 2 || y.Starved != 1 || len(y.Causes) != 2 {
		t.Errorf("tally %+v", y)
	}
	r := st.Review(at)
	if r.Season != 2026 || r.All.Colonies != 4 || r.All.Dead != 2 || len(r.Colonies) != 4 {
		t.Fatalf("%+v", r.All)
	}
	dead, starved, all := r.Unknown.Dead, r.Unknown.Starved, r.Unknown.Colonies
	for _, b := range r.ByStores {
		dead, starved, all = dead+b.Dead, starved+b.Starved, all+b.Colonies
	}
	if dead != 2 || starved != 1 || all != 4 {
		t.Errorf("by stores: %d of %d dead, %d starved", dead, all, starved)
	}
	// Each was given 4 L of 2:1 (0.884 kg of sugar a litre, evidence base §3).
	if kg := r.SugarUsed.Kg(); kg < 4*4*0.88 || kg > 4*4*0.89 || r.Order != r.SugarUsed {
		t.Errorf("sugar %v, order %v", r.SugarUsed, r.Order)
	}
	if g, k := r.All.Given.L(), r.All.Taken.L(); g != 16 || k < 13 || k > 16 {
		t.Errorf("given %v, taken %v", g, k)
	}
}

// One hive, one verdict: what is told to be fed is not called well off, and what
// lasts for weeks is not told to be fed as if it were now.
func TestWatchSaysOneThingOfAHive(t *testing.T) {
	at := units.OnDay(units.DayOf(2027, time.January, 5))
	seen := map[string]int{}
	for _, lost := range []float64{0, 6, 12, 18} {
		st := winterHerd(t, 12, func(i int) float64 { return lost + 0.5*float64(i) })
		for _, w := range st.WatchList(at, 1).Rows {
			for _, r := range w.Look.Reasons {
				seen[r.Code]++
				if r.Code == "surely-short" && w.Level != winter.Alarm || r.Code == "short-later" && w.Level != winter.LookOut {
					t.Errorf("%s is %q and %q", w.Colony.ID, w.Level, r.Say)
				}
			}
			if w.Level == winter.Enough && w.Look.Known && w.Look.Feed {
				t.Errorf("%s has enough and would be fed: %+v", w.Colony.ID, w.Look)
			}
		}
	}
	if seen["short-later"] == 0 || seen["surely-short"] == 0 {
		t.Errorf("not all was tried: %v", seen)
	}
}
