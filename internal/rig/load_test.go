package rig

import (
	"testing"

	"larder/internal/fault"
	"larder/internal/units"
	"pgregory.net/rapid"
)

// TestAxleWorked: 1406 kg, wheelbase 3.6 m, 0.3 m ahead of the rear axle: rear
// 1289, front 117 kg; 0.2 m behind it: 1484 and -78. [C]
func TestAxleWorked(t *testing.T) {
	truck := Truck{Payload: 1500, Wheelbase: 3.6}
	for _, c := range []struct{ a, rear, front float64 }{{0.3, 1289, 117}, {-0.2, 1484, -78}} {
		l := must[Loaded](t)(truck.Weigh([]Cargo{{1406, units.Length(c.a)}}, none))
		near(t, "rear", float64(l.Rear), c.rear, "0.6")
		near(t, "front", float64(l.Front), c.front, "0.6")
		light := false
		for _, x := range l.Cautions {
			light = light || x.Code == "light-steering"
		}
		if light != (c.front < 0) {
			t.Errorf("light steering %v at %v", light, c.front)
		}
	}
}

// TestMasses: litres of 2:1 and 1:1 as the evidence base has them. [C]
func TestMasses(t *testing.T) {
	for l, kg := range map[float64]float64{100: 133, 200: 265, 400: 531, 600: 796, 1000: 1327, 1200: 1592} {
		near(t, "2:1", l*1326.5/1000, kg, "0.6")
	}
	for l, kg := range map[float64]float64{100: 123, 200: 246, 400: 492, 600: 738, 1000: 1230, 1200: 1475} {
		near(t, "1:1", l*1229.5/1000, kg, "0.6")
	}
	// A full tote is more than a half-ton pickup's sticker: 900 kg carry 633 L
	// beside the 60 kg tote.
	r := must[Room](t)(Truck{Payload: 900}.MostSyrup(1000, 1326.5, 0, []Cargo{{60, 0}}, none))
	near(t, "tote on a pickup", float64(r.Volume), 840/1.3265, "0.01")
	if r.Limit != "payload" {
		t.Errorf("limit %s", r.Limit)
	}
	// 15 to 40 °C swells by 0.75 %.
	near(t, "swells", must[float64](t)(Expansion(1328.5, 1318.5)), 0.0075, "0.0001")
	if s := SloshRise(1.2, 0.3); s < 0.1799 || s > 0.1801 {
		t.Errorf("0.3 g over 1.2 m lifts %v m", s)
	}
	near(t, "WLL", float64(TieDown(1400).WorkingLoads), 700, "exact")
	near(t, "working load", float64(TieDown(1400).WLForward), 0.435*1400*g, "1e-9")
}

// TestMostSyrup: what is said to fit does fit, and a litre more does not,
// unless the tank is the limit.
func TestMostSyrup(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := func(name string, lo, hi float64) units.Mass {
			return units.Mass(rapid.Float64Range(lo, hi).Draw(t, name))
		}
		truck := Truck{Wheelbase: 3.6, RearEmpty: m("rearEmpty", 800, 1200), FrontEmpty: m("frontEmpty", 1000, 1500)}
		if rapid.Bool().Draw(t, "sticker") {
			truck.Payload = m("payload", 300, 1500)
		} else {
			truck.Empty, truck.Gross = truck.RearEmpty+truck.FrontEmpty, truck.RearEmpty+truck.FrontEmpty+m("room", 300, 1500)
		}
		truck.RearMax, truck.FrontMax = truck.RearEmpty+m("rearRoom", 200, 1400), truck.FrontEmpty+m("frontRoom", 20, 600)
		ahead := units.Length(rapid.Float64Range(-0.8, 2).Draw(t, "ahead"))
		other := []Cargo{{m("crew", 60, 220), 1.6}, {m("tare", 20, 90), ahead}}
		usable := units.Volume(rapid.Float64Range(50, 1200).Draw(t, "usable"))
		r, err := truck.MostSyrup(usable, 1326.5, ahead, other, none)
		if fault.Is(err, fault.WontFit) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		if !r.Loaded.Fits || r.Volume > usable {
			t.Fatalf("%+v", r)
		}
		more := append(append([]Cargo(nil), other...), Cargo{r.Mass + 1.3265, ahead})
		if l := must[Loaded](t)(truck.Weigh(more, none)); l.Fits && r.Limit != "tank" {
			t.Fatalf("a litre more fits although the %s binds", r.Limit)
		}
		off := must[units.Volume](t)(truck.TakeOff(usable, 1326.5, ahead, other, none))
		near(t, "take off", float64(usable-off), float64(r.Volume), "1e-6")
	})
}

func TestLoadSays(t *testing.T) {
	if _, err := (Truck{}).Weigh(nil, none); !fault.Is(err, fault.Missing) {
		t.Errorf("no plate: %v", err)
	}
	truck := Truck{Payload: 700, Wheelbase: 3.6, RearMax: 1700, RearEmpty: 1100, FrontMax: 1600, FrontEmpty: 1400}
	l := must[Loaded](t)(truck.Weigh([]Cargo{{1387, 0.3}}, none))
	if l.Fits || l.OverPayload != 687 || l.Cautions[0].Code != "over-payload" || l.Cautions[1].Code != "over-rear-axle" {
		t.Errorf("a full tote on a pickup: %+v", l)
	}
	if _, err := truck.MostSyrup(1000, 1326.5, 0.3, []Cargo{{700, 0.3}}, none); !fault.Is(err, fault.WontFit) {
		t.Errorf("no room left: %v", err)
	}
	if v := must[units.Volume](t)(truck.TakeOff(500, 1326.5, 0.3, []Cargo{{700, 0.3}}, none)); v != 500 {
		t.Errorf("take off %v of 500", v)
	}
	if c := SloshCautions(0.6, none); c[0].Code != "half-full" {
		t.Errorf("60 %% full: %v", c)
	}
	if c := SloshCautions(0.93, none); len(c) != 1 {
		t.Errorf("93 %% full: %v", c)
	}
	lo, hi := Tongue(1000, none)
	if lo != 100 || hi != 150 {
		t.Errorf("tongue %v to %v", lo, hi)
	}
}
