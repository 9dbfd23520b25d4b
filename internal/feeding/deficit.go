package feeding

import (
	"math"

	"larder/internal/figure"
	"larder/internal/units"
)

// Food is what is known of one colony's food, as plain numbers.
type Food struct {
	Colony string
	// Stores is the usable ripe stores in kilograms, with its spread. Syrup
	// still in a feeder is not stores.
	Stores figure.Estimate
	// Target is what it should have when feeding ends.
	Target    units.Mass
	TargetWhy []Reason
	// KgPerLitre is what one litre of the chosen syrup becomes in the comb,
	// in kilograms of stores; above 0.
	KgPerLitre float64
	// Most is the most stores its comb should hold; 0 = not told.
	Most units.Mass
	// Why is what made the estimate as wide as it is.
	Why []Reason
}

// Shortage is what one colony lacks.
type Shortage struct {
	Colony string
	Known  bool // false: there is no reading, and everything below but Target is unknown
	Stores figure.Estimate
	Target units.Mass
	Short  units.Mass // target less the middle of the estimate, at least 0
	Extra  units.Mass // fed on top for doubt in the reading
	Feed   units.Mass // stores to be made from syrup: Short + Extra, within the comb
	Chance float64    // that it is short of its target now, 0…1
	After  float64    // that it is still short after Feed, 0…1
	Word   string     // see [ChanceWord]
	Syrup  units.Volume
	Heft   bool // another heft would tell more than a bucket
	Why    []Reason
}

// Deficit works out what a colony lacks and the syrup that mends it.
//
//	Short = max(0, target − middle of the estimate)
//	Extra = min(what brings "still short" down to the keeper's care,
//	            the cap for doubt, Short itself)
//
// Care is "feeding.care": 0.1 means still short in at most 1 in 10. The spread
// counted is that of the reading; what the winter may eat is in the target.
// Extra is never above "feeding.care_cap_kg", because a wide reading asks for
// another heft, and never above Short, because a colony on the edge is hefted
// again rather than given a bucket for our doubt. A colony whose middle is at
// or above its target gets nothing. After says honestly what chance remains.
//
// Syrup is Feed over KgPerLitre, rounded up to the handy step. When comb space
// (Most) cuts it, or has no room for the step, it is rounded down. A Stores not
// known gives Known = false, no syrup, and a reason that asks for a reading.
func Deficit(f Food, set figure.Set) Shortage {
	s := Shortage{Colony: f.Colony, Target: f.Target, Stores: f.Stores, Known: f.Stores.Known, Chance: math.NaN(), After: math.NaN()}
	s.Why = append(s.Why, f.TargetWhy...)
	s.Why = append(s.Why, f.Why...)
	if !s.Known {
		s.Word, s.Heft = ChanceWord(s.Chance), true
		s.Why = append(s.Why, Reason{Code: "no-reading", Say: "nothing is known of its stores: heft it"})
		return s
	}
	target := f.Target.Kg()
	s.Chance = f.Stores.Below(target)
	s.Word = ChanceWord(s.Chance)
	s.Short = units.Mass(math.Max(0, target-f.Stores.Mean))
	s.Heft = f.Stores.SD > 0 && math.Abs(target-f.Stores.Mean) < f.Stores.SD
	s.Extra = extra(s.Short, f.Stores.SD, set)
	s.Feed = s.Short + s.Extra
	cut := f.Most > 0 && f.Stores.Mean+s.Feed.Kg() > f.Most.Kg()
	if cut {
		s.Feed = units.Mass(math.Max(0, f.Most.Kg()-f.Stores.Mean))
	}
	s.Syrup = litres(s.Feed, f.KgPerLitre, set.V("feeding.step_l"), cut)
	if !cut && f.Most > 0 && f.Stores.Mean+s.Syrup.L()*f.KgPerLitre > f.Most.Kg()+1e-6 { // the step up would be past the comb
		s.Syrup = litres(s.Feed, f.KgPerLitre, set.V("feeding.step_l"), true)
	}
	s.After = figure.Est(f.Stores.Mean+s.Syrup.L()*f.KgPerLitre, f.Stores.SD).Below(target)
	s.Why = append(s.Why, s.say(cut)...)
	return s
}

// extra is the reserve for doubt in the reading, in kg of stores.
func extra(short units.Mass, sd float64, set figure.Set) units.Mass {
	care := math.Max(1e-6, math.Min(0.5, set.V("feeding.care")))
	z := -figure.Est(0, 1).Quantile(care) // ≥ 0
	return units.Mass(math.Min(z*sd, math.Min(set.V("feeding.care_cap_kg"), short.Kg())))
}

// litres turns stores into syrup by the step; a yield of 0 or less gives none.
func litres(feed units.Mass, perLitre, step float64, down bool) units.Volume {
	if !(feed > 0) || !(perLitre > 0) {
		return 0
	}
	v := feed.Kg() / perLitre
	if !(step > 0) {
		return units.Volume(v)
	}
	// A millionth of a step forgives the rounding of the division.
	if down {
		return units.Volume(math.Floor(v/step+1e-6) * step)
	}
	return units.Volume(math.Ceil(v/step-1e-6) * step)
}

func (s *Shortage) say(cut bool) []Reason {
	var why []Reason
	if s.Short > 0 {
		why = append(why, Reason{Code: "short", Say: "it has about {0}, the target is {1}: short by {2}",
			Amounts: []any{units.Mass(s.Stores.Mean), s.Target, s.Short}})
	} else {
		why = append(why, Reason{Code: "enough", Say: "it has about {0}, the target is {1}",
			Amounts: []any{units.Mass(s.Stores.Mean), s.Target}})
	}
	if s.Extra > 0 {
		why = append(why, Reason{Code: "care", Say: "{0} more, because the reading may be off by {1} either way",
			Amounts: []any{s.Extra, units.Mass(s.Stores.SD)}})
	}
	if s.Heft {
		why = append(why, Reason{Code: "edge", Say: "the doubt of {0} is larger than the difference: heft it again",
			Amounts: []any{units.Mass(s.Stores.SD)}})
	}
	if cut {
		why = append(why, Reason{Code: "comb-full", Say: "its comb should hold no more than {0} of stores, so it gets room for {1}",
			Amounts: []any{units.Mass(s.Stores.Mean) + s.Feed, s.Feed}})
	}
	return why
}

// OnTheEdge is the chance of being short from which a colony is no longer called
// probably enough.
const OnTheEdge = 0.4

// ChanceWord puts a chance of being short into words: from 90 % "short", from
// 60 % "probably short", from 40 % "on the edge", from 10 % "probably enough",
// below "enough"; no number is "not known".
func ChanceWord(p float64) string {
	switch {
	case math.IsNaN(p):
		return "not known"
	case p >= 0.9:
		return "short"
	case p >= 0.6:
		return "probably short"
	case p >= OnTheEdge:
		return "on the edge – heft again"
	case p >= 0.1:
		return "probably enough"
	}
	return "enough"
}
