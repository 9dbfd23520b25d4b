package route

import (
	"math"
	"testing"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
	"pgregory.net/rapid"
)

var set = figure.NewSet(Figures())

func TestGreatCircle(t *testing.T) {
	r := float64(EarthRadius)
	for _, c := range []struct {
		what                   string
		lat1, lon1, lat2, lon2 float64
		want, tol              float64
	}{
		{"a quarter meridian is a quarter of the circle", 0, 0, 90, 0, math.Pi / 2 * r, 1},
		{"opposite points are half the circle apart", 10, 20, -10, -160, math.Pi * r, 1},
		{"one degree of latitude", 45, 7, 46, 7, math.Pi / 180 * r, 0.01},
		{"across the date line", 0, 179.5, 0, -179.5, math.Pi / 180 * r, 0.01},
		{"the same place", 51.5, -0.1, 51.5, -0.1, 0, 0},
		// The common worked example of the haversine formula, Nashville to Los
		// Angeles airport: 2887.26 km on a sphere of 6372.8 km (from memory).
		{"Nashville to Los Angeles", 36.12, -86.67, 33.94, -118.40, 2887.26e3 * r / 6372.8e3, 10},
	} {
		d, err := GreatCircle(c.lat1, c.lon1, c.lat2, c.lon2)
		if err != nil || math.Abs(float64(d)-c.want) > c.tol {
			t.Errorf("%s: %v, %v, want %.1f m", c.what, d, err, c.want)
		}
	}
	for _, c := range [][4]float64{{91, 0, 0, 0}, {0, 0, math.NaN(), 0}, {0, 400, 0, 0}, {0, 0, 0, math.Inf(1)}} {
		if _, err := GreatCircle(c[0], c[1], c[2], c[3]); !fault.Is(err, fault.OutOfRange) {
			t.Errorf("%v: %v, want out of range", c, err)
		}
	}
}

// TestGreatCircleIsADistance: the same both ways, and never longer than by a
// third place. The law of cosines gives the same where it keeps its digits.
func TestGreatCircleIsADistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat, lon := rapid.Float64Range(-90, 90), rapid.Float64Range(-180, 180)
		var la, lo [3]float64
		for i := range 3 {
			la[i], lo[i] = lat.Draw(t, "lat"), lon.Draw(t, "lon")
		}
		d := func(i, j int) float64 {
			x, err := GreatCircle(la[i], lo[i], la[j], lo[j])
			if err != nil {
				t.Fatal(err)
			}
			return float64(x)
		}
		if math.Abs(d(0, 1)-d(1, 0)) > 1e-3 || d(0, 1) > d(0, 2)+d(2, 1)+1 {
			t.Errorf("%v %v %v %v", d(0, 1), d(1, 0), d(0, 2), d(2, 1))
		}
		const rad = math.Pi / 180
		c := math.Sin(la[0]*rad)*math.Sin(la[1]*rad) + math.Cos(la[0]*rad)*math.Cos(la[1]*rad)*math.Cos((lo[1]-lo[0])*rad)
		if math.Abs(c) < 0.999 {
			if want := float64(EarthRadius) * math.Acos(c); math.Abs(d(0, 1)-want) > 1 {
				t.Errorf("%v, by the law of cosines %v", d(0, 1), want)
			}
		}
	})
}

func TestRoads(t *testing.T) {
	places := []Place{
		{ID: "", HasPlace: true, Lat: 45, Lon: 7},
		{ID: "a", HasPlace: true, Lat: 45.1, Lon: 7},
		{ID: "b", HasPlace: true, Lat: 45, Lon: 7.2},
		{ID: "c"},
	}
	told := []Told{
		{From: "", To: "a", Dist: 17000, Time: 1500},
		{From: "a", To: "", Dist: 16000, Time: 1300},
		{From: "b", To: "c", Dist: 5000},
		{From: "", To: "b", Time: 1800},
		{From: "c", To: "", Time: 3600},
	}
	r, err := NewRoads(set, places, told)
	if err != nil {
		t.Fatal(err)
	}
	deg := math.Pi / 180 * float64(EarthRadius)
	for _, c := range []struct {
		what, from, to string
		ok             bool
		km, min        float64
	}{
		{"told", "", "a", true, 17, 25},
		{"told the other way too", "a", "", true, 16, 1300.0 / 60},
		{"told one way, taken back", "c", "b", true, 5, 6},
		{"only minutes told: distance from the map", "", "b", true, 1.3 * 0.2 * deg * math.Cos(45*math.Pi/180) / 1000, 30},
		{"only minutes told, no map: the mean speed", "c", "", true, 50, 60},
		{"nothing told: the map and the mean speed", "a", "b", true, 1.3 * deg / 1000 * math.Hypot(0.1, 0.2*math.Cos(45.05*math.Pi/180)), 0},
		{"no place and nothing told", "a", "c", false, 0, 0},
		{"a place nobody knows", "", "x", false, 0, 0},
		{"staying", "c", "c", true, 0, 0},
	} {
		l, ok := r.Between(c.from, c.to)
		if c.min == 0 {
			c.min = c.km / 50 * 60
		}
		if ok != c.ok || math.Abs(l.Dist.Km()-c.km) > 2e-3*c.km || math.Abs(l.Time.Min()-c.min) > 2e-3*c.min {
			t.Errorf("%s: %v km %v min %v, want %v km %v min %v", c.what, l.Dist.Km(), l.Time.Min(), ok, c.km, c.min, c.ok)
		}
	}
	var none *Roads
	if _, ok := none.Between("", "a"); ok {
		t.Error("no roads know a leg")
	}
}

