package season_test

import (
	"math"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
)

// herdAt is a journal of the herd and the day it is looked at.
func herdAt(t *testing.T, n int, more ...season.Fact) (*season.Journal, units.Moment) {
	t.Helper()
	j := season.NewJournal()
	if _, err := j.Add(append(herd(n), more...)...); err != nil {
		t.Fatal(err)
	}
	return j, units.OnDay(units.DayOf(2026, time.September, 10))
}

// extra makes facts beside a herd's.
func extra(n byte, d units.Day, body any) season.Fact {
	return season.Fact{ID: season.ID{6: 0x70, 8: 0x80, 14: n, 15: 0xee}, Seen: units.OnDay(d), Body: body}
}

func setting(n byte, key, value string) season.Fact {
	return extra(n, units.DayOf(2026, time.September, 1), season.Setting{Key: key, Value: value})
}

// The model's target is used where nothing else is told, and is what the watch's
// own machinery says for that colony and day, to the kilogram; table and own
// stand beside it with their chances.
func TestAimSideBySide(t *testing.T) {
	j, at := herdAt(t, 6)
	st := j.AsOf(at)
	for _, x := range st.Short(at) {
		a := x.Aim
		if a.From != season.AimModel || a.Kg != a.Model || a.Table != 24 || a.Own != 0 {
			t.Fatalf("%s: %+v", x.Colony.ID, a)
		}
		if x.Lack.Target != a.Kg {
			t.Errorf("%s: short of %v, the target is %v", x.Colony.ID, x.Lack.Target, a.Kg)
		}
		if a.Want < a.Model || a.NoRoom != (a.Want > a.Model) || !(a.ModelLasts > a.TableLasts) == (a.Model > a.Table+1) {
			t.Errorf("%s: %+v", x.Colony.ID, a)
		}
		if !a.NoRoom && math.Abs(a.ModelLasts-a.Confidence) > 0.002 {
			t.Errorf("%s: with its target it lasts in %v, not %v", x.Colony.ID, a.ModelLasts, a.Confidence)
		}
		tg, ok := st.TargetOf(at, x.Colony.ID)
		if !ok || tg.Kg != a.Model || tg.Want != a.Want || math.Abs(tg.Mean-a.Eaten.Mean) > 1e-9 {
			t.Errorf("%s: in detail %v, side by side %v", x.Colony.ID, tg.Kg, a.Model)
		}
		if len(st.DrivesOf(at, x.Colony.ID)) < 3 || len(a.Beside()) != 1 {
			t.Errorf("%s says too little: %v, %v", x.Colony.ID, st.DrivesOf(at, x.Colony.ID), a.Beside())
		}
	}
}

// What the keeper chose decides; his own number always wins; without weather the
// table stands in and the reason is told.
func TestWhichAimIsUsed(t *testing.T) {
	first := func(j *season.Journal, at units.Moment) season.Aim { return j.AsOf(at).Short(at)[0].Aim }
	for set, want := range map[string]season.AimFrom{"model": season.AimModel, "table": season.AimTable} {
		j, at := herdAt(t, 1, setting(1, "feed.target", set))
		if a := first(j, at); a.From != want {
			t.Errorf("%s: used %q", set, a.From)
		}
	}
	j, at := herdAt(t, 1, setting(1, "feed.target", "larger"))
	if a := first(j, at); a.Kg != max(a.Model, a.Table) {
		t.Errorf("larger of %v and %v: %v", a.Model, a.Table, a.Kg)
	}
	c := apiary.Colony{ID: "c0", Yard: "y0", Stand: 1, Kind: apiary.Full, Target: 17}
	j, at = herdAt(t, 1, extra(2, units.DayOf(2026, time.September, 2), apiary.Placed{Colony: c}))
	if a := first(j, at); a.From != season.AimOwn || a.Kg != 17 || math.IsNaN(a.OwnLasts) {
		t.Errorf("own: %+v", a)
	}
	bare := season.NewJournal()
	for _, f := range herd(1) {
		if _, sky := f.Body.(weather.Day); !sky {
			if _, err := bare.Add(f); err != nil {
				t.Fatal(err)
			}
		}
	}
	a := first(bare, at)
	if a.From != season.AimTable || a.Model != 0 || len(a.NoModel) == 0 || !math.IsNaN(a.TableLasts) {
		t.Errorf("without weather: %+v", a)
	}
}

// A target is what must be there when feeding ends: it does not move before the
// stop day and falls after it.
func TestAimFallsAfterTheStopDay(t *testing.T) {
	j, at := herdAt(t, 1)
	kg := func(d units.Day) float64 { return j.AsOf(at).Short(units.OnDay(d))[0].Aim.Want.Kg() }
	sept, oct := kg(units.DayOf(2026, time.September, 10)), kg(units.DayOf(2026, time.September, 20))
	if sept != oct {
		t.Errorf("%v on the 10th, %v on the 20th of September", sept, oct)
	}
	last := sept
	for _, m := range []time.Month{time.November, time.December} {
		x := kg(units.DayOf(2026, m, 15))
		if x >= last {
			t.Errorf("%v: %v kg, not less than %v", m, x, last)
		}
		last = x
	}
}

// What is kept between questions changes no answer: asked again, asked of a
// journal that got the same facts in another order, and after more facts came.
func TestAimsAreRememberedRight(t *testing.T) {
	j, at := herdAt(t, 40)
	before := j.Now().Short(at)
	if _, err := j.Add(setting(3, "figure.winter.reserve_kg", "6")); err != nil {
		t.Fatal(err)
	}
	after := j.Now().Short(at)
	fresh := j.AsOf(units.Moment{}).Short(at)
	for i := range after {
		if d := after[i].Aim.Want - before[i].Aim.Want; math.Abs(d.Kg()-2) > 1e-9 {
			t.Fatalf("%s: two kilograms more reserve make %v", after[i].Colony.ID, d)
		}
		if after[i].Aim.Want != fresh[i].Aim.Want || after[i].Aim.Kg != fresh[i].Aim.Kg {
			t.Fatalf("%s: %v remembered, %v fresh", after[i].Colony.ID, after[i].Aim.Kg, fresh[i].Aim.Kg)
		}
	}
}
