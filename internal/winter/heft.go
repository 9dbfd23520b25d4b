package winter

import (
	"math"
	"slices"
	"strings"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// HeftQuery asks whom to heft next.
type HeftQuery struct {
	Colonies []Colony
	// By is the morning until which the decision must hold: the next round, or
	// 0 for the whole winter.
	By units.Day
	// SD is the spread a heft leaves, kg; 0 takes the figure (1.5 kg).
	SD         float64
	Confidence float64 // 0 takes the figure
	Reserve    *units.Mass
}

// Look is what hefting one colony is worth.
type Look struct {
	Colony string
	Known  bool
	// Short is the chance that it is below the reserve by the day asked.
	Short float64
	// Feed is what would be decided without looking.
	Feed bool
	// Changes is the chance that a heft changes that.
	Changes float64
	// Worth is the expected saving by looking first, in colonies: a colony that
	// runs short counts 1, feeding one that need not be fed counts 1 − confidence.
	Worth float64
	// Perfect is what it would be worth to know its fate.
	Perfect float64
	Reasons []Reason
}

// NextHeft lists the colonies with the most worth hefting first: a colony is
// fed when the chance that it runs short is more than 1 − confidence, so a heft
// of one that is surely short or surely well off changes nothing, however light
// it is. Colonies of which nothing is known come first, then by Worth, then by
// Short, then by id.
//
// The worth is the expected value of the sample information (H. Raiffa, R.
// Schlaifer, Applied Statistical Decision Theory, 1961; from memory): what a
// heft may read is integrated over before it is made.
func (e *Ensemble) NextHeft(q HeftQuery) ([]Look, error) {
	conf, reserve, err := e.terms(q.Confidence, q.Reserve)
	if err != nil {
		return nil, err
	}
	if q.SD == 0 {
		q.SD = e.figs.V(keyHeftSD)
	}
	if !(q.SD > 0 && q.SD < 50) {
		return nil, fault.Newf(fault.OutOfRange, "heft", "a spread of %.1f kg is no heft", q.SD).WithHint("between 0.1 and 50 kg")
	}
	day := e.days
	if q.By != 0 {
		if day, err = e.index(q.By); err != nil {
			return nil, err
		}
	}
	out := make([]Look, len(q.Colonies))
	use := make([]float64, e.draws)
	for i, c := range q.Colonies {
		if err := checkColony(c); err != nil {
			return nil, err
		}
		out[i] = Look{Colony: c.ID, Known: c.Stores.Known, Short: math.NaN()}
		if c.Stores.Known {
			e.eaten(use, c, day)
			slices.Sort(use)
			out[i].weigh(c.Stores, use, q.SD, reserve.Kg(), 1-conf)
		}
		out[i].say()
	}
	slices.SortStableFunc(out, lookOrder)
	return out, nil
}

func lookOrder(a, b Look) int {
	desc := func(x, y float64) int {
		switch {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	}
	if a.Known != b.Known {
		if b.Known {
			return -1
		}
		return 1
	}
	if c := desc(a.Worth, b.Worth); c != 0 {
		return c
	}
	if c := desc(a.Short, b.Short); c != 0 {
		return c
	}
	return strings.Compare(a.Colony, b.Colony)
}

// weigh works out the worth of one heft. cost is what a needless feeding costs
// against a colony.
func (l *Look) weigh(has figure.Estimate, use []float64, noise, reserve, cost float64) {
	now := shortCurve{use, reserve}
	l.Short = now.short(has.Mean, has.SD)
	l.Feed = l.Short > cost
	prior := math.Min(cost, l.Short)
	l.Perfect = math.Max(0, prior-cost*l.Short)
	// After a heft the estimate has the spread left and stands at has.Mean +
	// move·z: what is known before of where it will stand.
	v := has.SD * has.SD
	left := math.Sqrt(v * noise * noise / (v + noise*noise))
	move := v / math.Sqrt(v+noise*noise)
	if v == 0 || move == 0 {
		return
	}
	// The gain has one kink, where the decision turns; find it and integrate
	// exactly to either side of it by steps of equal chance.
	const n = 64
	after := 0.0
	for i := range n {
		z := figure.Est(0, 1).Quantile((float64(i) + 0.5) / n)
		p := now.short(has.Mean+move*z, left)
		after += math.Min(cost, p) / n
		if (p > cost) != l.Feed {
			l.Changes += 1.0 / n
		}
	}
	l.Worth = math.Max(0, math.Min(prior-after, l.Perfect))
}

// shortCurve gives the chance to be short from draws of what is eaten.
type shortCurve struct {
	use     []float64 // sorted
	reserve float64
}

// short takes the stores as normal. What is eaten is thinned to 50 draws of
// equal chance: the look is compared, not the chance shown to the per mille.
func (s shortCurve) short(mean, sd float64) float64 {
	const n = 50
	p := 0.0
	for i := range n {
		u := quantile(s.use, (float64(i)+0.5)/n)
		p += figure.Est(mean-u, sd).Below(s.reserve) / n
	}
	return p
}

func (l *Look) say() {
	switch {
	case !l.Known:
		l.Reasons = []Reason{because("no-reading", "Nothing is known of its stores: heft it first")}
	case l.Worth < 1e-4 && l.Feed:
		l.Reasons = []Reason{because("surely-short", "It is short whatever a heft would say")}
	case l.Worth < 1e-4:
		l.Reasons = []Reason{because("surely-enough", "It has enough whatever a heft would say")}
	case l.Feed:
		l.Reasons = []Reason{because("may-spare", "As it stands it would be fed; in {0} of 100 cases a heft shows it need not be", math.Round(100*l.Changes))}
	default:
		l.Reasons = []Reason{because("may-miss", "As it stands it would be left; in {0} of 100 cases a heft shows it must be fed", math.Round(100*l.Changes))}
	}
}
