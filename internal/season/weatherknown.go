package season

import (
	"larder/internal/units"
	"larder/internal/weather"
)

// StationKnown is what is known of the weather of one station.
type StationKnown struct {
	Station     string
	Days        int // with a high, a low or rain
	Forecast    int // of Days: not measured yet
	First, Last units.Day
	Foretold    units.Moment    // when the latest forecast was made, zero = none
	Gaps        []weather.Gap   // days without a high, with those marked that are filled when it is used
	Place       weather.Station // where it stands, as far as it was told
}

// StationsKnown lists the stations whose weather is known, by id.
func (st *State) StationsKnown() []StationKnown {
	figs, _ := st.Settings.FigureSet()
	var out []StationKnown
	for _, id := range st.Stations() {
		series, err := weather.MakeSeries(id, st.Weather(id))
		if err != nil {
			continue // no day of it counts
		}
		x := StationKnown{Station: id, Days: series.Len(), Foretold: st.Foretold(id)}
		x.First, x.Last, _ = series.Span()
		for _, d := range series.Days() {
			if d.Forecast {
				x.Forecast++
			}
		}
		_, x.Gaps = weather.Fill(series, figs)
		x.Place, _ = st.StationPlace(id)
		out = append(out, x)
	}
	return out
}
