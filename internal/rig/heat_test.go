package rig

import (
	"math"
	"testing"

	"larder/internal/fault"
	"larder/internal/units"
	"pgregory.net/rapid"
)

// TestHeatWorked: the worked figures of the evidence base. [C]
func TestHeatWorked(t *testing.T) {
	near(t, "25 mm", must[float64](t)(Coat{Foam: 0.025}.Transfer(none)), 1.25, "0.01")
	near(t, "50 mm", must[float64](t)(Coat{Foam: 0.050}.Transfer(none)), 0.66, "0.006")
	if u := must[float64](t)(Coat{Windy: true}.Transfer(none)); u != 20 {
		t.Errorf("wind: %v", u)
	}
	// 300 L of 2:1, 398 kg, 15 to 45 °C: 32.0 MJ = 8.9 kWh, 2.96 h with 3 kW.
	w := Warm{Mass: 398, Heat: 2.68, From: 15, To: 45, Power: 3000}
	h := must[Heating](t)(w.HeatUp(none))
	near(t, "MJ", float64(h.Useful/units.Megajoule), 32.0, "0.05")
	near(t, "kWh", float64(h.Useful/units.KWh), 8.9, "0.02")
	near(t, "h", float64(h.Lossless/units.Hour), 2.96, "0.01")
	v, sd, err := GasFor(h.Useful, none)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "gas", float64(v), 2.5, "0.05")
	near(t, "its spread", float64(sd/v), 0.1, "exact")
	// 91 333 BTU per US gal is 25.5 MJ/L.
	near(t, "propane", 91333*1055.06/1e6/float64(units.USGallon), 25.5, "0.05")
	near(t, "wall outlet", float64(must[units.Power](t)(OutletPower(120, 15))), 1440, "exact")
	near(t, "dryer outlet", float64(must[units.Power](t)(OutletPower(240, 30))), 5800, "1%")
	// 1000 L (1318.5 kg at 2.71) at 40 °C in air of 5 °C, 12 h: bare 25.5, foam 37.2.
	for _, c := range []struct{ u, want float64 }{{8, 25.5}, {1.25, 37.2}} {
		w := Warm{Mass: 1318.5, Heat: 2.65, From: 40, Air: 5, Loss: Conductance(c.u * 5.5)}
		near(t, "cooled", float64(must[units.Temp](t)(w.CoolTo(12*units.Hour))), c.want, "0.3")
	}
}

// TestHeatStep: the closed form against small steps.
func TestHeatStep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := Warm{Mass: units.Mass(rapid.Float64Range(20, 1500).Draw(t, "kg")), Heat: SpecificHeat(rapid.Float64Range(2.5, 4.2).Draw(t, "cp")),
			From: units.Temp(rapid.Float64Range(0, 25).Draw(t, "from")), Air: units.Temp(rapid.Float64Range(-10, 30).Draw(t, "air")), Loss: Conductance(rapid.Float64Range(1, 60).Draw(t, "UA")),
			Power: units.Power(rapid.Float64Range(500, 9000).Draw(t, "W")), Efficiency: rapid.Float64Range(0.5, 1).Draw(t, "eta")}
		w.To = w.From + units.Temp(rapid.Float64Range(1, 45).Draw(t, "rise"))
		h := must[Heating](t)(w.HeatUp(none))
		if h.Reaches != (w.To < h.Stall) {
			t.Fatalf("reaches %v, stall %v", h.Reaches, h.Stall)
		}
		if !h.Reaches {
			if h.Cautions[0].Code != "heat-stalls" || h.Time != 0 {
				t.Fatalf("%+v", h)
			}
			return
		}
		// Enough that the last stretch below the stall is not what is tested.
		if float64(h.Stall-w.To) < 1 {
			return
		}
		temp, n := float64(w.From), 4000
		dt := float64(h.Time) / float64(n)
		for range n {
			k := func(x float64) float64 {
				return (float64(w.Power)*w.Efficiency - float64(w.Loss)*(x-float64(w.Air))) / w.joulePerK()
			}
			temp += dt * k(temp+dt/2*k(temp))
		}
		near(t, "steps", temp, float64(w.To), "0.01")
		// And cooling is the same law without power.
		cool := w
		cool.From, cool.To = w.To, w.Air+(w.To-w.Air)/2
		if w.To > w.Air+1 {
			d := must[units.Duration](t)(cool.CoolTime())
			near(t, "cooled", float64(must[units.Temp](t)(cool.CoolTo(d))), float64(cool.To), "1e-6")
		}
	})
	if _, err := (Warm{Mass: 1, Heat: 4, From: 30, To: 10, Air: 20, Loss: 1}).CoolTime(); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("colder than the air: %v", err)
	}
	if _, err := (Warm{Mass: 1, Heat: 4, From: 30, To: 10, Power: 5}).HeatUp(none); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("heating to colder: %v", err)
	}
}

