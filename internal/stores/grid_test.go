package stores_test

import (
	"math"
	"testing"
	"time"

	"larder/internal/figure"
	"larder/internal/stores"
	"larder/internal/units"
)

// grid is the second, slow way to carry stores forward: Bayes' rule summed up
// over a grid of stores s and error of the empty weight b, with no Kalman gain
// anywhere. It shares with Carry only what the problem is: stores just after
// the first reading anything from 0 to 50 kg, b normal, eating wrong as a
// whole between readings.
type grid struct {
	p [][]float64 // by s, b
}

const (
	sMin, sMax, sStep = 0.0, 50.0, 0.1
	bMax, bStep       = 6.0, 0.1
)

func (g *grid) each(f func(i, j int, s, b float64)) {
	for i := range g.p {
		for j := range g.p[i] {
			f(i, j, sMin+float64(i)*sStep, -bMax+float64(j)*bStep)
		}
	}
}

func newGrid(tareSD float64) *grid {
	g := &grid{p: make([][]float64, int(math.Round((sMax-sMin)/sStep))+1)}
	for i := range g.p {
		g.p[i] = make([]float64, int(math.Round(2*bMax/bStep))+1)
	}
	g.each(func(i, j int, s, b float64) { g.p[i][j] = math.Exp(-b * b / (2 * tareSD * tareSD)) })
	return g
}

func (g *grid) read(z, sd float64, weighed bool) {
	g.each(func(i, j int, s, b float64) {
		if !weighed {
			b = 0
		}
		g.p[i][j] *= math.Exp(-(z - s - b) * (z - s - b) / (2 * sd * sd))
	})
}

// move shifts the stores by a normal amount.
func (g *grid) move(by, sd float64) {
	out := newGrid(1).p
	for j := range out[0] {
		for i := range out {
			out[i][j] = 0
			// Six spreads either way are all there is.
			from, to := int((float64(i)*sStep-by-6*sd)/sStep), int((float64(i)*sStep-by+6*sd)/sStep)+1
			for k := max(from, 0); k <= min(to, len(g.p)-1); k++ {
				d := float64(i-k)*sStep - by
				out[i][j] += g.p[k][j] * math.Exp(-d*d/(2*sd*sd))
			}
		}
	}
	g.p = out
}

func (g *grid) stores() figure.Estimate {
	var n, m, v float64
	g.each(func(i, j int, s, b float64) { n += g.p[i][j]; m += g.p[i][j] * s; v += g.p[i][j] * s * s })
	return figure.Est(m/n, math.Sqrt(v/n-m*m/n/n))
}

const tareSD = 1.2

// seen makes a reading. Weighed ones share the error of one table tare.
func seen(id string, at units.Moment, way stores.Way, mean, noise float64) stores.Seen {
	e := stores.Estimate{Estimate: figure.Est(mean, noise), Way: way}
	if way == stores.Full || way == stores.LiftBoth {
		e.SD = math.Hypot(noise, tareSD)
		e.Shared = stores.Shared{Key: "lang10-deep", SD: tareSD}
	}
	return stores.Seen{ID: id, At: at, Est: e}
}

// flatUse eats the same every day, wrong by a third as a whole.
func flatUse(daily float64) stores.Eaten {
	e := stores.Eaten{From: units.DayOf(2026, time.August, 1), Spread: 0.33}
	for range 365 {
		e.Daily = append(e.Daily, daily)
	}
	return e
}

func TestCarryAgainstAGrid(t *testing.T) {
	l := stores.Line{
		Seen: []stores.Seen{
			seen("1", on(time.September, 1), stores.LiftBoth, 14, 1.1),
			seen("2", on(time.September, 21), stores.Frames, 20, 2.4),
			seen("3", on(time.October, 11), stores.Full, 19, 0.6),
			seen("4", on(time.October, 21), stores.Hand, 21, 5),
		},
		Fed: []stores.Fed{
			{ID: "a", At: on(time.September, 5), Gain: figure.Est(5, 0.6)},
			{ID: "b", At: on(time.September, 12), Gain: figure.Est(4, 0.5)},
			{ID: "c", At: on(time.September, 25), Gain: figure.Est(3, 0.4)},
		},
		Eaten: flatUse(0.12), Until: on(time.November, 10), Figures: figs,
	}
	got := stores.Carry(l)

	g := newGrid(tareSD)
	eat := func(days, gain, gainSD float64) { g.move(gain-0.12*days, math.Hypot(gainSD, 0.33*0.12*days)) }
	var want []figure.Estimate
	g.read(14, 1.1, true)
	want = append(want, g.stores())
	eat(20, 9, math.Hypot(0.6, 0.5))
	g.read(20, 2.4, false)
	want = append(want, g.stores())
	eat(20, 3, 0.4)
	g.read(19, 0.6, true)
	want = append(want, g.stores())
	eat(10, 0, 0)
	g.read(21, 5, false)
	want = append(want, g.stores())
	eat(20, 0, 0)

	i := 0
	for _, s := range got.History {
		if s.Kind != stores.StepSeen {
			continue
		}
		if s.Question != nil {
			t.Fatalf("reading %s asked about: %s", s.ID, s.Question.Say)
		}
		near(t, "mean after reading "+s.ID, s.After.Mean, want[i].Mean, 0.01)
		near(t, "spread after reading "+s.ID, s.After.SD, want[i].SD, 0.01)
		i++
	}
	if i != 4 {
		t.Fatal(i, "readings in the history")
	}
	now := g.stores()
	near(t, "mean on 10 November", got.Now.Mean, now.Mean, 0.01)
	near(t, "spread on 10 November", got.Now.SD, now.SD, 0.01)
}

// Ten weighings with one wrong table do not make the table right; a tare
// measured afresh each time would.
func TestOneTareIsNotTen(t *testing.T) {
	weigh := func(shared bool) figure.Estimate {
		l := stores.Line{Eaten: flatUse(0), Figures: figs}
		for i := range 10 {
			s := seen(string(rune('a'+i)), on(time.November, 1+i), stores.Full, 15, 0.5)
			if !shared {
				s.Est.Shared = stores.Shared{}
			}
			l.Seen = append(l.Seen, s)
		}
		return stores.Carry(l).Now.Estimate
	}
	a, b := weigh(true), weigh(false)
	near(t, "spread with one table", a.SD, math.Hypot(tareSD, 0.5/math.Sqrt(10)), 0.01)
	near(t, "spread with ten tares", b.SD, math.Hypot(tareSD, 0.5)/math.Sqrt(10), 0.01)
	near(t, "mean", a.Mean, 15, 0.01)
}
