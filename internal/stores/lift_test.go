package stores_test

import (
	"math"
	"testing"

	"larder/internal/fault"
	"larder/internal/stores"
	"larder/internal/units"

	"pgregory.net/rapid"
)

func TestLiftTable(t *testing.T) {
	for _, r := range table(t, "lifts.tsv") {
		var l *stores.Levers
		if r["arm1"] != "-" {
			l = &stores.Levers{Arm1: units.Length(num(t, r["arm1"])), Arm2: units.Length(num(t, r["arm2"])), Pivots: units.Length(num(t, r["pivots"]))}
		}
		w, err := stores.LiftWeight(units.Mass(num(t, r["f1"])), units.Mass(num(t, r["f2"])), l)
		if err != nil {
			t.Fatal(err)
		}
		near(t, r["case"], w.Kg(), num(t, r["weight"]), 0.01)
	}
}

// The rules for inset pivots and outside hooks against their printed factors.
func TestLeversOfStands(t *testing.T) {
	in := stores.InsetPivots(0.5, 0.05)
	w, err := stores.LiftWeight(13.3333, 13.3333, &in)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "inset pivots, × 1.125", w.Kg(), 30, 0.01)
	out := stores.OutsideHook(0.5, 0.05)
	w, err = stores.LiftWeight(10, 12, &out)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "hook outside, × (L+p)/L", w.Kg(), 22*0.55/0.5, 1e-9)
}

func TestErrorsOfLifting(t *testing.T) {
	// 30 kg lying 3 cm off the middle of half a metre: the lift at that side is
	// W·(½ + c/L), the other W·(½ − c/L).
	for _, side := range []float64{1, -1} {
		f := 30 * (0.5 + side*0.03/0.5)
		w, err := stores.OneLiftWeight(units.Mass(f), nil)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "one lift doubled", w.Kg(), 30+side*3.6, 1e-9)
		near(t, "its error", w.Kg()/30-1, side*stores.OffCentre(0.03, 0.5), 1e-9)
	}
	near(t, "tilt 10 mm", 100*stores.TiltBias(0.25, 0.41, 0.010), -3.0, 0.1)
	near(t, "tilt 3 mm", 100*stores.TiltBias(0.25, 0.41, 0.003), -0.9, 0.05)
	near(t, "pull 10° off", 100*(stores.SlantPull(10)-1), 1.5, 0.05)
}

// Wherever the weight lies and the hive stands, the two lifts give it: the
// forces come from moments about each pivot.
func TestTwoLiftsFindAnyWeight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		weight := rapid.Float64Range(5, 100).Draw(t, "weight")
		pivots := rapid.Float64Range(0.2, 0.8).Draw(t, "pivots")
		x := rapid.Float64Range(0.05, 0.95).Draw(t, "where") * pivots
		a1 := rapid.Float64Range(0.2, 2).Draw(t, "arm1")
		a2 := rapid.Float64Range(0.2, 2).Draw(t, "arm2")
		l := &stores.Levers{Arm1: units.Length(a1), Arm2: units.Length(a2), Pivots: units.Length(pivots)}
		got, err := stores.LiftWeight(units.Mass(weight*x/a1), units.Mass(weight*(pivots-x)/a2), l)
		if err != nil || math.Abs(got.Kg()-weight) > 1e-9*weight {
			t.Fatalf("got %v, want %g (%v)", got, weight, err)
		}
	})
}

func TestLeversThatCannotBe(t *testing.T) {
	for _, l := range []stores.Levers{{}, {Arm1: 0.5, Arm2: 0.5}, {Arm1: -1, Arm2: 0.5, Pivots: 0.5}, {Arm1: 0.5, Arm2: units.Length(math.NaN()), Pivots: 0.5}, {Arm1: 50, Arm2: 50, Pivots: 50}} {
		if _, err := stores.LiftWeight(10, 10, &l); !fault.Is(err, fault.OutOfRange) || fault.HintOf(err) == "" {
			t.Errorf("%+v: %v", l, err)
		}
	}
	// One arm is enough for one lift.
	if w, err := stores.OneLiftWeight(10, &stores.Levers{Arm1: 0.45, Pivots: 0.4}); err != nil || math.Abs(w.Kg()-22.5) > 1e-9 {
		t.Error(w, err)
	}
}
