package web

import (
	"encoding/json"
	"net/http"
	"time"
)

// usualPatience is how long a reader waits for a page before he is shown how far
// the work is instead.
const usualPatience = 800 * time.Millisecond

type workingPage struct {
	Base
	Task    string
	Stage   string // message key of what is being done
	Done    int
	Of      int
	Stopped bool
	Found   bool // what was found so far can be had
	Loads   int  // of it
}

// far notes how far the task is.
func (p *workingPage) far(t *task) {
	if g := t.progress.Load(); g != nil {
		p.Stage, p.Done, p.Of = "working."+g.Stage, g.Done, g.Of
		p.Found, p.Loads = g.Found && t.enough != nil && !t.enough.Load(), g.Loads
	}
}

// Percent is how far the work is.
func (p *workingPage) Percent() int {
	if p.Of == 0 {
		return 0
	}
	return min(100, 100*p.Done/p.Of)
}

// slow shows how far the work is, with a way to stop it, when what a page needs
// is not there within patience; else the page. needs starts the work.
func (s *Server) slow(needs func(r *http.Request) []*task, page http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		late := time.NewTimer(s.patience)
		defer late.Stop()
		for _, t := range needs(r) {
			select {
			case <-t.ended:
			case <-late.C:
				s.showWorking(w, r, t, false)
				return
			case <-r.Context().Done():
				return
			}
		}
		page(w, r)
	}
}

func (s *Server) showWorking(w http.ResponseWriter, r *http.Request, t *task, stopped bool) {
	p := workingPage{Base: s.base(r, "working", "title.working"), Task: t.id, Stage: "working.begin", Stopped: stopped}
	if stopped {
		p.Title, p.Path = "title.stopped", ownPath(r.PostFormValue("back"))
	}
	p.far(t)
	w.Header().Set("Cache-Control", "no-store")
	s.show(w, http.StatusOK, "working", &p)
}

// howFar tells a page's script how far the work is.
func (s *Server) howFar(w http.ResponseWriter, r *http.Request) {
	p := workingPage{Base: s.base(r, "working", "title.working"), Stage: "working.begin"}
	t := s.house.task(r.PathValue("id"))
	if t != nil {
		p.far(t)
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	_ = json.NewEncoder(w).Encode(struct { // the reader may have gone
		Ended   bool   `json:"ended"`
		Percent int    `json:"percent"`
		Say     string `json:"say"`
		Found   string `json:"found,omitempty"` // what can be had already
	}{t == nil, p.Percent(), p.T(p.Stage, "Done", p.Done, "Of", p.Of), p.FoundSay()})
}

// FoundSay says what was found so far, "" when there is nothing to be had.
func (p *workingPage) FoundSay() string {
	if !p.Found {
		return ""
	}
	return p.T("working.found", "N", p.Loads)
}

// takeWork takes what was found so far for the answer.
func (s *Server) takeWork(w http.ResponseWriter, r *http.Request) {
	if t := s.house.task(r.PathValue("id")); t != nil && t.enough != nil {
		t.enough.Store(true)
	}
	http.Redirect(w, r, ownPath(r.PostFormValue("back")), http.StatusSeeOther)
}

// goOnPlanning lets go of what was worked out, so that a plan that was cut short
// is searched for to the end.
func (s *Server) goOnPlanning(w http.ResponseWriter, r *http.Request) {
	s.house.forgetEnded()
	http.Redirect(w, r, "/plan", http.StatusSeeOther)
}

// stopWork stops the work and says so. What was written down is untouched: the
// work only reads.
func (s *Server) stopWork(w http.ResponseWriter, r *http.Request) {
	t := s.house.task(r.PathValue("id"))
	if t == nil { // it came to its end first
		http.Redirect(w, r, ownPath(r.PostFormValue("back")), http.StatusSeeOther)
		return
	}
	t.stop.Store(true)
	s.showWorking(w, r, t, true)
}

// needsPlan starts the plan of the page: with what is left out and tried.
func (s *Server) needsPlan(r *http.Request) []*task {
	q := r.URL.Query()
	skip := leftOut(q["skip"])
	out := []*task{s.planTask(skip, nil)}
	if changes := s.tried(r); len(changes) > 0 {
		out = append(out, s.planTask(skip, changes))
	}
	return out
}
