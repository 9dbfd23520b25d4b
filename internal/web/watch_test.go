package web

import (
	"net/http"
	"testing"
	"time"

	"larder/internal/season"
	"larder/internal/units"
)

// Before the stop day the watch says when it starts; after it, it ranks hives,
// offers feed in need and leads to the heft with one thumb.
func TestWinterWatch(t *testing.T) {
	s := newExampleSiteOn(t, units.DayOf(2015, time.September, 12))
	s.get("/winter").has("Starts after your stop day", "Look ahead all the same")
	s.get("/winter?anyway=1").has("In the order in which to heft them", "not known – heft first")

	s = newExampleSiteOn(t, units.DayOf(2015, time.December, 15))
	a := s.get("/winter")
	a.has("need feed within six weeks", "fondant", "Stores to first forage", "Type its heft", "of 11 alive", "Nothing liquid below")
	if n := len(a.links()); n < 30 {
		t.Errorf("%d links", n)
	}
	s.get("/readings/one?yard=ridge&hive=r10&way=lift2").has("r10")
	s.get("/sheets/winter").has("Winter list", "Tap the lid")
	if a := s.get("/sheets/winter.pdf"); a.Code != http.StatusOK {
		t.Errorf("the winter list as PDF: %d", a.Code)
	}
	s.get("/given/review").has("Sugar for next autumn", "Deaths by stores at the stop day", "not known")
}

// First forage and a programme of thin feed are notes of the yard; a day that
// cannot be is sent back with what was typed.
func TestSpringNotes(t *testing.T) {
	s := newExampleSiteOn(t, units.DayOf(2015, time.December, 15))
	s.done("/winter/mill", "what", "build-up", "day-mill", "14 Dec")
	s.srv.house.view(func(st *season.State, _ units.Moment) {
		if what, since := st.Programme("mill"); what != season.ProgBuildUp || since.String() != "2015-12-14" {
			t.Errorf("%q since %s", what, since)
		}
	})
	for _, day := range []string{"soon", "2016-03-01"} {
		if a := s.post("/winter/mill", "what", "forage", "day-mill", day); a.Code != http.StatusUnprocessableEntity {
			t.Errorf("%q: %d", day, a.Code)
		}
	}
	if a := s.post("/winter/nowhere", "what", "forage", "day-nowhere", "1 Dec"); a.Code != http.StatusNotFound {
		t.Errorf("no such yard: %d", a.Code)
	}
}

// A hive's page puts its targets side by side and says which is used.
func TestTargetsSideBySide(t *testing.T) {
	s := newExampleSiteOn(t, units.DayOf(2015, time.September, 12))
	s.get("/hives/m4?fold=targets").has("the past winters here", "the published table", "of 100 winters", "The past winters of this yard are used")
	s.get("/short?find=m4").has("the suggestion for such winters and hives is", "Its targets side by side")
}
