package stores_test

import (
	"math"
	"testing"

	"larder/internal/figure"
	"larder/internal/stores"

	"pgregory.net/rapid"
)

func heft(h stores.Heft) stores.Reading { return stores.Reading{Way: stores.Hand, Heft: h} }

func TestUncheckedHand(t *testing.T) {
	c := stores.Context{Stack: stack(t, "lang10-deep")}
	for h, want := range map[stores.Heft]float64{stores.Light: 7, stores.Fair: 14, stores.Heavy: 21} {
		e := judge(t, heft(h), c)
		near(t, string(h), e.Mean, want, 1e-9)
		near(t, string(h)+": spread 5 kg", e.SD, 5, 1e-9)
		if codes(e.Reasons) != "hand-unchecked" {
			t.Error(codes(e.Reasons))
		}
	}
	// A nuc holds half, and cannot be wrong by more than any amount it holds.
	nuc := judge(t, heft(stores.Fair), stores.Context{Stack: stack(t, "nuc5-deep")})
	near(t, "fair nuc", nuc.Mean, 7, 1e-9)
	near(t, "its spread", nuc.SD, 13.05/math.Sqrt(12), 1e-9)
}

// weighed makes n own hives of one heft, about mean.
func weighed(h stores.Heft, yard string, n int, mean, scatter float64, c stores.Context) []stores.Hefted {
	var out []stores.Hefted
	for i := range n {
		// Evenly about the mean, with standard deviation scatter.
		x := mean + scatter*math.Sqrt(12)*((float64(i)+0.5)/float64(n)-0.5)
		out = append(out, stores.Hefted{Yard: yard, Stack: c.Stack, Heft: h, Stores: figure.Est(x, 0.5)})
	}
	return out
}

func TestCheckedHand(t *testing.T) {
	c := stores.Context{Stack: stack(t, "lang10-deep"), Yard: "mill"}
	before := judge(t, heft(stores.Fair), c).Estimate
	c.Hefted = weighed(stores.Fair, "mill", 4, 18, 1.5, c)
	few := judge(t, heft(stores.Fair), c)
	c.Hefted = weighed(stores.Fair, "mill", 40, 18, 1.5, c)
	many := judge(t, heft(stores.Fair), c)
	if !(before.Mean < few.Mean && few.Mean < many.Mean && many.Mean < 18) {
		t.Errorf("means do not go to the hives weighed: %g, %g, %g", before.Mean, few.Mean, many.Mean)
	}
	if !(before.SD > few.SD && few.SD > many.SD) {
		t.Errorf("spreads do not shrink: %g, %g, %g", before.SD, few.SD, many.SD)
	}
	near(t, "with forty weighed, their mean", many.Mean, 18, 0.3)
	near(t, "with forty weighed, their scatter", many.SD, 1.5, 0.5)
	if codes(many.Reasons) != "hand" {
		t.Error(codes(many.Reasons))
	}
	// Hives of another yard count by half: the answer lies between.
	c.Yard = "hill"
	elsewhere := judge(t, heft(stores.Fair), c)
	c.Yard = "mill"
	c.Hefted = weighed(stores.Fair, "mill", 4, 18, 1.5, c)
	c.Yard = "hill"
	away := judge(t, heft(stores.Fair), c)
	if !(before.Mean < away.Mean && away.Mean < few.Mean && elsewhere.Mean > away.Mean) {
		t.Errorf("another yard: %g, %g, %g, %g", before.Mean, away.Mean, few.Mean, elsewhere.Mean)
	}
	// Hives built otherwise, and other words, say nothing of this one.
	c.Hefted = append(weighed(stores.Light, "hill", 1, 3, 0, c), stores.Hefted{Yard: "hill", Stack: stack(t, "lang10-deep x2"), Heft: stores.Fair, Stores: figure.Est(30, 1)})
	if other := judge(t, heft(stores.Fair), c); math.Abs(other.Mean-before.Mean) > 1e-9 {
		t.Errorf("fair moved to %g by a light hive and a double", other.Mean)
	}
	// A measured tare does not make it another kind of hive.
	c.Hefted = []stores.Hefted{{Yard: "hill", Stack: stack(t, "lang10-deep + tare 16 kg"), Heft: stores.Fair, Stores: figure.Est(20, 1)}}
	if moved := judge(t, heft(stores.Fair), c); moved.Mean <= before.Mean {
		t.Error("a weighed hive with a measured tare was not counted")
	}
}

// The shrunken mean against the same posterior summed up on a grid of means.
func TestHandAgainstAGrid(t *testing.T) {
	c := stores.Context{Stack: stack(t, "lang10-deep"), Yard: "mill"}
	xs := []float64{16, 19.5}
	for _, x := range xs {
		c.Hefted = append(c.Hefted, stores.Hefted{Yard: "mill", Stack: c.Stack, Heft: stores.Fair, Stores: figure.Est(x, 0)})
	}
	got := judge(t, heft(stores.Fair), c)
	// Four hives' worth of 12.5 and the two that scatter 6.125 about their mean.
	within := (4*12.5 + 6.125) / (4 + 1)
	var p, pm, pv float64
	for m := -20.0; m < 60; m += 0.01 {
		l := math.Exp(-(m - 14) * (m - 14) / (2 * 12.5))
		for _, x := range xs {
			l *= math.Exp(-(x - m) * (x - m) / (2 * within))
		}
		p += l
		pm += l * m
		pv += l * m * m
	}
	mean := pm / p
	near(t, "mean", got.Mean, mean, 1e-6)
	near(t, "spread of a hive", got.SD, math.Sqrt(within+pv/p-mean*mean), 1e-6)
}

// No hives weighed, however odd, give a spread that is none or a number that is no number.
func TestHandHoldsForAnyHives(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := stores.Context{Stack: stack(panics{}, "lang10-deep"), Figures: figs}
		for range rapid.IntRange(0, 12).Draw(t, "hives") {
			c.Hefted = append(c.Hefted, stores.Hefted{Stack: c.Stack,
				Heft:   rapid.SampledFrom([]stores.Heft{stores.Light, stores.Fair, stores.Heavy, "odd"}).Draw(t, "heft"),
				Stores: figure.Est(rapid.Float64Range(-50, 200).Draw(t, "stores"), rapid.Float64Range(0, 20).Draw(t, "sd"))})
		}
		e, err := stores.Judge(heft(rapid.SampledFrom([]stores.Heft{stores.Light, stores.Fair, stores.Heavy}).Draw(t, "hand")), c)
		if err != nil || math.IsNaN(e.Mean) || !(e.SD > 0.5) {
			t.Fatalf("%+v, %v", e.Estimate, err)
		}
	})
}
