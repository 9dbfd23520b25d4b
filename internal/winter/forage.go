package winter

import (
	"fmt"
	"math"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/weather"
)

// Forage is the first day on which a colony can be relied on to keep itself.
type Forage struct {
	Day     units.Day
	SD      float64 // days; 0 = seen, or the keeper is sure
	Reasons []Reason
}

// ForageQuery asks for the first dependable forage of a season.
type ForageQuery struct {
	Season  int // the year it begins in, see weather.Season
	South   bool
	Climate apiary.Climate
	// Typed is the keeper's own day for this season or place; it wins. 0 = none.
	Typed units.Day
	// TypedSure says that Typed has no spread: forage was seen.
	TypedSure bool
	// Seen are the first forage days noted in past springs.
	Seen []units.Day
}

// FirstForage gives the first dependable forage: typed by the keeper, or a
// figure of the class of winter (most of them judged) drawn towards the springs
// he noted, which weigh against the figure as "winter.forage_own_years" (3).
// Errors: fault.Missing when neither is known.
func FirstForage(q ForageQuery, set figure.Set) (Forage, error) {
	sd := set.V(keyForageSD)
	start := weather.SeasonStart(q.Season, q.South)
	if q.Typed != 0 {
		if q.TypedSure {
			return Forage{Day: q.Typed, Reasons: []Reason{because("forage-seen", "first forage was seen on {0}", q.Typed)}}, nil
		}
		return Forage{Day: q.Typed, SD: sd, Reasons: []Reason{because("forage-typed", "first dependable forage on {0}, typed by the keeper; a year may be {1} days earlier or later", q.Typed, math.Round(sd))}}, nil
	}
	if q.Climate == apiary.ClimateUnknown {
		return Forage{}, fault.New(fault.Missing, "first forage", "when bees here first find food they can rely on is not known").
			WithHint("type the day, or give the yard's place")
	}
	if _, err := BroodOf(q.Climate); err != nil {
		return Forage{}, err
	}
	f := set.Get(forageKey(q.Climate))
	day, why := f.Value, because("forage-figure", "first dependable forage by the figure for such winters ("+f.Source+")")
	if n := float64(len(q.Seen)); n > 0 {
		w := math.Max(set.V(keyForageOwn), 1)
		day, sd = blend(q, day, sd, w)
		why = because("forage-noted", fmt.Sprintf("first dependable forage from %s noted and the figure for such winters", count(len(q.Seen), "spring")))
	}
	return Forage{Day: start + units.Day(math.Round(day)), SD: sd, Reasons: []Reason{why}}, nil
}

// blend joins the springs noted with the figure: the mean by weights w and n,
// the variance pooled the same way and widened for the mean's own doubt.
func blend(q ForageQuery, day, sd, w float64) (mean, spread float64) {
	n := float64(len(q.Seen))
	sum := 0.0
	at := func(d units.Day) float64 {
		return float64(d - weather.SeasonStart(weather.Season(d, q.South), q.South))
	}
	for _, d := range q.Seen {
		sum += at(d)
	}
	mean = (w*day + sum) / (w + n)
	ss := w * sd * sd
	for _, d := range q.Seen {
		ss += (at(d) - mean) * (at(d) - mean)
	}
	return mean, math.Sqrt(ss / (w + n) * (1 + 1/(w+n)))
}

// Horizon gives the day up to which stores are watched: two and a half spreads
// past the first dependable forage, but not past 14 June (south: half a year
// on).
func (f Forage) Horizon(south bool) units.Day {
	past := units.Day(math.Ceil(2.5*f.SD)) + 1
	h := f.Day + past
	for h > f.Day+1 && dayOfSeason(h, south) > lastDay {
		h--
	}
	return h
}
