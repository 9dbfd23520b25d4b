package weather

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"larder/internal/fault"
	"larder/internal/units"
)

func TestMakeSeriesJoinsReports(t *testing.T) {
	const d = units.Day(20000)
	hi := func(x units.Temp, forecast bool) Day {
		return Day{Day: d, TMax: x, HasMax: true, Forecast: forecast}
	}
	for _, c := range []struct {
		name string
		in   []Day
		want Day
	}{
		{"later wins", []Day{hi(10, false), hi(12, false)}, hi(12, false)},
		{"later forecast wins", []Day{hi(10, true), hi(12, true)}, hi(12, true)},
		{"measured beats a later forecast", []Day{hi(10, false), hi(12, true)}, hi(10, false)},
		{"measured beats an earlier forecast", []Day{hi(12, true), hi(10, false)}, hi(10, false)},
		{"blank blots nothing out", []Day{hi(10, false), {Day: d, Rain: 3, HasRain: true}},
			Day{Day: d, TMax: 10, HasMax: true, Rain: 3, HasRain: true}},
		{"forecast low under a measured high", []Day{hi(10, false), {Day: d, TMin: 4, HasMin: true, Forecast: true}},
			Day{Day: d, TMax: 10, HasMax: true, TMin: 4, HasMin: true, Forecast: true}},
		{"forecast low above a measured high is dropped", []Day{hi(10, false), {Day: d, TMin: 11, HasMin: true, Forecast: true}},
			hi(10, false)},
		{"forecast high below a measured low is dropped", []Day{hi(3, true), {Day: d, TMin: 5, HasMin: true}},
			Day{Day: d, TMin: 5, HasMin: true}},
		{"later low above an earlier high", []Day{hi(3, false), {Day: d, TMin: 5, HasMin: true}},
			Day{Day: d, TMin: 5, HasMin: true}},
		{"later high below an earlier low", []Day{{Day: d, TMin: 5, HasMin: true}, hi(3, false)}, hi(3, false)},
		{"measured rain beside a forecast high", []Day{hi(10, true), {Day: d, Rain: 1, HasRain: true}},
			Day{Day: d, TMax: 10, HasMax: true, Rain: 1, HasRain: true, Forecast: true}},
		{"forecast rain beside a measured high", []Day{hi(10, false), {Day: d, Rain: 1, HasRain: true, Forecast: true}},
			Day{Day: d, TMax: 10, HasMax: true, Rain: 1, HasRain: true}},
	} {
		s := mustSeries(t, "here", c.in)
		c.want.Station = "here"
		if got, ok := s.At(d); !ok || got != c.want || s.Len() != 1 {
			t.Errorf("%s: %+v (%d days), want %+v", c.name, got, s.Len(), c.want)
		}
	}
}

func TestMakeSeriesRefuses(t *testing.T) {
	if _, err := MakeSeries("here", []Day{{Day: 20000, Station: "there", HasMax: true}}); !fault.Is(err, fault.Conflict) {
		t.Errorf("another station's day: %v", err)
	}
	if _, err := MakeSeries("here", []Day{{HasMax: true}}); !fault.Is(err, fault.Missing) {
		t.Errorf("a day without a date: %v", err)
	}
	if _, err := MakeSeries("here", []Day{{Day: 20000, TMax: 1, TMin: 2, HasMax: true, HasMin: true}}); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("a high below its low: %v", err)
	}
	if s := mustSeries(t, "here", []Day{{Day: 20000}}); s.Len() != 0 {
		t.Errorf("a blank day was kept")
	}
}

func TestSeriesProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		in := rapid.SliceOfN(rapid.Custom(drawDay), 0, 60).Draw(rt, "days")
		before := slices.Clone(in)
		s := mustSeries(t, "x", in)
		if !slices.Equal(in, before) {
			rt.Fatal("the list handed in was changed")
		}
		days := s.Days()
		for i, d := range days {
			if i > 0 && days[i-1].Day >= d.Day {
				rt.Fatalf("days out of order: %v %v", days[i-1].Day, d.Day)
			}
			if d.IsBlank() || d.HasMax && d.HasMin && d.TMax < d.TMin {
				rt.Fatalf("%+v", d)
			}
			if got, ok := s.At(d.Day); !ok || got != d {
				rt.Fatalf("At(%v) = %v", d.Day, got)
			}
			checkJoined(rt, d, in)
		}
		// Making it again, and adding its own days, changes nothing.
		again, err := s.With(days...)
		if err != nil || !slices.Equal(again.Days(), days) {
			rt.Fatalf("not the same again: %v", err)
		}
		// What was measured stays as it was, whatever forecasts come with it.
		var measured []Day
		for _, d := range in {
			if !d.Forecast {
				measured = append(measured, d)
			}
		}
		only := mustSeries(t, "x", measured)
		for _, d := range only.Days() {
			got, _ := s.At(d.Day)
			if d.HasMax && (got.TMax != d.TMax || !got.HasMax) || d.HasRain && got.Rain != d.Rain || d.HasMin && (got.TMin != d.TMin || !got.HasMin) {
				rt.Fatalf("a forecast changed what was measured on %v: %+v, %+v", d.Day, d, got)
			}
		}
		checkMeans(rt, s)
	})
}

