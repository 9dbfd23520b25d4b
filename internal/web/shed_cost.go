package web

import (
	"net/http"
	"strings"

	"larder/internal/season"
	"larder/internal/syrup"
	"larder/internal/units"
)

// costPage is what feeding cost.
type costPage struct {
	Base
	Typed    map[string]string
	Costs    season.Costs
	Compared []season.Compared
}

// Box is one box of the form.
func (p *costPage) Box(name, class string) Field {
	return p.Field(name, "cost."+name, p.Typed[name], "", class)
}

// KindBox is the kind of sugar offered.
func (p *costPage) KindBox() Field {
	o := []Option{{"", p.T("cost.kind.none")}}
	for _, f := range syrup.Foods() {
		o = append(o, Option{string(f.Kind), p.T("sugar." + string(f.Kind))})
	}
	return p.Choose("kind", "cost.kind", p.Typed["kind"], "", o)
}

// PerUnit is money for the keeper's unit of stores.
func (p *costPage) PerUnit(m units.Money) string { return p.S.Money(season.PerUnit(m, p.S)) }

// Line makes the cells of one line.
func (p *costPage) Line(l season.CostLine) []string {
	return []string{p.S.Volume(l.Syrup), p.S.Money(l.Feed), p.S.Money(l.Road), p.S.Money(l.Work), p.S.Money(l.Total), p.PerUnit(l.PerKg)}
}

// Heads are the heads of the cells of a line.
func (p *costPage) Heads() []string {
	return []string{p.T("cost.syrup"), p.T("cost.feed"), p.T("cost.road"), p.T("cost.work"), p.T("cost.total"), p.T("cost.per", "Unit", p.S.MassCol().Unit)}
}

// For says what an offer buys.
func (p *costPage) For(x season.Compared) string {
	if x.Mass > 0 {
		return p.S.Mass(x.Mass)
	}
	return p.S.Volume(x.Volume)
}

// Why puts what is wrong with an offer into words.
func (p *costPage) Why(x season.Compared) string { return p.sc.texts.sentence(p.S, x.Err.Error(), nil) }

// cost shows what feeding cost, and sugars compared.
func (s *Server) cost(w http.ResponseWriter, r *http.Request) {
	p := &costPage{Base: s.base(r, "cost", "title.cost"), Typed: map[string]string{}}
	for _, k := range []string{"from", "to", "kind", "price", "buys"} {
		p.Typed[k] = strings.TrimSpace(r.URL.Query().Get(k))
	}
	day := func(field string, or units.Day) units.Day {
		if p.Typed[field] == "" {
			p.Typed[field] = or.String()
		}
		d, err := season.ReadDay(p.Typed[field], season.OrderNotTold, p.Facts.Day())
		if err != nil {
			p.trouble(s.troubleOf(&p.Base, err, field))
			return or
		}
		return d
	}
	today := p.Facts.Day()
	from, to := day("from", units.DayOf(today.Year(), 1, 1)), day("to", today)
	offer, told := s.offerIn(p)
	s.house.view(func(st *season.State, at units.Moment) {
		p.Costs = st.Costs(from, to, at)
		offers := st.Offers()
		if told {
			offers = append(offers, offer)
		}
		p.Compared = st.Compare(offers)
	})
	code := http.StatusOK
	if len(p.Trouble) > 0 {
		code = http.StatusUnprocessableEntity
	}
	s.show(w, code, "cost", p)
}

// offerIn reads the offer of the form, if one was made.
func (s *Server) offerIn(p *costPage) (o season.Offer, told bool) {
	if p.Typed["kind"] == "" && p.Typed["price"] == "" && p.Typed["buys"] == "" {
		return o, false
	}
	o.Kind = syrup.Kind(p.Typed["kind"])
	bad := func(field string, err error) { p.trouble(s.troubleOf(&p.Base, err, field)) }
	if _, err := syrup.FoodOf(o.Kind); err != nil {
		bad("kind", err)
	}
	currency := ""
	s.house.view(func(st *season.State, _ units.Moment) { currency = st.Settings.Currency })
	var err error
	if currency == "" {
		o.Price, err = units.ParseMoney(p.Typed["price"], p.S.Locale())
	} else {
		o.Price, err = units.ParseMoneyIn(p.Typed["price"], currency, p.S.Locale())
	}
	if err != nil {
		bad("price", err)
	}
	m, v, err := muchIn(p.Typed["buys"], p.S)
	if err != nil {
		bad("buys", err)
	}
	o.Mass, o.Volume = m.Q, v.Q
	return o, len(p.Trouble) == 0
}
