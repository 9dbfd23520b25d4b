package weather

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Station is a place where weather is measured.
type Station struct {
	ID       string       `json:"id,omitzero"`
	Name     string       `json:"name,omitzero"`
	HasPlace bool         `json:"has_place,omitzero"`
	Lat      float64      `json:"lat,omitzero"` // degrees north, when HasPlace
	Lon      float64      `json:"lon,omitzero"` // degrees east, when HasPlace
	HasElev  bool         `json:"has_elev,omitzero"`
	Elev     units.Length `json:"elev,omitzero"` // above the sea, when HasElev
}

// earthRadius is the mean radius of the earth, R₁ = (2a+b)/3. Source: H.
// Moritz, Geodetic Reference System 1980, Journal of Geodesy 74, 2000, 128–133.
const earthRadius = 6371008.7714 * units.Metre

// Distance gives the great-circle distance between two places in degrees, by
// the haversine on a sphere of mean radius; against the ellipsoid it is right
// to about 0.5 %. Source of the form: R. W. Sinnott, Virtues of the Haversine,
// Sky and Telescope 68, 1984, 159.
func Distance(lat1, lon1, lat2, lon2 float64) units.Length {
	const rad = math.Pi / 180
	a := math.Sin((lat2 - lat1) * rad / 2)
	b := math.Sin((lon2 - lon1) * rad / 2)
	h := a*a + math.Cos(lat1*rad)*math.Cos(lat2*rad)*b*b
	return 2 * earthRadius * units.Length(math.Asin(math.Sqrt(min(h, 1))))
}

// Near is a station with its distance from a place.
type Near struct {
	Station
	Distance units.Length
	Far      bool // farther than the figure (50 km): used all the same, and said
}

// Nearest picks the station nearest to a place; of equally near ones the first
// by id. Stations without a place are passed over. Errors: fault.Missing when
// none has one; fault.OutOfRange for a latitude or longitude that is none.
func Nearest(lat, lon float64, stations []Station, set figure.Set) (Near, error) {
	if !(math.Abs(lat) <= 90 && math.Abs(lon) <= 180) {
		return Near{}, fault.Newf(fault.OutOfRange, "weather station", "%g, %g is not a place on earth", lat, lon).
			WithHint("latitude −90 to 90, longitude −180 to 180, in degrees")
	}
	var best Near
	any := false
	for _, s := range stations {
		if !s.HasPlace {
			continue
		}
		d := Distance(lat, lon, s.Lat, s.Lon)
		if !any || d < best.Distance || d == best.Distance && s.ID < best.ID {
			best, any = Near{Station: s, Distance: d}, true
		}
	}
	if !any {
		return Near{}, fault.New(fault.Missing, "weather station", "of no weather station is it known where it is").
			WithHint("say which station to use for the yard")
	}
	best.Far = best.Distance.Km() > set.V(keyFar)
	return best, nil
}

// AtHeight gives a station's weather as it would be at another height: 6.5 °C
// colder for every kilometre up (figure). Rain is left as it is. It is a mean
// over days and places: on a still night a hollow is colder than the slope
// above it. Range: both heights between −500 m and 5000 m, else
// fault.OutOfRange.
func AtHeight(s Series, from, to units.Length, set figure.Set) (Series, error) {
	for _, h := range []units.Length{from, to} {
		if !(h >= -500 && h <= 5000) {
			return Series{}, fault.Newf(fault.OutOfRange, "height of "+s.station, "%.0f m is no height for a yard", float64(h)).
				WithHint("between −500 m and 5000 m above the sea")
		}
	}
	diff := units.Temp((from - to).Km() * set.V(keyLapse))
	out := Series{station: s.station, days: s.Days()}
	for i := range out.days {
		d := &out.days[i]
		if d.HasMax {
			d.TMax += diff
		}
		if d.HasMin {
			d.TMin += diff
		}
	}
	return out, nil
}
