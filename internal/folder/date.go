package folder

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"larder/internal/fault"
	"larder/internal/units"
)

// dateOrder is how a table writes days that are not year-month-day.
type dateOrder uint8

const (
	notTold    dateOrder = iota // nothing in the table says; then we ask
	dayFirst                    // 3/10/2026 is the third of October
	monthFirst                  // 3/10/2026 is the tenth of March
	bothFirst                   // the table does both; then we ask too
)

const hintDay = "write it as year-month-day, for example 2026-10-03"

// slashed takes "3/10/2026" apart. ok is false for anything else.
func slashed(s string) (a, b, y int, ok bool) {
	d, _, _ := strings.Cut(s, " ")
	p := strings.FieldsFunc(d, func(r rune) bool { return r == '/' || r == '-' })
	if len(p) != 3 || len(p[2]) != 4 || len(p[0]) > 2 || len(p[1]) > 2 {
		return 0, 0, 0, false
	}
	a, err1 := strconv.Atoi(p[0])
	b, err2 := strconv.Atoi(p[1])
	y, err3 := strconv.Atoi(p[2])
	return a, b, y, err1 == nil && err2 == nil && err3 == nil
}

// learn looks at one more day of a table for what can be only one way round.
func (o dateOrder) learn(s string) dateOrder {
	a, b, _, ok := slashed(s)
	switch {
	case !ok || a > 12 == (b > 12):
		return o
	case a > 12:
		return o | dayFirst
	}
	return o | monthFirst
}

// isoDay writes a day, as spreadsheets put it, as year-month-day.
func (o dateOrder) isoDay(s string) (string, error) {
	bad := fault.Newf(fault.NotUnderstood, "", "%q is not a date", s).WithHint(hintDay)
	if a, b, y, ok := slashed(s); ok {
		switch {
		case a == b || o == monthFirst:
			return fmt.Sprintf("%04d-%02d-%02d", y, a, b), nil
		case o == dayFirst:
			return fmt.Sprintf("%04d-%02d-%02d", y, b, a), nil
		case a > 12 || b > 12: // the table has both orders, but this one is certain
			return fmt.Sprintf("%04d-%02d-%02d", y, min(a, b), max(a, b)), nil
		}
		return "", fault.Newf(fault.NotUnderstood, "", "%q can be read in two ways: is the month %d or %d?", s, a, b).WithHint(hintDay)
	}
	p := strings.FieldsFunc(s, func(r rune) bool { return r == '.' || r == '/' || r == '-' })
	if len(p) == 3 && allDigits(p[0]) && allDigits(p[1]) && allDigits(p[2]) {
		switch {
		case len(p[0]) == 4 && len(p[1]) <= 2 && len(p[2]) <= 2:
			return pad(p[0], p[1], p[2]), nil
		case len(p[2]) == 4 && strings.Count(s, ".") == 2: // dots always mean day first
			return pad(p[2], p[1], p[0]), nil
		case len(p[2]) == 2:
			return "", bad.WithHint("write the year with four digits: 2026-10-03")
		}
		return "", bad
	}
	for _, f := range []string{"2 Jan 2006", "2-Jan-2006", "Jan 2, 2006", "2 January 2006", "January 2, 2006"} {
		if t, err := time.Parse(f, s); err == nil {
			return t.Format("2006-01-02"), nil
		}
	}
	return "", bad
}

func allDigits(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }

func pad(y, m, d string) string {
	if len(m) < 2 {
		m = "0" + m
	}
	if len(d) < 2 {
		d = "0" + d
	}
	return y + "-" + m + "-" + d
}

// isISO tells whether s begins with year-month-day in full.
func isISO(s string) bool {
	return len(s) >= 10 && s[4] == '-' && s[7] == '-' && allDigits(s[:4]) && allDigits(s[5:7]) && allDigits(s[8:10])
}

