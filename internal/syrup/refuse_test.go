package syrup

import (
	"math"
	"testing"

	"larder/internal/fault"
	"larder/internal/units"
	"pgregory.net/rapid"
)

// calls are all functions of plain numbers, as functions of three of them.
// What they give back is checked to be a number wherever they do not refuse.
var calls = map[string]func(a, b, c float64) ([]float64, error){
	"WaterDensity": func(a, b, c float64) ([]float64, error) { return num1(WaterDensity(units.Temp(a))) },
	"Density":      func(a, b, c float64) ([]float64, error) { return num1(Density(units.Strength(a), units.Temp(b))) },
	"StrengthOf":   func(a, b, c float64) ([]float64, error) { return num1(StrengthOf(units.Density(a), units.Temp(b))) },
	"MassOf": func(a, b, c float64) ([]float64, error) {
		return num1(MassOf(units.Volume(c), units.Strength(a), units.Temp(b)))
	},
	"VolumeOf": func(a, b, c float64) ([]float64, error) {
		return num1(VolumeOf(units.Mass(c), units.Strength(a), units.Temp(b)))
	},
	"VolumeAt": func(a, b, c float64) ([]float64, error) {
		return num1(VolumeAt(1, units.Strength(a), units.Temp(b), units.Temp(c)))
	},
	"SugarIn": func(a, b, c float64) ([]float64, error) {
		return num1(SugarIn(units.Volume(c), units.Strength(a), units.Temp(b)))
	},
	"QuickVolume": func(a, b, c float64) ([]float64, error) { return num1(QuickVolume(units.Mass(a), units.Mass(b))) },
	"Gravity":     func(a, b, c float64) ([]float64, error) { return num1(Gravity(units.Strength(a), SG6060)) },
	"FromGravity": func(a, b, c float64) ([]float64, error) { return num1(FromGravity(a, SG204)) },
	"FromHydrometer": func(a, b, c float64) ([]float64, error) {
		return num1(FromHydrometer(units.Strength(a), units.Temp(b)))
	},
	"GravityFit":     func(a, b, c float64) ([]float64, error) { return num1(GravityFits()[0].Strength(a)) },
	"LincolnGravity": func(a, b, c float64) ([]float64, error) { return num1(LincolnGravity(units.Strength(a))) },
	"CubicGravity":   func(a, b, c float64) ([]float64, error) { return num1(CubicGravity(units.Strength(a))) },
	"Solubility":     func(a, b, c float64) ([]float64, error) { return num1(Solubility(units.Temp(a))) },
	"Charles":        func(a, b, c float64) ([]float64, error) { return num1(SolubilityCharles(units.Temp(a))) },
	"SaturationTemp": func(a, b, c float64) ([]float64, error) {
		t, _, err := SaturationTemp(units.Strength(a))
		return num1(t, err)
	},
	"Supersaturation": func(a, b, c float64) ([]float64, error) {
		return num1(Supersaturation(units.Strength(a), units.Temp(b)))
	},
	"Viscosity":      func(a, b, c float64) ([]float64, error) { return num1(Viscosity(units.Strength(a), units.Temp(b))) },
	"Heat":           func(a, b, c float64) ([]float64, error) { return num1(Heat(units.Strength(a), units.Temp(b))) },
	"HeatSecond":     func(a, b, c float64) ([]float64, error) { return num1(HeatSecond(units.Strength(a), units.Temp(b))) },
	"SyrupEnthalpy":  func(a, b, c float64) ([]float64, error) { return num1(SyrupEnthalpy(units.Strength(a), units.Temp(b))) },
	"SugarHeat":      func(a, b, c float64) ([]float64, error) { return num1(SugarHeat(units.Temp(a))) },
	"HeatOfSolution": func(a, b, c float64) ([]float64, error) { return num1(HeatOfSolution(units.Strength(a))) },
	"WaterActivity":  func(a, b, c float64) ([]float64, error) { return num1(WaterActivity(units.Strength(a), units.Temp(b))) },
	"Norrish":        func(a, b, c float64) ([]float64, error) { return num1(WaterActivityNorrish(units.Strength(a))) },
	"AirPressure":    func(a, b, c float64) ([]float64, error) { return num1(AirPressure(units.Length(a))) },
	"Boiling":        func(a, b, c float64) ([]float64, error) { return num1(Boiling(units.Strength(a), units.Pressure(c))) },
	"BoilingRise":    func(a, b, c float64) ([]float64, error) { return num1(BoilingRise(units.Strength(a))) },
	"Freezing": func(a, b, c float64) ([]float64, error) {
		t, _, err := Freezing(units.Strength(a))
		return num1(t, err)
	},
	"MixTemp": func(a, b, c float64) ([]float64, error) {
		e, err := MixTemp(units.Mass(c), units.Temp(b), 1, units.Temp(a), published)
		return []float64{e.Mean, e.SD}, err
	},
	"WaterTempFor": func(a, b, c float64) ([]float64, error) {
		return num1(WaterTempFor(units.Mass(c), units.Temp(b), 1, units.Temp(a)))
	},
	"HeatToMix": func(a, b, c float64) ([]float64, error) {
		return num1(HeatToMix(1, units.Temp(a), 1, units.Temp(b), units.Temp(c)))
	},
	"HeatToWarm": func(a, b, c float64) ([]float64, error) {
		return num1(HeatToWarm(1, units.Strength(a), units.Temp(b), units.Temp(c)))
	},
	"HeatingTime":     func(a, b, c float64) ([]float64, error) { return num1(HeatingTime(units.Energy(a), units.Power(b), c)) },
	"RefractiveIndex": func(a, b, c float64) ([]float64, error) { return num1(RefractiveIndex(units.Strength(a))) },
	"FromIndex":       func(a, b, c float64) ([]float64, error) { return num1(FromIndex(a)) },
	"Refractometer": func(a, b, c float64) ([]float64, error) {
		return num1(TrueStrength(units.Strength(a), units.Temp(b), Refractometer))
	},
	"Known": func(a, b, c float64) ([]float64, error) {
		return num1(TrueStrength(units.Strength(a), units.Temp(b), Known))
	},
	"SolidsOf":      func(a, b, c float64) ([]float64, error) { return num1(SolidsOf(units.Strength(a), b)) },
	"HoneyMoisture": func(a, b, c float64) ([]float64, error) { return num1(HoneyMoisture(a, units.Temp(b))) },
	"FoodSolids": func(a, b, c float64) ([]float64, error) {
		return num1(FoodSolids(HFCS42, units.Strength(a), published))
	},
	"FoodDensity": func(a, b, c float64) ([]float64, error) {
		e, err := FoodDensity(HFCS55, units.Strength(a), units.Temp(b), published)
		return []float64{e.Mean, e.SD}, err
	},
	"InvertFrom": func(a, b, c float64) ([]float64, error) { return num1(InvertFrom(units.Mass(a))) },
	"Inversion": func(a, b, c float64) ([]float64, error) {
		k, share, err := Inversion(units.Strength(a), units.Temp(b), c, units.Hour)
		return []float64{k, share}, err
	},
	"HMFAlarm": func(a, b, c float64) ([]float64, error) {
		h, err := HMFAlarm(units.Temp(a))
		return []float64{float64(h.Least), float64(h.Middle), float64(h.Most)}, err
	},
	"HMFAfter": func(a, b, c float64) ([]float64, error) {
		x, y, z, err := HMFAfter(HMF(a), units.Temp(b), units.Duration(c))
		return []float64{float64(x), float64(y), float64(z)}, err
	},
	"StoresFrom": func(a, b, c float64) ([]float64, error) {
		s, err := StoresFrom(units.Volume(c), units.Strength(a), units.Temp(b), published)
		return []float64{s.Stores.Mean, s.Stores.SD, s.Sugar.Kg()}, err
	},
	"SyrupFor": func(a, b, c float64) ([]float64, error) {
		n, err := SyrupFor(units.Mass(c), units.Strength(a), units.Temp(b), published)
		return []float64{n.Volume.L(), n.SD.L(), n.Mass.Kg(), n.Sugar.Kg()}, err
	},
	"StoresPerKg": func(a, b, c float64) ([]float64, error) {
		s, err := StoresPerKg(WhiteSugar, units.Strength(a), published)
		return []float64{s.Yield, s.PerKg.Mean, s.PerL.Mean}, err
	},
	"NoLossStores": func(a, b, c float64) ([]float64, error) { return num1(NoLossStores(units.Mass(a), b, published)) },
	"UnripeWeight": func(a, b, c float64) ([]float64, error) {
		u, err := UnripeWeight(units.Mass(c), units.Strength(a), published)
		return []float64{u.Least.Kg(), u.Expected.Kg()}, err
	},
	"Thin": func(a, b, c float64) ([]float64, error) {
		return num1(Thin(units.Mass(c), units.Strength(a), units.Strength(b)))
	},
	"Thicken": func(a, b, c float64) ([]float64, error) {
		return num1(Thicken(units.Mass(c), units.Strength(a), units.Strength(b)))
	},
	"Heel": func(a, b, c float64) ([]float64, error) {
		s, w, err := Heel(units.Volume(c), units.Strength(a), 100, units.Strength(b), 20)
		return []float64{s.Kg(), w.Kg()}, err
	},
	"BlendShare": func(a, b, c float64) ([]float64, error) {
		return num1(BlendShare(units.Strength(a), units.Strength(b), units.Strength(c)))
	},
	"Blend": func(a, b, c float64) ([]float64, error) {
		x, err := Blend(BlendRequest{Strong: units.Strength(a), Weak: 0.1, Want: units.Strength(b), Make: units.Volume(c)})
		return []float64{x.ByVolume, x.Strong.L(), x.Weak.L()}, err
	},
	"Join": func(a, b, c float64) ([]float64, error) {
		x, err := Join(units.Volume(c), units.Strength(a), 1, 0.5, units.Temp(b))
		return []float64{float64(x.Strength), x.Volume.L()}, err
	},
	"RatioStrength": func(a, b, c float64) ([]float64, error) {
		return num1(RatioStrength(units.Ratio{Sugar: a, Water: b, By: units.ByVolume}, units.Density(c), 20))
	},
	"Mix": func(a, b, c float64) ([]float64, error) {
		m, err := Mix(MixRequest{Strength: units.Strength(a), Make: units.Volume(c), At: Told(units.Temp(b)), WaterTemp: Told(units.Temp(b)), Low: Told(units.Temp(b))})
		return []float64{m.Sugar.Kg(), m.Water.L(), m.Mass.Kg(), float64(m.Density), m.CrystalAt.C(), m.Supersaturation, m.MixTemp.Mean, m.Viscosity.Mean, m.AtLow.Q}, err
	},
	"Correct": func(a, b, c float64) ([]float64, error) {
		m, err := Correct(CorrectRequest{Have: units.Volume(c), Reads: units.Strength(a), Want: units.Strength(b)})
		return []float64{m.AddSugar.Kg(), m.AddWater.L(), m.Final.L(), m.SugarSD.Kg(), m.WaterSD.L()}, err
	},
	"PlanHeat": func(a, b, c float64) ([]float64, error) {
		p, err := PlanHeat(HeatRequest{Syrup: units.Volume(c), Strength: units.Strength(a), Temp: units.Temp(b), Want: 40, Power: 3000})
		return []float64{float64(p.Energy), float64(p.Time), p.KWh()}, err
	},
	"Keep": func(a, b, c float64) ([]float64, error) {
		k, err := Keep(KeepRequest{Strength: units.Strength(a), At: units.Temp(b)})
		return []float64{float64(k.Least), float64(k.Most), k.Activity.Q}, err
	},
}

