package folder

import (
	"testing"
	"testing/fstest"

	"larder/internal/units"
	"larder/internal/weather"
)

// A forecast in the folder weather was made on the first day it speaks of: it is
// known from then on, not only on the days it is about.
func TestForecastFileIsOfItsFirstDay(t *testing.T) {
	facts, err := Read(fstest.MapFS{
		"season.toml":       {Data: []byte("format = 1\nsince = 2026-01-01\n")},
		"weather/home.json": {Data: []byte(`{"daily_units":{"temperature_2m_max":"°C"},"daily":{"time":["2026-10-01","2026-10-02"],"temperature_2m_max":[12,13]}}`)},
	})
	if err != nil || len(facts) != 2 {
		t.Fatal(len(facts), err)
	}
	for _, f := range facts {
		if d := f.Body.(weather.Day); !d.Forecast || f.Seen != units.OnDay(units.DayOf(2026, 10, 1)) {
			t.Errorf("%+v seen %s", d, f.Seen)
		}
	}
}
