package main

import (
	"fmt"
	"math"
	"math/rand/v2"

	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/weather"
)

// The solver gives any litres, so the handy step is set as small as it may be:
// what is compared is the planning, not the jug.
var figures = fine(figure.NewSet(feeding.Figures(), weather.Figures()))

func fine(set figure.Set) figure.Set {
	set, err := set.With("feeding.step_l", 0.05)
	if err != nil {
		panic(err) // the figure's own range forbids it
	}
	return set
}

// small is an invented season small enough for an exact solver: so many yards,
// two to four hives each, so many days, one truck, two loads a day at most. By
// its number some are short of days, of hours or of both. All of it is invented;
// amounts are whole tenths.
func small(n uint64, yards, days int) feeding.Problem {
	r := rand.New(rand.NewPCG(n, uint64(100*yards+days)))
	between := func(lo, hi int) float64 { return float64(lo+r.IntN(hi-lo+1)) / 10 }
	p := feeding.Problem{
		Start: units.DayOf(2026, 9, 14), Days: days, Seed: n, Figures: figures,
		Kitchen: feeding.Kitchen{Strength: 2.0 / 3, Density: 1326.5, Mixing: units.Duration(60 * (20 + r.IntN(41)))},
		Crew:    feeding.Crew{PerDay: units.Duration(3600 * between(50, 90)), LoadsPerDay: 2},
	}
	tight := n%5 == 3
	if tight {
		p.Crew.PerDay = units.Duration(3600 * between(22, 34))
	}
	x, y := make([]float64, yards+1), make([]float64, yards+1)
	at := map[string]int{"": 0}
	total := 0.0
	for i := range yards {
		id := string(rune('A' + i))
		at[id] = i + 1
		way, turn := between(40, 300), 2*math.Pi*r.Float64()
		x[i+1], y[i+1] = way*math.Cos(turn), way*math.Sin(turn)
		yard := feeding.Yard{ID: id, Name: id, Setup: units.Duration(60 * (5 + r.IntN(11))), Stop: p.Start + units.Day(days-1)}
		for range days {
			yard.Feed = append(yard.Feed, r.IntN(6) > 0)
			yard.Factor = append(yard.Factor, []float64{0.5, 0.8, 1, 1, 1}[r.IntN(5)])
		}
		p.Yards = append(p.Yards, yard)
		for k := range 2 + r.IntN(3) {
			h := feeding.Hive{Colony: fmt.Sprintf("%s%d", id, k+1), Yard: id, Stand: k + 1, Risk: between(1, 10),
				Need: units.Volume(between(15, 65)), Feeder: units.Volume([]float64{3.8, 5, 7.6}[r.IntN(3)]), Uptake: units.Volume(between(16, 32))}
			switch r.IntN(8) {
			case 0:
				h.InFeeder = units.Volume(between(2, 10))
			case 1:
				h.RoomTold, h.Room = true, h.Need+units.Volume(between(0, 20))
			}
			if n%5 == 4 {
				h.Need *= 1.6 // more than the days allow some of them
			}
			total += h.Need.L()
			p.Hives = append(p.Hives, h)
		}
	}
	p.Rigs = []feeding.Rig{{Truck: "truck", Tank: units.Volume(math.Round(total * (0.35 + 0.4*r.Float64()))), Pump: units.Flow(between(60, 150) / 60),
		PerHive: units.Duration(60 + 10*r.IntN(7)), Fill: units.Duration(60 * (8 + r.IntN(13)))}}
	p.Kitchen.Mixer = units.Volume(math.Round(p.Rigs[0].Tank.L() * (0.6 + 0.6*r.Float64())))
	if r.IntN(3) == 0 {
		p.Kitchen.Store = p.Kitchen.Mixer
		p.Kitchen.OnHand = units.Volume(math.Round(p.Kitchen.Mixer.L() * r.Float64()))
	}
	p.Road = func(from, to string) (feeding.Road, bool) {
		a, b := at[from], at[to]
		km := 1.3 * math.Hypot(x[a]-x[b], y[a]-y[b])
		return feeding.Road{Dist: units.Length(math.Round(1000 * km)), Time: units.Duration(math.Round(km / 50 * 3600))}, true
	}
	return p
}

// sized is season k of the long comparison: three to six yards, five to seven
// days.
func sized(k int) feeding.Problem { return small(uint64(k), 3+k%4, 5+k%3) }
