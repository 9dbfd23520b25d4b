package feeding

import (
	"fmt"
	"math"
	"testing"

	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/weather"
)

var set = figure.NewSet(Figures(), weather.Figures())

// start is an invented first day of feeding.
var start = units.DayOf(2026, 9, 7)

// spot is where a yard lies, in kilometres from home.
type spot struct{ x, y float64 }

// plane gives roads on a plane at 1.3 times the straight way and 50 km/h.
func plane(at map[string]spot) func(from, to string) (Road, bool) {
	return func(from, to string) (Road, bool) {
		a, ok1 := at[from]
		b, ok2 := at[to]
		if !ok1 || !ok2 {
			return Road{}, false
		}
		km := 1.3 * math.Hypot(a.x-b.x, a.y-b.y)
		return Road{Dist: units.Length(km * 1000), Time: units.Duration(km / 50 * 3600)}, true
	}
}

func full(n int, v float64) []float64 {
	f := make([]float64, n)
	for i := range f {
		f[i] = v
	}
	return f
}

func every(n int) []bool {
	f := make([]bool, n)
	for i := range f {
		f[i] = true
	}
	return f
}

// tiny is the season of two yards and five colonies that variants start from:
// twenty warm days, 2:1 in 150 litres, two-gallon trays, strong colonies.
func tiny() Problem {
	p := Problem{
		Start: start, Days: 20,
		Rigs:    []Rig{{Truck: "truck", Tank: 150, Payload: 900, Pump: units.Flow(10.0 / 60), PerHive: 60, Fill: 900}},
		Kitchen: Kitchen{Strength: 2.0 / 3, Density: 1326.5, Mixer: 200, Mixing: 3600},
		Crew:    Crew{PerDay: 8 * units.Hour},
		Road:    plane(map[string]spot{"": {0, 0}, "hill": {10, 0}, "lane": {10, 4}}),
		Seed:    7, Figures: set,
	}
	for _, y := range []string{"hill", "lane"} {
		p.Yards = append(p.Yards, Yard{ID: y, Name: y, Feed: every(p.Days), Factor: full(p.Days, 1), Stop: start + 19, Setup: 600})
	}
	for i, need := range []float64{6, 10, 4.25} {
		p.Hives = append(p.Hives, Hive{Colony: fmt.Sprintf("h%d", i+1), Yard: "hill", Stand: i + 1, Need: units.Volume(need), Feeder: 7.5, Uptake: 2, Risk: 0.9})
	}
	for i, need := range []float64{7.5, 0} {
		p.Hives = append(p.Hives, Hive{Colony: fmt.Sprintf("l%d", i+1), Yard: "lane", Stand: i + 1, Need: units.Volume(need), Feeder: 7.5, Uptake: 2, Risk: 0.8})
	}
	return p
}

// mustMake plans and checks.
func mustMake(t testing.TB, p Problem) Plan {
	t.Helper()
	pl, err := Make(p)
	if err != nil {
		t.Fatalf("Make: %v", err)
	}
	for _, e := range Check(p, pl) {
		t.Errorf("check: %v", e)
	}
	return pl
}

// hasCode tells whether one of the reasons has the code.
func hasCode(why []Reason, code string) bool {
	for _, r := range why {
		if r.Code == code {
			return true
		}
	}
	return false
}

// unmetOf finds a colony's unmet row.
func unmetOf(pl Plan, colony string) *Unmet {
	for i := range pl.Unmet {
		if pl.Unmet[i].Colony == colony {
			return &pl.Unmet[i]
		}
	}
	return nil
}

// givenTo is what a colony gets.
func givenTo(pl Plan, colony string) float64 {
	for i := range pl.Colonies {
		if pl.Colonies[i].Colony == colony {
			return pl.Colonies[i].Given.L()
		}
	}
	return math.NaN()
}

// dump prints a plan for a failing test.
func dump(pl Plan) string {
	s := fmt.Sprintf("loads %d stops %d km %.1f min %.0f bounds %d %d %.1f\n", pl.Totals.Loads, pl.Totals.Visits, pl.Totals.Dist.Km(), pl.Totals.Time.Min(), pl.Bounds.Loads, pl.Bounds.Visits, pl.Bounds.Dist.Km())
	for _, l := range pl.Loads {
		s += fmt.Sprintf("  %d %s %.2f L:", l.N, l.Day, l.Syrup.L())
		for _, st := range l.Stops {
			s += fmt.Sprintf(" %s(%d)", st.Yard, len(st.Fills))
		}
		s += "\n"
	}
	for _, b := range pl.Batches {
		s += fmt.Sprintf("  mix %s %.2f L\n", b.Day, b.Syrup.L())
	}
	for _, u := range pl.Unmet {
		s += fmt.Sprintf("  unmet %s %.2f %v\n", u.Colony, u.Volume.L(), u.Why)
	}
	return s
}
