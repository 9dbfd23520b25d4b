package web

import "net/http"

// A keeper who opens the screens by a click sees no console: when his book cannot
// be opened, a page says why and what to do, until it can.

type shutPage struct {
	Base
	What Trouble
}

// shutRoutes are those of a server whose book is not open: every page is the one
// that says so, but for the manual. No book is behind them, so they ask nobody who
// he is.
func (s *Server) shutRoutes() http.Handler {
	m := http.NewServeMux()
	s.bookless(m)
	m.HandleFunc("/", s.showShut)
	return m
}

// showShut answers as a server that is out of work for now: what a phone sends it
// keeps, and sends again. The language chosen is in the book; the browser's has to do.
func (s *Server) showShut(w http.ResponseWriter, r *http.Request) {
	b := s.base(r, "shut", "title.shut")
	if asksSpanish(r) {
		b.Lang, b.S.Lang = "es", "es"
	}
	w.Header().Set("Retry-After", "30")
	s.show(w, http.StatusServiceUnavailable, "shut", &shutPage{Base: b, What: s.troubleOf(&b, s.options.Shut, "")})
}
