package rig

import (
	"math"
	"testing"

	"larder/internal/fault"
	"larder/internal/units"
	"pgregory.net/rapid"
)

// TestWireTable: the printed tables against the code's copy and against the
// formula of copper.
func TestWireTable(t *testing.T) {
	for _, r := range rows(t, "wire.tsv") {
		n := int(num(t, r[0]))
		w := Wire{AWG: n}
		d := must[units.Length](t)(AWGDiameter(n))
		area := math.Pi / 4 * float64(d*d)
		if r[1] != "-" {
			solid := must[float64](t)(Wire{AWG: n, Kind: Solid}.Resistance(75)) * 304.8
			near(t, r[0]+" solid", solid, num(t, r[1]), "1e-9")
			near(t, r[0]+" by formula", ohmsPerMetre(area, 75)*304.8, num(t, r[1]), "0.5%")
		}
		near(t, r[0]+" strands", must[float64](t)(w.Resistance(75))*304.8, num(t, r[2]), "1e-9")
		// Stranded is a little longer inside: 1.5 to 4 % more.
		near(t, r[0]+" strands by formula", ohmsPerMetre(area, 75)*304.8*1.02, num(t, r[2]), "2%")
		// Automotive wire has less copper: its least mils are 88 to 97 % of true AWG.
		if k := num(t, r[3]) / CircularMils(d); k < 0.85 || k > 1 {
			t.Errorf("AWG %d primary has %.2f of the copper", n, k)
		}
		if p := must[float64](t)(Wire{AWG: n, Kind: Primary}.Resistance(75)); p < ohmsPerMetre(area, 75) {
			t.Errorf("AWG %d primary resists less than true AWG", n)
		}
		for i, ins := range []units.Temp{60, 75, 80, 90, 105} {
			near(t, r[0]+" amps", float64(must[units.Current](t)(w.Ampacity(Place{Insulation: ins}))), num(t, r[4+i]), "exact")
		}
		m := Wire{MM2: num(t, r[9])}
		near(t, r[9]+" mm²", must[float64](t)(m.Resistance(20))*1000, num(t, r[10]), "1e-9")
		// The ampacity of mm² is lent from a size that is not thicker.
		if num(t, r[9]) < area*1e6 {
			t.Errorf("%s mm² is thinner than AWG %d", r[9], n)
		}
		if a, b := must[units.Current](t)(m.Ampacity(Place{})), must[units.Current](t)(w.Ampacity(Place{})); a != b {
			t.Errorf("%s mm² carries %v, AWG %d %v", r[9], a, n, b)
		}
		// Class 5 wire, at its greatest, within 14 % of the same area in solid copper.
		near(t, r[9]+" by formula", ohmsPerMetre(num(t, r[9])*1e-6, 20)*1000, num(t, r[10]), "14%")
	}
}

func TestDrops(t *testing.T) {
	run := Run{Current: 15, OneWay: 6}
	for _, r := range rows(t, "drops.tsv") {
		w := must[Wire](t)(ParseWire(r[0]))
		x := run
		if x.Copper = 20; !w.metric() {
			x.Copper = HotCopper
		}
		near(t, r[0], must[Wiring](t)(x.With(w, none)).Part*100, num(t, r[1]), "0.06")
	}
}

// TestFuse: never above the ampacity, never below 1.25 times the current,
// always the smallest; thick wire for long ways.
func TestFuse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Run{Current: units.Current(rapid.Float64Range(0.5, 40).Draw(t, "A")), OneWay: units.Length(rapid.Float64Range(0.5, 15).Draw(t, "way")), Copper: HotCopper,
			Place: Place{Insulation: rapid.SampledFrom([]units.Temp{0, 60, 75, 80, 90, 105}).Draw(t, "ins"), Bundle: rapid.IntRange(0, 24).Draw(t, "bundle")}}
		r.Place.Engine = r.Place.Insulation == 105 && rapid.Bool().Draw(t, "engine")
		kind := rapid.SampledFrom([]WireKind{Stranded, Primary, Flexible}).Draw(t, "kind")
		best, err := r.Choose(kind, none)
		if fault.Is(err, fault.NotKnownHere) && r.Current*1.25 > 40 {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		if best.Fuse > best.Ampacity {
			t.Fatalf("fuse %v on a wire for %v", best.Fuse, best.Ampacity)
		}
		if best.Fuse != 0 && best.Fuse < r.Current*1.25 {
			t.Fatalf("fuse %v for %v", best.Fuse, r.Current)
		}
		if best.Fits && (best.Fuse == 0 || best.Part > 0.05) {
			t.Fatalf("does not fit: %+v", best)
		}
		for _, w := range Sizes(kind) {
			x := must[Wiring](t)(r.With(w, none))
			if x.Fuse > x.Ampacity {
				t.Fatalf("%s: fuse %v above %v", w, x.Fuse, x.Ampacity)
			}
			if w == best.Wire {
				break
			}
			if x.Fits {
				t.Fatalf("%s would have done, not %s", w, best.Wire)
			}
		}
	})
}

