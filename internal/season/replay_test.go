package season_test

import (
	"encoding/json"
	"slices"
	"testing"
	"time"

	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
)

// newReplayed is the small season (stop day 30 September in both yards, typed)
// with what past years know instead of a forecast: 22 °C and dry in September of
// 2016 to 2025, but in 2018 cold from the 8th on and in 2021 wet to the 20th.
func newReplayed(t *testing.T) *small {
	t.Helper()
	s := newSmall(t)
	s.facts = slices.DeleteFunc(s.facts, func(f season.Fact) bool {
		d, ok := f.Body.(weather.Day)
		return ok && d.Day > day(3)
	})
	n := 0
	for y := 2016; y <= 2025; y++ {
		for d := units.DayOf(y, time.July, 1); d < units.DayOf(y, time.December, 1); d++ {
			w := weather.Day{Station: "s", Day: d, TMax: 22, TMin: 4, HasMax: true, HasMin: true, HasRain: true}
			from, to := units.DayOf(y, time.September, 8), units.DayOf(y, time.September, 20)
			switch {
			case y == 2018 && d >= from, d > units.DayOf(y, time.October, 20):
				w.TMax = 5
			case y == 2021 && d <= to:
				w.Rain = 30
			}
			n++
			s.facts = append(s.facts, season.Fact{ID: season.ID{0x01, 0x97, 6: 0x70, 8: 0x80, 13: byte(n >> 8), 14: byte(n), 15: 2}, Seen: units.OnDay(day(-20)), Body: w})
		}
	}
	return s
}

func replayed(t *testing.T, s *small) (season.Planned, season.Replayed) {
	t.Helper()
	st := s.journal(t).AsOf(at)
	p, err := st.Plan(at, 1)
	if err != nil {
		t.Fatal(err)
	}
	r, err := st.Replay(at, &p, nil)
	if err != nil {
		t.Fatal(err)
	}
	return p, r
}

func TestReplayOfTheSmallSeason(t *testing.T) {
	p, r := replayed(t, newReplayed(t))
	if !r.Known || r.Years != 10 || !r.Few || len(r.ByYear) != 10 || len(r.Yards) != 2 {
		t.Fatalf("%+v", r)
	}
	if len(p.Loads) == 0 || len(p.Unmet) > 0 {
		t.Fatalf("the test needs a plan that serves all it can: %+v", p.Unmet)
	}
	// Ordinary years are driven as planned: the last fill falls on the last load.
	last := p.Loads[len(p.Loads)-1].Day
	for _, y := range r.ByYear {
		switch y.Season {
		case 2018:
			if y.Colonies == 0 || y.Short <= 0 || !(y.Weighted > 0 && y.Weighted < y.Short) || y.Last >= units.DayOf(2026, time.September, 8) {
				t.Errorf("in a cold September: %+v", y)
			}
		case 2021:
			// Warm all the same, so ten days are enough for what ten litres a hive come to at most.
			if y.Last <= units.DayOf(2026, time.September, 20) {
				t.Errorf("wet to the 20th, and yet the last fill on %s", y.Last)
			}
		default:
			if y.Colonies != 0 || y.Short != 0 || y.Last != last {
				t.Errorf("an ordinary year: %+v, last load on %s", y, last)
			}
		}
	}
	if r.Fed < 8 || r.Fed > 9 || r.Kept != r.Fed || r.Always != 0 {
		t.Errorf("fed in %d of 10, as planned in %d, always short %d", r.Fed, r.Kept, r.Always)
	}
	if r.LastLow > last || r.LastHigh < last {
		t.Errorf("last fill %s to %s", r.LastLow, r.LastHigh)
	}
	for _, y := range r.Yards {
		// 2018 is the one year in ten that may fail; in 2021 nothing can begin before
		// the 21st and nothing has to: the day is the ordinary years' own.
		if !y.Known || y.Rounds < 1 || y.Late || y.Fits != 9 || y.LastStart <= p.Start || y.LastStart > day(30) {
			t.Errorf("%+v", y)
		}
	}
}

// TestReplaySure: to be sure in 19 years of 20 is, of ten years, to be sure in
// all, and 2018 cannot be.
func TestReplaySure(t *testing.T) {
	s := newReplayed(t)
	s.add(-20, season.Setting{Key: "figure.season.sure_years", Value: "0.95"})
	_, r := replayed(t, s)
	for _, y := range r.Yards {
		if y.Rounds > 1 && (!y.Late || y.LastStart != 0 || y.Fits > 9) {
			t.Errorf("%+v", y)
		}
	}
}

// TestPlanCountsOnSureDays: nine dry Septembers of ten leave each day a chance
// of 0.9 or more to the 20th, so by chances day by day all are planned on. Years
// taken whole know better: 2021 had no good day before the 21st and 2018 only
// those to the 7th.
func TestPlanCountsOnSureDays(t *testing.T) {
	p, _ := replayed(t, newReplayed(t))
	for _, y := range p.Problem.Yards {
		good := 0
		for i, ok := range y.Feed {
			if ok && p.Start+units.Day(i) <= y.Stop {
				good++
			}
		}
		// From 5 to 30 September: 3 good days in 2018, 10 in 2021, 26 else. In nine
		// years of ten there are at least 10.
		if good != 10 {
			t.Errorf("%s: %d good days are planned on, want 10", y.ID, good)
		}
	}
}

func TestReplayWithoutYears(t *testing.T) {
	s := newSmall(t)
	_, r := replayed(t, s)
	if r.Known || r.Years != 0 || len(r.Why) == 0 || r.Why[0].Code != "replay-unknown" {
		t.Errorf("%+v", r)
	}
	for _, y := range r.Yards {
		if y.Known || y.LastStart != 0 || len(y.Why) != 1 || y.Why[0].Code != "start-unknown" {
			t.Errorf("%+v", y)
		}
	}
}

func TestReplayWhateverTheOrder(t *testing.T) {
	s := newReplayed(t)
	doc := func() string {
		_, r := replayed(t, s)
		b, err := json.Marshal(r.Doc(units.Style{}))
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	first := doc()
	slices.Reverse(s.facts)
	if again := doc(); again != first {
		t.Errorf("%s\nthe other way round\n%s", first, again)
	}
}

func TestReplayStopped(t *testing.T) {
	st := newReplayed(t).journal(t).AsOf(at)
	p, err := st.Plan(at, 1)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := st.Replay(at, &p, func(season.Progress) bool { return false }); err == nil {
		t.Error("went on")
	}
}
