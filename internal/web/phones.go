package web

import (
	"math"
	"net/http"
	"strconv"
	"time"

	"larder/internal/access"
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
	Password  bool
	Addresses []string // as a phone opens them
	At        int      // the one in the code
	Code      string   // on offer, as it is typed; "" = none
	Till      units.Moment
	Open      string // what the QR code opens
	Typed     string // what is typed instead, before the code
	QR        codeImage
	List      []phoneRow
}

type phoneRow struct {
	ID, Name     string
	Fate         string // key
	Paired, Seen units.Moment
	Revoked      units.Moment
	In           bool
}

// codeImage is a QR code as boxes on a ground of Side by Side modules.
type codeImage struct {
	Side  int
	Boxes []codeBox
}

type codeBox struct{ X, Y, W int }

// phones shows it.
func (s *Server) phones(w http.ResponseWriter, r *http.Request) {
	p := &phonesPage{Base: s.base(r, "phones", "title.phones"), Lan: s.options.Lan, Can: s.options.Door != nil}
	if !p.Can {
		s.show(w, http.StatusOK, "phones", p)
		return
	}
	d := s.options.Door
	p.Password = d.HasPassword()
	for _, x := range d.Phones() {
		p.List = append(p.List, phoneRow{ID: x.ID, Name: x.Name, In: x.Fate == access.Paired, Fate: map[access.Fate]string{access.Paired: "phones.in", access.Expired: "phones.expired", access.Revoked: "phones.revoked"}[x.Fate],
			Paired: s.moment(x.Paired), Seen: s.moment(x.Seen), Revoked: s.moment(x.Revoked)})
	}
	if p.Lan != nil {
		p.Addresses = p.Lan.Addresses()
		if code, till := d.Offered(); code != "" && len(p.Addresses) > 0 {
			if n, err := strconv.Atoi(r.URL.Query().Get("at")); err == nil && n >= 0 && n < len(p.Addresses) {
				p.At = n
			}
			p.Code, p.Till, p.Open = access.ShowCode(code), s.moment(till), p.Addresses[p.At]+"/pair/"+code
			p.Typed = p.Addresses[p.At] + "/pair"
			p.QR = drawCode(p.Open)
		}
	}
	s.show(w, http.StatusOK, "phones", p)
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
	if _, _, err := s.options.Door.Offer(); err != nil {
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
	p, err := s.options.Door.Revoke(r.PathValue("id"))
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.log.Info("phone revoked", "phone", p.Name, "from", s.visitorOf(r).from)
	http.Redirect(w, r, "/house/phones#list", http.StatusSeeOther)
}
