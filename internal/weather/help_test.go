package weather

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"

	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/weather/demodata"
)

// published is the set of figures without any of the keeper's own.
func published() figure.Set { return figure.NewSet(Figures()) }

func mustWith(t testing.TB, s figure.Set, key string, v float64) figure.Set {
	t.Helper()
	s, err := s.With(key, v)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func mustSeries(t testing.TB, station string, days []Day) Series {
	t.Helper()
	s, err := MakeSeries(station, days)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func day(y int, m time.Month, d int) units.Day { return units.DayOf(y, m, d) }

// cities gives the two real series, by name.
func cities(t testing.TB) map[string]Series {
	t.Helper()
	f, err := Read(demodata.CSV(), Options{File: "weather.csv"})
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]Series{}
	for _, s := range f.Series {
		out[s.Station()] = s
	}
	return out
}

// tableOf reads a file of testdata without its remarks and headings.
func tableOf(t testing.TB, name string) [][]string {
	t.Helper()
	b, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	r := csv.NewReader(b)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 2 {
		t.Fatalf("%s has no rows", name)
	}
	return rows[1:]
}

func num(t testing.TB, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

func codes(rs []Reason) map[string]bool {
	m := map[string]bool{}
	for _, r := range rs {
		m[r.Code] = true
	}
	return m
}

// madeYears makes seasons of smooth weather, warm in July, with its own shift
// and noise for each year: n seasons from first on.
func madeYears(rt *rapid.T, first, n int, south bool) []Day {
	var out []Day
	for y := first; y < first+n; y++ {
		shift := rapid.Float64Range(-15, 15).Draw(rt, "shift")
		out = append(out, madeSeason(y, south, 22, 13, shift)...)
	}
	return out
}

// madeSeason makes one season: highs between mean−swing and mean+swing, warmest
// shift days after the first 20 of the season.
func madeSeason(season int, south bool, mean, swing, shift float64) []Day {
	var out []Day
	for d := SeasonStart(season, south); d < SeasonStart(season+1, south); d++ {
		w := 2 * math.Pi * (float64(d-SeasonStart(season, south)) - 20 - shift) / 365.25
		hi := math.Round((mean-8+swing*math.Cos(w))*10) / 10
		out = append(out, Day{Day: d, TMax: units.Temp(hi), TMin: units.Temp(hi - 9), HasMax: true, HasMin: true})
	}
	return out
}

// drawDay draws one report of a day within a short span, so that days repeat.
func drawDay(rt *rapid.T) Day {
	d := Day{Day: 20000 + units.Day(rapid.IntRange(0, 40).Draw(rt, "day")), Forecast: rapid.Bool().Draw(rt, "forecast")}
	lo := rapid.IntRange(-200, 250).Draw(rt, "low")
	if d.HasMin = rapid.Bool().Draw(rt, "has low"); d.HasMin {
		d.TMin = units.Temp(lo) / 10
	}
	if d.HasMax = rapid.Bool().Draw(rt, "has high"); d.HasMax {
		d.TMax = units.Temp(lo+rapid.IntRange(0, 150).Draw(rt, "range")) / 10
	}
	if d.HasRain = rapid.Bool().Draw(rt, "has rain"); d.HasRain {
		d.Rain = float64(rapid.IntRange(0, 500).Draw(rt, "rain")) / 10
	}
	return d
}
