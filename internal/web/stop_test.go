package web

import (
	"net/http"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/units"
)

// When to stop says the day, the days left and how sure, and holds the work
// against them; a day typed is kept as a fact of the yard and wins.
func TestWhenToStop(t *testing.T) {
	s := newExampleSiteOn(t, units.DayOf(2015, time.September, 12))
	s.get("/stop").has("Mill Lane", "Stop about", "50 %", "95 %", "Work left here", "loads on")
	s.done("/stop/mill", "stop-mill", "20 Sep", "one", "mill")
	yard := func() apiary.Yard {
		var y apiary.Yard
		s.srv.house.view(func(st *season.State, _ units.Moment) { y, _ = st.Yard("mill") })
		return y
	}
	if y := yard(); y.Stop.String() != "2015-09-20" || y.Name != "Mill Lane" {
		t.Fatalf("%+v", y)
	}
	s.get("/stop?yard=mill").has("you typed it", "20 Sep")
	s.done("/stop/mill", "stop-mill", "")
	if y := yard(); y.Stop != 0 {
		t.Fatalf("not taken back: %+v", y)
	}
}

func TestWhenToStopKeepsWhatWasTyped(t *testing.T) {
	s := newExampleSiteOn(t, units.DayOf(2015, time.September, 12))
	a := s.post("/stop/mill", "stop-mill", "soon")
	if a.Code != http.StatusUnprocessableEntity {
		t.Fatal(a.Code)
	}
	if a.field("stop-mill") != "soon" {
		t.Errorf("what was typed is gone: %q", a.field("stop-mill"))
	}
	s.srv.house.view(func(st *season.State, _ units.Moment) {
		if y, _ := st.Yard("mill"); y.Stop != 0 {
			t.Errorf("kept: %v", y.Stop)
		}
	})
}
