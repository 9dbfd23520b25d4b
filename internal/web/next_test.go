package web

import (
	"strings"
	"testing"
	"time"

	"larder/internal/units"
)

func TestNextJobs(t *testing.T) {
	s := newSmallSite(t)
	a := s.get("/")
	a.has("Weigh or heft 1 hive", "hill", "Sun 20 Sep", "Do this", "Tell your prices")
	if l := a.links(); !has(l, "/readings?yard=hill") || !has(l, "/house#price.sugar_per_kg") {
		t.Errorf("links: %v", l)
	}
	// First what gets too late first.
	text := a.text()
	if i, j := strings.Index(text, "Mix "), strings.Index(text, "Weigh or heft"); i < 0 || j < 0 || i > j {
		t.Errorf("order: %s", text)
	}
	s.done("/units", "language", "es", "back", "/")
	s.get("/").has("Pesar o tantear 1 colmena", "Hacer esto")
}

func TestNextJobsOfTheExample(t *testing.T) {
	a := newExampleSite(t).get("/")
	if n := strings.Count(a.text(), "Do this"); n == 0 || n > nextRows {
		t.Errorf("%d rows", n)
	}
}

func TestNextJobsWithoutATank(t *testing.T) {
	s := newSmallSite(t)
	if _, err := s.srv.write(t.Context(), "units", []any{setting("rig.tank", "")}); err != nil {
		t.Fatal(err)
	}
	s.get("/").has("There is no plan yet", "Tell what the tank holds")
}

func TestAnEmptyBookBeginsAtTheStart(t *testing.T) {
	s := newSite(t, smallNow)
	r := s.do(request("GET", "/"))
	if r.Code != 303 || r.Head.Get("Location") != "/start" {
		t.Errorf("%d to %q", r.Code, r.Head.Get("Location"))
	}
}

// In winter the list of jobs has what the winter watch presses for.
func TestNextJobsInWinter(t *testing.T) {
	s := newExampleSiteOn(t, units.DayOf(2015, time.December, 15))
	a := s.get("/?all=1")
	a.has("run low: emergency feed (", "Look on the next mild day")
	if !has(a.links(), "/winter") && !strings.Contains(strings.Join(a.links(), " "), "/winter?yard=") {
		t.Errorf("links: %v", a.links())
	}
	newExampleSite(t).get("/?all=1").hasNot("emergency feed")
}
