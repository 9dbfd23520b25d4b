package weather

import (
	"slices"
	"sort"

	"larder/internal/fault"
	"larder/internal/units"
)

// Series is the weather of one station: days in order, each once, days of which
// nothing is known left out. It is a value; its days are never changed in
// place. The zero Series is a station without a name and without days.
type Series struct {
	station string
	days    []Day
}

// MakeSeries sorts days into a series.
//
// When a day comes more than once its values are joined one by one: a measured
// value beats a forecast one, a later one in the list beats an earlier one of
// the same kind, and a value that is not there never blots out one that is. The
// joined day is a forecast if any temperature in it is, or, without
// temperatures, its rain. When a high and a low of two reports cannot both be
// so, the less trusted of them is dropped.
//
// Days of another station are refused with fault.Conflict, days without a date
// with fault.Missing, a high below its own low with fault.OutOfRange. A day
// whose station is empty takes the series' own.
func MakeSeries(station string, days []Day) (Series, error) {
	s := Series{station: station}
	sorted := slices.Clone(days)
	for i, d := range sorted {
		switch {
		case d.Day == 0:
			return Series{}, fault.New(fault.Missing, "weather of "+station, "one of the days has no date").
				WithHint("give every day its date, for example 2026-10-03")
		case d.Station != "" && d.Station != station:
			return Series{}, fault.Newf(fault.Conflict, "weather of "+station, "%s is a day of another station, %s", d.Day, d.Station).
				WithHint("keep each station's days apart")
		case d.HasMax && d.HasMin && !(d.TMax >= d.TMin):
			return Series{}, fault.Newf(fault.OutOfRange, "weather of "+station, "%s has a high of %s and a low of %s", d.Day, degrees(d.TMax), degrees(d.TMin)).
				WithHint("the high cannot be below the low")
		}
		sorted[i].Station = station
	}
	// Stable, so that "later in the list" survives the sorting.
	slices.SortStableFunc(sorted, func(a, b Day) int { return int(a.Day) - int(b.Day) })
	for i := 0; i < len(sorted); {
		j := i + 1
		for j < len(sorted) && sorted[j].Day == sorted[i].Day {
			j++
		}
		if d := join(sorted[i:j]); !d.IsBlank() {
			s.days = append(s.days, d)
		}
		i = j
	}
	return s, nil
}

// join makes one day of several reports of it, in the order they came.
func join(reports []Day) Day {
	if len(reports) == 1 {
		return reports[0]
	}
	out := Day{Station: reports[0].Station, Day: reports[0].Day}
	// Forecasts first, then measured ones over them; rank grows with trust.
	var maxRank, minRank, rainRank, rank int
	for _, forecast := range []bool{true, false} {
		for _, r := range reports {
			rank++
			if r.Forecast != forecast {
				continue
			}
			if r.HasMax {
				out.TMax, out.HasMax, maxRank = r.TMax, true, rank
			}
			if r.HasMin {
				out.TMin, out.HasMin, minRank = r.TMin, true, rank
			}
			if r.HasRain {
				out.Rain, out.HasRain, rainRank = r.Rain, true, rank
			}
			out.Filled = out.Filled || r.Filled
		}
	}
	if out.HasMax && out.HasMin && out.TMax < out.TMin {
		// They are of two reports and cannot both be so: the better one stays.
		if maxRank < minRank {
			out.TMax, out.HasMax = 0, false
		} else {
			out.TMin, out.HasMin = 0, false
		}
	}
	foretold := func(rank int) bool { return rank <= len(reports) }
	out.Forecast = out.HasMax && foretold(maxRank) || out.HasMin && foretold(minRank) ||
		!out.HasMax && !out.HasMin && out.HasRain && foretold(rainRank)
	return out
}

// With gives a series with more days joined in, as if they had come later.
func (s Series) With(days ...Day) (Series, error) {
	return MakeSeries(s.station, append(slices.Clone(s.days), days...))
}

// Station gives the station's id.
func (s Series) Station() string { return s.station }

// Len gives the number of days of which anything is known.
func (s Series) Len() int { return len(s.days) }

// Days gives a copy of the days, in order.
func (s Series) Days() []Day { return slices.Clone(s.days) }

// First and last day; ok is false for a series without days.
func (s Series) Span() (first, last units.Day, ok bool) {
	if len(s.days) == 0 {
		return 0, 0, false
	}
	return s.days[0].Day, s.days[len(s.days)-1].Day, true
}

// search gives the index of the first day at or after d.
func (s Series) search(d units.Day) int {
	return sort.Search(len(s.days), func(i int) bool { return s.days[i].Day >= d })
}

// At gives one day; ok is false when nothing is known of it.
func (s Series) At(d units.Day) (day Day, ok bool) {
	i := s.search(d)
	if i == len(s.days) || s.days[i].Day != d {
		return Day{}, false
	}
	return s.days[i], true
}

// Between gives the part of s from first to last, both included.
func (s Series) Between(first, last units.Day) Series {
	i, j := s.search(first), s.search(last+1)
	if j < i {
		j = i
	}
	return Series{station: s.station, days: s.days[i:j:j]}
}

// Until gives the part of s that was measured up to and including day d,
// without any forecast: what a judge on that evening could know.
func (s Series) Until(d units.Day) Series {
	out := Series{station: s.station}
	for _, x := range s.days[:s.search(d+1)] {
		if !x.Forecast {
			out.days = append(out.days, x)
		}
	}
	return out
}

// Mean is a mean over a window of days.
type Mean struct {
	T    units.Temp
	Days int // days in the window
	Of   int // days it was taken from
}

// Known tells whether at least the share of its days was known and any at all.
func (m Mean) Known(share float64) bool {
	return m.Of > 0 && float64(m.Of) >= share*float64(m.Days)-1e-9
}

// MeanMax gives the mean of the daily maxima from first to last, both included.
func (s Series) MeanMax(first, last units.Day) Mean {
	return s.mean(first, last, func(d Day) (units.Temp, bool) { return d.TMax, d.HasMax })
}

// MeanMin gives the mean of the daily minima from first to last, both included.
func (s Series) MeanMin(first, last units.Day) Mean {
	return s.mean(first, last, func(d Day) (units.Temp, bool) { return d.TMin, d.HasMin })
}

// MeanTemp gives the mean of the daily means from first to last, both included.
func (s Series) MeanTemp(first, last units.Day) Mean { return s.mean(first, last, Day.TMean) }

func (s Series) mean(first, last units.Day, value func(Day) (units.Temp, bool)) Mean {
	m := Mean{Days: max(int(last)-int(first)+1, 0)}
	var sum units.Temp
	for _, d := range s.Between(first, last).days {
		if t, ok := value(d); ok {
			sum += t
			m.Of++
		}
	}
	if m.Of > 0 {
		m.T = sum / units.Temp(m.Of)
	}
	return m
}

// RainSum gives the rain in mm from first to last, both included, and the
// number of days it was measured on.
func (s Series) RainSum(first, last units.Day) (mm float64, of int) {
	for _, d := range s.Between(first, last).days {
		if d.HasRain {
			mm += d.Rain
			of++
		}
	}
	return mm, of
}
