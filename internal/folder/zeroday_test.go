package folder

import (
	"strings"
	"testing"
	"testing/fstest"

	"larder/internal/season"
	"larder/internal/weather"
)

// The one day that stands for "no day" costs its own row and no other; it is said.
func TestZeroDayOfALongRecord(t *testing.T) {
	facts, rep, err := ReadReport(fstest.MapFS{
		"season.toml": {Data: []byte("format = 1\nsince = 1969-01-01\n[house]\nunits = \"metric\"\n")},
		"weather.csv": {Data: []byte("station,date,tmax\na,1969-12-31,1\na,1970-01-01,2\na,1970-01-02,3\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, f := range facts {
		if _, ok := f.Body.(weather.Day); ok {
			n++
		}
	}
	said := 0
	for _, w := range rep.Warnings {
		if strings.Contains(w.Say, "1 January 1970") && strings.Contains(w.Thing, "weather.csv row 3") {
			said++
		}
	}
	if n != 2 || said != 1 {
		t.Errorf("%d days, said %d times: %+v", n, said, rep.Warnings)
	}
	if _, err := Read(fstest.MapFS{"weather.csv": {Data: []byte("station,date,tmax_c\na,1970-13-01,2\n")}}); err == nil {
		t.Error("a day that is none is taken")
	}
}

// An amount in settings.csv is in the folder's own units, as it is in season.toml:
// a gallon of a UK house is 4.54609 L (Weights and Measures Act 1985, schedule 1).
func TestSettingsAreInTheUnitsOfTheFolder(t *testing.T) {
	for house, want := range map[string]string{"uk": "40 UK gal", "us": "40 US gal"} {
		facts, err := Read(fstest.MapFS{
			"season.toml":  {Data: []byte("format = 1\nsince = 2026-01-01\n[house]\nunits = \"" + house + "\"\n[rig]\ntank = \"40 gal\"\n")},
			"settings.csv": {Data: []byte("seen,key,value\n2026-02-01,rig.tank,40 gal\n2026-03-01,rig.tank,\n2026-04-01,rig.tank,40 US gal\n")},
		})
		if err != nil {
			t.Fatal(err)
		}
		got := map[string]string{}
		for _, f := range facts {
			if s, ok := f.Body.(season.Setting); ok && s.Key == "rig.tank" {
				got[f.Seen.String()] = s.Value
			}
		}
		for day, w := range map[string]string{"2026-01-01": want, "2026-02-01": want, "2026-03-01": "", "2026-04-01": "40 US gal"} {
			if got[day] != w {
				t.Errorf("%s: %s: %q, want %q", house, day, got[day], w)
			}
		}
	}
}
