package winter

import (
	"math"
	"slices"

	"larder/internal/figure"
	"larder/internal/units"
)

// Form is what emergency feed is given as.
type Form string

// The forms, in the order they are preferred.
const (
	Combs    Form = "combs"     // sealed combs of one's own, same yard, free of disease
	Syrup    Form = "syrup"     // only where it is warm enough to fly
	Fondant  Form = "fondant"   // right over the cluster
	DrySugar Form = "dry sugar" // right over the cluster, damped
)

// Key gives the form as one word, for catalogues and JSON: "dry-sugar".
func (f Form) Key() string {
	if f == DrySugar {
		return "dry-sugar"
	}
	return string(f)
}

// Lack gives how much stores must be added on the ensemble's first day so that
// a colony keeps its reserve until the morning of by with the chance conf: what
// is missing to the (1−conf) quantile. by 0 = to first forage. Reserve nil and
// conf 0 take the figures. A colony of which nothing is known has no lack that
// could be told: known is false.
func (e *Ensemble) Lack(c Colony, by units.Day, conf float64, reserve *units.Mass) (lack units.Mass, known bool, err error) {
	conf, keep, err := e.terms(conf, reserve)
	if err != nil {
		return 0, false, err
	}
	day := e.days
	if by != 0 {
		if day, err = e.index(by); err != nil {
			return 0, false, err
		}
	}
	if err := checkColony(c); err != nil {
		return 0, false, err
	}
	if !c.Stores.Known {
		return 0, false, nil
	}
	use, left := make([]float64, e.draws), make([]float64, e.draws)
	e.eaten(use, c, day)
	e.stores(left, c)
	for j := range left {
		left[j] -= use[j]
	}
	slices.Sort(left)
	return units.Mass(math.Max(0, keep.Kg()-quantile(left, 1-conf))), true, nil
}

// NeedQuery asks what to feed a colony that will not last.
type NeedQuery struct {
	Lack  units.Mass // see [Ensemble.Lack]
	High  units.Temp // forecast high of the day of the visit and the days after
	Mean  units.Temp // mean of those days
	Known bool       // High and Mean are known
	// Combs says that sealed combs of one's own, from the same yard and free of
	// disease, are at hand; CombKg is what one holds.
	Combs  bool
	CombKg units.Mass
	// SyrupKg is what a litre of syrup becomes in the comb, kg; 0 = no syrup.
	SyrupKg float64
}

// Option is one way of feeding in need.
type Option struct {
	Form   Form
	Kg     units.Mass   // of the feed, in all; 0 for syrup
	Litres units.Volume // of syrup
	Count  int          // of combs
	From   string       // of combs: the colony that gives them; "" = not told
	Now    units.Mass   // of it to lay on at this visit; for syrup 0
	Visits int
	Why    Reason
}

// Need is what a colony should be fed in need, best way first.
type Need struct {
	Lack    units.Mass
	Options []Option
	Reasons []Reason
}

// Emergency gives form and amount of feed for a colony that will not last.
//
// While the daily high is below 10 °C (figure) nothing liquid is given. Where
// the mean is below 0 °C (figure) the feed must touch the cluster: combs or
// fondant, no dry sugar. At most 2.5 kg (figure) is laid on at a visit. What a
// kilogram is worth in stores is a figure of each form. Without a forecast it is
// taken for cold.
func Emergency(q NeedQuery, set figure.Set) Need {
	n := Need{Lack: q.Lack}
	if !(q.Lack > 0) {
		n.Reasons = []Reason{because("no-need", "It lasts: no feed is needed")}
		return n
	}
	liquid := q.Known && q.High.C() >= set.V(keyLiquid)
	touching := !q.Known || q.Mean.C() < set.V(keyTouch)
	if !q.Known {
		n.Reasons = append(n.Reasons, because("no-forecast", "how warm it will be is not known: it is taken for cold"))
	} else if !liquid {
		n.Reasons = append(n.Reasons, because("too-cold", "{0} at the warmest: nothing liquid below {1}", q.High, units.Temp(set.V(keyLiquid))))
	}
	if q.Combs && q.CombKg > 0 {
		k := int(math.Ceil(float64(q.Lack/q.CombKg) - 1e-9))
		n.Options = append(n.Options, Option{Form: Combs, Count: k, Kg: units.Mass(k) * q.CombKg, Now: units.Mass(k) * q.CombKg, Visits: 1,
			Why: because("combs", "sealed combs of your own, free of disease, touching the cluster")})
	}
	if liquid && q.SyrupKg > 0 {
		n.Options = append(n.Options, Option{Form: Syrup, Litres: units.Volume(q.Lack.Kg() / q.SyrupKg), Visits: 1,
			Why: because("warm-enough", "warm enough for syrup, given warm and close to the bees; what is not taken comes off again")})
	}
	n.Options = append(n.Options, solid(Fondant, q.Lack, set.V(keyFondant), set,
		because("over-cluster", "right over the cluster, under a lid that keeps the warmth in")))
	if !touching {
		n.Options = append(n.Options, solid(DrySugar, q.Lack, set.V(keyDrySugar), set,
			because("over-cluster", "on paper right over the cluster, damped so that it cakes; weak colonies carry it out")))
	} else {
		n.Reasons = append(n.Reasons, because("must-touch", "it is too cold for bees to climb to dry sugar: feed must touch the cluster"))
	}
	return n
}

func solid(f Form, lack units.Mass, worth float64, set figure.Set, why Reason) Option {
	step, most := math.Max(set.V(keyStep), 1e-3), set.V(keyMost)
	kg := math.Ceil(lack.Kg()/math.Max(worth, 0.1)/step-1e-9) * step
	visits := max(1, int(math.Ceil(kg/most-1e-9)))
	return Option{Form: f, Kg: units.Mass(kg), Now: units.Mass(math.Min(kg, most)), Visits: visits, Why: why}
}