func TestFuseSays(t *testing.T) {
	// 15 A pump, 6 m away: 10 AWG loses 6.1 %, so 8 AWG; fuse 20 A.
	x := must[Wiring](t)(Run{Current: 15, OneWay: 6, Copper: HotCopper}.Choose(Stranded, none))
	if x.Wire.AWG != 8 || x.Fuse != 20 || !x.Fits {
		t.Errorf("chosen %v, fuse %v", x.Wire, x.Fuse)
	}
	thin := must[Wiring](t)(Run{Current: 15, OneWay: 6, Copper: HotCopper}.With(Wire{AWG: 16}, none))
	if thin.Fuse != 0 || thin.Fits || thin.Cautions[0].Code != "wire-too-thin" || thin.Cautions[1].Code != "drop-stop" {
		t.Errorf("16 AWG on 15 A: %+v", thin)
	}
	if _, err := Fuse(10, 10, none); !fault.Is(err, fault.Unsafe) {
		t.Errorf("12.5 A on a 10 A wire: %v", err)
	}
	if _, err := Fuse(40, 100, none); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("50 A: %v", err)
	}
	if _, err := (Wire{AWG: 12}).Ampacity(Place{Insulation: 75, Engine: true}); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("75 °C wire in the engine space: %v", err)
	}
	near(t, "engine", float64(must[units.Current](t)(Wire{AWG: 12}.Ampacity(Place{Insulation: 105, Engine: true, Bundle: 3}))), 45*0.85*0.70, "1e-9")
	if _, err := (Wire{AWG: 2}).Ampacity(Place{}); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("2 AWG: %v", err)
	}
	// "10 A × (1000 L / 10 L/min = 1.67 h) = 16.7 Ah"; a 60 Ah battery at half
	// depth is one to two such tanks. [C]
	ah := must[float64](t)(AmpHours(10, 1000, 10.0/60))
	near(t, "I·t", ah, 16.7, "0.05")
	if n := must[float64](t)(TanksPerCharge(60, ah, none)); n < 1 || n > 2 {
		t.Errorf("%v tanks a charge", n)
	}
	// 185 to 333 Wh, 15 to 28 Ah for an efficiency of 45 to 25 %. [C]
	for eta, wh := range map[float64]float64{0.45: 185, 0.25: 333} {
		e := must[PumpEnergy](t)(EnergyFor(1000, 3*units.Bar, 12, figures(KeyPumpEfficiency, eta)))
		near(t, "Wh", float64(e.Energy)/3600, wh, "0.5")
	}
}

func TestParseWire(t *testing.T) {
	for in, want := range map[string]Wire{
		"10AWG": {AWG: 10}, "10 awg": {AWG: 10}, " 8 ga ": {AWG: 8}, "12 AWG primary": {AWG: 12, Kind: Primary}, "14 AWG solid": {AWG: 14, Kind: Solid},
		"12 AWG stranded": {AWG: 12}, "6mm2": {MM2: 6}, "2,5 mm²": {MM2: 2.5}, "2.5 sqmm": {MM2: 2.5}, "25 MM2": {MM2: 25},
	} {
		if got, err := ParseWire(in); err != nil || got != want {
			t.Errorf("%q: %v %v", in, got, err)
		}
	}
	for in, kind := range map[string]fault.Kind{
		"": fault.NotUnderstood, "10": fault.NotUnderstood, "AWG": fault.NotUnderstood, "10.5 AWG": fault.NotUnderstood, "2/0 AWG": fault.NotUnderstood,
		"11 AWG": fault.NotKnownHere, "3 mm2": fault.NotKnownHere, "0 AWG": fault.Missing, "1e3 mm2": fault.NotUnderstood, "6 mm2 solid": fault.NotUnderstood,
		"1.2.3 mm2": fault.NotUnderstood, "-10 AWG": fault.NotUnderstood,
	} {
		if _, err := ParseWire(in); !fault.Is(err, kind) {
			t.Errorf("%q: %v is not %v", in, err, kind)
		}
	}
}

// FuzzParseWire: what is read is a printed size and reads back to itself.
func FuzzParseWire(f *testing.F) {
	for _, s := range []string{"10AWG", "6mm2", "2,5 mm²", "12 AWG primary", "10", "", "2/0 AWG", "1e9 mm2", "\xff", "9 AWG"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		w, err := ParseWire(s)
		if err != nil {
			if fault.KindOf(err) == fault.Internal || fault.HintOf(err) == "" {
				t.Fatalf("%q: %v without kind or hint", s, err)
			}
			return
		}
		if again, err := ParseWire(w.String()); err != nil || again != w {
			t.Fatalf("%q is %v, reads back as %v, %v", s, w, again, err)
		}
		if _, err := w.Resistance(20); err != nil && !fault.Is(err, fault.NotKnownHere) {
			t.Fatal(err)
		}
	})
}
