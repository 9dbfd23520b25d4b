package web

import (
	"bytes"
	"cmp"
	"errors"
	"net/http"
	"path/filepath"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
)

const (
	// weatherBytes is the largest weather file a form may bring: a century of one
	// station in most formats.
	weatherBytes = 8 << 20
	// shownBytes is how much of a file that cannot be taken stands in the box, to be
	// put right there.
	shownBytes = 256 << 10
	// formStations is how many stations a file from a form may hold: whole countries
	// are for the command, that takes one of them.
	formStations = 50
)

type weatherPage struct {
	Base
	Stations []season.StationKnown
	Yards    []yardWeather
	Taken    *weatherTook // what became of the file just taken in
	Text     string       // pasted, or of a file that could not be taken
	Whose    string
	Unit     string
	Issued   string
	Skip     bool // leave out the rows that cannot be read
	AskSkip  bool
	Again    bool // a file was chosen, and has to be again
	Names    []apiary.Yard
}

// yardWeather is a yard and the station whose weather stands for it.
type yardWeather struct {
	Name string
	season.YardStation
}

// weatherTook is what became of a file.
type weatherTook struct {
	Stations []season.StationTaken
	Notes    []weather.Reason
	Facts    int
}

// Open gives the days without a high that nothing fills.
func (p *weatherPage) Open(gaps []weather.Gap) int { return weather.OpenDays(gaps) }

// Used tells whether a yard goes by the weather of a station.
func (p *weatherPage) Used(station string) bool {
	return slices.ContainsFunc(p.Yards, func(y yardWeather) bool { return y.Station == station })
}

// UnitOptions lists in what a file's numbers may be.
func (p *weatherPage) UnitOptions() []Option {
	out := []Option{{"", p.T("weather.unit.said")}}
	for _, x := range []weather.Scale{weather.Celsius, weather.Fahrenheit, weather.Tenths} {
		out = append(out, Option{x.String(), p.T("weather.unit." + x.String())})
	}
	return out
}

// Why says a reason of a file.
func (p *weatherPage) Why(r weather.Reason) string {
	return p.Say(feeding.Reason{Code: r.Code, Say: r.Say, Amounts: r.Amounts})
}

// WhoseField is the box for whose weather a file is, with yards and stations to
// choose from.
func (p *weatherPage) WhoseField() Field {
	f := p.Field("whose", "weather.whose", p.Whose, "weather.whose.hint", "short")
	f.List = "stations"
	return f
}

// weather tells what weather is known and asks for more.
func (s *Server) weather(w http.ResponseWriter, r *http.Request) {
	p := s.weatherPage(r)
	of := r.URL.Query().Get("of")
	if t, ok := fromShelf[weatherTook](&s.shelf, of); ok && !s.takenBack(of) {
		p.Taken = &t
	}
	s.show(w, http.StatusOK, "weather", p)
}

// takenBack tells whether an act was undone.
func (s *Server) takenBack(act string) (gone bool) {
	id, err := season.ParseID(act)
	if err != nil {
		return false
	}
	s.house.journaled(func(j *season.Journal, _ units.Moment) {
		_, known := j.Fact(id)
		gone = known && !j.InForce(id, units.Moment{})
	})
	return gone
}

func (s *Server) weatherPage(r *http.Request) *weatherPage {
	p := &weatherPage{Base: s.base(r, "weather", "title.weather")}
	p.Path = "/weather"
	s.house.view(func(st *season.State, at units.Moment) {
		p.Stations = st.StationsKnown()
		for _, y := range st.Yards() {
			if y.Closed {
				continue
			}
			y.Name = cmp.Or(y.Name, y.ID)
			p.Names = append(p.Names, y)
			p.Yards = append(p.Yards, yardWeather{y.Name, st.StationFor(y.ID, at)})
		}
	})
	return p
}

// takeWeather takes in a weather file: one act, one undo. Of a file with rows that
// cannot be read nothing is kept, unless these are to be left out.
func (s *Server) takeWeather(w http.ResponseWriter, r *http.Request) {
	p, f, issued, field, err := s.readWeather(r)
	if err != nil {
		s.weatherTrouble(p, field, err)
		s.show(w, http.StatusUnprocessableEntity, "weather", p)
		return
	}
	var got season.WeatherTaken
	s.house.journaled(func(j *season.Journal, at units.Moment) {
		got, err = j.TakeWeather(season.WeatherIn{Series: f.Series, Places: f.Stations, At: at, Issued: issued})
	})
	if err != nil {
		s.weatherTrouble(p, field, err)
		s.show(w, http.StatusUnprocessableEntity, "weather", p)
		return
	}
	for i := range got.Facts {
		got.Facts[i].ID = s.house.newID() // undone and taken again it is another fact
	}
	act, err := s.house.append(r.Context(), "weather", got.Facts...)
	if err != nil {
		s.unkept(w, r, "weather", p, &p.Base, err)
		return
	}
	of := act
	if of == "" {
		of = s.house.newID().String()
	}
	s.shelf.put(of, weatherTook{Stations: got.Stations, Notes: f.Notes, Facts: len(got.Facts)})
	s.done(w, r, "/weather?of="+of, act)
}

