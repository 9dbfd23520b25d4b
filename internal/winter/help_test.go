package winter

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"larder/internal/figure"
	"larder/internal/stores"
	"larder/internal/units"
	"larder/internal/weather"
)

var figs = figure.NewSet(stores.Figures(), weather.Figures(), Figures())

// tsv reads a table of testdata: the first row names the columns.
func tsv(t testing.TB, name string) []map[string]string {
	t.Helper()
	b, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	var head []string
	var out []map[string]string
	for line := range strings.SplitSeq(strings.TrimSpace(string(b)), "\n") {
		if line[0] == '#' {
			continue
		}
		f := strings.Split(line, "\t")
		if head == nil {
			head = f
			continue
		}
		if len(f) != len(head) {
			t.Fatalf("%s: %q has %d fields, not %d", name, line, len(f), len(head))
		}
		row := map[string]string{}
		for i, h := range head {
			row[h] = f[i]
		}
		out = append(out, row)
	}
	if len(out) == 0 {
		t.Fatalf("%s holds no rows", name)
	}
	return out
}

func num(t testing.TB, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func day(t testing.TB, s string) units.Day {
	t.Helper()
	d, err := units.ParseDay(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.5g, want %.5g ± %.2g", what, got, want, tol)
	}
}

// monthly lays straight lines between monthly means on the 15th.
func monthly(t testing.TB, place string, from, until units.Day) []float64 {
	t.Helper()
	for _, row := range tsv(t, "months.tsv") {
		if row["place"] != place {
			continue
		}
		var xs, ys []float64
		for _, m := range []int{10, 11, 12, 1, 2, 3, 4} {
			y := 2001
			if m < 7 {
				y = 2002
			}
			xs = append(xs, float64(units.DayOf(y, time.Month(m), 15)))
			ys = append(ys, num(t, row[strconv.Itoa(m)]))
		}
		var out []float64
		for d := from; d < until; d++ {
			out = append(out, between(float64(d), xs, ys))
		}
		return out
	}
	t.Fatalf("no months of %q", place)
	return nil
}

// synthetic makes whole years of daily weather that nobody measured: a yearly
// wave, a difference of each winter of its own, and days that hang together.
func synthetic(t testing.TB, from, to int, mean, swing, yearSD float64, seed uint64) weather.Series {
	t.Helper()
	src := rand.New(rand.NewPCG(seed, 1))
	var days []weather.Day
	ar, off := 0.0, 0.0
	for d := units.DayOf(from, 7, 1); d < units.DayOf(to, 7, 1); d++ {
		if d.Month() == 7 && d.DayOfMonth() == 1 {
			off = yearSD * src.NormFloat64()
		}
		ar = 0.8*ar + 3*0.6*src.NormFloat64()
		m := mean - swing*math.Cos(2*math.Pi*float64(d.YearDay()-20)/365.25) + off + ar
		days = append(days, weather.Day{Day: d, TMax: units.Temp(m + 5), TMin: units.Temp(m - 5), HasMax: true, HasMin: true})
	}
	s, err := weather.MakeSeries("synthetic", days)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// steady is a place where every day of every year has the same temperature.
func steady(t testing.TB, from, to int, temp float64) weather.Series {
	t.Helper()
	var days []weather.Day
	for d := units.DayOf(from, 7, 1); d < units.DayOf(to, 7, 1); d++ {
		days = append(days, weather.Day{Day: d, TMax: units.Temp(temp), TMin: units.Temp(temp), HasMax: true, HasMin: true})
	}
	s, err := weather.MakeSeries("steady", days)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func must[T any](v T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func hasCode(rs []Reason, code string) bool {
	for _, r := range rs {
		if r.Code == code {
			return true
		}
	}
	return false
}

// sure is params without any spread.
func sure(p Params) Params {
	p.Cov = [nRates][nRates]float64{}
	for _, v := range []*Vary{&p.Cold, &p.Deep, &p.Stir, &p.Shift, &p.Amount, &p.Bees, &p.Colony} {
		v.SD = 0
	}
	p.DeepSpread = 0
	return p
}

// yard makes an ensemble of a place like the Milwaukee of the back-test: cold
// winters, thirty of them.
func yard(t testing.TB, from string, draws int, seed uint64) *Ensemble {
	t.Helper()
	return must(NewEnsemble(yardQuery(t, from, draws, seed)))(t)
}

// yardQuery asks for the ensemble of [yard].
func yardQuery(t testing.TB, from string, draws int, seed uint64) EnsembleQuery {
	t.Helper()
	f := must(FirstForage(ForageQuery{Season: 2026, Climate: "cold"}, figs))(t)
	w := must(PastWinters(WintersQuery{Series: synthetic(t, 1990, 2026, 9, 14, 1.2, 7), From: day(t, from), Until: f.Horizon(false)}, figs))(t)
	return EnsembleQuery{Place: Place{Brood: BroodCold}, Winters: w, Forage: f, Params: ParamsOf(figs), Draws: draws, Seed: seed, Figures: figs}
}
