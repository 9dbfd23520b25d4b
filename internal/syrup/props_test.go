package syrup

import (
	"math"
	"testing"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
	"pgregory.net/rapid"
)

// tight is the relative error a mass balance may have.
const tight = 1e-9

func close(a, b float64) bool {
	return math.Abs(a-b) <= tight*math.Max(1, math.Max(math.Abs(a), math.Abs(b)))
}

func drawStrength(t *rapid.T, name string, lo, hi float64) units.Strength {
	return units.Strength(rapid.Float64Range(lo, hi).Draw(t, name))
}

func drawTemp(t *rapid.T, name string, lo, hi float64) units.Temp {
	return units.Temp(rapid.Float64Range(lo, hi).Draw(t, name))
}

func TestDensityInverseAndMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, at := drawStrength(t, "s", 0, 0.85), drawTemp(t, "t", -10, 100)
		if back := must(StrengthOf(must(Density(s, at)), at)); !close(float64(back), float64(s)) {
			t.Fatalf("%v comes back as %v", s, back)
		}
		more := min(s+units.Strength(rapid.Float64Range(1e-6, 0.1).Draw(t, "more")), 0.85)
		if more > s && must(Density(more, at)) <= must(Density(s, at)) {
			t.Fatalf("%v is no denser than %v", more, s)
		}
		v := units.Volume(rapid.Float64Range(0, 1e5).Draw(t, "v"))
		if back := must(VolumeOf(must(MassOf(v, s, at)), s, at)); !close(back.L(), v.L()) {
			t.Fatalf("%v comes back as %v", v, back)
		}
	})
}

func TestSolubilityMonotoneAndInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := drawTemp(t, "a", -5.9, 100)
		s := must(Solubility(a))
		back, ok, err := SaturationTemp(s)
		if err != nil || !ok || math.Abs(back.C()-a.C()) > 1e-6 {
			t.Fatalf("%v saturates at %v (%v, %v), not %v", s, back, ok, err, a)
		}
		if sigma := must(Supersaturation(s, a)); !close(sigma, 1) {
			t.Fatalf("at saturation %v", sigma)
		}
		b := drawTemp(t, "b", -10, 100)
		if (b > a) != (must(Solubility(b)) > s) && math.Abs(b.C()-a.C()) > 1e-9 {
			t.Fatalf("not monotone between %v and %v", a, b)
		}
	})
}

func TestMonotonePhysics(t *testing.T) {
	// Stronger: thicker, less free water, lower freezing, higher boiling, higher
	// index. Warmer: thinner.
	rapid.Check(t, func(t *rapid.T) {
		a := drawStrength(t, "a", 0, 0.74)
		b := a + units.Strength(rapid.Float64Range(1e-4, 0.01).Draw(t, "more"))
		at := drawTemp(t, "t", 0, 94)
		if must(Viscosity(b, at)) <= must(Viscosity(a, at)) || must(Viscosity(b, at+1)) >= must(Viscosity(b, at)) {
			t.Fatal("viscosity")
		}
		if must(WaterActivity(b, at)) >= must(WaterActivity(a, at)) {
			t.Fatal("water activity")
		}
		if must(Boiling(b, SeaLevel)) <= must(Boiling(a, SeaLevel)) || must(RefractiveIndex(b)) <= must(RefractiveIndex(a)) {
			t.Fatal("boiling or index")
		}
		fa, _, err1 := Freezing(a)
		fb, _, err2 := Freezing(b)
		if err1 != nil || err2 != nil || fb >= fa {
			t.Fatal("freezing", fa, fb, err1, err2)
		}
		if must(Heat(b, at)) >= must(Heat(a, at)) {
			t.Fatal("specific heat")
		}
	})
}

