package web

import (
	"math"
	"testing"

	"larder/internal/fault"
	"larder/internal/season"
)

func TestReadPlace(t *testing.T) {
	for _, c := range []struct {
		text     string
		name     string
		lat, lon float64
	}{
		{"Ithaca, NY", "Ithaca, NY", 42.44, -76.50},
		{"ithaca ny", "Ithaca, NY", 42.44, -76.50},
		{"Ithaca, New York", "Ithaca, NY", 42.44, -76.50},
		{"St. Louis, MO", "Saint Louis, MO", 38.63, -90.20},
		{"Trumansburg", "Trumansburg, NY", 42.54, -76.66},
		{"42.44, -76.50", "", 42.44, -76.50},
		{"42.44 N 76.5 W", "", 42.44, -76.5},
		{"−33.9°, 151.2°", "", -33.9, 151.2},
		{"33.9S 151.2E", "", -33.9, 151.2},
	} {
		p, _, err := readPlace(c.text)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		if c.name != "" && p.String() != c.name {
			t.Errorf("%q is %s", c.text, p)
		}
		if math.Abs(p.Lat-c.lat) > 0.1 || math.Abs(p.Lon-c.lon) > 0.1 {
			t.Errorf("%q lies at %v, %v", c.text, p.Lat, p.Lon)
		}
	}
	for text, want := range map[string]fault.Kind{
		"": fault.Missing, "Springfield": fault.Conflict, "Atlantis, NY": fault.NotFound, "95, 10": fault.OutOfRange, "42.4": fault.NotFound, "O 5": fault.NotFound,
	} {
		if _, _, err := readPlace(text); !fault.Is(err, want) {
			t.Errorf("%q: %v, want %v", text, err, want)
		}
	}
	if _, near, _ := readPlace("Trumansbrg, NY"); len(near) == 0 || near[0].Name != "Trumansburg" {
		t.Errorf("near: %v", near)
	}
}

// The list agrees with the places of the climate table, which come from
// elsewhere (airports).
func TestTownsLieWhereTheyShould(t *testing.T) {
	n, far := 0, 0
	for _, c := range season.Normals() {
		p, _, err := readPlace(c.Place)
		if err != nil {
			continue
		}
		n++
		if math.Abs(p.Lat-c.Lat) > 0.35 || math.Abs(p.Lon-c.Lon) > 0.45 {
			far++
			t.Logf("%s: %v %v, %v %v", c.Place, p.Lat, p.Lon, c.Lat, c.Lon)
		}
	}
	if n < 200 || far > 0 {
		t.Errorf("%d towns looked up, %d far off", n, far)
	}
	if len(townsGZ) > 300_000 {
		t.Errorf("the list is %d bytes", len(townsGZ))
	}
}

func FuzzReadPlace(f *testing.F) {
	for _, s := range []string{"Ithaca, NY", "42.44, -76.5", "x", ",", "S", "1e999 2", "°"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if p, _, err := readPlace(s); err == nil && !(p.Lat >= -90 && p.Lat <= 90 && p.Lon >= -180 && p.Lon <= 180) {
			t.Errorf("%q: %+v", s, p)
		}
	})
}
