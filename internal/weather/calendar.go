package weather

import (
	"fmt"
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// maxCalendar is the longest calendar made at once, in days.
const maxCalendar = 400

// CalendarQuery asks for a calendar of days for one place.
type CalendarQuery struct {
	From units.Day
	Days int
	// Series is all that is known of the place: past years, this season so far,
	// and the forecast.
	Series Series
	// Chance is what share of years a day beyond the forecast must be good in
	// to be planned; 0 takes the figure (0.8). Above 0, to 1.
	Chance float64
}

// CalDay is one day as the planner may use it.
type CalDay struct {
	Day    units.Day
	Feed   bool    // a round may be made
	Cool   bool    // it may, but the syrup will be taken slowly
	Factor float64 // what part of full uptake is taken, 0…1
	Chance float64 // that a round may be made: 0 or 1 when the day is known
	Years  int     // past years it was judged by; 0 when the day is known
	Basis  Basis   // Measured, Forecast, ManyYears, FewerYears or NotKnown
	Why    []Reason
}

// Cal is a calendar, one CalDay for each day asked for.
type Cal struct {
	Days    []CalDay
	Reasons []Reason
}

// Feed gives the days on which a round may be made.
func (c Cal) Feed() []bool {
	out := make([]bool, len(c.Days))
	for i, d := range c.Days {
		out[i] = d.Feed
	}
	return out
}

// Factor gives what part of full uptake is taken, day by day.
func (c Cal) Factor() []float64 {
	out := make([]float64, len(c.Days))
	for i, d := range c.Days {
		out[i] = d.Factor
	}
	return out
}

// Calendar says day by day whether a round may be made and what part of full
// uptake is taken.
//
// A day whose high is known, measured or forecast, is judged by [Round] and
// [Factor]. Beyond that every past year gives its days within three days
// (figure) of the date: its share of days good for a round, and its mean
// Factor. Chance and Factor are the means of these over the years, and a round
// is planned when Chance reaches the chance asked for. Each year counts once,
// however many of its days are known, and only if half of them are.
//
// Days near each other are not independent: a calendar made this way is right
// on the mean, and a run of bad days is judged by replaying whole [Years].
//
// A day of which nothing is known is NotKnown, without Feed and with Factor 0.
// Errors: fault.Missing when that is so for every day; fault.OutOfRange for a
// length or chance that is none.
func Calendar(q CalendarQuery, set figure.Set) (Cal, error) {
	if q.Chance == 0 {
		q.Chance = set.V(keyFeedChance)
	}
	switch {
	case q.Days < 1 || q.Days > maxCalendar:
		return Cal{}, fault.Newf(fault.OutOfRange, "calendar", "a calendar of %d days cannot be made", q.Days).
			WithHint("between 1 and %d days", maxCalendar)
	case !(q.Chance > 0 && q.Chance <= 1):
		return Cal{}, fault.Newf(fault.OutOfRange, "calendar", "a chance of %g %% cannot be planned on", q.Chance*100).
			WithHint("above 0, up to 100 %%")
	}
	// Gaps are filled here rather than by the caller, so that one question has
	// one answer whoever asks it.
	filled, _ := Fill(q.Series, set)
	n := newNormals(filled, set)
	cal := Cal{Days: make([]CalDay, q.Days)}
	tally := map[Basis]int{}
	few := math.MaxInt
	for i := range cal.Days {
		d := q.From + units.Day(i)
		if known, ok := filled.At(d); ok && known.HasMax {
			cal.Days[i] = knownDay(known, n, set)
		} else {
			cal.Days[i] = n.likely(d, q.Chance)
		}
		b := cal.Days[i].Basis
		tally[b]++
		if b == ManyYears || b == FewerYears {
			few = min(few, cal.Days[i].Years)
		}
	}
	if tally[NotKnown] == q.Days {
		return Cal{}, fault.New(fault.Missing, "calendar", "no weather is known for these days, nor for past years").
			WithHint("read in a file of daily weather, or say on which days you can drive")
	}
	cal.Reasons = calReasons(tally, few, q.Chance, set)
	return cal, nil
}

// calReasons says what the calendar rests on, counted by basis.
func calReasons(tally map[Basis]int, few int, chance float64, set figure.Set) []Reason {
	var out []Reason
	if n := tally[Measured]; n > 0 {
		out = append(out, Reason{Code: "measured", Say: count(n, "day") + " as measured"})
	}
	if n := tally[Forecast]; n > 0 {
		out = append(out, Reason{Code: "forecast", Say: count(n, "day") + " from the forecast"})
	}
	if n := tally[ManyYears] + tally[FewerYears]; n > 0 {
		out = append(out, Reason{Code: "years",
			Say: fmt.Sprintf("%s from past years: planned for a round when good in %.0f of 100", count(n, "day"), chance*100)})
	}
	if tally[FewerYears] > 0 {
		out = append(out, Reason{Code: "few-years",
			Say: fmt.Sprintf("only %s of weather known, %.0f are wanted: the chances are rough", count(few, "year"), set.V(keyYears))})
	}
	if n := tally[NotKnown]; n > 0 {
		out = append(out, Reason{Code: "not-known", Say: count(n, "day") + " of which nothing is known: no round is planned on them"})
	}
	return out
}

// knownDay judges a day whose high is known.
func knownDay(d Day, n normals, set figure.Set) CalDay {
	v := Round(d, set)
	out := CalDay{Day: d.Day, Feed: v.OK, Cool: v.Cool, Factor: n.curve.at(d.TMax.C()), Basis: Measured, Why: v.Why}
	if v.OK {
		out.Chance = 1
	}
	if d.Forecast {
		out.Basis = Forecast
	}
	return out
}

// normals judges dates by past years.
type normals struct {
	s           Series
	curve       curve
	rule        roundRule
	span        int
	enough      int
	first, last int // calendar years there are days of
}

func newNormals(s Series, set figure.Set) normals {
	n := normals{curve: makeCurve(set), rule: makeRoundRule(set),
		span: int(math.Round(set.V(keySpan))), enough: int(math.Round(set.V(keyYears)))}
	// What was once foretold and never measured says nothing of a past year.
	for _, d := range s.days {
		if !d.Forecast {
			n.s.days = append(n.s.days, d)
		}
	}
	if first, last, ok := n.s.Span(); ok {
		n.first, n.last = first.Year(), last.Year()
	} else {
		n.first, n.last = 1, 0
	}
	return n
}

// likely judges a date by every year but its own.
func (n normals) likely(d units.Day, chance float64) CalDay {
	out := CalDay{Day: d}
	// One year more at either end: the days around New Year lie in two.
	for y := n.first - 1; y <= n.last+1; y++ {
		k := y - d.Year()
		if k == 0 {
			continue
		}
		mid := sameDay(d, k)
		var days, good int
		var factor float64
		for _, x := range n.s.Between(mid-units.Day(n.span), mid+units.Day(n.span)).days {
			if !x.HasMax {
				continue
			}
			days++
			factor += n.curve.at(x.TMax.C())
			if n.rule.ok(x) {
				good++
			}
		}
		// Half a window is enough for a share; less would let one day speak for a
		// week.
		if days == 0 || 2*days < 2*n.span+1 {
			continue
		}
		out.Years++
		out.Chance += float64(good) / float64(days)
		out.Factor += factor / float64(days)
	}
	if out.Years == 0 {
		return out
	}
	out.Chance /= float64(out.Years)
	out.Factor /= float64(out.Years)
	out.Feed = out.Chance >= chance-1e-9
	out.Basis = ManyYears
	if out.Years < n.enough {
		out.Basis = FewerYears
	}
	return out
}
