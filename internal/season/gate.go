package season

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/units"
)

const hintClock = "write it as 07:30 or 7:30 am"

// ReadClock reads a time of day: "07:30", "7:30 pm", "7 am", "24:00". It is
// counted from midnight. Faults: fault.NotUnderstood.
func ReadClock(text string) (units.Duration, error) {
	bad := fault.Newf(fault.NotUnderstood, "", "%q is not a time of day", text).WithHint(hintClock)
	s := strings.ToLower(strings.TrimSpace(text))
	half := ""
	for _, h := range []string{"am", "pm"} {
		if t, ok := strings.CutSuffix(s, h); ok {
			s, half = strings.TrimSpace(t), h
		}
	}
	hour, minute, colon := strings.Cut(s, ":")
	if !colon {
		minute = "00"
	}
	if len(hour) < 1 || len(hour) > 2 || len(minute) != 2 || digits(hour) != len(hour) || digits(minute) != 2 || !colon && half == "" {
		return 0, bad
	}
	h, _ := strconv.Atoi(hour)
	m, _ := strconv.Atoi(minute)
	switch {
	case m > 59 || half != "" && (h < 1 || h > 12) || h > 24 || h == 24 && m > 0:
		return 0, bad
	case half != "":
		h %= 12
		if half == "pm" {
			h += 12
		}
	}
	return units.Duration(h)*units.Hour + units.Duration(m)*units.Minute, nil
}

// ClockText writes a time of day as [ReadClock] reads it: "07:30".
func ClockText(d units.Duration) string {
	m := int(d.Min() + 0.5)
	return fmt.Sprintf("%02d:%02d", m/60, m%60)
}

// weekdayWords are the days of the week by their first letters, Sunday first.
var weekdayWords = [7][]string{{"sun", "dom"}, {"mon", "lun"}, {"tue", "mar"}, {"wed", "mié", "mie"}, {"thu", "jue"}, {"fri", "vie"}, {"sat", "sáb", "sab"}}

// ShutDays are the days on which a gate stays shut.
type ShutDays struct {
	Week [7]bool // by time.Weekday
	Days []units.Day
}

// ReadShutDays reads days of the week and dates with ; or , between them: "sun",
// "Saturday; Sunday; 2026-09-12". Faults: fault.NotUnderstood.
func ReadShutDays(text string) (ShutDays, error) {
	var out ShutDays
	for _, w := range strings.FieldsFunc(text, func(r rune) bool { return r == ';' || r == ',' }) {
		w = strings.ToLower(strings.TrimSpace(w))
		if w == "" {
			continue
		}
		if isoDay(w) {
			d, err := units.ParseDay(w)
			if err != nil {
				return ShutDays{}, err
			}
			out.Days = append(out.Days, d)
			continue
		}
		i := slices.IndexFunc(weekdayWords[:], func(names []string) bool {
			return slices.ContainsFunc(names, func(n string) bool { return strings.HasPrefix(w, n) })
		})
		if i < 0 {
			return ShutDays{}, fault.Newf(fault.NotUnderstood, "", "%q is neither a day of the week nor a date", w).WithHint("for example sun; 2026-09-12")
		}
		out.Week[i] = true
	}
	slices.Sort(out.Days)
	out.Days = slices.Compact(out.Days)
	return out, nil
}

// Has tells whether the gate stays shut on a day.
func (s *ShutDays) Has(d units.Day) bool { return s.Week[d.Weekday()] || slices.Contains(s.Days, d) }

// String writes the days as they are kept: "sat; sun; 2026-09-12".
func (s *ShutDays) String() string {
	var out []string
	for i := range 7 {
		if d := (i + 1) % 7; s.Week[d] { // the week begins on Monday
			out = append(out, strings.ToLower(time.Weekday(d).String()[:3]))
		}
	}
	for _, d := range s.Days {
		out = append(out, d.String())
	}
	return strings.Join(out, "; ")
}

// In writes the days as a form shows them in a language: [ReadShutDays] reads them
// back.
func (s *ShutDays) In(lang string) string {
	out := s.String()
	if lang != "es" {
		return out
	}
	for _, w := range weekdayWords {
		out = strings.ReplaceAll(out, w[0], w[1])
	}
	return out
}

func yardName(y apiary.Yard) string { return cmp.Or(y.Name, y.ID) }

func checkGate(y apiary.Yard) error {
	if y.Shuts != 0 && y.Shuts <= y.Opens {
		return fault.New(fault.Conflict, "shuts", "the gate shuts before it opens").WithHint(hintClock)
	}
	if _, err := ReadShutDays(y.Shut); err != nil {
		return fault.New(fault.NotUnderstood, "shut", err.(*fault.Error).Say).WithHint("for example sun; 2026-09-12")
	}
	return first(between("opens", y.Opens.Min(), 0, 24*60), between("shuts", y.Shuts.Min(), 0, 24*60))
}

// gate puts the hours of a yard's gate, and the days on which it stays shut, into
// the planner's terms.
func (b *bench) gate(y apiary.Yard, out *feeding.Yard, start units.Day) {
	out.Opens, out.Shuts = y.Opens, y.Shuts
	shut, err := ReadShutDays(y.Shut)
	if err != nil {
		return // checked when it came in
	}
	n := 0
	for i := range out.Feed {
		if d := start + units.Day(i); out.Feed[i] && d <= out.Stop && shut.Has(d) {
			out.Feed[i] = false
			n++
		}
	}
	if n > 0 {
		out.Why = append(out.Why[:len(out.Why):len(out.Why)], feeding.Reason{Code: "gate-shut",
			Say: "{0}: days that are good for a round, but on which the gate stays shut: {1}", Amounts: []any{yardName(y), n}})
	}
}
