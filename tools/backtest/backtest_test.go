package main

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/units"
	"larder/internal/weather"
	"larder/internal/winter"
)

// generated is weather nobody measured: every year of the same kind, trend °C a
// year added, so that what should come out is known.
func generated(t *testing.T, from, to int, trend float64, seed uint64) weather.Series {
	t.Helper()
	src := rand.New(rand.NewPCG(seed, 1))
	var days []weather.Day
	ar, off := 0.0, 0.0
	for d := units.DayOf(from, time.July, 1); d < units.DayOf(to, time.July, 1); d++ {
		if d.Month() == time.July && d.DayOfMonth() == 1 {
			off = src.NormFloat64() + trend*float64(d.Year()-from)
		}
		ar = 0.8*ar + 2*src.NormFloat64()
		if d == 0 { // 1 January 1970 is "no day" to the program; it fills the gap
			continue
		}
		m := 9 - 14*math.Cos(2*math.Pi*float64(d.YearDay()-20)/365.25) + off + ar
		days = append(days, weather.Day{Day: d, TMax: units.Temp(m + 5), TMin: units.Temp(m - 5), HasMax: true, HasMin: true})
	}
	s, err := weather.MakeSeries("generated", days)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestRangesHoldWhatTheyPromise(t *testing.T) {
	p := place{name: "generated", series: generated(t, 1900, 1985, 0, 3), brood: winter.BroodCold, class: apiary.Cold, first: 1930, last: 1983, back: 20, draws: 200, simulated: 100}
	rng, safe, err := stopDays(p)
	if err != nil {
		t.Fatal(err)
	}
	byWeather, whole, lasts, err := winters(p, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []score{rng, safe, feedDays(p), byWeather, whole, lasts} {
		if s.N < 50 {
			t.Errorf("%s: only %d seasons scored", s.What, s.N)
		}
		if low, _ := s.band(); s.share() < low {
			t.Errorf("%s: %.3f inside, want %.2f", s.What, s.share(), s.Want)
		}
		if _, high := s.band(); !s.AtLeast && s.share() > high {
			t.Errorf("%s: %.3f inside, want %.2f", s.What, s.share(), s.Want)
		}
	}
	// These two are means over thousands of simulated colonies: held closer.
	if math.Abs(whole.share()-0.8) > 0.02 || math.Abs(lasts.share()-0.95) > 0.015 {
		t.Errorf("simulated colonies: %.3f inside, %.3f last", whole.share(), lasts.share())
	}
	each, err := chances(p)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range each {
		// Days of one season hang together, so the band of single days is too narrow.
		if s.N > 200 && math.Abs(s.share()-s.Want) > 0.06 {
			t.Errorf("%s: %.3f came, %.3f foretold", s.What, s.share(), s.Want)
		}
	}
}

// Few years: the range is wider, and still holds.
func TestFewYearsAreWidened(t *testing.T) {
	p := place{name: "generated", series: generated(t, 1900, 1985, 0, 5), brood: winter.BroodCold, class: apiary.Cold, first: 1930, last: 1983, back: 5, draws: 200, simulated: 100}
	rng, _, err := stopDays(p)
	if err != nil {
		t.Fatal(err)
	}
	byWeather, _, lasts, err := winters(p, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []score{rng, byWeather} {
		if low, _ := s.band(); s.share() < low {
			t.Errorf("%s: %.3f inside", s.What, s.share())
		}
	}
	if math.Abs(lasts.share()-0.95) > 0.015 {
		t.Errorf("%.3f last on the 95 %% target", lasts.share())
	}
}

// The score must be able to fail: a place that cools a tenth of a degree a year
// is not foretold by all its years.
func TestATrendIsFoundOut(t *testing.T) {
	p := place{name: "generated", series: generated(t, 1900, 1985, -0.1, 3), brood: winter.BroodCold, class: apiary.Cold, first: 1930, last: 1983}
	s := feedDays(p)
	if s.verdict() != "too few inside" {
		t.Errorf("verdict %q with %.2f inside", s.verdict(), s.share())
	}
	if s.Below < 3*s.Above {
		t.Errorf("%d above, %d below", s.Above, s.Below)
	}
	sum := 0.0
	for _, x := range s.Pit {
		sum += x.At / float64(len(s.Pit))
	}
	if sum > 0.4 || !strings.Contains(s.decades(), "1940–1959") {
		t.Errorf("leaning %.2f: %s", sum, s.decades())
	}
}

func TestSampleRange(t *testing.T) {
	xs := []float64{9, 1, 3, 2, 4, 5, 6, 7, 8}
	if low, high := sampleRange(xs, 0.8); low != 1 || high != 9 { // ranks 1 and 9 of 9
		t.Errorf("%g to %g", low, high)
	}
	if low, high := sampleRange(xs, 0.6); math.Abs(low-2) > 1e-9 || math.Abs(high-8) > 1e-9 {
		t.Errorf("%g to %g", low, high)
	}
	if low, high := sampleRange([]float64{3}, 0.8); low != 3 || high != 3 {
		t.Errorf("%g to %g", low, high)
	}
	if x := pit([]float64{1, 2, 2, 3}, 2); x != 0.5 {
		t.Errorf("pit %g", x)
	}
}

func TestWithoutData(t *testing.T) {
	for _, data := range []string{"", t.TempDir()} {
		var out, errs bytes.Buffer
		if code := run(nil, data, &out, &errs); code != 1 {
			t.Errorf("exit %d", code)
		}
		if s := errs.String(); !strings.Contains(s, "make backtest DATA=") || !strings.Contains(s, "USW00014839") || strings.Count(s, "\n") != 1 {
			t.Errorf("it says %q", s)
		}
	}
	var out, errs bytes.Buffer
	if code := run([]string{"-nonsense"}, "", &out, &errs); code != 2 {
		t.Errorf("wrong use: exit %d", code)
	}
}

// The whole road from a file in the shape of the real one to the table.
func TestReadsTheFileAndWritesTheTable(t *testing.T) {
	dir := t.TempDir()
	if err := os.MkdirAll(filepath.Join(dir, "weather"), 0o755); err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	b.WriteString("year,month,day,date,day_of_year,PRCP,SNOW,SNWD,TMAX,TMIN\n")
	for _, d := range generated(t, 1940, 1976, 0, 2).Days() {
		f := func(x units.Temp) string { return strconv.FormatFloat(x.C()*1.8+32, 'f', 2, 64) }
		fmt.Fprintf(&b, "%s,1,NA,NA,NA,%s,%s\n", d.Day.Time().Format("2006,01,02,2006-01-02"), f(d.TMax), f(d.TMin))
	}
	name := filepath.Join(dir, "weather", "GHCN_"+station+".csv")
	if err := os.WriteFile(name, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	places, err := load(dir)
	if err != nil {
		t.Fatal(err)
	}
	if places[0].first != 1971 || places[0].last != 1974 || len(places) != 5 {
		t.Errorf("%d places, %d to %d", len(places), places[0].first, places[0].last)
	}
	file := filepath.Join(dir, "RESULT.md")
	if err := os.WriteFile(file, []byte("before\n"+begin+"\nold\n"+end+"\nafter\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := replace(file, "new"); err != nil {
		t.Fatal(err)
	}
	got, _ := os.ReadFile(file)
	if want := "before\n" + begin + "\n\nnew\n" + end + "\nafter\n"; string(got) != want {
		t.Errorf("file now %q", got)
	}
	if err := os.WriteFile(file, []byte("no marks"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := replace(file, "new"); err == nil {
		t.Error("a file without marks is written to")
	}
}
