package web

import (
	"errors"
	"net/http"
	"slices"
	"strings"

	"larder/internal/fault"
	"larder/internal/route"
	"larder/internal/season"
	"larder/internal/units"
)

// roadsBytes is the largest table a form may bring: a square of the most places.
const roadsBytes = 2 << 20

// firstWays is how many ways of a table are shown before it is kept.
const firstWays = 12

type roadsPage struct {
	Base
	Ways  []season.Way // as they are known
	Names map[string]string

	Text     string // the table, as pasted
	Dist     string // units told: "", km, mi, m
	Time     string // "", min, s, h
	Places   string // the order told
	Table    *route.Table
	Taken    *season.RoadsTaken
	First    []season.Road
	AskUnits bool // some number has no unit of its own
	AskOrder bool // the table names no places
}

// Dists and Times list the units to choose from.
func (p *roadsPage) Dists() []Option {
	return []Option{{"", p.T("roads.unit.none")}, {"km", "km"}, {"mi", "mi"}, {"m", "m"}}
}

// Times lists units of time.
func (p *roadsPage) Times() []Option {
	return []Option{{"", p.T("roads.unit.none")}, {"min", "min"}, {"s", "s"}, {"h", "h"}}
}

// PlaceName gives a place in words.
func (p *roadsPage) PlaceName(id string) string {
	if id == "" {
		return p.T("roads.home")
	}
	if n := p.Names[id]; n != "" {
		return n
	}
	return id
}

// Plain gives the units a column is in, for people.
func (p *roadsPage) ColumnSays(c route.TableColumn) string {
	switch {
	case c.As == "":
		return p.T("roads.col.none")
	case c.As == "from" || c.As == "to":
		return p.T("roads.col." + c.As)
	case c.Unit == "":
		return p.T("roads.col."+c.As, "Unit", p.T("roads.unit.each"))
	case c.Told:
		return p.T("roads.col."+c.As, "Unit", p.T("roads.unit.told", "Unit", c.Unit))
	}
	return p.T("roads.col."+c.As, "Unit", c.Unit)
}

// roads lists the ways and takes a table of them.
func (s *Server) roads(w http.ResponseWriter, r *http.Request) {
	p := s.roadsPage(r)
	s.show(w, http.StatusOK, "roads", p)
}

func (s *Server) roadsPage(r *http.Request) *roadsPage {
	p := &roadsPage{Base: s.base(r, "roads", "title.roads")}
	s.house.view(func(st *season.State, at units.Moment) {
		p.Names = yardNames(st)
		p.Ways, _ = st.Ways(at) // without figures that make sense there are none to list
		p.Places = strings.Join(st.Places().Order(), ", ")
	})
	return p
}

// lookRoads shows what a table is taken for. Nothing is kept.
func (s *Server) lookRoads(w http.ResponseWriter, r *http.Request) {
	p, err := s.readRoads(w, r)
	code := http.StatusOK
	if err != nil {
		p.Trouble = append(p.Trouble, s.roadsTrouble(p, err))
		code = http.StatusUnprocessableEntity
	}
	s.show(w, code, "roads", p)
}

// roadsTrouble puts what is wrong beside the box where it can be put right.
func (s *Server) roadsTrouble(p *roadsPage, err error) Trouble {
	field := "text"
	var e *fault.Error
	if errors.As(err, &e) && e.Kind == fault.Missing && p.Text != "" {
		switch {
		case e.Say == route.SayNoNames:
			field, p.AskOrder = "places", true
		case e.Say == route.SayNoKind || strings.Contains(e.Say, "has no unit"):
			field, p.AskUnits = "dist", true
		}
	}
	return s.troubleOf(&p.Base, err, field)
}

// saveRoads keeps what the table tells that is not known yet.
func (s *Server) saveRoads(w http.ResponseWriter, r *http.Request) {
	p, err := s.readRoads(w, r)
	if err != nil {
		p.Trouble = append(p.Trouble, s.roadsTrouble(p, err))
		s.show(w, http.StatusUnprocessableEntity, "roads", p)
		return
	}
	bodies := make([]any, len(p.Taken.Roads))
	for i, x := range p.Taken.Roads {
		bodies[i] = x
	}
	act := ""
	if len(bodies) > 0 {
		if act, err = s.write(r.Context(), "roads", bodies); err != nil {
			s.fail(w, r, err)
			return
		}
	}
	s.done(w, r, "/roads", act)
}

// readRoads reads the form and the table in it. Its page is there even when
// there is an error.
func (s *Server) readRoads(w http.ResponseWriter, r *http.Request) (*roadsPage, error) {
	r.Body = http.MaxBytesReader(w, r.Body, 3*roadsBytes)
	formErr := parseUpload(r, 3*roadsBytes, fault.Newf(fault.OutOfRange, "", "the file has more than %d MB", roadsBytes>>20))
	p := s.roadsPage(r)
	p.Path = "/roads"
	if formErr != nil {
		return p, formErr
	}
	p.Text, p.Dist, p.Time = r.PostFormValue("text"), r.PostFormValue("dist"), r.PostFormValue("time")
	order := strings.TrimSpace(r.PostFormValue("places"))
	if b, ok, err := uploaded(r, "file", tableBytes); err != nil {
		return p, err
	} else if ok {
		if p.Text, err = tableText(b); err != nil {
			return p, err
		}
	}
	if strings.TrimSpace(p.Text) == "" {
		return p, fault.New(fault.Missing, "", "nothing was pasted").WithHint("copy the rows in your spreadsheet and paste them here")
	}
	if len(p.Text) > roadsBytes {
		return p, fault.Newf(fault.OutOfRange, "", "the table has more than %d MB", roadsBytes>>20)
	}
	o := route.TableOptions{Locale: p.S.Locale()}
	for _, u := range []string{p.Dist, p.Time} {
		if u != "" {
			o.In = append(o.In, u)
		}
	}
	if order != "" {
		p.Places = order
		for _, x := range strings.FieldsFunc(order, func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
			o.Places = append(o.Places, strings.TrimSpace(x))
		}
	}
	t, err := route.ReadTable(p.Text, o)
	if err != nil {
		return p, err
	}
	p.AskUnits = slices.ContainsFunc(t.Columns, func(c route.TableColumn) bool { return c.Told })
	p.AskOrder = len(o.Places) > 0
	var got season.RoadsTaken
	s.house.view(func(st *season.State, _ units.Moment) { got, err = st.TakeRoads(t) })
	if err != nil {
		return p, err
	}
	p.Table, p.Taken = &t, &got
	p.First = got.Roads[:min(len(got.Roads), firstWays)]
	return p, nil
}
