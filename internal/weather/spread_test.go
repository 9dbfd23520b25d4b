package weather

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestStudentTPrinted(t *testing.T) {
	ps := []float64{0.9, 0.95, 0.975, 0.99, 0.995}
	for _, r := range tableOf(t, "student_t.csv") {
		df := int(num(t, r[0]))
		for i, p := range ps {
			if got, want := studentT(p, df), num(t, r[i+1]); !near(got, want, 0.0006) {
				t.Errorf("t(%g, %d) = %.4f, printed %.3f", p, df, got, want)
			}
		}
	}
}

// TestStudentTByArea holds the finite series against adding up the density.
func TestStudentTByArea(t *testing.T) {
	for df := 1; df <= 40; df++ {
		lg1, _ := math.Lgamma(float64(df+1) / 2)
		lg2, _ := math.Lgamma(float64(df) / 2)
		density := func(x float64) float64 {
			return math.Exp(lg1-lg2) / math.Sqrt(float64(df)*math.Pi) *
				math.Pow(1+x*x/float64(df), -float64(df+1)/2)
		}
		for _, x := range []float64{0.3, 1, 2.5, 6} {
			const n = 2000 // Simpson's rule
			h := x / n
			sum := density(0) + density(x)
			for i := 1; i < n; i++ {
				sum += density(float64(i)*h) * float64(2+2*(i%2))
			}
			if got, want := studentInside(x, df), 2*sum*h/3; !near(got, want, 1e-9) {
				t.Fatalf("inside(%g, %d) = %.10f, by area %.10f", x, df, got, want)
			}
		}
	}
}

func TestBoundsKeepTheirShare(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		xs := rapid.SliceOfN(rapid.IntRange(0, 60), 1, 90).Draw(rt, "days")
		p := rapid.Float64Range(0.5, 0.99).Draw(rt, "share")
		lo, hi := lowerOf(xs, p), upperOf(xs, p)
		var above, below, aboveNext int
		for _, x := range xs {
			if x >= lo {
				above++
			}
			if x <= hi {
				below++
			}
			if x > lo {
				aboveNext++
			}
		}
		need := p*float64(len(xs)) - 1e-6
		if float64(above) < need || float64(below) < need {
			rt.Fatalf("%d of %d reach %d, %d do not pass %d, want %g", above, len(xs), lo, below, hi, need)
		}
		// The latest such day: a day later, too few would reach it.
		if aboveNext > 0 && float64(aboveNext) >= need+2e-6 {
			rt.Fatalf("%d of %d pass %d as well", aboveNext, len(xs), lo)
		}
		if !slices.Contains(xs, lo) || !slices.Contains(xs, hi) {
			rt.Fatal("a bound that is no year's day")
		}
		if q := rapid.Float64Range(0.5, p).Draw(rt, "less"); lowerOf(xs, q) < lo || upperOf(xs, q) > hi {
			rt.Fatal("less certainty, yet wider")
		}
	})
}

func TestLowerOfByHand(t *testing.T) {
	xs := make([]int, 20)
	for i := range xs {
		xs[i] = i + 1
	}
	// Nine of ten of 20 years is 18: the third earliest is reached by 18.
	if lo, hi := lowerOf(xs, 0.9), upperOf(xs, 0.9); lo != 3 || hi != 18 {
		t.Errorf("%d, %d, want 3, 18", lo, hi)
	}
	if lo := lowerOf([]int{5, 9, 7, 8}, 0.9); lo != 5 {
		t.Errorf("of four years: %d, want the earliest", lo)
	}
}

// TestPredictedCoverage: places whose true spread scatters about the figure as
// four years of data would have it scatter keep to the bound in nine further
// years of ten, however few of their own years are known.
func TestPredictedCoverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	const sd0, df0, tries = 10.0, 4, 15000
	for _, n := range []int{1, 2, 4, 10, 19} {
		below, above := 0, 0
		for range tries {
			chi2 := 0.0
			for range df0 {
				z := rng.NormFloat64()
				chi2 += z * z
			}
			sd := sd0 * math.Sqrt(df0/chi2)
			xs := make([]int, n)
			for i := range xs {
				xs[i] = int(math.Round(300 + sd*rng.NormFloat64()))
			}
			lo, hi := predicted(xs, 0.9, sd0, df0)
			x := 300 + sd*rng.NormFloat64()
			if x < lo {
				below++
			}
			if x > hi {
				above++
			}
		}
		// Four standard errors of a share of 0.1 of 15000 are 0.01.
		for _, out := range []int{below, above} {
			if share := float64(out) / tries; !near(share, 0.1, 0.01) {
				t.Errorf("%d years: outside in %.4f, promised 0.1", n, share)
			}
		}
	}
}