func TestMixBalances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, at := drawStrength(t, "s", 0.01, 0.80), drawTemp(t, "at", 0, 95)
		v := units.Volume(rapid.Float64Range(0.1, 5000).Draw(t, "v"))
		sack := units.Mass(rapid.Float64Range(1, 50).Draw(t, "sack"))
		m, err := Mix(MixRequest{Strength: s, Make: v, At: Told(at), Sack: sack})
		if err != nil {
			t.Fatal(err)
		}
		if !close(m.Syrup.L(), v.L()) || !close((m.Sugar+m.WaterMass).Kg(), m.Mass.Kg()) ||
			!close(float64(m.Sugar/m.Mass), float64(s)) || !close(m.Sacks*sack.Kg(), m.Sugar.Kg()) {
			t.Fatalf("%+v", m)
		}
		if !close(m.Mass.Kg(), v.L()*m.KgPerL()) || !close(m.Sugar.Kg(), v.L()*m.SugarPerL().Kg()) {
			t.Fatalf("per litre: %+v", m)
		}
		// The same mix told by its sacks, by its water, and by both parts.
		for name, req := range map[string]MixRequest{
			"sacks": {Strength: s, Sacks: m.Sacks, Sack: sack, At: Told(at)},
			"water": {Strength: s, Water: m.Water, At: Told(at)},
			"both":  {Sugar: m.Sugar, Water: m.Water, At: Told(at)},
		} {
			o, err := Mix(req)
			if err != nil {
				t.Fatal(name, err)
			}
			if !close(o.Syrup.L(), v.L()) || !close(float64(o.Strength), float64(s)) || !close(o.Water.L(), m.Water.L()) {
				t.Fatalf("%s: %+v against %+v", name, o, m)
			}
		}
	})
}

func TestMixTempBothWays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sugar, water := units.Mass(rapid.Float64Range(0, 100).Draw(t, "sugar")), units.Mass(rapid.Float64Range(35, 100).Draw(t, "water"))
		ts, tw := drawTemp(t, "ts", -5, 40), drawTemp(t, "tw", 5, 99)
		mix, err := MixTemp(sugar, ts, water, tw, published)
		if err != nil {
			t.Fatal(err)
		}
		at := units.Temp(mix.Mean)
		if q := must(HeatToMix(sugar, ts, water, tw, at)); math.Abs(float64(q)) > 1e-3 { // J
			t.Fatalf("%v lacks %v", mix, q)
		}
		if at < 0 {
			return
		}
		if back := must(WaterTempFor(sugar, ts, water, at)); math.Abs(back.C()-tw.C()) > 1e-8 {
			t.Fatalf("%v needs water at %v, not %v", at, back, tw)
		}
	})
}

func TestCorrectReachesWant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		have := units.Volume(rapid.Float64Range(0.5, 2000).Draw(t, "have"))
		reads, want := drawStrength(t, "reads", 0, 0.74), drawStrength(t, "want", 0.02, 0.80)
		at := drawTemp(t, "at", 5, 30)
		meter := rapid.SampledFrom([]Meter{Known, ATC, Refractometer, BrixHydrometer}).Draw(t, "meter")
		req := CorrectRequest{Have: have, Reads: reads, Want: want, At: Told(at), Meter: meter}
		c, err := Correct(req)
		if fault.Is(err, fault.NotKnownHere) && meter == BrixHydrometer {
			return // water lighter than any at that temperature
		}
		if err != nil {
			t.Fatal(err)
		}
		if c.AddSugar > 0 && c.AddMass > 0 {
			t.Fatalf("both sugar and water: %+v", c)
		}
		check := func(c Correction) {
			t.Helper()
			sugar := c.HaveMass*units.Mass(c.Strength) + c.AddSugar
			if !close(float64(sugar/c.FinalMass), float64(want)) || !close((c.HaveMass+c.AddSugar+c.AddMass).Kg(), c.FinalMass.Kg()) {
				t.Fatalf("%+v", c)
			}
		}
		check(c)
		// More than that much: both are added, and the volume is met.
		req.Final = c.Final * units.Volume(rapid.Float64Range(1.001, 3).Draw(t, "more"))
		f, err := Correct(req)
		if err != nil {
			t.Fatal(err)
		}
		check(f)
		if !close(f.Final.L(), req.Final.L()) {
			t.Fatalf("%v, wanted %v", f.Final, req.Final)
		}
		// Less cannot be.
		req.Final = c.Final * 0.99
		if _, err := Correct(req); !fault.Is(err, fault.WontFit) {
			t.Fatalf("less than it makes: %v", err)
		}
	})
}

