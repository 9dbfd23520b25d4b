package weather

import (
	"math"
	"slices"
	"time"

	"larder/internal/figure"
	"larder/internal/units"
)

// Year is one whole season of weather, autumn and the winter after it together.
type Year struct {
	Season int // the year it begins in
	Start  units.Day
	End    units.Day // last day
	Series Series
	// Known is the share of its days of which the mean temperature is known.
	Known float64
}

// Whole tells whether at least the share of its days is known.
func (y Year) Whole(share float64) bool { return y.Known >= share-1e-9 }

// Years splits a series into its seasons, in order: 1 July to 30 June in the
// north, 1 January to 31 December in the south. Seasons of which nothing is
// known are not listed, those begun or broken off are, with their share known.
// Forecasts are left out: a past winter is what was measured.
func Years(s Series, south bool) []Year {
	var out []Year
	for _, d := range s.days {
		if d.Forecast {
			continue
		}
		season := Season(d.Day, south)
		if len(out) == 0 || out[len(out)-1].Season != season {
			out = append(out, Year{Season: season, Start: SeasonStart(season, south),
				End: SeasonStart(season+1, south) - 1, Series: Series{station: s.station}})
		}
		y := &out[len(out)-1]
		y.Series.days = append(y.Series.days, d)
		if _, ok := d.TMean(); ok {
			y.Known++
		}
	}
	for i := range out {
		out[i].Known /= float64(out[i].End - out[i].Start + 1)
	}
	return out
}

// Month is the normal of one calendar month over the years.
type Month struct {
	Month time.Month
	Years int             // years in which enough of the month was known
	TMax  figure.Estimate // °C, mean of the daily maxima; SD is that of single years' months
	TMin  figure.Estimate // °C
	TMean figure.Estimate // °C
	Round float64         // share of days warm and dry enough for a round
}

// Normals gives the twelve months from what was measured. A month of a year
// counts when the share of its days given by the figure (0.8) is known. The
// mean temperature of January (south: July) is what a yard's climate class goes
// by.
func Normals(s Series, set figure.Set) []Month {
	out := make([]Month, 12)
	rule, share := makeRoundRule(set), set.V(keyKnown)
	measured := Series{station: s.station}
	for _, d := range s.days {
		if !d.Forecast {
			measured.days = append(measured.days, d)
		}
	}
	first, last, ok := measured.Span()
	for m := range out {
		out[m].Month = time.Month(m + 1)
		if !ok {
			continue
		}
		var tmax, tmin, tmean []float64
		good, days := 0, 0
		for y := first.Year(); y <= last.Year(); y++ {
			a, b := units.DayOf(y, time.Month(m+1), 1), units.DayOf(y, time.Month(m+2), 1)-1
			add := func(to *[]float64, x Mean) bool {
				if !x.Known(share) {
					return false
				}
				*to = append(*to, x.T.C())
				return true
			}
			// Each month of a year weighs the same, however many days of it are known.
			add(&tmin, measured.MeanMin(a, b))
			add(&tmean, measured.MeanTemp(a, b))
			if !add(&tmax, measured.MeanMax(a, b)) {
				continue
			}
			out[m].Years++
			for _, d := range measured.Between(a, b).days {
				if d.HasMax {
					days++
				}
				if rule.ok(d) {
					good++
				}
			}
		}
		out[m].TMax, out[m].TMin, out[m].TMean = estimate(tmax), estimate(tmin), estimate(tmean)
		if days > 0 {
			out[m].Round = float64(good) / float64(days)
		}
	}
	return out
}

// ShareAtLeast gives the share of the measured days in the months given whose
// high reached t, and the number of such days.
func ShareAtLeast(s Series, t units.Temp, months ...time.Month) (share float64, days int) {
	warm := 0
	for _, d := range s.days {
		if d.Forecast || !d.HasMax || !slices.Contains(months, d.Day.Month()) {
			continue
		}
		days++
		if d.TMax >= t {
			warm++
		}
	}
	if days == 0 {
		return 0, 0
	}
	return float64(warm) / float64(days), days
}

// estimate gives mean and standard deviation of single values; not known for
// none. The deviation of a single value is not known and given as 0.
func estimate(xs []float64) figure.Estimate {
	if len(xs) == 0 {
		return figure.Estimate{}
	}
	var mean, ss float64
	for _, x := range xs {
		mean += x
	}
	mean /= float64(len(xs))
	for _, x := range xs {
		ss += (x - mean) * (x - mean)
	}
	sd := 0.0
	if len(xs) > 1 {
		sd = math.Sqrt(ss / float64(len(xs)-1))
	}
	return figure.Est(mean, sd)
}
