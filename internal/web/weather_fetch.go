package web

import (
	"context"
	"net/http"
	"net/url"
	"time"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
)

// Sky asks the weather service the keeper chose about one place and the days
// around today, and tells when it answered.
type Sky func(ctx context.Context, service string, nearby bool, p season.FetchPlace, today units.Day) (f weather.File, fetched time.Time, err error)

// skyTime is how long all places of one press of the button may take: less than a
// page may. Pressed again, what came within the hour is not asked for anew.
const skyTime = 45 * time.Second

// serviceHost names the weather service that would be asked, "" where none is
// chosen or nothing is fetched from here.
func (s *Server) serviceHost(st *season.State) string {
	if s.options.Sky == nil || st.Settings.Service == "" {
		return ""
	}
	u, err := url.Parse(st.Settings.Service)
	if err != nil {
		return st.Settings.Service
	}
	return u.Hostname()
}

// fetchWeather asks for the weather of all open yards, because the keeper pressed
// the button: nothing is ever fetched otherwise.
func (s *Server) fetchWeather(w http.ResponseWriter, r *http.Request) {
	var places []season.FetchPlace
	var set season.Settings
	var at units.Moment
	s.house.view(func(st *season.State, now units.Moment) {
		set, at = st.Settings, now
		places, _ = st.FetchPlaces(now)
	})
	switch {
	case s.options.Sky == nil:
		s.fail(w, r, fault.New(fault.NotFound, "", "weather is not fetched from here"))
		return
	case set.Service == "":
		s.fail(w, r, fault.New(fault.Missing, "", "no weather service is chosen").WithHint("House, Weather, takes the address of one; without it nothing is fetched"))
		return
	case len(places) == 0:
		s.fail(w, r, fault.New(fault.Missing, "", "of no yard is it told where it is").WithHint("the place stands on the yard's page"))
		return
	}
	ctx, stop := context.WithTimeout(r.Context(), skyTime)
	defer stop()
	var facts []season.Fact
	var bad error
	for _, p := range places {
		got, err := s.askSky(ctx, set, p, at)
		if bad = err; bad != nil {
			break // what came stays
		}
		facts = append(facts, got...)
	}
	act, err := s.house.append(r.Context(), "weather", facts...)
	if err == nil {
		err = bad
	}
	if err != nil {
		s.fail(w, r, err)
		return
	}
	to := "/stop"
	if len(facts) == 0 {
		to = "/stop?same=1"
	}
	s.done(w, r, to, act)
}

// askSky asks about one place and makes facts of the answer that the book does not
// have.
func (s *Server) askSky(ctx context.Context, set season.Settings, p season.FetchPlace, at units.Moment) ([]season.Fact, error) {
	file, fetched, err := s.options.Sky(ctx, set.Service, set.Nearby, p, at.Day())
	if err != nil {
		return nil, err
	}
	s.house.mu.Lock()
	defer s.house.mu.Unlock()
	if file, err = s.house.journal.Now().ServiceWeather(p, file); err != nil {
		return nil, err
	}
	// To the minute, as all that is written down here: a later strike is not before it.
	issued := units.At(fetched.In(at.Time().Location()).Truncate(time.Minute))
	got, err := s.house.journal.TakeWeather(season.WeatherIn{Series: file.Series, Places: file.Stations, At: at, Issued: issued})
	for i := range got.Facts {
		got.Facts[i].ID = s.house.newID() // undone and fetched again it is another fact
	}
	return got.Facts, err
}
