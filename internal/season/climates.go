package season

import (
	_ "embed"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/figure"
	"larder/internal/units"
	"larder/internal/weather"
)

// ClimateClass is one class of winter by the mean temperature of its coldest
// month. Low and High are its limits; NaN = none on that side.
type ClimateClass struct {
	Class     apiary.Climate
	Low, High units.Temp
}

// ClimateClasses lists the classes of winter, mildest first. The limits are
// those of [ClimateOf].
func ClimateClasses() []ClimateClass {
	none := units.Temp(nan)
	return []ClimateClass{
		{apiary.Warm, 7, none}, {apiary.Mild, 2, 7}, {apiary.Temperate, -4, 2}, {apiary.Cold, -12, -4}, {apiary.VeryCold, none, -12},
	}
}

//go:embed data/normals.tsv
var normalsTSV string

// Normal is the mean January of one place.
type Normal struct {
	Place    string // "Syracuse, NY"
	Lat, Lon float64
	January  units.Temp
}

// normals are read once; the table never changes.
var normals = sync.OnceValue(func() []Normal {
	var out []Normal
	for line := range strings.SplitSeq(normalsTSV, "\n") {
		if line == "" || line[0] == '#' {
			continue
		}
		f := strings.Split(line, "\t")
		var x [3]float64
		for i := range x {
			v, err := strconv.ParseFloat(f[i+2], 64)
			if err != nil {
				panic("season: normals.tsv: " + line)
			}
			x[i] = v
		}
		// °F to °C to a tenth, which is more than the table has.
		c := math.Round((x[2]-32)/1.8*10) / 10
		out = append(out, Normal{Place: f[1] + ", " + f[0], Lat: x[0], Lon: x[1], January: units.Temp(c)})
	}
	return out
})

// Normals lists the table of mean Januaries.
func Normals() []Normal { return slices.Clone(normals()) }

// NearNormal is a row of the table with its distance from a place.
type NearNormal struct {
	Normal
	Distance units.Length
}

// ClimateNear gives the class of winter at a place by the nearest town of which
// the mean January is known. It is a default to be looked at: a yard up the
// mountain or by the sea may lie in another class. fault.NotKnownHere when the
// nearest is farther than "season.normals_km"; fault.OutOfRange for a place that
// is none.
func ClimateNear(lat, lon float64, figs figure.Set) (apiary.Climate, NearNormal, error) {
	if !(math.Abs(lat) <= 90 && math.Abs(lon) <= 180) {
		return "", NearNormal{}, fault.Newf(fault.OutOfRange, "", "%g, %g is not a place on earth", lat, lon).
			WithHint("latitude −90 to 90, longitude −180 to 180, in degrees")
	}
	var best NearNormal
	for i, n := range normals() {
		if d := weather.Distance(lat, lon, n.Lat, n.Lon); i == 0 || d < best.Distance {
			best = NearNormal{n, d}
		}
	}
	if best.Distance.Km() > figs.V("season.normals_km") {
		return "", best, fault.New(fault.NotKnownHere, "", "we know no mean January near this place").
			WithHint("choose the class of winter yourself")
	}
	return ClimateOf(best.January), best, nil
}

// Why says where the class comes from.
func (n NearNormal) Why() feeding.Reason {
	return feeding.Reason{Code: "climate-near", Say: "January in {0}, {1} away, averages {2} (NOAA, 1981 to 2010)",
		Amounts: []any{n.Place, n.Distance, n.January}}
}

// SuggestStop gives a last day for syrup to begin with where no weather is
// known: a plain date for the class of winter, common practice and no more. It is
// for the keeper to look at and type over; files of daily weather give a better
// one. day tells which autumn: the coming one, or the one just past until the
// year ends; south the half of the earth. fault.NotKnownHere for
// a class that is not told.
func SuggestStop(c apiary.Climate, day units.Day, south bool, figs figure.Set) (units.Day, error) {
	if !slices.ContainsFunc(ClimateClasses(), func(k ClimateClass) bool { return k.Class == c }) {
		return 0, fault.New(fault.NotKnownHere, "", "without the class of winter no stop day can be suggested").
			WithHint("type the day yourself")
	}
	// In winter and spring the coming autumn is meant, not the last.
	first := units.DayOf(day.Year(), time.September, 1)
	if south {
		first = units.DayOf(day.Year(), time.March, 1)
		if day.Month() >= time.August {
			first = units.DayOf(day.Year()+1, time.March, 1)
		}
	}
	return first + units.Day(figs.V("season.stop_"+strings.ReplaceAll(string(c), "-", "_"))), nil
}

// climateFigures lists what the suggestions assume.
func climateFigures() []figure.Figure {
	stop := func(key, name string, days float64) figure.Figure {
		return figure.Figure{Key: key, Name: "suggested stop day where winters are " + name + ", from 1 September (south: 1 March)", Value: days,
			Unit: "days", Low: days - 21, High: days + 30, Source: "common practice, no source", Grade: figure.Practice,
			Note: "only where no weather is known and no day is typed"}
	}
	return []figure.Figure{
		{Key: "season.normals_km", Name: "farthest town whose mean January stands for a yard", Value: 160, Unit: "km", Low: 20, High: 400,
			Source: "judged", Grade: figure.Derived},
		stop("season.stop_warm", "warm", 75), stop("season.stop_mild", "mild", 54), stop("season.stop_temperate", "temperate", 44),
		stop("season.stop_cold", "cold", 30), stop("season.stop_very_cold", "very cold", 14),
	}
}
