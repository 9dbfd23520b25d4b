package weather

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"larder/internal/fault"
	"larder/internal/units"
)

func TestLead(t *testing.T) {
	set := published()
	for _, c := range []struct {
		f    Feed
		want int
	}{
		{Feed{}, 14}, {Feed{Strength: 2.0 / 3}, 14}, {Feed{Strength: 0.75}, 14},
		{Feed{Invert: true, Strength: 0.719}, 14}, {Feed{Invert: true, Strength: 0.72}, 7}, {Feed{Invert: true, Strength: 0.77}, 7},
	} {
		if got := c.f.Lead(set); got != c.want {
			t.Errorf("%+v: %d days, want %d", c.f, got, c.want)
		}
	}
}

// TestStopDayFromOwnSeason: once the season's own days hold the cold day, past
// years do not matter. New York 2013: 13 November (testdata/first_cold.csv)
// less 14 days is 30 October, less 7 is 6 November.
func TestStopDayFromOwnSeason(t *testing.T) {
	set, ny := published(), cities(t)["New York"]
	st, err := StopDay(StopQuery{Season: 2013, Series: ny}, set)
	if err != nil || st.Day != day(2013, 10, 30) || st.Low != st.Day || st.High != st.Day || st.Basis != Measured || st.Lead != 14 {
		t.Errorf("%+v, %v", st, err)
	}
	st, err = StopDay(StopQuery{Season: 2013, Series: ny, Feed: Feed{Invert: true, Strength: 0.75}}, set)
	if err != nil || st.Day != day(2013, 11, 6) || st.Lead != 7 {
		t.Errorf("invert: %+v, %v", st, err)
	}
	// Alone, without any other year, it is the same.
	alone := ny.Between(day(2013, 7, 1), day(2014, 6, 30))
	if st, err = StopDay(StopQuery{Season: 2013, Series: alone}, set); err != nil || st.Day != day(2013, 10, 30) || st.Years != 0 {
		t.Errorf("alone: %+v, %v", st, err)
	}
	// When the last of its ten days is foretold, the answer is a forecast.
	var days []Day
	for _, d := range alone.Days() {
		d.Forecast = d.Day >= day(2013, 11, 13)
		days = append(days, d)
	}
	st, err = StopDay(StopQuery{Season: 2013, Series: mustSeries(t, "New York", days)}, set)
	if err != nil || st.Day != day(2013, 10, 30) || st.Basis != Forecast || !codes(st.Reasons)["forecast"] {
		t.Errorf("foretold: %+v, %v", st, err)
	}
}

// TestStopDayFromPastYears: seasons 2012–2015 turned cold on 6, 13, 15 and 30
// November in New York. Four years are few: the range must hold them all, and
// be wider than they are.
func TestStopDayFromPastYears(t *testing.T) {
	set, ny := published(), cities(t)["New York"]
	st, err := StopDay(StopQuery{Season: 2016, Series: ny}, set)
	if err != nil {
		t.Fatal(err)
	}
	c := codes(st.Reasons)
	if st.Years != 4 || st.Basis != FewerYears || !c["few-years"] || !c["rule"] || !c["years"] || !c["normal"] {
		t.Errorf("%+v", st)
	}
	if st.Low >= day(2016, 11, 6)-14 || st.High <= day(2016, 11, 30)-14 || st.Day != st.Low {
		t.Errorf("%v to %v is no wider than the four years", st.Low, st.High)
	}
	if st.Normal <= st.Low || st.Normal >= st.High {
		t.Errorf("normal %v outside %v to %v", st.Normal, st.Low, st.High)
	}
	// With four years called enough they are counted as they are.
	st, err = StopDay(StopQuery{Season: 2016, Series: ny}, mustWith(t, set, keyYears, 4))
	if err != nil || st.Basis != ManyYears || st.Low != day(2016, 10, 23) || st.High != day(2016, 11, 16) {
		t.Errorf("%+v, %v", st, err)
	}
}

// TestStopDayUsesOwnDays: on 5 November 2013, days before it cannot be the cold
// day any more, and the answer moves with the forecast.
func TestStopDayUsesOwnDays(t *testing.T) {
	set, ny := published(), cities(t)["New York"]
	ask := func(s Series) Stop {
		st, err := StopDay(StopQuery{Season: 2013, Series: s}, set)
		if err != nil {
			t.Fatal(err)
		}
		return st
	}
	var known []Day
	for _, d := range ny.Days() {
		if d.Day <= day(2013, 11, 5) || d.Day > day(2014, 6, 30) {
			known = append(known, d)
		}
	}
	before := ask(mustSeries(t, "New York", known))
	if before.Low < day(2013, 11, 6)-14 || before.Basis != FewerYears || !codes(before.Reasons)["own-days"] {
		t.Errorf("%+v", before)
	}
	foretell := func(t units.Temp) []Day {
		out := slices.Clone(known)
		for i := range units.Day(7) {
			out = append(out, Day{Day: day(2013, 11, 6) + i, TMax: t, HasMax: true, Forecast: true})
		}
		return out
	}
	cold, warm := ask(mustSeries(t, "New York", foretell(2))), ask(mustSeries(t, "New York", foretell(22)))
	if cold.Basis != Forecast || cold.Day > before.High || warm.Low <= before.Low || cold.Day >= warm.Low {
		t.Errorf("cold ahead %v, not known %v to %v, warm ahead from %v", cold.Day, before.Low, before.High, warm.Low)
	}
}

