package weather

import (
	"math"
	"slices"
)

// lowerOf gives the latest of xs that at least the share p of xs reaches or
// passes: with p = 0.9 and 20 years, the third earliest. xs need not be sorted;
// it must not be empty. 0.5 ≤ p < 1.
func lowerOf(xs []int, p float64) int {
	s := slices.Clone(xs)
	slices.Sort(s)
	return s[tail(len(s), p)]
}

// upperOf is the mirror image: the earliest of xs that at least the share p of
// xs does not pass.
func upperOf(xs []int, p float64) int {
	s := slices.Clone(xs)
	slices.Sort(s)
	return s[len(s)-1-tail(len(s), p)]
}

// tail gives how many of n may lie outside a bound that the share p keeps.
func tail(n int, p float64) int {
	// The hair keeps 20 × (1 − 0.9) from becoming 1.9999….
	return min(int(math.Floor(float64(n)*(1-p)+1e-9)), n-1)
}

// predicted gives the bounds that a further year keeps to with chance p each,
// when only the few years xs are known and the general spread sd0 is trusted as
// much as df0 years of own data.
//
// The years are taken as normal about an unknown mean; the variance is the
// pooled one, (df0·sd0² + Σ(x−x̄)²)/(df0+n−1), and a further year then follows
// Student's t with df0+n−1 degrees of freedom about x̄, with scale
// s·√(1+1/n). Method: A. Gelman et al., Bayesian Data Analysis, 3rd ed. 2013,
// ch. 3 (normal data, scaled inverse-χ² prior on the variance, flat on the
// mean), quoted from memory. xs must not be empty; df0 ≥ 1.
func predicted(xs []int, p, sd0 float64, df0 int) (lo, hi float64) {
	n := len(xs)
	var mean float64
	for _, x := range xs {
		mean += float64(x)
	}
	mean /= float64(n)
	ss := float64(df0) * sd0 * sd0
	for _, x := range xs {
		ss += (float64(x) - mean) * (float64(x) - mean)
	}
	df := df0 + n - 1
	w := studentT(p, df) * math.Sqrt(ss/float64(df)) * math.Sqrt(1+1/float64(n))
	return mean - w, mean + w
}

// studentT gives the value that Student's t with df degrees of freedom stays
// below with probability p, for 0.5 ≤ p < 1 and df ≥ 1: the exact finite series
// for whole df, turned round by halving. Source: M. Abramowitz, I. Stegun,
// Handbook of Mathematical Functions, NBS 1964, 26.7.3 and 26.7.4.
func studentT(p float64, df int) float64 {
	lo, hi := 0.0, 1.0
	for studentInside(hi, df) < 2*p-1 && hi < 1e9 {
		hi *= 2
	}
	for range 200 {
		mid := (lo + hi) / 2
		if studentInside(mid, df) < 2*p-1 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// studentInside gives P(|T| ≤ t).
func studentInside(t float64, df int) float64 {
	th := math.Atan(t / math.Sqrt(float64(df)))
	sin, cos := math.Sincos(th)
	if df%2 == 0 {
		term, sum := 1.0, 1.0
		for k := 2; k <= df-2; k += 2 {
			term *= float64(k-1) / float64(k) * cos * cos
			sum += term
		}
		return sin * sum
	}
	if df == 1 {
		return 2 * th / math.Pi
	}
	term, sum := cos, cos
	for k := 3; k <= df-2; k += 2 {
		term *= float64(k-1) / float64(k) * cos * cos
		sum += term
	}
	return 2 / math.Pi * (th + sin*sum)
}
