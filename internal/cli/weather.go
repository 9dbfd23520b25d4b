package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
)

type weatherCmds struct {
	Read  weatherReadCmd  `cmd:"" default:"withargs" help:"Take weather files into the book."`
	List  weatherListCmd  `cmd:"" help:"What weather is known, and which yard uses which."`
	Fetch weatherFetchCmd `cmd:"" help:"Fetch the forecast from the weather service of your choice."`
}

type weatherReadCmd struct {
	Files   []string `arg:"" help:"Weather files: your own table, GHCN-Daily, DWD, open JSON, a scale's log."`
	Station string   `placeholder:"NAME" help:"Whose weather it is: a yard or a station. Needed where the file does not say."`
	Only    string   `placeholder:"ID" help:"Of a file of many stations take only this one."`
	In      string   `enum:"c,f,tenths,said" default:"said" help:"Units, where the file does not say them: c (°C, mm), f (°F, inches), tenths (of °C and mm)."`
	Issued  string   `placeholder:"DATE" help:"Day a forecast was made (default: its first day)."`
}

// weatherTaken is what became of one file or answer.
type weatherTaken struct {
	File     string             `json:"file"`
	Format   weather.Format     `json:"format"`
	Notes    []season.ReasonDoc `json:"notes"`
	Stations []stationTaken     `json:"stations"`
}

type stationTaken struct {
	Station  string    `json:"station"`
	Days     int       `json:"days"`
	New      int       `json:"new"`
	Changed  int       `json:"changed"`
	Same     int       `json:"same"`
	Forecast int       `json:"forecast_days"`
	First    units.Day `json:"first"`
	Last     units.Day `json:"last"`
	Gaps     []gapJSON `json:"gaps"`
	Place    bool      `json:"place_new"`
}

type gapJSON struct {
	First  units.Day `json:"first"`
	Last   units.Day `json:"last"`
	Days   int       `json:"days"`
	Filled bool      `json:"filled"`
}

// Run takes weather files into the book. What the book has is passed over.
func (c *weatherReadCmd) Run(r *run) error {
	o := weather.Options{Only: c.Only, As: c.Station}
	var err error
	if c.In != "said" {
		if o.Scale, err = weather.ParseScale(c.In); err != nil {
			return usage(err, "--in")
		}
	}
	var issued units.Moment
	if c.Issued != "" {
		if o.Issued, err = units.ParseDay(c.Issued); err != nil {
			return usage(err, "--issued")
		}
		issued = units.OnDay(o.Issued)
	}
	w, err := r.weatherBook()
	if err != nil {
		return err
	}
	defer w.close()
	var all []weatherTaken
	for _, name := range c.Files {
		f, err := readWeather(name, o)
		if err != nil {
			return err
		}
		if o.Scale != weather.NotTold {
			f.Notes = append(f.Notes, weather.UnitsTold(o.Scale))
		}
		t, err := w.take(filepath.Base(name), f, issued)
		if err != nil {
			return err
		}
		all = append(all, t)
	}
	if r.JSON {
		return r.printJSON(map[string]any{"files": all})
	}
	for i := range all {
		w.print(&all[i])
	}
	return nil
}

func readWeather(name string, o weather.Options) (weather.File, error) {
	info, err := os.Stat(name)
	if err != nil || info.IsDir() {
		return weather.File{}, fault.New(fault.NotFound, name, "there is no such file")
	}
	if info.Size() > weather.MaxBytes {
		return weather.File{}, fault.Newf(fault.OutOfRange, name, "%d MB is too large for a weather file", info.Size()>>20)
	}
	b, err := os.ReadFile(name)
	if err != nil {
		return weather.File{}, &fault.Error{Kind: fault.NotFound, Thing: name, Say: "this file cannot be read", Err: err}
	}
	o.File = filepath.Base(name)
	f, err := weather.Read(b, o)
	if e, ok := err.(*fault.Error); ok && e.Kind == fault.Missing { // say it in the words of this command
		switch {
		case errors.Is(err, weather.ErrStation):
			err = e.WithHint("--station NAME, the yard or station it belongs to")
		case errors.Is(err, weather.ErrUnits):
			err = e.WithHint("--in c, --in f or --in tenths; or %s", e.Hint)
		}
	}
	return f, err
}

