package winter

import (
	"math"
	"slices"
	"strings"

	"larder/internal/figure"
	"larder/internal/units"
)

// Weighing is what one colony lost between two weighings.
type Weighing struct {
	Colony   string
	From, To units.Day
	// Lost is the loss of stores, kg, with the spread of the two weighings. The
	// empty weight of the hive drops out of a difference.
	Lost figure.Estimate
	// Expect is what the model, at the figures before any weighing, says for the
	// same days; see [Expected].
	Expect Expectation
	// Fed, Forage, Unripe say what makes it useless: feed was given between, bees
	// brought food home, or syrup was ripening. Any of them puts it aside.
	Fed, Forage, Unripe bool
}

// Expectation is what the model says of the days between two weighings.
type Expectation struct {
	// Share is what each rate is multiplied by over the days, the colony's factor
	// left out.
	Share [nRates]float64
	// SD is the spread, kg, from brood, bees and cold: all that is no rate.
	SD float64
}

// Expected makes the expectation for a pair of weighings from the weather of
// the days between. The colony's own factor is not used.
func Expected(q UseQuery) (Expectation, error) {
	q.Colony.Factor = figure.Est(1, 0)
	rows, v, err := q.meanShares()
	if err != nil {
		return Expectation{}, err
	}
	x := Expectation{SD: math.Sqrt(v)}
	for _, row := range rows {
		for r := range row {
			x.Share[r] += row[r]
		}
	}
	return x, nil
}

// Kg gives what is expected to be eaten at the figures p, in kg.
func (x Expectation) Kg(p *Params) float64 {
	kg := 0.0
	for r := range x.Share {
		kg += p.Rate[r].Mean * x.Share[r] / 1000
	}
	return kg
}

// Calibration is what a yard's weighings say.
type Calibration struct {
	Params Params
	// Colonies holds what single colonies eat against others alike, for those
	// weighed, by id; hand it in as [Colony.Factor].
	Colonies []ColonyFactor
	// Ratio is the mean of eaten over expected, weighed by what each pair tells,
	// before any drawing towards the figures. 0 = no pair.
	Ratio   float64
	Used    int
	Aside   []Aside
	Reasons []Reason
}

// ColonyFactor is one colony's own factor.
type ColonyFactor struct {
	Colony string
	Factor figure.Estimate
	Pairs  int
}

// Aside is a pair of weighings that was not learned from, and why.
type Aside struct {
	Weighing Weighing
	Reason   Reason
}

// Factor gives the factor of a colony; one not weighed is not known.
func (c Calibration) Factor(id string) figure.Estimate {
	for _, f := range c.Colonies {
		if f.Colony == id {
			return f.Factor
		}
	}
	return figure.Estimate{}
}

// Calibrate draws the four rates of prior, and each weighed colony's own
// factor, towards what was eaten between weighings:
//
//	lost = Σ rate·share·(1 + own of the colony) + errors of weighing, brood, bees, cold
//
// This is Bayesian linear regression with a random effect for each colony: the
// figures and their spreads are what was believed before, and each pair counts
// by how much more it knows. So one pair with a spring scale moves little, and
// weighings from midwinter say nothing of what brood costs. The update is exact
// for the linear form; own × rate is taken at the figures.
//
// Each pair's loss is first held between 0.5 and 2 times what was expected
// (figures), and no rate moves further than that from prior. A pair is put
// aside, and said, when it is shorter than 14 days (figure), when feed, forage
// or ripening syrup blurs it, or when nothing was expected. With fewer usable
// pairs than "winter.weigh_pairs" nothing is learned. Order of the pairs does
// not matter.
func Calibrate(pairs []Weighing, prior Params, set figure.Set) Calibration {
	c := Calibration{Params: prior}
	var use []Weighing
	for _, w := range sortedPairs(pairs) {
		if r, bad := unusable(w, &prior, set); bad {
			c.Aside = append(c.Aside, Aside{w, r})
		} else {
			use = append(use, w)
		}
	}
	c.Used = len(use)
	if least := int(set.V(keyPairs)); len(use) < least || len(use) == 0 {
		c.Reasons = append(c.Reasons, because("not-weighed", "{0} pairs of weighings can be learned from, fewer than needed: published figures stand", len(use)))
		c.Used = 0
		return c
	}
	lo, hi := set.V(keyRatioLow), set.V(keyRatioHigh)
	f := newLearner(&prior, use)
	held := 0
	for _, w := range use {
		lost := math.Min(math.Max(w.Lost.Mean, lo*w.Expect.Kg(&prior)), hi*w.Expect.Kg(&prior))
		if lost != w.Lost.Mean {
			held++
		}
		f.learn(w, lost)
	}
	c.Ratio = meanRatio(use, &prior)
	c.Params = f.params(prior, lo, hi, len(use))
	c.Colonies = f.colonies()
	c.Reasons = append(c.Reasons, because("weighed", "learned from {0} pairs of weighings: they ate {1} times what the figures say", len(use), math.Round(c.Ratio*100)/100))
	if held > 0 {
		c.Reasons = append(c.Reasons, because("held", "{0} of them lost less than half or more than twice what was expected and count as if at that limit: robbed, fed, or is an empty weight wrong?", held))
	}
	if len(use) < int(set.V(keyPairsWanted)) {
		c.Reasons = append(c.Reasons, because("few-weighed", "only {0} pairs of weighings: published figures still weigh most", len(use)))
	}
	return c
}

