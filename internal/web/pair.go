package web

import (
	"errors"
	"net/http"

	"larder/internal/access"
	"larder/internal/fault"
)

type pairPage struct {
	Base
	Code   string // as typed, or from the address
	Called string // as typed
	Is     string // this phone is paired already, under this name
	Many   bool   // several keepers' phones pair here
	Whose  string // the keeper's name, as typed or from the address
	Words  string // of the script, as JSON
}

// pair asks for the code and for a name for the phone. The code may stand in the
// address: so it does in the QR code of the desk's screen.
func (s *Server) pair(w http.ResponseWriter, r *http.Request) {
	p := s.pairPage(r)
	if code, ok := access.ReadCode(r.PathValue("code")); ok {
		p.Code = access.ShowCode(code)
	}
	if whose := r.URL.Query().Get("keeper"); p.Many && whose != "" {
		p.Whose = whose
	}
	s.show(w, http.StatusOK, "pair", p)
}

func (s *Server) pairPage(r *http.Request) *pairPage {
	v := s.visitorOf(r)
	p := &pairPage{Base: s.base(r, "pair", "title.pair")}
	p.Words, p.Many, p.Whose = p.phoneWords(), s.many != nil || s.options.Keeper != "", s.options.Called
	if v.phone != nil {
		p.Called = v.phone.Name
		if v.fate == access.Paired {
			p.Is = v.phone.Name
		}
	}
	return p
}

// savePair takes the phone in and goes to its round.
func (s *Server) savePair(w http.ResponseWriter, r *http.Request) {
	v := s.visitorOf(r)
	if s.options.Door == nil && s.many == nil {
		http.NotFound(w, r)
		return
	}
	token, phone, err := s.pairPhone(r, v.from)
	if err != nil {
		s.log.Warn("pairing failed", "from", v.from, "why", err)
		p := s.pairPage(r)
		if p.Many {
			p.Whose = r.PostFormValue("keeper")
		}
		p.Code, p.Called = r.PostFormValue("code"), r.PostFormValue("name")
		field := "code"
		var e *fault.Error
		if errors.As(err, &e) && (e.Kind == fault.Missing || e.Kind == fault.OutOfRange || e.Kind == fault.Conflict && e.Thing != "") {
			field = "name"
		}
		p.trouble(s.troubleOf(&p.Base, err, field))
		s.show(w, waiting(w, err), "pair", p)
		return
	}
	s.log.Info("paired", "from", v.from, "phone", phone.Name)
	if v.phone != nil && v.fate == access.Paired && s.many == nil { // the same phone anew, under another name: its old entry goes
		_, _ = s.options.Door.Revoke(v.phone.ID, phone.Actor(v.from))
	}
	giveToken(w, r, phoneCookie, token, access.PhoneLife)
	http.Redirect(w, r, "/round", http.StatusSeeOther)
}

// pairPhone takes in the phone the form names, and gives its token.
func (s *Server) pairPhone(r *http.Request, from string) (string, access.Phone, error) {
	code, name := r.PostFormValue("code"), r.PostFormValue("name")
	if s.many == nil {
		token, phone, err := s.options.Door.Pair(code, name, from)
		return forKeeper(s.options.Keeper, token), phone, err
	}
	return s.many.pair(r.Context(), r.PostFormValue("keeper"), code, name, from)
}
