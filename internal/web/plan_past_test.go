package web

import (
	"testing"
	"time"

	"larder/internal/season"
	"larder/internal/units"
)

// The plan page says of past years what the season says, yard by yard and for
// the plan; without their weather it says that it is not known.
func TestPlanThroughPastYears(t *testing.T) {
	s := newExampleSiteOn(t, units.DayOf(2015, time.September, 12))
	a := s.get("/plan")
	a.has("Past years", "3 past years")
	st := units.Style{}
	var past season.Replayed
	s.srv.house.view(func(state *season.State, at units.Moment) {
		st = state.Settings.Style()
		p, err := state.Plan(at, planSeed)
		if err == nil {
			past, err = state.Replay(at, &p, nil)
		}
		if err != nil {
			t.Fatal(err)
		}
	})
	if len(past.Yards) != 4 || !past.Known {
		t.Fatalf("%+v", past)
	}
	for _, y := range past.Yards {
		for _, r := range y.Why {
			a.has(st.Say(r.Say, r.Amounts))
		}
	}
	for _, r := range past.Why {
		a.has(st.Say(r.Say, r.Amounts))
	}
	newSmallSite(t).get("/plan").has("not known here: no past years of weather are known")
}
