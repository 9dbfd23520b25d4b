package weather

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"larder/internal/fault"
	"larder/internal/units"
)

// TestDistanceKnown: a degree of the equator and half the earth by arithmetic;
// Nashville to Los Angeles airport is the worked case much used for the
// haversine, 2886.444 km on a sphere of 6371 km (quoted from memory).
func TestDistanceKnown(t *testing.T) {
	r := earthRadius.Km()
	for _, c := range []struct {
		name               string
		la1, lo1, la2, lo2 float64
		km                 float64
	}{
		{"no way at all", 43, -88, 43, -88, 0},
		{"one degree of the equator", 0, 10, 0, 11, r * math.Pi / 180},
		{"one degree north", 43, -88, 44, -88, r * math.Pi / 180},
		{"across the date line", 0, 179.5, 0, -179.5, r * math.Pi / 180},
		{"half the earth", 30, 0, -30, 180, r * math.Pi},
		{"Nashville to Los Angeles", 36.12, -86.67, 33.94, -118.40, 2886.44444 * r / 6371},
	} {
		if got := Distance(c.la1, c.lo1, c.la2, c.lo2).Km(); !near(got, c.km, 0.001) {
			t.Errorf("%s: %.4f km, want %.4f", c.name, got, c.km)
		}
	}
}

// TestDistanceByVectors holds the haversine against the angle between two
// vectors from the middle of the earth.
func TestDistanceByVectors(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		draw := func(what string, most float64) float64 { return rapid.Float64Range(-most, most).Draw(rt, what) }
		la1, lo1, la2, lo2 := draw("lat", 90), draw("lon", 180), draw("lat", 90), draw("lon", 180)
		vec := func(la, lo float64) [3]float64 {
			la, lo = la*math.Pi/180, lo*math.Pi/180
			return [3]float64{math.Cos(la) * math.Cos(lo), math.Cos(la) * math.Sin(lo), math.Sin(la)}
		}
		a, b := vec(la1, lo1), vec(la2, lo2)
		cross := math.Hypot(math.Hypot(a[1]*b[2]-a[2]*b[1], a[2]*b[0]-a[0]*b[2]), a[0]*b[1]-a[1]*b[0])
		want := math.Atan2(cross, a[0]*b[0]+a[1]*b[1]+a[2]*b[2]) * earthRadius.Km()
		if got := Distance(la1, lo1, la2, lo2).Km(); !near(got, want, 1e-3) {
			rt.Fatalf("%g km, by vectors %g", got, want)
		}
	})
}

func TestNearest(t *testing.T) {
	set := published()
	st := func(id string, lat, lon float64) Station { return Station{ID: id, HasPlace: true, Lat: lat, Lon: lon} }
	all := []Station{st("c", 44, -88), st("b", 43.1, -88), st("a", 42.9, -88), {ID: "0"}}
	n, err := Nearest(43.06, -88, all, set)
	if err != nil || n.ID != "b" || n.Far {
		t.Errorf("%+v, %v", n, err)
	}
	// One and the same place: the first by id, whatever their order.
	if n, err = Nearest(43, -88, []Station{st("z", 43.1, -88), st("y", 43.1, -88)}, set); err != nil || n.ID != "y" {
		t.Errorf("tie: %+v, %v", n, err)
	}
	if n, err = Nearest(43, -90, all, set); err != nil || !n.Far {
		t.Errorf("far: %+v, %v", n, err)
	}
	if _, err = Nearest(43, -88, []Station{{ID: "0"}}, set); !fault.Is(err, fault.Missing) {
		t.Errorf("no place known: %v", err)
	}
	for _, bad := range [][2]float64{{91, 0}, {0, 181}, {math.NaN(), 0}} {
		if _, err = Nearest(bad[0], bad[1], all, set); !fault.Is(err, fault.OutOfRange) {
			t.Errorf("%v: %v", bad, err)
		}
	}
}

// TestAtHeight: the ICAO standard atmosphere has 15 °C at the sea, 8.5 °C at
// 1000 m and 2 °C at 2000 m.
func TestAtHeight(t *testing.T) {
	set := published()
	sea := mustSeries(t, "x", []Day{{Day: 20000, TMax: 15, HasMax: true, Rain: 2, HasRain: true}, {Day: 20001, TMin: 15, HasMin: true}})
	for _, c := range []struct {
		h units.Length
		t float64
	}{{0, 15}, {1000, 8.5}, {2000, 2}, {-100, 15.65}} {
		s, err := AtHeight(sea, 0, c.h, set)
		if err != nil {
			t.Fatal(err)
		}
		a, _ := s.At(20000)
		b, _ := s.At(20001)
		if !near(a.TMax.C(), c.t, 1e-9) || a.HasMin || a.Rain != 2 || !near(b.TMin.C(), c.t, 1e-9) || b.HasMax {
			t.Errorf("%v m: %+v %+v", c.h, a, b)
		}
		back, err := AtHeight(s, c.h, 0, set)
		if x, _ := back.At(20000); err != nil || !near(x.TMax.C(), 15, 1e-9) {
			t.Errorf("down again: %v", x.TMax)
		}
	}
	if _, err := AtHeight(sea, 0, 9000, set); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("%v", err)
	}
}
