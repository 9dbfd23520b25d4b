package winter

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Gauss–Hermite nodes and weights for a standard normal, seven points: √2 and
// 1/√π of those in M. Abramowitz, I. Stegun, Handbook of Mathematical
// Functions, NBS 1964, table 25.10.
var (
	nodeZ = [...]float64{-2.651961356835233 * math.Sqrt2, -1.673551628767471 * math.Sqrt2, -0.816287882858965 * math.Sqrt2, 0,
		0.816287882858965 * math.Sqrt2, 1.673551628767471 * math.Sqrt2, 2.651961356835233 * math.Sqrt2}
	nodeW = [...]float64{0.0009717812450995, 0.05451558281913, 0.4256072526101, 0.8102646175568, 0.4256072526101, 0.05451558281913, 0.0009717812450995}
)

// Quad is the distribution of what a colony eats to the first dependable
// forage, worked out without chance: in each winter lognormal, the winters
// mixed.
//
// In each winter every dimension is moved alone through seven nodes; the
// logarithm of what is eaten is taken as the sum of their effects. That leaves
// out how they act together, which the test against the draws keeps below the
// stated band.
type Quad struct {
	mu, sd []float64 // of the logarithm, by winter
	Mean   float64   // kg
	SD     float64   // kg
	// By is the spread each group of what is not known brings alone, kg.
	By [nGroups]float64
}

// The groups of what is not known.
const (
	ByWeather = iota // which winter comes
	ByRates          // what bees eat for heat and for themselves, cold and warm
	ByBrood          // how much brood, when, and what it costs
	ByBees           // how many bees there are
	ByColony         // one colony against others alike
	ByForage         // when forage begins
	ByFew            // few winters are known
	nGroups
)

var groupOf = [nDims]int{Cluster: ByRates, PerKg: ByRates, BroodFood: ByBrood, BroodWarmth: ByBrood, dCold: ByRates, dDeep: ByRates, dMore: ByRates,
	dStir: ByRates, dShift: ByBrood, dAmount: ByBrood, dBees: ByBees, dForage: ByForage, dFew: ByFew, dColony: ByColony}

// Quadrature works out a colony's distribution. Its stores are not looked at.
func (e *Ensemble) Quadrature(c Colony) (Quad, error) {
	if err := checkColony(c); err != nil {
		return Quad{}, err
	}
	s, f := e.shareOf(c), c.factor(&e.params)
	var q Quad
	var by [nGroups]float64
	var means []float64
	for w := range e.winters.Temp {
		mu, v := e.oneWinter(s, f, w, &by)
		q.mu, q.sd = append(q.mu, mu), append(q.sd, math.Sqrt(v))
		means = append(means, math.Exp(mu+v/2))
	}
	n := float64(len(means))
	var second float64
	for i, m := range means {
		q.Mean += m / n
		second += m * m * math.Exp(q.sd[i]*q.sd[i]) / n
	}
	q.SD = math.Sqrt(math.Max(0, second-q.Mean*q.Mean))
	for _, m := range means {
		by[ByWeather] += (m - q.Mean) * (m - q.Mean)
	}
	for g := range by {
		q.By[g] = math.Sqrt(by[g] / n)
	}
	return q, nil
}

// oneWinter gives mean and variance of the logarithm in one winter, and adds
// each group's variance in kg² to by.
func (e *Ensemble) oneWinter(s share, f figure.Estimate, w int, by *[nGroups]float64) (mu, v float64) {
	var zero [nDims]float64
	pt := e.at(&zero)
	base := math.Max(e.eatenAt(s, &pt, w), 1e-9)
	mu = math.Log(base) + math.Log(math.Max(f.Mean, 1e-9))
	for d := range dStores {
		if !e.varies(d, f) {
			continue
		}
		var m1, m2, k1, k2, sum float64
		for i, z := range nodeZ {
			u := base
			if d == dColony {
				u *= colonyFactor(f.Mean, f.SD, z) / f.Mean
			} else {
				at := zero
				at[d] = z
				pt := e.at(&at)
				u = math.Max(e.eatenAt(s, &pt, w), 1e-9)
			}
			l, kg := math.Log(u/base), u*f.Mean
			sum += nodeW[i]
			m1, m2 = m1+nodeW[i]*l, m2+nodeW[i]*l*l
			k1, k2 = k1+nodeW[i]*kg, k2+nodeW[i]*kg*kg
		}
		m1, m2, k1, k2 = m1/sum, m2/sum, k1/sum, k2/sum
		mu += m1
		v += math.Max(0, m2-m1*m1)
		by[groupOf[d]] += math.Max(0, k2-k1*k1)
	}
	return mu, v
}

// varies tells whether a dimension can move anything: the others cost seven
// winters each for nothing.
func (e *Ensemble) varies(d int, f figure.Estimate) bool {
	p := &e.params
	switch d {
	case dCold:
		return p.Cold.SD > 0
	case dDeep:
		return p.Deep.SD > 0
	case dMore:
		return p.DeepSpread > 0
	case dStir:
		return p.Stir.SD > 0
	case dShift:
		return p.Shift.SD > 0
	case dAmount:
		return p.Amount.SD > 0
	case dBees:
		return p.Bees.SD > 0
	case dForage:
		return e.forage.SD > 0
	case dFew:
		return e.fewSD > 0
	case dColony:
		return f.SD > 0
	}
	return true
}

// Below gives the chance that less than kg is eaten.
func (q Quad) Below(kg float64) float64 {
	if kg <= 0 {
		return 0
	}
	p := 0.0
	for i := range q.mu {
		p += figure.Est(q.mu[i], q.sd[i]).Below(math.Log(kg)) / float64(len(q.mu))
	}
	return p
}

// Quantile gives what is not passed with chance p, by halving.
func (q Quad) Quantile(p float64) float64 {
	lo, hi := 0.0, 1.0
	for q.Below(hi) < p && hi < 1e6 {
		hi *= 2
	}
	for range 60 {
		if mid := (lo + hi) / 2; q.Below(mid) < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// Short gives the chance that a colony with these stores comes below the
// reserve: the spread of the stores is integrated over by the same nodes of
// what is eaten.
func (q Quad) Short(has figure.Estimate, reserve units.Mass) (float64, error) {
	if !has.Known {
		return 0, fault.New(fault.Missing, "stores", "nothing is known of its stores").WithHint("heft it")
	}
	if has.SD == 0 {
		return 1 - q.Below(has.Mean-reserve.Kg()), nil
	}
	// Simpson's rule over ±5 spreads of the stores: smooth on both sides.
	const n = 200
	sum, h := 0.0, 10.0/n
	for i := range n + 1 {
		z := -5 + h*float64(i)
		w := 2.0
		switch {
		case i == 0 || i == n:
			w = 1
		case i%2 == 1:
			w = 4
		}
		s := math.Max(0, has.Mean+has.SD*z)
		sum += w * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) * (1 - q.Below(s-reserve.Kg()))
	}
	return sum * h / 3, nil
}