func num1[Q ~float64](q Q, err error) ([]float64, error) { return []float64{float64(q)}, err }

// TestNoNonsenseOut: whatever goes in, out comes a number or a refusal in
// words; what is no number never passes.
func TestNoNonsenseOut(t *testing.T) {
	odd := rapid.OneOf(
		rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -1, 1, 0.5, 0.85, 0.86, 20, 100, 101, -11, 1e300, 5e-324, 101325}),
		rapid.Float64Range(0, 1), rapid.Float64Range(-20, 120), rapid.Float64())
	for name, f := range calls {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				a, b, c := odd.Draw(t, "a"), odd.Draw(t, "b"), odd.Draw(t, "c")
				out, err := f(a, b, c)
				if err != nil {
					if k := fault.KindOf(err); k == fault.Internal {
						t.Fatalf("%v is not a refusal in words", err)
					}
					return
				}
				for _, x := range out {
					if math.IsNaN(x) || math.IsInf(x, 0) {
						t.Fatalf("f(%v, %v, %v) = %v", a, b, c, out)
					}
				}
			})
		})
	}
}

func TestNaNIsRefused(t *testing.T) {
	nan := math.NaN()
	for name, f := range calls {
		if _, err := f(nan, nan, nan); !fault.Is(err, fault.OutOfRange) {
			t.Errorf("%s(NaN): %v (%v)", name, err, fault.KindOf(err))
		} else if fault.HintOf(err) == "" {
			t.Errorf("%s(NaN): %v has no hint", name, err)
		}
	}
}

