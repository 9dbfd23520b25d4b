package season

import (
	"math"

	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/rig"
	"larder/internal/syrup"
	"larder/internal/units"
)

// rigFigures lists what the answers about the rig assume beside those of
// package rig.
func rigFigures() []figure.Figure {
	practice := func(key, name string, v, lo, hi, sd float64, unit, note string) figure.Figure {
		return figure.Figure{Key: key, Name: name, Value: v, Low: lo, High: hi, SD: sd, Unit: unit, Source: "common practice, no source", Grade: figure.Practice, Note: note}
	}
	return []figure.Figure{
		practice("season.pour_c", "temperature of syrup in the yard nobody measured", 15, 0, 40, 0, "°C", "a cool autumn day; thicker when colder, thinner when warmer"),
		practice("season.pail_pour_l_min", "pouring out of a pail into a feeder", 8, 4, 15, 2, "L/min", "thick syrup, and none spilt"),
		practice("season.pail_walk_m_s", "walking with a full pail", 1, 0.6, 1.4, 0.1, "m/s", ""),
		practice("season.pail_refill_min", "filling a pail at the truck", 5, 2, 8, 1, "min", "cold syrup through a valve, the lid, the handle"),
		practice("season.hose_out_min", "laying the hose out and reeling it in, each yard", 4, 2, 10, 1, "min", ""),
		practice("season.tank_surface_sd", "spread of a mixing tank's surface worked out from what it holds", 0.15, 0.05, 0.3, 0, "fraction", "taken as a cylinder as high as it is wide; its films and lid are in it"),
		{Key: "season.heat_sd", Name: "spread of the specific heat of syrup", Value: 0.02, Low: 0.005, High: 0.1, Unit: "fraction", Grade: figure.Derived,
			Source: "the two formulas of package syrup differ by up to 2 % from 50 to 70 %"},
	}
}

// coldFactors are by how much Génotelle's formula reads too thick between 60 and
// 72 % in the cold. Found by comparison with the 65 and 70 % columns of the
// Supplement to NBS Circular 440 (Swindells, Snyder, Hardy & Golden 1958, as
// reproduced): 480, 313, 211 mPa·s at 65 % and 5, 10, 15 °C.
var coldFactors = [...]struct{ c, k float64 }{{0, 1.13}, {5, 1.09}, {10, 1.055}, {15, 1.03}, {20, 1}}

func coldFactor(s units.Strength, t units.Temp) float64 {
	c := t.C()
	if s < 0.6 || s > 0.72 || c >= 20 {
		return 1
	}
	for i := 1; i < len(coldFactors); i++ {
		a, b := coldFactors[i-1], coldFactors[i]
		if c <= b.c {
			u := math.Max(0, (c-a.c)/(b.c-a.c))
			return a.k + u*(b.k-a.k)
		}
	}
	return 1
}

// rigFluid gives syrup of a strength and temperature as the numbers that flow
// needs, with the spread of its viscosity: 3 % from the table (6 % below 10 °C),
// and 5 % for a strength that is right to a fifth of a point, put together.
// Errors: outside what the sources of package syrup cover.
func rigFluid(s units.Strength, t units.Temp, figs figure.Set) (rig.Fluid, error) {
	mu, err := syrup.Viscosity(s, t)
	if err != nil {
		return rig.Fluid{}, err
	}
	rho, err := syrup.Density(s, t)
	if err != nil {
		return rig.Fluid{}, err
	}
	table := 0.015
	if t < 10 {
		table = 0.03
	}
	if s < 0.6 || s > 0.72 {
		table = syrup.ViscosityBand(t) / 2
	}
	return rig.Fluid{Density: rho, Viscosity: mu / units.Viscosity(coldFactor(s, t)), Spread: math.Hypot(table, figs.V(rig.KeyViscositySD))}, nil
}

// rigReason says something about an answer of the rig.
func rigReason(code, say string, amounts ...any) feeding.Reason {
	return feeding.Reason{Code: code, Say: say, Amounts: amounts}
}

// cautioned turns cautions into reasons, each code once, in their order.
func cautioned(lists ...[]rig.Caution) []feeding.Reason {
	var out []feeding.Reason
	seen := map[string]bool{}
	for _, l := range lists {
		for _, c := range l {
			if !seen[c.Code] {
				seen[c.Code] = true
				out = append(out, feeding.Reason(c))
			}
		}
	}
	return out
}
