package rig

import (
	"math"
	"strings"
	"testing"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
	"pgregory.net/rapid"
)

func TestSeason(t *testing.T) {
	s := Season{Hives: 40, Rounds: 3, PerHive: 7.5, Density: 1326.5}
	gun := Lift{Load: 0.5, Out: 40 * cm, From: 90 * cm, To: 115 * cm, PerMin: 1, For: units.Hour, Rest: units.Hour, Grip: Good}
	pump := PumpWork{Hive: 75 * units.Second, Flow: 7.5 / 60, Hose: 120, Stop: 8, Gun: gun}
	pail := PailWork{Hive: 75 * units.Second, Pour: 15.0 / 60, Pail: 20, Way: 20, Walk: 1, Refill: 120,
		Lift: Lift{Load: 27.5, Out: 35 * cm, From: 30 * cm, To: 80 * cm, PerMin: 0.5, For: units.Hour, Rest: units.Hour, Grip: Fair}}
	// t0 + v/Q + hose/stop = 75 + 60 + 15 s; t0 + v/pour + (2·20/1 + 120)·7.5/20.
	near(t, "pump", float64(must[units.Duration](t)(pump.PerHive(7.5))), 150, "1e-9")
	near(t, "pails", float64(must[units.Duration](t)(pail.PerHive(7.5))), 75+30+160*0.375, "1e-9")
	a, b := must[Effort](t)(s.WithPump(pump, none)), must[Effort](t)(s.WithPails(pail, none))
	// 40 hives × 10 kg × 3 rounds of syrup off the truck, and 45 pails of 1 kg.
	near(t, "lifted", float64(b.Lifted), 120*7.5*1.3265+45, "1e-6")
	near(t, "carried", b.Carried, 20*(120*7.5*1.3265+2*45), "1e-3")
	if a.Lifted >= b.Lifted || a.Carried != 0 || a.Index >= b.Index || a.IndexErr != nil || b.Index < 1 {
		t.Errorf("pump %+v, pails %+v", a, b)
	}
	heavy := false
	for _, c := range b.Cautions {
		heavy = heavy || c.Code == "carry-heavy"
	}
	if !heavy {
		t.Errorf("a 20 L pail of 2:1 is over 25 kg: %v", b.Cautions)
	}
	open := pail
	open.Lift.PartFilled = true
	if e := must[Effort](t)(s.WithPails(open, none)); !fault.Is(e.IndexErr, fault.NotKnownHere) || e.Index != 0 {
		t.Errorf("open pails have no index: %+v", e)
	}
	pail.Way = 40
	if e := must[Effort](t)(s.WithPails(pail, none)); e.Cautions[len(e.Cautions)-1].Code != "carry-not-known" {
		t.Errorf("40 m: %v", e.Cautions)
	}
}

func TestMoney(t *testing.T) {
	// $1500 over five seasons at 5 %: from the textbook annuity table, 0.23097.
	near(t, "recovery", must[float64](t)(RecoveryFactor(0.05, 5)), 0.23097, "0.000005")
	near(t, "no interest", must[float64](t)(RecoveryFactor(0, 4)), 0.25, "exact")
	near(t, "hardly any", must[float64](t)(RecoveryFactor(1e-9, 4)), 0.25, "0.0001%")
	if _, err := PaysFrom(1500, 18, 120, 120); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("nothing saved: %v", err)
	}
	near(t, "saving", must[BreakEven](t)(PaysFrom(1500, 18, 300, 120)).Saving, 0.90, "1e-9")
	// Dry sugar in a litre of 2:1: 0.884 kg, 7.38 lb per US gal. [C]
	kg := must[float64](t)(SugarCost(1, 1326.5, 2.0/3, 1))
	near(t, "kg/L", kg, 0.884, "0.0005")
	near(t, "lb/gal", kg*float64(units.USGallon)/float64(units.Pound), 7.38, "0.005")
	// PNW 745: $3.30/$0.29 and $4.39/$0.38 are 11.38 and 11.55 lb/gal: heavier than 2:1.
	near(t, "3.30/0.29", 3.30/0.29, 11.38, "0.005")
	near(t, "2:1 lb/gal", 1326.5/1000*float64(units.USGallon)/float64(units.Pound), 11.07, "0.005")
}

