package weather

import (
	"math"

	"larder/internal/figure"
	"larder/internal/units"
)

// searchDays is how far into a season the first cold day is looked for: to 28
// January in the north (29 July in the south), past the coldest time of the
// year. Where it has not come by then, the place has no winter in the sense of
// the rule.
const searchDays = 212

// autumn is the stop rule of one season, read once from the figures.
//
// The rule: the first date after 15 August on which the mean of the daily
// maxima of that day and the nine before it is below 13 °C. It is worked in
// whole thousandths of a degree, so that a mean of exactly 13 °C is not below
// it whatever the order of adding.
type autumn struct {
	first units.Day // the day of index 0: the first day of the first window
	n     int       // days looked at
	win   int
	limit int64 // thousandths of °C
	need  int   // days of a window that must be known
}

func makeAutumn(season int, south bool, set figure.Set) autumn {
	win := max(int(math.Round(set.V(keyStopWindow))), 1)
	from := int(math.Round(set.V(keyStopFrom)))
	need := int(math.Ceil(set.V(keyKnown)*float64(win) - 1e-9))
	return autumn{
		first: SeasonStart(season, south) + units.Day(from+1-(win-1)),
		n:     max(searchDays-from-1+win-1, win),
		win:   win,
		limit: int64(math.Round(set.V(keyStopMean) * 1000)),
		need:  min(max(need, 1), win),
	}
}

// day gives the date of an index.
func (a autumn) day(i int) units.Day { return a.first + units.Day(i) }

// highs is the run of daily maxima of one autumn.
type highs struct {
	t     []int64 // thousandths of °C
	known []bool
}

// take reads the autumn's highs from s, k years away from the season itself.
// Dates are matched by the calendar, so leap years do not shift them. Of
// another year only what was measured counts.
func (a autumn) take(s Series, k int) highs {
	h := highs{t: make([]int64, a.n), known: make([]bool, a.n)}
	for i := range a.n {
		if d, ok := s.At(sameDay(a.day(i), k)); ok && d.HasMax && (k == 0 || !d.Forecast) {
			h.t[i], h.known[i] = int64(math.Round(d.TMax.C()*1000)), true
		}
	}
	return h
}

// share gives the share of the days that is known.
func (h highs) share() float64 {
	n := 0
	for _, k := range h.known {
		if k {
			n++
		}
	}
	return float64(n) / float64(len(h.known))
}

// over lays own days over another year's.
func (h highs) over(other highs) highs {
	out := highs{t: make([]int64, len(h.t)), known: make([]bool, len(h.t))}
	for i := range h.t {
		switch {
		case h.known[i]:
			out.t[i], out.known[i] = h.t[i], true
		case other.known[i]:
			out.t[i], out.known[i] = other.t[i], true
		}
	}
	return out
}

// outcome of looking for the first cold day.
type outcome uint8

const (
	found outcome = iota
	never         // all windows known, none cold
	gap           // too much unknown before one was found
)

// firstCold applies the rule. The index is that of the first cold day; for
// never it is one past the end, for gap the first day that could not be judged.
// A day that is itself not known cannot be the first cold day.
func (a autumn) firstCold(h highs) (int, outcome) {
	var sum int64
	count := 0
	for i := range a.n {
		if h.known[i] {
			sum += h.t[i]
			count++
		}
		if j := i - a.win; j >= 0 && h.known[j] {
			sum -= h.t[j]
			count--
		}
		switch {
		case i < a.win-1:
		case count < a.need:
			return i, gap
		case h.known[i] && sum < a.limit*int64(count):
			return i, found
		}
	}
	return a.n, never
}

// FirstCold gives the first day after 15 August (south: 15 February) of a
// season on which the mean of the last ten daily highs is below 13 °C (all
// figures), from the days of that season alone. ok is false when too many days
// are unknown before it, or none came by the end of January (July).
//
// Gaps are taken as they are: [Fill] them first if short ones may be bridged.
func FirstCold(s Series, season int, south bool, set figure.Set) (day units.Day, ok bool) {
	a := makeAutumn(season, south, set)
	i, what := a.firstCold(a.take(s, 0))
	if what != found {
		return 0, false
	}
	return a.day(i), true
}
