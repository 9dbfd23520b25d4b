package web

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/supplement"
	"larder/internal/units"
)

// labelPage is the labels, and the form of one.
type labelPage struct {
	Base
	Labels  []labelRow
	Items   []string
	Product string
	Typed   supplement.Typed
	Locks   []Trouble // what keeps this label locked
	Spoon   string    // what is known of the spoon, in words
	spoon   map[string]string
}

type labelRow struct {
	Product string
	Link    string
	Locks   int
}

// silentLines are those a label may not have.
var silentLines = []string{supplement.LineSeasonMost, supplement.LineTimes, supplement.LineStrongest, supplement.LineWarmest, supplement.LineCarrier,
	supplement.LineOrder, supplement.LineKept, supplement.LineOpened, supplement.LineMixed}

// Line is one line of the label: its box, and whether it can be said that the
// label has none.
type Line struct {
	Field
	CanBeSilent bool
	Silent      bool
}

// Lines lists the lines after the name, in the order of a label.
func (p *labelPage) Lines() []Line {
	var out []Line
	for _, k := range supplement.Lines()[1:] {
		l := Line{Field: p.Field(k, "label."+k, p.Typed.Text[k], "label."+k+".hint", "short")}
		for _, s := range silentLines {
			l.CanBeSilent = l.CanBeSilent || s == k
		}
		l.Silent = p.Typed.Silent[k]
		choose := func(options ...string) {
			l.Options = []Option{{"", p.T("label.nottold")}}
			for _, o := range options {
				l.Options = append(l.Options, Option{o, p.T("label." + k + "." + o)})
			}
		}
		switch k {
		case supplement.LineForm:
			choose("powder", "liquid")
		case supplement.LineMedicine:
			choose("no", "yes")
		case supplement.LineOrder:
			l.Rows = 3
		case supplement.LineAuthority, supplement.LineKept:
			l.Class = ""
		}
		out = append(out, l)
	}
	return out
}

// SpoonBox is one box of the weighing.
func (p *labelPage) SpoonBox(name string) Field {
	return p.Field(name, "spoon."+name, p.spoon[name], "", "tiny")
}

// labels lists the labels; ?product= opens one.
func (s *Server) labels(w http.ResponseWriter, r *http.Request) {
	s.show(w, http.StatusOK, "labels", s.labelPageOf(r, strings.TrimSpace(r.URL.Query().Get("product"))))
}

func (s *Server) labelPageOf(r *http.Request, product string) *labelPage {
	p := &labelPage{Base: s.base(r, "labels", "title.labels"), Product: product, spoon: map[string]string{"spoonfuls": "5"}}
	p.Typed = supplement.Typed{Text: map[string]string{}, Silent: map[string]bool{}}
	s.house.view(func(st *season.State, _ units.Moment) {
		p.Items = st.Items()
		for _, l := range st.Labels() {
			row := labelRow{Product: l.Product, Link: "/shed/labels?" + url.Values{"product": {l.Product}}.Encode(), Locks: len(s.locks(&p.Base, l))}
			p.Labels = append(p.Labels, row)
			if l.Product == product {
				p.Typed = l.Typed(p.S)
				p.Locks = s.locks(&p.Base, l)
			}
		}
		w, ok := st.Spoon(product)
		if !ok {
			return
		}
		if spoon, err := w.Spoon(); err == nil && spoon.Weighs > 0 {
			p.Spoon = p.T("spoon.is", "Mass", p.S.Num(spoon.Weighs.Kg()*1000, 1)+" g")
		}
	})
	p.Typed.Text[supplement.LineProduct] = product
	return p
}

// locks puts what keeps a label locked into words.
func (s *Server) locks(b *Base, l supplement.Label) []Trouble {
	var out []Trouble
	switch err := l.Check().(type) {
	case nil:
	case fault.List:
		for _, e := range err {
			out = append(out, s.troubleOf(b, e, ""))
		}
	default:
		out = append(out, s.troubleOf(b, err, ""))
	}
	return out
}

// saveLabel keeps a label as it was copied, whole or not.
func (s *Server) saveLabel(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	product := strings.TrimSpace(r.PostForm.Get(supplement.LineProduct))
	p := s.labelPageOf(r, product)
	p.Typed = supplement.Typed{Text: map[string]string{}, Silent: map[string]bool{}}
	for _, k := range supplement.Lines() {
		p.Typed.Text[k] = strings.TrimSpace(r.PostForm.Get(k))
		p.Typed.Silent[k] = r.PostForm.Get("silent."+k) != ""
	}
	l, bad := p.Typed.Read(strings.TrimPrefix(p.S.TempCol().Unit, "°"), p.S.Locale())
	for _, b := range bad {
		p.trouble(s.troubleOf(&p.Base, b.Err, b.Line))
	}
	if product == "" {
		p.trouble(s.troubleOf(&p.Base, fault.New(fault.Missing, "", "the product has no name"), supplement.LineProduct))
	}
	var act string
	var err error
	if len(p.Trouble) == 0 {
		act, err = s.house.append(r.Context(), "label", s.house.fact(units.Moment{}, "", l))
		if err != nil {
			p.trouble(s.troubleOf(&p.Base, err, supplement.LineProduct))
		}
	}
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, "labels", p)
		return
	}
	s.done(w, r, "/shed/labels?"+url.Values{"product": {product}}.Encode(), act)
}

// saveSpoon keeps a weighing of the spoon.
func (s *Server) saveSpoon(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	product := strings.TrimSpace(r.PostForm.Get(supplement.LineProduct))
	p := s.labelPageOf(r, product)
	for _, k := range []string{"spoonfuls", "together", "holds"} {
		p.spoon[k] = strings.TrimSpace(r.PostForm.Get(k))
	}
	bad := func(field string, err error) { p.trouble(s.troubleOf(&p.Base, err, field)) }
	b := supplement.Weighing{Product: product}
	var err error
	if b.Spoonfuls, err = strconv.Atoi(p.spoon["spoonfuls"]); err != nil || b.Spoonfuls < 1 {
		bad("spoonfuls", fault.New(fault.NotUnderstood, "", "that is no number of spoonfuls").WithHint("weigh five level spoonfuls together"))
	}
	if b.Together, err = units.EnterMassIn(p.spoon["together"], "g", p.S.Locale()); err != nil {
		bad("together", err)
	}
	if t := p.spoon["holds"]; t != "" {
		if b.Holds, err = units.EnterVolumeIn(t, "mL", p.S.Locale()); err != nil {
			bad("holds", err)
		}
	}
	var act string
	if len(p.Trouble) == 0 {
		if act, err = s.house.append(r.Context(), "spoon", s.house.fact(units.Moment{}, "", b)); err != nil {
			bad("together", err)
		}
	}
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, "labels", p)
		return
	}
	s.done(w, r, "/shed/labels?"+url.Values{"product": {product}}.Encode(), act)
}
