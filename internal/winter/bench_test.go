package winter

import (
	"fmt"
	"runtime"
	"sync"
	"testing"

	"larder/internal/figure"
)

// benchYard is 210 days × 1000 draws of thirty winters.
func benchYard(tb testing.TB) *Ensemble {
	f := Forage{Day: day(tb, "2027-04-18"), SD: 4}
	w := must(PastWinters(WintersQuery{Series: synthetic(tb, 1990, 2026, 9, 14, 1.2, 7), From: day(tb, "2026-10-01"), Until: day(tb, "2026-10-01") + 210}, figs))(tb)
	return must(NewEnsemble(EnsembleQuery{Place: Place{Brood: BroodCold}, Winters: w, Forage: f, Params: ParamsOf(figs), Draws: 1000, Seed: 1, Figures: figs}))(tb)
}

func benchColonies(n int) []Colony {
	out := make([]Colony, n)
	for i := range out {
		out[i] = Colony{ID: fmt.Sprint(i), Bees: 6000 + float64(i*7919%24000), K: 0.85 + 0.05*float64(i%6), Stores: figure.Est(8+float64(i*104729%2200)/100, 1.5)}
	}
	return out
}

// BenchmarkWatch makes fans of 10,000 colonies over 210 days with 1000 draws.
func BenchmarkWatch(b *testing.B) {
	e, colonies := benchYard(b), benchColonies(10000)
	for b.Loop() {
		if _, err := e.Watch(WatchQuery{Colonies: colonies}); err != nil {
			b.Fatal(err)
		}
	}
	rate(b, len(colonies)*e.days)
}

// BenchmarkStripped does the same sums and nothing else: four products a
// colony, day and draw, on as many processors, and adds up what is left.
func BenchmarkStripped(b *testing.B) {
	e, colonies := benchYard(b), benchColonies(10000)
	workers := runtime.GOMAXPROCS(0)
	sums := make([]float32, workers)
	for b.Loop() {
		var wg sync.WaitGroup
		for w := range workers {
			wg.Go(func() {
				begun, one := make([]float32, e.draws), make([]float32, e.draws)
				for j := range one {
					one[j] = 1
				}
				for i := w * tile; i < len(colonies); i += workers * tile {
					for d := range e.days {
						for _, c := range colonies[i:min(i+tile, len(colonies))] {
							s := [nRates]float32{float32(c.K), float32(c.Bees), 1, 1}
							sums[w] += stripped(&s, begun, one, e.sum[0][d*e.draws:], e.sum[1][d*e.draws:], e.sum[2][d*e.draws:], e.sum[3][d*e.draws:])
						}
					}
				}
			})
		}
		wg.Wait()
	}
	if sums[0] == 0 {
		b.Fatal("nothing was done")
	}
	rate(b, len(colonies)*e.days)
}

func stripped(s *[nRates]float32, begun, rate, f0, f1, f2, f3 []float32) float32 {
	n := len(begun)
	rate, f0, f1, f2, f3 = rate[:n], f0[:n], f1[:n], f2[:n], f3[:n]
	s0, s1, s2, s3 := s[0], s[1], s[2], s[3]
	total := float32(0)
	for j, v := range begun {
		total += v - rate[j]*(s0*f0[j]+s1*f1[j]+s2*f2[j]+s3*f3[j])
	}
	return total
}

// BenchmarkWatchYard is what a keeper waits for: thirty colonies of one yard,
// its draws made anew.
func BenchmarkWatchYard(b *testing.B) {
	e, colonies := benchYard(b), benchColonies(30)
	q := EnsembleQuery{Place: e.place, Winters: e.winters, Forage: e.forage, Params: e.params, Draws: 1000, Seed: 1, Figures: figs}
	for b.Loop() {
		e, err := NewEnsemble(q)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := e.Watch(WatchQuery{Colonies: colonies}); err != nil {
			b.Fatal(err)
		}
	}
	rate(b, len(colonies)*e.days)
}

// BenchmarkTarget is one target with its quadrature.
func BenchmarkTarget(b *testing.B) {
	e := benchYard(b)
	for b.Loop() {
		if _, err := e.Target(TargetQuery{Colony: Colony{Bees: 12000}}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkNextHeft is a list of looks for 200 colonies.
func BenchmarkNextHeft(b *testing.B) {
	e, colonies := benchYard(b), benchColonies(200)
	for b.Loop() {
		if _, err := e.NextHeft(HeftQuery{Colonies: colonies}); err != nil {
			b.Fatal(err)
		}
	}
}

func rate(b *testing.B, colonyDays int) {
	b.ReportMetric(float64(colonyDays)*float64(b.N)/b.Elapsed().Seconds(), "colony-days/s")
}
