package rig

import (
	"math"

	"larder/internal/units"
)

// Fluid is syrup (or water) as numbers.
type Fluid struct {
	Density   units.Density
	Viscosity units.Viscosity
	// Spread is one standard deviation of the viscosity as a fraction; 0 = not
	// told, the figure rig.viscosity_sd is used. One percentage point of sugar
	// at 66 % changes the viscosity by 22 to 26 %.
	Spread float64
}

func (f Fluid) check(op string) error {
	return firstErr(positive(op, "the density", float64(f.Density)), positive(op, "the viscosity", float64(f.Viscosity)),
		amount(op, "the spread of the viscosity", f.Spread))
}

// rho and mu are in SI: kg/m³ and Pa·s.
func (f Fluid) rho() float64 { return float64(f.Density) }
func (f Fluid) mu() float64  { return float64(f.Viscosity) / 1000 }

// Regime is how a liquid flows in a pipe.
type Regime string

// The regimes. Between 2000 and 4000 the friction factor is anybody's guess:
// Hydraulic Institute Engineering Data Book, sec. III-A.
const (
	Still     Regime = "still"
	Laminar   Regime = "laminar"
	Unsettled Regime = "unsettled"
	Turbulent Regime = "turbulent"
)

// RegimeOf gives the regime at a Reynolds number.
func RegimeOf(re float64) Regime {
	switch {
	case !(re > 0):
		return Still
	case re < 2000:
		return Laminar
	case re <= 4000:
		return Unsettled
	}
	return Turbulent
}

// Reynolds gives ρ v D/μ of a flow q in a bore; v = 4q/(π D²).
func Reynolds(q units.Flow, bore units.Length, f Fluid) float64 {
	return f.rho() * velocity(q, bore) * float64(bore) / f.mu()
}

// velocity in m/s.
func velocity(q units.Flow, bore units.Length) float64 {
	return 4 * float64(q) / 1000 / (math.Pi * float64(bore) * float64(bore))
}

// leastRe guards against dividing by a standstill.
const leastRe = 1e-6

// Friction gives the Darcy friction factor (four times Fanning's) at a Reynolds
// number above 0 and a relative roughness e/D from 0 to 0.05, in all regimes:
//
//	f = 8·[(8/Re)¹² + (A+B)^−1.5]^(1/12)
//	A = {2.457·ln[1/((7/Re)^0.9 + 0.27 e/D)]}¹⁶,  B = (37530/Re)¹⁶
//
// Source: Churchill, Chem. Eng. 84 (1977) 24, pp. 91–92. Between Re 2000 and
// 4000 it draws a smooth line where there is none in nature.
func Friction(re, rough float64) float64 {
	re = math.Max(re, leastRe)
	a := math.Pow(2.457*math.Log(1/(math.Pow(7/re, 0.9)+0.27*rough)), 16)
	b := math.Pow(37530/re, 16)
	return 8 * math.Pow(math.Pow(8/re, 12)+math.Pow(a+b, -1.5), 1.0/12)
}

// FrictionLaminar is 64/Re; Re below 2000.
func FrictionLaminar(re float64) (float64, error) {
	if err := covered("rig.FrictionLaminar", "a Reynolds number", "", re, leastRe, 2000); err != nil {
		return 0, err
	}
	return 64 / re, nil
}

// FrictionSwameeJain gives the Darcy factor of turbulent flow,
// 0.25/[log10(e/(3.7D) + 5.74/Re^0.9)]², for 5e3 < Re < 1e8 and 1e-6 < e/D <
// 1e-2. Source: Swamee & Jain 1976; the range is from memory.
func FrictionSwameeJain(re, rough float64) (float64, error) {
	const op = "rig.FrictionSwameeJain"
	if err := firstErr(covered(op, "a Reynolds number", "", re, 5e3, 1e8), covered(op, "a roughness", "of the bore", rough, 1e-6, 1e-2)); err != nil {
		return 0, err
	}
	l := math.Log10(rough/3.7 + 5.74/math.Pow(re, 0.9))
	return 0.25 / (l * l), nil
}

// FrictionColebrook solves 1/√f = −2·log10(e/(3.7D) + 2.51/(Re·√f)) for
// turbulent flow, Re 4e3…1e8, e/D 0…0.05. Source: Colebrook 1939.
func FrictionColebrook(re, rough float64) (float64, error) {
	const op = "rig.FrictionColebrook"
	if err := firstErr(covered(op, "a Reynolds number", "", re, 4e3, 1e8), covered(op, "a roughness", "of the bore", rough, 0, 0.05)); err != nil {
		return 0, err
	}
	x := root(func(x float64) float64 { return x + 2*math.Log10(rough/3.7+2.51*x/re) }, 1, 30)
	return 1 / (x * x), nil
}

// CoilFactor is by how much more a hose on a reel resists than one laid out,
// in laminar flow: 1 up to a Dean number Re·√(D/Dcoil) of 11.6, above it
// 1/{1 − [1 − (11.6/De)^0.45]^(1/0.45)}. Source: White 1929. A reel of 0 is a
// hose laid out.
func CoilFactor(re float64, bore, reel units.Length) float64 {
	if reel <= 0 || bore <= 0 {
		return 1
	}
	de := re * math.Sqrt(float64(bore/reel))
	if !(de > 11.6) {
		return 1
	}
	return 1 / (1 - math.Pow(1-math.Pow(11.6/de, 0.45), 1/0.45))
}

// Roughness of bores in m. Source: Hydraulic Institute Engineering Data Book,
// table 3.A.1. It does not matter for syrup, which flows laminar.
const (
	RoughRubber     units.Length = 0.01e-3
	RoughPlastic    units.Length = 0.0015e-3
	RoughSteel      units.Length = 0.0457e-3
	RoughGalvanised units.Length = 0.152e-3
	RoughStainless  units.Length = 0.015e-3
)
