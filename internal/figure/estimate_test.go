package figure_test

import (
	"math"
	"testing"

	"larder/internal/figure"
	"pgregory.net/rapid"
)

// The standard normal distribution: M. Abramowitz and I. A. Stegun, Handbook of
// Mathematical Functions, 1964, Table 26.1 (here to ten digits; values from
// memory).
var normal = map[float64]float64{
	0: 0.5, 0.5: 0.6914624613, 1: 0.8413447461, 1.5: 0.9331927987,
	1.96: 0.9750021049, 2: 0.9772498681, 2.5: 0.9937903347, 3: 0.9986501020,
}

func TestBelowAsPrinted(t *testing.T) {
	e := figure.Est(41, 8)
	for z, p := range normal {
		if got := e.Below(41 + 8*z); math.Abs(got-p) > 1e-10 {
			t.Errorf("below %v: %v, printed %v", z, got, p)
		}
		if got := e.Below(41 - 8*z); math.Abs(got-(1-p)) > 1e-10 {
			t.Errorf("below -%v: %v, printed %v", z, got, 1-p)
		}
		if got := e.Quantile(p); p != 0.5 && math.Abs(got-(41+8*z)) > 1e-7 {
			t.Errorf("quantile %v: %v, want %v", p, got, 41+8*z)
		}
	}
}

func TestNotKnownStaysNotKnown(t *testing.T) {
	var no figure.Estimate
	e := figure.Est(1, 1)
	for _, got := range []figure.Estimate{no.Plus(e), e.Plus(no), no.Minus(e), e.Minus(no), no.Times(2)} {
		if got != no {
			t.Errorf("%+v came from what is not known", got)
		}
	}
	if !math.IsNaN(no.Below(0)) || !math.IsNaN(no.Quantile(0.5)) || !math.IsNaN(e.Quantile(0)) || !math.IsNaN(e.Quantile(1)) {
		t.Error("a chance came from what is not known")
	}
	if zero := figure.Est(0, 0); !zero.Known || zero == no {
		t.Error("a known zero is not known")
	}
	if s := figure.Est(1, -2).SD; s != 2 {
		t.Errorf("a spread of %v", s)
	}
}

func TestExactValueHasNoSpread(t *testing.T) {
	e := figure.Est(5, 0)
	for x, want := range map[float64]float64{4.9: 0, 5: 0.5, 5.1: 1} {
		if got := e.Below(x); got != want {
			t.Errorf("below %v: %v, want %v", x, got, want)
		}
	}
	if e.Quantile(0.05) != 5 || e.Quantile(0.95) != 5 {
		t.Errorf("quantiles %v %v", e.Quantile(0.05), e.Quantile(0.95))
	}
}

func TestEstimateProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) figure.Estimate {
			return figure.Est(rapid.Float64Range(-100, 100).Draw(t, name), rapid.Float64Range(0, 20).Draw(t, name+" sd"))
		}
		a, b := draw("a"), draw("b")
		sum, less := a.Plus(b), a.Minus(b)
		if sum != b.Plus(a) {
			t.Fatalf("%+v and %+v add up differently", a, b)
		}
		// Independent spreads add in squares, in sums and in differences.
		if math.Abs(sum.SD*sum.SD-a.SD*a.SD-b.SD*b.SD) > 1e-9 || less.SD != sum.SD {
			t.Fatalf("spreads %v and %v make %v and %v", a.SD, b.SD, sum.SD, less.SD)
		}
		if sum.SD < max(a.SD, b.SD) || math.Abs(less.Mean-(a.Mean-b.Mean)) > 1e-12 {
			t.Fatalf("%+v - %+v = %+v", a, b, less)
		}
		k := rapid.Float64Range(-3, 3).Draw(t, "k")
		if s := a.Times(k); s.SD < 0 || math.Abs(s.SD-a.SD*math.Abs(k)) > 1e-12 || s.Mean != a.Mean*k {
			t.Fatalf("%+v times %v is %+v", a, k, s)
		}
		p := rapid.Float64Range(0.001, 0.999).Draw(t, "p")
		if a.SD > 1e-6 {
			if back := a.Below(a.Quantile(p)); math.Abs(back-p) > 1e-9 {
				t.Fatalf("below the %v quantile lies %v", p, back)
			}
		}
		x := rapid.Float64Range(-200, 200).Draw(t, "x")
		if a.Below(x) > a.Below(x+1) {
			t.Fatalf("%+v: more lies below %v than below %v", a, x, x+1)
		}
	})
}
