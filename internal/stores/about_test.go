package stores_test

import (
	"math"
	"testing"

	"larder/internal/hive"
	"larder/internal/stores"
	"larder/internal/units"
)

// A guess for a whole yard has the same middle as a weighing and a spread of
// its own on top.
func TestAboutWidensTheSpread(t *testing.T) {
	stack, err := hive.ParseStack("lang10-deep + lang10-medium")
	if err != nil {
		t.Fatal(err)
	}
	r := stores.Reading{Colony: "m1", Way: stores.Full, Gross: units.In(units.Mass(43))}
	c := stores.Context{Stack: stack, Figures: figs}
	sure, err := stores.Judge(r, c)
	if err != nil {
		t.Fatal(err)
	}
	r.About = true
	guess, err := stores.Judge(r, c)
	if err != nil {
		t.Fatal(err)
	}
	if guess.Mean != sure.Mean {
		t.Errorf("%.2f kg, weighed %.2f", guess.Mean, sure.Mean)
	}
	if want := math.Hypot(sure.SD, figs.V("stores.se_about_kg")); math.Abs(guess.SD-want) > 1e-9 {
		t.Errorf("spread %.2f, want %.2f", guess.SD, want)
	}
}
