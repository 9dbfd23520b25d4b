package feeding

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"larder/internal/units"
)

// bigProblem is an invented season of n colonies, about 25 to a yard within
// 40 km of home, thirty days, with the hours of so many days' work per day as
// crews.
func bigProblem(n int, crew units.Duration, tank float64) Problem {
	r := rand.New(rand.NewPCG(uint64(n), 3))
	p := Problem{Start: start, Days: 30, Figures: set, Seed: 1,
		Rigs:    []Rig{{Truck: "truck", Tank: units.Volume(tank), Pump: units.Flow(12.0 / 60), PerHive: 60, Fill: 900}},
		Kitchen: Kitchen{Strength: 2.0 / 3, Density: 1326.5, Mixer: 400, Mixing: 1800},
		Crew:    Crew{PerDay: crew},
	}
	at := map[string]spot{"": {0, 0}}
	for i := 0; i*25 < n; i++ {
		id := fmt.Sprintf("y%03d", i)
		at[id] = spot{r.Float64()*80 - 40, r.Float64()*80 - 40}
		y := Yard{ID: id, Stop: start + 25 + units.Day(r.IntN(5)), Setup: 600}
		for range p.Days {
			y.Feed = append(y.Feed, r.IntN(5) > 0)
			y.Factor = append(y.Factor, 0.3+0.7*r.Float64())
		}
		p.Yards = append(p.Yards, y)
		for k := 0; k < 25 && i*25+k < n; k++ {
			p.Hives = append(p.Hives, Hive{Colony: fmt.Sprintf("%s-%02d", id, k), Yard: id, Stand: k + 1,
				Need: units.Volume(max(0, 8+6*r.NormFloat64())), Feeder: 7.570823568, Uptake: units.Volume(1 + 2*r.Float64()), Risk: r.Float64()})
		}
	}
	p.Road = plane(at)
	return p
}

func bench(b *testing.B, p Problem) {
	var pl Plan
	for b.Loop() {
		var err error
		if pl, err = Make(p); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(pl.Totals.Loads), "loads")
	b.ReportMetric(float64(pl.Bounds.Loads), "loads-bound")
	b.ReportMetric((pl.Totals.Time+pl.Totals.Mixing).Min()/60, "hours")
	b.ReportMetric(pl.Bounds.Time.Min()/60, "hours-bound")
	b.ReportMetric(float64(pl.Iterations), "steps")
	b.ReportMetric(float64(pl.Totals.Visits), "stops")
	b.ReportMetric(float64(pl.Bounds.Visits), "stops-bound")
	b.ReportMetric(pl.Totals.Dist.Km(), "km")
	b.ReportMetric(pl.Bounds.Dist.Km(), "km-bound")
	b.ReportMetric(float64(len(pl.Unmet)), "unmet")
}

func BenchmarkMake60(b *testing.B) { bench(b, bigProblem(60, 9*3600, 150)) }

// BenchmarkMake10k has hours enough for most (several trucks' worth in one).
func BenchmarkMake10k(b *testing.B) { bench(b, bigProblem(10_000, 80*3600, 1200)) }

// BenchmarkMake10kShort is one truck for ten thousand colonies: hours run out.
func BenchmarkMake10kShort(b *testing.B) { bench(b, bigProblem(10_000, 9*3600, 600)) }

func BenchmarkMake1500(b *testing.B) { bench(b, bigProblem(1500, 12*3600, 600)) }

// replanned is a problem with its plan already out and one yard's needs changed.
func replanned(b *testing.B, p Problem) Problem {
	pl, err := Make(p)
	if err != nil {
		b.Fatal(err)
	}
	p.Hives = append([]Hive(nil), p.Hives...)
	for i := range p.Hives[:10] {
		p.Hives[i].Need = max(0, p.Hives[i].Need-2)
	}
	p.Before = &pl
	return p
}

// BenchmarkReplan1500 makes the plan anew after one yard was fed.
func BenchmarkReplan1500(b *testing.B) {
	p := replanned(b, bigProblem(1500, 12*3600, 600))
	b.ResetTimer()
	bench(b, p)
}

// fleetProblem is a season of n colonies, 40 to a yard, with so many trucks alike.
func fleetProblem(n, trucks int) Problem {
	p := bigProblem(n*25/40, 10*units.Hour, 1000)
	add := append(make([]Hive, 0, n), p.Hives...)
	for i := 0; len(add) < n; i++ {
		h := p.Hives[i%len(p.Hives)]
		h.Colony = fmt.Sprintf("%s-%d", h.Colony, i/len(p.Hives))
		h.Stand += 100
		add = append(add, h)
	}
	p.Hives = add
	p.Kitchen.Mixer, p.Kitchen.Mixing = 2000, 1800
	for i := 1; i < trucks; i++ {
		r := p.Rigs[0]
		r.Truck = fmt.Sprintf("truck %02d", i)
		p.Rigs = append(p.Rigs, r)
	}
	return p
}

// BenchmarkGrowth shows how the time grows with the season: a truck for every
// fifteen hundred colonies.
func BenchmarkGrowth(b *testing.B) {
	for _, n := range []int{500, 1500, 5000, 20_000, 50_000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) { bench(b, fleetProblem(n, 1+n/1500)) })
	}
}
