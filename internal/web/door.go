package web

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"

	"larder/internal/access"
	"larder/internal/units"
)

// doorPage tells somebody why he is not let in, and how he can be.
type doorPage struct {
	Base
	Why    string // key of the sentence
	When   units.Moment
	Phone  string // its name, when it is known
	To     string // where he wanted to go
	Owner  bool   // the page is the owner's: a phone is not enough
	First  bool   // no password is set yet, and a code of the console works
	Posted bool   // something was typed that was not taken
	Words  string // of the script, as JSON
}

// showDoor shows it. A phone's entries stay where they are: the page says so and
// offers them as a file.
func (s *Server) showDoor(w http.ResponseWriter, r *http.Request, code int) {
	v := s.visitorOf(r)
	p := &doorPage{Base: s.base(r, "door", "title.door"), Why: "door.unknown", Owner: code == http.StatusForbidden,
		Posted: r.Method != http.MethodGet && r.Method != http.MethodHead}
	p.Words = p.phoneWords()
	p.To = loginFor(r)
	if v.phone != nil {
		p.Phone = v.phone.Name
	}
	p.First = s.options.Door != nil && s.options.Door.FirstOffered()
	switch {
	case p.Owner && v.lent():
		p.Why, p.Title = "door.lent", "title.door.owner"
	case p.Owner:
		p.Why, p.Title = "door.owner", "title.door.owner"
	case v.fate == access.Revoked:
		p.Why, p.When = "door.revoked", s.moment(v.phone.Revoked)
	case v.fate == access.Expired:
		p.Why = "door.expired"
	case v.ended:
		p.Why = "door.ended"
	}
	s.show(w, code, "door", p)
}

// loginFor gives the login that leads back to what was asked for, if that was a
// page.
func loginFor(r *http.Request) string {
	if r.Method != http.MethodGet || r.URL.Path == "/" {
		return "/login"
	}
	return "/login?to=" + url.QueryEscape(ownPath(r.URL.RequestURI()))
}

// phoneWords gives the words the outbox says on pages that are no round.
func (b *Base) phoneWords() string {
	all, out := b.yardWords(), map[string]string{}
	for k, v := range all {
		if strings.HasPrefix(k, "line.") || k == "save-file" || k == "memory" || k == "pair" {
			out[k] = v
		}
	}
	out["kept"] = b.T("door.kept")
	raw, err := json.Marshal(out)
	if err != nil {
		panic("web: " + err.Error()) // texts of ours
	}
	return string(raw)
}
