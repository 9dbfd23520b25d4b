package web

import (
	"html/template"
	"net/http"
	"strconv"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

type loadPage struct {
	Base
	Card  season.LoadCard
	Loads int
	No    int
	Heavy bool
	Axles *season.LoadAxles // nil = what the truck may carry was not told
	Bars  template.HTML
	Mind  []Caution
	// Limits is what limits the whole day it goes out on.
	Limits season.DayLimit
}

// load shows what one truck load is, weighs and serves. Without a number it
// shows the first.
func (s *Server) load(w http.ResponseWriter, r *http.Request) {
	p := loadPage{Base: s.base(r, "load", "title.load"), No: 1}
	if v := r.PathValue("n"); v != "" {
		n, err := strconv.Atoi(v)
		if err != nil {
			s.fail(w, r, fault.New(fault.NotFound, "", "there is no such load").WithHint("see the Plan for the loads there are"))
			return
		}
		p.No = n
	}
	plan, err := s.planFor(nil, nil)
	if err != nil {
		p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, err, ""))
		s.show(w, http.StatusOK, "load", &p)
		return
	}
	p.Loads = len(plan.Loads)
	c, ok := plan.LoadCard(p.No)
	if !ok && p.Loads > 0 {
		s.fail(w, r, fault.New(fault.NotFound, "", "there is no such load").WithHint("see the Plan for the loads there are"))
		return
	}
	p.Card, p.Heavy = c, c.Left < 0
	if ok {
		p.Limits = plan.LimitsOn(c.Day)
		s.weighLoad(&p)
	}
	s.show(w, http.StatusOK, "load", &p)
}

// weighLoad sets the load against the truck's payload and axles.
func (s *Server) weighLoad(p *loadPage) {
	s.house.view(func(st *season.State, _ units.Moment) {
		l, err := st.LoadAxles(p.Card.Syrup, 0)
		if err != nil {
			return // what is not told is asked for on the page
		}
		x := rigPage{Base: p.Base}
		x.axles(&l)
		p.Axles, p.Bars, p.Mind = &l, x.Drawing, x.Mind
		p.Heavy = p.Heavy || !l.Fits
	})
}

// Others lists the loads there are.
func (p *loadPage) Others() []int {
	out := make([]int, p.Loads)
	for i := range out {
		out[i] = i + 1
	}
	return out
}
