package winter

import (
	"testing"

	"larder/internal/figure"
	"larder/internal/units"
	"pgregory.net/rapid"
)

// Outlays are the ensemble without the days between: the same targets to the
// last bit, and a target's own chance when asked back.
func TestOutlaysAreTheEnsemble(t *testing.T) {
	q := yardQuery(t, "2026-10-01", 500, 9)
	e := must(NewEnsemble(q))(t)
	o := must(NewOutlays(q))(t)
	rapid.Check(t, func(t *rapid.T) {
		c := Colony{Bees: rapid.Float64Range(3000, 30000).Draw(t, "bees"), K: rapid.SampledFrom([]float64{0, 0.85, 1.1}).Draw(t, "k")}
		if rapid.Bool().Draw(t, "weighed") {
			c.Factor = figure.Est(rapid.Float64Range(0.6, 1.6).Draw(t, "factor"), 0.1)
		}
		tq := TargetQuery{Colony: c, Published: 20, Most: units.Mass(rapid.Float64Range(5, 60).Draw(t, "most"))}
		a, err1 := e.Target(tq)
		b, err2 := o.Target(tq)
		x, err3 := o.Of(c)
		if err1 != nil || err2 != nil || err3 != nil {
			t.Fatal(err1, err2, err3)
		}
		if a.Want != b.Want || a.Kg != b.Kg || a.Chance != b.Chance || a.Parts != b.Parts || a.Mean != b.Mean {
			t.Fatalf("%v\n%v", a, b)
		}
		if got := x.Quantile(a.Confidence) + a.Reserve; got != a.Want {
			t.Fatalf("want %v, the outlay says %v", a.Want, got)
		}
		if got := x.Lasts(20, a.Reserve); got != a.PublishedChance {
			t.Fatalf("lasts %v, want %v", got, a.PublishedChance)
		}
	})
}