// weatherBook is a book that weather is taken into.
type weatherBook struct {
	r    *run
	book season.Book
	j    *season.Journal
	at   units.Moment
	s    units.Style
	figs figure.Set
}

func (r *run) weatherBook() (*weatherBook, error) {
	b, err := r.openBook()
	if err != nil {
		return nil, err
	}
	w := &weatherBook{r: r, book: b}
	if w.j, err = journalOf(r.ctx, b); err == nil {
		set := w.j.Now().Settings
		w.s = r.style(set.Style())
		w.figs, _ = set.FigureSet()
		var zone *time.Location
		if zone, err = set.Location(time.LoadLocation); err == nil {
			w.at, err = r.asOf(zone)
		}
	}
	if err != nil {
		w.close()
		return nil, err
	}
	return w, nil
}

func (w *weatherBook) close() { w.book.Close() }

// take puts what was read into the book and tells what came of it.
func (w *weatherBook) take(name string, f weather.File, issued units.Moment) (weatherTaken, error) {
	t := weatherTaken{File: name, Format: f.Format, Notes: []season.ReasonDoc{}, Stations: []stationTaken{}}
	got, err := w.j.TakeWeather(season.WeatherIn{Series: f.Series, Places: f.Stations, At: w.at, Issued: issued})
	if err != nil {
		return t, err
	}
	if err := w.book.Append(w.r.ctx, got.Facts...); err != nil {
		return t, err
	}
	if _, err := w.j.Add(got.Facts...); err != nil {
		return t, err
	}
	for _, n := range f.Notes {
		t.Notes = append(t.Notes, season.ReasonDoc{Code: n.Code, Say: w.s.Say(n.Say, n.Amounts)})
	}
	for _, s := range got.Stations {
		out := stationTaken{Station: s.Station, Days: s.Read, New: s.New, Changed: s.Changed, Same: s.Same, Forecast: s.Forecast, First: s.First, Last: s.Last, Gaps: gapsJSON(s.Gaps), Place: s.Place}
		t.Stations = append(t.Stations, out)
	}
	return t, nil
}

func gapsJSON(gaps []weather.Gap) []gapJSON {
	out := []gapJSON{}
	for _, g := range gaps {
		out = append(out, gapJSON{g.First, g.Last, g.Days(), g.Filled})
	}
	return out
}

func (w *weatherBook) print(t *weatherTaken) {
	for _, s := range t.Stations {
		fmt.Fprintf(w.r.Out, "%s (%s): %s, %d days from %s to %s\n", t.File, t.Format, s.Station, s.Days, s.First, s.Last)
		said := []string{fmt.Sprintf("%d new to the book, %d corrected, %d there already", s.New, s.Changed, s.Same)}
		if s.Forecast > 0 {
			said = append(said, fmt.Sprintf("%d of them forecast: measured days will take their place", s.Forecast))
		}
		said = append(said, w.sayGaps(s.Gaps))
		if s.Place {
			said = append(said, "where the station stands is noted from the file")
		}
		for _, x := range said {
			para(w.r.Out, "  ", x)
		}
	}
	for _, n := range t.Notes {
		para(w.r.Out, "  ! ", n.Say)
	}
}

// sayGaps tells the days without a high, the longest first to be named.
func (w *weatherBook) sayGaps(gaps []gapJSON) string {
	filled, open, days := 0, 0, 0
	var longest gapJSON
	for _, g := range gaps {
		if g.Filled {
			filled++
			continue
		}
		open++
		days += g.Days
		if g.Days > longest.Days {
			longest = g
		}
	}
	var say []string
	if len(gaps) == 0 {
		say = append(say, "no gaps")
	}
	if filled > 0 {
		say = append(say, fmt.Sprintf("short gaps: %d, of up to %s days, filled on a straight line between the days beside them", filled, w.s.Num(w.figs.V("weather.fill_days"), 0)))
	}
	if open > 0 {
		say = append(say, fmt.Sprintf("longer gaps: %d, of %d days in all, stay unknown; the longest %s to %s", open, days, longest.First, longest.Last))
	}
	return strings.Join(say, "; ")
}
