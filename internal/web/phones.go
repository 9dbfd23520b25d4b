package web

import (
	"errors"
	"math"
	"net/http"
	"net/netip"
	"net/url"
	"slices"
	"strconv"
	"time"

	"larder/internal/access"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/sheet"
	"larder/internal/units"
)

// phonesPage answers: which phones are let in, how does another get in, and what
// works out in the yard?
type phonesPage struct {
	Base
	Lan       *Lan
	Can       bool // there is a place for the list at all
	Many      bool // the book is one of several keepers'
	Password  bool
	Addresses []string // as a phone opens them
	At        int      // the one in the code
	Code      string   // on offer, as it is typed; "" = none
	Till      units.Moment
	Open      string // what the QR code opens
	Typed     string // what is typed instead, before the code
	QR        codeImage
	For       string // the helper the code is for, "" = none by name
	Lends     bool   // the code is for a helper
	List      []phoneRow
	Helpers   []helperRow
	Logins    []loginRow
	Name      string // of a new helper, as typed
	Whose     Field
}

type helperRow struct {
	ID, Name string
	Added    units.Moment
}

type loginRow struct {
	ID, Name   string // "" = the owner
	From       string
	Made, Seen units.Moment
	Here       bool // this very login
}

type phoneRow struct {
	ID, Name     string
	Fate         string // key
	Paired, Seen units.Moment
	Revoked      units.Moment
	In           bool
	Lent         bool   // in a helper's hands
	Of           string // whose, if by name
}

// codeImage is a QR code as boxes on a ground of Side by Side modules.
type codeImage struct {
	Side  int
	Boxes []codeBox
}

type codeBox struct{ X, Y, W int }

// phones shows it.
func (s *Server) phones(w http.ResponseWriter, r *http.Request) {
	s.show(w, http.StatusOK, "phones", s.phonesPage(r))
}

func (s *Server) phonesPage(r *http.Request) *phonesPage {
	p := &phonesPage{Base: s.base(r, "phones", "title.phones"), Lan: s.options.Lan, Can: s.options.Door != nil, Many: s.options.Keeper != ""}
	if !p.Can {
		return p
	}
	d, v := s.options.Door, s.visitorOf(r)
	p.Password = d.HasPassword()
	names := map[string]string{}
	whose := []Option{{"", p.T("phones.whose.own")}}
	for _, h := range d.Helpers() {
		names[h.ID] = h.Name
		p.Helpers = append(p.Helpers, helperRow{h.ID, h.Name, s.moment(h.Added)})
		whose = append(whose, Option{h.ID, h.Name})
	}
	p.Whose = p.Choose("whose", "phones.whose", "", "phones.whose.hint", append(whose, Option{anyHelper, p.T("phones.whose.helper")}))
	for _, x := range d.Sessions() {
		p.Logins = append(p.Logins, loginRow{x.ID, x.Name, x.From, s.moment(x.Made), s.moment(x.Seen), x.ID != "" && x.ID == v.login})
	}
	for _, x := range d.Phones() {
		p.List = append(p.List, phoneRow{ID: x.ID, Name: x.Name, In: x.Fate == access.Paired, Fate: map[access.Fate]string{access.Paired: "phones.in", access.Expired: "phones.expired", access.Revoked: "phones.revoked"}[x.Fate],
			Paired: s.moment(x.Paired), Seen: s.moment(x.Seen), Revoked: s.moment(x.Revoked), Lent: x.For.Helper, Of: names[x.For.ID]})
	}
	if p.Lan != nil {
		p.Addresses = s.addressesFor(r)
		if code, hands, till := d.Offered(); code != "" && len(p.Addresses) > 0 {
			if n, err := strconv.Atoi(r.URL.Query().Get("at")); err == nil && n >= 0 && n < len(p.Addresses) {
				p.At = n
			}
			p.Code, p.Till, p.Open = access.ShowCode(code), s.moment(till), p.Addresses[p.At]+"/pair/"+code
			if s.options.Keeper != "" {
				p.Open += "?keeper=" + url.QueryEscape(s.options.Called)
			}
			p.Typed = p.Addresses[p.At] + "/pair"
			p.Lends, p.For = hands.Helper, names[hands.ID]
			p.QR = drawCode(p.Open)
		}
	}
	return p
}

// addressesFor gives how phones open us, first the way the owner came himself when
// he does not sit at this computer: behind a proxy, or in a container, the others
// may lead nowhere.
func (s *Server) addressesFor(r *http.Request) []string {
	list := s.options.Lan.Addresses()
	host := hostOf(r.Host)
	if a, err := netip.ParseAddr(host); s.visitorOf(r).local || host == "localhost" || err == nil && a.IsLoopback() {
		return list
	}
	own := "http://" + r.Host
	if secure(r) {
		own = "https://" + r.Host
	}
	return append([]string{own}, slices.DeleteFunc(slices.Clone(list), func(x string) bool { return x == own })...)
}

