package weather

import (
	"math"

	"larder/internal/figure"
	"larder/internal/units"
)

// Gap is a run of days of which the high is not known, between days of which it
// is.
type Gap struct {
	First, Last units.Day
	Filled      bool
}

// Days gives the length.
func (g Gap) Days() int { return int(g.Last) - int(g.First) + 1 }

// OpenDays counts the days of gaps that nothing fills.
func OpenDays(gaps []Gap) (days int) {
	for _, g := range gaps {
		if !g.Filled {
			days += g.Days()
		}
	}
	return days
}

// Gaps lists the runs of days without a known high, in order.
func (s Series) Gaps() []Gap {
	var out []Gap
	var last units.Day
	seen := false
	for _, d := range s.days {
		if !d.HasMax {
			continue
		}
		if seen && d.Day > last+1 {
			out = append(out, Gap{First: last + 1, Last: d.Day - 1})
		}
		last, seen = d.Day, true
	}
	return out
}

// Fill gives s with short gaps filled, and the list of the gaps of the highs
// with those marked that were filled.
//
// Highs and lows are filled each on a straight line between the last day before
// and the first day after the gap, if it is no longer than three days (figure).
// Such a day is marked Filled; it is a forecast if either neighbour is. Rain is
// never filled: a dry day on either side says nothing of the day between.
// Longer gaps stay open.
func Fill(s Series, set figure.Set) (Series, []Gap) {
	longest := int(math.Round(set.V(keyFill)))
	out := Series{station: s.station, days: s.withBlanks(longest)}
	fillValue(out.days, longest,
		func(d *Day) (*units.Temp, *bool) { return &d.TMax, &d.HasMax })
	fillValue(out.days, longest,
		func(d *Day) (*units.Temp, *bool) { return &d.TMin, &d.HasMin })
	kept := out.days[:0]
	for _, d := range out.days {
		// A line between a cold night and a warm one may cross the highs.
		if d.Filled && d.HasMax && d.HasMin && d.TMin > d.TMax {
			if o, ok := s.At(d.Day); ok && (o.HasMax || o.HasMin) {
				d = o // what was measured stands alone
			} else {
				d.TMin, d.HasMin = 0, false
			}
		}
		if !d.IsBlank() {
			kept = append(kept, d)
		}
	}
	out.days = kept
	gaps := s.Gaps()
	for i, g := range gaps {
		gaps[i].Filled = out.MeanMax(g.First, g.Last).Known(1)
	}
	return out, gaps
}

// withBlanks copies the days and puts blank ones into holes of up to n days.
func (s Series) withBlanks(n int) []Day {
	out := make([]Day, 0, len(s.days))
	for i, d := range s.days {
		if i > 0 {
			prev := s.days[i-1].Day
			if hole := int(d.Day) - int(prev) - 1; hole <= n {
				for k := prev + 1; k < d.Day; k++ {
					out = append(out, Day{Station: s.station, Day: k})
				}
			}
		}
		out = append(out, d)
	}
	return out
}

// fillValue fills one value along days.
func fillValue(days []Day, longest int, value func(*Day) (*units.Temp, *bool)) {
	prev := -1 // the last day on which the value is known
	for i := range days {
		t, has := value(&days[i])
		if !*has {
			continue
		}
		if span := 0; prev >= 0 {
			span = int(days[i].Day) - int(days[prev].Day)
			if span > 1 && span-1 <= longest {
				a, _ := value(&days[prev])
				for j := prev + 1; j < i; j++ {
					w := float64(days[j].Day-days[prev].Day) / float64(span)
					tj, hj := value(&days[j])
					*tj, *hj = *a+units.Temp(w)*(*t-*a), true
					days[j].Filled = true
					days[j].Forecast = days[j].Forecast || days[prev].Forecast || days[i].Forecast
				}
			}
		}
		prev = i
	}
}
