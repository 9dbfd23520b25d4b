package rig

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"

	"larder/internal/figure"
)

// tb is what testing.T and rapid.T have in common.
type tb interface {
	Helper()
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
	Fatal(args ...any)
}

// rows reads a table of testdata: tab-separated, '#' for comments.
func rows(t tb, name string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out [][]string
	cited := false
	for sc := bufio.NewScanner(f); sc.Scan(); {
		switch l := sc.Text(); {
		case strings.HasPrefix(l, "#"):
			cited = true
		case l != "":
			out = append(out, strings.Split(l, "\t"))
		}
	}
	if !cited || len(out) == 0 {
		t.Fatalf("%s: no citation header or no rows", name)
	}
	return out
}

func num(t tb, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// in are the inputs of one check row; asking for one that is not there fails.
type in struct {
	t tb
	m map[string]string
}

func inputs(t tb, s string) in {
	m := map[string]string{}
	for _, f := range strings.Fields(s) {
		k, v, ok := strings.Cut(f, "=")
		if !ok {
			t.Fatalf("input %q", f)
		}
		m[k] = v
	}
	return in{t, m}
}

func (i in) s(k string) string {
	v, ok := i.m[k]
	if !ok {
		i.t.Fatalf("no input %s", k)
	}
	return v
}

func (i in) f(k string) float64 { return num(i.t, i.s(k)) }

// or0 is the input, or 0.
func (i in) or0(k string) float64 {
	if _, ok := i.m[k]; !ok {
		return 0
	}
	return i.f(k)
}

// near compares by a tolerance as the tables write it.
func near(t tb, what string, got, want float64, tol string) {
	t.Helper()
	d := math.Abs(got - want)
	ok := false
	switch {
	case tol == "exact":
		ok = d <= 1e-12*math.Abs(want)
	case strings.HasSuffix(tol, "%"):
		ok = d <= num(t, strings.TrimSuffix(tol, "%"))/100*math.Abs(want)
	default:
		ok = d <= num(t, tol)*(1+1e-9)
	}
	if !ok {
		t.Errorf("%s: got %.8g, want %.8g within %s", what, got, want, tol)
	}
}

// must fails the test on an error.
func must[T any](t tb) func(v T, err error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// figures gives the figures with some of them set.
func figures(kv ...any) figure.Set {
	fig := figure.NewSet(Figures())
	for i := 0; i < len(kv); i += 2 {
		f, err := fig.With(kv[i].(string), kv[i+1].(float64))
		if err != nil {
			panic(err)
		}
		fig = f
	}
	return fig
}
