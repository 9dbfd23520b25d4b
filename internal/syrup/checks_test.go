package syrup

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"larder/internal/units"
)

// quantities maps the names of the check rows to what computes them. Inputs
// come in the order of the row, numbers as printed.
var quantities = map[string]func(x []float64) []float64{
	"density":       func(x []float64) []float64 { return one(Density(strengthOf(x[0]), units.Temp(x[1]))) },
	"water_density": func(x []float64) []float64 { return one(WaterDensity(units.Temp(x[0]))) },
	"brix_of_density": func(x []float64) []float64 {
		return percent(StrengthOf(units.Density(x[0]), units.Temp(x[1])))
	},
	"sg2020":           func(x []float64) []float64 { return one(Gravity(strengthOf(x[0]), SG2020)) },
	"brix_of_sg_cubic": func(x []float64) []float64 { return percent(GravityFits()[0].Strength(x[0])) },
	"lb_usgal": func(x []float64) []float64 {
		return lb(MassOf(units.USGallon, strengthOf(x[0]), units.Temp(x[1])))
	},
	"lb_of_usgal": func(x []float64) []float64 {
		return lb(MassOf(units.Volume(x[0])*units.USGallon, strengthOf(x[1]), 20))
	},
	"density_kg_l": func(x []float64) []float64 {
		return []float64{float64(must(Density(strengthOf(x[0]), units.Temp(x[1])))) / 1000}
	},
	"sugar_lb_usgal": func(x []float64) []float64 {
		return lb(SugarIn(units.USGallon, strengthOf(x[0]), units.Temp(x[1])))
	},
	"sugar_g_l": func(x []float64) []float64 {
		return []float64{1000 * must(SugarIn(1, strengthOf(x[0]), units.Temp(x[1]))).Kg()}
	},
	"sugar_kg": func(x []float64) []float64 { return one(SugarIn(units.Volume(x[0]), strengthOf(x[1]), 20)) },
	"usgal_made": func(x []float64) []float64 {
		m := units.Mass(x[0]+x[1]) * units.Pound
		return []float64{float64(must(VolumeOf(m, units.Strength(x[0]/(x[0]+x[1])), units.Temp(x[2]))) / units.USGallon)}
	},
	"litres_made": func(x []float64) []float64 {
		return []float64{must(Mix(MixRequest{Sugar: units.Mass(x[0]), Water: units.Volume(x[1])})).Syrup.L()}
	},
	"brix_2to1_by_volume": func(x []float64) []float64 {
		return percent(RatioStrength(units.Ratio{Sugar: 2, Water: 1, By: units.ByVolume}, units.Density(1000*x[0]), 20))
	},
	"solubility": func(x []float64) []float64 { return percent(Solubility(units.Temp(x[0]))) },
	"saturation_c": func(x []float64) []float64 {
		t, ok, err := SaturationTemp(strengthOf(x[0]))
		if !ok {
			return nil
		}
		return one(t, err)
	},
	"sigma":     func(x []float64) []float64 { return one(Supersaturation(strengthOf(x[0]), units.Temp(x[1]))) },
	"viscosity": func(x []float64) []float64 { return one(Viscosity(strengthOf(x[0]), units.Temp(x[1]))) },
	"cp":        func(x []float64) []float64 { return one(Heat(strengthOf(x[0]), units.Temp(x[1]))) },
	// Both forms must lie within the tolerance.
	"cp_second": func(x []float64) []float64 {
		s, t := strengthOf(x[0]), units.Temp(x[1])
		return append(one(Heat(s, t)), one(HeatSecond(s, t))...)
	},
	// The rule itself, and the rise by water activity.
	"boiling_rise": func(x []float64) []float64 {
		rise := must(Boiling(strengthOf(x[0]), SeaLevel)) - must(Boiling(0, SeaLevel))
		return append(one(BoilingRise(strengthOf(x[0]))), float64(rise))
	},
	"freezing": func(x []float64) []float64 {
		t, _, err := Freezing(strengthOf(x[0]))
		return one(t, err)
	},
	"freezing_g100g": func(x []float64) []float64 {
		t, _, err := Freezing(units.Strength(x[0] / (100 + x[0])))
		return one(t, err)
	},
	"mix_c": func(x []float64) []float64 {
		e := must(MixTemp(units.Mass(x[0]), units.Temp(x[1]), units.Mass(x[2]), units.Temp(x[3]), published))
		return []float64{e.Mean}
	},
	"index":         func(x []float64) []float64 { return one(RefractiveIndex(strengthOf(x[0]))) },
	"brix_of_index": func(x []float64) []float64 { return percent(FromIndex(x[0])) },
	"refractometer_add": func(x []float64) []float64 {
		return percent(RefractometerCorrection(strengthOf(x[0]), units.Temp(x[1])))
	},
	"honey_water": func(x []float64) []float64 { return []float64{100 * must(HoneyMoisture(x[0], units.Temp(x[1])))} },
	"thin_kg":     func(x []float64) []float64 { return one(Thin(units.Mass(x[0]), strengthOf(x[1]), strengthOf(x[2]))) },
	"thicken_kg": func(x []float64) []float64 {
		return one(Thicken(units.Mass(x[0]), strengthOf(x[1]), strengthOf(x[2])))
	},
	"blend_mass": func(x []float64) []float64 {
		return one(BlendShare(strengthOf(x[1]), strengthOf(x[0]), strengthOf(x[2])))
	},
	"blend_volume": func(x []float64) []float64 {
		b := must(Blend(BlendRequest{Weak: strengthOf(x[0]), Strong: strengthOf(x[1]), Want: strengthOf(x[2]), Make: 1, At: Told(units.Temp(x[3]))}))
		return []float64{b.ByVolume}
	},
	// From the weight told: by solids alone, no density of ours in it.
	"hfcs42_lb_usgal": func(x []float64) []float64 {
		return []float64{x[0] * float64(must(FoodSolids(HFCS42, 0, published)))}
	},
	"aw": func(x []float64) []float64 {
		s := strengthOf(x[0])
		return append(one(WaterActivity(s, units.Temp(x[1]))), one(WaterActivityNorrish(s))...)
	},
	"inverted_percent": func(x []float64) []float64 {
		_, share, err := Inversion(strengthOf(x[0]), units.Temp(x[1]), x[2], units.Duration(x[3])*units.Minute)
		return one(100*share, err)
	},
	"invert_kg": func(x []float64) []float64 { return one(InvertFrom(units.Mass(x[0]))) },
	"yield": func(x []float64) []float64 {
		return []float64{must(convert(false, units.Strength(1/(1+x[0])), published)).Yield}
	},
	"stores_of_sugar": func(x []float64) []float64 {
		return []float64{x[1] * must(convert(false, units.Strength(1/(1+x[0])), published)).Yield}
	},
	"stores_lb_usgal": func(x []float64) []float64 {
		s := must(StoresFrom(units.USGallon, strengthOf(x[0]), units.Temp(x[1]), published))
		return []float64{s.Stores.Mean / float64(units.Pound)}
	},
	"litres_for_stores": func(x []float64) []float64 {
		return []float64{must(SyrupFor(units.Mass(x[0]), strengthOf(x[1]), 20, published)).Volume.L()}
	},
	"invert_kg_for_stores": func(x []float64) []float64 {
		return []float64{x[0] / must(StoresPerKg(Invert, strengthOf(x[1]), published)).PerKg.Mean}
	},
	"no_loss_kg": func(x []float64) []float64 { return one(NoLossStores(units.Mass(x[0]), 1, published)) },
	"unripe_least_kg": func(x []float64) []float64 {
		return one(must(UnripeWeight(units.Mass(x[0]), strengthOf(x[1]), published)).Least, nil)
	},
	"unripe_expected_kg": func(x []float64) []float64 {
		return one(must(UnripeWeight(units.Mass(x[0]), strengthOf(x[1]), published)).Expected, nil)
	},
}

