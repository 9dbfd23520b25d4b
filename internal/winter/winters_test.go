package winter

import (
	"math"
	"testing"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/units"
	"larder/internal/weather"
)

func TestPastWintersReplayWhole(t *testing.T) {
	s := synthetic(t, 2000, 2011, 9, 14, 1.2, 3)
	// This season: measured to 14 October, foretold to the 20th.
	var own []weather.Day
	for d := units.DayOf(2011, 10, 1); d <= units.DayOf(2011, 10, 20); d++ {
		own = append(own, weather.Day{Day: d, TMax: 25, TMin: 15, HasMax: true, HasMin: true, Forecast: d > units.DayOf(2011, 10, 14)})
	}
	s = must(s.With(own...))(t)
	from, until := units.DayOf(2011, 10, 10), units.DayOf(2012, 4, 30)
	w := must(PastWinters(WintersQuery{Series: s, From: from, Until: until}, figs))(t)
	if len(w.Seasons) != 11 || w.Seasons[0] != 2000 || w.Seasons[10] != 2010 {
		t.Fatalf("seasons %v", w.Seasons)
	}
	if w.Own != 11 || w.Forecast != 6 || w.Days() != int(until-from) || !w.Few {
		t.Errorf("own %d, forecast %d, days %d, few %v", w.Own, w.Forecast, w.Days(), w.Few)
	}
	for r, row := range w.Temp {
		for i, x := range row {
			d := from + units.Day(i)
			if i < 11 {
				near(t, "own day", x, 20, 1e-9)
				continue
			}
			at := d.Time()
			past, _ := s.At(units.DayOf(w.Seasons[r]-2011+at.Year(), at.Month(), at.Day()))
			mean, _ := past.TMean()
			if x != mean.C() {
				t.Fatalf("%s in %d: %g, want %g", d, w.Seasons[r], x, mean.C())
			}
		}
	}
	for _, code := range []string{"years", "own-days", "forecast", "few-years"} {
		if !hasCode(w.Reasons, code) {
			t.Errorf("%s is not said", code)
		}
	}
}

func TestPastWintersLeaveOut(t *testing.T) {
	s := synthetic(t, 1970, 2010, 9, 14, 1, 3)
	var kept []weather.Day
	for _, d := range s.Days() {
		gone := d.Day >= units.DayOf(2006, 1, 10) && d.Day <= units.DayOf(2006, 1, 14) || // five days: too long
			d.Day >= units.DayOf(2007, 1, 10) && d.Day <= units.DayOf(2007, 1, 12) // three: filled
		if !gone {
			kept = append(kept, d)
		}
	}
	s = must(weather.MakeSeries("synthetic", kept))(t)
	q := WintersQuery{Series: s, From: units.DayOf(2010, 10, 1), Until: units.DayOf(2011, 4, 30)}
	w := must(PastWinters(q, figs))(t)
	if len(w.Seasons) != 30 || w.LeftOut != 1 || w.Few {
		t.Errorf("%d winters, %d left out", len(w.Seasons), w.LeftOut)
	}
	for _, y := range w.Seasons {
		if y == 2005 {
			t.Error("the winter with a hole is not left out")
		}
		if y < 1979 {
			t.Errorf("winter %d is older than wanted", y)
		}
	}
	// A judge in the past sees nothing after him.
	q.From, q.Until = units.DayOf(1985, 10, 1), units.DayOf(1986, 4, 30)
	q.Series = s.Until(q.From - 1)
	w = must(PastWinters(q, figs))(t)
	if last := w.Seasons[len(w.Seasons)-1]; last != 1984 || w.Own != 0 {
		t.Errorf("last winter %d, own %d", last, w.Own)
	}
	// All of it measured: one row, this season's own.
	q.Series = s
	w = must(PastWinters(q, figs))(t)
	if len(w.Temp) != 1 || w.Own != w.Days() || w.Few {
		t.Errorf("%d rows, own %d of %d", len(w.Temp), w.Own, w.Days())
	}
}

func TestPastWintersRefuse(t *testing.T) {
	s := synthetic(t, 2000, 2003, 9, 14, 1, 3)
	for what, c := range map[string]struct {
		q    WintersQuery
		kind fault.Kind
	}{
		"backwards": {WintersQuery{Series: s, From: units.DayOf(2003, 3, 1), Until: units.DayOf(2003, 2, 1)}, fault.OutOfRange},
		"summer":    {WintersQuery{Series: s, From: units.DayOf(2003, 5, 1), Until: units.DayOf(2003, 7, 1)}, fault.NotKnownHere},
		"nothing":   {WintersQuery{Series: weather.Series{}, From: units.DayOf(2003, 10, 1), Until: units.DayOf(2004, 4, 1)}, fault.Missing},
		"too early": {WintersQuery{Series: s, From: units.DayOf(1998, 10, 1), Until: units.DayOf(1999, 4, 1)}, fault.Missing},
	} {
		if _, err := PastWinters(c.q, figs); !fault.Is(err, c.kind) {
			t.Errorf("%s: %v", what, err)
		}
	}
}

