package season_test

import (
	"strings"
	"testing"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
)

func series(t *testing.T, days ...weather.Day) []weather.Series {
	t.Helper()
	s, err := weather.MakeSeries("valley", days)
	if err != nil {
		t.Fatal(err)
	}
	return []weather.Series{s}
}

// take puts days into a journal and gives what became of them.
func take(t *testing.T, j *season.Journal, in season.WeatherIn) season.StationTaken {
	t.Helper()
	got, err := j.TakeWeather(in)
	if err != nil {
		t.Fatal(err)
	}
	if n, err := j.Add(got.Facts...); err != nil || n != len(got.Facts) {
		t.Fatalf("%d of %d facts were new, %v", n, len(got.Facts), err)
	}
	return got.Stations[0]
}

func TestTakeWeather(t *testing.T) {
	d := units.DayOf(2026, 9, 10)
	at := units.OnDay(d + 20)
	high := func(day units.Day, c units.Temp) weather.Day { return weather.Day{Day: day, TMax: c, HasMax: true} }
	j := season.NewJournal()
	rainy := high(d, 20)
	rainy.Rain, rainy.HasRain = 3, true
	place := []weather.Station{{ID: "valley", HasElev: true, Elev: 200}}
	first := season.WeatherIn{Series: series(t, rainy, high(d+1, 18), high(d+5, 15)), Places: place, At: at}
	if g := take(t, j, first); g.New != 3 || g.Changed+g.Same != 0 || !g.Place || len(g.Gaps) != 1 || g.Gaps[0].Days() != 3 || !g.Gaps[0].Filled {
		t.Errorf("first: %+v", g)
	}
	if g := take(t, j, first); g.Same != 3 || g.New+g.Changed != 0 || g.Place {
		t.Errorf("again: %+v", g)
	}
	// To and fro: each correction holds, and the rain told before stays.
	for i, c := range []units.Temp{22, 20, 22} {
		g := take(t, j, season.WeatherIn{Series: series(t, high(d, c)), At: units.OnDay(at.Day() + units.Day(i))})
		if got := j.Now().Weather("valley")[0]; g.Changed != 1 || got.TMax != c || got.Rain != 3 {
			t.Errorf("%v: %+v, %+v", c, g, got)
		}
	}
	if p, ok := j.Now().StationPlace("valley"); !ok || p.Elev != 200 {
		t.Errorf("%+v", p)
	}
}

// A forecast holds until a later one or until it is measured, in whatever order
// they come.
func TestTakeForecast(t *testing.T) {
	d := units.DayOf(2026, 9, 10)
	foretold := func(c units.Temp) []weather.Series {
		return series(t, weather.Day{Day: d, TMax: c, HasMax: true, Forecast: true})
	}
	j := season.NewJournal()
	on := func(days units.Day) units.Moment { return units.OnDay(d - 10 + days) }
	is := func(want units.Temp, forecast bool, made units.Day) {
		t.Helper()
		st := j.Now()
		if got := st.Weather("valley")[0]; got.TMax != want || got.Forecast != forecast || st.Foretold("valley").Day() != d-10+made {
			t.Errorf("%+v of %v", got, st.Foretold("valley"))
		}
	}
	take(t, j, season.WeatherIn{Series: foretold(10), At: on(5), Issued: on(5)})
	is(10, true, 5)
	if g := take(t, j, season.WeatherIn{Series: foretold(10), At: on(6), Issued: on(5)}); g.Same != 1 {
		t.Errorf("again: %+v", g)
	}
	take(t, j, season.WeatherIn{Series: foretold(9), At: on(6), Issued: on(3)}) // an older one, late
	is(10, true, 5)
	take(t, j, season.WeatherIn{Series: foretold(10), At: on(7), Issued: on(7)}) // unchanged, but newer
	is(10, true, 7)
	take(t, j, season.WeatherIn{Series: foretold(12), At: on(8), Issued: on(7)}) // two of one day: the later told
	is(12, true, 7)
	take(t, j, season.WeatherIn{Series: series(t, weather.Day{Day: d, TMax: 14, HasMax: true}), At: on(11)})
	take(t, j, season.WeatherIn{Series: foretold(2), At: on(12), Issued: on(9)})
	is(14, false, 9)
	// What was known on the eighth day is still what was known.
	if got := j.AsOf(on(8)).Weather("valley")[0]; got.TMax != 12 || !got.Forecast {
		t.Errorf("as of the eighth: %+v", got)
	}
}

func TestFetchPlaces(t *testing.T) {
	j := season.NewJournal()
	for i, b := range []any{
		apiary.Yard{ID: "a", HasPlace: true, Lat: 42, Lon: -76},                    // nothing known: its own
		apiary.Yard{ID: "b", HasPlace: true, Lat: 43, Lon: -76, Station: "valley"}, // the station's place
		apiary.Yard{ID: "c", HasPlace: true, Lat: 44, Lon: -76, Station: "valley"}, // once
		apiary.Yard{ID: "d"}, // nowhere
		apiary.Yard{ID: "e", HasPlace: true, Closed: true},
		weather.Station{ID: "valley", HasPlace: true, Lat: 42.5, Lon: -76.5, HasElev: true, Elev: 200},
	} {
		if _, err := j.Add(season.Fact{ID: season.ID{15: byte(i + 1)}, Seen: units.OnDay(20000), Body: b}); err != nil {
			t.Fatal(err)
		}
	}
	places, without := j.Now().FetchPlaces(units.OnDay(20001))
	if len(places) != 2 || len(without) != 1 || without[0] != "d" ||
		places[0] != (season.FetchPlace{Station: "a", Yard: "a", Lat: 42, Lon: -76, Fresh: true}) ||
		places[1] != (season.FetchPlace{Station: "valley", Yard: "b", Lat: 42.5, Lon: -76.5, AtStation: true}) {
		t.Errorf("%+v %v", places, without)
	}
	// The service's box lies 300 m above the station: 1.95 °C warmer down there.
	f := weather.File{Series: series(t, weather.Day{Day: 20001, TMax: 10, HasMax: true}), Stations: []weather.Station{{ID: "valley", HasElev: true, Elev: 500}}}
	got, err := j.Now().ServiceWeather(places[1], f)
	if x := got.Series[0].Days()[0].TMax; err != nil || x < 11.949 || x > 11.951 || got.Stations != nil {
		t.Errorf("%v %v %v", x, got.Stations, err)
	}
}

func TestServiceSetting(t *testing.T) {
	for v, ok := range map[string]bool{
		"https://weather.example/daily?a={lat}&b={lon}&c={from}&d={to}": true, "http://10.0.0.2:8080/{lat}/{lon}": true, "": true,
		"weather.example/{lat}/{lon}": false, "ftp://weather.example/{lat}/{lon}": false, "https://weather.example/": false, "https://{lat}.example/{lon}": false,
		"https://a:b@weather.example/{lat}{lon}": false, "https://weather.example/{lat}{lon}{key}": false, "https://weather.example/{lat}{lon}{": false,
		"https:///{lat}{lon}": false, "https://weather.example/ {lat}{lon}": false, "https://weather.example/{lat}{lon}" + strings.Repeat("x", 1000): false,
	} {
		f := season.Fact{ID: season.ID{15: 1}, Seen: units.OnDay(20000), Body: season.Setting{Key: "weather.service", Value: v}}
		if err := f.Check(); (err == nil) != ok || err != nil && !fault.Is(err, fault.NotUnderstood) {
			t.Errorf("%q: %v", v, err)
		}
	}
}