func TestBlendAndJoin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		weak := drawStrength(t, "weak", 0, 0.6)
		strong := weak + units.Strength(rapid.Float64Range(0.01, 0.2).Draw(t, "apart"))
		want := weak + (strong-weak)*units.Strength(rapid.Float64Range(0.01, 0.99).Draw(t, "part"))
		at := drawTemp(t, "at", 0, 60)
		v := units.Volume(rapid.Float64Range(1, 1000).Draw(t, "v"))
		b, err := Blend(BlendRequest{Strong: strong, Weak: weak, Want: want, Make: v, At: Told(at)})
		if err != nil {
			t.Fatal(err)
		}
		j, err := Join(b.Strong, strong, b.Weak, weak, at)
		if err != nil || !close(float64(j.Strength), float64(want)) || !close(j.Volume.L(), v.L()) || !close(j.Mass.Kg(), b.Mass.Kg()) {
			t.Fatalf("%+v joined to %+v (%v)", b, j, err)
		}
		// The strong one is denser, so its share by volume is the smaller.
		if b.ByVolume >= b.ByMass {
			t.Fatalf("%+v", b)
		}
	})
}

func TestThinThenThicken(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := units.Mass(rapid.Float64Range(0.1, 1000).Draw(t, "m"))
		a, b := drawStrength(t, "a", 0.1, 0.8), drawStrength(t, "b", 0.1, 0.8)
		water := must(Thin(m, a, b))
		sugar := must(Thicken(m, a, b))
		if !close(float64(m*units.Mass(a)/(m+water)), float64(b)) {
			t.Fatalf("thin %v", water)
		}
		if !close(float64((m*units.Mass(a)+sugar)/(m+sugar)), float64(b)) {
			t.Fatalf("thicken %v", sugar)
		}
	})
}

func TestConversionBothWays(t *testing.T) {
	fig := figure.NewSet(Figures())
	rapid.Check(t, func(t *rapid.T) {
		s, at := drawStrength(t, "s", 0.45, 0.75), drawTemp(t, "at", 0, 40)
		kg := units.Mass(rapid.Float64Range(0.1, 50).Draw(t, "kg"))
		c := rapid.Float64Range(0.7, 1.1).Draw(t, "c")
		own, err := fig.With(KeyConversion, c)
		if err != nil {
			t.Fatal(err)
		}
		n, err := SyrupFor(kg, s, at, own)
		if err != nil {
			t.Fatal(err)
		}
		st, err := StoresFrom(n.Volume, s, at, own)
		if err != nil || !close(st.Stores.Mean, kg.Kg()) || !close(st.Sugar.Kg(), n.Sugar.Kg()) {
			t.Fatalf("%+v makes %+v (%v)", n, st, err)
		}
		// Relative spreads agree, and are those of the factors together.
		if !close(st.Stores.SD/st.Stores.Mean, float64(n.SD/n.Volume)) || st.Stores.SD <= 0 {
			t.Fatalf("spread %v and %v", st.Stores, n.SD)
		}
		// Thinner feed makes less per kg of sugar; no feed makes more than a
		// mass balance allows.
		thinner := must(StoresPerL(s-0.005, at, own))
		if thinner.Yield >= n.Yield {
			t.Fatalf("%v yields %v, %v yields %v", s-0.005, thinner.Yield, s, n.Yield)
		}
		if best := must(NoLossStores(n.Sugar, 1, own)); n.Yield*n.Sugar.Kg() >= best.Kg() {
			t.Fatalf("yield %v over the bound", n.Yield)
		}
		// The learned factor scales what is planned.
		if !close(n.PerSolids.Mean, n.Yield*c) {
			t.Fatalf("planned %v of %v at %v", n.PerSolids, n.Yield, c)
		}
	})
}

func TestHeelHandsOnNegative(t *testing.T) {
	// 900 L of 2:1 cannot become 1000 L of 1:1: sugar would have to come out.
	sugar, water, err := Heel(900, 2.0/3, 1000, 0.5, 20)
	if err != nil || sugar >= 0 || water <= 0 {
		t.Errorf("%v %v %v", sugar, water, err)
	}
	sugar, water, err = Heel(100, 0.5, 1000, 2.0/3, 20)
	// 884.50 kg of sugar wanted, 61.48 in the heel (recipes table).
	if err != nil || math.Abs(sugar.Kg()-(884.50-61.48)) > 0.02 || water <= 0 {
		t.Errorf("%v %v %v", sugar, water, err)
	}
}
