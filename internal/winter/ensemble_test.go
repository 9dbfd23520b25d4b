package winter

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"

	"pgregory.net/rapid"
)

// With nothing unsure, a steady temperature and no brood, the answer is a sum
// that can be written down.
func TestSteadyWinterIsASum(t *testing.T) {
	for _, temp := range []float64{-20, -5, 6, 12} {
		from, forage := units.DayOf(2010, 11, 1), Forage{Day: units.DayOf(2011, 3, 1)}
		w := must(PastWinters(WintersQuery{Series: steady(t, 1980, 2010, temp), From: from, Until: forage.Horizon(false)}, figs))(t)
		p := sure(ParamsOf(figs))
		e := must(NewEnsemble(EnsembleQuery{Place: Place{Brood: BroodNone}, Winters: w, Forage: forage, Params: p, Draws: 100, Seed: 1, Figures: figs}))(t)
		c := Colony{ID: "1", Bees: 12000, Stores: figure.Est(15, 0), Factor: figure.Est(1, 0)}
		want := 0.0
		for d := from; d < forage.Day; d++ {
			want += p.grams(temp, must(Bees(12000, d, false))(t), 0, 1) / 1000
		}
		q := must(e.Quadrature(c))(t)
		near(t, "quadrature, mean", q.Mean, want, 1e-9)
		near(t, "quadrature, quantile", q.Quantile(0.95), want, 1e-6)
		tg := must(e.Target(TargetQuery{Colony: c}))(t)
		near(t, "target", tg.Kg.Kg(), want+4, 1e-5)
		f := must(e.Watch(WatchQuery{Colonies: []Colony{c}}))(t)[0]
		last := len(f.Mean) - 1
		for i := range f.Stores {
			near(t, "fan", f.Stores[i][last], math.Max(0, 15-want), binKg)
		}
		if f.ShortAtAll() != map[bool]float64{true: 1, false: 0}[15-want < 4] {
			t.Errorf("at %g °C: short with chance %g, uses %.2f of 15", temp, f.ShortAtAll(), want)
		}
		sum := 0.0
		for _, x := range tg.Parts {
			sum += x.Kg()
		}
		near(t, "parts", sum, want, 1e-5)
	}
}

// A reserve known to lie above or below gives a day that can be worked out.
func TestRunsShortOnTheDay(t *testing.T) {
	from, forage := units.DayOf(2010, 11, 1), Forage{Day: units.DayOf(2011, 4, 15)}
	w := must(PastWinters(WintersQuery{Series: steady(t, 1980, 2010, 6), From: from, Until: forage.Horizon(false)}, figs))(t)
	p := sure(ParamsOf(figs))
	e := must(NewEnsemble(EnsembleQuery{Place: Place{Brood: BroodNone}, Winters: w, Forage: forage, Params: p, Draws: 64, Seed: 1, Figures: figs}))(t)
	f := must(e.Watch(WatchQuery{Colonies: []Colony{{Bees: 10000, Stores: figure.Est(6, 0), Factor: figure.Est(1, 0)}}}))(t)[0]
	left, d := 6.0, from
	for left >= 4 {
		left -= p.grams(6, must(Bees(10000, d, false))(t), 0, 1) / 1000
		d++
	}
	if f.RunsShortOn != d || f.LikelyShortOn != d {
		t.Errorf("short on %s, want %s", f.RunsShortOn, d)
	}
	zero := units.Mass(0)
	g := must(e.Watch(WatchQuery{Colonies: []Colony{{Bees: 10000, Stores: figure.Est(3, 0), Factor: figure.Est(1, 0)}}, Reserve: &zero}))(t)[0]
	for i := range g.Short {
		if g.Short[i] != g.Out[i] {
			t.Fatal("without a reserve short and out differ")
		}
	}
	if g.RunsShortOn == 0 {
		t.Error("three kilograms last all winter")
	}
}

