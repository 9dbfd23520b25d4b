package web

import (
	"net/http"

	"larder/internal/season"
	"larder/internal/units"
)

// reviewRows is the most colonies the page lists one by one.
const reviewRows = 100

type reviewPage struct {
	Base
	season.Review
	Shown []season.Reviewed
	More  int
	Empty bool
}

// review answers: what was planned, given, taken; what died with which stores;
// what did we learn; how much sugar next autumn?
func (s *Server) review(w http.ResponseWriter, r *http.Request) {
	p := reviewPage{Base: s.base(r, "review", "title.review")}
	p.Review = remember(s.house, "review", func(st *season.State, at units.Moment) season.Review { return st.Review(at) })
	p.Shown = p.Colonies
	if len(p.Shown) > reviewRows && r.URL.Query().Get("all") == "" {
		p.Shown, p.More = p.Shown[:reviewRows], len(p.Shown)-reviewRows
	}
	p.Empty = p.All.Given == 0 && p.All.Solid == 0 && p.All.Dead == 0 && p.All.Planned == 0
	s.show(w, http.StatusOK, "review", &p)
}

// reviewList is one of its tables.
type reviewList struct {
	*reviewPage
	Head, Col string
	Rows      []season.Reviewed
}

// List makes a table of rows.
func (p *reviewPage) List(rows []season.Reviewed, head, col string) reviewList {
	return reviewList{p, head, col, rows}
}
