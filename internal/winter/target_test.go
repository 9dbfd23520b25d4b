package winter

import (
	"math"
	"slices"
	"testing"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

func TestTargetMeetsItsOwnWatch(t *testing.T) {
	e := yard(t, "2026-10-01", 2000, 9)
	for _, conf := range []float64{0.8, 0.9, 0.95} {
		c := Colony{ID: "1", Bees: 13000}
		tg := must(e.Target(TargetQuery{Colony: c, Confidence: conf}))(t)
		c.Stores = figure.Est(tg.Kg.Kg(), 0)
		f := must(e.Watch(WatchQuery{Colonies: []Colony{c}, Confidence: conf}))(t)[0]
		// The target is exact, the fan counts draws: they may differ by two draws.
		near(t, "a colony at its target runs short", f.ShortAtAll(), 1-conf, 2.5/2000)
		near(t, "the two roads", tg.Quad.Kg()/tg.Want.Kg(), 1, 0.04)
		near(t, "the sum done by hand", tg.Plain.Kg(), tg.Reserve.Kg()+tg.Mean*1.4125, 1e-9)
		if conf == 0.95 {
			// Evidence base, §1: E + 1.65 × 25 % of E + 4 kg.
			near(t, "the sum done by hand against ours", tg.Plain.Kg()/tg.Want.Kg(), 1, 0.06)
		}
		if !slices.IsSortedFunc(tg.Drivers, func(a, b Driver) int { return int(1e6 * (b.SD - a.SD)) }) || len(tg.Drivers) < 5 {
			t.Errorf("drivers %v", tg.Drivers)
		}
		sum := 0.0
		for _, p := range tg.Parts {
			sum += p.Kg()
		}
		near(t, "parts", sum, tg.Mean, 1e-5)
	}
}

// A target grows with what it should grow with.
func TestTargetGrows(t *testing.T) {
	e := yard(t, "2026-10-01", 1000, 9)
	kg := func(q TargetQuery) float64 { return must(e.Target(q))(t).Kg.Kg() }
	zero := units.Mass(0)
	base := kg(TargetQuery{Colony: Colony{Bees: 12000}})
	for what, more := range map[string]float64{
		"bees":       kg(TargetQuery{Colony: Colony{Bees: 14000}}),
		"wind":       kg(TargetQuery{Colony: Colony{Bees: 12000, K: 1.1}}),
		"brood":      kg(TargetQuery{Colony: Colony{Bees: 12000, BroodScale: 1.3}}),
		"factor":     kg(TargetQuery{Colony: Colony{Bees: 12000, Factor: figure.Est(1.2, 0.15)}}),
		"doubt":      kg(TargetQuery{Colony: Colony{Bees: 12000, Factor: figure.Est(1, 0.3)}}),
		"confidence": kg(TargetQuery{Colony: Colony{Bees: 12000}, Confidence: 0.98}),
	} {
		if more <= base {
			t.Errorf("more %s: %.2f kg, not more than %.2f", what, more, base)
		}
	}
	near(t, "the reserve is added", base-kg(TargetQuery{Colony: Colony{Bees: 12000}, Reserve: &zero}), 4, 1e-9)
	later := yard(t, "2026-11-15", 1000, 9)
	if x := must(later.Target(TargetQuery{Colony: Colony{Bees: 12000}}))(t).Kg.Kg(); x >= base {
		t.Errorf("from mid-November %.2f kg, not less than %.2f from 1 October", x, base)
	}
}

func TestTargetSaysWhatStandsBesideIt(t *testing.T) {
	e := yard(t, "2026-10-01", 1000, 9)
	tg := must(e.Target(TargetQuery{Colony: Colony{Bees: 12000}, Published: 34, PublishedFrom: "somewhere", Own: 20, Most: 18, Frames: 4, Least: 7}))(t)
	if tg.Published != 34 || tg.Own != 20 || tg.PublishedFrom != "somewhere" || !tg.NoRoom || tg.Kg != 18 || tg.Want <= 18 || !tg.Weak {
		t.Errorf("%+v", tg)
	}
	if !(tg.Chance < tg.OwnChance && tg.OwnChance < tg.PublishedChance && tg.PublishedChance <= 1) {
		t.Errorf("chances: held %.2f, own %.2f, published %.2f", tg.Chance, tg.OwnChance, tg.PublishedChance)
	}
	for _, code := range []string{"use", "goes-on", "drives", "no-room", "weak", "own-target", "published", "years", "not-weighed", "forage-figure"} {
		if !hasCode(tg.Reasons, code) {
			t.Errorf("%s is not said", code)
		}
	}
	if _, err := e.Target(TargetQuery{Colony: Colony{Bees: 12000}, Confidence: 0.2}); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("confidence: %v", err)
	}
	if _, err := e.Target(TargetQuery{Colony: Colony{Bees: 2}}); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("two bees: %v", err)
	}
}