// The kernel against plain sums, sorted.
func TestFanAgainstPlainSums(t *testing.T) {
	e := yard(t, "2026-10-20", 500, 11)
	colonies := []Colony{
		{ID: "a", Bees: 12000, Stores: figure.Est(20, 1.5)},
		{ID: "b", Bees: 6000, K: 0.85, Stores: figure.Est(9, 3)},
		{ID: "c", Bees: 30000, K: 1.1, Stores: figure.Est(38, 0.2), BroodScale: 1.2, Factor: figure.Est(0.8, 0.05)},
		{ID: "d", Bees: 9000},
		{ID: "e", Bees: 9000, Stores: figure.Est(0, 0)},
		{ID: "f", Bees: 9000, Stores: figure.Est(90, 5)},
	}
	fans := must(e.Watch(WatchQuery{Colonies: colonies}))(t)
	use, left := make([]float64, e.draws), make([]float64, e.draws)
	for i, c := range colonies {
		f := fans[i]
		if f.Colony != c.ID || f.Known != c.Stores.Known {
			t.Fatalf("%s: %s, known %v", c.ID, f.Colony, f.Known)
		}
		if !f.Known {
			if !hasCode(f.Reasons, "no-reading") || !math.IsNaN(f.ShortAtAll()) {
				t.Error("an unknown colony is not said to be unknown")
			}
			continue
		}
		width := math.Max(binKg, 110.0/(maxBins-4))
		for d := range e.days + 1 {
			e.eaten(use, c, d)
			e.stores(left, c)
			short, out, mean := 0.0, 0.0, 0.0
			for j := range left {
				left[j] -= use[j]
				if left[j] < 4 {
					short++
				}
				if left[j] < 0 {
					out++
				}
				mean += math.Max(left[j], 0) / float64(e.draws)
			}
			slices.Sort(left)
			near(t, "mean", f.Mean[d], mean, width/2)
			// Exact but for a draw on the very edge.
			near(t, "short", f.Short[d], short/float64(e.draws), 1.5/float64(e.draws))
			near(t, "out", f.Out[d], out/float64(e.draws), 1.5/float64(e.draws))
			for k, l := range Levels() {
				lo := left[max(0, int(l*float64(e.draws))-2)] - width
				hi := left[min(e.draws-1, int(l*float64(e.draws))+1)] + width
				if x := f.Stores[k][d]; x < math.Max(0, lo) || x > math.Max(0, hi)+1e-9 {
					t.Fatalf("%s day %d: %g %% is %.3f, draws say %.3f to %.3f", c.ID, d, 100*l, x, lo, hi)
				}
			}
		}
	}
}

func TestFanFallsAndNests(t *testing.T) {
	e := yard(t, "2026-09-20", 400, 5)
	f := must(e.Watch(WatchQuery{Colonies: []Colony{{Bees: 11000, Stores: figure.Est(17, 2)}}}))(t)[0]
	for d := range f.Mean {
		for k := range f.Stores {
			if k > 0 && f.Stores[k][d] < f.Stores[k-1][d] {
				t.Fatalf("day %d: quantiles cross", d)
			}
			if d > 0 && f.Stores[k][d] > f.Stores[k][d-1]+1e-9 {
				t.Fatalf("day %d: stores grow", d)
			}
		}
		if d > 0 && (f.Short[d] < f.Short[d-1] || f.Out[d] < f.Out[d-1]) {
			t.Fatalf("day %d: less likely short than the day before", d)
		}
		if f.Out[d] > f.Short[d] {
			t.Fatal("out more likely than short")
		}
	}
	if i, ok := f.On(f.From); !ok || i != 0 {
		t.Error("the first day is not in it")
	}
	if _, ok := f.On(f.From - 1); ok {
		t.Error("the day before is in it")
	}
	x := f.Estimate(day(t, "2027-01-15"))
	if !x.Known || x.SD < 0.5 || x.SD > 4 {
		t.Errorf("mid-January: %+v", x)
	}
}