func TestOutsideTheSource(t *testing.T) {
	for name, c := range map[string][2]float64{ // strength, temperature
		"Density": {0.86, 20}, "Supersaturation": {0.5, -11}, "Viscosity": {0.81, 20}, "Heat": {0.5, 101},
		"HeatSecond": {0.76, 20}, "WaterActivity": {0.76, 20}, "Refractometer": {0.5, 4}, "Known": {0.9, 20},
		"FoodDensity": {0.77, 10}, "Inversion": {0.5, 106}, "SugarIn": {-0.01, 20}, "FromHydrometer": {0.85, 99},
		"HeatOfSolution": {0.76, 0}, "Freezing": {0.76, 0}, "BoilingRise": {0.76, 0}, "SaturationTemp": {0.83, 0},
		"RefractiveIndex": {0.77, 0}, "LincolnGravity": {0.61, 0}, "CubicGravity": {0.61, 0},
	} {
		if _, err := calls[name](c[0], c[1], 5); !fault.Is(err, fault.NotKnownHere) {
			t.Errorf("%s(%v): %v (%v)", name, c, err, fault.KindOf(err))
		}
	}
	for name, f := range map[string]func() error{
		"viscosity below 0": func() error { _, err := Viscosity(0.5, -0.1); return err },
		"Charles over 90":   func() error { _, err := SolubilityCharles(90.1); return err },
		"HMF below 30":      func() error { _, err := HMFAlarm(29.9); return err },
		"HMF over 70":       func() error { _, err := HMFAlarm(70.1); return err },
		"quick rule at 45":  func() error { _, err := QuickVolume(45, 55); return err },
		"honey too wet":     func() error { _, err := HoneyMoisture(1.4830, 20); return err },
		"feed too thin":     func() error { _, err := StoresPerL(0.40, 20, published); return err },
		"pressure":          func() error { _, err := Boiling(0.5, 40e3); return err },
		"index":             func() error { _, err := FromIndex(1.50); return err },
		"bulk": func() error {
			_, err := RatioStrength(units.Ratio{Sugar: 2, Water: 1, By: units.ByVolume}, 845000, 20)
			return err
		},
		"water below 0 °C": func() error { _, err := MixTemp(1, 15, 1, -1, published); return err },
	} {
		if err := f(); !fault.Is(err, fault.NotKnownHere) {
			t.Errorf("%s: %v (%v)", name, err, fault.KindOf(err))
		}
	}
	// A wanted mix that water cannot give is out of range, with a way out.
	for _, want := range []units.Temp{80, 2} {
		if _, err := WaterTempFor(2, 15, 1, want); !fault.Is(err, fault.OutOfRange) || fault.HintOf(err) == "" {
			t.Errorf("2:1 to %v: %v", want, err)
		}
	}
	if _, err := FoodOf("honey"); !fault.Is(err, fault.NotFound) {
		t.Error(err)
	}
	if _, err := StoresPerKg(HFCS42, 0.77, published); !fault.Is(err, fault.OutOfRange) {
		t.Error(err)
	}
}