// sortedPairs orders pairs so that rounding does not depend on how they came.
func sortedPairs(pairs []Weighing) []Weighing {
	out := slices.Clone(pairs)
	slices.SortStableFunc(out, func(a, b Weighing) int {
		if c := strings.Compare(a.Colony, b.Colony); c != 0 {
			return c
		}
		if a.From != b.From {
			return int(a.From - b.From)
		}
		if a.To != b.To {
			return int(a.To - b.To)
		}
		switch {
		case a.Lost.Mean < b.Lost.Mean:
			return -1
		case a.Lost.Mean > b.Lost.Mean:
			return 1
		}
		return 0
	})
	return out
}

func unusable(w Weighing, prior *Params, set figure.Set) (Reason, bool) {
	switch least := int(set.V(keyPairDays)); {
	case !w.Lost.Known || math.IsNaN(w.Lost.Mean) || math.IsInf(w.Lost.Mean, 0):
		return because("no-weight", "one of the two weighings gives no number"), true
	case int(w.To-w.From) < least:
		return because("too-short", "{0} days lie between the two weighings, fewer than {1}", int(w.To-w.From), least), true
	case w.Fed:
		return because("fed-between", "it was fed between the two weighings"), true
	case w.Forage:
		return because("forage-between", "bees brought food home between the two weighings"), true
	case w.Unripe:
		return because("unripe-between", "syrup was ripening between the two weighings"), true
	case !(w.Expect.Kg(prior) > 0):
		return because("no-expectation", "what it should have eaten is not known: the weather of those days is missing"), true
	}
	return Reason{}, false
}

func meanRatio(use []Weighing, prior *Params) float64 {
	num, den := 0.0, 0.0
	for _, w := range use {
		x := w.Expect.Kg(prior)
		weight := 1 / (w.Lost.SD*w.Lost.SD + w.Expect.SD*w.Expect.SD + 1e-4)
		num += weight * x * w.Lost.Mean
		den += weight * x * x
	}
	return num / den
}

// learner is the belief in the four rates (grams) and each colony's own.
type learner struct {
	prior *Params
	ids   []string
	pairs []int
	mean  []float64
	cov   [][]float64
}

func newLearner(prior *Params, use []Weighing) *learner {
	f := &learner{prior: prior}
	for _, w := range use {
		if n := len(f.ids); n == 0 || f.ids[n-1] != w.Colony { // sorted by colony
			f.ids, f.pairs = append(f.ids, w.Colony), append(f.pairs, 0)
		}
		f.pairs[len(f.pairs)-1]++
	}
	n := nRates + len(f.ids)
	f.mean, f.cov = make([]float64, n), make([][]float64, n)
	for i := range f.cov {
		f.cov[i] = make([]float64, n)
	}
	for i := range nRates {
		f.mean[i] = prior.Rate[i].Mean
		copy(f.cov[i], prior.Cov[i][:])
	}
	for i := nRates; i < n; i++ {
		f.cov[i][i] = prior.Colony.SD * prior.Colony.SD
	}
	return f
}

// row gives how a pair's loss depends on the state, and the variance of what
// does not.
func (f *learner) row(w Weighing) (h []float64, noise float64) {
	h = make([]float64, len(f.mean))
	for r := range nRates {
		h[r] = w.Expect.Share[r] / 1000
	}
	at, _ := slices.BinarySearch(f.ids, w.Colony)
	h[nRates+at] = w.Expect.Kg(f.prior)
	return h, math.Max(w.Lost.SD*w.Lost.SD+w.Expect.SD*w.Expect.SD, 1e-4)
}

// learn is the Kalman update for one pair.
func (f *learner) learn(w Weighing, lost float64) {
	h, noise := f.row(w)
	ph := make([]float64, len(h))
	total, miss := noise, lost
	for i := range h {
		for j := range h {
			ph[i] += f.cov[i][j] * h[j]
		}
		total += h[i] * ph[i]
		miss -= h[i] * f.mean[i]
	}
	for i := range h {
		f.mean[i] += ph[i] / total * miss
		for j := range h {
			f.cov[i][j] -= ph[i] * ph[j] / total
		}
	}
}

// params reads the rates off, none further from prior than the limits.
func (f *learner) params(prior Params, lo, hi float64, pairs int) Params {
	out := prior
	for i := range nRates {
		m := prior.Rate[i].Mean
		v := prior.Rate[i]
		v.Mean = math.Min(math.Max(f.mean[i], lo*m), hi*m)
		v.SD = math.Sqrt(math.Max(f.cov[i][i], 0))
		// The bounds move along, or a yard beyond the published range could not be
		// drawn.
		v.Low, v.High = math.Min(v.Low, lo*m), math.Max(v.High, hi*m)
		out.Rate[i] = v
		for j := range nRates {
			out.Cov[i][j] = f.cov[i][j]
		}
	}
	out.Pairs = pairs
	return out
}

func (f *learner) colonies() []ColonyFactor {
	out := make([]ColonyFactor, len(f.ids))
	for i, id := range f.ids {
		at := nRates + i
		out[i] = ColonyFactor{Colony: id, Pairs: f.pairs[i],
			Factor: figure.Est(math.Min(math.Max(1+f.mean[at], 0.5), 2), math.Sqrt(math.Max(f.cov[at][at], 0)))}
	}
	return out
}
