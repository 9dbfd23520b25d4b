package feeding_test

import (
	"testing"

	"pgregory.net/rapid"

	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/units"
)

// Whatever is lacking, what is asked for never comes to more than the comb holds:
// a handy step is not a reason to pour past it.
func TestNeverMoreThanTheCombHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kg := rapid.Float64Range(0, 60)
		most, per := kg.Draw(t, "most"), rapid.Float64Range(0.3, 1.2).Draw(t, "per litre")
		mean := rapid.Float64Range(0, most).Draw(t, "stores")
		f := feeding.Food{Colony: "a", Stores: figure.Est(mean, rapid.Float64Range(0, 6).Draw(t, "sd")), Target: units.Mass(max(0, most-rapid.Float64Range(-1, 1).Draw(t, "room over the target"))), Most: units.Mass(most), KgPerLitre: per}
		s := feeding.Deficit(f, figure.NewSet(feeding.Figures()))
		if most > 0 && mean+s.Syrup.L()*per > most+1e-4 {
			t.Fatalf("%v kg and %v at %v kg a litre, on combs for %v kg", mean, s.Syrup, per, most)
		}
	})
}
