package web

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

// tripHivePage is one hive of a trip without a script: plain forms that write
// the same facts.
type tripHivePage struct {
	Base
	Load  string
	Yard  string
	Hive  hiveDoc
	On    string
	Next  string // the next hive with nothing yet, "" = none
	Prev  string
	Typed url.Values
	Kept  string // what was typed when it was asked about
	Whys  []whyDoc
}

// Is gives what was typed in a field.
func (p *tripHivePage) Is(field string) string { return p.Typed.Get(field) }

// tripHive shows one hive.
func (s *Server) tripHive(w http.ResponseWriter, r *http.Request) {
	p, _, err := s.tripHivePage(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.show(w, http.StatusOK, "triphive", p)
}

func (s *Server) tripHivePage(r *http.Request) (*tripHivePage, *tripPage, error) {
	t, err := s.tripPage(r, r.PathValue("load"))
	if err != nil {
		return nil, nil, err
	}
	want := r.PathValue("colony")
	p := &tripHivePage{Base: t.Base, Load: r.PathValue("load"), On: t.Doc.On, Whys: t.Doc.NotFed, Typed: url.Values{}}
	p.Screen, p.Title = "triphive", "title.round"
	found, before := false, ""
	for _, stop := range t.Doc.Stops {
		for _, h := range stop.Hives {
			switch {
			case h.Colony == want:
				p.Hive, p.Yard, p.Prev, found = h, stop.Name, before, true
			case found && p.Next == "" && len(h.Done) == 0:
				p.Next = h.Colony
			}
			before = h.Colony
		}
		for _, h := range stop.Others {
			if h.Colony == want {
				p.Hive, p.Yard, found = h, stop.Name, true
			}
		}
	}
	if !found {
		return nil, nil, fault.Newf(fault.NotFound, "", "there is no hive %s on this trip", want)
	}
	return p, t, nil
}

// saveTripHive writes down what was done at one hive.
func (s *Server) saveTripHive(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	p, _, err := s.tripHivePage(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	p.Typed = r.PostForm
	v, trouble := s.typedVisit(p)
	if key := p.Is("amount") + "|" + p.Is("leftother"); len(trouble) == 0 && p.Is("kept") != key {
		for _, f := range v.OverFull() {
			field := map[string]string{season.CellGiven: "amount", season.CellLeft: "leftother"}[f.Cell]
			trouble = append(trouble, p.unlikely(field, v.Colony, f))
			p.Kept = key
		}
	}
	var bodies []any
	if len(trouble) == 0 {
		if bodies, err = v.Bodies(); err != nil {
			trouble = append(trouble, s.troubleOf(&p.Base, err, ""))
		} else if len(bodies) == 0 {
			trouble = append(trouble, Trouble{Field: "amount", Say: p.T("round.nothing")})
		}
	}
	if len(trouble) > 0 {
		p.Trouble = trouble
		s.show(w, http.StatusUnprocessableEntity, "triphive", p)
		return
	}
	facts := make([]season.Fact, 0, len(bodies))
	for _, b := range bodies {
		facts = append(facts, s.house.fact(units.Moment{}, "", b))
	}
	act, err := s.house.append(r.Context(), "round", facts...)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	to := "/round/" + p.Load
	if p.Next != "" {
		to += "/hive/" + url.PathEscape(p.Next)
	}
	s.done(w, r, to, act)
}

// typedVisit reads the form of one hive.
func (s *Server) typedVisit(p *tripHivePage) (season.Visit, []Trouble) {
	v := season.Visit{Colony: p.Hive.Colony, Plan: p.On, Holds: units.Volume(p.Hive.HoldsL), Note: strings.TrimSpace(p.Is("note"))}
	var bad []Trouble
	volume := func(field, text string) *units.Entered[units.Volume] {
		e, err := units.EnterVolumeIn(text, p.S.VolumeSmallCol().Unit, p.S.Locale())
		if err == nil {
			err = season.FitsFeeder(e, v.Holds)
		}
		if err != nil {
			bad = append(bad, s.troubleOf(&p.Base, err, field))
			return nil
		}
		return &e
	}
	if left := p.Is("left"); left != "" {
		if k, err := strconv.Atoi(left); err == nil && k >= 0 && k < len(p.Hive.Left) {
			e := units.In(units.Volume(p.Hive.Left[k].L))
			v.Left = &e
		} else {
			v.Left = volume("leftother", left)
		}
	}
	if other := p.Is("leftother"); other != "" {
		v.Left = volume("leftother", other)
	}
	switch act := p.Is("act"); {
	case act == "given":
		e := units.In(units.Volume(p.Hive.PlanL))
		v.Given = &e
	case act == "other" && p.Is("amount") == "":
		bad = append(bad, Trouble{Field: "amount", Say: p.T("round.amount.missing")})
	case act == "other":
		v.Given = volume("amount", p.Is("amount"))
	case act == "notfed":
		v.NotFed = p.Is("why")
		if v.NotFed == "" {
			bad = append(bad, Trouble{Field: "why", Say: p.T("round.why.missing")})
		}
	}
	if h := p.Is("heft"); h != "" {
		v.Heft = stores.Heft(h)
	}
	return v, bad
}
