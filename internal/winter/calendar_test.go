package winter

import (
	"math"
	"testing"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/units"
)

func TestCalendarsAsPrinted(t *testing.T) {
	for _, r := range tsv(t, "brood.tsv") {
		d := day(t, r["date"])
		if r["curve"] == "bees" {
			near(t, "bees "+r["date"], must(Bees(1, d, false))(t), num(t, r["value"]), 1e-9)
			near(t, "back "+r["date"], must(AtNovember(1000*num(t, r["value"]), d, false))(t), 1000, 1e-6)
			continue
		}
		near(t, r["curve"]+" "+r["date"], float64(must(BroodOn(Brood(r["curve"]), d, false, 0))(t)), num(t, r["value"]), 1e-9)
	}
}

func TestCalendarShiftsAndSouth(t *testing.T) {
	d := units.DayOf(2002, 3, 15)
	// Ten days later means that today's brood is that of ten days ago.
	near(t, "shift", float64(must(BroodOn(BroodTemperate, d, false, 10))(t)), float64(must(BroodOn(BroodTemperate, d-10, false, 0))(t)), 1e-9)
	near(t, "half a day", float64(must(BroodOn(BroodTemperate, d, false, 0.5))(t)), 15-0.5*6.0/14, 1e-9)
	// The south is half a year on, to within three days.
	for m := range 8 {
		a := float64(must(BroodOn(BroodMild, units.DayOf(2002, 9, 5)+units.Day(30*m), false, 0))(t))
		low, high := math.Inf(1), 0.0
		for off := units.Day(-3); off <= 3; off++ {
			b := float64(must(BroodOn(BroodMild, units.DayOf(2003, 3, 5)+units.Day(30*m)+off, true, 0))(t))
			low, high = min(low, b), max(high, b)
		}
		if a < low-1e-9 || a > high+1e-9 {
			t.Errorf("month %d: north %.2f, south %.2f to %.2f", m, a, low, high)
		}
	}
	for _, b := range []Brood{BroodTemperate, BroodCold, BroodMild} {
		c := must(broodCurve(b))(t)
		for x := 40.0; x < 340; x += 0.01 {
			if math.Abs(c.at(x+1e-9)-c.at(x)) > 1e-6 {
				t.Fatalf("%s jumps at %g", b, x)
			}
		}
	}
}

func TestCalendarRefuses(t *testing.T) {
	if _, err := BroodOn(BroodCold, units.DayOf(2002, 7, 10), false, 0); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("July: %v", err)
	}
	if _, err := BroodOn(BroodCold, units.DayOf(2002, 7, 10), true, 0); err != nil {
		t.Errorf("July in the south: %v", err)
	}
	if _, err := BroodOn("warm", units.DayOf(2002, 3, 10), false, 0); !fault.Is(err, fault.NotFound) {
		t.Errorf("no such calendar: %v", err)
	}
	if _, err := Bees(1, units.DayOf(2002, 7, 10), false); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("bees in July: %v", err)
	}
	if _, err := BroodOf(apiary.ClimateUnknown); !fault.Is(err, fault.Missing) {
		t.Errorf("no climate: %v", err)
	}
	for _, c := range []apiary.Climate{apiary.Warm, apiary.Mild, apiary.Temperate, apiary.Cold, apiary.VeryCold} {
		if _, err := BroodOf(c); err != nil {
			t.Error(err)
		}
	}
	if a := must(BroodOn(BroodNone, units.DayOf(2002, 4, 10), false, 0))(t); a != 0 {
		t.Errorf("none is %v", a)
	}
}

func TestBroodScaleBySize(t *testing.T) {
	p := ParamsOf(figs)
	for bees, want := range map[float64]float64{1000: 0.4, 4400: 0.4, 8800: 0.8, 11000: 1, 14300: 1.3, 40000: 1.3} {
		near(t, "scale", p.BroodScale(bees), want, 1e-9)
	}
}
