package season_test

import (
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/winter"
)

// Sealed frames of a heavy colony of the yard come before anything else; nobody
// gives them who would run short by it, nor where disease and treatment were not
// answered with no of late.
func TestCombsComeBeforeOtherFeed(t *testing.T) {
	at := units.OnDay(units.DayOf(2027, time.January, 5))
	lost := func(i int) float64 { return []float64{-24, -22, 5, 9, 12, 15}[i] }
	var looks, fed []season.Fact // two were given frames in November, and are heavy
	for i, kg := range []units.Mass{28, 26} {
		fed = append(fed, extra(byte(220+i), units.DayOf(2026, time.November, 20), ledger.Given{Colony: colonyName(i), Feed: ledger.Comb, Mass: units.In(kg)}))
	}
	looks = append(looks, fed...)
	for i := range 6 {
		looks = append(looks, extra(byte(200+i), units.DayOf(2026, time.December, 28), apiary.Look{Colony: colonyName(i), Disease: apiary.No, Treatment: apiary.No}))
	}
	l := winterHerd(t, 6, lost, looks...).WatchList(at, 1)
	var given units.Mass
	from := map[string]int{}
	for _, w := range l.Rows {
		if w.Lack == 0 {
			continue
		}
		o := w.Need.Options[0]
		if o.Form != winter.Combs {
			continue
		}
		if o.Count <= 0 || o.From == "" || o.From == w.Colony.ID || o.Kg <= 0 {
			t.Errorf("%s: %+v", w.Colony.ID, o)
		}
		from[o.From] += o.Count
		given += o.Kg
		if o.Kg < w.Lack && len(w.Need.Options) < 2 {
			t.Errorf("%s: the combs are %v of %v and nothing is offered for the rest", w.Colony.ID, o.Kg, w.Lack)
		}
	}
	if given == 0 {
		for _, w := range l.Rows {
			t.Log(w.Colony.ID, w.Stores(), w.Lack, w.Chance(), w.Track)
		}
		t.Fatal("no combs are offered")
	}
	for _, w := range l.Rows {
		if from[w.Colony.ID] > 0 && (w.Lack > 0 || w.Chance() > 0.05) {
			t.Errorf("%s gives combs and may run short itself: %v", w.Colony.ID, w.Chance())
		}
		if from[w.Colony.ID] > 4 {
			t.Errorf("%s gives %d combs", w.Colony.ID, from[w.Colony.ID])
		}
	}
	// Whoever gave still lasts when the frames are gone: seen by taking them out of
	// what it weighed, with no other way of reckoning than the watch itself.
	for giver, n := range from {
		i := int(giver[1] - '0')
		kg := units.Mass(0)
		for _, w := range l.Rows {
			if w.Lack > 0 && w.Need.Options[0].From == giver {
				kg += w.Need.Options[0].Kg
			}
		}
		after := winterHerd(t, 6, func(k int) float64 {
			if k == i {
				return lost(k) + kg.Kg()
			}
			return lost(k)
		}, looks...).WatchList(at, 1)
		for _, w := range after.Rows {
			if w.Colony.ID == giver && w.Lack > 0 {
				t.Errorf("%s gave %d combs and needs %v now", giver, n, w.Lack)
			}
		}
	}

	// Nobody looked for disease, or one had it: no combs move, and it is said.
	for name, facts := range map[string][]season.Fact{"no looks": fed, "sick": {
		fed[0], fed[1], extra(230, units.DayOf(2026, time.December, 28), apiary.Look{Colony: "c0", Disease: apiary.Yes}),
	}} {
		for _, w := range winterHerd(t, 6, lost, facts...).WatchList(at, 1).Rows {
			for _, o := range w.Need.Options {
				if o.Form == winter.Combs {
					t.Errorf("%s: %s is offered combs from %s", name, w.Colony.ID, o.From)
				}
			}
			if w.Lack > 0 && !hasWinterReason(w.Need.Reasons, "combs-look") {
				t.Errorf("%s: %s is not told why there are none: %+v", name, w.Colony.ID, w.Need.Reasons)
			}
		}
	}
}

func hasWinterReason(all []winter.Reason, code string) bool {
	for _, r := range all {
		if r.Code == code {
			return true
		}
	}
	return false
}
