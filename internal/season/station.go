package season

import (
	"fmt"
	"math"
	"slices"

	"larder/internal/feeding"
	"larder/internal/units"
	"larder/internal/weather"
)

// How says why a station stands for a yard.
type How string

// The ways, in the order they are tried.
const (
	StationTyped   How = "typed"   // the keeper named it
	StationOwn     How = "own"     // a series is called like the yard
	StationNearest How = "nearest" // of those of which the place is known
	StationOnly    How = "only"    // there is no other
	StationNone    How = ""        // no weather is known for the yard
)

// YardStation is the station whose weather stands for a yard.
type YardStation struct {
	Yard    string
	Station string
	How     How
	// Distance is known where both places are.
	Distance    units.Length
	HasDistance bool
	// Higher is how much higher the yard lies, in the steps of heightStep its
	// weather is corrected by; known where both heights are.
	Higher    units.Length
	HasHigher bool
	Why       []feeding.Reason
}

// heightStep is the step heights are taken in, a tenth of a degree at the usual
// lapse rate: yards of nearly one height share all that is worked out from their
// weather, and no station's height or lapse rate is better known.
const heightStep = 15 * units.Metre

// StationFor gives the station whose weather stands for a yard: the one typed
// for it; else the one called like it; else the nearest of those of which the
// place is known; else the only one there is.
func (st *State) StationFor(yard string, at units.Moment) YardStation {
	return st.bench(at).stationFor(yard)
}

func (b *bench) stationFor(yard string) YardStation {
	y, _ := b.st.Yard(yard)
	out := YardStation{Yard: yard}
	all := b.st.Stations()
	switch {
	case y.Station != "":
		out.Station, out.How = y.Station, StationTyped
	case len(b.st.weather[yard]) > 0:
		out.Station, out.How = yard, StationOwn
	default:
		if y.HasPlace {
			var known []weather.Station
			for _, id := range all {
				if s, ok := b.st.places[id]; ok {
					known = append(known, s)
				}
			}
			if near, err := weather.Nearest(y.Lat, y.Lon, known, b.figs); err == nil {
				out.Station, out.How = near.ID, StationNearest
			}
		}
		if out.How == StationNone && len(all) == 1 {
			out.Station, out.How = all[0], StationOnly
		}
	}
	if out.How == StationNone {
		return out
	}
	s := b.st.places[out.Station]
	if y.HasPlace && s.HasPlace {
		out.Distance, out.HasDistance = weather.Distance(y.Lat, y.Lon, s.Lat, s.Lon), true
	}
	if y.Elev != 0 && s.HasElev {
		out.Higher, out.HasHigher = units.Length(math.Trunc(float64((y.Elev-s.Elev)/heightStep)))*heightStep, true
	}
	out.Why = b.whyStation(&out, y.Elev != 0, s)
	return out
}

// whyStation puts the choice into words. Of a yard's own series of which no
// place was told nothing needs saying: it was measured there.
func (b *bench) whyStation(y *YardStation, yardHigh bool, s weather.Station) []feeding.Reason {
	if y.How == StationOwn && !s.HasPlace && !s.HasElev {
		return nil
	}
	r := feeding.Reason{Code: "station", Say: "weather of {0}", Amounts: []any{y.Station}}
	if y.HasDistance {
		r.Amounts = append(r.Amounts, y.Distance)
	}
	switch {
	case y.How == StationTyped && y.HasDistance:
		r.Say = "weather of {0}, as you chose, {1} away"
	case y.How == StationTyped:
		r.Say = "weather of {0}, as you chose"
	case y.How == StationNearest:
		r.Say = "weather of {0}, the nearest station, {1} away"
	case y.How == StationOnly && y.HasDistance:
		r.Say = "weather of {0}, the only station, {1} away"
	case y.How == StationOnly:
		r.Say = "weather of {0}, the only station"
	}
	return slices.Concat([]feeding.Reason{r}, b.whyHeight(y, yardHigh, s.HasElev), b.whyFar(y))
}

// whyHeight tells what was done about the difference in height.
func (b *bench) whyHeight(y *YardStation, yardHigh, stationHigh bool) []feeding.Reason {
	step := units.TempStep(math.Abs(y.Higher.Km()) * b.figs.V("weather.lapse_c_km"))
	switch {
	case !yardHigh && !stationHigh:
		return []feeding.Reason{{Code: "height-unknown", Say: "not corrected for height: neither the yard's nor the station's is told"}}
	case !yardHigh:
		return []feeding.Reason{{Code: "height-unknown", Say: "not corrected for height: the yard's is not told"}}
	case !stationHigh:
		return []feeding.Reason{{Code: "height-unknown", Say: "not corrected for height: the station's is not told"}}
	case y.Higher > 0:
		return []feeding.Reason{{Code: "height", Say: "taken {0} colder than there, for a yard {1} higher", Amounts: []any{step, y.Higher}}}
	case y.Higher < 0:
		return []feeding.Reason{{Code: "height", Say: "taken {0} warmer than there, for a yard {1} lower", Amounts: []any{step, -y.Higher}}}
	}
	return nil
}

func (b *bench) whyFar(y *YardStation) []feeding.Reason {
	if !y.HasDistance || y.Distance.Km() <= b.figs.V("weather.station_far_km") {
		return nil
	}
	return []feeding.Reason{{Code: "station-far", Say: "that is far: single days there may be other than here"}}
}

// staleForecast says that a station's forecast is old, where it is still all
// that is known of a day to come.
func (b *bench) staleForecast(station string) []feeding.Reason {
	made, today := b.st.Foretold(station), b.at.Day()
	if made.IsZero() || float64(today-made.Day()) <= b.figs.V("season.forecast_old_days") {
		return nil
	}
	days := b.st.Weather(station)
	i := len(days) - 1
	if i < 0 || !days[i].Forecast || days[i].Day < today {
		return nil
	}
	return []feeding.Reason{{Code: "forecast-old", Say: "the forecast is {0} days old, of {1}: fetch or read a new one", Amounts: []any{int(today - made.Day()), made.Day()}}}
}

// whySky says whose weather a yard has, and how old its forecast is.
func (b *bench) whySky(yard string) []feeding.Reason {
	y := b.stationFor(yard)
	return slices.Concat(y.Why, b.staleForecast(y.Station))
}

// skyOf gives a yard's weather, brought to its height; see stationFor. Yards
// that agree in both have one sky.
func (b *bench) skyOf(yard string) *sky {
	if s, ok := b.sky[yard]; ok {
		return s
	}
	y := b.stationFor(yard)
	s := &sky{place: y.Station, factor: map[units.Day]float64{}}
	if y.Higher != 0 {
		s.place = fmt.Sprintf("%s\x00%+.0f m", y.Station, float64(y.Higher))
	}
	if s.place != "" {
		for _, other := range b.sky {
			if other.place == s.place {
				b.sky[yard] = other
				return other
			}
		}
		s.series = b.seriesOf(&y)
		s.known = s.series.Len() > 0
	}
	b.sky[yard] = s
	return s
}

// seriesOf reads a station's days, brings them to the yard's height and fills
// short gaps.
func (b *bench) seriesOf(y *YardStation) weather.Series {
	series, err := weather.MakeSeries(y.Station, b.st.Weather(y.Station))
	if err == nil && y.Higher != 0 {
		from := b.st.places[y.Station].Elev
		series, err = weather.AtHeight(series, from, from+y.Higher, b.figs)
	}
	if err != nil { // a day of another station, or a height no fact can have: checked when it was told
		return weather.Series{}
	}
	series, _ = weather.Fill(series, b.figs)
	return series
}