func TestDay(t *testing.T) {
	d := Day{Light: 8 * units.Hour, Drive: units.Hour, Yards: 2, Setup: 15 * units.Minute, Hive: 3 * units.Minute, Fill: 7.5, Tank: 400, Loads: 2}
	x := must[DayLimit](t)(d.Limit(none))
	// 6.5 h / 3 min = 130; 800 / 7.5 = 106.
	if x.ByLight != 130 || x.ByTank != 106 || x.Hives != 106 || x.Bottleneck != "tank" || x.ByMixer != -1 {
		t.Errorf("%+v", x)
	}
	d.Loads = 5
	if x := must[DayLimit](t)(d.Limit(none)); x.Bottleneck != "people" || x.Hives != 130 || x.ByLightWithTwo != 216 {
		t.Errorf("%+v", x)
	}
	d.Two = true
	if x := must[DayLimit](t)(d.Limit(none)); x.Bottleneck != "light" || x.Hives != 216 {
		t.Errorf("%+v", x)
	}
	d.Batch, d.Cycle, d.Mixing = 200, 3*units.Hour, 10*units.Hour
	if x := must[DayLimit](t)(d.Limit(none)); x.Bottleneck != "mixer" || x.MixedPerDay != 600 || x.Hives != 80 {
		t.Errorf("%+v", x)
	}
	rapid.Check(t, func(t *rapid.T) {
		d := d
		d.Light = units.Duration(rapid.Float64Range(0.1, 14).Draw(t, "light")) * units.Hour
		x := must[DayLimit](t)(d.Limit(none))
		if x.Hives > x.ByLight || x.Hives > x.ByTank || x.Hives > x.ByMixer || x.Hives < 0 {
			t.Fatalf("%+v", x)
		}
	})
}

// TestFigures: keys, ranges, sources.
func TestFigures(t *testing.T) {
	for _, f := range Figures() {
		if !strings.HasPrefix(f.Key, "rig.") || f.Name == "" || f.Unit == "" || f.Source == "" || f.Grade == "" {
			t.Errorf("%+v lacks something", f)
		}
		if !f.InRange(f.Value) || f.Low > f.High || f.SD < 0 || math.IsNaN(f.Value) {
			t.Errorf("%s: %v not in %v…%v", f.Key, f.Value, f.Low, f.High)
		}
		if f.Grade == figure.Practice && f.Source != srcNone {
			t.Errorf("%s: practice with a source", f.Key)
		}
	}
	figure.NewSet(Figures()) // panics on a key that comes twice
}

func TestCaution(t *testing.T) {
	c := caution("x", "{0} of {1}", units.Mass(3), 7)
	if c.String() != "3 kg of 7" {
		t.Errorf("%q", c.String())
	}
}

// TestSay: no caution leaves a brace open or uses a word we do not use.
func TestSay(t *testing.T) {
	s := tableSetup(310, 1328.5, 0.019, 30, 0)
	var all []Caution
	all = append(all, must[Delivery](t)(s.Deliver(none)).Cautions...)
	all = append(all, must[Wiring](t)(Run{Current: 15, OneWay: 6}.With(Wire{AWG: 16}, none)).Cautions...)
	all = append(all, must[Loaded](t)(Truck{Payload: 100}.Weigh([]Cargo{{200, 0}}, none)).Cautions...)
	all = append(all, HotCautions(70, none)...)
	for _, c := range all {
		if said := c.String(); strings.ContainsAny(said, "{}") || c.Code == "" || strings.HasSuffix(said, ".") {
			t.Errorf("%s: %q", c.Code, said)
		}
	}
}
