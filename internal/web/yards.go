package web

import (
	"net/http"
	"strings"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/units"
)

type yardsPage struct {
	Base
	Rows          []yardLine
	Closed        []apiary.Yard
	Stores        []season.SourceAt // syrup elsewhere
	Homeless      []string          // colonies that facts name and nobody placed
	New           string            // the box of new yards, as typed
	Stack, Feeder string
	Winter, Stop  string
}

// yardLine is one yard of the list.
type yardLine struct {
	apiary.Yard
	Called string
	Hives  int
	Feed   int // of them to be fed
	Winter apiary.Climate
	Stop   season.YardStop
	Road   feeding.Road
	Told   bool // the way was told; else it is from the map
	Way    bool // it is known at all
}

// Stacks, Feeders and Winters list what to choose from.
func (p *yardsPage) Stacks() []Option  { return p.stackOptions(p.Stack) }
func (p *yardsPage) Feeders() []Option { return p.feederOptions() }
func (p *yardsPage) Winters() []Option { return p.climateOptions(p.T("winter.unknown")) }

// RoadsBox is the box for a table of distances, which answers on its own page.
func (p *yardsPage) RoadsBox() *roadsPage { return &roadsPage{Base: p.Base} }

// WinterName gives the one word of a class of winter.
func (b *Base) WinterName(c apiary.Climate) string { return b.winterName(c) }

// yards answers: what do I keep where?
func (s *Server) yards(w http.ResponseWriter, r *http.Request) {
	p := s.yardsPage(r)
	p.Stack, p.Feeder = firstStack(p.S.System), firstFeeder(p.S.System)
	s.house.view(func(st *season.State, _ units.Moment) {
		if stack, feeder, ok := st.UsualHive(""); ok {
			p.Stack, p.Feeder = stack.String(), feeder
		}
	})
	if len(p.Rows) > 0 {
		p.Winter = string(p.Rows[0].Winter)
		if y := p.Rows[0].Stop; y.Typed || y.Carried {
			p.Stop = y.Stop.Day.String()
		}
	}
	s.show(w, http.StatusOK, "yards", p)
}

// yardsPage lists the yards.
func (s *Server) yardsPage(r *http.Request) *yardsPage {
	p := &yardsPage{Base: s.base(r, "yards", "title.yards")}
	feed, n := map[string]int{}, map[string]int{}
	for _, x := range s.shorts() {
		switch {
		case !x.Colony.Told:
			p.Homeless = append(p.Homeless, x.Colony.ID)
		case x.ToFeed():
			feed[x.Colony.Yard]++
		}
		n[x.Colony.Yard]++
	}
	stops := s.stopDays()
	s.house.view(func(st *season.State, at units.Moment) {
		p.Stores = st.Sources(at)
		for _, y := range st.Yards() {
			if y.Closed {
				p.Closed = append(p.Closed, y)
				continue
			}
			l := yardLine{Yard: y, Called: y.Name, Hives: n[y.ID], Feed: feed[y.ID], Winter: st.Winter(y.ID, at), Stop: stops[y.ID]}
			if l.Called == "" {
				l.Called = y.ID
			}
			l.Road, l.Told, l.Way = st.Way(y.ID, at)
			p.Rows = append(p.Rows, l)
		}
	})
	return p
}

// stopDays gives the stop day of every yard, once for each state of the facts.
func (s *Server) stopDays() map[string]season.YardStop {
	return remember(s.house, "stopdays", func(st *season.State, at units.Moment) map[string]season.YardStop {
		out := map[string]season.YardStop{}
		for _, y := range st.StopDays(at) {
			out[y.Yard.ID] = y
		}
		return out
	})
}

// addYards makes the yards of the box, with their hives.
func (s *Server) addYards(w http.ResponseWriter, r *http.Request) {
	p := s.yardsPage(r)
	f := r.PostFormValue
	p.New, p.Stack, p.Feeder, p.Winter, p.Stop = f("new"), f("stack"), f("feeder"), f("winter"), strings.TrimSpace(f("stop"))
	usual := s.readUsual(&p.Base, p.Stack, p.Feeder)
	usual.Yard.Climate = apiary.Climate(p.Winter)
	if p.Stop != "" {
		var err error
		if usual.Yard.Stop, err = season.ReadComingDay(p.Stop, p.Facts.Day()); err != nil {
			p.trouble(s.troubleOf(&p.Base, err, "stop"))
		}
	}
	list, bad := season.ReadYards(p.New, p.S.Locale())
	var m season.Making
	s.house.view(func(st *season.State, _ units.Moment) {
		if st.Settings.HasHome {
			usual.Yard.HasPlace, usual.Yard.Lat, usual.Yard.Lon = true, st.Settings.HomeLat, st.Settings.HomeLon
		}
		m = st.Make(list, usual, nil)
	})
	s.lines(&p.Base, "new", append(bad, m.Trouble...))
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, "yards", p)
		return
	}
	act, err := s.write(r.Context(), "yards", m.Bodies)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/yards", act)
}

// FeederName gives the words for a kind of feeder.
func (b *Base) FeederName(key string) string { return b.feederName(key) }
