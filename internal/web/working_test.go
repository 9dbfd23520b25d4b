package web

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"larder/internal/season"
)

// TestLongWorkIsShownAndStopped holds a plan up: the reader is told how far it
// is, can write meanwhile, and can stop it; asked again it is worked out again.
func TestLongWorkIsShownAndStopped(t *testing.T) {
	s := newExampleSite(t)
	_, act, _ := strings.Cut(s.done("/yards/mill/look", "safe", "yes"), "done=")
	begun, goOn := make(chan struct{}, 10), make(chan struct{})
	s.srv.patience = 20 * time.Millisecond
	s.srv.options.Held = func(look season.Watch) {
		look(season.Progress{Stage: "plan", Done: 3, Of: 12})
		begun <- struct{}{}
		<-goOn
	}
	a := s.get("/plan")
	<-begun
	a.has("Working it out", "Stop this")
	_, rest, _ := strings.Cut(a.Body, `data-task="`)
	id, _, _ := strings.Cut(rest, `"`)
	if far := s.get("/working/" + id).Body; !strings.Contains(far, `"ended":false`) || !strings.Contains(far, `"percent":25`) || !strings.Contains(far, "3 of about 12") {
		t.Errorf("told %s", far)
	}
	// Another reader waits for the same work, and writing is not held up by it.
	if a := s.get("/plan"); !strings.Contains(a.Body, id) {
		t.Error("the same plan is worked out twice")
	}
	s.done("/undo", "act", act, "back", "/plan")
	s.get("/yards").has("Mill")
	a = s.post("/working/"+id+"/stop", "back", "/plan")
	a.has("Nothing was changed", "Work it out again")
	if a.Code != http.StatusOK || !strings.Contains(a.Body, `href="/plan"`) {
		t.Errorf("stopping answers %d %s", a.Code, a.text())
	}
	goOn <- struct{}{}
	for s.srv.house.task(id) != nil {
		time.Sleep(time.Millisecond)
	}
	// Stopped work leaves nothing behind: the next to ask gets the plan.
	close(goOn)
	s.srv.patience = time.Minute
	a = s.get("/plan")
	a.hasNot("Working it out", "stopped")
	a.has("Load 1")
	if to := s.done("/working/"+id+"/stop", "back", "//elsewhere"); to != "/" {
		t.Errorf("stopping what has ended leads to %q", to)
	}
	if far := s.get("/working/" + id).Body; !strings.Contains(far, `"ended":true`) {
		t.Errorf("told %s", far)
	}
}

// TestPlanFoundSoFarIsTaken: while the plan is searched for, the page offers what
// was found so far; taken, the plan says that it was cut short, and it can be
// searched on to the end.
func TestPlanFoundSoFarIsTaken(t *testing.T) {
	s := newExampleSite(t)
	begun, goOn := make(chan struct{}, 10), make(chan struct{})
	s.srv.patience = 20 * time.Millisecond
	found := false
	s.srv.options.Held = func(look season.Watch) {
		look(season.Progress{Stage: "plan", Done: 3, Of: 12, Found: found, Loads: 7})
		begun <- struct{}{}
		<-goOn
	}
	a := s.get("/plan")
	<-begun
	_, rest, _ := strings.Cut(a.Body, `data-task="`)
	id, _, _ := strings.Cut(rest, `"`)
	if !strings.Contains(a.Body, `id="found" method="post" action="/working/`+id+`/take" hidden`) {
		t.Error("a plan is offered before there is one")
	}
	s.srv.house.task(id).look(season.Progress{Stage: "plan", Done: 4, Of: 12, Found: true, Loads: 7})
	if far := s.get("/working/" + id).Body; !strings.Contains(far, "a plan of 7 loads") {
		t.Errorf("told %s", far)
	}
	a = s.get("/plan")
	a.has("Found so far: a plan of 7 loads", "Take the plan found so far")
	if strings.Contains(a.Body, `/take" hidden`) {
		t.Error("what was found is hidden")
	}
	if to := s.done("/working/"+id+"/take", "back", "/plan"); to != "/plan" {
		t.Errorf("taking leads to %q", to)
	}
	close(goOn)
	s.srv.patience = time.Minute
	s.get("/plan").has("stopped when asked for, after", "steps of the search", "Search on to the end", "Load 1")
	p, err := s.srv.planFor(nil, nil)
	if err != nil || !p.Cut || len(p.Loads) == 0 {
		t.Fatal(err, p)
	}
	cut := p.Iterations
	if to := s.done("/plan/whole"); to != "/plan" {
		t.Errorf("searching on leads to %q", to)
	}
	s.get("/plan").hasNot("stopped when asked for", "Search on to the end")
	if p, err = s.srv.planFor(nil, nil); err != nil || p.Cut || p.Iterations <= cut {
		t.Errorf("%v: after %d steps, cut after %d", err, p.Iterations, cut)
	}
}
