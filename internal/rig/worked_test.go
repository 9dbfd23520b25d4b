package rig

import (
	"math"
	"testing"

	"larder/internal/figure"
	"larder/internal/units"
)

// TestToteWorked: a 1000 L cage tote of 1.0 to 1.1 m² inside holds 10 to 11 L
// per cm of dip (common practice, no source), and a full one with its cage
// weighs about 1390 kg.
func TestToteWorked(t *testing.T) {
	for _, c := range []struct{ plan, perCm float64 }{{1.0, 10}, {1.05, 10.5}, {1.1, 11}} {
		fig := figures(KeyTotePlan, c.plan)
		tank := Tank{Shape: Tote, Holds: 1000}
		a := must[figure.Estimate](t)(tank.Contents(Dip{Depth: 0.50}, Tilt{}, fig))
		b := must[figure.Estimate](t)(tank.Contents(Dip{Depth: 0.51}, Tilt{}, fig))
		near(t, "L per cm", b.Mean-a.Mean, c.perCm, "1e-9")
		// A dip of ±3 to 5 mm on 1 m² is 3 to 5 L; what is not known of the plan
		// comes to that.
		if a.SD < 3 || a.SD < math.Hypot(4*c.plan, 0.01*a.Mean) {
			t.Errorf("spread %v", a.SD)
		}
	}
	near(t, "full tote", 1000*1.3265+figure.NewSet(Figures()).V(KeyToteTare), 1390, "5")
}

// TestViscosityPerDegree: about 8 % per K at 15 °C and 6 % near 28 °C, for 2:1.
// [C] from the table; it is why a bucket test is taken again after 5 K.
func TestViscosityPerDegree(t *testing.T) {
	mu := func(c float64) float64 { return float64(syrupAt(t, c).Viscosity) }
	near(t, "15 °C", math.Log(mu(10)/mu(20))/10, 0.08, "0.005")
	near(t, "28 °C", math.Log(mu(25)/mu(30))/5, 0.06, "0.005")
}

// TestSeasonsToPay: 200 hives and three rounds are 600 visits a season; at 18 to
// 25 an hour and 5 against 2 minutes the pump's 1500 is back in two to three
// seasons. [C]
func TestSeasonsToPay(t *testing.T) {
	for wage, lo := range map[float64]float64{18: 2.77, 25: 2} {
		b := must[BreakEven](t)(PaysFrom(1500, wage, 5*units.Minute, 2*units.Minute))
		near(t, "seasons", b.Visits/600, lo, "0.01")
	}
}

// TestSloshBand: 0.5 to 0.9 m of syrup in 1.2 m slosh at 0.75 to 0.80 Hz, and a
// shallower tank slower: all of it in what a driver does with wheel and brake.
func TestSloshBand(t *testing.T) {
	last := 0.0
	for _, h := range []units.Length{0.1, 0.3, 0.5, 0.7, 0.9} {
		f := must[float64](t)(SloshFrequency(1.2, h))
		if f <= last || f > 0.81 {
			t.Errorf("%v m deep: %v Hz after %v", h, f, last)
		}
		last = f
	}
}