func TestStopDayProperties(t *testing.T) {
	set := published()
	rapid.Check(t, func(rt *rapid.T) {
		south := rapid.Bool().Draw(rt, "south")
		n := rapid.IntRange(1, 25).Draw(rt, "years")
		days := madeYears(rt, 2000, n, south)
		s := mustSeries(t, "x", days)
		q := StopQuery{Season: 2000 + n, South: south, Series: s, Confidence: rapid.Float64Range(0.5, 0.99).Draw(rt, "confidence")}
		st, err := StopDay(q, set)
		if err != nil {
			rt.Fatal(err)
		}
		if st.Years != n || st.Low > st.High || st.Day > st.High || Season(st.Day, south) != q.Season {
			rt.Fatalf("%+v", st)
		}
		// The share of the years that reach the day is at least the one asked for.
		a, reached := makeAutumn(q.Season, south, set), 0
		for y := 2000; y < 2000+n; y++ {
			i, what := naiveFirstCold(a, a.take(s, y-q.Season))
			if what != found {
				rt.Fatalf("%d: %v", y, what)
			}
			if a.day(i)-units.Day(st.Lead) >= st.Day {
				reached++
			}
		}
		if float64(reached) < q.Confidence*float64(n)-1e-6 {
			rt.Fatalf("%d of %d years reach %v, wanted %g", reached, n, st.Day, q.Confidence)
		}
		// More certainty never gives a later day.
		q.Confidence = rapid.Float64Range(0.5, q.Confidence).Draw(rt, "less")
		if less, err := StopDay(q, set); err != nil || less.Day < st.Day {
			rt.Fatalf("%v at %g, %v before: %v", less.Day, q.Confidence, st.Day, err)
		}
		// The order of the days does not matter.
		slices.Reverse(days)
		q.Series = mustSeries(t, "x", days)
		if again, err := StopDay(q, set); err != nil || again.Low != st.Low || again.High != st.High {
			rt.Fatalf("another order of days, another answer: %v", err)
		}
	})
}

func TestStopDayRefuses(t *testing.T) {
	set, ny := published(), cities(t)["New York"]
	for _, c := range []struct {
		name string
		q    StopQuery
		kind fault.Kind
		hint string
	}{
		{"nothing known", StopQuery{Season: 2026}, fault.Missing, "type the stop day"},
		{"a winter only", StopQuery{Season: 2026, Series: ny.Between(day(2013, 1, 1), day(2013, 6, 30))}, fault.Missing, "type the stop day"},
		{"confidence below half", StopQuery{Season: 2016, Series: ny, Confidence: 0.3}, fault.OutOfRange, "50"},
		{"certainty", StopQuery{Season: 2016, Series: ny, Confidence: 1}, fault.OutOfRange, "99 %"},
		{"never cold", StopQuery{Season: 2016, Series: shifted(t, ny, 15)}, fault.NotKnownHere, "type the stop day"},
		{"this season not cold", StopQuery{Season: 2013, Series: shifted(t, ny, 15)}, fault.NotKnownHere, "type the stop day"},
	} {
		_, err := StopDay(c.q, set)
		if !fault.Is(err, c.kind) || !strings.Contains(fault.HintOf(err), c.hint) {
			t.Errorf("%s: %v (%v), hint %q", c.name, err, fault.KindOf(err), fault.HintOf(err))
		}
	}
}

// shifted gives a series that many degrees warmer.
func shifted(t *testing.T, s Series, by units.Temp) Series {
	var out []Day
	for _, d := range s.Days() {
		d.TMax += by
		d.TMin += by
		out = append(out, d)
	}
	return mustSeries(t, s.Station(), out)
}

func TestTypedStopDayWins(t *testing.T) {
	set, ny := published(), cities(t)["New York"]
	own := day(2016, 9, 20)
	st, err := StopDay(StopQuery{Season: 2016, Series: ny, Typed: own}, set)
	if err != nil || st.Day != own || st.Basis != Typed || !codes(st.Reasons)["worked-out"] || st.Years != 4 {
		t.Errorf("%+v, %v", st, err)
	}
	st, err = StopDay(StopQuery{Season: 2016, Typed: own}, set)
	if err != nil || st.Day != own || st.Basis != Typed || codes(st.Reasons)["worked-out"] {
		t.Errorf("without weather: %+v, %v", st, err)
	}
}

func TestAdvice(t *testing.T) {
	set, st := published(), Stop{Day: day(2026, 10, 20)}
	for _, c := range []struct {
		on   units.Day
		code string
		say  string
	}{
		{day(2026, 10, 9), "", ""}, {day(2026, 10, 10), "stop-near", "10 days"}, {day(2026, 10, 19), "stop-near", "1 day from"},
		{day(2026, 10, 20), "stop-today", "last day"}, {day(2026, 10, 21), "after-stop", "fondant"},
	} {
		r, ok := st.Advice(c.on, set)
		if ok != (c.code != "") || r.Code != c.code || !strings.Contains(r.Say, c.say) {
			t.Errorf("%v: %+v %v", c.on, r, ok)
		}
	}
}

// TestStopDayLeavesBrokenYearsOut: a year with a long gap in autumn does not
// count, and it is said.
func TestStopDayLeavesBrokenYearsOut(t *testing.T) {
	set := published()
	var days []Day
	for _, d := range cities(t)["Seattle"].Days() {
		if d.Day < day(2013, 9, 1) || d.Day > day(2013, 9, 20) {
			days = append(days, d)
		}
	}
	st, err := StopDay(StopQuery{Season: 2016, Series: mustSeries(t, "Seattle", days)}, set)
	if err != nil || st.Years != 3 || !codes(st.Reasons)["left-out"] {
		t.Errorf("%+v, %v", st, err)
	}
}
