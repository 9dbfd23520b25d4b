package units

import (
	"time"

	"larder/internal/fault"
)

// Day is a local calendar day, counted from 1970-01-01 = 0. Days have no time
// zone: a day is the yard's own. The zero Day is 1970-01-01 and is used as
// "no day" where a field may be empty; no record of ours is that old.
type Day int32

// DayOf gives the Day of a calendar date. Out-of-range days roll over as in
// time.Date.
func DayOf(year int, month time.Month, day int) Day {
	return Day(time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// Time gives midnight UTC of d, for calendar arithmetic only.
func (d Day) Time() time.Time { return time.Unix(int64(d)*86400, 0).UTC() }

// Year gives the calendar year.
func (d Day) Year() int { return d.Time().Year() }

// Month gives the calendar month.
func (d Day) Month() time.Month { return d.Time().Month() }

// DayOfMonth gives 1…31.
func (d Day) DayOfMonth() int { return d.Time().Day() }

// YearDay gives 1…366.
func (d Day) YearDay() int { return d.Time().YearDay() }

// Weekday gives the day of the week.
func (d Day) Weekday() time.Weekday { return d.Time().Weekday() }

// String gives ISO 8601: "2026-10-03". The zero Day gives "".
func (d Day) String() string {
	if d == 0 {
		return ""
	}
	return d.Time().Format("2006-01-02")
}

// MarshalText gives String.
func (d Day) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText takes ISO 8601 or nothing.
func (d *Day) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*d = 0
		return nil
	}
	v, err := ParseDay(string(b))
	if err != nil {
		return err
	}
	*d = v
	return nil
}

// ParseDay reads an ISO 8601 date, "2026-10-03".
func ParseDay(s string) (Day, error) {
	t, err := time.Parse("2006-01-02", s)
	if err != nil {
		return 0, fault.Newf(fault.NotUnderstood, "", "%s is not a date", quoted(s)).
			WithHint("write it as year-month-day, for example 2026-10-03")
	}
	if t.Year() < 1900 || t.Year() > 2199 || t.Unix() == 0 {
		return 0, fault.Newf(fault.OutOfRange, "", "%s is not a day we can use", s).
			WithHint("years from 1900 to 2199")
	}
	return Day(t.Unix() / 86400), nil
}

// Moment is when something was seen: an instant with the local offset of the
// place, or only a day when no time was noted. Its local day never changes
// with the reader's zone. The zero Moment is "no moment".
//
// Order is by instant; a day without a time counts as its local noon.
type Moment struct {
	ms      int64 // Unix milliseconds
	off     int16 // minutes east of UTC
	dayOnly bool
}

// At gives the Moment of t in t's own zone, to the millisecond.
func At(t time.Time) Moment {
	_, off := t.Zone()
	return Moment{ms: t.UnixMilli(), off: int16(off / 60)}
}

// AtOffset gives the Moment of an instant in Unix milliseconds at an offset in
// minutes east of UTC, less than a day either way.
func AtOffset(ms int64, off int) Moment { return Moment{ms: ms, off: int16(off)} }

// OnDay gives a Moment that knows only its day (offset 0 until told). No day
// gives no moment.
func OnDay(d Day) Moment {
	if d == 0 {
		return Moment{}
	}
	return Moment{ms: int64(d)*86400000 + 12*3600000, dayOnly: true}
}

// IsZero tells whether m is "no moment".
func (m Moment) IsZero() bool { return m == Moment{} }

// DayOnly tells whether only the day is known.
func (m Moment) DayOnly() bool { return m.dayOnly }

// Day gives the local day.
func (m Moment) Day() Day {
	s := m.ms + int64(m.off)*60000
	d := s / 86400000
	if s%86400000 < 0 {
		d--
	}
	return Day(d)
}

// Time gives the instant in the local offset.
func (m Moment) Time() time.Time {
	return time.UnixMilli(m.ms).In(time.FixedZone("", int(m.off)*60))
}

// UnixMilli gives the instant in Unix milliseconds.
func (m Moment) UnixMilli() int64 { return m.ms }

// Compare orders moments by instant; equal instants by offset, then a noted
// time before a bare day, so that the order is total.
func (m Moment) Compare(o Moment) int {
	switch {
	case m.ms != o.ms:
		return cmp(m.ms < o.ms)
	case m.off != o.off:
		return cmp(m.off < o.off)
	case m.dayOnly != o.dayOnly:
		return cmp(!m.dayOnly)
	}
	return 0
}

func cmp(less bool) int {
	if less {
		return -1
	}
	return 1
}

// Covers tells whether something seen at o had been seen by m. A bare day
// covers all of that local day.
func (m Moment) Covers(o Moment) bool {
	if m.dayOnly || o.dayOnly {
		return o.Day() <= m.Day()
	}
	return o.ms <= m.ms
}

// String gives "2026-10-03" for a bare day, else RFC 3339 with the offset,
// seconds and milliseconds only when they are not zero.
func (m Moment) String() string {
	if m.IsZero() {
		return ""
	}
	if m.dayOnly {
		return m.Day().String()
	}
	t := m.Time()
	switch {
	case t.Nanosecond() != 0:
		return t.Format("2006-01-02T15:04:05.000Z07:00")
	case t.Second() != 0:
		return t.Format("2006-01-02T15:04:05Z07:00")
	}
	return t.Format("2006-01-02T15:04Z07:00")
}

// MarshalText gives String.
func (m Moment) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads what String writes; an empty text is no moment.
func (m *Moment) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*m = Moment{}
		return nil
	}
	v, err := ParseMoment(string(b), time.UTC)
	if err != nil {
		return err
	}
	*m = v
	return nil
}

// ParseMoment reads "2026-10-03", "2026-10-03 18:02", "2026-10-03T18:02[:05]"
// (in zone) or RFC 3339 with an offset. zone must not be nil.
func ParseMoment(s string, zone *time.Location) (Moment, error) {
	if len(s) == 10 {
		d, err := ParseDay(s)
		if err != nil {
			return Moment{}, err
		}
		return OnDay(d), nil
	}
	for _, f := range []string{"2006-01-02T15:04:05.999Z07:00", "2006-01-02T15:04Z07:00"} {
		if t, err := time.Parse(f, s); err == nil {
			return checked(t, s)
		}
	}
	for _, f := range []string{"2006-01-02T15:04:05.999", "2006-01-02T15:04", "2006-01-02 15:04:05.999", "2006-01-02 15:04"} {
		if t, err := time.ParseInLocation(f, s, zone); err == nil {
			return checked(t, s)
		}
	}
	return Moment{}, fault.Newf(fault.NotUnderstood, "", "%s is not a date or a time", quoted(s)).
		WithHint("write 2026-10-03 or 2026-10-03T18:02")
}

func checked(t time.Time, s string) (Moment, error) {
	if t.Year() < 1900 || t.Year() > 2199 || t.UnixMilli() == 0 {
		return Moment{}, fault.Newf(fault.OutOfRange, "", "%s is not a time we can use", quoted(s)).
			WithHint("years from 1900 to 2199")
	}
	return At(t), nil
}
