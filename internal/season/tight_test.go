package season_test

import (
	"slices"
	"testing"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

// A nuc of five deep frames with full combs does not have enough: five frames of 3
// kg at the most (evidence base §2.1) are 15 kg, and what should be in a comb is
// less, against the 23 kg a nuc should have in Atlantic Canada (ATTTA 2024), typed
// here as its target. Two deeps with the same target are not tight.
func TestFullCombsThatHoldTooLittleAreNotEnough(t *testing.T) {
	s := &small{}
	s.add(1, apiary.Yard{ID: "y", Climate: apiary.Cold, Stop: day(30)})
	put := func(id, stack string, kind apiary.Kind, gross, bees float64) {
		c := apiary.Colony{ID: id, Yard: "y", Kind: kind, Stack: mustStack(t, stack), Feeder: "frame", Target: 23}
		s.add(1, apiary.Placed{Colony: c})
		s.add(2, stores.Reading{Colony: id, Way: stores.Full, Gross: units.In(units.Mass(gross))})
		s.add(2, apiary.Look{Colony: id, Bees: bees, BeesKnown: true, Disease: apiary.No, Treatment: apiary.No, Super: apiary.No, Queen: apiary.Yes})
	}
	put("nuc", "nuc5-deep", apiary.Nuc, 20, 5)
	put("double", "lang10-deep x2", apiary.Full, 62, 9)
	at := units.OnDay(day(3))
	st := s.journal(t).AsOf(at)
	shorts := st.Short(at)
	for i := range shorts {
		x := &shorts[i]
		nuc := x.Colony.ID == "nuc"
		if len(x.Hold) > 0 || x.Tight != nuc || x.NoRoom() != nuc {
			t.Errorf("%s: has %v, hold %v, tight %v, to feed %v", x.Colony.ID, x.Stores(), x.Hold, x.Tight, x.ToFeed())
		}
		if h := x.Headline(); nuc && (len(h) == 0 || h[0].Code != "tight") {
			t.Errorf("headline %+v", h)
		}
	}
	if sum := season.Sum(shorts); sum.NoRoom != 1 || sum.Enough != 1 || sum.Feed+sum.Held+sum.NotKnown != 0 {
		t.Errorf("%+v", sum)
	}
	if l := season.Choose(shorts, season.ShowNoRoom, "", "", season.ByName); len(l) != 1 || l[0].Colony.ID != "nuc" {
		t.Errorf("shown: %+v", l)
	}
	jobs := st.Jobs(at, nil)
	i := slices.IndexFunc(jobs, func(j season.Job) bool { return j.Code == season.JobRoom })
	if i < 0 || !slices.Equal(jobs[i].Colonies, []string{"nuc"}) {
		t.Errorf("jobs: %+v", jobs)
	}
}
