package syrup

import (
	"math"

	"larder/internal/figure"
	"larder/internal/units"
)

// genotelle is the viscosity in mPa·s of sucrose syrup of B % at t °C.
func genotelle(b, t float64) float64 {
	x := b / (1900 - 18*b)
	phi := (30 - t) / (91 + t)
	return math.Pow(10, 22.46*x-0.114+phi*(1.1+43.1*math.Pow(x, 1.25)))
}

// Viscosity gives the viscosity of sucrose syrup of strength s at t. Such
// syrup flows like a thick water (Newtonian). HFCS and invert are thinner at
// the same solids: not covered.
//
// Range 0…80 %, 0…95 °C (the formula blows up towards 105 %). Source:
// Génotelle's equation, in Mathlouthi & Génotelle, Sucrose (Blackie 1995),
// pp. 126–154. For its error see [ViscosityBand]. Where the syrup is colder
// than its saturation temperature the figure is for a liquid that has not
// grained.
func Viscosity(s units.Strength, t units.Temp) (units.Viscosity, error) {
	const op = "syrup.Viscosity"
	err := firstErr(strengths.to(80).check(op, s.Brix()), temps.from(0).to(95).check(op, t.C()))
	if err != nil {
		return 0, err
	}
	return units.Viscosity(genotelle(max(s.Brix(), 0), t.C())), nil
}

// ViscosityBand gives how far the truth may lie from [Viscosity], as a
// fraction to either side: 4 % from 20 to 60 °C, 6 % from 15 °C, 15 % colder,
// 9 % hotter.
//
// Found by comparison: CRC Handbook 20 °C column −3.6 % (water) to +3.1 %;
// Bingham & Jackson series at 60 % +14 % (0 °C), +12 (5 °C), +7.5 (10 °C),
// ±1.8 (30–60 °C), at 40 % +4.3 (15 °C), at 20 % +8.3 (85 °C). Cold, the formula
// reads high.
func ViscosityBand(t units.Temp) float64 {
	switch {
	case t < 15:
		return 0.15
	case t < 20:
		return 0.06
	case t <= 60:
		return 0.04
	}
	return 0.09
}

// ViscosityEstimate is [Viscosity] in mPa·s with its spread: the band taken as
// two standard deviations. Not known outside the range.
func ViscosityEstimate(s units.Strength, t units.Temp) figure.Estimate {
	v, err := Viscosity(s, t)
	if err != nil {
		return figure.Estimate{}
	}
	return figure.Est(float64(v), float64(v)*ViscosityBand(t)/2)
}