// anyHelper stands for a helper who has no login, in a form.
const anyHelper = "helper"

// addHelper lets a helper in.
func (s *Server) addHelper(w http.ResponseWriter, r *http.Request) {
	s.helperSaved(w, r, func(d *access.Door, by access.Actor) error {
		_, err := d.AddHelper(r.PostFormValue("name"), r.PostFormValue("password"), by)
		return err
	})
}

// helperPassword sets a helper's password anew.
func (s *Server) helperPassword(w http.ResponseWriter, r *http.Request) {
	s.helperSaved(w, r, func(d *access.Door, by access.Actor) error {
		_, err := d.SetHelperPassword(r.PathValue("id"), r.PostFormValue("password"), by)
		return err
	})
}

// removeHelper takes one off the list.
func (s *Server) removeHelper(w http.ResponseWriter, r *http.Request) {
	s.helperSaved(w, r, func(d *access.Door, by access.Actor) error {
		_, err := d.RemoveHelper(r.PathValue("id"), by)
		return err
	})
}

// endLogin ends one login.
func (s *Server) endLogin(w http.ResponseWriter, r *http.Request) {
	s.helperSaved(w, r, func(d *access.Door, by access.Actor) error { return d.EndSession(r.PathValue("id"), by) })
}

// helperSaved does one of these and goes back to the page, or shows what is wrong
// with what was typed; a password is never sent back.
func (s *Server) helperSaved(w http.ResponseWriter, r *http.Request, do func(*access.Door, access.Actor) error) {
	if s.options.Door == nil {
		http.NotFound(w, r)
		return
	}
	err := do(s.options.Door, s.visitorOf(r).actor())
	if err == nil {
		http.Redirect(w, r, "/house/phones#helpers", http.StatusSeeOther)
		return
	}
	if kind := fault.KindOf(err); kind == fault.NotFound || kind == fault.NoRoom || kind == fault.Damaged || kind == fault.Busy || kind == fault.Unreachable {
		s.fail(w, r, err)
		return
	}
	p := s.phonesPage(r)
	p.Name = r.PostFormValue("name")
	field := "helper-password"
	var e *fault.Error
	if id := r.PathValue("id"); id != "" {
		field = "password-" + id
	} else if errors.As(err, &e) && e.Thing != "password" {
		field = "helper-name"
	}
	p.trouble(s.troubleOf(&p.Base, err, field))
	s.show(w, http.StatusUnprocessableEntity, "phones", p)
}

// drawCode draws a QR code in whole modules, its quiet margin included.
func drawCode(text string) codeImage {
	b, err := sheet.Code(text, 1)
	if err != nil || len(b.Boxes) == 0 {
		return codeImage{} // too long for one: the code can be typed
	}
	module := b.Boxes[0].H
	whole := func(x float64) int { return int(math.Round(x / module)) }
	img := codeImage{Side: whole(1)}
	for _, x := range b.Boxes {
		img.Boxes = append(img.Boxes, codeBox{whole(x.X), whole(x.Y), whole(x.W)})
	}
	return img
}

// moment is a time in the keeper's zone; a time never set is none.
func (s *Server) moment(t time.Time) (m units.Moment) {
	if t.IsZero() {
		return m
	}
	s.house.view(func(st *season.State, _ units.Moment) {
		zone, _ := st.Settings.Location(time.LoadLocation) // UTC when unknown: House says so
		m = units.At(t.In(zone).Truncate(time.Minute))
	})
	return m
}

// offerCode makes a code for one phone.
func (s *Server) offerCode(w http.ResponseWriter, r *http.Request) {
	if s.options.Door == nil {
		http.NotFound(w, r)
		return
	}
	hands := access.Hands{ID: r.PostFormValue("whose")}
	if hands.ID == anyHelper {
		hands = access.Hands{Helper: true}
	}
	if _, _, err := s.options.Door.Offer(hands, s.visitorOf(r).actor()); err != nil {
		s.fail(w, r, err)
		return
	}
	s.log.Info("pairing code made", "from", s.visitorOf(r).from)
	http.Redirect(w, r, "/house/phones#pair", http.StatusSeeOther)
}

// revokePhone takes a phone off the list.
func (s *Server) revokePhone(w http.ResponseWriter, r *http.Request) {
	if s.options.Door == nil {
		http.NotFound(w, r)
		return
	}
	p, err := s.options.Door.Revoke(r.PathValue("id"), s.visitorOf(r).actor())
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.log.Info("phone revoked", "phone", p.Name, "from", s.visitorOf(r).from)
	http.Redirect(w, r, "/house/phones#list", http.StatusSeeOther)
}