// iso writes a day or a day with a time as ISO 8601 has it.
func (c *cell) iso() (string, error) {
	s := c.text
	if isISO(s) {
		if len(s) == 10 || s[10] == 'T' && len(s) > 13 && s[13] == ':' && (endsInDigit(s) || s[len(s)-1] == 'Z') {
			return s, nil
		}
		return clock(s[:10], s[11:], s)
	}
	if c.m.book {
		if t, ok := serial(s, c.m.y1904); ok {
			return t, nil
		}
	}
	d, rest := s, ""
	if i := timeAt(s); i >= 0 {
		d, rest = strings.TrimRight(s[:i], " T"), s[i:]
	}
	d, err := c.m.order.isoDay(d)
	if err != nil || rest == "" {
		return d, err
	}
	return clock(d, rest, s)
}

// timeAt tells where the time begins in a text with a day and a time: at the
// digits before the first colon.
func timeAt(s string) int {
	i := strings.IndexByte(s, ':')
	for i > 0 && s[i-1] >= '0' && s[i-1] <= '9' {
		i--
	}
	return i
}

// clock puts a day and a time together: "18:02", "6:02 pm", "18:02:05-04:00".
func clock(day, t, s string) (string, error) {
	low := strings.ToLower(strings.TrimSpace(t))
	for _, half := range []string{"am", "pm"} {
		h, ok := strings.CutSuffix(low, half)
		if !ok {
			continue
		}
		h, rest, _ := strings.Cut(strings.TrimSpace(h), ":")
		n, err := strconv.Atoi(h)
		if err != nil || n < 1 || n > 12 {
			return "", fault.Newf(fault.NotUnderstood, "", "%q is not a time", s).WithHint("write 2026-10-03T18:02")
		}
		n %= 12
		if half == "pm" {
			n += 12
		}
		if rest == "" {
			rest = "00"
		}
		return fmt.Sprintf("%sT%02d:%s", day, n, rest), nil
	}
	t = strings.TrimSpace(t)
	if strings.IndexByte(t, ':') == 1 {
		t = "0" + t
	}
	return day + "T" + t, nil
}

// moment reads a day or a time; a time without offset is in the house's zone.
func (c *cell) moment() (units.Moment, error) {
	if c.text == c.m.lastText {
		return c.m.lastSeen, nil
	}
	s, err := c.iso()
	if err != nil {
		return units.Moment{}, err
	}
	m, err := units.ParseMoment(s, c.m.zone)
	if err != nil {
		return m, c.asTyped(err, s)
	}
	if len(s) > 10 && !strings.ContainsAny(s[10:], "Z+-") {
		c.m.zoneless++
		return m, nil // not remembered, so that each is counted
	}
	c.m.lastText, c.m.lastSeen = c.text, m
	return m, nil
}

// day reads a calendar day; a time behind it is dropped, since spreadsheets put
// midnight there.
func (c *cell) day() (units.Day, error) {
	s, err := c.iso()
	if err != nil {
		return 0, err
	}
	m, err := units.ParseMoment(s, time.UTC)
	return m.Day(), c.asTyped(err, s)
}

// asTyped gives an error about the text we made of a cell the words of the cell.
func (c *cell) asTyped(err error, made string) error {
	e, ok := err.(*fault.Error)
	if !ok {
		return err
	}
	return fault.New(e.Kind, e.Thing, strings.Replace(e.Say, strconv.Quote(made), strconv.Quote(c.text), 1)).WithHint("%s", e.Hint)
}

// serial reads a day as a workbook keeps it: days since the end of 1899 (or
// 1904), the time as the part behind the point. It is rounded to the second,
// since that is as exact as the workbook is.
func serial(s string, y1904 bool) (string, bool) {
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || !(x >= 1 && x < 110000) {
		return "", false
	}
	start := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	if y1904 {
		start = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	days := int(x)
	t := start.AddDate(0, 0, days).Add(time.Duration((x-float64(days))*86400+0.5) * time.Second)
	if t.Hour() == 0 && t.Minute() == 0 && t.Second() == 0 {
		return t.Format("2006-01-02"), true
	}
	return t.Format("2006-01-02T15:04:05"), true
}
