package web

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// sourcesPage is mixed syrup that stands elsewhere.
type sourcesPage struct {
	Base
	Rows  []season.SourceAt
	Yards []Option
	Fed   units.Strength // what is fed
	Was   string         // the store that is changed, "" = a new one
	Edit  sourceForm
}

// sourceForm is what can be told of a store, as typed.
type sourceForm struct{ Name, Yard, Place, Litres, Strength, From, Fill, Note string }

// sources answers: which syrup stands elsewhere, and what is left of it?
func (s *Server) sources(w http.ResponseWriter, r *http.Request) {
	p := s.sourcesPage(r)
	if was := r.URL.Query().Get("place"); was != "" {
		x, ok := p.row(was)
		if !ok {
			s.fail(w, r, noSource(was))
			return
		}
		p.Was, p.Edit = was, p.formOf(x)
	}
	s.show(w, http.StatusOK, "sources", p)
}

func noSource(place string) error {
	return fault.Newf(fault.NotFound, "", "no syrup is told of at %s", place).WithHint("Syrup elsewhere lists what there is")
}

func (s *Server) sourcesPage(r *http.Request) *sourcesPage {
	p := &sourcesPage{Base: s.base(r, "sources", "title.sources")}
	s.house.view(func(st *season.State, at units.Moment) {
		p.Rows, p.Fed = st.Sources(at), st.Settings.Syrup
		p.Yards = []Option{{"", p.T("sources.own")}}
		names := yardNames(st)
		for _, y := range st.Places().Yards {
			p.Yards = append(p.Yards, Option{y.ID, names[y.ID]})
		}
	})
	return p
}

func (p *sourcesPage) row(place string) (season.SourceAt, bool) {
	for _, x := range p.Rows {
		if x.Place == place {
			return x, true
		}
	}
	return season.SourceAt{}, false
}

// formOf puts a store into the form, with what is left there by now.
func (p *sourcesPage) formOf(x season.SourceAt) sourceForm {
	f := sourceForm{Name: x.Place, Yard: x.Yard, Litres: p.S.VolumeBig(x.Left), From: x.From.String(), Note: x.Note}
	if x.HasPlace {
		f.Place = strconv.FormatFloat(x.Lat, 'f', -1, 64) + ", " + strconv.FormatFloat(x.Lon, 'f', -1, 64)
	}
	if x.Strength > 0 {
		f.Strength = p.S.Strength(x.Strength)
	}
	if x.Fill > 0 {
		f.Fill = p.S.Duration(x.Fill)
	}
	return f
}

// SourcePath gives the address at which a store is changed.
func (b *Base) SourcePath(place string) string {
	return "/sources?place=" + url.QueryEscape(place) + "#store"
}

// Where says where a store stands.
func (p *sourcesPage) Where(x season.SourceAt) string {
	switch {
	case x.YardName != "":
		return x.YardName
	case x.Where.HasPlace:
		return strconv.FormatFloat(x.Where.Lat, 'f', 3, 64) + ", " + strconv.FormatFloat(x.Where.Lon, 'f', 3, 64)
	}
	return p.T("sources.bytold")
}

// saveSource keeps a store as it is told. Under another name the old one is no
// longer used.
func (s *Server) saveSource(w http.ResponseWriter, r *http.Request) {
	p := s.sourcesPage(r)
	p.Path = "/sources"
	f := func(k string) string { return strings.TrimSpace(r.PostFormValue(k)) }
	p.Was = f("was")
	p.Edit = sourceForm{f("name"), f("yard"), f("place"), f("litres"), f("strength"), f("from"), f("fill"), f("note")}
	was, had := p.row(p.Was)
	x := s.readSource(p, was, had)
	if len(p.Trouble) > 0 {
		s.show(w, http.StatusUnprocessableEntity, "sources", p)
		return
	}
	bodies := []any{x}
	if had && p.Was != x.Place {
		bodies = append(bodies, season.Source{Place: p.Was, Gone: true})
	}
	act, err := s.write(r.Context(), "source", bodies)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/sources", act)
}

