package web

import (
	"context"
	"testing"
	"time"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
)

// Nothing is fetched, and no button is there, unless a service is chosen; then it is
// asked when the button is pressed, and at no other time.
func TestFetchWeatherNow(t *testing.T) {
	asked, down, now := 0, false, smallNow.AddDate(0, 0, 1) // the day after the last forecast
	o := Options{Sky: func(_ context.Context, service string, nearby bool, p season.FetchPlace, today units.Day) (weather.File, time.Time, error) {
		asked++
		if service != "https://weather.example/?a={lat}&o={lon}" || nearby || p.Station != "s" || today != sept(5) {
			t.Errorf("asked %s %v %+v %s", service, nearby, p, today)
		}
		if down {
			return weather.File{}, time.Time{}, fault.New(fault.Unreachable, "weather.example", "it does not answer")
		}
		days := []weather.Day{{Station: "s", Day: sept(5), TMax: 23, TMin: 10, HasMax: true, HasMin: true, Forecast: true}, {Station: "s", Day: sept(6), TMax: 11, TMin: 6, HasMax: true, HasMin: true, Forecast: true}}
		series, err := weather.MakeSeries("s", days)
		return weather.File{Series: []weather.Series{series}}, now, err
	}}
	s := newSiteWith(t, now, o, smallSeason(t)...)
	s.get("/stop").hasNot("Fetch the weather now")
	if a := s.post("/stop/weather/fetch"); a.Code != 422 || asked != 0 {
		t.Errorf("%d, asked %d times", a.Code, asked)
	}
	s.done("/house", "weather.service", "https://weather.example/?a={lat}&o={lon}")
	s.marked()
	s.get("/stop").has("Fetch the weather now", "weather.example")
	s.get("/house").has("The weather of your yards, from weather.example")
	if asked != 0 {
		t.Error("the page asked by itself")
	}
	s.done("/stop/weather/fetch")
	n := len(s.bodies())
	if n == 0 || asked != 1 {
		t.Errorf("%d facts, asked %d times", n, asked)
	}
	s.srv.house.view(func(st *season.State, _ units.Moment) {
		for _, d := range st.Weather("s") {
			if d.Day == sept(6) && d.TMax != 11 {
				t.Errorf("%+v: not what was told", d)
			}
		}
	})
	s.done("/stop/weather/fetch")
	if b := s.bodies(); len(b) != 0 {
		t.Errorf("told again, %+v was written", b)
	}
	s.get("/stop?same=1").has("The service told nothing that was not known.")
	down = true
	a := s.post("/stop/weather/fetch")
	if a.Code != 503 || len(s.bodies()) != 0 {
		t.Error(a.Code)
	}
	a.has("it does not answer")
	if a := newSmallSite(t).post("/stop/weather/fetch"); a.Code != 404 {
		t.Errorf("where nothing is fetched from: %d", a.Code)
	}
}
