package stores_test

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"larder/internal/figure"
	"larder/internal/hive"
	"larder/internal/stores"
	"larder/internal/units"
)

var figs = figure.NewSet(hive.Figures(), stores.Figures())

// table reads a file of testdata: comments, a line of names, rows.
func table(t *testing.T, name string) []map[string]string {
	t.Helper()
	b, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	var out []map[string]string
	for _, line := range strings.Split(strings.TrimSuffix(string(b), "\n"), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		f := strings.Split(line, "\t")
		if names == nil {
			names = f
			continue
		}
		r := map[string]string{}
		for i := range names {
			r[names[i]] = f[i]
		}
		out = append(out, r)
	}
	if len(out) == 0 {
		t.Fatal(name, "is empty")
	}
	return out
}

func num(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.5g, want %.5g ± %.2g", what, got, want, tol)
	}
}

func stack(t testing.TB, text string) hive.Stack {
	t.Helper()
	s, err := hive.ParseStack(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// kg is a mass as entered without words.
func kg(x float64) units.Entered[units.Mass] { return units.In(units.Mass(x)) }

func on(month time.Month, day int) units.Moment { return units.OnDay(units.DayOf(2026, month, day)) }

func judge(t testing.TB, r stores.Reading, c stores.Context) stores.Estimate {
	t.Helper()
	c.Figures = figs
	e, err := stores.Judge(r, c)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// codes lists the codes of reasons.
func codes(rs []stores.Reason) string {
	var out []string
	for _, r := range rs {
		out = append(out, r.Code)
	}
	return strings.Join(out, " ")
}

func TestFiguresAreWhole(t *testing.T) {
	for _, f := range stores.Figures() {
		if f.Source == "" || f.Grade == "" || !f.InRange(f.Value) || !strings.HasPrefix(f.Key, "stores.") || f.Name == "" {
			t.Errorf("figure %s is not whole: %+v", f.Key, f)
		}
	}
}
