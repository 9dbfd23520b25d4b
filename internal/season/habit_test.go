package season

import (
	"math"
	"testing"

	"larder/internal/feeding"
	"larder/internal/units"
	"larder/internal/verify"
	"pgregory.net/rapid"
)

// TestHabitsHoldAllTheyCanKnow: whatever the season, a season fed by habit breaks
// no rule but those for which one has to know needs and uptake, and what is said
// to be short is so.
func TestHabitsHoldAllTheyCanKnow(t *testing.T) {
	broke := map[verify.Rule]int{}
	rapid.Check(t, func(t *rapid.T) {
		p := anySeason(t)
		if _, err := feeding.Make(p); err != nil {
			t.Fatal(err)
		}
		h := feeding.Weekly()
		if rapid.Bool().Draw(t, "far") {
			h = feeding.Habit{Far: true, Apart: rapid.IntRange(1, 6).Draw(t, "apart"), Fixed: feeding.NineOfTen}
		}
		pl := feeding.ByHabit(&p, h)
		for _, f := range Verify(&p, &pl) {
			broke[f.Rule]++
			if !habitual[f.Rule] {
				t.Errorf("%v", f)
			}
		}
	})
	for _, r := range []verify.Rule{verify.Need, verify.Stop, verify.Room} {
		if broke[r] == 0 {
			t.Errorf("no habit broke %q: the seasons drawn are too easy, or a rule is no longer held", r)
		}
	}
}

// TestFatesOfThePlanner: of a plan that keeps every rule nothing is left in a
// feeder that was given by it, and who is short is who the plan says.
func TestFatesOfThePlanner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anySeason(t)
		pl, err := feeding.Make(p)
		if err != nil {
			t.Fatal(err)
		}
		short := map[string]units.Volume{}
		for _, u := range pl.Unmet {
			short[u.Colony] = u.Volume
		}
		for i, f := range feeding.Fates(&p, &pl) {
			h := &p.Hives[i]
			if math.Abs((f.Taken - f.Given).L()) > 2e-4 {
				t.Errorf("%s: %v of %v taken", h.Colony, f.Taken, f.Given)
			}
			if math.Abs((f.Short - short[h.Colony]).L()) > 0.011 {
				t.Errorf("%s: %v short, the plan says %v", h.Colony, f.Short, short[h.Colony])
			}
		}
	})
}
