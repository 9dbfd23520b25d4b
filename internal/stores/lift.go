package stores

import (
	"math"

	"larder/internal/fault"
	"larder/internal/units"
)

// Lifting a hive at one side, statics.
//
// Pivots at two bottom edges a distance D apart. Lifting at one side with a
// lever arm d1 measured from the opposite pivot gives F1, the other side d2
// gives F2. Moments about each pivot, with the weight W acting at x1 and x2
// from them: F1·d1 = W·x1, F2·d2 = W·x2, and x1 + x2 = D. Hence exactly,
// wherever the weight lies,
//
//	W = (F1·d1 + F2·d2) / D
//
// With hook and pivot at the opposite outer edges d1 = d2 = D, and the lifts
// simply add: the rule of the associations (SW Herts BKA, Weser-Ems, Extertal,
// Dorfen), which fails when the hive stands on something inboard of its edges.

// LiftWeight gives the weight of a hive from a lift at each side. l nil means
// hook and pivot at the opposite outer edges. Faults: fault.OutOfRange for
// arms that cannot be.
func LiftWeight(f1, f2 units.Mass, l *Levers) (units.Mass, error) {
	if l == nil {
		return f1 + f2, nil
	}
	if err := arms(l.Arm1, l.Arm2, l.Pivots); err != nil {
		return 0, err
	}
	return units.Mass((f1.Kg()*float64(l.Arm1) + f2.Kg()*float64(l.Arm2)) / float64(l.Pivots)), nil
}

// OneLiftWeight gives the weight of a hive from a lift at one side, taking the
// weight to lie in the middle between the pivots: W = 2·F·d/D.
func OneLiftWeight(f units.Mass, l *Levers) (units.Mass, error) {
	if l == nil {
		return 2 * f, nil
	}
	if err := arms(l.Arm1, l.Pivots); err != nil {
		return 0, err
	}
	return units.Mass(2 * f.Kg() * float64(l.Arm1) / float64(l.Pivots)), nil
}

// arms wants every length above nothing and below 5 m.
func arms(lengths ...units.Length) error {
	for _, d := range lengths {
		if !(d > 0 && d < 5) {
			return fault.Newf(fault.OutOfRange, "", "a lever arm of %g m cannot be", float64(d)).
				WithHint("measure from the edge the hive tips on to the hook, and between the two edges it tips on")
		}
	}
	return nil
}

// InsetPivots gives the levers of a hive with floor length base that tips on
// blocks inset from its edges, hooked at the edges.
func InsetPivots(base, inset units.Length) Levers {
	return Levers{Arm1: base - inset, Arm2: base - inset, Pivots: base - 2*inset}
}

// OutsideHook gives the levers of a hive tipping on its edges, hooked a
// distance out from them.
func OutsideHook(base, out units.Length) Levers {
	return Levers{Arm1: base + out, Arm2: base + out, Pivots: base}
}

// OffCentre gives the relative error of one lift doubled when the weight lies
// c off the middle of pivots base apart, lifted at the side it lies towards.
func OffCentre(c, base units.Length) float64 { return 2 * float64(c) / float64(base) }

// TiltBias gives the relative error of a lift read with the edge raised by gap:
// each lift reads low by W·(h/L)·tan t, with tan t = gap/L, h the height of the
// weight above the pivots and L their distance. The sum of two lifts is low
// by twice that. The result is negative, for the sum.
func TiltBias(h, base, gap units.Length) float64 {
	return -2 * float64(h/base) * float64(gap/base)
}

// SlantPull gives the factor by which a pull at an angle off the vertical, in
// degrees, reads too high.
func SlantPull(degrees float64) float64 { return 1 / math.Cos(degrees*math.Pi/180) }
