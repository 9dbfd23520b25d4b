package weather

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"larder/internal/units"
)

func TestFillByHand(t *testing.T) {
	d := func(k units.Day, hi, lo units.Temp) Day {
		return Day{Day: 20000 + k, TMax: hi, TMin: lo, HasMax: true, HasMin: true}
	}
	s := mustSeries(t, "x", []Day{d(0, 10, 2), d(2, 14, 4), d(6, 6, 0), {Day: 20007, Rain: 4, HasRain: true}, d(8, 8, 1), d(13, 10, 2)})
	out, gaps := Fill(s, published())
	want := []Gap{
		{20001, 20001, true}, {20003, 20005, true}, {20007, 20007, true}, {20009, 20012, false},
	}
	if len(gaps) != len(want) {
		t.Fatalf("%+v", gaps)
	}
	for i, g := range gaps {
		if g != want[i] {
			t.Errorf("%+v, want %+v", g, want[i])
		}
	}
	for _, c := range []struct {
		k      units.Day
		hi, lo units.Temp
	}{{1, 12, 3}, {3, 12, 3}, {4, 10, 2}, {5, 8, 1}, {7, 7, 0.5}} {
		x, ok := out.At(20000 + c.k)
		if !ok || !x.Filled || !near(x.TMax.C(), c.hi.C(), 1e-12) || !near(x.TMin.C(), c.lo.C(), 1e-12) {
			t.Errorf("day %d: %+v", c.k, x)
		}
	}
	if x, _ := out.At(20007); !x.HasRain || x.Rain != 4 {
		t.Errorf("rain of a filled day: %+v", x)
	}
	if x, _ := out.At(20001); x.HasRain {
		t.Error("rain was filled")
	}
	if _, ok := out.At(20010); ok {
		t.Error("a gap of four days was filled")
	}
	if s.Len() != 6 {
		t.Error("the series itself was changed")
	}
}

func TestFillMarksForecast(t *testing.T) {
	s := mustSeries(t, "x", []Day{{Day: 20000, TMax: 10, HasMax: true}, {Day: 20002, TMax: 14, HasMax: true, Forecast: true}})
	out, _ := Fill(s, published())
	if x, _ := out.At(20001); !x.Forecast || !x.Filled {
		t.Errorf("%+v", x)
	}
}

func TestFillProperties(t *testing.T) {
	set := published()
	rapid.Check(t, func(rt *rapid.T) {
		s := mustSeries(t, "x", rapid.SliceOfN(rapid.Custom(drawDay), 0, 40).Draw(rt, "days"))
		out, gaps := Fill(s, set)
		// What was there is there still.
		for _, d := range s.Days() {
			got, ok := out.At(d.Day)
			if !ok || d.HasMax && (got.TMax != d.TMax || !got.HasMax) || d.HasMin && (got.TMin != d.TMin || !got.HasMin) || got.Rain != d.Rain {
				rt.Fatalf("%+v became %+v", d, got)
			}
		}
		for _, d := range out.Days() {
			if d.HasMax && d.HasMin && d.TMin > d.TMax && d.Filled {
				rt.Fatalf("a filled low above the high: %+v", d)
			}
			was, ok := s.At(d.Day)
			if !d.Filled && (!ok || was.HasMax != d.HasMax || was.HasMin != d.HasMin) {
				rt.Fatalf("filled and not marked: %+v, was %+v", d, was)
			}
			checkBetween(rt, s, d, was)
		}
		for _, g := range gaps {
			if g.Filled && g.Days() > 3 {
				rt.Fatalf("a gap of %d days was filled", g.Days())
			}
		}
		again, _ := Fill(out, set)
		if again.Len() != out.Len() {
			rt.Fatalf("filling twice fills more: %d, %d", out.Len(), again.Len())
		}
	})
}

// checkBetween: a filled high lies between its neighbours'.
func checkBetween(rt *rapid.T, s Series, d, was Day) {
	if !d.Filled || !d.HasMax || was.HasMax {
		return
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, step := range []units.Day{-1, 1} {
		for k := d.Day + step; k >= d.Day-4 && k <= d.Day+4; k += step {
			if x, ok := s.At(k); ok && x.HasMax {
				lo, hi = min(lo, x.TMax.C()), max(hi, x.TMax.C())
				break
			}
		}
	}
	if d.TMax.C() < lo-1e-9 || d.TMax.C() > hi+1e-9 {
		rt.Fatalf("%+v is not between %g and %g", d, lo, hi)
	}
}
