package weather

import (
	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Scenario is a [Replay] day by day. Its slices begin with the day asked for.
type Scenario struct {
	Replay
	Feed   []bool    // a round may be made, see [Round]
	Factor []float64 // what part of full uptake is taken, see [Factor]; 0 on a day of which nothing is known
	Known  int       // days of which the high is known
}

// Scenarios plays every past year through behind this season's own days, as
// [Replays] does, and says of each of the days from the day from on whether a
// round may be made and what part of full uptake is taken. Whole years keep
// their runs of cold and wet days together, which chances day by day do not.
// The earliest stop day comes first. few tells that there are fewer years than
// enough (figure, 20).
//
// Errors: those of [Replays]; fault.OutOfRange for a length that is none
// (between 1 and 400 days).
func Scenarios(q StopQuery, from units.Day, days int, set figure.Set) (all []Scenario, few bool, err error) {
	if days < 1 || days > maxCalendar {
		return nil, false, fault.Newf(fault.OutOfRange, "calendar", "a calendar of %d days cannot be made", days).
			WithHint("between 1 and %d days", maxCalendar)
	}
	o, err := Replays(q, from, set)
	if err != nil {
		return nil, false, err
	}
	filled, _ := Fill(q.Series, set)
	rule, up := makeRoundRule(set), makeCurve(set)
	for _, r := range o.Years {
		s := Scenario{Replay: r, Feed: make([]bool, days), Factor: make([]float64, days)}
		for i := range days {
			d := from + units.Day(i)
			day, ok := filled.At(d)
			if !ok || !day.HasMax {
				day, ok = filled.At(sameDay(d, r.Season-q.Season))
				ok = ok && !day.Forecast
			}
			if !ok || !day.HasMax {
				continue
			}
			s.Known++
			s.Feed[i], s.Factor[i] = rule.ok(day), up.at(day.TMax.C())
		}
		all = append(all, s)
	}
	return all, o.Few, nil
}

// SureOf gives the largest number that at least the share p of counts reaches,
// 0.5 ≤ p < 1; 0 for none.
func SureOf(counts []int, p float64) int {
	if len(counts) == 0 {
		return 0
	}
	return lowerOf(counts, p)
}