// checkJoined: each value of a joined day was reported for that day.
func checkJoined(rt *rapid.T, d Day, in []Day) {
	maxOK, minOK, rainOK := !d.HasMax, !d.HasMin, !d.HasRain
	for _, r := range in {
		if r.Day == d.Day {
			maxOK = maxOK || r.HasMax && r.TMax == d.TMax
			minOK = minOK || r.HasMin && r.TMin == d.TMin
			rainOK = rainOK || r.HasRain && r.Rain == d.Rain
		}
	}
	if !maxOK || !minOK || !rainOK {
		rt.Fatalf("%+v holds a value nobody reported", d)
	}
}

// checkMeans holds the windows against counting day by day.
func checkMeans(rt *rapid.T, s Series) {
	a := 19995 + units.Day(rapid.IntRange(0, 50).Draw(rt, "from"))
	b := a + units.Day(rapid.IntRange(-1, 30).Draw(rt, "length"))
	var tmax, tmean, mm float64
	var nMax, nMean, nRain int
	for d := a; d <= b; d++ {
		x, ok := s.At(d)
		if ok && x.HasMax {
			tmax, nMax = tmax+x.TMax.C(), nMax+1
		}
		if ok && x.HasMax && x.HasMin {
			tmean, nMean = tmean+(x.TMax.C()+x.TMin.C())/2, nMean+1
		}
		if ok && x.HasRain {
			mm, nRain = mm+x.Rain, nRain+1
		}
	}
	m, mean := s.MeanMax(a, b), s.MeanTemp(a, b)
	if m.Of != nMax || nMax > 0 && !near(m.T.C(), tmax/float64(nMax), 1e-9) || m.Days != int(b-a)+1 {
		rt.Fatalf("MeanMax %+v, by hand %g/%d", m, tmax, nMax)
	}
	if mean.Of != nMean || nMean > 0 && !near(mean.T.C(), tmean/float64(nMean), 1e-9) {
		rt.Fatalf("MeanTemp %+v, by hand %g/%d", mean, tmean, nMean)
	}
	if got, n := s.RainSum(a, b); n != nRain || !near(got, mm, 1e-9) {
		rt.Fatalf("RainSum %g of %d, by hand %g of %d", got, n, mm, nRain)
	}
	if m.Known(0.8) != (nMax > 0 && float64(nMax) >= 0.8*float64(b-a+1)) {
		rt.Fatalf("Known of %d of %d", nMax, b-a+1)
	}
}

func TestUntilKnowsNoForecast(t *testing.T) {
	s := mustSeries(t, "x", []Day{
		{Day: 20000, TMax: 1, HasMax: true},
		{Day: 20001, TMax: 2, HasMax: true, Forecast: true},
		{Day: 20002, TMax: 3, HasMax: true},
	})
	if got := s.Until(20001).Days(); len(got) != 1 || got[0].Day != 20000 {
		t.Errorf("%+v", got)
	}
}

func TestTMean(t *testing.T) {
	if m, ok := (Day{TMax: 12, TMin: 4, HasMax: true, HasMin: true}).TMean(); !ok || m != 8 {
		t.Errorf("%v %v", m, ok)
	}
	if _, ok := (Day{TMax: 12, HasMax: true}).TMean(); ok {
		t.Error("a mean without a low")
	}
}

func TestSeason(t *testing.T) {
	for _, c := range []struct {
		d     units.Day
		south bool
		want  int
	}{
		{day(2026, 6, 30), false, 2025}, {day(2026, 7, 1), false, 2026}, {day(2027, 1, 3), false, 2026},
		{day(2026, 1, 1), true, 2026}, {day(2026, 12, 31), true, 2026},
	} {
		got := Season(c.d, c.south)
		if got != c.want {
			t.Errorf("Season(%v, %v) = %d, want %d", c.d, c.south, got, c.want)
		}
		if c.d < SeasonStart(got, c.south) || c.d >= SeasonStart(got+1, c.south) {
			t.Errorf("%v is not within its season %d", c.d, got)
		}
	}
	if !South(-33.9) || South(43) || South(0) {
		t.Error("South")
	}
	if got := sameDay(day(2028, 2, 29), -1); got != day(2027, 3, 1) {
		t.Errorf("29 February a year back: %v", got)
	}
}