// readSource reads the form; what is wrong is added to the page.
func (s *Server) readSource(p *sourcesPage, was season.SourceAt, had bool) season.Source {
	bad := func(field string, err error) {
		if err != nil {
			p.trouble(s.troubleOf(&p.Base, err, field))
		}
	}
	e := &p.Edit
	x := season.Source{Place: e.Name, Yard: e.Yard, Note: e.Note}
	var shown sourceForm
	if had {
		shown = p.formOf(was)
	}
	if x.Place == "" && x.Yard != "" {
		for _, y := range p.Yards {
			if y.Value == x.Yard {
				x.Place = p.T("sources.at", "Yard", y.Label)
			}
		}
	}
	_, other := p.row(x.Place)
	switch {
	case x.Place == "":
		bad("name", fault.New(fault.Missing, "", "the store has no name").WithHint("call it as you do, for example Hill shed"))
	case s.isYard(x.Place):
		bad("name", fault.New(fault.Conflict, "", "a store of syrup and a yard have the same name").WithHint("call the store otherwise, for example %s syrup", x.Place))
	case other && x.Place != p.Was:
		bad("name", fault.New(fault.Conflict, "", "there is a store of this name").WithHint("change that one, or call this one otherwise"))
	}
	if e.Place != "" {
		if had && e.Place == shown.Place {
			x.HasPlace, x.Lat, x.Lon = was.HasPlace, was.Lat, was.Lon
		} else {
			at, _, err := readPlace(e.Place)
			bad("place", err)
			x.HasPlace, x.Lat, x.Lon = err == nil, at.Lat, at.Lon
		}
	}
	var err error
	switch {
	case e.Litres == "":
		bad("litres", fault.New(fault.Missing, "", "it is not told how much syrup stands there").WithHint("for example 275 US gal; 0 when it is empty"))
	case had && e.Litres == shown.Litres: // as shown, which is rounded
		if x.OnHand = units.In(was.Left); was.Fetched == 0 {
			x.OnHand = was.OnHand
		}
		if x.OnHand.IsZero() {
			x.OnHand.As = "0 L"
		}
	default:
		x.OnHand, err = units.EnterVolumeIn(e.Litres, p.S.VolumeCol().Unit, p.S.Locale())
		bad("litres", err)
	}
	switch {
	case e.Strength == "":
	case had && e.Strength == shown.Strength:
		x.Strength = was.Strength
	default:
		x.Strength, err = units.ParseStrengthIn(e.Strength, "%", p.S.Locale())
		bad("strength", err)
	}
	switch {
	case e.From == "":
	case had && e.From == shown.From:
		x.From = was.From
	default:
		x.From, err = season.ReadComingDay(e.From, p.Facts.Day())
		bad("from", err)
	}
	switch {
	case e.Fill == "":
	case had && e.Fill == shown.Fill:
		x.Fill = was.Fill
	default:
		x.Fill, err = units.ParseDurationIn(e.Fill, "min", p.S.Locale())
		bad("fill", err)
	}
	if len(p.Trouble) == 0 { // what the fact itself is not let say
		f := season.Fact{ID: season.ID{1}, Seen: p.Facts, Body: x}
		bad("name", f.Check())
	}
	return x
}

func (s *Server) isYard(id string) (is bool) {
	s.house.view(func(st *season.State, _ units.Moment) { _, is = st.Yard(id) })
	return is
}

// removeSource takes a store out of use.
func (s *Server) removeSource(w http.ResponseWriter, r *http.Request) {
	p := s.sourcesPage(r)
	place := r.PostFormValue("store")
	if _, ok := p.row(place); !ok {
		s.fail(w, r, noSource(place))
		return
	}
	act, err := s.write(r.Context(), "source-gone", []any{season.Source{Place: place, Gone: true}})
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.done(w, r, "/sources", act)
}