func TestPastWintersSouth(t *testing.T) {
	s := synthetic(t, 2000, 2012, 9, -14, 1, 3)
	w := must(PastWinters(WintersQuery{Series: s.Until(units.DayOf(2012, 3, 19)), From: units.DayOf(2012, 3, 20), Until: units.DayOf(2012, 9, 20), South: true}, figs))(t)
	// A southern season is a calendar year: 2001 is the first of which autumn is known.
	if w.Seasons[0] != 2001 || w.Seasons[len(w.Seasons)-1] != 2011 {
		t.Errorf("seasons %v", w.Seasons)
	}
	if _, err := NewEnsemble(EnsembleQuery{Place: Place{Brood: BroodMild}, Winters: w, Params: ParamsOf(figs), Figures: figs}); !fault.Is(err, fault.Conflict) {
		t.Errorf("north and south mixed: %v", err)
	}
}

// The extra spread for few winters against the sum done by hand.
func TestFewWintersWiden(t *testing.T) {
	w := Winters{Few: true, extraSD: 0.05, extraDF: 4}
	// Two winters, 9 and 11 kg: ±10 %. Pooled (4·0.0025 + 0.02)/5 = 0.006, × 1.5 = 0.009; theirs 0.01: nothing to add.
	near(t, "two unlike", w.fewSD([]float64{9, 11}), 0, 1e-12)
	// One winter: 4·0.0025/4 = 0.0025, × 2 = 0.005.
	near(t, "one", w.fewSD([]float64{10}), math.Sqrt(0.005), 1e-12)
	// Two alike: (4·0.0025)/5 = 0.002, × 1.5 = 0.003.
	near(t, "two alike", w.fewSD([]float64{10, 10}), math.Sqrt(0.003), 1e-12)
	w.Few = false
	near(t, "enough", w.fewSD([]float64{10, 10}), 0, 0)
	near(t, "no use", (&Winters{Few: true, extraSD: 1, extraDF: 4}).fewSD([]float64{0, 0}), 0, 0)
}

func TestFirstForage(t *testing.T) {
	f := must(FirstForage(ForageQuery{Season: 2026, Climate: apiary.Temperate}, figs))(t)
	if f.Day != units.DayOf(2027, 4, 30) || f.SD != 10 {
		t.Errorf("temperate: %s ± %g", f.Day, f.SD)
	}
	f = must(FirstForage(ForageQuery{Season: 2026, Climate: apiary.VeryCold}, figs))(t)
	if f.Day != units.DayOf(2027, 5, 15) {
		t.Errorf("very cold: %s", f.Day)
	}
	if h := f.Horizon(false); h <= f.Day || dayOfSeason(h, false) > lastDay {
		t.Errorf("horizon %s", h)
	}
	f = must(FirstForage(ForageQuery{Season: 2026, Typed: units.DayOf(2027, 4, 2)}, figs))(t)
	if f.Day != units.DayOf(2027, 4, 2) || f.SD != 10 {
		t.Errorf("typed: %s ± %g", f.Day, f.SD)
	}
	f = must(FirstForage(ForageQuery{Season: 2026, Typed: units.DayOf(2027, 4, 2), TypedSure: true}, figs))(t)
	if f.SD != 0 || f.Horizon(false) != f.Day+1 {
		t.Errorf("seen: ± %g, horizon %s", f.SD, f.Horizon(false))
	}
	// Three springs noted, all on 10 April, weigh as much as the figure: the middle, 20 April.
	seen := []units.Day{units.DayOf(2024, 4, 10), units.DayOf(2025, 4, 10), units.DayOf(2026, 4, 10)}
	f = must(FirstForage(ForageQuery{Season: 2026, Climate: apiary.Temperate, Seen: seen}, figs))(t)
	if d := f.Day - units.DayOf(2027, 4, 20); d < -1 || d > 1 { // a leap day among them
		t.Errorf("noted: %s", f.Day)
	}
	if _, err := FirstForage(ForageQuery{Season: 2026}, figs); !fault.Is(err, fault.Missing) {
		t.Errorf("nothing known: %v", err)
	}
}
