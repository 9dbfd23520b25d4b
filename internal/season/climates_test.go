package season_test

import (
	"math"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

func TestClimateClassesAreThoseOfClimateOf(t *testing.T) {
	for _, k := range season.ClimateClasses() {
		for _, x := range []units.Temp{k.Low, k.High} {
			if math.IsNaN(float64(x)) {
				continue
			}
			up, down := season.ClimateOf(x+0.01), season.ClimateOf(x-0.01)
			if x == k.Low && (up != k.Class || down == k.Class) || x == k.High && (down != k.Class || up == k.Class) {
				t.Errorf("%s begins or ends at %v, but around it are %s and %s", k.Class, x, down, up)
			}
		}
	}
}

// The mean Januaries are those of the NOAA table; the classes follow from them.
func TestClimateNear(t *testing.T) {
	figs := season.DefaultFigures()
	for _, c := range []struct {
		name     string
		lat, lon float64
		want     apiary.Climate
		jan      float64 // °F
	}{
		{"Syracuse, NY", 43.05, -76.15, apiary.Cold, 23.6},
		{"Seattle, WA", 47.6, -122.3, apiary.Mild, 42.0},
		{"Miami, FL", 25.8, -80.2, apiary.Warm, 68.2},
		{"Philadelphia, PA", 39.95, -75.16, apiary.Temperate, 33.0},
		{"International Falls, MN", 48.6, -93.4, apiary.VeryCold, 4.4},
	} {
		got, near, err := season.ClimateNear(c.lat, c.lon, figs)
		if err != nil || got != c.want || near.Place != c.name {
			t.Errorf("%s: %s by %s, %v", c.name, got, near.Place, err)
		}
		if d := float64(near.January) - (c.jan-32)/1.8; math.Abs(d) > 0.051 {
			t.Errorf("%s: January %v, the table says %.1f °F", c.name, near.January, c.jan)
		}
	}
	if _, _, err := season.ClimateNear(51.5, -0.1, figs); !fault.Is(err, fault.NotKnownHere) {
		t.Errorf("London: %v", err)
	}
	if _, _, err := season.ClimateNear(math.NaN(), 0, figs); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("nowhere: %v", err)
	}
}

func TestNormalsLieInTheirStates(t *testing.T) {
	n := season.Normals()
	if len(n) < 200 {
		t.Fatalf("%d places", len(n))
	}
	for _, x := range n {
		if !(x.Lat > 18 && x.Lat < 72 && x.Lon > -180 && x.Lon < -66) || x.January < -30 || x.January > 25 {
			t.Errorf("%+v", x)
		}
	}
	// Up north is colder than down south, all in all.
	if r := correlation(n); r > -0.8 {
		t.Errorf("latitude and January go together with r = %.2f", r)
	}
}

func correlation(n []season.Normal) float64 {
	var x, y, xx, yy, xy float64
	for _, p := range n {
		a, b := p.Lat, float64(p.January)
		x, y, xx, yy, xy = x+a, y+b, xx+a*a, yy+b*b, xy+a*b
	}
	k := float64(len(n))
	return (k*xy - x*y) / math.Sqrt((k*xx-x*x)*(k*yy-y*y))
}

func TestSuggestStop(t *testing.T) {
	figs := season.DefaultFigures()
	last := units.DayOf(2100, time.January, 1)
	for _, k := range season.ClimateClasses() { // mildest first
		d, err := season.SuggestStop(k.Class, units.DayOf(2026, time.August, 1), false, figs)
		if err != nil || d.Year() != 2026 || d >= last {
			t.Errorf("%s: %v %v", k.Class, d, err)
		}
		last = d
		south, err := season.SuggestStop(k.Class, units.DayOf(2026, time.February, 1), true, figs)
		if err != nil || south.Year() != 2026 || south.Month() > time.June || south.Month() < time.March {
			t.Errorf("%s in the south: %v %v", k.Class, south, err)
		}
	}
	for day, year := range map[units.Day]int{
		units.DayOf(2026, time.March, 3): 2026, units.DayOf(2026, time.November, 25): 2026, units.DayOf(2027, time.January, 2): 2027,
	} {
		if d, err := season.SuggestStop(apiary.Cold, day, false, figs); err != nil || d.Year() != year {
			t.Errorf("on %s the stop day is %s, %v", day, d, err)
		}
	}
	if d, err := season.SuggestStop(apiary.Cold, units.DayOf(2026, time.October, 3), true, figs); err != nil || d.Year() != 2027 {
		t.Errorf("in the southern spring the stop day is %s, %v", d, err)
	}
	if _, err := season.SuggestStop("", units.DayOf(2026, time.August, 1), false, figs); !fault.Is(err, fault.NotKnownHere) {
		t.Error(err)
	}
}
