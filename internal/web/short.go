package web

import (
	"net/http"

	"larder/internal/season"
	"larder/internal/units"
)

type shortPage struct {
	Base
	Shorts []season.Short
	Sum    season.Totals
}

// short answers: which colonies lack stores, by how much, how sure?
func (s *Server) short(w http.ResponseWriter, r *http.Request) {
	p := shortPage{Base: s.base(r, "short", "title.short")}
	p.Shorts = s.shorts()
	p.Sum = season.Sum(p.Shorts)
	s.show(w, http.StatusOK, "short", &p)
}

// shorts judges all colonies, once for each state of the facts.
func (s *Server) shorts() []season.Short {
	return remember(s.house, "short", func(st *season.State, at units.Moment) []season.Short { return st.Short(at) })
}
