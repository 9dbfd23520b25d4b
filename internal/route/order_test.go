package route

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// burma reads the TSPLIB example and gives its legs by the rule of TSPLIB
// ("GEO": degrees and minutes, radius 6378.388, plus 1, cut to whole km).
func burma(t *testing.T) (int, func(i, j int) int64) {
	t.Helper()
	b, err := os.ReadFile("testdata/burma14.tsv")
	if err != nil {
		t.Fatal(err)
	}
	const pi = 3.141592 // as TSPLIB prescribes
	var lat, lon []float64
	for _, line := range strings.Split(string(b), "\n") {
		f := strings.Split(line, "\t")
		if len(f) != 3 {
			continue
		}
		rad := func(s string) float64 {
			x, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatal(err)
			}
			deg := math.Trunc(x)
			return pi * (deg + 5*(x-deg)/3) / 180
		}
		lat, lon = append(lat, rad(f[1])), append(lon, rad(f[2]))
	}
	return len(lat) - 1, func(i, j int) int64 {
		q1, q2, q3 := math.Cos(lon[i]-lon[j]), math.Cos(lat[i]-lat[j]), math.Cos(lat[i]+lat[j])
		return int64(6378.388*math.Acos(0.5*((1+q1)*q2-(1-q1)*q3)) + 1)
	}
}

func TestBurma14(t *testing.T) {
	n, cost := burma(t)
	if n != 13 {
		t.Fatalf("%d stops, want 13", n)
	}
	if _, c := heldKarp(n, cost); c != 3323 {
		t.Errorf("exact: %d, published best 3323", c)
	}
	order, c := Order(n, cost)
	if c < 3323 || c > 3323*105/100 || !isPermutation(order, n) {
		t.Errorf("above the exact limit: %d by %v, published best 3323", c, order)
	}
}

func isPermutation(order []int, n int) bool {
	s := slices.Clone(order)
	slices.Sort(s)
	for i := range s {
		if s[i] != i+1 {
			return false
		}
	}
	return len(s) == n
}

// byHand tries every order, in lexicographic order, so that the first best is
// the one that comes first.
func byHand(n int, cost func(i, j int) int64) ([]int, int64) {
	var best []int
	least := int64(math.MaxInt64)
	var go1 func(done []int, left []int, c int64)
	go1 = func(done, left []int, c int64) {
		at := 0
		if len(done) > 0 {
			at = done[len(done)-1]
		}
		if len(left) == 0 {
			if c += cost(at, 0); c < least {
				best, least = slices.Clone(done), c
			}
			return
		}
		for i, k := range left {
			rest := slices.Delete(slices.Clone(left), i, i+1)
			go1(append(slices.Clone(done), k), rest, c+cost(at, k))
		}
	}
	all := make([]int, n)
	for i := range all {
		all[i] = i + 1
	}
	go1(nil, all, 0)
	return best, least
}

// TestExactAgainstEveryOrder: one-way costs, many ties; the least cost and the
// first of the cheapest orders.
func TestExactAgainstEveryOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "n")
		m := rapid.SliceOfN(rapid.Int64Range(0, 9), (n+1)*(n+1), (n+1)*(n+1)).Draw(t, "legs")
		cost := func(i, j int) int64 { return m[i*(n+1)+j] }
		order, c := Order(n, cost)
		want, least := byHand(n, cost)
		if c != least || !slices.Equal(order, want) {
			t.Errorf("%v costs %d, every order tried gives %v at %d", order, c, want, least)
		}
	})
}

// TestInsertionAgainstExact: on plane places the inexact way is a round trip
// through all, never below the exact one and seldom far above.
func TestInsertionAgainstExact(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	var sum float64
	const trials = 60
	for range trials {
		n := 11
		x, y := make([]float64, n+1), make([]float64, n+1)
		for i := range x {
			x[i], y[i] = r.Float64()*1e5, r.Float64()*1e5
		}
		cost := func(i, j int) int64 { return int64(math.Hypot(x[i]-x[j], y[i]-y[j])) }
		_, exact := heldKarp(n, cost)
		tour := insertion(n, cost)
		improve(tour, cost)
		c := length(tour, cost)
		if !isPermutation(tour[1:len(tour)-1], n) || c < exact {
			t.Fatalf("%v costs %d, exact %d", tour, c, exact)
		}
		sum += float64(c) / float64(exact)
	}
	if mean := sum / trials; mean > 1.05 {
		t.Errorf("mean %.3f of the exact length, want at most 1.05", mean)
	}
}

// TestManyStops: sixty stops, one-way costs, legs that cannot be driven among
// them: a full round, and the same one again.
func TestManyStops(t *testing.T) {
	const n = 60
	r := rand.New(rand.NewPCG(9, 9))
	m := make([]int64, (n+1)*(n+1))
	for i := range m {
		if m[i] = r.Int64N(1000); r.IntN(20) == 0 {
			m[i] = Apart
		}
	}
	cost := func(i, j int) int64 { return m[i*(n+1)+j] }
	a, ca := Order(n, cost)
	b, cb := Order(n, cost)
	if !isPermutation(a, n) || !slices.Equal(a, b) || ca != cb {
		t.Errorf("%v %d, %v %d", a, ca, b, cb)
	}
}

func TestOrderSmallest(t *testing.T) {
	cost := func(i, j int) int64 { return int64(10*i + j) }
	if o, c := Order(0, cost); o != nil || c != 0 {
		t.Errorf("no stops: %v %d", o, c)
	}
	if o, c := Order(1, cost); len(o) != 1 || c != 11 {
		t.Errorf("one stop: %v %d, want [1] 11", o, c)
	}
	if _, c := Order(2, func(i, j int) int64 { return Apart }); c != Apart {
		t.Errorf("no road: %d, want Apart", c)
	}
}

func BenchmarkExact12(b *testing.B) {
	cost := func(i, j int) int64 { return int64((i*7919 + j*104729) % 1000) }
	for b.Loop() {
		Order(12, cost)
	}
}
