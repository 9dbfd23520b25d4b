package rig

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Pour is one filling of a marked or, better, weighed pail.
type Pour struct {
	Volume units.Volume
	Time   units.Duration
}

// Bucket is what a bucket test says.
type Bucket struct {
	N      int
	Flow   units.Flow     // the rate to count with: slope if sizes differ, else harmonic mean
	Lag    units.Duration // of trigger and watch; only from pours of different sizes
	Mean   units.Flow     // plain mean of the single rates
	S      units.Flow     // standard deviation of the single rates
	CV     float64        // S/Mean
	CI     units.Flow     // half width of the 95 % band of the mean
	Single units.Flow     // half width of the 95 % band of one more pour
	SD     units.Flow     // one standard deviation of Flow, with pail and watch
	// Steady is true for enough pours with little scatter.
	Steady   bool
	Cautions []Caution
}

// TestBucket works out a bucket test of two or more pours.
//
// Pours of one size: Q = n·V/Σt, the harmonic mean, which is what a filled tank
// sees; the plain mean of the rates is a little too high. Pours of different
// sizes (the biggest at least half as big again as the smallest): the slope of
// V against t, and the lag of hand and watch from the intercept.
//
// u(Q)/Q = √[(uV/V)² + (ut/t)² + CV²/n]. Source of the method: NIST/SEMATECH
// e-Handbook of Statistical Methods, from memory.
func TestBucket(pours []Pour, fig figure.Set) (Bucket, error) {
	const op = "rig.TestBucket"
	if len(pours) < 2 {
		return Bucket{}, trouble(fault.Missing, op, "a bucket test needs at least two pours").WithHint("five or more, with the same syrup, hose and battery")
	}
	rates := make([]float64, len(pours))
	for i, p := range pours {
		if err := firstErr(positive(op, "a volume", float64(p.Volume)), positive(op, "a time", float64(p.Time))); err != nil {
			return Bucket{}, err
		}
		rates[i] = float64(p.Volume) / float64(p.Time)
	}
	fig = or(fig)
	mean, s := meanSD(rates)
	b := Bucket{N: len(pours), Mean: units.Flow(mean), S: units.Flow(s), CV: s / mean}
	b.Flow, b.Lag = rateAndLag(pours)
	if b.Lag != 0 {
		// The lag makes small pours look slow; the scatter that counts is that
		// about the line.
		b.S, b.CV = scatter(pours, b.Flow, b.Lag)
	}
	t := studentT(b.N - 1)
	n := float64(b.N)
	b.CI = units.Flow(t * float64(b.S) / math.Sqrt(n))
	b.Single = units.Flow(t * float64(b.S) * math.Sqrt(1+1/n))
	b.SD = b.Flow * units.Flow(math.Sqrt(sq(fig.V(KeyBucketSD))+sq(fig.V(KeyWatch)/meanTime(pours))+b.CV*b.CV/n))
	b.Steady = b.N >= int(fig.V(KeyBucketFewest)) && b.CV <= fig.V(KeyBucketCV)
	if !b.Steady {
		b.Cautions = append(b.Cautions, caution("bucket-unsteady", "Too few pours or too much scatter ({0} %): look for air in the line and pour again", math.Round(b.CV*1000)/10))
	}
	if i, out := outlier(rates, mean, s); out {
		b.Cautions = append(b.Cautions, caution("bucket-outlier", "Pour {0} stands apart. Leave it out only with a written reason", i+1))
	}
	return b, nil
}

func sq(x float64) float64 { return x * x }

func meanTime(pours []Pour) float64 {
	var t float64
	for _, p := range pours {
		t += float64(p.Time)
	}
	return t / float64(len(pours))
}

// meanSD is mean and sample standard deviation in two passes, which keeps its
// digits where a running sum of squares loses them.
func meanSD(x []float64) (mean, sd float64) {
	for _, v := range x {
		mean += v
	}
	mean /= float64(len(x))
	var ss float64
	for _, v := range x {
		ss += sq(v - mean)
	}
	return mean, math.Sqrt(ss / float64(len(x)-1))
}

// rateAndLag is the flow to count with, and the lag where it can be told.
func rateAndLag(pours []Pour) (units.Flow, units.Duration) {
	lo, hi := pours[0].Volume, pours[0].Volume
	var v, t float64
	for _, p := range pours {
		lo, hi = min(lo, p.Volume), max(hi, p.Volume)
		v += float64(p.Volume)
		t += float64(p.Time)
	}
	if q, lag, ok := line(pours); ok && hi >= 1.5*lo && len(pours) >= 3 {
		return q, lag
	}
	return units.Flow(v / t), 0
}

