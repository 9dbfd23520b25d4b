package season_test

import (
	"testing"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

// tell writes what is told for a whole yard.
func tell(t *testing.T, s *small, yard string, w season.Whole) int {
	t.Helper()
	l := s.journal(t).AsOf(units.Moment{}).TellWhole(yard, w)
	for _, x := range l {
		if !x.Strike.IsZero() {
			s.add(5, season.Strike{Fact: x.Strike})
			continue
		}
		s.add(4, x.Body)
	}
	return len(l)
}

func TestTellWhole(t *testing.T) {
	s := newSmall(t)
	r, err := season.ReadWhole("95", units.Style{})
	if err != nil || r.Way != stores.Full || r.Gross.As != "95 lb" {
		t.Fatal(r, err)
	}
	// Only h2 of the hill has no reading of its own: the guess is for it alone,
	// the look for both.
	if n := tell(t, s, "hill", season.Whole{Reading: r, Bees: 9, BeesKnown: true, Safe: true}); n != 3 {
		t.Errorf("%d facts", n)
	}
	now := units.OnDay(day(5))
	st := s.journal(t).AsOf(now)
	h2, _ := st.JudgeOne("h2", now)
	h1, _ := st.JudgeOne("h1", now)
	if !h2.Stores().Known || h2.Stores().SD < 6 || h1.Stores().SD > 4 || h2.Bees.Mean != 9 {
		t.Errorf("the guess is known to %v, the reading to %v; bees %v", h2.Stores().SD, h1.Stores().SD, h2.Bees)
	}
	if w, q := st.WholeOf("hill"); w.Bees != 9 || !w.Safe {
		t.Errorf("%+v %v", w, q)
	}
	// The same again is nothing; another is put in its place; nothing takes it out.
	if n := tell(t, s, "hill", season.Whole{Reading: r, Bees: 9, BeesKnown: true, Safe: true}); n != 0 {
		t.Errorf("%d facts for the same", n)
	}
	r2, _ := season.ReadWhole("light", units.Style{})
	tell(t, s, "hill", season.Whole{Reading: r2, Bees: 9, BeesKnown: true, Safe: true})
	c, _ := s.journal(t).AsOf(now).Colony("h2")
	n := 0
	for _, f := range c.Events {
		if b, ok := f.Body.(stores.Reading); ok {
			n++
			if b.Heft != stores.Light || b.About {
				t.Errorf("%+v", b)
			}
		}
	}
	if n != 1 {
		t.Errorf("%d readings of h2, want the last alone", n)
	}
	tell(t, s, "hill", season.Whole{})
	if j, _ := s.journal(t).AsOf(now).JudgeOne("h2", now); j.Stores().Known {
		t.Error("what is no longer told must be gone")
	}
}

func TestUnknownIsNeverTakenAsSafe(t *testing.T) {
	s := &small{}
	s.add(1, apiary.Yard{ID: "y", Climate: apiary.Cold, Stop: day(30)})
	s.add(1, apiary.Placed{Colony: apiary.Colony{ID: "y-1", Yard: "y", Kind: apiary.Full, Stack: mustStack(t, "lang10-deep x2"), Feeder: "tray-2"}})
	r, _ := season.ReadWhole("80 lb", units.Style{})
	tell(t, s, "y", season.Whole{Reading: r, Bees: 9, BeesKnown: true})
	now := units.OnDay(day(5))
	if x := s.journal(t).AsOf(now).Short(now); len(x) != 1 || len(x[0].Hold) != 3 {
		t.Errorf("holds: %+v", x[0].Hold)
	}
	tell(t, s, "y", season.Whole{Reading: r, Bees: 9, BeesKnown: true, Safe: true})
	if x := s.journal(t).AsOf(now).Short(now); len(x[0].Hold) != 0 {
		t.Errorf("holds: %+v", x[0].Hold)
	}
}

func TestReadWholeRefuses(t *testing.T) {
	for _, s := range []string{"", " ", "?", "-"} {
		if r, err := season.ReadWhole(s, units.Style{}); err != nil || r.Way != "" {
			t.Errorf("%q: %+v, %v", s, r, err)
		}
	}
	for _, s := range []string{"much", "1", "2000 lb", "95 gal", "-4"} {
		if r, err := season.ReadWhole(s, units.Style{}); err == nil {
			t.Errorf("%q: %+v", s, r)
		}
	}
}

func TestReadWeights(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	sheet := season.Sheet{Way: stores.Full, Unit: "lb", FeedUnit: "US gal", Seen: at, Locale: units.Locale{Decimal: '.'}}
	got, bad := st.ReadWeights("m1 88\nM2: 43 kg\nh1\tlight\nnobody 5\nm3 heaps\nh2", sheet)
	if len(got) != 3 || got[0].(stores.Reading).Gross.As != "88 lb" || got[1].(stores.Reading).Colony != "m2" || got[2].(stores.Reading).Heft != stores.Light {
		t.Errorf("%+v", got)
	}
	if len(bad) != 3 || bad[0].Line != 4 || bad[1].Line != 5 || bad[2].Line != 6 {
		t.Errorf("%+v", bad)
	}
}

// A slip of a factor of ten fits none of the hives of a yard: it is asked about
// and not kept for all of them. A deep and a medium hold some 41 kg of stores
// (70 lb in a deep and a half, CAPA as quoted: 16.6 kg to a medium, 25 to a deep)
// in 25 to 35 kg of hive, so 445 kg and 4.45 kg cannot be and 44.5 kg can.
func TestDoubtWhole(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	for text, want := range map[string]bool{"445 kg": true, "4,45 kg": true, "44,5 kg": false, "98 lb": false, "light": false, "": false} {
		r, err := season.ReadWhole(text, units.Style{Decimal: ','})
		if err != nil {
			t.Fatal(text, err)
		}
		why, doubt, err := st.DoubtWhole("mill", season.Whole{Reading: r}, at)
		if err != nil || doubt != want || doubt == (why.Say == "") {
			t.Errorf("%s: %v %+v %v, want %v", text, doubt, why, err, want)
		}
	}
}