// readWeather reads the form and the file in it, and when that was made if it is a
// forecast. The page is there even when there is an error; field is the box it
// concerns.
func (s *Server) readWeather(r *http.Request) (p *weatherPage, f weather.File, issued units.Moment, field string, err error) {
	p, field = s.weatherPage(r), "text"
	raw, o, err := p.readForm(r)
	if err != nil {
		return p, f, issued, field, err
	}
	if o.Scale, err = weather.ParseScale(p.Unit); err != nil {
		return p, f, issued, "unit", err
	}
	if p.Issued != "" {
		if o.Issued, err = season.ReadDay(p.Issued, season.OrderNotTold, p.Facts.Day()); err != nil {
			return p, f, issued, "issued", err
		}
		issued = units.OnDay(o.Issued)
	}
	f, err = weather.Read(raw, o)
	if errors.Is(err, weather.ErrSeveral) { // then it is one of them that is meant
		one := o
		one.As, one.Only = "", o.As
		field = "whose"
		if some, no := weather.Read(raw, one); !fault.Is(no, fault.NotFound) {
			f, err, field = some, no, "text"
		}
	}
	var rows fault.List
	if errors.As(err, &rows) && len(f.Series) > 0 && !errors.Is(err, weather.ErrGaveUp) {
		if p.AskSkip = true; p.Skip {
			err = nil
			f.Notes = append(f.Notes, weather.LeftOut(f.Bad))
		}
	}
	switch {
	case errors.Is(err, weather.ErrStation):
		field = "whose"
	case errors.Is(err, weather.ErrUnits):
		field = "unit"
	case err == nil && len(f.Series) > formStations:
		field = "whose"
		err = fault.Newf(fault.OutOfRange, o.File, "the file holds the weather of %d stations", len(f.Series)).WithHint("say which of them you need")
	case err == nil && o.Scale != weather.NotTold:
		f.Notes = append(f.Notes, weather.UnitsTold(o.Scale))
	}
	return p, f, issued, field, err
}

// readForm fills the page with what was typed, and gives the bytes of the file, or
// of what was pasted.
func (p *weatherPage) readForm(r *http.Request) (raw []byte, o weather.Options, err error) {
	tooBig := fault.Newf(fault.OutOfRange, "", "the file has more than %d MB", weatherBytes>>20).WithHint("cut it by years, or take it in with `larder weather`")
	if err := parseUpload(r, weatherBytes+maxForm, tooBig); err != nil {
		return nil, o, err
	}
	get := func(name string) string { return strings.TrimSpace(r.PostFormValue(name)) }
	p.Text, p.Whose, p.Unit, p.Issued, p.Skip = r.PostFormValue("text"), get("whose"), get("unit"), get("issued"), get("skip") != ""
	o.As = p.yardID(p.Whose)
	raw, chosen, err := uploaded(r, "file", weatherBytes)
	if err != nil {
		return nil, o, err
	}
	if chosen {
		o.File, p.Text = fileName(r.MultipartForm.File["file"][0].Filename), ""
		p.Again = true
		if len(raw) <= shownBytes && utf8.Valid(raw) {
			p.Text = string(raw)
		}
	} else {
		raw = []byte(p.Text)
	}
	switch {
	case len(raw) > weatherBytes:
		p.Text = ""
		return nil, o, tooBig
	case len(bytes.TrimSpace(raw)) == 0:
		return nil, o, fault.New(fault.Missing, "", "there is no weather to read").WithHint("choose a file, or paste its rows")
	}
	return raw, o, nil
}

// yardID gives the id of a yard that is called by its name; anything else is what it
// is.
func (p *weatherPage) yardID(whose string) string {
	for _, y := range p.Names {
		if y.ID == whose {
			return whose
		}
	}
	for _, y := range p.Names {
		if strings.EqualFold(y.Name, whose) || strings.EqualFold(y.ID, whose) {
			return y.ID
		}
	}
	return whose
}

// weatherTrouble puts what is wrong beside the box where it can be put right.
func (s *Server) weatherTrouble(p *weatherPage, field string, err error) {
	var rows fault.List
	if !errors.As(err, &rows) {
		p.trouble(s.troubleOf(&p.Base, err, field))
		return
	}
	for _, e := range rows {
		p.trouble(s.troubleOf(&p.Base, e, field))
	}
}

// fileName is the name of a file as it may stand in a sentence.
func fileName(typed string) string {
	name := strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) || r == utf8.RuneError {
			return -1
		}
		return r
	}, filepath.Base(strings.ReplaceAll(typed, "\\", "/")))
	if runes := []rune(name); len(runes) > 60 {
		name = string(runes[:60])
	}
	return name
}
