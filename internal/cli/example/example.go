// Package example is a season invented for trying the program: forty colonies
// in four yards that do not exist, kept by nobody. Only its weather is real.
package example

import (
	"embed"

	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
	"larder/internal/weather/demodata"
)

// Files is the season folder, below "season", without its weather.
//
//go:embed season
var Files embed.FS

// Day is the day the example is looked at: late enough for all readings, early
// enough to feed.
const Day = "2015-09-12"

// Station is the weather station of the example's yards.
const Station = "new-york"

// Weather gives the daily weather of New York, 2012 to 2015, as facts seen on
// the day itself, so that as of any day only the past is known.
func Weather() ([]season.Fact, error) {
	f, err := weather.Read(demodata.CSV(), weather.Options{File: "weather.csv", Format: weather.CityCSV, Only: "New York", As: Station})
	if err != nil {
		return nil, err
	}
	var facts []season.Fact
	for _, s := range f.Series {
		for _, d := range s.Days() {
			fact := season.Fact{Seen: units.OnDay(d.Day), Body: d}
			if fact.ID, err = fact.Derive(0); err != nil {
				return nil, err
			}
			facts = append(facts, fact)
		}
	}
	return facts, nil
}
