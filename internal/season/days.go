package season

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"larder/internal/fault"
	"larder/internal/units"
)

// DayOrder is how days written in digits alone are meant.
type DayOrder uint8

// The orders.
const (
	OrderNotTold DayOrder = iota
	DayFirst              // 3/10 is the third of October
	MonthFirst            // 3/10 is the tenth of March
)

// String gives "", "day" or "month".
func (o DayOrder) String() string { return [...]string{"", "day", "month"}[min(o, MonthFirst)] }

// ParseDayOrder reads what String writes; anything else is not told.
func ParseDayOrder(s string) DayOrder {
	for _, o := range []DayOrder{DayFirst, MonthFirst} {
		if s == o.String() {
			return o
		}
	}
	return OrderNotTold
}

// OrderOfDays finds the order of a column of days from those that can be read
// one way only. ask tells that there are days that could be read two ways and
// none that decides, or some of either kind.
func OrderOfDays(texts []string) (o DayOrder, ask bool) {
	open, day, month := false, false, false
	for _, t := range texts {
		a, b, _, ok := slashed(t)
		switch {
		case !ok || a == b:
		case a > 12:
			day = true
		case b > 12:
			month = true
		default:
			open = true
		}
	}
	switch {
	case day && month:
		return OrderNotTold, open
	case day:
		return DayFirst, false
	case month:
		return MonthFirst, false
	}
	return OrderNotTold, open
}

// ReadDay reads a day as people write it: "today", "yesterday", "2026-10-03",
// "3.10.2026", "Tue 14 Oct", "Oct 14, 2026", "14/10". Without a year it is the
// last such day up to today. A day in digits alone that could be read in two
// ways is asked about unless o says. Faults: fault.Missing, fault.NotUnderstood,
// fault.OutOfRange.
func ReadDay(text string, o DayOrder, today units.Day) (units.Day, error) {
	s := strings.ToLower(strings.Join(strings.Fields(text), " "))
	switch s {
	case "":
		return 0, fault.New(fault.Missing, "", "the day is missing").WithHint(hintDay)
	case "today", "hoy":
		return today, nil
	case "yesterday", "ayer":
		return today - 1, nil
	}
	if len(s) > 10 && isoDay(s[:10]) && (s[10] == 't' || s[10] == ' ') {
		s = s[:10] // spreadsheets put midnight behind a day
	}
	if isoDay(s) {
		return units.ParseDay(s)
	}
	if d, ok := wordDay(s, today); ok {
		return d, nil
	}
	// Dots always mean day first. "3.10" is a number, "3.10." a day.
	if p := strings.Split(s, "."); len(p) == 3 {
		return madeDay(text, p[0], p[1], p[2], today)
	}
	if a, b, y, ok := slashed(s); ok {
		switch {
		case a == b || a > 12 || o == DayFirst && b <= 12:
			return madeDay(text, strconv.Itoa(a), strconv.Itoa(b), y, today)
		case b > 12 || o == MonthFirst:
			return madeDay(text, strconv.Itoa(b), strconv.Itoa(a), y, today)
		}
		return 0, fault.Newf(fault.NotUnderstood, "", "%q can be read in two ways: is the month %d or %d?", text, a, b).WithHint(hintDay)
	}
	return 0, notADay(text)
}

const hintDay = "write it as 2026-10-03, or with the month as a word: 3 Oct"

func notADay(text string) error {
	return fault.Newf(fault.NotUnderstood, "", "%q is not a day", text).WithHint(hintDay)
}

func isoDay(s string) bool {
	return len(s) == 10 && s[4] == '-' && s[7] == '-' && digits(s) == 4 && digits(s[5:]) == 2 && digits(s[8:]) == 2
}

func at2(p []string) string {
	if len(p) > 2 {
		return p[2]
	}
	return ""
}

// slashed takes "3/10", "3/10/26" and "3-10-2026" apart.
func slashed(s string) (a, b int, y string, ok bool) {
	p := strings.FieldsFunc(strings.TrimSpace(s), func(r rune) bool { return r == '/' || r == '-' })
	if len(p) < 2 || len(p) > 3 || len(p[0]) > 2 || len(p[1]) > 2 || !strings.ContainsAny(s, "/-") {
		return 0, 0, "", false
	}
	a, err1 := strconv.Atoi(p[0])
	b, err2 := strconv.Atoi(p[1])
	return a, b, at2(p), err1 == nil && err2 == nil && a > 0 && b > 0
}

// madeDay puts a day together; a year of two digits is one of this century.
func madeDay(text, day, month, year string, today units.Day) (units.Day, error) {
	d, err1 := strconv.Atoi(strings.TrimSpace(day))
	m, err2 := strconv.Atoi(strings.TrimSpace(month))
	if err1 != nil || err2 != nil {
		return 0, notADay(text)
	}
	return dayIn(text, d, m, strings.TrimSpace(year), today)
}

func dayIn(text string, d, m int, year string, today units.Day) (units.Day, error) {
	y := today.Year()
	if year != "" {
		n, err := strconv.Atoi(year)
		if err != nil || len(year) != 4 && len(year) != 2 {
			return 0, notADay(text)
		}
		y = n
		if len(year) == 2 {
			y += 2000
		}
	}
	if m < 1 || m > 12 || d < 1 || d > 31 || y < 1900 || y > 2199 {
		return 0, notADay(text)
	}
	out := units.DayOf(y, time.Month(m), d)
	if out.DayOfMonth() != d && (year != "" || d != 29 || m != 2) {
		return 0, fault.Newf(fault.NotUnderstood, "", "there is no such day as %q", text).WithHint(hintDay)
	}
	if year == "" {
		for back := 0; out > today || out.DayOfMonth() != d; back++ {
			if back > 8 {
				return 0, notADay(text)
			}
			out = units.DayOf(y-back-1, time.Month(m), d)
		}
	}
	if out == 0 {
		return 0, notADay(text)
	}
	return out, nil
}

// monthWords are the first three letters of the months.
var monthWords = [12][]string{{"jan", "ene"}, {"feb"}, {"mar"}, {"apr", "abr"}, {"may"}, {"jun"}, {"jul"}, {"aug", "ago"}, {"sep", "set"}, {"oct"}, {"nov"}, {"dec", "dic"}}

// wordDay reads a day whose month is a word: "14 oct", "oct 14, 2026", "tue 14
// oct 2026", "14 de octubre".
func wordDay(s string, today units.Day) (units.Day, bool) {
	s = strings.NewReplacer(",", " ", "-", " ", ".", " ").Replace(s)
	var numbers []string
	month := 0
	for _, w := range strings.Fields(s) {
		if n := digits(w); n > 0 {
			if rest := w[n:]; rest != "" && rest != "st" && rest != "nd" && rest != "rd" && rest != "th" {
				return 0, false
			}
			numbers = append(numbers, w[:n])
			continue
		}
		for i, names := range monthWords {
			if len(w) >= 3 && slices.Contains(names, w[:3]) && len(numbers) < 2 {
				month = i + 1
			}
		}
	}
	if month == 0 || len(numbers) == 0 || len(numbers) > 2 || len(numbers[0]) > 2 {
		return 0, false
	}
	year := ""
	if len(numbers) == 2 {
		year = numbers[1]
	}
	d, _ := strconv.Atoi(numbers[0])
	out, err := dayIn(s, d, month, year, today)
	return out, err == nil
}
