package syrup

import (
	"larder/internal/fault"
	"larder/internal/units"
)

// icumsa holds the coefficients of the ICUMSA SPS-4 / PTB density equation,
// row i for T^i, column j for w^(j+1). Two public copies agree in all
// twenty but the fourth of row 0 (−3.9643 here, −3.9646 there: 7e-5 kg/m³ at
// 70 %).
var icumsa = [5][]float64{
	{385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890},
	{-46.2720, -7.1720, 1.1597, 5.1126, 17.5254},
	{59.7712, 7.2491, 12.3630, -35.4791},
	{-47.2207, -21.6977, 27.6301},
	{18.3184, 12.3081},
}

// kell is the density of water in kg/m³ at t °C (Kell 1975).
func kell(t float64) float64 {
	return poly(t, 999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12) /
		(1 + 16.887236e-3*t)
}

// rho is the density of syrup in kg/m³ for the mass fraction w at t °C,
// unchecked.
func rho(w, t float64) float64 {
	d, T, ti := kell(t), (t-20)/100, 1.0
	for _, row := range icumsa {
		d += ti * w * poly(w, row...)
		ti *= T
	}
	return d
}

// WaterDensity gives the density of pure water at t.
//
// Range −10…100 °C (below 0 °C: undercooled, extrapolated). Source: G. S.
// Kell, J. Chem. Eng. Data 20 (1975) 97. Error below 0.01 kg/m³ at 0–100 °C.
func WaterDensity(t units.Temp) (units.Density, error) {
	if err := temps.check("syrup.WaterDensity", t.C()); err != nil {
		return 0, err
	}
	return units.Density(kell(t.C())), nil
}

// Density gives the density of sucrose syrup of strength s at t.
//
// Range 0…85 %, −10…100 °C; the source states 0–100 °C, colder is a smooth
// extrapolation. Source: ICUMSA SPS-4 / PTB equation as in Bubník, Kadlec,
// Urban & Bruhns, Sugar Technologists Manual, 8th ed. (Bartens 1995), p. 164.
// Against the CRC Handbook 20 °C table: at most 0.31 kg/m³ off to 74 %, 0.82
// at 84 %. No independent table of other temperatures was found.
func Density(s units.Strength, t units.Temp) (units.Density, error) {
	if err := checkST("syrup.Density", s, t); err != nil {
		return 0, err
	}
	return units.Density(rho(float64(s), t.C())), nil
}

// StrengthOf gives the strength of sucrose syrup whose density at t is d: the
// inverse of [Density], by bisection (density rises with strength everywhere
// in the range). A density 1 kg/m³ off moves the answer by 0.16–0.18 °Bx.
func StrengthOf(d units.Density, t units.Temp) (units.Strength, error) {
	const op = "syrup.StrengthOf"
	if err := temps.check(op, t.C()); err != nil {
		return 0, err
	}
	lo, hi := rho(0, t.C()), rho(maxStrength, t.C())
	if err := (span{"a density", "kg/m³", lo, hi}).check(op, float64(d)); err != nil {
		return 0, err
	}
	w, ok := bisect(func(w float64) float64 { return rho(w, t.C()) - float64(d) }, 0, maxStrength)
	if !ok { // within the slack of the check, past an end
		if float64(d) <= lo {
			return 0, nil
		}
		return maxStrength, nil
	}
	return units.Strength(w), nil
}

// MassOf gives the mass of volume v of syrup of strength s, measured at t.
// Range and error as [Density].
func MassOf(v units.Volume, s units.Strength, t units.Temp) (units.Mass, error) {
	d, err := Density(s, t)
	if err := firstErr(err, amount("syrup.MassOf", "a volume", v.L())); err != nil {
		return 0, err
	}
	return units.Mass(v.L() * float64(d) / 1000), nil
}

// VolumeOf gives the volume at t of mass m of syrup of strength s. Range and
// error as [Density].
func VolumeOf(m units.Mass, s units.Strength, t units.Temp) (units.Volume, error) {
	d, err := Density(s, t)
	if err := firstErr(err, amount("syrup.VolumeOf", "a mass", m.Kg())); err != nil {
		return 0, err
	}
	return units.Volume(m.Kg() * 1000 / float64(d)), nil
}

// VolumeAt gives the volume at t2 of what fills v at t1: 1000 L of 2:1 measured
// at 40 °C are 992 L at 20 °C.
func VolumeAt(v units.Volume, s units.Strength, t1, t2 units.Temp) (units.Volume, error) {
	m, err := MassOf(v, s, t1)
	if err != nil {
		return 0, err
	}
	return VolumeOf(m, s, t2)
}

// SugarIn gives the sugar in volume v of syrup of strength s, measured at t:
// 614.8 g in a litre of 1:1 at 20 °C, not 500. Range and error as [Density].
func SugarIn(v units.Volume, s units.Strength, t units.Temp) (units.Mass, error) {
	m, err := MassOf(v, s, t)
	if err != nil {
		return 0, err
	}
	return units.Mass(m.Kg() * float64(s)), nil
}

// QuickVolume gives the volume at 20 °C of syrup made from that much sugar and
// water by the rule that dissolved sugar takes up 0.628 L per kg (CRC
// Handbook: 0.625 at 50 %, 0.628 at 60 %). Good to 0.2 % between 50 and 67 %;
// refused outside. For a card on the wall; [VolumeOf] is the exact way.
func QuickVolume(sugar, water units.Mass) (units.Volume, error) {
	const op = "syrup.QuickVolume"
	if err := firstErr(positive(op, "the sugar", sugar.Kg()), positive(op, "the water", water.Kg())); err != nil {
		return 0, err
	}
	b := 100 * sugar.Kg() / (sugar.Kg() + water.Kg())
	if err := (span{"a strength", "%", 50, 67}).check(op, b); err != nil {
		return 0, err
	}
	return units.Volume(water.Kg()/0.9982 + 0.628*sugar.Kg()), nil
}

// waterVolume turns a mass of water into litres at 20 °C, how the keeper
// measures it.
func waterVolume(m units.Mass) units.Volume { return units.Volume(m.Kg() * 1000 / kell(20)) }

// waterMass turns litres of water at 20 °C into a mass.
func waterMass(v units.Volume) units.Mass { return units.Mass(v.L() * kell(20) / 1000) }

// sureDensity is for callers that have checked their arguments.
func sureDensity(s units.Strength, t units.Temp) units.Density {
	return units.Density(rho(float64(s), t.C()))
}

// notReached is the refusal of a root that the range does not hold.
func notReached(op, say string) error {
	return &fault.Error{Kind: fault.NotKnownHere, Op: op, Say: say}
}
