package web

import (
	"net/http"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/hive"
	"larder/internal/season"
	"larder/internal/stores"
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

// An empty book on 30 November, no weather: hives told to weigh 80 lb in two deeps
// starve (a double deep without its stores weighs about 65 lb, CAPA as quoted), so
// the list of jobs and the watch say so and what to give.
func TestStarvingHivesWithoutWeather(t *testing.T) {
	s := newSite(t, time.Date(2026, time.November, 30, 10, 0, 0, 0, time.UTC))
	a := s.get(s.done("/start", "units", "us", "place", "Ithaca, NY", "winter", "", "stop", ""))
	s.done("/start/hives", "yards", "Home 6", "stack", "lang10-deep x2", "feeder", "tray-2", "winter", a.field("winter"), "stop", a.field("stop"), "place", a.field("place"))
	s.done("/start/weigh", "weight.home", "80", "bees.home", "9", "safe.home", "1", "weights", "")
	s.done("/start/feed", "strength", "2:1 by weight", "tank", "40", "mixer", "50", "payload", "")
	a = s.get("/")
	a.has("6 colonies run low: emergency feed (fondant)")
	a.hasNot("Nothing to do by what is known")
	if !has(a.links(), "/winter?yard=home") {
		t.Errorf("links: %v", a.links())
	}
	s.get("/winter").has("6 need feed within six weeks", "shared over the winter as bees commonly eat", "fondant", "feed now")
	s.get("/sheets/winter").has("Winter list")
	s.done("/units", "language", "es", "back", "/winter")
	s.get("/winter").has("se reparte por el invierno")
}

// Bees told in the first run beside the weight are the bees that are taken off it.
func TestFirstRunTakesOffTheBeesItWasTold(t *testing.T) {
	s := startTo(t)
	s.done("/start/weigh", "weight.home", "140", "bees.home", "12", "safe.home", "1", "weight.mill", "140", "bees.mill", "", "weights", "")
	s.get("/hives/home-1").hasNot("nobody looked at the bees")
	s.get("/hives/mill-1").has("nobody looked at the bees")
}

// A nuc whose full combs hold too little is not among those that have enough: the
// list, its own page and the list of jobs say so.
func TestNucWithFullCombsIsNotEnough(t *testing.T) {
	s := newSmallSite(t)
	add := func(body any) {
		if _, err := s.srv.write(t.Context(), "test", []any{body}); err != nil {
			t.Fatal(err)
		}
	}
	stack, err := hive.ParseStack("nuc5-deep")
	if err != nil {
		t.Fatal(err)
	}
	add(apiary.Placed{Colony: apiary.Colony{ID: "n9", Yard: "mill", Kind: apiary.Nuc, Stack: stack, Target: 23}})
	add(apiary.Look{Colony: "n9", Bees: 5, BeesKnown: true, Disease: apiary.No, Treatment: apiary.No, Super: apiary.No, Queen: apiary.Yes})
	add(stores.Reading{Colony: "n9", Way: stores.Full, Gross: units.In(units.Mass(20))})
	s.get("/short").has("Lacking food, but their combs hold no more: 1", "its combs hold no more", "give it a box, or unite it")
	a := s.get("/short?show=no-room")
	a.has("n9 mill")
	a.hasNot("m1 mill")
	a = s.get("/hives/n9")
	a.has("Its combs cannot hold what it needs")
	a.hasNot("which is 0")
	s.get("/?all=1").has("Give n9 a box, or unite it")
}
