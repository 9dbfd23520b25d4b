package feeding

import (
	"math"
	"testing"
)

// TestTiny is worked by hand. The hill gets 6 + 7.5 + 4.25 L on day 0, the
// lane 7.5 L: 25.25 L on one load. h2 lacks 2.5 L; its feeder of 7.5 L at 2 L
// a day is empty after 4 days, so the second round is on a later day, with one
// more load: two loads, three stops, and no plan has fewer.
func TestTiny(t *testing.T) {
	p := tiny()
	pl := mustMake(t, p)
	if pl.Totals.Loads != 2 || pl.Totals.Visits != 3 || pl.Totals.Fills != 5 {
		t.Errorf("want 2 loads, 3 stops, 5 fills:\n%s", dump(pl))
	}
	if pl.Bounds.Loads != 2 || pl.Bounds.Visits != 3 {
		t.Errorf("bounds %d loads %d stops, want 2 and 3", pl.Bounds.Loads, pl.Bounds.Visits)
	}
	if len(pl.Unmet) != 0 || math.Abs(pl.Totals.Syrup.L()-27.75) > 1e-9 {
		t.Errorf("unmet %v, syrup %v, want none and 27.75", pl.Unmet, pl.Totals.Syrup)
	}
	// 27.75 L × 1.3265 kg/L = 36.810 kg, two thirds of it sugar.
	if got := pl.Totals.Sugar.Kg(); math.Abs(got-24.540) > 0.001 {
		t.Errorf("sugar %v kg, want 24.540", got)
	}
	if got := pl.Totals.Water.L(); math.Abs(got-12.270/0.9982) > 0.002 {
		t.Errorf("water %v L, want 12.292", got)
	}
	t.Log(dump(pl))
}
