package winter

import (
	"cmp"
	"math"
	"slices"

	"larder/internal/figure"
	"larder/internal/units"
)

// Programme is thin feed a keeper decides to give in spring, with its rules.
type Programme struct {
	From  units.Day
	Until units.Day // 0 = to the first forage
}

// ThinQuery asks whether to give thin feed on a day.
type ThinQuery struct {
	Day    units.Day
	Stores figure.Estimate // kg
	// Runway is the days its stores last, see [RunwayOver]; NaN = not known.
	Runway float64
	// Highs are the daily highs of Day and the days after, as forecast.
	Highs []units.Temp
	// Forage is the first dependable forage; Begun says bees have begun to live
	// from it.
	Forage Forage
	Begun  bool
	Super  bool // a honey super is on
	// Programme is one the keeper has decided on; Running says it was begun.
	Programme *Programme
	Running   bool
}

// Thin is whether to give thin feed.
type Thin struct {
	Give    bool
	Stop    bool // a programme that runs is to end
	Reasons []Reason
}

// ThinFeed says whether a colony is to get thin feed in spring: only where its
// stores last less than 21 days (figure), or in a programme the keeper has
// decided on. Never with a honey super on, for it would go into the honey; not
// before it is warm enough to fly on three days running (figures).
//
// A programme begins no earlier than six weeks before forage (figure) and then
// goes on until forage, until the keeper's own day, or until stores begin to
// fill the nest: brood reared on feed that stops starves. That thin feed makes
// stronger colonies is not proven; without a programme it is not offered for
// that.
func ThinFeed(q ThinQuery, set figure.Set) Thin {
	need := q.Runway < set.V(keyAlarm)
	warm := warmDays(q.Highs, set)
	end, over := q.over(set)
	switch {
	case q.Super:
		return Thin{Stop: q.Running, Reasons: []Reason{because("super", "A honey super is on: feed would go into the honey. Take it off first if they starve")}}
	case q.Running && over:
		if need {
			end.Say += "; but it would starve before forage: feed it on until then"
			return Thin{Give: warm, Reasons: append(coldReason(warm, set), end)}
		}
		return Thin{Stop: true, Reasons: []Reason{end}}
	case need:
		r := because("runway", "Its stores last {0} days, less than {1}", math.Floor(q.Runway), set.V(keyAlarm))
		return Thin{Give: warm, Reasons: append(coldReason(warm, set), r)}
	case q.Running:
		return Thin{Give: warm, Reasons: append(coldReason(warm, set), because("programme", "Your programme runs until {0}", q.until()))}
	case q.Programme != nil:
		return q.begin(warm, set)
	case math.IsNaN(q.Runway):
		return Thin{Reasons: []Reason{because("no-reading", "How long its stores last is not known: heft it first")}}
	}
	return Thin{Reasons: []Reason{because("no-need", "Its stores last: thin feed only makes work, and its gain is not proven")}}
}

func coldReason(warm bool, set figure.Set) []Reason {
	if warm {
		return nil
	}
	return []Reason{because("too-cold", "not {0} on {1} days running: give fondant until it is", units.Temp(set.V(keyThinHigh)), set.V(keyThinDays))}
}

func (q *ThinQuery) until() units.Day {
	if q.Programme != nil && q.Programme.Until != 0 {
		return q.Programme.Until
	}
	return q.Forage.Day
}

// over says whether a programme has come to its end.
func (q *ThinQuery) over(set figure.Set) (Reason, bool) {
	full := set.V(keyThinFull)
	switch {
	case q.Begun:
		return because("forage", "Bees live from forage now: the programme ends"), true
	case q.Day > q.until():
		return because("programme-over", "The programme ended on {0}", q.until()), true
	case q.Stores.Known && q.Stores.Mean > full:
		return because("full", "It has {0}: more would fill the brood nest", units.Mass(q.Stores.Mean)), true
	}
	return Reason{}, false
}

// begin applies the start rules.
func (q *ThinQuery) begin(warm bool, set figure.Set) Thin {
	near := units.Day(set.V(keyThinNear))
	end, over := q.over(set)
	switch {
	case over:
		return Thin{Reasons: []Reason{end}}
	case q.Day < q.Programme.From:
		return Thin{Reasons: []Reason{because("programme-later", "Your programme begins on {0}", q.Programme.From)}}
	case q.Day < q.Forage.Day-near:
		return Thin{Reasons: []Reason{because("too-early", "Forage is more than {0} days off: brood begun now would have to be fed all the while", int(near))}}
	}
	return Thin{Give: warm, Reasons: append(coldReason(warm, set), because("programme", "Your programme begins; once begun it must go on until {0}", q.until()))}
}

// warmDays tells whether the highs begin with enough warm days.
func warmDays(highs []units.Temp, set figure.Set) bool {
	n := int(set.V(keyThinDays))
	if len(highs) < n {
		return false
	}
	for _, t := range highs[:n] {
		if t.C() < set.V(keyThinHigh) {
			return false
		}
	}
	return true
}

// Wintered is what became of one colony by spring.
type Wintered struct {
	Colony string
	Alive  bool
	Cause  string          // of a dead-out, in the keeper's words; "" = not known
	Left   figure.Estimate // stores still there, kg
	// Foretold is the chance to be short that the last watch gave it; NaN = none.
	Foretold float64
}

// CauseCount is how many died of one cause.
type CauseCount struct {
	Cause  string
	Number int
}

// SpringTally is how a yard came through.
type SpringTally struct {
	Colonies, Alive int
	Causes          []CauseCount // most first, then by name
	Starved         int
	// WithFood is how many starved with more than the reserve in the hive: the
	// cluster did not reach it, and more stores would not have helped.
	WithFood int
	// Unforeseen is how many starved of which the watch thought it unlikely (less
	// than 1 in 20).
	Unforeseen int
	Left       figure.Estimate // mean and spread of stores of the living
}

// CauseStarved is the cause the watch could have foretold.
const CauseStarved = "starved"

// Tally counts how colonies came through. reserve is what a cluster cannot
// reach.
func Tally(all []Wintered, reserve units.Mass) SpringTally {
	t := SpringTally{Colonies: len(all)}
	var left []float64
	for _, w := range all {
		if w.Alive {
			t.Alive++
			if w.Left.Known {
				left = append(left, w.Left.Mean)
			}
			continue
		}
		t.dead(w, reserve)
	}
	slices.SortFunc(t.Causes, func(a, b CauseCount) int {
		return cmp.Or(cmp.Compare(b.Number, a.Number), cmp.Compare(a.Cause, b.Cause))
	})
	if len(left) > 0 {
		t.Left = figure.Est(moments(left))
	}
	return t
}

func (t *SpringTally) dead(w Wintered, reserve units.Mass) {
	cause := w.Cause
	if cause == "" {
		cause = "not known"
	}
	i := slices.IndexFunc(t.Causes, func(c CauseCount) bool { return c.Cause == cause })
	if i < 0 {
		t.Causes = append(t.Causes, CauseCount{Cause: cause})
		i = len(t.Causes) - 1
	}
	t.Causes[i].Number++
	if cause != CauseStarved {
		return
	}
	t.Starved++
	if w.Left.Known && w.Left.Mean > reserve.Kg() {
		t.WithFood++
	}
	if w.Foretold < 0.05 {
		t.Unforeseen++
	}
}