func TestSameSeedSameAnswer(t *testing.T) {
	var colonies []Colony
	for i := range 37 {
		colonies = append(colonies, Colony{ID: fmt.Sprint(i), Bees: 6000 + 300*float64(i), Stores: figure.Est(10+0.3*float64(i), 1)})
	}
	a := must(yard(t, "2026-10-20", 200, 5).Watch(WatchQuery{Colonies: colonies, Workers: 1}))(t)
	b := must(yard(t, "2026-10-20", 200, 5).Watch(WatchQuery{Colonies: colonies, Workers: 5}))(t)
	if x, y := fmt.Sprint(a), fmt.Sprint(b); x != y {
		t.Error("one worker and five give different fans")
	}
	c := must(yard(t, "2026-10-20", 200, 6).Watch(WatchQuery{Colonies: colonies}))(t)
	if fmt.Sprint(a) == fmt.Sprint(c) {
		t.Error("another seed gives the same fans")
	}
	// Every colony alone is what it is among others.
	alone := must(yard(t, "2026-10-20", 200, 5).Watch(WatchQuery{Colonies: colonies[20:21]}))(t)
	if fmt.Sprint(alone[0]) != fmt.Sprint(a[20]) {
		t.Error("a colony's fan depends on its neighbours")
	}
}

// What is eaten must be known as well as the evidence says: 25 % over a whole
// winter, 40 % over a spring month, 20 % in midwinter (colony evidence base,
// 5.3), each as one standard deviation.
func TestSpreadIsThePublishedOne(t *testing.T) {
	s := synthetic(t, 1990, 2020, 8, 9, 1, 4)
	spread := func(from, until string, b Brood) float64 {
		forage := Forage{Day: day(t, until)}
		w := must(PastWinters(WintersQuery{Series: s, From: day(t, from), Until: forage.Day}, figs))(t)
		e := must(NewEnsemble(EnsembleQuery{Place: Place{Brood: b}, Winters: w, Forage: forage, Params: ParamsOf(figs), Draws: 2000, Seed: 1, Figures: figs}))(t)
		use := make([]float64, e.draws)
		e.eaten(use, Colony{Bees: 10000}, e.days)
		mean, sd := moments(use)
		t.Logf("%s to %s: %.3f", from, until, sd/mean)
		return sd / mean
	}
	near(t, "whole winter", spread("2020-10-01", "2021-05-01", BroodTemperate), 0.25, 0.03)
	near(t, "February", spread("2021-02-01", "2021-03-01", BroodTemperate), 0.40, 0.05)
	near(t, "March", spread("2021-03-01", "2021-04-01", BroodTemperate), 0.40, 0.05)
	near(t, "midwinter", spread("2020-11-15", "2021-01-15", BroodTemperate), 0.20, 0.03)
}

// Two roads to one distribution. The band is what the quadrature states: 2 % on
// the mean and the middle, 4 % on the outer quantiles, 0.03 on a chance.
func TestQuadratureAgainstDraws(t *testing.T) {
	e := yard(t, "2026-10-01", 4000, 3)
	use := make([]float64, e.draws)
	for _, c := range []Colony{{Bees: 12000}, {Bees: 5000, K: 1.1}, {Bees: 32000, K: 0.85}, {Bees: 12000, Factor: figure.Est(1.4, 0.05)}} {
		e.eaten(use, c, e.days)
		slices.Sort(use)
		q := must(e.Quadrature(c))(t)
		mean, sd := moments(use)
		near(t, "mean", q.Mean/mean, 1, 0.02)
		near(t, "spread", q.SD/sd, 1, 0.05)
		for _, l := range Levels() {
			tol := 0.04
			if l == 0.5 {
				tol = 0.02
			}
			near(t, fmt.Sprintf("%g bees, %g %%", c.Bees, 100*l), q.Quantile(l)/quantile(use, l), 1, tol)
		}
		near(t, "below its own quantile", q.Below(q.Quantile(0.9)), 0.9, 1e-6)
		for _, has := range []figure.Estimate{figure.Est(mean+2, 2), figure.Est(mean+4, 1), figure.Est(mean+9, 1.5), figure.Est(mean+6, 0)} {
			c.Stores = has
			f := must(e.Watch(WatchQuery{Colonies: []Colony{c}}))(t)[0]
			near(t, "chance to be short", must(q.Short(has, 4))(t), f.ShortAtAll(), 0.03)
		}
	}
	if _, err := (Quad{}).Short(figure.Estimate{}, 4); !fault.Is(err, fault.Missing) {
		t.Errorf("nothing known: %v", err)
	}
}

