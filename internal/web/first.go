package web

import (
	"errors"
	"net/http"

	"larder/internal/fault"
)

type firstPage struct {
	Base
	Code  string // as typed
	Open  bool   // a code of the console works now
	Plain bool   // the connection is not encrypted
}

// first asks for the code of the console and the owner's first password.
func (s *Server) first(w http.ResponseWriter, r *http.Request) {
	s.show(w, http.StatusOK, "first", s.firstPage(r))
}

func (s *Server) firstPage(r *http.Request) *firstPage {
	return &firstPage{Base: s.base(r, "first", "title.first"), Open: s.options.Door != nil && s.options.Door.FirstOffered(), Plain: !secure(r)}
}

// saveFirst sets it, and goes on to the login.
func (s *Server) saveFirst(w http.ResponseWriter, r *http.Request) {
	if s.options.Door == nil {
		http.NotFound(w, r)
		return
	}
	v := s.visitorOf(r)
	err := s.options.Door.SetFirst(r.PostFormValue("code"), r.PostFormValue("password"), v.from)
	if err != nil {
		p := s.firstPage(r)
		p.Code = r.PostFormValue("code")
		field := "password"
		var e *fault.Error
		if errors.As(err, &e) && e.Kind == fault.Conflict {
			field = "code"
		}
		p.trouble(s.troubleOf(&p.Base, err, field))
		s.show(w, waiting(w, err), "first", p)
		return
	}
	s.log.Info("first password set", "from", v.from)
	http.Redirect(w, r, "/login", http.StatusSeeOther)
}