// line is the least-squares line V = Q·t + c through the pours; the lag is
// −c/Q. ok is false where it makes no sense: falling, or a lag below zero,
// which is no lag but scatter.
func line(pours []Pour) (units.Flow, units.Duration, bool) {
	n := float64(len(pours))
	mt := meanTime(pours)
	var mv float64
	for _, p := range pours {
		mv += float64(p.Volume) / n
	}
	var tt, tv float64
	for _, p := range pours {
		tt += sq(float64(p.Time) - mt)
		tv += (float64(p.Time) - mt) * (float64(p.Volume) - mv)
	}
	q := tv / tt
	lag := mt - mv/q
	return units.Flow(q), units.Duration(lag), tt > 0 && q > 0 && lag >= 0
}

// scatter is the standard deviation of the single rates once the lag is taken
// off.
func scatter(pours []Pour, q units.Flow, lag units.Duration) (units.Flow, float64) {
	var ss float64
	for _, p := range pours {
		ss += sq(float64(p.Volume)/float64(p.Time-lag) - float64(q))
	}
	// Slope and intercept take two of the n; two pours were refused before.
	s := math.Sqrt(ss / math.Max(1, float64(len(pours)-2)))
	return units.Flow(s), s / float64(q)
}

// outlier gives the pour that stands apart by Grubbs' test (two-sided, 5 %).
func outlier(x []float64, mean, s float64) (int, bool) {
	if len(x) < 3 || s == 0 {
		return 0, false
	}
	far := 0
	for i, v := range x {
		if math.Abs(v-mean) > math.Abs(x[far]-mean) {
			far = i
		}
	}
	return far, math.Abs(x[far]-mean)/s > grubbs(len(x))
}

// grubbs is the critical value (n−1)/√n · √(t²/(n−2+t²)) with t at 0.05/(2n)
// and n−2 degrees of freedom. Source: Grubbs 1969, from memory; n = 5 gives
// 1.715.
func grubbs(n int) float64 {
	nf := float64(n)
	t := tQuantile(1-0.05/(2*nf), n-2)
	return (nf - 1) / math.Sqrt(nf) * math.Sqrt(t*t/(nf-2+t*t))
}

// studentT is the two-sided 95 % factor.
func studentT(df int) float64 { return tQuantile(0.975, df) }

// tQuantile is Student's t by halving its distribution function; p above ½.
func tQuantile(p float64, df int) float64 {
	return root(func(t float64) float64 { return tBelow(t, df) - p }, 0, 1e4)
}

// tBelow is the probability of a value below t ≥ 0, for whole degrees of
// freedom, as a finite series. Source: Abramowitz & Stegun 26.7.3–4, from
// memory.
func tBelow(t float64, df int) float64 {
	th := math.Atan(t / math.Sqrt(float64(df)))
	c, s := math.Cos(th), math.Sin(th)
	var sum, term float64
	if df%2 == 1 {
		for k := 3; k <= df; k += 2 {
			if k == 3 {
				term = c
			} else {
				term *= c * c * float64(k-3) / float64(k-2)
			}
			sum += term
		}
		return 0.5 + (th+s*sum)/math.Pi
	}
	for k := 2; k <= df; k += 2 {
		if k == 2 {
			term = 1
		} else {
			term *= c * c * float64(k-3) / float64(k-2)
		}
		sum += term
	}
	return 0.5 + s*sum/2
}

// Keys of the figures of the bucket test.
const (
	KeyWatch        = "rig.watch_sd_s"
	KeyBucketCV     = "rig.bucket_cv_max"
	KeyBucketFewest = "rig.bucket_fewest"
	KeyRefit        = "rig.refit_max"
	KeyRetest       = "rig.retest_k"
	KeyTally        = "rig.tally_max"
)

func bucketFigures() []figure.Figure {
	return []figure.Figure{
		practice(KeyWatch, "spread of a time taken by hand", 0.2, 0.1, 0.5, 0, "s", ""),
		practice(KeyBucketCV, "most scatter of a bucket test", 0.05, 0.02, 0.10, 0, "fraction", "above it the line draws air"),
		practice(KeyBucketFewest, "fewest pours of a bucket test", 5, 3, 10, 0, "pours", ""),
		practice(KeyRefit, "how far a bucket test may lie from the theory", 0.25, 0.10, 0.50, 0, "fraction", "of the viscosity; above it suspect strength, temperature, strainer or voltage"),
		{Key: KeyRetest, Name: "change of temperature after which to test again", Value: 5, Low: 2, High: 10, Unit: "K", Grade: figure.Derived,
			Source: "viscosity of 2:1 changes about 8 % per K at 15 °C, 6 % near 28 °C (NBS Circular 440, supplement 1958)"},
		practice(KeyTally, "how far fills and dips may disagree", 0.03, 0.01, 0.10, 0, "fraction", ""),
	}
}
