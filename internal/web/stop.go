package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/sheet"
	"larder/internal/units"
)

// stopDrawn is the most yards whose strips are drawn at once.
const stopDrawn = 8

type stopPage struct {
	Base
	Yards []stopRow
	One   string // the only yard shown, "" = all
	All   int    // yards there are
	Tight int
	Empty bool
	Host  string    // the weather service that can be asked, "" = none
	Same  bool      // it was asked and told nothing new
	Old   units.Day // of the latest weather, when it is old; 0 = not
}

// stopRow is one yard.
type stopRow struct {
	season.Stopping
	Strip *sheet.Drawing // nil where no past year is known, or too many yards are shown
	Box   string         // what stands in the box of its own day
}

// BoxID names the box of a yard's own stop day.
func (r stopRow) BoxID() string { return "stop-" + r.Yard.ID }

// stop answers: until which day will bees here still take syrup, and is there
// time for all?
func (s *Server) stop(w http.ResponseWriter, r *http.Request) {
	s.show(w, http.StatusOK, "stop", s.stopPage(r, "", ""))
}

// stopPage reads the page; typed is what stands in the box of one yard.
func (s *Server) stopPage(r *http.Request, yard, typed string) *stopPage {
	p := &stopPage{Base: s.base(r, "stop", "title.stop"), One: r.URL.Query().Get("yard")}
	plan, err := s.planFor(nil, nil)
	if err != nil {
		plan = nil // the page says what it lacks, yard by yard
	}
	all := remember(s.house, fmt.Sprintf("stopping %p", plan), func(st *season.State, at units.Moment) []season.Stopping { return st.Stopping(at, plan) })
	s.house.view(func(st *season.State, at units.Moment) { p.Old, p.Host = st.OldWeather(at), s.serviceHost(st) })
	p.Same = r.URL.Query().Get("same") != ""
	p.All, p.Empty = len(all), len(all) == 0
	for _, y := range all {
		if y.Tight {
			p.Tight++
		}
		if p.One != "" && y.Yard.ID != p.One {
			continue
		}
		row := stopRow{Stopping: y}
		if y.Typed || y.Carried {
			row.Box = p.S.Date(y.Stop.Day)
		}
		if y.Yard.ID == yard {
			row.Box = typed
		}
		p.Yards = append(p.Yards, row)
	}
	if len(p.Yards) <= stopDrawn {
		for i := range p.Yards {
			p.Yards[i].Strip = p.strip(&p.Yards[i].Stopping)
		}
	}
	return p
}

// strip draws the stop days of the years.
func (p *stopPage) strip(y *season.Stopping) *sheet.Drawing {
	if len(y.Years) == 0 {
		return nil
	}
	s := sheet.StopStrip{Years: y.ByDay, Today: p.Facts.Day(), Style: p.S, Words: sheet.StopWords{Today: p.T("stop.today"), Stop: p.T("stop.day")}}
	if y.Known {
		s.Day, s.Low, s.High = y.Stop.Day, y.Stop.Low, y.Stop.High
	}
	s.Title = p.T("chart.stop", "Yard", y.Name, "Years", len(y.Years), "From", p.S.Date(y.ByDay[0].Day), "To", p.S.Date(y.ByDay[len(y.ByDay)-1].Day))
	if y.Known {
		s.Desc = p.T("chart.stop.day", "Day", p.S.Date(y.Stop.Day))
	}
	d := s.Draw()
	return &d
}

// saveStop keeps the keeper's own stop day of a yard, or takes it back.
func (s *Server) saveStop(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, err)
		return
	}
	id := r.PathValue("yard")
	typed := strings.TrimSpace(r.PostForm.Get("stop-" + id))
	var y apiary.Yard
	var ok bool
	s.house.view(func(st *season.State, _ units.Moment) { y, ok = st.Yard(id) })
	if !ok {
		s.fail(w, r, fault.New(fault.NotFound, id, "there is no yard of this name").WithHint("see Yards and hives"))
		return
	}
	b := s.base(r, "stop", "title.stop")
	day := units.Day(0)
	if typed != "" {
		var err error
		if day, err = season.ReadComingDay(typed, b.Facts.Day()); err != nil {
			p := s.stopPage(r, id, typed)
			p.trouble(s.troubleOf(&p.Base, err, "stop-"+id))
			s.show(w, http.StatusUnprocessableEntity, "stop", p)
			return
		}
	}
	back := "/stop"
	if one := r.PostForm.Get("one"); one != "" {
		back = "/stop?yard=" + url.QueryEscape(one)
	}
	act := ""
	if y.Stop != day {
		y.Stop = day
		var err error
		if act, err = s.house.append(r.Context(), "stop", s.house.fact(units.Moment{}, "", y)); err != nil {
			s.fail(w, r, err)
			return
		}
	}
	s.done(w, r, back, act)
}
