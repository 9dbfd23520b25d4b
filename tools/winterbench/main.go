// Command winterbench writes the case that tools/numpy/watch.py is measured on:
// figures, generated winters, colonies, and this program's own fans of the first
// of them, as JSON on the standard output. The winters are synthetic: a yearly
// wave with noise, seeded, nobody's weather.
package main

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"

	"larder/internal/figure"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"
	"larder/internal/winter"
)

const (
	days   = 210
	draws  = 1000
	shown  = 20 // colonies whose fans are compared
	forage = 199
)

type colony struct {
	Stores float64 `json:"stores_kg"`
	SD     float64 `json:"sd_kg"`
	Bees   float64 `json:"bees"`
	K      float64 `json:"k"`
}

type fan struct {
	Quantiles [][]float64 `json:"quantiles_kg"`
	Short     []float64   `json:"short"`
}

type file struct {
	Days     int                  `json:"days"`
	Draws    int                  `json:"draws"`
	Forage   float64              `json:"forage_day"`
	ForageSD float64              `json:"forage_sd_days"`
	Reserve  float64              `json:"reserve_kg"`
	Levels   []float64            `json:"levels"`
	Figures  map[string][]float64 `json:"figures"` // value, sd, low, high
	Temp     [][]float64          `json:"temp_c"`
	Brood    []float64            `json:"brood_dm2"` // 100 days before the first day to 100 after the last
	Bees     []float64            `json:"bees"`      // against 1 November, by day
	Colonies []colony             `json:"colonies"`
	Fans     []fan                `json:"fans"`
}

func main() {
	n := 1000
	if len(os.Args) > 1 {
		var err error
		if n, err = strconv.Atoi(os.Args[1]); err != nil || n < shown {
			fmt.Fprintf(os.Stderr, "winterbench: the number of colonies must be at least %d\n", shown)
			os.Exit(2)
		}
	}
	f, err := build(n)
	if err == nil {
		err = json.NewEncoder(os.Stdout).Encode(f)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "winterbench:", err)
		os.Exit(1)
	}
}

func build(n int) (file, error) {
	figs := figure.NewSet(stores.Figures(), weather.Figures(), winter.Figures())
	from := units.DayOf(2026, 10, 1)
	series, err := synthetic()
	if err != nil {
		return file{}, err
	}
	w, err := winter.PastWinters(winter.WintersQuery{Series: series, From: from, Until: from + days}, figs)
	if err != nil {
		return file{}, err
	}
	fo := winter.Forage{Day: from + forage, SD: 4}
	e, err := winter.NewEnsemble(winter.EnsembleQuery{Place: winter.Place{Brood: winter.BroodCold}, Winters: w, Forage: fo,
		Params: winter.ParamsOf(figs), Draws: draws, Seed: 1, Figures: figs})
	if err != nil {
		return file{}, err
	}
	out := file{Days: days, Draws: draws, Forage: forage, ForageSD: fo.SD, Reserve: figs.V("winter.reserve_kg"), Figures: map[string][]float64{}, Temp: w.Temp}
	for _, l := range winter.Levels() {
		out.Levels = append(out.Levels, l)
	}
	for _, g := range append(winter.Figures(), stores.Figures()...) {
		out.Figures[g.Key] = []float64{g.Value, g.SD, g.Low, g.High}
	}
	if err := out.curves(from); err != nil {
		return file{}, err
	}
	colonies := make([]winter.Colony, n)
	for i := range colonies {
		c := colony{Bees: 6000 + float64(i*7919%24000), K: 0.85 + 0.05*float64(i%6), Stores: 8 + float64(i*104729%2200)/100, SD: 1.5}
		out.Colonies = append(out.Colonies, c)
		colonies[i] = winter.Colony{ID: strconv.Itoa(i), Bees: c.Bees, K: c.K, Stores: figure.Est(c.Stores, c.SD)}
	}
	fans, err := e.Watch(winter.WatchQuery{Colonies: colonies[:shown]})
	for _, f := range fans {
		x := fan{Short: f.Short}
		for _, q := range f.Stores {
			x.Quantiles = append(x.Quantiles, q)
		}
		out.Fans = append(out.Fans, x)
	}
	return out, err
}

// curves writes brood and bees by day. Shifted brood is read off beyond the
// days asked; there the calendar is held level, as the model does.
func (f *file) curves(from units.Day) error {
	const pad = 100
	for i := -pad; i < days+pad; i++ {
		d := min(max(from+units.Day(i), units.DayOf(2026, 8, 1)), units.DayOf(2027, 6, 14))
		a, err := winter.BroodOn(winter.BroodCold, d, false, 0)
		if err != nil {
			return err
		}
		f.Brood = append(f.Brood, float64(a))
	}
	for i := range days {
		b, err := winter.Bees(1, from+units.Day(i), false)
		if err != nil {
			return err
		}
		f.Bees = append(f.Bees, b)
	}
	return nil
}

func synthetic() (weather.Series, error) {
	src := rand.New(rand.NewPCG(7, 1))
	var out []weather.Day
	ar, off := 0.0, 0.0
	for d := units.DayOf(1990, 7, 1); d < units.DayOf(2026, 7, 1); d++ {
		if d.Month() == 7 && d.DayOfMonth() == 1 {
			off = 1.2 * src.NormFloat64()
		}
		ar = 0.8*ar + 1.8*src.NormFloat64()
		m := 9 - 14*math.Cos(2*math.Pi*float64(d.YearDay()-20)/365.25) + off + ar
		out = append(out, weather.Day{Day: d, TMax: units.Temp(m + 5), TMin: units.Temp(m - 5), HasMax: true, HasMin: true})
	}
	return weather.MakeSeries("synthetic", out)
}
