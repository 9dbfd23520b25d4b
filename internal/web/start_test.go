package web

import (
	"context"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

// state gives the state of the site's book.
func (s *site) state(f func(st *season.State)) {
	s.t.Helper()
	facts, err := s.book.Facts(context.Background(), units.Moment{})
	if err != nil {
		s.t.Fatal(err)
	}
	j := season.NewJournal()
	if _, err := j.Add(facts...); err != nil {
		s.t.Fatal(err)
	}
	f(j.Now())
}

// startTo takes a site up to the step of weights, with two yards.
func startTo(t *testing.T) *site {
	t.Helper()
	s := newSite(t, smallNow)
	to := s.done("/start", "units", "us", "place", "Ithaca, NY", "winter", "", "stop", "")
	if !strings.HasPrefix(to, "/start/hives?") {
		t.Fatal(to)
	}
	a := s.get(to)
	a.has("Winter: cold", "Thu 1 Oct 2026", "January in", "NOAA")
	to = s.done("/start/hives", "yards", "Home 3\nMill 2, 6 mi", "stack", a.field("stack"), "feeder", a.field("feeder"),
		"winter", a.field("winter"), "stop", a.field("stop"), "place", a.field("place"))
	if !strings.HasPrefix(to, "/start/weigh") {
		t.Fatal(to)
	}
	return s
}

// Where kilometres are thought in, they are what is shown.
func TestStartSpeaksInItsUnits(t *testing.T) {
	for units, way := range map[string]string{"us": "Mill 18, 6 mi", "metric": "Mill 18, 10 km"} {
		s := newSite(t, smallNow)
		s.get(s.done("/start", "units", units, "place", "44.3, -78.32", "winter", "", "stop", "")).has(way)
		s.get("/yards").has(way)
	}
}

// A yard that is told to lie 31 km off and has only home's place is not shown on
// the map, neither at the desk nor to a helper on the road.
func TestNoMapToAYardNobodyPlaced(t *testing.T) {
	s := newSite(t, smallNow)
	to := s.done("/start", "units", "metric", "place", "44.3, -78.32", "winter", "", "stop", "")
	a := s.get(to)
	s.done("/start/hives", "yards", "Home 1\nRidge 2, 31 km", "stack", "lang10-deep x2", "feeder", "frame", "winter", a.field("winter"), "stop", a.field("stop"), "place", a.field("place"))
	s.done("/start/weigh", "weight.home", "44,5", "bees.home", "9", "safe.home", "1", "weight.ridge", "40", "bees.ridge", "9", "safe.ridge", "1", "weights", "")
	s.done("/start/feed", "strength", "2:1 by weight", "tank", "200", "mixer", "100", "payload", "")
	s.get("/plan").has("Not on the map, for want of coordinates: Ridge", "62 km")
	s.done("/plan/out")
	for _, stop := range s.trip(1).Stops {
		if stop.HasPlace == (stop.Yard == "ridge") {
			t.Errorf("%s is on the map: %v", stop.Yard, stop.HasPlace)
		}
	}
}

func TestStartToAPlan(t *testing.T) {
	s := startTo(t)
	s.state(func(st *season.State) {
		y, ok := st.Yard("mill")
		if !ok || y.Climate != apiary.Cold || y.Stop != 0 || !y.HasPlace {
			t.Errorf("%+v", y)
		}
		if len(st.Colonies()) != 5 || st.Settings.HomeLat < 42 {
			t.Errorf("%d colonies, home %v", len(st.Colonies()), st.Settings.HomeLat)
		}
	})
	// No day was typed, so none is his: it is the usual one until weather tells.
	s.get("/stop").has("Thu 1 Oct: the usual day for this class of winter", "type your own, or take in the weather of past years")
	s.get("/yards").has("usual for this winter")
	a := s.get("/start/weigh")
	a.has("Home 3 hives", "Mill 2 hives", "not taken for safe")
	s.marked()
	to := s.done("/start/weigh", "weight.home", "70", "bees.home", "9", "safe.home", "1", "weight.mill", "light", "safe.mill", "1", "weights", "home-2 95 lb")
	facts := s.marked()
	looks, guesses, read := 0, 0, 0
	for _, f := range facts {
		switch b := f.Body.(type) {
		case apiary.Look:
			looks++
		case stores.Reading:
			if b.About || b.Way == stores.Hand {
				guesses++
			} else {
				read++
			}
		}
	}
	if looks != 5 || guesses != 4 || read != 1 || len(facts) != 10 {
		t.Errorf("%d looks, %d guesses, %d readings, %d facts", looks, guesses, read, len(facts))
	}
	a = s.get(to)
	if a.field("tank") != "275 US gal" || a.field("payload") != "" || a.field("strength") != "2:1 by weight" {
		t.Errorf("defaults: %q %q %q", a.field("tank"), a.field("payload"), a.field("strength"))
	}
	to = s.done("/start/feed", "strength", "2:1 by weight", "tank", "275", "mixer", "55 US gal", "payload", "")
	a = s.get(to)
	a.has("of 5 colonies are to be fed", "lb of sugar", "2 loads", "Print", "Honey supers off", "Know this", "middling")
	if l := a.links(); !has(l, "/sheets") || !has(l, "/plan") {
		t.Errorf("links: %v", l)
	}
	// The book is no longer empty.
	s.get("/")
}

// Going back shows what was told, and telling it again changes nothing.
func TestStartBackLosesNothing(t *testing.T) {
	s := startTo(t)
	s.done("/start/weigh", "weight.home", "70", "bees.home", "9", "safe.home", "1", "weight.mill", "light", "weights", "")
	s.marked()
	a := s.get("/start/weigh")
	for k, want := range map[string]string{"weight.home": "70 lb", "bees.home": "9", "weight.mill": "light", "safe.home": "1", "safe.mill": ""} {
		if got := a.field(k); got != want {
			t.Errorf("%s = %q, want %q", k, got, want)
		}
	}
	s.done("/start/weigh", "weight.home", "70 lb", "bees.home", "9", "safe.home", "1", "weight.mill", "light", "weights", "")
	a = s.get("/start/hives")
	if a.field("yards") != "Home 3\nMill 2, 6 mi" || a.field("stack") != "lang10-deep + lang10-medium" {
		t.Errorf("%q %q", a.field("yards"), a.field("stack"))
	}
	s.done("/start/hives", "yards", a.field("yards"), "stack", a.field("stack"), "feeder", a.field("feeder"), "had", "home", "had", "mill",
		"was_stack", a.field("was_stack"), "was_feeder", a.field("was_feeder"))
	a = s.get("/start")
	if !strings.HasPrefix(a.field("place"), "42.4") || a.field("winter") != "cold" || a.field("stop") != "" {
		t.Errorf("%q %q %q", a.field("place"), a.field("winter"), a.field("stop"))
	}
	s.done("/start", "units", "us", "place", a.field("place"), "winter", "cold", "stop", "")
	if f := s.marked(); len(f) != 0 {
		t.Errorf("telling the same again wrote %d facts: %+v", len(f), f[0].Body)
	}
	// Another stop day goes to the yards there are.
	s.done("/start", "units", "us", "place", a.field("place"), "winter", "cold", "stop", "20 Sep")
	s.state(func(st *season.State) {
		for _, y := range st.Yards() {
			if y.Stop != sept(20) {
				t.Errorf("%+v", y)
			}
		}
	})
	// A hive taken off the list is taken back, with what was told of it once for
	// its yard.
	a = s.get("/start/hives")
	s.done("/start/hives", "yards", "Home 3\nMill 1, 6 mi", "stack", a.field("stack"), "feeder", a.field("feeder"), "had", "home", "had", "mill",
		"was_stack", a.field("was_stack"), "was_feeder", a.field("was_feeder"))
	s.state(func(st *season.State) {
		if n := len(st.HivesAt("mill")); n != 1 {
			t.Errorf("%d hives at the mill", n)
		}
	})
}

func TestStartKeepsWhatWasTypedWrongly(t *testing.T) {
	s := newSite(t, smallNow)
	a := s.post("/start", "units", "metric", "place", "Springfield", "winter", "cold", "stop", "1 Oct")
	if a.Code != 422 || a.field("place") != "Springfield" || a.field("stop") != "1 Oct" || a.field("winter") != "cold" || a.field("units") != "metric" {
		t.Errorf("%d %s", a.Code, a.text())
	}
	a.has("Which one?", "Springfield, IL", "There is a problem")
	if !strings.Contains(a.Body, "<title>Error: ") {
		t.Error("the title does not say that there is an error")
	}
	// A button picks the town.
	if to := s.done("/start", "units", "metric", "place", "Springfield", "pick", "Springfield, IL", "winter", "", "stop", ""); !strings.Contains(to, "winter=temperate") {
		t.Error(to)
	}
	for _, c := range [][]string{
		{"/start", "place", "", "winter", "", "units", "us"},
		{"/start", "place", "51.5, -0.1", "winter", "", "units", "uk"}, // no table of normals there: choose
		{"/start", "place", "", "winter", "cold", "stop", "soon", "units", "us"},
	} {
		if a := s.post(c[0], c[1:]...); a.Code != 422 {
			t.Errorf("%v: %d", c, a.Code)
		}
	}
	a = s.post("/start/hives", "yards", "Home 24\nMill\nHill 3", "stack", "lang10-deep x2", "feeder", "nuc-tray", "winter", "cold", "stop", "2026-10-01")
	if a.Code != 422 || a.field("yards") != "Home 24\nMill\nHill 3" || a.field("winter") != "cold" {
		t.Errorf("%d %q", a.Code, a.field("yards"))
	}
	a.has("Line 2, “Mill”", "does not go on")
	s.done("/start", "units", "us", "winter", "cold", "place", "", "stop", "2026-10-01")
	s.done("/start/hives", "yards", "Home 2", "stack", "lang10-deep x2", "feeder", "tray-2", "winter", "cold", "stop", "2026-10-01")
	s.marked()
	a = s.post("/start/weigh", "weight.home", "much", "bees.home", "lots", "safe.home", "1", "weights", "home-1 heaps\nnobody 3")
	if a.Code != 422 || a.field("weight.home") != "much" || a.field("bees.home") != "lots" || a.field("weights") != "home-1 heaps\nnobody 3" || a.field("safe.home") != "1" {
		t.Errorf("%d %s", a.Code, a.text())
	}
	a = s.post("/start/weigh", "weight.home", "1050 lb", "bees.home", "9", "safe.home", "1", "weights", "")
	if a.Code != 422 {
		t.Error(a.Code)
	}
	a = s.post("/start/weigh", "weight.home", "445 lb", "bees.home", "9", "safe.home", "1", "weights", "")
	if a.Code != 422 || a.field("weight.home") != "445 lb" {
		t.Error(a.Code)
	}
	a.has("more than the combs of this stack can hold", "choose another kind of hive")
	a = s.post("/start/feed", "strength", "2:1 by weight", "tank", "big", "mixer", "5 lb", "payload", "")
	if a.Code != 422 || a.field("tank") != "big" || a.field("mixer") != "5 lb" {
		t.Errorf("%d %s", a.Code, a.text())
	}
	if f := s.marked(); len(f) != 0 {
		t.Errorf("%d facts from forms that were not taken", len(f))
	}
}

func TestStartAsksBeforeItWritesOver(t *testing.T) {
	s := newSmallSite(t)
	a := s.post("/start/hives", "yards", "Creek: m1, c1", "stack", "lang10-deep x2", "feeder", "tray-2", "winter", "cold", "stop", "2026-10-01")
	if a.Code != 422 {
		t.Error(a.Code)
	}
	a.has("there is a hive m1 already")
	// The list of a book of long standing shows its hives by name.
	a = s.get("/start/hives")
	if got := a.field("yards"); got != "hill: h1, h2\nMill Lane: m1, m2, m3" {
		t.Errorf("%q", got)
	}
}

func TestStartSpeaksTheBrowsersLanguage(t *testing.T) {
	s := newSite(t, smallNow)
	r := httptest.NewRequest("GET", "/start", nil)
	r.Header.Set("Accept-Language", "es-MX,es;q=0.9")
	s.do(r).has("Unidades y lugar", "Siguiente")
	r = httptest.NewRequest("POST", "/start", strings.NewReader("units=us&winter=cold&place=&stop=1+oct"))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Accept-Language", "es-MX,es;q=0.9")
	if a := s.do(r); a.Code != 303 {
		t.Fatal(a.Code, a.text())
	}
	s.get("/start").has("Unidades y lugar")
}

func TestTheExampleStandsBesideTheBook(t *testing.T) {
	plain := newSite(t, smallNow)
	plain.get("/start").has("larder demo")
	if a := plain.post("/start/example"); a.Code != 404 {
		t.Errorf("%d without an example", a.Code)
	}
	s := newSiteWith(t, smallNow, Options{ExampleSeason: func() ([]season.Fact, time.Time, error) {
		return smallSeason(t), smallNow, nil
	}})
	s.get("/start").has("Try with the example season")
	s.done("/start/example")
	a := s.get("/short")
	a.has("m1", "invented", "Back to your own book")
	s.done("/units", "units", "metric", "back", "/") // goes into the example, not the book
	s.done("/start/own")
	if f := s.marked(); len(f) != 0 {
		t.Errorf("%d facts of the example are in the keeper's book", len(f))
	}
	s.get("/start").hasNot("Back to your own book")
}
