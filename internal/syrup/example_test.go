package syrup_test

import (
	"fmt"

	"larder/internal/figure"
	"larder/internal/syrup"
	"larder/internal/units"
)

// The worked tank: 1000 L of 2:1 by weight at 20 °C.
func ExampleMix() {
	m, err := syrup.Mix(syrup.MixRequest{
		Ratio: units.Ratio{Sugar: 2, Water: 1, Stated: true},
		Make:  1000,
		Low:   syrup.Told(units.Temp(5)),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f kg of sugar, %.1f L of water, %.1f kg in all\n", m.Sugar.Kg(), m.Water.L(), m.Mass.Kg())
	fmt.Printf("grains below %.1f °C; at 5 °C supersaturation %.3f\n", m.CrystalAt.C(), m.AtLow.Q)
	fmt.Println(m.Warnings[0].Code)
	// Output:
	// 884.5 kg of sugar, 443.0 L of water, 1326.8 kg in all
	// grains below 19.6 °C; at 5 °C supersaturation 1.082
	// crystals-cold
}

// A batch that turned out thin, read on a refractometer without compensation.
func ExampleCorrect() {
	c, err := syrup.Correct(syrup.CorrectRequest{
		Have: 150, Reads: 0.64, Want: 0.667,
		At: syrup.Told(units.Temp(15)), Meter: syrup.Refractometer,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("it is %.1f %%: add %.1f ± %.1f kg of sugar, which makes %.0f L\n",
		c.Strength.Brix(), c.AddSugar.Kg(), c.SugarSD.Kg(), c.Final.L())
	// Output:
	// it is 63.6 %: add 18.2 ± 1.2 kg of sugar, which makes 162 L
}

// Syrup for ten kilograms of stores, by the published conversion.
func ExampleSyrupFor() {
	n, err := syrup.SyrupFor(10, 2.0/3, 20, figure.Set{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f ± %.1f L of 2:1, %.1f kg of sugar\n", n.Volume.L(), n.SD.L(), n.Sugar.Kg())
	// Output:
	// 10.8 ± 0.7 L of 2:1, 9.5 kg of sugar
}
