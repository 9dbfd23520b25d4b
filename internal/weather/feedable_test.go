package weather

import (
	"testing"

	"pgregory.net/rapid"

	"larder/internal/figure"
	"larder/internal/units"
)

func TestFactorTable(t *testing.T) {
	set := published()
	for _, r := range tableOf(t, "uptake.csv") {
		tmax, want := num(t, r[0]), num(t, r[1])
		if got := Factor(units.Temp(tmax), set); !near(got, want, 1e-12) {
			t.Errorf("Factor(%g) = %g, want %g", tmax, got, want)
		}
	}
}

func TestFactorStaysACurve(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		set := published()
		// Whatever the keeper sets, wild values too.
		for _, f := range feedFigures()[:5] {
			if rapid.Bool().Draw(rt, f.Key) {
				set = mustWith(t, set, f.Key, rapid.Float64Range(f.Low-5, f.High+5).Draw(rt, f.Key+" value"))
			}
		}
		a := rapid.Float64Range(-40, 50).Draw(rt, "a")
		b := a + rapid.Float64Range(0, 20).Draw(rt, "warmer by")
		fa, fb := Factor(units.Temp(a), set), Factor(units.Temp(b), set)
		if fa < 0 || fb > 1 || fa > fb {
			rt.Fatalf("Factor(%g) = %g, Factor(%g) = %g", a, fa, b, fb)
		}
		if lo := set.V(keyFeedMin); a <= lo && fa != 0 {
			rt.Fatalf("taken at %g, at or below %g", a, lo)
		}
		if hi := max(set.V(keyFeedFull), set.V(keyFeedMin)+1e-6); b >= hi && fb != 1 {
			rt.Fatalf("not full at %g, from %g", b, hi)
		}
	})
}

func TestRound(t *testing.T) {
	set := published()
	hi := func(t units.Temp, rain float64) Day {
		return Day{Day: 20000, TMax: t, HasMax: true, Rain: rain, HasRain: true}
	}
	for _, c := range []struct {
		name string
		d    Day
		want Verdict
		why  []string
	}{
		{"warm and dry", hi(15, 0), Verdict{Known: true, OK: true}, nil},
		{"just warm", hi(13, 10), Verdict{Known: true, OK: true}, nil},
		{"cool", hi(12.9, 0), Verdict{Known: true, OK: true, Cool: true}, []string{"cool"}},
		{"just driven", hi(10, 0), Verdict{Known: true, OK: true, Cool: true}, []string{"cool"}},
		{"cold", hi(9.9, 0), Verdict{Known: true}, []string{"cold"}},
		{"wet", hi(15, 10.1), Verdict{Known: true}, []string{"wet"}},
		{"cool and wet", hi(12, 11), Verdict{Known: true}, []string{"cool", "wet"}},
		{"rain not known", Day{TMax: 15, HasMax: true}, Verdict{Known: true, OK: true}, []string{"no-rain-known"}},
		{"high not known", Day{Rain: 0, HasRain: true}, Verdict{}, []string{"no-high"}},
	} {
		got := Round(c.d, set)
		if got.Known != c.want.Known || got.OK != c.want.OK || got.Cool != c.want.Cool {
			t.Errorf("%s: %+v", c.name, got)
		}
		var why []string
		for _, r := range got.Why {
			why = append(why, r.Code)
		}
		if len(why) != len(c.why) {
			t.Errorf("%s: reasons %v, want %v", c.name, why, c.why)
			continue
		}
		for i := range why {
			if why[i] != c.why[i] {
				t.Errorf("%s: reasons %v, want %v", c.name, why, c.why)
			}
		}
	}
}

// TestFiguresAreWhole: every figure has a source and a range that holds it, and
// a set of them can be made.
func TestFiguresAreWhole(t *testing.T) {
	all := Figures()
	figure.NewSet(all)
	for _, f := range all {
		if f.Name == "" || f.Unit == "" || f.Source == "" || f.Grade == "" || !f.InRange(f.Value) {
			t.Errorf("%+v", f)
		}
	}
}