func TestScald(t *testing.T) {
	last := units.Duration(1e9)
	for c := 48.9; c < 65.5; c += 0.1 {
		s := must[units.Duration](t)(BurnTime(units.Temp(c)))
		if s > last {
			t.Fatalf("slower when hotter at %v °C", c)
		}
		last = s
	}
	for _, c := range []units.Temp{20, 48, 66, 100, units.Temp(math.NaN())} {
		if _, err := BurnTime(c); !fault.Is(err, fault.NotKnownHere) {
			t.Errorf("%v °C: %v", float64(c), err)
		}
	}
	// Warn at 48 °C, refuse at 55 °C.
	if c, err := ReadyToLoad(47.9, none); err != nil || len(c) != 0 {
		t.Errorf("47.9: %v %v", c, err)
	}
	if c, err := ReadyToLoad(48, none); err != nil || len(c) != 1 {
		t.Errorf("48: %v %v", c, err)
	}
	if _, err := ReadyToLoad(55, none); !fault.Is(err, fault.Unsafe) {
		t.Errorf("55: %v", err)
	}
	codes := map[string]bool{}
	for _, c := range HotCautions(70, none) {
		codes[c.Code] = true
	}
	if !codes["hot-syrup"] || !codes["mains-water"] || !codes["too-hot-syrup"] {
		t.Errorf("70 °C: %v", codes)
	}
	// 3 kW at 2 W/cm² is 1500 cm² = 15 dm².
	near(t, "element", float64(must[units.Area](t)(ElementArea(3000, none))), 15, "1e-9")
}

// TestStirWorked: 300 L (398 kg), tank 0.8 m, four blades at 45° of 0.27 m, 2:1
// at 40 °C: at 350 rpm 0.48 kW, 1.2 W/kg, 7 s; at 200 rpm 89 W, 0.22 W/kg, 13 s. [C]
func TestStirWorked(t *testing.T) {
	s := Stirrer{Impeller: Impellers()[1], Diameter: 0.27, Tank: 0.8, Batch: 398, Fluid: syrupAt(t, 40)}
	for _, c := range []struct{ rpm, w, kg, blend float64 }{{350, 480, 1.2, 7.2}, {200, 89, 0.22, 12.7}} {
		s.Turns = c.rpm / 60
		x := must[Stirring](t)(s.Stir())
		near(t, "W", float64(x.Power), c.w, "1%")
		near(t, "W/kg", x.PerKg, c.kg, "0.01")
		near(t, "blend", float64(x.Blend), c.blend, "0.3")
		if len(x.Cautions) != 1 {
			t.Errorf("Re %.0f: %v", x.Reynolds, x.Cautions)
		}
	}
	s.Fluid, s.Diameter = syrupAt(t, 5), 0.1
	if _, err := s.Stir(); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("Re 90: %v", err)
	}
	slow := Stirrer{Impeller: Impellers()[0], Diameter: 0.1, Turns: 0.5, Fluid: syrupAt(t, 5)}
	x := must[Stirring](t)(slow.Stir())
	near(t, "creeping", float64(x.Power), 70/x.Reynolds*1332.5*0.125*1e-5, "1e-9%")
	d := must[units.Duration](t)(Turnovers(300, 10.0/60, none))
	near(t, "four turnovers", d.Min(), 120, "1e-9")
}