func TestEnsembleRefuses(t *testing.T) {
	e := yard(t, "2026-10-20", 50, 1)
	q := EnsembleQuery{Place: Place{Brood: BroodCold}, Winters: e.winters, Forage: e.forage, Params: e.params, Figures: figs}
	for _, draws := range []int{-1, 20, 200000} {
		q.Draws = draws
		if _, err := NewEnsemble(q); !fault.Is(err, fault.OutOfRange) {
			t.Errorf("%d draws: %v", draws, err)
		}
	}
	if _, err := NewEnsemble(EnsembleQuery{Figures: figs}); !fault.Is(err, fault.Missing) {
		t.Errorf("no winters: %v", err)
	}
	hot := q
	hot.Draws, hot.Winters.Temp = 50, slices.Clone(q.Winters.Temp)
	hot.Winters.Temp[3] = slices.Clone(hot.Winters.Temp[3])
	hot.Winters.Temp[3][9] = 98 // °F read as °C
	if _, err := NewEnsemble(hot); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("98 °C: %v", err)
	}
	q.Draws, q.Brood = 50, "none at all"
	if _, err := NewEnsemble(q); !fault.Is(err, fault.NotFound) {
		t.Errorf("no such brood: %v", err)
	}
	bad := units.Mass(-1)
	for what, c := range map[string]struct {
		q    WatchQuery
		kind fault.Kind
	}{
		"confidence": {WatchQuery{Confidence: 1}, fault.OutOfRange},
		"reserve":    {WatchQuery{Reserve: &bad}, fault.OutOfRange},
		"bees":       {WatchQuery{Colonies: []Colony{{Bees: 10}}}, fault.NotKnownHere},
		"k":          {WatchQuery{Colonies: []Colony{{Bees: 1e4, K: 3}}}, fault.NotKnownHere},
		"brood":      {WatchQuery{Colonies: []Colony{{Bees: 1e4, BroodScale: 9}}}, fault.NotKnownHere},
	} {
		if _, err := e.Watch(c.q); !fault.Is(err, c.kind) {
			t.Errorf("%s: %v", what, err)
		}
	}
}

// More stores, sooner forage, fewer bees: never more likely short. The draws are
// shared, so this holds to the last draw.
func TestWatchGoesTheRightWay(t *testing.T) {
	e := yard(t, "2027-01-10", 200, 5)
	rapid.Check(t, func(t *rapid.T) {
		c := Colony{Bees: rapid.Float64Range(3000, 35000).Draw(t, "bees"), K: rapid.Float64Range(0.8, 1.1).Draw(t, "k"),
			Stores: figure.Est(rapid.Float64Range(0, 45).Draw(t, "stores"), rapid.Float64Range(0, 5).Draw(t, "sd"))}
		more, fewer, warmer := c, c, c
		more.Stores.Mean += rapid.Float64Range(0, 5).Draw(t, "more")
		fewer.Bees *= 0.9
		warmer.K *= 0.95
		fans, err := e.Watch(WatchQuery{Colonies: []Colony{c, more, fewer, warmer}, Workers: 1})
		if err != nil {
			t.Fatal(err)
		}
		for d, p := range fans[0].Short {
			for _, f := range fans[1:] {
				// A draw on the very edge may fall to either side by rounding.
				if f.Short[d] > p+1.01/200 {
					t.Fatalf("day %d: %.3f, better off %.3f", d, p, f.Short[d])
				}
			}
		}
	})
}

// Forage that has not begun by the first day comes after it: of a spread that
// reaches back only the rest is drawn. Mean of a half normal: sd·√(2/π).
func TestForageNotYetBegun(t *testing.T) {
	e := yard(t, "2027-01-10", 50, 5)
	e.forageIn, e.forage.SD, e.days = 0, 10, 60
	mean, n := 0.0, 2000
	for i := range n {
		x := e.eatenDays(figure.Est(0, 1).Quantile((float64(i) + 0.5) / float64(n)))
		if x < 0 {
			t.Fatal("forage began before today")
		}
		mean += x / float64(n)
	}
	near(t, "days to forage", mean, 10*math.Sqrt(2/math.Pi), 0.02)
	e.forageIn = 45
	near(t, "far off nothing changes", e.eatenDays(1), 55, 1e-9)
	e.forageIn = 39.999
	near(t, "and it comes in smoothly", e.eatenDays(1), 49.999, 0.01)
}