func one[Q ~float64](q Q, err error) []float64 { return []float64{float64(must(q, err))} }

func percent(s units.Strength, err error) []float64 { return []float64{must(s, err).Brix()} }

func lb(m units.Mass, err error) []float64 { return []float64{float64(must(m, err) / units.Pound)} }

// inputs reads the cells a, b … that are filled.
func inputs(t *testing.T, row map[string]string, cols ...string) []float64 {
	t.Helper()
	var x []float64
	for _, c := range cols {
		if row[c] != "" {
			x = append(x, num(t, row, c))
		}
	}
	return x
}

func TestSyrupChecks(t *testing.T) {
	rows := load(t, "checks_sucrose.csv")
	if len(rows) != 70 {
		t.Fatalf("%d rows, the handbook prints 70", len(rows))
	}
	for _, row := range rows {
		t.Run(row["row"]+"/"+row["quantity"], func(t *testing.T) {
			f := quantities[row["quantity"]]
			if f == nil {
				t.Fatalf("nothing computes %q", row["quantity"])
			}
			want := num(t, row, "expected")
			tol, relative := strings.CutSuffix(row["tol"], "%")
			limit, err := strconv.ParseFloat(tol, 64)
			if err != nil {
				t.Fatal(err)
			}
			if relative {
				limit *= math.Abs(want) / 100
			}
			got := f(inputs(t, row, "a", "b", "c", "d"))
			if len(got) == 0 {
				t.Fatal("no answer")
			}
			for _, g := range got {
				if !(math.Abs(g-want) <= limit) {
					t.Errorf("%v, want %v ± %v (%s)", g, want, limit, row["source"])
				}
			}
		})
	}
}

func TestColonyChecks(t *testing.T) {
	for _, row := range load(t, "checks_colony.csv") {
		t.Run(row["row"]+"/"+row["quantity"], func(t *testing.T) {
			f := quantities[row["quantity"]]
			if f == nil {
				t.Fatalf("nothing computes %q", row["quantity"])
			}
			got := f(inputs(t, row, "a", "b"))
			lo, hi := num(t, row, "low"), num(t, row, "high")
			if len(got) != 1 || !(got[0] >= lo && got[0] <= hi) {
				t.Errorf("%v, want %v to %v (%s)", got, lo, hi, row["source"])
			}
		})
	}
}