// TestRoadsByHome: yards that were given the way from home, but home's own place
// on the map, are not beside each other. Kilometres by hand.
func TestRoadsByHome(t *testing.T) {
	home := Place{ID: "", HasPlace: true, Lat: 44.3, Lon: -78.32}
	at := func(id string, lat, lon float64) Place { return Place{ID: id, HasPlace: true, Lat: lat, Lon: lon} }
	deg := math.Pi / 180 * float64(EarthRadius) / 1000
	r, err := NewRoads(set, []Place{home, at("garden", 44.3, -78.32), at("orchard", 44.3, -78.32), at("ridge", 44.3, -78.32), at("over", 44.4, -78.32), at("far", 44.41, -78.32), at("river", 44.35, -78.32)},
		[]Told{{To: "orchard", Dist: 14000}, {To: "ridge", Dist: 31000, Time: 2400}, {To: "over", Dist: 40000}, {To: "far", Dist: 41500}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what, from, to string
		km             float64
		home           bool
	}{
		{"both stand where home is", "orchard", "ridge", 14 + 31, true},
		{"one of them is at home", "garden", "ridge", 31, true},
		{"the ways told from home differ by more than the map has", "river", "over", 1.3*0.05*deg + 40, true},
		{"both across the river, as near as the map says", "over", "far", 1.3 * 0.01 * deg, false},
		{"a way told", "", "ridge", 31, false},
	} {
		l, ok := r.Between(c.from, c.to)
		back, _ := r.Between(c.to, c.from)
		if !ok || math.Abs(l.Dist.Km()-c.km) > 2e-3*c.km || l.Home != c.home || back != l {
			t.Errorf("%s: %v km %v, back %v km, want %v km by home %v", c.what, l.Dist.Km(), l.Home, back.Dist.Km(), c.km, c.home)
		}
	}
	if l, _ := r.Between("orchard", "ridge"); math.Abs(l.Time.Min()-(14.0/50*60+40)) > 1e-9 {
		t.Errorf("%v min from the orchard to the ridge, want those of both ways", l.Time.Min())
	}
}

func TestRoadsRefuses(t *testing.T) {
	for _, c := range []struct {
		what   string
		places []Place
		told   []Told
		kind   fault.Kind
	}{
		{"a place twice", []Place{{ID: "a"}, {ID: "a"}}, nil, fault.Conflict},
		{"latitude", []Place{{ID: "a", HasPlace: true, Lat: 100}}, nil, fault.OutOfRange},
		{"a leg twice", nil, []Told{{From: "a", To: "b", Dist: 1}, {From: "a", To: "b", Dist: 2}}, fault.Conflict},
		{"to itself", nil, []Told{{From: "a", To: "a", Dist: 1}}, fault.Conflict},
		{"backwards", nil, []Told{{From: "a", To: "b", Dist: -1}}, fault.OutOfRange},
		{"no number", nil, []Told{{From: "a", To: "b", Time: units.Duration(math.NaN())}}, fault.OutOfRange},
	} {
		if _, err := NewRoads(set, c.places, c.told); !fault.Is(err, c.kind) {
			t.Errorf("%s: %v, want %v", c.what, err, c.kind)
		}
	}
	slow, err := set.With("route.speed_kmh", 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := NewRoads(slow, nil, nil); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("no speed: %v", err)
	}
}

func TestFigures(t *testing.T) {
	for _, f := range Figures() {
		if !f.InRange(f.Value) || f.Source == "" || f.Unit == "" || f.Grade == "" {
			t.Errorf("%s is not complete: %+v", f.Key, f)
		}
	}
}
