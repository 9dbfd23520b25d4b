package syrup

import "larder/internal/units"

// sol is the solubility of sucrose in % by mass at t °C (Bubník & Kadlec).
func sol(t float64) float64 {
	return poly(t, 64.447, 0.08222, 1.6169e-3, -1.558e-6, -4.63e-8)
}

// Solubility gives the strength of syrup saturated at t.
//
// Range −10…100 °C. Source: Bubník & Kadlec, "Sucrose solubility", in
// Mathlouthi & Reiser (eds), Sucrose: Properties and Applications (Blackie
// 1995), pp. 101–125; basis of ICUMSA SPS-2. Charles's formula agrees within
// 0.23 points, older (Herzfeld type) tables within 0.5. For pure sucrose only:
// invert and HFCS hold more solids, and no formula for them is given here.
func Solubility(t units.Temp) (units.Strength, error) {
	if err := temps.check("syrup.Solubility", t.C()); err != nil {
		return 0, err
	}
	return units.Strength(sol(t.C()) / 100), nil
}

// SolubilityCharles is the second method: Charles (1960), coefficients from
// memory. Range 0…90 °C, where it is within 0.23 points of [Solubility].
func SolubilityCharles(t units.Temp) (units.Strength, error) {
	if err := temps.from(0).to(90).check("syrup.SolubilityCharles", t.C()); err != nil {
		return 0, err
	}
	return units.Strength(poly(t.C(), 64.397, 0.07251, 2.0569e-3, -9.035e-6) / 100), nil
}

// neverSaturates is the strength below which we say that no sugar crystals
// form before the syrup freezes: the curve ends at 63.8 % (−10 °C), and the
// known eutectic lies at 62–63 % and −13.6 °C.
const neverSaturates units.Strength = 0.64

// SaturationTemp gives the temperature below which syrup of strength s holds
// more sugar than it can: colder, crystals may grow. ok is false for syrup
// under 64 %, which does not saturate above its freezing.
//
// Range up to 82.6 % (saturated at 100 °C). Inverse of [Solubility]; Charles's
// formula and the older tables put 2:1 at 20.5 and about 17 °C instead of
// 19.6, so take ±2 K.
func SaturationTemp(s units.Strength) (t units.Temp, ok bool, err error) {
	const op = "syrup.SaturationTemp"
	if err := strengths.to(sol(maxTemp)).check(op, s.Brix()); err != nil {
		return 0, false, err
	}
	if s < neverSaturates {
		return 0, false, nil
	}
	x, found := bisect(func(t float64) float64 { return sol(t) - s.Brix() }, minTemp, maxTemp)
	if !found { // only within the slack of the check
		x = maxTemp
	}
	return units.Temp(x), true, nil
}

// Supersaturation gives sugar per water at strength s over sugar per water at
// saturation at t. Below 1 crystals dissolve; from 1 to about 1.2 no new
// crystals form by themselves, but grains, dried rims and dirty valves grow
// (classical pan-boiling rule, from memory); above that it grains on its own.
//
// Range 0…85 %, −10…100 °C. Error: ±0.02 at 2:1, from ±0.4 points in
// solubility.
func Supersaturation(s units.Strength, t units.Temp) (float64, error) {
	if err := checkST("syrup.Supersaturation", s, t); err != nil {
		return 0, err
	}
	b, c := s.Brix(), sol(t.C())
	return b / (100 - b) / (c / (100 - c)), nil
}
