package weather

import (
	"cmp"
	"slices"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Replay is what one past year, played through behind this season's own days,
// makes of the days left for syrup.
type Replay struct {
	Season   int       // the year it began in
	Stop     units.Day // the last day for syrup
	Open     bool      // it did not turn cold; Stop is where we stopped looking
	Feedable int       // days on which a round may be made, from the day asked to Stop, both included
}

// Outlook is the replays of all past years, the earliest stop day first.
type Outlook struct {
	Years []Replay
	Few   bool // fewer years than enough (figure, 20): the ends are not known well
}

// Replays plays every past year through behind this season's own days, measured
// or forecast: its stop day by the rule of [StopDay], and the days good for a round
// (see [Round]) from the day from up to it. A day of which nothing is known is not
// counted as good. A stop day typed by the keeper stands in every replay.
//
// Once this season's own days hold the first cold day, every replay has the same
// stop day. Errors: fault.Missing when no past year is known.
func Replays(q StopQuery, from units.Day, set figure.Set) (Outlook, error) {
	filled, _ := Fill(q.Series, set)
	sc := replay(q, filled, set)
	lead := units.Day(q.Feed.Lead(set))
	if len(sc.cold) == 0 {
		return Outlook{}, fault.New(fault.Missing, "days left", "no weather of past years is known for this place").
			WithHint("read in a file of daily weather")
	}
	out := Outlook{Few: float64(len(sc.cold)) < set.V(keyYears)}
	settled, what := sc.a.firstCold(sc.own)
	for i, season := range sc.seasons {
		if sc.past[i].share() < 0.5 {
			continue // only begun or only ended: it says nothing of its own
		}
		r := Replay{Season: season, Stop: sc.a.day(sc.cold[i]) - lead, Open: sc.cold[i] == sc.a.n}
		if what == found {
			r.Stop, r.Open = sc.a.day(settled)-lead, false
		}
		if q.Typed != 0 {
			r.Stop, r.Open = q.Typed, false
		}
		for d := from; d <= r.Stop; d++ {
			day, ok := filled.At(d)
			if !ok || !day.HasMax {
				day, ok = filled.At(sameDay(d, season-q.Season))
				ok = ok && !day.Forecast
			}
			if v := Round(day, set); ok && v.Known && v.OK {
				r.Feedable++
			}
		}
		out.Years = append(out.Years, r)
	}
	slices.SortStableFunc(out.Years, func(a, b Replay) int { return cmp.Or(int(a.Stop-b.Stop), a.Season-b.Season) })
	return out, nil
}

// Feedable gives how many feedable days are left in at least the share p of the
// replays, 0…1: 0.95 is what can be counted on.
func (o Outlook) Feedable(p float64) int {
	n := make([]int, len(o.Years))
	for i, y := range o.Years {
		n[i] = y.Feedable
	}
	if len(n) == 0 {
		return 0
	}
	return lowerOf(n, p)
}

// Stop gives the day that the stop day reaches in at least the share p of the
// replays.
func (o Outlook) Stop(p float64) units.Day {
	n := make([]int, len(o.Years))
	for i, y := range o.Years {
		n[i] = int(y.Stop)
	}
	if len(n) == 0 {
		return 0
	}
	return units.Day(lowerOf(n, p))
}
