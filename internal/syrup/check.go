package syrup

import (
	"math"

	"larder/internal/fault"
	"larder/internal/units"
)

// The widest range in which anything here is asked for. The polynomials stay
// smooth a little beyond their sources (0–100 °C, 0–84 %); what is narrower
// says so itself.
const (
	maxStrength = 0.85
	minTemp     = -10.0
	maxTemp     = 100.0
)

// span is the range of one argument, in the unit the keeper reads.
type span struct {
	what, unit string
	lo, hi     float64
}

var (
	strengths = span{"a strength", "%", 0, maxStrength * 100}
	temps     = span{"a temperature", "°C", minTemp, maxTemp}
	bulks     = span{"a loose weight of sugar", "kg/L", 0.5, 1.2}
	wanted    = span{"a wanted strength", "%", 1, maxStrength * 100}
)

// to gives the span with another upper end.
func (r span) to(hi float64) span { r.hi = hi; return r }

// from gives the span with another lower end.
func (r span) from(lo float64) span { r.lo = lo; return r }

// check refuses what is no number and what lies outside the span. The slack of
// 1e-9 lets a value pass that was scaled to percent and back.
func (r span) check(op string, v float64) error {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return &fault.Error{Kind: fault.OutOfRange, Op: op, Say: r.what + " is missing or is not a number",
			Hint: "give a plain number"}
	}
	if v < r.lo-1e-9 || v > r.hi+1e-9 {
		e := fault.Newf(fault.NotKnownHere, "", "%s of %.4g %s is outside what our sources cover", r.what, v, r.unit).
			WithHint("known from %.4g to %.4g %s", r.lo, r.hi, r.unit)
		e.Op = op
		return e
	}
	return nil
}

// checkST is the common check of a strength and a temperature.
func checkST(op string, s units.Strength, t units.Temp) error {
	if err := strengths.check(op, s.Brix()); err != nil {
		return err
	}
	return temps.check(op, t.C())
}

// most and least bound amounts in any unit: beyond them sums overflow, and
// nobody has that much or so little of anything.
const (
	most  = 1e12
	least = 1e-9
)

// amount refuses what cannot be an amount: no number, below nothing, or more
// than can be counted.
func amount(op, what string, v float64) error {
	if math.IsNaN(v) || v < 0 || v > most {
		e := fault.Newf(fault.OutOfRange, "", "%s cannot be %v", what, v).WithHint("give zero or more")
		e.Op = op
		return e
	}
	return nil
}

// positive refuses what is no amount, and nothing.
func positive(op, what string, v float64) error {
	if err := amount(op, what, v); err != nil {
		return err
	}
	if v < least {
		e := fault.Newf(fault.Missing, "", "%s has not been told", what).WithHint("give more than zero")
		e.Op = op
		return e
	}
	return nil
}

// firstErr gives the first error that is one.
func firstErr(errs ...error) error {
	for _, e := range errs {
		if e != nil {
			return e
		}
	}
	return nil
}

// bisect finds x in [lo,hi] with f(x) = 0 for a monotone f whose sign differs
// at the ends, to the last bit of a float64. A root outside gives ok = false.
func bisect(f func(float64) float64, lo, hi float64) (x float64, ok bool) {
	flo, fhi := f(lo), f(hi)
	switch {
	case flo == 0:
		return lo, true
	case fhi == 0:
		return hi, true
	case math.IsNaN(flo) || math.IsNaN(fhi) || (flo > 0) == (fhi > 0):
		return 0, false
	}
	for range 200 {
		mid := lo + (hi-lo)/2
		if mid == lo || mid == hi {
			break
		}
		if fm := f(mid); fm == 0 {
			return mid, true
		} else if (fm > 0) == (flo > 0) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo + (hi-lo)/2, true
}

// poly evaluates c[0] + c[1]·x + c[2]·x² …
func poly(x float64, c ...float64) float64 {
	var y float64
	for i := len(c) - 1; i >= 0; i-- {
		y = y*x + c[i]
	}
	return y
}
