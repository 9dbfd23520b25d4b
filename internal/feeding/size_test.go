package feeding

import (
	"math"
	"math/rand/v2"
	"testing"

	"larder/internal/route"
	"larder/internal/units"
)

// TestLargerSeasons: feasible at every size at which the planner changes its
// manner of looking, with hours to spare and without.
func TestLargerSeasons(t *testing.T) {
	for _, c := range []struct {
		n     int
		hours float64
		tank  float64
	}{{60, 9, 150}, {400, 10, 300}, {400, 3, 150}, {1200, 20, 600}, {4200, 60, 1200}, {4200, 9, 600}} {
		pl := mustMake(t, bigProblem(c.n, units.Duration(c.hours)*units.Hour, c.tank))
		if pl.Totals.Loads == 0 || pl.Bounds.Dist <= 0 || pl.Bounds.Loads == 0 {
			t.Errorf("%d colonies: %d loads, bounds %+v", c.n, pl.Totals.Loads, pl.Bounds)
		}
	}
}

// TestTreeBelowTour: the tree that stands in for the tour of many yards is
// never above it, and on a plane never below half.
func TestTreeBelowTour(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	for range 40 {
		const n = 10
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i], y[i] = r.Float64()*1e5, r.Float64()*1e5
		}
		m := make([]int64, n*n)
		for i := range n {
			for k := range n {
				m[i*n+k] = int64(math.Hypot(x[i]-x[k], y[i]-y[k]))
			}
		}
		_, tour := route.Order(n-1, func(i, k int) int64 { return m[i*n+k] })
		if tr := tree(m, n); tr > tour || 2*tr < tour-n {
			t.Errorf("tree %d, tour %d", tr, tour)
		}
	}
}

// TestRing is worked by hand. Home, a yard 10 km out with 100 L, one 30 km out
// with 100 L, tanks of 150: beyond 10 km one load goes (100 L), within 10 km
// two (200 L): 2·(1·20 + 2·10) = 80 km.
func TestRing(t *testing.T) {
	p := tiny()
	p.Hives = nil
	for _, y := range []string{"hill", "lane"} {
		p.Hives = append(p.Hives, Hive{Colony: y, Yard: y, Need: 100, Feeder: 100, Uptake: 50, Risk: 1})
	}
	at := map[string]float64{"": 0, "hill": 10_000, "lane": 30_000}
	p.Road = func(from, to string) (Road, bool) {
		return Road{Dist: units.Length(math.Abs(at[from] - at[to])), Time: 60}, true
	}
	pl := mustMake(t, p)
	if pl.Bounds.Dist != 80000 || pl.Bounds.Loads != 2 {
		t.Errorf("bounds %+v, want 80 km and 2 loads", pl.Bounds)
	}
}
