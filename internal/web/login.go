package web

import (
	"errors"
	"net/http"
	"strconv"
	"time"

	"larder/internal/access"
	"larder/internal/fault"
)

type loginPage struct {
	Base
	To    string // where he goes then
	Who   string // the name a helper typed
	Here  bool   // nothing is asked at this computer
	Done  bool   // he is logged in
	Help  string // as this helper
	Out   bool   // he has just logged out
	None  bool   // no password is set
	Plain bool   // the connection is not encrypted
	Many  bool   // several keepers sign in here
	Whose string // the keeper's name, as typed
	Own   bool   // his password can be changed here
	Set   bool   // it just was

	Forget bool // nobody is let in here now: copies of pages go off this device
}

// login asks the owner's password on another device than this computer.
func (s *Server) login(w http.ResponseWriter, r *http.Request) {
	p := s.loginPage(r)
	p.To, p.Out, p.Set = ownPath(r.URL.Query().Get("to")), r.URL.Query().Has("out"), r.URL.Query().Has("set")
	s.show(w, http.StatusOK, "login", p)
}

func (s *Server) loginPage(r *http.Request) *loginPage {
	v := s.visitorOf(r)
	return &loginPage{Base: s.base(r, "login", "title.login"), Here: v.local, Done: v.owner || v.helper != "", Help: v.helper, None: s.many == nil && (s.options.Door == nil || !s.options.Door.HasPassword()), Plain: !secure(r), Many: s.many != nil || s.options.Keeper != "", Whose: s.options.Called, Own: v.login != "", Forget: !v.in()}
}

// saveLogin lets him in, or says why not.
func (s *Server) saveLogin(w http.ResponseWriter, r *http.Request) {
	v := s.visitorOf(r)
	if s.options.Door == nil && s.many == nil {
		http.NotFound(w, r)
		return
	}
	to := ownPath(r.PostFormValue("to"))
	token, err := s.logIn(r, v.from)
	if err != nil {
		s.log.Warn("login failed", "from", v.from, "why", err)
		p := s.loginPage(r)
		p.To, p.Who = to, r.PostFormValue("name")
		if p.Many {
			p.Whose = r.PostFormValue("keeper")
		}
		p.trouble(s.troubleOf(&p.Base, err, "password"))
		s.show(w, waiting(w, err), "login", p)
		return
	}
	s.log.Info("login", "from", v.from)
	if s.many != nil {
		s.many.endOld(r, v.from)
	}
	if old := s.tokenOf(r, ownerCookie); old != "" && s.options.Door != nil { // a new login, a new token; the old one ends
		_ = s.options.Door.Logout(old, v.actor())
	}
	giveToken(w, r, ownerCookie, token, access.LoginLife)
	http.Redirect(w, r, to, http.StatusSeeOther)
}

// logIn lets in whom the form names, and gives the token.
func (s *Server) logIn(r *http.Request, from string) (string, error) {
	name, password := r.PostFormValue("name"), r.PostFormValue("password")
	if s.many == nil {
		token, err := s.options.Door.Login(name, password, from)
		return forKeeper(s.options.Keeper, token), err
	}
	return s.many.logIn(r.Context(), r.PostFormValue("keeper"), name, password, from)
}

// waiting gives the status of a refusal, and says when to try again.
func waiting(w http.ResponseWriter, err error) int {
	if wait := access.WaitOf(err); wait > 0 {
		w.Header().Set("Retry-After", strconv.Itoa(int(wait/time.Second)+1))
		return http.StatusTooManyRequests
	}
	var e *fault.Error
	if errors.As(err, &e) && e.Kind == fault.Conflict {
		return http.StatusUnprocessableEntity
	}
	return statusOf(err)
}

// changePassword sets the password of the one who is logged in here; this browser
// stays logged in, his others do not.
func (s *Server) changePassword(w http.ResponseWriter, r *http.Request) {
	v := s.visitorOf(r)
	if s.options.Door == nil || v.login == "" { // at the computer itself, or with a phone: there is none to change
		s.fail(w, r, fault.New(fault.NotFound, "", "nobody is logged in here, so there is no password to change").WithHint("log in first; on the computer at home: larder password"))
		return
	}
	token, err := s.options.Door.ChangePassword(s.tokenOf(r, ownerCookie), r.PostFormValue("now"), r.PostFormValue("next"), v.from)
	if err != nil {
		s.log.Warn("password not changed", "from", v.from, "why", err)
		p := s.loginPage(r)
		field := "next"
		var e *fault.Error
		if errors.As(err, &e) && e.Thing != "password" {
			field = "now"
		}
		p.trouble(s.troubleOf(&p.Base, err, field))
		code := waiting(w, err)
		if fault.Is(err, fault.OutOfRange) || fault.Is(err, fault.Unsafe) {
			code = http.StatusUnprocessableEntity
		}
		s.show(w, code, "login", p)
		return
	}
	s.log.Info("password changed", "from", v.from)
	giveToken(w, r, ownerCookie, forKeeper(s.options.Keeper, token), access.LoginLife)
	http.Redirect(w, r, "/login?set=1", http.StatusSeeOther)
}

// logout ends his login here.
func (s *Server) logout(w http.ResponseWriter, r *http.Request) {
	if t := s.tokenOf(r, ownerCookie); t != "" && s.options.Door != nil {
		if err := s.options.Door.Logout(t, s.visitorOf(r).actor()); err != nil {
			s.fail(w, r, err)
			return
		}
		giveToken(w, r, ownerCookie, "", 0)
		s.log.Info("logout", "from", s.visitorOf(r).from)
	}
	http.Redirect(w, r, "/login?out=1", http.StatusSeeOther)
}
