package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"

	"larder/internal/fault"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

// rightPage puts one entry of the log right.
type rightPage struct {
	Base
	Gift    season.Gift
	was     season.Fact // as it was written down
	Former  []season.Gift
	Typed   map[string]string
	Unit    string
	Batches []ledger.Batch
	Lots    []season.ShedLot
	Hives   []string
}

// Box is one box of the form.
func (p *rightPage) Box(name, class string) Field {
	return p.Field(name, "right."+name, p.Typed[name], "", class)
}

// Amount is the box of the amount, with its unit.
func (p *rightPage) Amount() Field {
	f := p.Field("amount", "right.amount", p.Typed["amount"], "", "short 0")
	f.Label = p.T("right.amount", "Unit", p.Unit)
	return f
}

// WhyBox is the choice of why it was not fed.
func (p *rightPage) WhyBox() Field {
	var o []Option
	for _, w := range season.NotFedWhys() {
		o = append(o, Option{w, p.T("notfed." + w)})
	}
	return p.Choose("why", "right.why", p.Typed["why"], "", o)
}

// BatchBox is the choice of the batch.
func (p *rightPage) BatchBox() Field {
	o := []Option{{"", p.T("given.nobatch")}}
	for _, b := range p.Batches {
		o = append(o, Option{b.ID, b.ID + ", " + p.S.Strength(b.Strength)})
	}
	return p.Choose("batch", "right.batch", p.Typed["batch"], "", o)
}

// HasLot tells whether it was given from a lot that was bought.
func (p *rightPage) HasLot() bool {
	return p.Gift.Kind == season.GiftGiven && p.Gift.Feed != ledger.Syrup && p.Gift.Feed != ledger.Comb
}

// rightPageOf finds the entry that the address names.
func (s *Server) rightPageOf(r *http.Request) (*rightPage, error) {
	p := &rightPage{Base: s.base(r, "given-right", "title.right"), Typed: map[string]string{}}
	id, err := season.ParseID(r.PathValue("id"))
	gone := fault.New(fault.NotFound, "", "this entry is no longer in the log").WithHint("it was struck or put right; Given and taken lists what counts")
	if err != nil {
		return nil, gone
	}
	ok := false
	s.house.view(func(st *season.State, at units.Moment) {
		p.Gift, ok = st.Gift(id, at)
		p.Batches = st.Batches()
		p.Lots = st.LotsFor(p.Gift.Feed, at)
		slices.Reverse(p.Batches)
		p.Former = s.house.journal.Former(id)
		p.was, _ = s.house.journal.Fact(id)
		for _, c := range st.Colonies() {
			p.Hives = append(p.Hives, c.ID)
		}
	})
	if !ok {
		return nil, gone
	}
	if err := s.visitorOf(r).mayTakeBack(p.was); err != nil {
		return nil, err
	}
	g := &p.Gift
	amount := g.Volume.String()
	if g.Kind == season.GiftGiven && g.Feed != ledger.Syrup {
		amount = g.Mass.String()
		if g.Mass.As == "" {
			amount = p.S.Amount(g.Mass)
		}
	} else if g.Volume.As == "" {
		amount = p.S.VolumeSmall(g.Volume.Q)
	}
	_, p.Unit, _ = strings.Cut(amount, " ") // a number alone means the unit that stands in the box
	p.Typed = map[string]string{"hive": g.Colony, "day": g.Seen.Day().String(), "amount": amount, "batch": g.Batch, "lot": g.Lot, "from": g.From, "why": g.Why, "note": g.Note, "plan": g.Plan}
	return p, nil
}

// right shows the form that puts an entry right.
func (s *Server) right(w http.ResponseWriter, r *http.Request) {
	p, err := s.rightPageOf(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.show(w, http.StatusOK, "given-right", p)
}

// saveRight keeps a later fact in place of the entry. What was wrong stays
// readable.
func (s *Server) saveRight(w http.ResponseWriter, r *http.Request) {
	p, err := s.rightPageOf(r)
	if err == nil {
		err = r.ParseForm()
	}
	if err != nil {
		s.fail(w, r, err)
		return
	}
	for _, k := range []string{"hive", "day", "amount", "batch", "lot", "from", "why", "note"} {
		if v, ok := r.PostForm[k]; ok {
			p.Typed[k] = strings.TrimSpace(v[0])
		}
	}
	seen, body := s.righted(p)
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, "given-right", p)
		return
	}
	f := s.house.fact(seen, "", body)
	f.Replaces = p.Gift.Fact
	act, err := s.house.append(r.Context(), "right", f)
	if err != nil {
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, "amount"))
		s.show(w, statusOf(err), "given-right", p)
		return
	}
	s.done(w, r, "/given?"+url.Values{"hive": {p.Typed["hive"]}}.Encode(), act)
}

// righted makes the entry as it should have been; what is wrong goes into the
// page's trouble.
func (s *Server) righted(p *rightPage) (units.Moment, any) {
	t, g := p.Typed, &p.Gift
	bad := func(field string, err error) { p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, field)) }
	if !slices.Contains(p.Hives, t["hive"]) {
		bad("hive", fault.Newf(fault.NotFound, "", "there is no hive %s", t["hive"]).WithHint("Yards and hives lists those there are"))
	}
	seen := g.Seen
	if d, err := season.ReadDay(t["day"], season.OrderNotTold, p.Facts.Day()); err != nil {
		bad("day", err)
	} else if d > p.Facts.Day() {
		bad("day", fault.New(fault.OutOfRange, "", "this day is still to come"))
	} else if d != seen.Day() {
		seen = units.OnDay(d)
	}
	l := p.S.Locale()
	volume := func() units.Entered[units.Volume] {
		v, err := units.EnterVolumeIn(t["amount"], p.Unit, l)
		if err != nil {
			bad("amount", err)
		}
		return v
	}
	switch g.Kind {
	case season.GiftLeft:
		return seen, ledger.Left{Colony: t["hive"], Volume: volume(), Note: t["note"]}
	case season.GiftTaken:
		return seen, ledger.Taken{Colony: t["hive"], Volume: volume(), Note: t["note"]}
	case season.GiftNotFed:
		return seen, ledger.NotFed{Colony: t["hive"], Why: t["why"], Plan: g.Plan, Note: t["note"]}
	}
	out, _ := p.was.Body.(ledger.Given) // what the form does not show stays as it was
	out.Colony, out.Note = t["hive"], t["note"]
	if g.Feed == ledger.Syrup {
		out.Volume, out.Batch = volume(), t["batch"]
		return seen, out
	}
	m, err := units.EnterMassIn(t["amount"], p.Unit, l)
	if err != nil {
		bad("amount", err)
	}
	out.Mass = m
	if g.Feed == ledger.Comb {
		out.From = t["from"]
	} else {
		out.Lot = t["lot"]
	}
	return seen, out
}

// strikeGift takes an entry out of the account; it stays readable.
func (s *Server) strikeGift(w http.ResponseWriter, r *http.Request) {
	p, err := s.rightPageOf(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	why := strings.TrimSpace(r.PostFormValue("because"))
	strike := func(id season.ID) season.Fact {
		return s.house.fact(units.Moment{}, "", season.Strike{Fact: id, Why: why})
	}
	facts := []season.Fact{strike(p.Gift.Fact)}
	for _, g := range p.Former { // else what it had put right would count again
		facts = append(facts, strike(g.Fact))
	}
	act, err := s.house.append(r.Context(), "struck", facts...)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/given?"+url.Values{"hive": {p.Gift.Colony}}.Encode(), act)
}
