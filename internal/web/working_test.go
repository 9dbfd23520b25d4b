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
