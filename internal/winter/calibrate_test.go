package winter

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"larder/internal/figure"
	"larder/internal/units"
)

// pair makes a weighing of a colony that eats factor times what the figures
// say, by steady weather.
func pair(t testing.TB, id, from, until string, temp, bees, factor, sd float64, b Brood) Weighing {
	t.Helper()
	a, z := day(t, from), day(t, until)
	temps := make([]float64, z-a)
	for i := range temps {
		temps[i] = temp
	}
	p := ParamsOf(figs)
	x := must(Expected(UseQuery{Place: Place{Brood: b}, From: a, Temp: temps, Params: p, Colony: Colony{Bees: bees}}))(t)
	return Weighing{Colony: id, From: a, To: z, Lost: figure.Est(factor*x.Kg(&p), sd), Expect: x}
}

// The update one pair at a time against one solve of all at once.
func TestCalibrateAgainstOneSolve(t *testing.T) {
	src := rand.New(rand.NewPCG(4, 4))
	var ws []Weighing
	for i := range 12 {
		w := pair(t, fmt.Sprint(i%5), "2026-11-10", "2027-01-05", float64(i%4)-2, 8000+500*float64(i), 0.8+0.6*src.Float64(), 0.3+0.1*float64(i%3), BroodTemperate)
		if i%3 == 0 {
			w = pair(t, fmt.Sprint(i%5), "2027-02-10", "2027-03-20", 4, 8000+500*float64(i), 0.8+0.6*src.Float64(), 0.4, BroodTemperate)
		}
		ws = append(ws, w)
	}
	p := ParamsOf(figs)
	c := Calibrate(ws, p, figs)
	// Normal equations: (P⁻¹ + Σ h hᵀ/n)·x = P⁻¹·m + Σ h·y/n.
	f := newLearner(&p, sortedPairs(ws))
	n := len(f.mean)
	a, b := make([][]float64, n), make([]float64, n)
	for i := range n {
		a[i] = make([]float64, n)
		a[i][i] = 1 / f.cov[i][i]
		b[i] = f.mean[i] / f.cov[i][i]
	}
	for _, w := range ws {
		h, noise := f.row(w)
		for i := range n {
			b[i] += h[i] * w.Lost.Mean / noise
			for j := range n {
				a[i][j] += h[i] * h[j] / noise
			}
		}
	}
	inv := inverse(a)
	x := make([]float64, n)
	for i := range n {
		for j := range n {
			x[i] += inv[i][j] * b[j]
		}
	}
	for i := range nRates {
		near(t, fmt.Sprintf("rate %d", i), c.Params.Rate[i].Mean, x[i], 1e-8)
		for j := range nRates {
			near(t, fmt.Sprintf("covariance %d %d", i, j), c.Params.Cov[i][j], inv[i][j], 1e-8)
		}
	}
	for i, cf := range c.Colonies {
		near(t, "colony "+cf.Colony, cf.Factor.Mean, 1+x[nRates+i], 1e-8)
		near(t, "colony's spread "+cf.Colony, cf.Factor.SD, math.Sqrt(inv[nRates+i][nRates+i]), 1e-8)
	}
	// In any order.
	src.Shuffle(len(ws), func(i, j int) { ws[i], ws[j] = ws[j], ws[i] })
	if d := Calibrate(ws, p, figs); fmt.Sprint(d.Params, d.Colonies) != fmt.Sprint(c.Params, c.Colonies) {
		t.Error("the order of the pairs matters")
	}
}

// inverse is Gauss–Jordan with pivoting.
func inverse(a [][]float64) [][]float64 {
	n := len(a)
	m := make([][]float64, n)
	for i := range m {
		m[i] = append(slices.Clone(a[i]), make([]float64, n)...)
		m[i][n+i] = 1
	}
	for c := range n {
		p := c
		for r := c; r < n; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[p][c]) {
				p = r
			}
		}
		m[c], m[p] = m[p], m[c]
		for r := range n {
			f := m[r][c] / m[c][c]
			if r == c {
				continue
			}
			for k := range m[r] {
				m[r][k] -= f * m[c][k]
			}
		}
	}
	for i := range m {
		for k := n; k < 2*n; k++ {
			m[i][k] /= m[i][i]
		}
		m[i] = m[i][n:]
	}
	return m
}

