package units_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"larder/internal/fault"
	"larder/internal/units"
	"pgregory.net/rapid"
)

var (
	firstDay = units.DayOf(1900, time.January, 1)
	lastDay  = units.DayOf(2199, time.December, 31)
)

func anyDay() *rapid.Generator[units.Day] {
	return rapid.Custom(func(t *rapid.T) units.Day {
		d := units.Day(rapid.Int32Range(int32(firstDay), int32(lastDay)).Draw(t, "day"))
		if d == 0 {
			d = 1
		}
		return d
	})
}

func anyMoment() *rapid.Generator[units.Moment] {
	return rapid.Custom(func(t *rapid.T) units.Moment {
		d := anyDay().Draw(t, "day")
		if rapid.Bool().Draw(t, "day only") {
			return units.OnDay(d)
		}
		ms := rapid.SampledFrom([]int64{1, 1000, 60000}).Draw(t, "grain")
		ms *= rapid.Int64Range(0, 86400000/ms-1).Draw(t, "ms")
		off := rapid.IntRange(-14*60, 14*60).Draw(t, "offset")
		at := d.Time().Add(time.Duration(ms)*time.Millisecond - time.Duration(off)*time.Minute)
		if at.UnixMilli() == 0 {
			at = at.Add(time.Minute) // the instant that stands for "no moment"
		}
		return units.At(at.In(time.FixedZone("", off*60)))
	})
}

// Every usable day prints and reads back, and agrees with package time.
func TestEveryDay(t *testing.T) {
	before := ""
	for d := firstDay; d <= lastDay; d++ {
		if d == 0 {
			continue
		}
		s := d.String()
		back, err := units.ParseDay(s)
		if err != nil || back != d {
			t.Fatalf("%d is %q, reads %d, %v", d, s, back, err)
		}
		if s <= before {
			t.Fatalf("%q after %q", s, before)
		}
		before = s
		if units.DayOf(d.Year(), d.Month(), d.DayOfMonth()) != d || d.Time().YearDay() != d.YearDay() {
			t.Fatalf("%s: %d %d %d", s, d.Year(), d.Month(), d.DayOfMonth())
		}
	}
	// 14 October 2025 was a Tuesday, day 287 of its year.
	d := units.DayOf(2025, time.October, 14)
	if d.Weekday() != time.Tuesday || d.YearDay() != 287 || d.String() != "2025-10-14" {
		t.Errorf("%v %v %v", d.Weekday(), d.YearDay(), d)
	}
}

func TestDayText(t *testing.T) {
	var d units.Day
	if b, err := d.MarshalText(); err != nil || len(b) != 0 {
		t.Errorf("no day is %q, %v", b, err)
	}
	d = 5
	if err := d.UnmarshalText(nil); err != nil || d != 0 {
		t.Errorf("no text is %v, %v", d, err)
	}
	for s, kind := range map[string]fault.Kind{
		"2025-02-30": fault.NotUnderstood, "2025-1-1": fault.NotUnderstood, "14/10/2025": fault.NotUnderstood, "20251014": fault.NotUnderstood,
		" 2025-10-14": fault.NotUnderstood, "2025-10-14x": fault.NotUnderstood, "٢٠٢٥-10-14": fault.NotUnderstood,
		"1899-12-31": fault.OutOfRange, "2200-01-01": fault.OutOfRange, "1970-01-01": fault.OutOfRange,
	} {
		d := units.Day(5)
		if err := d.UnmarshalText([]byte(s)); !fault.Is(err, kind) || fault.HintOf(err) == "" || d != 5 {
			t.Errorf("%q: %v, %v", s, d, err)
		}
	}
}

func TestMomentTextIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMoment().Draw(t, "m")
		b, err := m.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		var back units.Moment
		if err := back.UnmarshalText(b); err != nil || back != m {
			t.Fatalf("%q reads back as %q, %v", m, back, err)
		}
		// The local day is in the text, whatever the zone of the reader.
		if !strings.HasPrefix(string(b), m.Day().String()) {
			t.Fatalf("%q is of day %v", b, m.Day())
		}
		for _, zone := range []*time.Location{time.UTC, time.FixedZone("", 9*3600)} {
			if again, err := units.ParseMoment(string(b), zone); err != nil || !m.DayOnly() && again != m {
				t.Fatalf("%q read in %v is %q, %v", m, zone, again, err)
			}
		}
		if !m.DayOnly() && units.At(m.Time()) != m {
			t.Fatalf("%q is not at its own time", m)
		}
	})
}

