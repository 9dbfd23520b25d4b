package web

import (
	"net/http"

	"larder/internal/season"
	"larder/internal/units"
)

// undo takes back one act and says so; that too can be undone.
func (s *Server) undo(w http.ResponseWriter, r *http.Request) {
	act, err := s.house.undo(r.Context(), r.PostFormValue("act"))
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, r.PostFormValue("back"), act)
}

// setUnits switches units and language for all pages at once.
func (s *Server) setUnits(w http.ResponseWriter, r *http.Request) {
	var facts []season.Fact
	for field, key := range map[string]string{"units": "house.units", "language": "house.language", "decimal": "house.decimal"} {
		if v := r.PostFormValue(field); v != "" {
			facts = append(facts, s.house.fact(units.Moment{}, "", season.Setting{Key: key, Value: v}))
		}
	}
	act, err := s.house.append(r.Context(), "units", facts...)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, r.PostFormValue("back"), act)
}

// setTheme keeps light or dark on this device only.
func (s *Server) setTheme(w http.ResponseWriter, r *http.Request) {
	http.SetCookie(w, &http.Cookie{Name: "theme", Value: r.PostFormValue("theme"), Path: "/", MaxAge: 365 * 86400, HttpOnly: true, SameSite: http.SameSiteLaxMode})
	s.done(w, r, r.PostFormValue("back"), "")
}

type failPage struct {
	Base
	What Trouble
}

// fail shows a page that says what went wrong and how to go on.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	b := s.base(r, "fail", "title.fail")
	s.show(w, statusOf(err), "fail", &failPage{Base: b, What: s.troubleOf(&b, err, "")})
}