// A yard that eats half as much again is found out, the sooner the better it
// is weighed.
func TestCalibrateShrinks(t *testing.T) {
	p := ParamsOf(figs)
	ratio := func(n int, sd float64) float64 {
		var ws []Weighing
		for i := range n {
			ws = append(ws, pair(t, fmt.Sprint(i), "2026-11-10", "2027-01-20", 0, 11000, 1.5, sd, BroodCold))
		}
		c := Calibrate(ws, p, figs)
		if c.Used != n || len(c.Colonies) != n {
			t.Fatalf("used %d of %d", c.Used, n)
		}
		near(t, "plain ratio", c.Ratio, 1.5, 1e-9)
		before := p.grams(0, 11000, 0, 1)
		return c.Params.grams(0, 11000, 0, 1) / before
	}
	last := 1.0
	for _, r := range []float64{ratio(1, 3), ratio(1, 1.5), ratio(1, 0.3), ratio(4, 0.3), ratio(40, 0.3)} {
		if r <= last || r >= 1.5 {
			t.Errorf("ratio %.3f, want above %.3f and below 1.5", r, last)
		}
		last = r
	}
	if last < 1.4 {
		t.Errorf("forty hives weighed well give only %.3f", last)
	}
	if r := ratio(1, 3); r > 1.1 {
		t.Errorf("one poor pair gives %.3f", r)
	}
}

// Midwinter says nothing of what brood costs, and narrows what it does speak
// of.
func TestCalibrateLearnsWhatItSaw(t *testing.T) {
	p := ParamsOf(figs)
	var winter, spring []Weighing
	for i := range 10 {
		winter = append(winter, pair(t, fmt.Sprint(i), "2026-11-20", "2026-12-31", 0, 7000+1500*float64(i), 1.3, 0.3, BroodCold))
		spring = append(spring, pair(t, fmt.Sprint(i), "2027-03-01", "2027-04-10", 5, 7000+1500*float64(i), 1.3, 0.3, BroodCold))
	}
	w, s := Calibrate(winter, p, figs).Params, Calibrate(spring, p, figs).Params
	// A breath of brood is left in the mean of what may be.
	for _, r := range []int{BroodFood, BroodWarmth} {
		near(t, "midwinter on brood, mean", w.Rate[r].Mean/p.Rate[r].Mean, 1, 0.02)
		near(t, "midwinter on brood, spread", w.Rate[r].SD/p.Rate[r].SD, 1, 0.01)
	}
	if s.Rate[BroodFood].Mean <= p.Rate[BroodFood].Mean || s.Rate[BroodFood].SD >= p.Rate[BroodFood].SD {
		t.Errorf("spring says nothing of brood: %+v", s.Rate)
	}
	if w.Rate[PerKg].SD >= p.Rate[PerKg].SD || w.Rate[Cluster].SD >= p.Rate[Cluster].SD {
		t.Error("midwinter narrows nothing")
	}
}

func TestCalibrateIsHeld(t *testing.T) {
	p := ParamsOf(figs)
	var ws []Weighing
	for i := range 60 {
		ws = append(ws, pair(t, fmt.Sprint(i), "2026-11-10", "2027-01-20", 0, 11000, 9, 0.1, BroodCold))
	}
	c := Calibrate(ws, p, figs)
	if !hasCode(c.Reasons, "held") {
		t.Error("it is not said that a loss was held")
	}
	for i := range nRates {
		if r := c.Params.Rate[i].Mean / p.Rate[i].Mean; r < 0.5 || r > 2+1e-12 {
			t.Errorf("rate %d is %.2f times the figure", i, r)
		}
	}
	// Nine times and twice are the same: twice is the most that counts.
	var twice []Weighing
	for i := range 60 {
		twice = append(twice, pair(t, fmt.Sprint(i), "2026-11-10", "2027-01-20", 0, 11000, 2, 0.1, BroodCold))
	}
	near(t, "held", Calibrate(twice, p, figs).Params.Rate[PerKg].Mean, c.Params.Rate[PerKg].Mean, 1e-9)
	lost := pair(t, "x", "2026-11-10", "2027-01-20", 0, 11000, 1, 0.2, BroodCold)
	lost.Lost.Mean = -3 // it grew heavier: an empty weight is wrong
	if r := Calibrate([]Weighing{lost}, p, figs); !hasCode(r.Reasons, "held") || r.Params.Rate[PerKg].Mean >= p.Rate[PerKg].Mean {
		t.Errorf("a gain: %+v", r.Reasons)
	}
}