func TestMomentOrderIsTotal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// A few instants only, so that equal ones with other offsets are common.
		base := units.DayOf(2026, time.March, 1).Time().Add(12 * time.Hour)
		near := rapid.Custom(func(t *rapid.T) units.Moment {
			if rapid.Bool().Draw(t, "day only") {
				return units.OnDay(units.DayOf(2026, time.March, rapid.IntRange(1, 2).Draw(t, "day")))
			}
			off := rapid.SampledFrom([]int{-300, 0, 60}).Draw(t, "offset")
			return units.At(base.Add(time.Duration(rapid.IntRange(-1, 1).Draw(t, "h")) * time.Hour).In(time.FixedZone("", off*60)))
		})
		pick := rapid.OneOf(near, anyMoment())
		a, b, c := pick.Draw(t, "a"), pick.Draw(t, "b"), pick.Draw(t, "c")
		if a.Compare(b) != -b.Compare(a) || a.Compare(a) != 0 || (a.Compare(b) == 0) != (a == b) {
			t.Fatalf("%q %q: %d, %d", a, b, a.Compare(b), b.Compare(a))
		}
		if a.Compare(b) <= 0 && b.Compare(c) <= 0 && a.Compare(c) > 0 {
			t.Fatalf("%q ≤ %q ≤ %q, but not the first and last", a, b, c)
		}
		if a.UnixMilli() < b.UnixMilli() && a.Compare(b) >= 0 {
			t.Fatalf("%q is before %q but not in order", a, b)
		}
		s := []units.Moment{a, b, c}
		slices.SortFunc(s, units.Moment.Compare)
		r := []units.Moment{c, a, b}
		slices.SortFunc(r, units.Moment.Compare)
		if !slices.Equal(s, r) {
			t.Fatalf("the order depends on the order: %v, %v", s, r)
		}
	})
}

func TestCovers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyMoment().Draw(t, "a"), anyMoment().Draw(t, "b")
		if !a.Covers(a) {
			t.Fatalf("%q does not cover itself", a)
		}
		if !a.Covers(b) && !b.Covers(a) {
			t.Fatalf("neither %q nor %q covers the other", a, b)
		}
		if !units.OnDay(a.Day()).Covers(a) || !a.Covers(units.OnDay(a.Day())) {
			t.Fatalf("%q and its own day", a)
		}
		if a.Day() < b.Day() && a.DayOnly() && a.Covers(b) {
			t.Fatalf("the day %q covers the later %q", a, b)
		}
	})
	at := func(s string) units.Moment {
		m, err := units.ParseMoment(s, time.FixedZone("", -5*3600))
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	for _, tt := range []struct {
		by, seen string
		want     bool
	}{
		{"2026-10-03", "2026-10-03T23:59", true},
		{"2026-10-03", "2026-10-04T00:00", false},
		{"2026-10-03T18:00", "2026-10-03T18:01", false},
		{"2026-10-03T18:00", "2026-10-03", true},
		{"2026-10-03T18:00", "2026-10-03T23:30Z", false},
		{"2026-10-03T18:30", "2026-10-03T23:30Z", true},
	} {
		if got := at(tt.by).Covers(at(tt.seen)); got != tt.want {
			t.Errorf("by %s, seen %s: %v", tt.by, tt.seen, got)
		}
	}
}

func TestParseMoment(t *testing.T) {
	zone := time.FixedZone("", -4*3600)
	for s, want := range map[string]string{
		"2026-10-03":                    "2026-10-03",
		"2026-10-03 18:02":              "2026-10-03T18:02-04:00",
		"2026-10-03T18:02":              "2026-10-03T18:02-04:00",
		"2026-10-03T18:02:05":           "2026-10-03T18:02:05-04:00",
		"2026-10-03T18:02:05.5":         "2026-10-03T18:02:05.500-04:00",
		"2026-10-03T18:02:00.000+02:00": "2026-10-03T18:02+02:00",
		"2026-10-03T18:02Z":             "2026-10-03T18:02Z",
	} {
		if m, err := units.ParseMoment(s, zone); err != nil || m.String() != want {
			t.Errorf("%q = %q, %v; want %q", s, m, err, want)
		}
	}
	for _, s := range []string{"", "18:02", "2026-10-03T25:00", "2026-13-03T18:02", "3 Oct", "2026-10-03T18:02+2", "1899-01-01T00:00", "1970-01-01T00:00Z"} {
		if m, err := units.ParseMoment(s, time.UTC); err == nil || fault.HintOf(err) == "" {
			t.Errorf("%q = %q, %v", s, m, err)
		}
	}
	if m := units.OnDay(0); !m.IsZero() || m.String() != "" {
		t.Errorf("no day is the moment %q", m)
	}
	var m units.Moment
	if err := m.UnmarshalText(nil); err != nil || !m.IsZero() {
		t.Errorf("no text is %q, %v", m, err)
	}
}
