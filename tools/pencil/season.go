package main

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/weather"
)

var figures = figure.NewSet(feeding.Figures(), weather.Figures())

// invented is season n: three to twelve yards within 40 km, ten to 150 hives,
// six weeks from 1 September that grow colder by chance. Everything in it is
// made up, and plausible at best: afternoons fall from about 24 °C to about 12,
// with spells; a round is made from 12 °C on; bees take more the warmer it is;
// the stop day is the last but one week's end. Three colonies in ten need
// nothing, one in twenty may not be fed.
func invented(n uint64) feeding.Problem {
	r := rand.New(rand.NewPCG(n, 20260901))
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	p := feeding.Problem{Start: units.DayOf(2026, 9, 1), Days: 42, Seed: n, Figures: figures,
		Kitchen: feeding.Kitchen{Strength: 2.0 / 3, Density: 1326.5, Mixing: units.Duration(60 * math.Round(in(30, 75)))},
		Crew:    feeding.Crew{PerDay: units.Duration(1800 * math.Round(2*in(3.5, 8)))},
	}
	yards := 3 + r.IntN(10)
	hives := max(yards, 10+r.IntN(141))
	x, y := make([]float64, yards+1), make([]float64, yards+1)
	at := map[string]int{"": 0}
	spell, warm := 0.0, in(-2, 2)
	feed, factor := make([]bool, p.Days), make([]float64, p.Days)
	for d := range p.Days {
		spell = 0.75*spell + 2.2*r.NormFloat64()
		high := 24 + warm - 12*float64(d)/41 + spell
		feed[d] = high >= 12
		factor[d] = math.Round(100*min(1, max(0, (high-6)/12))) / 100
	}
	for i := range yards {
		id := fmt.Sprintf("yard %02d", i+1)
		at[id] = i + 1
		way, turn := in(2, 40), 2*math.Pi*r.Float64()
		x[i+1], y[i+1] = way*math.Cos(turn), way*math.Sin(turn)
		p.Yards = append(p.Yards, feeding.Yard{ID: id, Name: id, Feed: feed, Factor: factor, Setup: units.Duration(60 * math.Round(in(5, 15))),
			Stop: p.Start + units.Day(21+r.IntN(18))})
	}
	stand := make([]int, yards)
	feeder := []float64{3.785411784, 7.570823568, 10}[r.IntN(3)]
	need := in(5, 14)
	for k := range hives {
		i := k % yards
		if k >= yards {
			i = r.IntN(yards)
		}
		stand[i]++
		h := feeding.Hive{Colony: fmt.Sprintf("%02d-%02d", i+1, stand[i]), Yard: p.Yards[i].ID, Stand: stand[i], Feeder: units.Volume(feeder),
			Uptake: units.Volume(in(0.7, 2.2)), Need: units.Volume(math.Round(10*max(0, need*(1+0.5*r.NormFloat64()))) / 10)}
		if r.IntN(10) < 3 {
			h.Need = 0
		}
		h.Risk = min(1, h.Need.L()/15)
		if r.IntN(20) == 0 {
			h.Hold = []feeding.Reason{{Code: feeding.CodeSuper, Say: "a honey super is on"}}
		}
		p.Hives = append(p.Hives, h)
	}
	slices.SortFunc(p.Hives, func(a, b feeding.Hive) int {
		return cmp.Or(cmp.Compare(a.Yard, b.Yard), cmp.Compare(a.Stand, b.Stand))
	})
	tank := 50 * math.Round(in(3, 12))
	p.Rigs = []feeding.Rig{{Truck: "truck", Tank: units.Volume(tank), Pump: units.Flow(in(8, 20) / 60), PerHive: units.Duration(60 * in(0.7, 1.5)), Fill: units.Duration(60 * math.Round(in(8, 20)))}}
	p.Kitchen.Mixer = units.Volume(tank * []float64{0.5, 1, 1.5}[r.IntN(3)])
	p.Road = func(from, to string) (feeding.Road, bool) {
		a, b := at[from], at[to]
		km := 1.3 * math.Hypot(x[a]-x[b], y[a]-y[b])
		return feeding.Road{Dist: units.Length(math.Round(1000 * km)), Time: units.Duration(math.Round(km / 50 * 3600))}, true
	}
	return p
}
