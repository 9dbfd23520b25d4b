package web

import (
	"net/http"
	"strings"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

// shedPage answers: what is on hand, what is used first, is it enough?
type shedPage struct {
	Base
	Shed   season.Shed
	Mixed  season.MixedStore
	Buy    season.ToBuy
	Plan   bool
	Supers []season.SuperFlag
	Items  []string
	Typed  map[string]string
	Open   string // the form that stands open: "bought", "handled", "" = none
}

// boughtFields and handledFields are the boxes of the two forms.
var (
	boughtFields  = []string{"item", "goods", "lot", "much", "sack", "price", "best_before", "supplier", "day", "note"}
	handledFields = []string{"what", "of", "of_lot", "amount", "kept", "done_day", "done_note"}
)

// Box is one box of the forms.
func (p *shedPage) Box(name, class string) Field {
	f := p.Field(name, "shed."+name, p.Typed[name], "", class)
	if name == "item" || name == "of" {
		f.List = "items"
	}
	return f
}

// GoodsBox is the sort of what was bought.
func (p *shedPage) GoodsBox() Field {
	o := []Option{{"", p.T("shed.goods.words")}}
	for _, g := range ledger.AllGoods() {
		o = append(o, Option{string(g), p.T("goods." + string(g))})
	}
	return p.Choose("goods", "shed.goods", p.Typed["goods"], "", o)
}

// WhatBox is what was done with something.
func (p *shedPage) WhatBox() Field {
	var o []Option
	for _, h := range ledger.Happenings() {
		o = append(o, Option{string(h), p.T("happening." + string(h))})
	}
	return p.Choose("what", "shed.what", p.Typed["what"], "", o)
}

// Much says an amount of stock.
func (b *Base) Much(q ledger.Qty, liquid bool) string {
	if liquid {
		return b.S.Volume(q.Volume())
	}
	return b.S.MassSmall(q.Mass())
}

// ItemName says what a lot is of.
func (b *Base) ItemName(item string, g ledger.Goods) string {
	if g == ledger.Mixed {
		return b.T("goods.mixed")
	}
	return item
}

// LotSays says what is to be known of a lot before it is used.
func (p *shedPage) LotSays(l season.ShedLot) string {
	switch {
	case l.OnHand < 0:
		return p.T("shed.below")
	case l.Past:
		return p.T("shed.past", "Day", p.S.DayYear(l.UseBy))
	case l.Soon:
		return p.T("shed.soon")
	case l.First:
		return p.T("shed.first")
	}
	return ""
}

// Says puts a flagged hive into words.
func (p *shedPage) Says(x season.SuperFlag) []feeding.Reason { return x.SuperSays() }

// Empty tells whether nothing is known of the shed.
func (p *shedPage) Empty() bool { return len(p.Shed.Items) == 0 }

// shed shows the stock.
func (s *Server) shed(w http.ResponseWriter, r *http.Request) {
	p := s.shedPageOf(r)
	if p.Empty() {
		p.Open = "bought"
	}
	s.show(w, http.StatusOK, "shed", p)
}

func (s *Server) shedPageOf(r *http.Request) *shedPage {
	p := &shedPage{Base: s.base(r, "shed", "title.shed"), Typed: map[string]string{}}
	for _, k := range []string{"of", "of_lot", "what"} {
		if p.Typed[k] = r.URL.Query().Get(k); p.Typed[k] != "" {
			p.Open = "handled"
		}
	}
	p.Typed["day"], p.Typed["done_day"] = p.Facts.Day().String(), p.Facts.Day().String()
	plan, err := s.planFor(nil, nil)
	p.Plan = err == nil && plan != nil
	s.house.view(func(st *season.State, at units.Moment) {
		p.Shed = st.Shed(at)
		p.Mixed = st.MixedStore(at)
		if p.Plan {
			p.Buy = st.ToBuy(plan, 0, at)
		} else {
			p.Buy = st.ToBuy(nil, 0, at)
		}
		p.Supers = st.SupersOnFed(at)
		p.Items = st.Items()
	})
	return p
}

// take takes over what was typed.
func (p *shedPage) take(r *http.Request, fields []string) {
	for _, k := range fields {
		p.Typed[k] = strings.TrimSpace(r.PostForm.Get(k))
	}
}

// dayIn reads a day that is not still to come; today is now (the zero Moment).
func (s *Server) dayIn(b *Base, text, field string) units.Moment {
	d, err := season.ReadDay(text, season.OrderNotTold, b.Facts.Day())
	if err == nil && d > b.Facts.Day() {
		err = fault.New(fault.OutOfRange, "", "this day is still to come")
	}
	if err != nil {
		b.trouble(s.troubleOf(b, err, field))
		return units.Moment{}
	}
	if d == b.Facts.Day() {
		return units.Moment{}
	}
	return units.OnDay(d)
}

// muchIn reads a weight or a volume; a bare number is a weight in the keeper's
// unit.
func muchIn(text string, s units.Style) (m units.Entered[units.Mass], v units.Entered[units.Volume], err error) {
	m, err = units.EnterMassIn(text, s.MassCol().Unit, s.Locale())
	if err == nil {
		return m, v, nil
	}
	if v, e := units.EnterVolumeIn(text, s.VolumeCol().Unit, s.Locale()); e == nil {
		return units.Entered[units.Mass]{}, v, nil
	}
	return units.Entered[units.Mass]{}, v, err
}

// saveBought writes a delivery down.
func (s *Server) saveBought(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	p := s.shedPageOf(r)
	p.Open = "bought"
	p.take(r, boughtFields)
	bad := func(field string, err error) { p.trouble(s.troubleOf(&p.Base, err, field)) }
	b := ledger.Purchase{Item: p.Typed["item"], Lot: p.Typed["lot"], Goods: ledger.Goods(p.Typed["goods"]), Supplier: p.Typed["supplier"], Note: p.Typed["note"]}
	seen := s.dayIn(&p.Base, p.Typed["day"], "day")
	var err error
	if b.Item == "" {
		bad("item", fault.New(fault.Missing, "", "it is not said what was bought").WithHint("white sugar, fondant, the name on the product"))
	}
	if b.Mass, b.Volume, err = muchIn(p.Typed["much"], p.S); err != nil {
		bad("much", err)
	}
	if t := p.Typed["sack"]; t != "" {
		if b.Sack, err = units.EnterMassIn(t, p.S.MassCol().Unit, p.S.Locale()); err != nil {
			bad("sack", err)
		}
	}
	if t := p.Typed["price"]; t != "" {
		currency := ""
		s.house.view(func(st *season.State, _ units.Moment) { currency = st.Settings.Currency })
		if currency == "" {
			b.Price, err = units.ParseMoney(t, p.S.Locale())
		} else {
			b.Price, err = units.ParseMoneyIn(t, currency, p.S.Locale())
		}
		if err != nil {
			bad("price", err)
		}
	}
	if t := p.Typed["best_before"]; t != "" {
		if b.BestBefore, err = season.ReadDay(t, season.OrderNotTold, p.Facts.Day()); err != nil {
			bad("best_before", err)
		}
	}
	s.keepShed(w, r, p, "bought", "much", seen, b)
}

// saveHandled writes down what was done with a lot or a batch.
func (s *Server) saveHandled(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	p := s.shedPageOf(r)
	p.Open = "handled"
	p.take(r, handledFields)
	bad := func(field string, err error) { p.trouble(s.troubleOf(&p.Base, err, field)) }
	h := ledger.Handled{What: ledger.Happening(p.Typed["what"]), Item: p.Typed["of"], Lot: p.Typed["of_lot"], Kept: p.Typed["kept"], Note: p.Typed["done_note"]}
	seen := s.dayIn(&p.Base, p.Typed["done_day"], "done_day")
	s.house.view(func(st *season.State, _ units.Moment) {
		if _, ok := st.Batch(h.Item); ok { // a batch is called by its name
			h.Batch, h.Item, h.Lot = h.Item, "", ""
		}
	})
	if h.Item == "" && h.Batch == "" {
		bad("of", fault.New(fault.Missing, "", "it is not said what this was done with").WithHint("the item that was bought, or the batch that was mixed"))
	}
	if t := p.Typed["amount"]; t != "" || h.What != ledger.Opened {
		var err error
		if h.Mass, h.Volume, err = muchIn(t, p.S); err != nil {
			bad("amount", err)
		}
		if h.Batch != "" && err == nil && h.Volume.IsZero() { // syrup is counted by volume: a bare number too
			h.Mass = units.Entered[units.Mass]{}
			if h.Volume, err = units.EnterVolumeIn(t, p.S.VolumeCol().Unit, p.S.Locale()); err != nil {
				bad("amount", err)
			}
		}
	}
	s.keepShed(w, r, p, "handled", "amount", seen, h)
}

// keepShed keeps one fact of the shed, or shows the form again.
func (s *Server) keepShed(w http.ResponseWriter, r *http.Request, p *shedPage, says, field string, seen units.Moment, body any) {
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, "shed", p)
		return
	}
	act, err := s.house.append(r.Context(), says, s.house.fact(seen, "", body))
	if err != nil {
		p.trouble(s.troubleOf(&p.Base, err, field))
		s.show(w, statusOf(err), "shed", p)
		return
	}
	s.done(w, r, "/shed", act)
}
