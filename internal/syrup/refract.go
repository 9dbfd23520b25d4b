package syrup

import (
	"math"

	"larder/internal/fault"
	"larder/internal/units"
)

// RefractiveIndex gives the refractive index of sucrose syrup at 20 °C, 589 nm.
//
// Range 0…76 %. A quartic fitted to the ICUMSA 1974 scale (as listed in an
// open chemistry library from an instrument maker's data book; the original
// was not seen). Error at most 1.1e-5.
func RefractiveIndex(s units.Strength) (float64, error) {
	if err := strengths.to(76).check("syrup.RefractiveIndex", s.Brix()); err != nil {
		return 0, err
	}
	return poly(float64(s), 1.33299, 0.142947, 0.0520545, 0.0229547, -0.0040819), nil
}

// FromIndex gives the strength of sucrose syrup whose refractive index at
// 20 °C, 589 nm is n. Range 1.3330…1.4805 (0…76 %). Error at most 0.007 °Bx.
func FromIndex(n float64) (units.Strength, error) {
	hi, _ := RefractiveIndex(0.76)
	// Four decimals are what instruments show: 1.3330 is water.
	if err := (span{"a refractive index", "", 1.33299 - 5e-5, hi}).check("syrup.FromIndex", n); err != nil {
		return 0, err
	}
	u := max(10*(n-1.33299), 0)
	return units.Strength(poly(u, 0, 69.9721, -18.0741, 4.76221, -0.663058) / 100), nil
}

// RefractometerCorrection gives what to ADD to a reading taken at t on a
// refractometer without temperature compensation (negative below 20 °C). An
// instrument with compensation (ATC) must not be corrected again.
//
// Range: readings 0…75 %, 5…30 °C. A fit to OIV-MA-AS2-02 Table I (10–16 °C,
// within 0.006); carried on to 30 °C it is within 0.04 of what ISO 1743's
// dn/dT gives.
func RefractometerCorrection(reads units.Strength, t units.Temp) (units.Strength, error) {
	const op = "syrup.RefractometerCorrection"
	err := firstErr(strengths.to(75).check(op, reads.Brix()), temps.from(5).to(30).check(op, t.C()))
	if err != nil {
		return 0, err
	}
	d, q := t.C()-20, float64(reads)
	b := d*(0.06257+0.05799*q-0.05278*q*q) + d*d*(9.435e-4-1.034e-3*q)
	return units.Strength(b / 100), nil
}

// Meter says what a strength was read with.
type Meter string

// The meters. "" means the strength is known (or read from an instrument that
// corrects itself).
const (
	Known          Meter = ""
	ATC            Meter = "refractometer-atc" // compensates for temperature itself
	Refractometer  Meter = "refractometer"     // does not
	BrixHydrometer Meter = "hydrometer"        // Brix or Plato spindle, made for 20 °C
)

// TrueStrength gives the strength behind a reading taken at t with a meter.
// Ranges as [RefractometerCorrection] and [FromHydrometer].
func TrueStrength(reads units.Strength, t units.Temp, by Meter) (units.Strength, error) {
	const op = "syrup.TrueStrength"
	switch by {
	case Known, ATC:
		return reads, strengths.check(op, reads.Brix())
	case BrixHydrometer:
		return FromHydrometer(reads, t)
	case Refractometer:
	default:
		e := fault.Newf(fault.NotUnderstood, "", "%q is not a way to read a strength", string(by)).
			WithHint("refractometer, refractometer-atc or hydrometer")
		e.Op = op
		return 0, e
	}
	d, err := RefractometerCorrection(reads, t)
	if err != nil {
		return 0, err
	}
	return max(reads+d, 0), nil
}

// SolidsOf gives the dry solids of a syrup that reads reads on a Brix scale
// when invert (0…1) of the whole syrup is invert sugar: such syrup under-reads
// by about 0.022 °Bx per percent (from memory, ICUMSA). Range 0…85 %.
func SolidsOf(reads units.Strength, invert float64) (units.Strength, error) {
	const op = "syrup.SolidsOf"
	err := firstErr(strengths.check(op, reads.Brix()), (span{"a share of invert", "%", 0, 85}).check(op, 100*invert))
	if err != nil {
		return 0, err
	}
	return reads + units.Strength(0.022*invert), nil
}

// HoneyMoisture gives the water in honey or ripe stores (0.18 = 18 %) from its
// refractive index at t.
//
// Range 13…21 % and 15…30 °C (the source names no temperatures; ours to be
// careful). Source: Wedmore's fit to Chataway's table, AOAC 969.38; within
// 0.02 points of the published table. Equal to 1.73190 − log10[100(n−1)] over
// 0.002243: mixing the two forms is a classic error.
func HoneyMoisture(n float64, t units.Temp) (float64, error) {
	const op = "syrup.HoneyMoisture"
	if err := temps.from(15).to(30).check(op, t.C()); err != nil {
		return 0, err
	}
	n20 := n + 0.00023*(t.C()-20)
	if err := (span{"a refractive index at 20 °C", "", 1.4838, 1.5046}).check(op, n20); err != nil {
		return 0, err
	}
	return (-0.2681 - math.Log10(n20-1)) / 0.002243 / 100, nil
}
