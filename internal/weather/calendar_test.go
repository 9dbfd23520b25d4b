package weather

import (
	"testing"

	"pgregory.net/rapid"

	"larder/internal/fault"
	"larder/internal/units"
)

func TestCalendarOfKnownDays(t *testing.T) {
	s := mustSeries(t, "x", []Day{
		{Day: day(2026, 10, 1), TMax: 18, HasMax: true, HasRain: true},
		{Day: day(2026, 10, 2), TMax: 12, HasMax: true, HasRain: true},
		{Day: day(2026, 10, 3), TMax: 9, HasMax: true, HasRain: true, Forecast: true},
		{Day: day(2026, 10, 4), TMax: 20, HasMax: true, Rain: 30, HasRain: true, Forecast: true},
	})
	cal, err := Calendar(CalendarQuery{From: day(2026, 9, 30), Days: 6, Series: s}, published())
	if err != nil {
		t.Fatal(err)
	}
	want := []CalDay{
		{Basis: NotKnown},
		{Feed: true, Factor: 0.84, Chance: 1, Basis: Measured},
		{Feed: true, Cool: true, Factor: 0.35, Chance: 1, Basis: Measured},
		{Factor: 0.075, Basis: Forecast},
		{Factor: 1, Basis: Forecast},
		{Basis: NotKnown},
	}
	for i, w := range want {
		g := cal.Days[i]
		if g.Day != day(2026, 9, 30)+units.Day(i) || g.Feed != w.Feed || g.Cool != w.Cool || !near(g.Factor, w.Factor, 1e-12) || g.Chance != w.Chance || g.Basis != w.Basis {
			t.Errorf("%+v, want %+v", g, w)
		}
		if cal.Feed()[i] != g.Feed || cal.Factor()[i] != g.Factor {
			t.Errorf("the lists differ from the days at %d", i)
		}
	}
	c := codes(cal.Reasons)
	if !c["measured"] || !c["forecast"] || !c["not-known"] || c["years"] {
		t.Errorf("%+v", cal.Reasons)
	}
}

// slowLikely judges one date by past years, read out slowly.
func slowLikely(s Series, d units.Day) (chance, factor float64, years int) {
	set := published()
	for y := 2000; y <= 2020; y++ {
		if y == d.Year() {
			continue
		}
		mid := units.DayOf(y, d.Month(), d.DayOfMonth())
		n, good, f := 0.0, 0.0, 0.0
		for k := mid - 3; k <= mid+3; k++ {
			x, ok := s.At(k)
			if !ok || !x.HasMax {
				continue
			}
			n++
			f += Factor(x.TMax, set)
			if Round(x, set).OK {
				good++
			}
		}
		if n >= 4 {
			years, chance, factor = years+1, chance+good/n, factor+f/n
		}
	}
	return chance / float64(years), factor / float64(years), years
}

func TestCalendarFromRealYears(t *testing.T) {
	set := published()
	for name, s := range cities(t) {
		cal, err := Calendar(CalendarQuery{From: day(2018, 9, 1), Days: 122, Series: s}, set)
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range cal.Days {
			chance, factor, years := slowLikely(s, g.Day)
			if g.Years != years || !near(g.Chance, chance, 1e-9) || !near(g.Factor, factor, 1e-9) || g.Feed != (chance >= 0.8-1e-9) || g.Basis != FewerYears {
				t.Fatalf("%s %+v; slowly %g %g %d", name, g, chance, factor, years)
			}
		}
		if !codes(cal.Reasons)["few-years"] || !codes(cal.Reasons)["years"] {
			t.Errorf("%+v", cal.Reasons)
		}
		first, last := cal.Days[0], cal.Days[121]
		if !first.Feed || last.Feed || first.Factor < 0.9 || last.Factor > 0.2 {
			t.Errorf("%s: 1 September %+v, 31 December %+v", name, first, last)
		}
	}
}

func TestCalendarProperties(t *testing.T) {
	set := published()
	rapid.Check(t, func(rt *rapid.T) {
		s := mustSeries(t, "x", madeYears(rt, 2000, rapid.IntRange(1, 6).Draw(rt, "years"), false))
		q := CalendarQuery{From: day(2010, 1, 1) + units.Day(rapid.IntRange(0, 364).Draw(rt, "from")),
			Days: rapid.IntRange(1, 60).Draw(rt, "days"), Series: s, Chance: rapid.Float64Range(0.05, 1).Draw(rt, "chance")}
		cal, err := Calendar(q, set)
		if err != nil {
			rt.Fatal(err)
		}
		q.Chance = rapid.Float64Range(0.01, q.Chance).Draw(rt, "less")
		less, err := Calendar(q, set)
		if err != nil {
			rt.Fatal(err)
		}
		for i, d := range cal.Days {
			if d.Factor < 0 || d.Factor > 1 || d.Chance < 0 || d.Chance > 1+1e-12 || d.Years < 1 {
				rt.Fatalf("%+v", d)
			}
			if d.Feed && !less.Days[i].Feed {
				rt.Fatalf("%v is good at a high chance and not at a lower one", d.Day)
			}
		}
	})
}

// TestCalendarAcrossNewYear: the days about New Year are judged by days of two
// calendar years.
func TestCalendarAcrossNewYear(t *testing.T) {
	var days []Day
	for d := day(2010, 12, 29); d <= day(2011, 1, 4); d++ {
		days = append(days, Day{Day: d, TMax: 15, HasMax: true})
	}
	s := mustSeries(t, "x", days)
	cal, err := Calendar(CalendarQuery{From: day(2020, 12, 31), Days: 2, Series: s}, published())
	if err != nil || cal.Days[0].Years != 1 || cal.Days[1].Years != 1 || !cal.Days[0].Feed || !cal.Days[1].Feed {
		t.Errorf("%+v, %v", cal, err)
	}
}

func TestCalendarRefuses(t *testing.T) {
	s := cities(t)["Seattle"]
	for _, c := range []struct {
		name string
		q    CalendarQuery
		kind fault.Kind
	}{
		{"nothing known", CalendarQuery{From: 20000, Days: 10}, fault.Missing},
		{"no days", CalendarQuery{From: 20000, Series: s}, fault.OutOfRange},
		{"too many days", CalendarQuery{From: 20000, Days: 401, Series: s}, fault.OutOfRange},
		{"no chance", CalendarQuery{From: 20000, Days: 10, Series: s, Chance: -0.1}, fault.OutOfRange},
		{"more than certain", CalendarQuery{From: 20000, Days: 10, Series: s, Chance: 1.1}, fault.OutOfRange},
	} {
		if _, err := Calendar(c.q, published()); !fault.Is(err, c.kind) || fault.HintOf(err) == "" {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}
