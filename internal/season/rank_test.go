package season_test

import (
	"testing"
	"time"

	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

// A colony whose need was typed stands among the others by that need,
// above all who lack less; given in full, it stands below those nobody knows.
func TestTypedNeedRanks(t *testing.T) {
	d := units.DayOf(2026, time.September, 9)
	need := func(c string, l units.Volume) season.Need { return season.Need{Colony: c, Volume: units.In(l)} }
	order := func(more ...season.Fact) map[string]int {
		j, at := herdAt(t, 6, more...)
		out := map[string]int{}
		for i, x := range season.Choose(j.AsOf(at).Short(at), season.ShowAll, "", "", season.ByShortage) {
			out[x.Colony.ID] = i
		}
		return out
	}
	if got := order(extra(1, d, need("c3", 90)), extra(2, d, need("c4", 80))); got["c3"] != 0 || got["c4"] != 1 {
		t.Errorf("the largest needs are typed for c3 and c4: %v", got)
	}
	if got := order(extra(1, d, need("c3", 0.01))); got["c3"] < 2 {
		t.Errorf("next to nothing is typed for c3: %v", got)
	}
	j, at := herdAt(t, 6, extra(1, d, need("c3", 10)), extra(2, d+1, ledger.Given{Colony: "c3", Feed: ledger.Syrup, Volume: units.In(units.Volume(10)), Strength: 2.0 / 3}))
	for _, x := range j.AsOf(at).Short(at) {
		if x.Colony.ID == "c3" && (!x.NeedTyped || x.Typed != 0) {
			t.Errorf("given in full: %+v", x.Typed)
		}
	}
}
