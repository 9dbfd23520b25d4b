package rig

import (
	"math"

	"larder/internal/fault"
)

// g is standard gravity in m/s²; exact by convention: NIST SP 330 (2019).
const g = 9.80665

// trouble makes an error that says in which function it came up.
func trouble(k fault.Kind, op, format string, args ...any) *fault.Error {
	e := fault.Newf(k, "", format, args...)
	e.Op = op
	return e
}

// amount refuses what cannot be an amount: no number, or below nothing.
func amount(op, what string, x float64) error {
	if math.IsNaN(x) || math.IsInf(x, 0) || x < 0 {
		return trouble(fault.OutOfRange, op, "%s cannot be %v", what, x).WithHint("give zero or more")
	}
	return nil
}

// positive refuses what is no number, below nothing, or has not been told.
func positive(op, what string, x float64) error {
	if err := amount(op, what, x); err != nil {
		return err
	}
	if x == 0 {
		return trouble(fault.Missing, op, "%s has not been told", what).WithHint("measure it and put it in")
	}
	return nil
}

// finite refuses what is no number; it may be below zero.
func finite(op, what string, x float64) error {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return trouble(fault.OutOfRange, op, "%s is not a number", what).WithHint("give a plain number")
	}
	return nil
}

// covered refuses what lies outside the range of a source.
func covered(op, what, unit string, x, lo, hi float64) error {
	if err := finite(op, what, x); err != nil {
		return err
	}
	if x < lo || x > hi {
		return trouble(fault.NotKnownHere, op, "%s of %.4g %s is outside what our sources cover", what, x, unit).
			WithHint("known from %.4g to %.4g %s", lo, hi, unit)
	}
	return nil
}

// fraction refuses what is not between nothing and all.
func fraction(op, what string, x float64) error {
	if !(x >= 0 && x <= 1) {
		return trouble(fault.OutOfRange, op, "%s cannot be %v", what, x).WithHint("give a part between 0 and 1")
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

// root finds x in [lo,hi] with f(x) = 0 for a monotone f, by halving until two
// float64 are neighbours. f must differ in sign at the ends; if it does not,
// the end nearer to zero is given.
func root(f func(float64) float64, lo, hi float64) float64 {
	flo, fhi := f(lo), f(hi)
	if (flo > 0) == (fhi > 0) {
		if math.Abs(flo) <= math.Abs(fhi) {
			return lo
		}
		return hi
	}
	for range 200 {
		mid := lo + (hi-lo)/2
		if mid <= lo || mid >= hi {
			break
		}
		if fm := f(mid); (fm > 0) == (flo > 0) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo + (hi-lo)/2
}
