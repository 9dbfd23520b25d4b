package folder

import (
	"io/fs"
	"slices"
	"strings"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
)

// weatherDir is the folder for files of weather services, as they come: one
// file for each station, called like the series it is to be.
const weatherDir = "weather"

// weatherFolder reads the files of the folder weather.
func (l *loader) weatherFolder() {
	if !l.hasWeather() {
		return
	}
	entries, err := fs.ReadDir(l.fsys, weatherDir)
	if err != nil {
		l.tell(&fault.Error{Kind: fault.Damaged, Thing: weatherDir, Say: "the folder cannot be read", Err: err})
		return
	}
	for _, e := range entries {
		if e.IsDir() || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		l.weatherFile(weatherDir + "/" + e.Name())
	}
}

// weatherFile reads one of them. A file of one station is called like the file;
// one of several keeps the names it has.
func (l *loader) weatherFile(name string) {
	b, err := readFile(l.fsys, name, name)
	if err != nil {
		l.tell(err)
		return
	}
	o := weather.Options{File: name, As: base(name)}
	f, err := weather.Read(b, o)
	if fault.Is(err, fault.Conflict) {
		o.As = ""
		f, err = weather.Read(b, o)
	}
	if fault.Is(err, fault.Missing) && f.Format == weather.CSV && l.house.systemTold {
		// A table without units in its head: those usual with the house.
		o.Scale = weather.Celsius
		taken := "°C and mm"
		if l.house.system == 0 {
			o.Scale, taken = weather.Fahrenheit, "°F and inches"
		}
		if f, err = weather.Read(b, o); err == nil {
			l.warn(name, "numbers without a unit taken as "+taken, "put the unit into the head: tmax_c or tmax_f, rain_mm or rain_in")
		}
	}
	if err != nil {
		l.weatherTrouble(err)
		return
	}
	n := Count{File: name}
	for _, s := range f.Series {
		var issued units.Day // of a forecast: the first day it speaks of
		for _, d := range s.Days() {
			n.Rows++
			seen := d.Day
			if d.Forecast {
				if issued == 0 {
					issued = d.Day
				}
				seen = issued
			}
			fact := season.Fact{ID: someID, Seen: units.OnDay(seen), Body: d}
			if err := fact.Check(); err != nil {
				l.tell(placed(err, name+", "+d.Day.String(), "", ""))
				continue
			}
			fact.ID = season.ID{}
			l.got = append(l.got, placedFact{fact: fact, file: name + ", " + d.Day.String()})
			n.Facts++
		}
	}
	l.rep.Tables = append(l.rep.Tables, n)
	for _, r := range f.Notes {
		l.warn(name, units.Style{System: l.house.system}.Say(r.Say, r.Amounts), "")
	}
}

// weatherTrouble tells the troubles of a weather file one by one.
func (l *loader) weatherTrouble(err error) {
	if list, ok := err.(fault.List); ok {
		l.errs = slices.Concat(l.errs, list)
		return
	}
	l.tell(err)
}
