package feeding

import (
	"testing"

	"larder/internal/units"
	"pgregory.net/rapid"
)

// TestMoreSyrupOnTheWayIsNoHarm: a store elsewhere is one more thing that may be
// done, so of plans that serve everybody the one that knows of it takes no more
// work, but for the tenth of a minute that plans are compared by.
func TestMoreSyrupOnTheWayIsNoHarm(t *testing.T) {
	used := 0
	rapid.Check(t, func(t *rapid.T) {
		p := tinySeason(t)
		if rapid.Bool().Draw(t, "mixing") {
			p.Kitchen.Mixing = 3600
		}
		without, err := Make(p)
		if err != nil {
			t.Fatal(err)
		}
		road := p.Road
		at := plane(map[string]spot{"": {0, 0}, "a": {5, 0}, "b": {8, 1}, "c": {11, 4},
			"shed": {float64(rapid.IntRange(-5, 15).Draw(t, "x")), float64(rapid.IntRange(-5, 8).Draw(t, "y"))}})
		p.Road = func(from, to string) (Road, bool) {
			if from == "shed" || to == "shed" {
				return at(from, to)
			}
			return road(from, to)
		}
		p.Sources = []Source{{Place: "shed", OnHand: units.Volume(rapid.IntRange(0, 60).Draw(t, "there")), Fill: units.Duration(rapid.IntRange(0, 1800).Draw(t, "fill")),
			From: p.Start + units.Day(rapid.IntRange(-1, 3).Draw(t, "from"))}}
		with, err := Make(p)
		if err != nil {
			t.Fatal(err)
		}
		if bad := Check(p, with); len(bad) > 0 {
			t.Fatalf("%v", bad)
		}
		for _, l := range with.Loads {
			if l.From != "" {
				used++
			}
		}
		if lack(&with) > lack(&without)+1e-6 {
			t.Fatalf("%v L unserved, without the shed %v", lack(&with), lack(&without))
		}
		a, b := with.Totals.Time+with.Totals.Mixing, without.Totals.Time+without.Totals.Mixing
		if lack(&with) == 0 && lack(&without) == 0 && a > b+6 {
			t.Fatalf("%v of work, without the shed %v\n%s\n%s", a, b, dump(with), dump(without))
		}
	})
	if used == 0 {
		t.Error("no load of all was filled there: nothing was tried")
	}
}
