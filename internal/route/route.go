// Package route knows the way between places: how far, how long, and in which
// order a day trip calls at its stops.
//
// # Where a distance comes from
//
// A leg the keeper has driven and written down wins. Without one, the leg is
// the great circle between the two places times a detour factor, driven at a
// mean speed; both are figures. Where the map cannot be right, because the ways
// told from home say otherwise, the leg leads by way of home. Without
// coordinates there is no leg at all: "not known" is an answer here, a guess is
// not.
//
// # Order of stops
//
// [Order] is exact up to [ExactStops] stops (Held and Karp 1962) and a good
// tour above that (nearest insertion, then 2-opt and Or-opt). Costs are whole
// numbers, ties go to the lower stop number, so the answer never depends on
// the machine.
//
// # Loads over trips
//
// [Loads] brings many stops their loads in trips of one capacity: exact up to
// [ExactLoads] stops, found by a seeded search above that. Search.Iterations is
// what a caller pays with: some 2 to 3 millionths of a second each, and a
// thousand for each stop come close to the best (tools/routes/RESULT.md). The
// cost may be time, distance or any whole unit; where the day has more than
// one aim, weigh them into it.
//
// # What it refuses to know
//
// It knows no hives, tanks or crews: who rides on which load is package
// feeding's business. Roads closed by snow, one-way gates and traffic are the
// keeper's to say, as legs.
package route

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// EarthRadius is the mean radius of the earth, (2a+b)/3 of the WGS 84
// ellipsoid: 6371.0088 km. Source: Moritz, "Geodetic Reference System 1980",
// Journal of Geodesy 74 (2000), 128-133 (R1); quoted from memory.
const EarthRadius = units.Length(6371008.8)

// Figures lists what this package assumes.
func Figures() []figure.Figure {
	return []figure.Figure{
		{
			Key: "route.detour", Name: "road distance over straight distance", Value: 1.3, Unit: "factor",
			Low: 1, High: 2.5, SD: 0.1,
			Source: "common practice, no source (1.2 to 1.4 is usual)", Grade: figure.Practice,
			Note: "used only for legs nobody has driven and written down; raise it where a river or a ridge lies between",
		},
		{
			Key: "route.speed_kmh", Name: "mean driving speed with a loaded tank", Value: 50, Unit: "km/h",
			Low: 15, High: 110, SD: 10,
			Source: "common practice, no source", Grade: figure.Practice,
			Note: "turns a distance into minutes where no minutes were told",
		},
	}
}

// GreatCircle gives the distance over the ground between two points in degrees
// (north and east positive) on a sphere of [EarthRadius].
//
// Method: the haversine form, which keeps its digits for near points (R. W.
// Sinnott, "Virtues of the Haversine", Sky and Telescope 68 (1984), 159; from
// memory). The sphere is within 0.6 % of the ellipsoid, far inside the spread
// of the detour factor. Latitudes outside ±90° or values that are no numbers
// are refused; longitudes wrap.
func GreatCircle(lat1, lon1, lat2, lon2 float64) (units.Length, error) {
	for _, v := range []float64{lat1, lat2} {
		if !(v >= -90 && v <= 90) {
			return 0, fault.Newf(fault.OutOfRange, "", "%v is not a latitude", v).
				WithHint("latitudes run from -90 to 90 degrees; check that the two numbers are not swapped")
		}
	}
	for _, v := range []float64{lon1, lon2} {
		if !(v >= -360 && v <= 360) {
			return 0, fault.Newf(fault.OutOfRange, "", "%v is not a longitude", v).
				WithHint("longitudes run from -180 to 180 degrees, west is negative")
		}
	}
	const rad = math.Pi / 180
	sLat := math.Sin((lat2 - lat1) * rad / 2)
	sLon := math.Sin((lon2 - lon1) * rad / 2)
	h := sLat*sLat + math.Cos(lat1*rad)*math.Cos(lat2*rad)*sLon*sLon
	return EarthRadius * units.Length(2*math.Asin(math.Sqrt(min(1, h)))), nil
}
