package feeding

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"larder/internal/units"
)

// TestPricesAreBest: prices within every cost, loads that meet every demand, and
// both come to the same. By the duality of linear programmes that proves both the
// best there is, however they were found; loads and demands come in by turns.
func TestPricesAreBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 9).Draw(t, "demands")
		m := rapid.IntRange(1, 14).Draw(t, "loads")
		part := make([][]float64, m)
		cost := make([]float64, m)
		for i := range part {
			part[i] = make([]float64, n)
			for k := range part[i] {
				if rapid.Bool().Draw(t, "serves") {
					part[i][k] = rapid.Float64Range(0.05, 1).Draw(t, "part")
				}
			}
			cost[i] = rapid.Float64Range(0.01, 5).Draw(t, "cost")
		}
		need := make([]float64, n)
		for k := range need {
			need[k] = rapid.Float64Range(0.1, 9).Draw(t, "need")
			part[0][k] = max(part[0][k], 0.1) // else there may be no end to a price
		}
		p := newPrices()
		loads, demands := 0, 0
		load := func() {
			i := loads
			loads++
			p.load(func(k int) float64 { return part[i][k] }, cost[i])
		}
		load()
		for loads < m || demands < n {
			if demands < n && (loads == m || rapid.Bool().Draw(t, "demand next")) {
				k := demands
				demands++
				p.demand(func(i int) float64 { return part[i][k] }, need[k])
			} else {
				load()
			}
			if rapid.Bool().Draw(t, "solve now") {
				p.solve()
			}
		}
		p.solve()
		price, often := p.price(), p.often()
		a, b := 0.0, 0.0
		for k := range need {
			a += need[k] * price[k]
			met := 0.0
			for i := range cost {
				met += often[i] * part[i][k]
			}
			if met < need[k]-1e-6 {
				t.Fatalf("demand %d of %v is met by %v", k, need[k], met)
			}
		}
		for i := range cost {
			b += cost[i] * often[i]
			sum := 0.0
			for k := range need {
				sum += part[i][k] * price[k]
			}
			if sum > cost[i]+1e-6 {
				t.Fatalf("load %d of %v is priced at %v", i, cost[i], sum)
			}
		}
		if math.Abs(a-b) > 1e-6*(1+a) {
			t.Fatalf("demands are worth %v, loads cost %v", a, b)
		}
	})
}

// TestBoundByHours is worked by hand. A yard one hour out, 100 hives with a minute
// each, 10 L each through a nozzle so wide that it takes a second for a hundred:
// of a day of 4 h, 2 h are for the way, 30 min for the tank and the setting up,
// so that 90 lids are opened a day. 100 hives need two visits on two loads, and
// 2·150 + 100 min and the pumping.
func TestBoundByHours(t *testing.T) {
	p := tiny()
	p.Hives = nil
	for i := range 100 {
		p.Hives = append(p.Hives, Hive{Colony: "c" + string(rune('0'+i/10)) + string(rune('0'+i%10)), Yard: "hill", Stand: i + 1, Need: 10, Feeder: 10, Uptake: 5, Risk: 1})
	}
	for i := range p.Yards {
		p.Yards[i].Setup = 15 * 60
	}
	p.Rigs = []Rig{{Truck: "truck", Tank: 2000, Pump: 1000, PerHive: 60, Fill: 15 * 60}}
	p.Kitchen.Mixer, p.Kitchen.Mixing, p.Kitchen.OnHand = 2000, 60, 2000
	p.Crew = Crew{PerDay: 4 * units.Hour}
	p.Road = func(from, to string) (Road, bool) {
		if from == to {
			return Road{}, true
		}
		return Road{Dist: 50_000, Time: units.Hour}, true
	}
	pl := mustMake(t, p)
	b := pl.Bounds
	if b.Loads != 2 || b.Visits != 2 || b.Dist != 200_000 {
		t.Errorf("%d loads, %d visits, %v m; want 2, 2, 200,000", b.Loads, b.Visits, b.Dist)
	}
	if math.Abs(float64(b.Time)-(400*60+1)) > 0.01 {
		t.Errorf("%v s of work, want 400 min and 1 s", float64(b.Time))
	}
	if pl.Totals.Loads != 2 || len(pl.Unmet) > 0 || pl.Bounds.Gap.Time > 1e-6 {
		t.Errorf("%d loads, %d not served, gap %v: the plan meets its bound here", pl.Totals.Loads, len(pl.Unmet), pl.Bounds.Gap.Time)
	}
	p.Crew.PerDay = 5 * units.Hour // 150 lids a day
	if b := mustMake(t, p).Bounds; b.Loads != 1 || b.Visits != 1 {
		t.Errorf("with five hours: %d loads, %d visits; want one of each", b.Loads, b.Visits)
	}
}

// TestBoundByHoursOfTwo: two yards an hour out on either side, a quarter of an hour
// of work each after the setting up. A day of 4 h has time for one of them, not for
// the four hours' way through both, though the tank would do for both and each
// needs one visit only.
func TestBoundByHoursOfTwo(t *testing.T) {
	p := tiny()
	p.Hives = nil
	for _, y := range []string{"hill", "lane"} {
		p.Hives = append(p.Hives, Hive{Colony: y, Yard: y, Need: 10, Feeder: 10, Uptake: 5, Risk: 1})
	}
	p.Kitchen.OnHand = 100
	p.Crew = Crew{PerDay: 4 * units.Hour}
	at := map[string]float64{"": 0, "hill": -1, "lane": 1}
	p.Road = func(from, to string) (Road, bool) {
		h := math.Abs(at[from] - at[to])
		return Road{Dist: units.Length(50_000 * h), Time: units.Duration(3600 * h)}, true
	}
	if pl := mustMake(t, p); pl.Bounds.Loads != 2 || pl.Bounds.Dist != 200_000 || pl.Totals.Loads != 2 {
		t.Errorf("bounds %+v, want 2 loads and 200 km", pl.Bounds)
	}
}
