package syrup

import (
	"math"

	"larder/internal/units"
)

// Molar masses in g/mol and the gas constant in J/(mol·K).
const (
	molarSucrose = 342.2965
	molarWater   = 18.0153
	gasR         = 8.31446
	zeroC        = 273.15
)

// moleFraction is that of sucrose at mass fraction w.
func moleFraction(w float64) float64 {
	n := w / molarSucrose
	return n / (n + (1-w)/molarWater)
}

// Constants of Starzak & Peacock's excess function; starzakQ in J/mol.
const (
	starzakQ = -17638
	starzakA = -1.0038
	starzakB = -0.24653
)

// starzak is the water activity at mass fraction w and t °C.
func starzak(w, t float64) float64 {
	x := moleFraction(w)
	return (1 - x) * math.Exp(starzakQ/(gasR*(t+zeroC))*(1+starzakA*x+starzakB*x*x)*x*x)
}

// WaterActivity gives how free the water in syrup of strength s is at t, from 1
// (water) down: 0.934 at 1:1, 0.853 at 2:1. It rules boiling, freezing and
// what yeasts can live in it.
//
// Range 0…75 %, −10…100 °C. Source: Starzak & Peacock, Zuckerindustrie 1997;
// constants from its abstract, the form from memory, borne out by freezing
// points (0.01–0.14 K to 33 %) and by Norrish within 0.003 to 70 %, 0.0055 at 75
// %.
func WaterActivity(s units.Strength, t units.Temp) (float64, error) {
	const op = "syrup.WaterActivity"
	err := firstErr(strengths.to(75).check(op, s.Brix()), temps.check(op, t.C()))
	if err != nil {
		return 0, err
	}
	return starzak(float64(s), t.C()), nil
}

// WaterActivityNorrish is the second method: Norrish's equation with K = 6.47
// for sucrose at 25 °C. Range 0…75 %; used at 15–35 °C.
func WaterActivityNorrish(s units.Strength) (float64, error) {
	if err := strengths.to(75).check("syrup.WaterActivityNorrish", s.Brix()); err != nil {
		return 0, err
	}
	x := moleFraction(float64(s))
	return (1 - x) * math.Exp(-6.47*x*x), nil
}

// vapour is the saturation pressure of water in Pa at t °C: Wagner & Pruß, J.
// Phys. Chem. Ref. Data 31 (2002) 387, eq. 2.5. From 0 °C; its error (0.1 %) is
// nothing beside that of the water activity.
func vapour(t float64) float64 {
	const tc, pc = 647.096, 22.064e6
	T := t + zeroC
	u := 1 - T/tc
	sum := -7.85951783*u + 1.84408259*math.Pow(u, 1.5) - 11.7866497*u*u*u +
		22.6807411*math.Pow(u, 3.5) - 15.9618719*u*u*u*u + 1.80122502*math.Pow(u, 7.5)
	return pc * math.Exp(tc/T*sum)
}

// SeaLevel is the standard pressure of the air.
const SeaLevel units.Pressure = 101325

// AirPressure gives the mean pressure of the air at a height above the sea,
// −400…5000 m, by the International Standard Atmosphere (ISO 2533). The
// weather moves it by ±3 %.
func AirPressure(h units.Length) (units.Pressure, error) {
	if err := (span{"a height", "m", -400, 5000}).check("syrup.AirPressure", float64(h)); err != nil {
		return 0, err
	}
	return SeaLevel * units.Pressure(math.Pow(1-2.25577e-5*float64(h), 5.25588)), nil
}

// Boiling gives the temperature at which syrup of strength s boils under
// pressure p: water activity times vapour pressure equals p.
//
// Range 0…75 %, 50…110 kPa. Against the sugar-house rule (Hugot) 2B/(100−B):
// within 0.3 K to 66.7 %, 0.75 K at 75 %. Syrup for bees is never boiled; this
// is for knowing how far off that is.
func Boiling(s units.Strength, p units.Pressure) (units.Temp, error) {
	const op = "syrup.Boiling"
	err := firstErr(strengths.to(75).check(op, s.Brix()),
		(span{"an air pressure", "kPa", 50, 110}).check(op, float64(p)/1000))
	if err != nil {
		return 0, err
	}
	w := float64(s)
	t, ok := bisect(func(t float64) float64 { return starzak(w, t)*vapour(t) - float64(p) }, 50, 130)
	if !ok {
		return 0, notReached(op, "the boiling point could not be worked out")
	}
	return units.Temp(t), nil
}

// BoilingRise is the sugar-house rule for how much hotter than water syrup
// boils at sea level, in K: 2B/(100−B) (Hugot, as seen in evaporator code).
// Range 0…75 %.
func BoilingRise(s units.Strength) (float64, error) {
	if err := strengths.to(75).check("syrup.BoilingRise", s.Brix()); err != nil {
		return 0, err
	}
	return 2 * s.Brix() / (100 - s.Brix()), nil
}

// eutectic is the strength at which the freezing line meets the solubility
// line, near −13.6 °C (ICUMSA SPS-2 starts its table at −13 °C): weaker syrup
// gives ice first, stronger syrup sugar.
const eutectic units.Strength = 0.63

// Freezing gives the temperature at which the first ice forms in syrup of
// strength s. Over about 63 % sugar comes out first: grains is then true and
// the figure is that of a syrup that has not grained. 2:1 does not freeze in a
// shed, it grains.
//
// Range 0…75 %. Source: water activity of Starzak & Peacock with the ice
// relation of Robinson & Stokes (from memory). Against Leighton (1927): 0.01 K
// off at 17 %, 0.14 K at 33 %.
func Freezing(s units.Strength) (t units.Temp, grains bool, err error) {
	const op = "syrup.Freezing"
	if err := strengths.to(75).check(op, s.Brix()); err != nil {
		return 0, false, err
	}
	w := max(float64(s), 0)
	if w == 0 {
		return 0, false, nil
	}
	d, ok := bisect(func(d float64) float64 {
		return math.Log(starzak(w, -d)) + 9.6934e-3*d + 4.761e-6*d*d
	}, 0, 40)
	if !ok {
		return 0, false, notReached(op, "the freezing point could not be worked out")
	}
	return units.Temp(-d), s > eutectic, nil
}