func TestCalibratePutsAside(t *testing.T) {
	p := ParamsOf(figs)
	good := pair(t, "a", "2026-11-10", "2027-01-20", 0, 11000, 1.2, 0.3, BroodCold)
	bad := map[string]func(*Weighing){
		"no-weight": func(w *Weighing) { w.Lost = figure.Estimate{} }, "too-short": func(w *Weighing) { w.To = w.From + 13 },
		"fed-between": func(w *Weighing) { w.Fed = true }, "forage-between": func(w *Weighing) { w.Forage = true },
		"unripe-between": func(w *Weighing) { w.Unripe = true }, "no-expectation": func(w *Weighing) { w.Expect = Expectation{} },
	}
	for code, spoil := range bad {
		w := good
		spoil(&w)
		c := Calibrate([]Weighing{w}, p, figs)
		if len(c.Aside) != 1 || c.Aside[0].Reason.Code != code || c.Used != 0 || c.Params != p || len(c.Colonies) != 0 {
			t.Errorf("%s: %+v", code, c)
		}
		both := Calibrate([]Weighing{w, good}, p, figs)
		if both.Used != 1 || both.Params != Calibrate([]Weighing{good}, p, figs).Params {
			t.Errorf("%s beside a good one: used %d", code, both.Used)
		}
		if x := both.Factor("a"); !x.Known {
			t.Error("the colony weighed has no factor")
		}
		if x := both.Factor("b"); x.Known {
			t.Error("a colony not weighed has a factor")
		}
	}
	more, err := figs.With(keyPairs, 3)
	if err != nil {
		t.Fatal(err)
	}
	if c := Calibrate([]Weighing{good, good}, p, more); c.Used != 0 || c.Params != p {
		t.Error("learned from fewer pairs than the keeper asks for")
	}
}

// Learned figures carried into the ensemble: a yard that eats more wants more,
// and one known better wants less for doubt.
func TestCalibratedTarget(t *testing.T) {
	e := yard(t, "2026-10-20", 1000, 3)
	var ws []Weighing
	for i := range 12 {
		from, to := "2026-11-10", "2027-01-05"
		if i%2 == 1 {
			from, to = "2027-02-20", "2027-04-05"
		}
		ws = append(ws, pair(t, fmt.Sprint(i/2), from, to, 1, 12000, 1, 0.2, BroodCold))
	}
	c := Calibrate(ws, ParamsOf(figs), figs)
	q := EnsembleQuery{Place: e.place, Winters: e.winters, Forage: e.forage, Params: c.Params, Draws: 1000, Seed: 3, Figures: figs}
	mine := must(NewEnsemble(q))(t)
	a := must(e.Target(TargetQuery{Colony: Colony{Bees: 12000}}))(t)
	b := must(mine.Target(TargetQuery{Colony: Colony{Bees: 12000, Factor: c.Factor("0")}}))(t)
	near(t, "mean", b.Mean/a.Mean, 1, 0.03)
	if b.SD >= a.SD || b.Kg >= a.Kg || !hasCode(b.Reasons, "weighed") {
		t.Errorf("weighed %.2f ± %.2f, not weighed %.2f ± %.2f", b.Mean, b.SD, a.Mean, a.SD)
	}
}

// The spread Eaten hands to stores against draws of the ensemble.
func TestEatenSpread(t *testing.T) {
	from, forage := day(t, "2026-11-01"), Forage{Day: day(t, "2027-03-15")}
	s := steady(t, 1995, 2026, 2)
	w := must(PastWinters(WintersQuery{Series: s, From: from, Until: forage.Day}, figs))(t)
	e := must(NewEnsemble(EnsembleQuery{Place: Place{Brood: BroodTemperate}, Winters: w, Forage: forage, Params: ParamsOf(figs), Draws: 5000, Seed: 1, Figures: figs}))(t)
	use := make([]float64, e.draws)
	e.eaten(use, Colony{Bees: 12000}, e.days)
	mean, sd := moments(use)
	x := must(Eaten(UseQuery{Place: e.place, From: from, Temp: w.Temp[0], Params: e.params, Colony: Colony{Bees: 12000}}))(t)
	total, middle := 0.0, 0.0
	for i, kg := range must(Consumption(UseQuery{Place: e.place, From: from, Temp: w.Temp[0], Params: e.params, Colony: Colony{Bees: 12000}}))(t) {
		middle += kg
		total += x.Daily[i]
	}
	near(t, "mean", total/mean, 1, 0.02)
	near(t, "spread", x.Spread/(sd/mean), 1, 0.08)
	parts := must(Shares(UseQuery{Place: e.place, From: from, Temp: w.Temp[0], Params: e.params, Colony: Colony{Bees: 12000}}))(t)
	sum := units.Mass(0)
	for _, m := range parts {
		sum += m
	}
	near(t, "shares", sum.Kg(), middle, 1e-9)
}
