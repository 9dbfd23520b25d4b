package stores_test

import (
	"testing"
	"time"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/stores"
	"larder/internal/units"

	"pgregory.net/rapid"
)

func TestRipeningTable(t *testing.T) {
	for _, r := range table(t, "ripening.tsv") {
		s := num(t, r["strength"])
		low, high, err := stores.RipeningLoss(units.Strength(s), figs)
		if err != nil {
			t.Fatal(err)
		}
		near(t, r["syrup"]+" drying", 100*low, num(t, r["low_pct"]), 0.6)
		near(t, r["syrup"]+" with the work of it", 100*high, num(t, r["high_pct"]), 0.6)
		near(t, r["syrup"]+", Curth: kg of stores from a kg of sugar", (1-high)/s, num(t, r["curth"]), 0.02*num(t, r["curth"]))
	}
}

// 1.5 kg of 2:1 just taken shows 0.22 to 0.36 kg more than the stores it makes:
// at most 1.284 kg, expected 1.141.
func TestSyrupJustTaken(t *testing.T) {
	low, high, err := stores.RipeningLoss(2./3, figs)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "most", 1.5*(1-low), 1.284, 0.001)
	near(t, "expected", 1.5*(1-high), 1.141, 0.001)
	u := stores.Unripe(1.5, 2./3, 0, figs)
	if u.Mean < 0.22 || u.Mean > 0.36 || u.Mean-u.SD > 0.22 || u.Mean+u.SD < 0.355 {
		t.Errorf("shows %v too much, want 0.22 to 0.36", u)
	}
	near(t, "half way", stores.Unripe(1.5, 2./3, 7, figs).Mean, u.Mean/2, 1e-9)
	for _, days := range []float64{14, 15, 300} {
		if u := stores.Unripe(1.5, 2./3, days, figs); u.Mean != 0 || u.SD != 0 {
			t.Errorf("after %g days: %v", days, u)
		}
	}
}

func TestRipeningIsNotKnownForOtherSyrups(t *testing.T) {
	for _, s := range []units.Strength{0, 0.3, 0.72, 1} {
		if _, _, err := stores.RipeningLoss(s, figs); !fault.Is(err, fault.NotKnownHere) {
			t.Errorf("%v: %v", s, err)
		}
		if s > 0 {
			// Still taken off, but with a wide spread.
			a, b := stores.Unripe(10, s, 0, figs), stores.Unripe(10, min(max(s, 0.48), 0.69), 0, figs)
			if a.Mean != b.Mean || a.SD <= b.SD {
				t.Errorf("%v: %v against %v", s, a, b)
			}
		}
	}
}

func TestRipeningFadesAndThinSyrupLosesMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := units.Strength(rapid.Float64Range(0.48, 0.68).Draw(t, "strength"))
		d := rapid.Float64Range(0, 14).Draw(t, "days")
		a, later, thicker := stores.Unripe(10, s, d, figs), stores.Unripe(10, s, d+1, figs), stores.Unripe(10, s+0.01, d, figs)
		if later.Mean > a.Mean || later.SD > a.SD || thicker.Mean > a.Mean || a.Mean < 0 || a.Mean > 10 {
			t.Fatalf("%v after %g days: %v, a day later %v, thicker %v", s, d, a, later, thicker)
		}
	})
}

func TestPlainUse(t *testing.T) {
	month := func(m time.Month) float64 { return stores.PlainUse(m, false, figs).Mean }
	// bienen&natur: 1 kg a month November to January, 3 kg in October and from
	// February to April.
	for m, want := range map[time.Month]float64{time.November: 1, time.December: 1, time.January: 1, time.October: 3, time.February: 3, time.March: 3, time.April: 3} {
		near(t, m.String(), 30.4*month(m), want, 0.05)
	}
	// Norrström and others: 0.039 ± 0.013 kg a day, 1 November to 15 March.
	sum := 0.0
	for d := units.DayOf(2019, time.November, 1); d < units.DayOf(2020, time.March, 15); d++ {
		sum += stores.PlainUse(d.Month(), false, figs).Mean
	}
	if mean := sum / 135; mean < 0.026 || mean > 0.057 {
		t.Errorf("1 November to 15 March: %.3f kg a day, published 0.039 ± 0.013", mean)
	}
	// Half a year on in the south.
	for m := time.January; m <= time.December; m++ {
		if a, b := stores.PlainUse(m, true, figs), month((m+5)%12+1); a.Mean != b {
			t.Errorf("%v in the south: %g, want %g", m, a.Mean, b)
		}
	}
	near(t, "July in the south", stores.PlainUse(time.July, true, figs).Mean, month(time.January), 0)
	if e := (figure.Estimate{}); stores.PlainUse(time.May, false, figs) == e {
		t.Error("nothing for May")
	}
}
