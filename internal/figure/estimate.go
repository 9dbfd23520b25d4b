package figure

import "math"

// Estimate is a quantity with its spread. The zero Estimate means "not known";
// a known zero has Known set.
type Estimate struct {
	Mean  float64 // in the unit the context names
	SD    float64 // one standard deviation, ≥ 0
	Known bool
}

// Est makes a known estimate.
func Est(mean, sd float64) Estimate { return Estimate{Mean: mean, SD: math.Abs(sd), Known: true} }

// Plus adds two independent estimates; not known if either is.
func (e Estimate) Plus(o Estimate) Estimate {
	if !e.Known || !o.Known {
		return Estimate{}
	}
	return Est(e.Mean+o.Mean, math.Hypot(e.SD, o.SD))
}

// Minus subtracts an independent estimate; not known if either is.
func (e Estimate) Minus(o Estimate) Estimate {
	if !e.Known || !o.Known {
		return Estimate{}
	}
	return Est(e.Mean-o.Mean, math.Hypot(e.SD, o.SD))
}

// Times scales e by an exact factor.
func (e Estimate) Times(k float64) Estimate {
	if !e.Known {
		return e
	}
	return Est(e.Mean*k, e.SD*k)
}

// Below gives the probability that the quantity lies below x, taking the
// spread as normal. Not known gives NaN. SD 0 gives 0 or 1 (½ at x itself).
func (e Estimate) Below(x float64) float64 {
	if !e.Known {
		return math.NaN()
	}
	if e.SD == 0 {
		switch {
		case e.Mean < x:
			return 1
		case e.Mean > x:
			return 0
		}
		return 0.5
	}
	return 0.5 * math.Erfc((e.Mean-x)/(e.SD*math.Sqrt2))
}

// Quantile gives the value that the quantity stays below with probability p
// (0 < p < 1), taking the spread as normal.
func (e Estimate) Quantile(p float64) float64 {
	if !e.Known || p <= 0 || p >= 1 {
		return math.NaN()
	}
	return e.Mean + e.SD*math.Sqrt2*math.Erfinv(2*p-1)
}
