package season_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"larder/internal/season"
	"larder/internal/units"
)

var today = units.DayOf(2026, time.October, 20)

func TestReadDay(t *testing.T) {
	for _, c := range []struct {
		text  string
		order season.DayOrder
		want  units.Day
	}{
		{"today", 0, today},
		{"ayer", 0, today - 1},
		{"2026-10-03", 0, units.DayOf(2026, 10, 3)},
		{"2026-10-03T00:00", 0, units.DayOf(2026, 10, 3)},
		{"14 Oct", 0, units.DayOf(2026, 10, 14)},
		{"Tue 14 Oct", 0, units.DayOf(2026, 10, 14)},
		{"October 14, 2025", 0, units.DayOf(2025, 10, 14)},
		{"14th october", 0, units.DayOf(2026, 10, 14)},
		{"14-Oct-2026", 0, units.DayOf(2026, 10, 14)},
		{"14 de octubre de 2026", 0, units.DayOf(2026, 10, 14)},
		{"3 ene", 0, units.DayOf(2026, 1, 3)},
		{"1 Nov", 0, units.DayOf(2025, 11, 1)}, // not in the future
		{"29 Feb", 0, units.DayOf(2024, 2, 29)},
		{"3.10.2026", 0, units.DayOf(2026, 10, 3)},
		{"3.10.", 0, units.DayOf(2026, 10, 3)},
		{"14/10", 0, units.DayOf(2026, 10, 14)},
		{"10/14/2026", 0, units.DayOf(2026, 10, 14)},
		{"10/10/26", 0, units.DayOf(2026, 10, 10)},
		{"3/10/2026", season.DayFirst, units.DayOf(2026, 10, 3)},
		{"3/10/2026", season.MonthFirst, units.DayOf(2026, 3, 10)},
	} {
		got, err := season.ReadDay(c.text, c.order, today)
		if err != nil || got != c.want {
			t.Errorf("%q: %s %v, want %s", c.text, got, err, c.want)
		}
	}
	for _, text := range []string{"", "soon", "10/11", "3/10/2026", "31 Feb", "31.2.2026", "2026-02-31", "32/1", "14", "1-2-3-4", "14 Oct Nov 15 16", "0/5", "5/5/5", "14/10/199"} {
		if got, err := season.ReadDay(text, 0, today); err == nil {
			t.Errorf("%q read as %s", text, got)
		}
	}
}

func TestOrderOfDays(t *testing.T) {
	for _, c := range []struct {
		texts []string
		want  season.DayOrder
		ask   bool
	}{
		{[]string{"3/10/2026", "14/10/2026"}, season.DayFirst, false},
		{[]string{"9/3/2026", "9/14/2026"}, season.MonthFirst, false},
		{[]string{"9/3/2026", "9/4/2026"}, 0, true},
		{[]string{"9/14/2026", "14/9/2026", "3/4/2026"}, 0, true},
		{[]string{"2026-10-03", "3 Oct", "4/4"}, 0, false},
	} {
		if got, ask := season.OrderOfDays(c.texts); got != c.want || ask != c.ask {
			t.Errorf("%v: %v %v", c.texts, got, ask)
		}
	}
}

// What the screens print can be typed back.
func TestReadDayReadsWhatStylePrints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := today - units.Day(rapid.IntRange(0, 360).Draw(t, "back"))
		s := units.Style{Lang: rapid.SampledFrom([]string{"en", "es"}).Draw(t, "lang")}
		for _, text := range []string{d.String(), s.Date(d), s.Day(d), s.DayYear(d)} {
			if got, err := season.ReadDay(text, 0, today); err != nil || got != d {
				t.Fatalf("%q: %s %v, want %s", text, got, err, d)
			}
		}
	})
}

func FuzzReadDay(f *testing.F) {
	for _, s := range []string{"2026-10-03", "14/10", "Tue 14 Oct 2025", "3.10.", "29 Feb", "½ oct", "\xff/1", "１/２"} {
		f.Add(s, uint8(0))
	}
	f.Fuzz(func(t *testing.T, s string, o uint8) {
		d, err := season.ReadDay(s, season.DayOrder(o%3), today)
		if err == nil && (d == 0 || d.Year() < 1900 || d.Year() > 2199) {
			t.Errorf("%q read as %d", s, d)
		}
	})
}
