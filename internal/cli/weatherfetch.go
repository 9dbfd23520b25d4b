package cli

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
	"larder/internal/weather/remote"
	"larder/internal/web"
)

type weatherFetchCmd struct {
	Station string `placeholder:"NAME" help:"Only for this station or yard (default: all that open yards use)."`
	Back    int    `default:"2" help:"Days before today to ask for (0 to 92)."`
	Days    int    `default:"7" help:"Days from today on (1 to 16)."`
	Again   bool   `help:"Ask even if the last answer is less than an hour old."`
}

// fetched is what came of one question.
type fetched struct {
	weatherTaken
	Host    string  `json:"host"`
	AgeMin  float64 `json:"age_min"`
	Kept    bool    `json:"kept"`
	Yard    string  `json:"yard"`
	ForYard bool    `json:"at_yard"`
}

// again is how old the last answer may be to be used without asking: services
// that cost nothing renew theirs every hour at most.
const again = time.Hour

// Run asks the keeper's weather service for the days around today.
func (c *weatherFetchCmd) Run(r *run) error {
	if c.Back < 0 || c.Back > 92 {
		return fault.Newf(fault.Usage, "--back", "%d days back are not asked for", c.Back).WithHint("0 to 92")
	}
	if c.Days < 1 || c.Days > 16 {
		return fault.Newf(fault.Usage, "--days", "no forecast worth having goes %d days", c.Days).WithHint("1 to 16")
	}
	if r.AsOf != "" {
		return fault.New(fault.Usage, "--asof", "a forecast is fetched for today").WithHint("leave --asof out")
	}
	if !r.hasBook() {
		return fault.New(fault.Missing, "", "there is no book yet to put the weather into").WithHint("`larder import DIR` makes one")
	}
	w, err := r.weatherBook()
	if err != nil {
		return err
	}
	defer w.close()
	st := w.j.Now()
	s := remote.Service{Template: st.Settings.Service, Nearby: st.Settings.Nearby, Now: r.Now}
	if dir, err := r.dataFolder(); err == nil {
		s.Keep = filepath.Join(dir, "weather")
	}
	if !c.Again {
		s.Again = again
	}
	places, without, err := c.places(st, w.at)
	if err != nil {
		return err
	}
	all := []fetched{}
	for _, p := range places {
		f, err := c.one(w, s, p)
		if err != nil {
			c.print(w, all, nil) // what came stays
			return err
		}
		all = append(all, f)
	}
	if r.JSON {
		return r.printJSON(map[string]any{"as_of": w.at, "answers": all, "without_place": append([]string{}, without...)})
	}
	c.print(w, all, without)
	return nil
}

func (c *weatherFetchCmd) places(st *season.State, at units.Moment) ([]season.FetchPlace, []string, error) {
	places, without := st.FetchPlaces(at)
	if c.Station != "" {
		for _, p := range places {
			if p.Station == c.Station || p.Yard == c.Station {
				return []season.FetchPlace{p}, nil, nil
			}
		}
		return nil, nil, fault.Newf(fault.NotFound, "--station", "no open yard uses %q, or it is not told where that is", c.Station).WithHint("`larder weather list` names them")
	}
	if len(places) == 0 && st.Settings.Service != "" {
		return nil, nil, fault.New(fault.Missing, "", "of no yard is it told where it is").WithHint("lat and lon in yards.csv, or on the yard's page")
	}
	if len(places) == 0 { // the service is what is missing first; remote says so
		places = []season.FetchPlace{{Station: "home"}}
	}
	return places, without, nil
}

// sky asks for the screens as the command does, with its usual days.
func (r *run) sky() web.Sky {
	dir := ""
	if d, err := r.dataFolder(); err == nil {
		dir = filepath.Join(d, "weather")
	}
	return func(ctx context.Context, service string, nearby bool, p season.FetchPlace, today units.Day) (weather.File, time.Time, error) {
		s := remote.Service{Template: service, Nearby: nearby, Keep: dir, Now: r.Now, Again: again}
		ask := remote.Ask{Station: p.Station, Lat: p.Lat, Lon: p.Lon, From: today - 2, To: today + 6, Today: today}
		got, err := s.Fetch(ctx, ask)
		if err != nil {
			return weather.File{}, time.Time{}, withAge(err, s, ask)
		}
		return got.File, got.Fetched, nil
	}
}

func (c *weatherFetchCmd) one(w *weatherBook, s remote.Service, p season.FetchPlace) (fetched, error) {
	today := w.at.Day()
	ask := remote.Ask{Station: p.Station, Lat: p.Lat, Lon: p.Lon, From: today - units.Day(c.Back), To: today + units.Day(c.Days-1), Today: today}
	got, err := s.Fetch(w.r.ctx, ask)
	if err != nil {
		return fetched{}, withAge(err, s, ask)
	}
	file, err := w.j.Now().ServiceWeather(p, got.File)
	if err != nil {
		return fetched{}, err
	}
	t, err := w.take(got.Host, file, units.At(got.Fetched.In(w.at.Time().Location())))
	return fetched{weatherTaken: t, Host: got.Host, AgeMin: got.Age.Minutes(), Kept: got.Kept, Yard: p.Yard, ForYard: !p.AtStation}, err
}

// withAge adds to a failure how old the last answer is.
func withAge(err error, s remote.Service, a remote.Ask) error {
	var e *fault.Error
	last, ok := s.Kept(a)
	if !ok || !errors.As(err, &e) {
		return err
	}
	hint := "the last answer for " + a.Station + " is " + age(last.Age) + " old and is in the book"
	if e.Hint != "" {
		hint = e.Hint + "; " + hint
	}
	return e.WithHint("%s", hint)
}

func age(d time.Duration) string {
	return units.Style{Decimal: '.'}.Duration(units.Duration(d.Seconds()))
}

func (c *weatherFetchCmd) print(w *weatherBook, all []fetched, without []string) {
	if w.r.JSON {
		return
	}
	for i := range all {
		f := &all[i]
		w.print(&f.weatherTaken)
		if f.Kept {
			para(w.r.Out, "  ", "the last answer, "+age(time.Duration(f.AgeMin*float64(time.Minute)))+" old, was used; --again asks anew")
		}
	}
	for _, y := range without {
		fmt.Fprintf(w.r.Out, "yard %s: nothing asked, where it is was not told\n", y)
	}
}
