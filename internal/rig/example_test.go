package rig_test

import (
	"fmt"

	"larder/internal/figure"
	"larder/internal/rig"
	"larder/internal/units"
)

// A lying tank dipped in the middle of its length, on level ground.
func ExampleTank_Contents() {
	tank := rig.Tank{Shape: rig.Lying, Diameter: 48 * units.Inch, Length: 96 * units.Inch}
	in, err := tank.Contents(rig.Dip{Depth: 19.2 * units.Inch}, rig.Tilt{}, figure.Set{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f ± %.0f US gal\n", in.Mean/float64(units.USGallon), in.SD/float64(units.USGallon))
	// Output: 280.9 ± 4 US gal
}

// 2:1 syrup of 15 °C through 30 m of 19 mm hose.
func ExampleSetup_Deliver() {
	s := rig.Setup{
		Pump:  rig.Pump{ShutOff: 4.1 * units.Bar, Open: 20.0 / 60},
		Line:  rig.Line{Hose: rig.Hose{Bore: 0.019, Length: 30, Rough: rig.RoughRubber}, Fittings: []rig.Fitting{{K1: 2000, KInf: 4}}},
		Fluid: rig.Fluid{Density: 1328.5, Viscosity: 310},
	}
	d, err := s.Deliver(figure.Set{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f L/min, %s, %s\n", float64(d.Flow)*60, d.Regime, d.State)
	// Output: 5.85 L/min, laminar, running
}

// A 15 A pump six metres from the battery.
func ExampleRun_Choose() {
	w, err := rig.Run{Current: 15, OneWay: 6, Copper: rig.HotCopper}.Choose(rig.Stranded, figure.Set{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s, %.1f %% lost, fuse %g A\n", w.Wire, w.Part*100, float64(w.Fuse))
	// Output: 8 AWG, 3.8 % lost, fuse 20 A
}
