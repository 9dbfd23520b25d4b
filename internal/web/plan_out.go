package web

import (
	"encoding/json"
	"net/http"

	"larder/internal/season"
	"larder/internal/units"
)

// planOut freezes the plan as a fact: it is taken out to the yard.
func (s *Server) planOut(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	skip := map[string]bool{}
	for _, id := range r.PostForm["skip"] {
		skip[id] = true
	}
	act, err := s.takeOut(r, skip)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/plan", act)
}

// takeOut freezes the plan as it stands. It gives the act.
func (s *Server) takeOut(r *http.Request, skip map[string]bool) (string, error) {
	p, err := s.planFor(skip, nil)
	if err != nil {
		return "", err
	}
	b := s.base(r, "plan", "title.plan")
	doc, err := p.Doc(b.Facts, b.S)
	if err != nil {
		return "", err
	}
	content, err := json.Marshal(doc)
	if err != nil {
		return "", err
	}
	f := s.house.fact(units.Moment{}, "", season.PlanOut{Content: content})
	f.Body = season.PlanOut{Plan: f.ID.String(), Content: content}
	return s.house.append(r.Context(), "plan-out", f)
}
