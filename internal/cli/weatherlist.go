package cli

import (
	"fmt"

	"larder/internal/season"
	"larder/internal/units"
)

type weatherListCmd struct {
	source
}

type stationJSON struct {
	Station  string        `json:"station"`
	Days     int           `json:"days"`
	Forecast int           `json:"forecast_days"`
	First    units.Day     `json:"first"`
	Last     units.Day     `json:"last"`
	Foretold *units.Moment `json:"forecast_of"`
	Gaps     []gapJSON     `json:"gaps"`
	Lat      *float64      `json:"lat"`
	Lon      *float64      `json:"lon"`
	ElevM    *float64      `json:"elev_m"`
}

type yardWeatherJSON struct {
	Yard       string             `json:"yard"`
	Station    string             `json:"station"`
	How        season.How         `json:"how"`
	DistanceKm *float64           `json:"distance_km"`
	HigherM    *float64           `json:"higher_m"`
	Reasons    []season.ReasonDoc `json:"reasons"`
}

// Run tells what weather is known and which yard uses which.
func (c *weatherListCmd) Run(r *run) error {
	st, at, err := c.state(r)
	if err != nil {
		return err
	}
	s := r.style(st.Settings.Style())
	stations, yards := stationList(st), []yardWeatherJSON{}
	for _, y := range st.Yards() {
		if !y.Closed {
			yards = append(yards, yardWeather(st.StationFor(y.ID, at), s))
		}
	}
	if r.JSON {
		return r.printJSON(map[string]any{"as_of": at, "stations": stations, "yards": yards})
	}
	t := newTable("station", ">days", "from", "to", ">forecast", ">gaps", "stands")
	for _, x := range stations {
		t.row(x.Station, fmt.Sprint(x.Days), x.First.String(), x.Last.String(), fmt.Sprint(x.Forecast), fmt.Sprint(len(x.Gaps)), stands(x, s))
	}
	t.print(r.Out)
	fmt.Fprintln(r.Out)
	t = newTable("yard", "station", "why")
	for _, y := range yards {
		station, why := y.Station, ""
		if station == "" {
			station = "none"
			why = "no series is called like the yard, and no station is near: larder weather FILE --station " + y.Yard
		}
		for i, x := range y.Reasons {
			if i > 0 {
				why += "; "
			}
			why += x.Say
		}
		t.row(y.Yard, station, why)
	}
	t.print(r.Out)
	return nil
}

func stands(x stationJSON, s units.Style) string {
	where := "not told"
	if x.Lat != nil {
		where = fmt.Sprintf("%.2f, %.2f", *x.Lat, *x.Lon)
	}
	if x.ElevM != nil {
		where += ", " + s.Amount(units.Length(*x.ElevM)) + " up"
	}
	return where
}

func stationList(st *season.State) []stationJSON {
	out := []stationJSON{}
	for _, k := range st.StationsKnown() {
		x := stationJSON{Station: k.Station, Days: k.Days, Forecast: k.Forecast, First: k.First, Last: k.Last, Gaps: gapsJSON(k.Gaps)}
		if !k.Foretold.IsZero() {
			x.Foretold = &k.Foretold
		}
		if p := k.Place; p.HasPlace {
			x.Lat, x.Lon = &p.Lat, &p.Lon
		}
		if k.Place.HasElev {
			m := float64(k.Place.Elev)
			x.ElevM = &m
		}
		out = append(out, x)
	}
	return out
}

func yardWeather(y season.YardStation, s units.Style) yardWeatherJSON {
	out := yardWeatherJSON{Yard: y.Yard, Station: y.Station, How: y.How, Reasons: season.Reasons(y.Why, s)}
	if y.HasDistance {
		km := y.Distance.Km()
		out.DistanceKm = &km
	}
	if y.HasHigher {
		m := float64(y.Higher)
		out.HigherM = &m
	}
	return out
}
