package winter

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/stores"
	"larder/internal/units"
)

// The worth of a heft against hefts that are thrown and acted on.
func TestHeftAgainstThrownHefts(t *testing.T) {
	e := yard(t, "2027-01-10", 2000, 3)
	use := make([]float64, e.draws)
	src := rand.New(rand.NewPCG(9, 9))
	const noise, cost, n = 1.5, 0.05, 15000
	for _, has := range []figure.Estimate{figure.Est(19, 3), figure.Est(25, 3), figure.Est(16, 4), figure.Est(22, 1), figure.Est(30, 5)} {
		c := Colony{ID: "x", Bees: 12000, Stores: has}
		e.eaten(use, c, e.days)
		slices.Sort(use)
		var l Look
		l.weigh(has, use, noise, 4, cost)
		curve := shortCurve{use, 4}
		saved, changes, both := 0.0, 0.0, 0.0
		lose := func(feed, short bool) float64 {
			switch {
			case feed:
				return cost
			case short:
				return 1
			}
			return 0
		}
		for range n {
			truth := has.Mean + has.SD*src.NormFloat64()
			read := truth + noise*src.NormFloat64()
			v := has.SD * has.SD
			k := v / (v + noise*noise)
			after := figure.Est(has.Mean+k*(read-has.Mean), math.Sqrt(v*(1-k)))
			feed := curve.short(after.Mean, after.SD) > cost
			short := truth-use[src.IntN(len(use))] < 4
			saved += (lose(l.Feed, short) - lose(feed, short)) / n
			if feed != l.Feed {
				changes += 1.0 / n
			}
			if short {
				both += 1.0 / n
			}
		}
		near(t, fmt.Sprintf("%v: chance short", has), l.Short, both, 0.012)
		near(t, fmt.Sprintf("%v: chance it changes", has), l.Changes, changes, 0.02)
		near(t, fmt.Sprintf("%v: worth", has), l.Worth, saved, 0.0025)
		if l.Worth < 0 || l.Worth > l.Perfect {
			t.Errorf("worth %g, of perfect knowledge %g", l.Worth, l.Perfect)
		}
	}
}

func TestHeftOrder(t *testing.T) {
	e := yard(t, "2027-01-10", 1000, 3)
	all := []Colony{
		{ID: "full", Bees: 12000, Stores: figure.Est(60, 1.5)},
		{ID: "empty", Bees: 12000, Stores: figure.Est(2, 0.5)},
		{ID: "edge", Bees: 12000, Stores: figure.Est(21, 3)},
		{ID: "edge, well known", Bees: 12000, Stores: figure.Est(21, 0.3)},
		{ID: "unknown", Bees: 12000},
	}
	looks := must(e.NextHeft(HeftQuery{Colonies: all}))(t)
	var ids []string
	for _, l := range looks {
		ids = append(ids, l.Colony)
	}
	if ids[0] != "unknown" || ids[1] != "edge" {
		t.Fatalf("order %v", ids)
	}
	for _, l := range looks {
		switch l.Colony {
		case "full", "empty":
			if l.Worth > 1e-4 || l.Changes > 0.02 {
				t.Errorf("%s: worth %g", l.Colony, l.Worth)
			}
			if l.Feed != (l.Colony == "empty") {
				t.Errorf("%s: feed %v", l.Colony, l.Feed)
			}
		case "edge":
			if l.Worth < 1e-3 {
				t.Errorf("edge: worth %g", l.Worth)
			}
		}
		if len(l.Reasons) != 1 {
			t.Errorf("%s: %v", l.Colony, l.Reasons)
		}
	}
	slices.Reverse(all)
	again := must(e.NextHeft(HeftQuery{Colonies: all}))(t)
	for i := range again {
		if again[i].Colony != ids[i] {
			t.Error("the order asked matters")
		}
	}
	// A better heft is worth more, and none is worth more than knowing.
	last := 0.0
	for _, sd := range []float64{6, 3, 1.5, 0.5} {
		x := must(e.NextHeft(HeftQuery{Colonies: all[2:3], SD: sd}))(t)[0]
		if x.Worth < last {
			t.Errorf("a heft of ±%g kg is worth %g, a poorer one %g", sd, x.Worth, last)
		}
		last = x.Worth
	}
	// Until the next round only, the edge is far.
	if x := must(e.NextHeft(HeftQuery{Colonies: all[2:3], By: day(t, "2027-02-01")}))(t)[0]; x.Feed || x.Short > 0.01 {
		t.Errorf("by February: %+v", x)
	}
	if _, err := e.NextHeft(HeftQuery{Colonies: all, SD: -1}); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("spread: %v", err)
	}
	if _, err := e.NextHeft(HeftQuery{Colonies: all, By: day(t, "2028-02-01")}); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("by: %v", err)
	}
}

// Each later heft narrows the fan: the whole ring through stores.Carry with
// this model's own eating.
func TestLaterHeftNarrows(t *testing.T) {
	s := synthetic(t, 1990, 2027, 9, 14, 1.2, 7)
	forage := Forage{Day: day(t, "2027-05-01"), SD: 10}
	heft := func(id, on string, kg float64) stores.Seen {
		return stores.Seen{ID: id, At: units.OnDay(day(t, on)), Est: stores.Estimate{Estimate: figure.Est(kg, 1.2), Way: stores.Full}}
	}
	from := day(t, "2026-10-15")
	colony := Colony{ID: "1", Bees: 12000}
	var temps []float64
	for d := from; d < day(t, "2027-03-01"); d++ {
		x, _ := s.At(d)
		mean, _ := x.TMean()
		temps = append(temps, mean.C())
	}
	use := UseQuery{Place: Place{Brood: BroodCold}, From: from, Temp: temps, Params: ParamsOf(figs), Colony: colony}
	eaten := must(Eaten(use))(t)
	width := func(at string, seen ...stores.Seen) float64 {
		track := stores.Carry(stores.Line{Seen: seen, Eaten: eaten, Until: units.OnDay(day(t, at)), Figures: figs})
		c := colony
		c.Stores = track.Now.Estimate
		w := must(PastWinters(WintersQuery{Series: s.Until(day(t, at) - 1), From: day(t, at), Until: forage.Horizon(false)}, figs))(t)
		e := must(NewEnsemble(EnsembleQuery{Place: use.Place, Winters: w, Forage: forage, Params: use.Params, Draws: 1000, Seed: 1, Figures: figs}))(t)
		f := must(e.Watch(WatchQuery{Colonies: []Colony{c}}))(t)[0]
		return f.Estimate(day(t, "2027-04-15")).SD
	}
	autumn := heft("a", "2026-10-15", 24)
	gone := 0.0
	for i := range int(day(t, "2027-02-01") - from) {
		gone += eaten.Daily[i]
	}
	once := width("2027-02-01", autumn)
	twice := width("2027-02-01", autumn, heft("b", "2027-02-01", 24-gone))
	thrice := width("2027-02-20", autumn, heft("b", "2027-02-01", 24-gone), heft("c", "2027-02-20", 24-gone-1))
	start := width("2026-10-15", autumn)
	if !(start > once && once > twice && twice > thrice) {
		t.Errorf("spread on 15 April: seen from October %.2f, from February %.2f, hefted %.2f, again %.2f", start, once, twice, thrice)
	}
}