// Published targets of the north are above those of the south (row 65 in kind):
// a mild place with late forage against a cold one is another matter, so the
// class of winter decides calendar and forage both.
func TestColderPlaceSameForageWantsMore(t *testing.T) {
	last := 0.0
	for _, mean := range []float64{7, 2, -3, -8} {
		forage := Forage{Day: day(t, "2027-05-01"), SD: 10}
		w := must(PastWinters(WintersQuery{Series: synthetic(t, 1995, 2026, mean, 11, 1, 4), From: day(t, "2026-10-15"), Until: forage.Horizon(false)}, figs))(t)
		e := must(NewEnsemble(EnsembleQuery{Place: Place{Brood: BroodCold}, Winters: w, Forage: forage, Params: ParamsOf(figs), Draws: 1000, Seed: 2, Figures: figs}))(t)
		x := must(e.Target(TargetQuery{Colony: Colony{Bees: 12000}}))(t).Kg.Kg()
		if x <= last {
			t.Errorf("yearly mean %g °C: %.1f kg, not more than %.1f in a milder place", mean, x, last)
		}
		last = x
	}
}

// The hypercube: one draw in each strip of each dimension.
func TestDrawsFillTheirStrips(t *testing.T) {
	const n = 200
	z := standard(n, 77)
	for d := range z {
		seen := make([]bool, n)
		for _, x := range z[d] {
			seen[min(n-1, int(n*figure.Est(0, 1).Below(x)))] = true
		}
		for i, ok := range seen {
			if !ok {
				t.Fatalf("dimension %d: strip %d is empty", d, i)
			}
		}
	}
	got := make([]int, 7)
	for _, w := range deal(n, 7, 77) {
		got[w]++
	}
	if slices.Max(got)-slices.Min(got) > 1 {
		t.Errorf("winters dealt %v", got)
	}
}

func TestCholesky(t *testing.T) {
	m := [nRates][nRates]float64{{4, 2, 0, 1}, {2, 5, 0, 0}, {0, 0, 0, 0}, {1, 0, 0, 3}}
	l := cholesky(m)
	for i := range m {
		for j := range m {
			s := 0.0
			for k := range m {
				s += l[i][k] * l[j][k]
			}
			near(t, "l·lᵀ", s, m[i][j], 1e-12)
		}
	}
}

func TestQuantileOfDraws(t *testing.T) {
	x := []float64{0, 1, 2, 3, 4}
	near(t, "middle", quantile(x, 0.5), 2, 0)
	near(t, "end", quantile(x, 1), 4, 0)
	near(t, "between", quantile(x, 0.3), 1.2, 1e-12)
	near(t, "share", shareBelow(x, 2), 0.6, 1e-12)
	near(t, "share of none", shareBelow(x, -1), 0, 0)
	m, sd := moments(x)
	near(t, "mean", m, 2, 1e-12)
	near(t, "spread", sd, math.Sqrt2, 1e-12)
}
