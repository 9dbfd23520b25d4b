package web

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/units"
)

type roundPage struct {
	Base
	Out     bool // a plan was taken out
	Taken   units.Moment
	Trips   []roundTrip
	Ready   int // loads of the plan as it stands, when none was taken out
	Replan  *season.Replan
	Names   map[string]string
	Changes []season.Change // the first of them
	More    int
	Words   string // of the script, as JSON
}

// roundTrip is one load in the list.
type roundTrip struct {
	Load   int
	Day    units.Day
	Syrup  units.Volume
	Yards  []string
	Fill   string // where the tank is filled and how much, "" = at home
	Done   int
	Of     int
	First  string // yard of its first stop
	Behind bool   // another is to be driven before it
}

// shownChanges is how many changes the page lists.
const shownChanges = 60

// round lists the trips of the plan taken out, and what changed since.
func (s *Server) round(w http.ResponseWriter, r *http.Request) {
	p := roundPage{Base: s.base(r, "round", "title.round"), Words: "{}"}
	if b, err := json.Marshal(p.yardWords()); err == nil {
		p.Words = string(b)
	}
	plan, planErr := s.planFor(nil, nil)
	s.house.view(func(st *season.State, at units.Moment) {
		p.Names = yardNames(st)
		_, doc, ok := st.Out()
		if !ok {
			return
		}
		p.Out, p.Taken = true, doc.AsOf
		for _, l := range doc.Loads {
			t, err := st.Trip("", l.N, at)
			if err != nil {
				continue // it stood in the list a line ago
			}
			x := roundTrip{Load: t.Load, Day: t.Day, Syrup: t.Syrup, Done: t.Visits, Of: t.Fills}
			for _, stop := range t.Stops {
				x.Yards = append(x.Yards, stop.Yard.Name)
			}
			if f := p.fillDoc(&t); f != nil {
				x.Fill = f.Says
			}
			p.Trips = append(p.Trips, x)
		}
		if planErr == nil {
			if re, ok := st.Replan(plan, at); ok {
				p.Replan = &re
			}
		}
	})
	if p.Replan != nil {
		p.Changes = p.Replan.Changes
		if len(p.Changes) > shownChanges {
			p.More = len(p.Changes) - shownChanges
			p.Changes = p.Changes[:shownChanges]
		}
	}
	if !p.Out {
		if planErr != nil {
			p.Trouble = append(p.Trouble, s.troubleOf(&p.Base, planErr, ""))
		} else {
			p.Ready = len(plan.Loads)
		}
	}
	s.show(w, http.StatusOK, "round", &p)
}

// Because gives the first reason of a change, in words.
func (p *roundPage) Because(c season.Change) string { return p.first(c.Why) }

func (b *Base) first(rs []feeding.Reason) string {
	if len(rs) == 0 {
		return ""
	}
	return b.Say(rs[0])
}

// roundOut takes the plan out and goes to its trips, or to the sheet of it that
// somebody wants to type in.
func (s *Server) roundOut(w http.ResponseWriter, r *http.Request) {
	act, err := s.takeOut(r, nil)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	to := "/round"
	if code := r.PostFormValue("code"); code != "" {
		to = "/round/type?code=" + url.QueryEscape(code)
	}
	s.done(w, r, to, act)
}

type tripPage struct {
	Base
	Trip *season.Trip
	Doc  *tripDoc
	JSON string
	File bool // it is the file to carry
}

// trip shows one load, hive by hive. With a script it is the phone's screen; the
// plain page under it lists the hives, each with a page of its own. The address
// with .html gives the file to carry.
func (s *Server) trip(w http.ResponseWriter, r *http.Request) {
	name, file := strings.CutSuffix(r.PathValue("load"), ".html")
	p, err := s.tripPage(r, name)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	if file {
		s.tripFile(w, p)
		return
	}
	s.show(w, http.StatusOK, "trip", p)
}

func (s *Server) tripPage(r *http.Request, load string) (*tripPage, error) {
	n, err := strconv.Atoi(load)
	if err != nil {
		return nil, fault.New(fault.NotFound, "", "there is no such load").WithHint("see Round for the loads there are")
	}
	p := &tripPage{Base: s.base(r, "trip", "title.round")}
	doc, t, err := s.tripDoc(&p.Base, r.URL.Query().Get("plan"), n)
	if err != nil {
		return nil, err
	}
	raw, err := json.Marshal(doc)
	if err != nil {
		return nil, err
	}
	p.Trip, p.Doc, p.JSON = &t, doc, string(raw)
	return p, nil
}

// geoLink opens the phone's own map.
func geoLink(lat, lon float64) string {
	return "geo:" + strconv.FormatFloat(lat, 'f', 5, 64) + "," + strconv.FormatFloat(lon, 'f', 5, 64)
}
