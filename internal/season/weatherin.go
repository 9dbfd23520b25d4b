package season

import (
	"larder/internal/fault"
	"larder/internal/units"
	"larder/internal/weather"
)

// WeatherIn is weather read from outside, to be taken into a book.
type WeatherIn struct {
	Series []weather.Series
	Places []weather.Station // where stations stand, as far as the source says it
	At     units.Moment      // now
	// Issued is when the forecasts among the days were made; zero = not told:
	// then the first day they speak of, but no later than now.
	Issued units.Moment
}

// WeatherTaken is what became of it.
type WeatherTaken struct {
	Facts    []Fact // to append; none of them is in the book
	Stations []StationTaken
}

// StationTaken is what became of the days of one station.
type StationTaken struct {
	Station     string
	Read        int // days
	New         int // not in the book before
	Changed     int // in the book with other values: corrected
	Same        int // in the book already
	Forecast    int // of Read
	First, Last units.Day
	Gaps        []weather.Gap // of what is read, with those marked that are filled when it is used
	Place       bool          // the place of the station is new to the book
}

// TakeWeather makes facts of weather read from outside. What the book has is
// passed over, so taking a file twice is harmless. A measured day that was told
// otherwise is corrected: values the new source lacks are kept from the old. A
// forecast is told anew with each later issue. The place of a station is taken
// where none was told.
func (j *Journal) TakeWeather(in WeatherIn) (WeatherTaken, error) {
	var out WeatherTaken
	figs, _ := j.Now().Settings.FigureSet()
	for _, s := range in.Series {
		t := StationTaken{Station: s.Station()}
		t.First, t.Last, _ = s.Span()
		_, t.Gaps = weather.Fill(s, figs)
		have := j.daysTold(s.Station())
		issued := in.issued(s)
		for _, d := range s.Days() {
			t.Read++
			if d.Forecast {
				t.Forecast++
			}
			f, what := weatherFact(d, have[toldDay{d.Day, d.Forecast}], issued, in.At)
			switch what {
			case dayNew:
				t.New++
			case dayChanged:
				t.Changed++
			default:
				t.Same++
				continue
			}
			if err := out.add(f); err != nil {
				return out, err
			}
		}
		for _, p := range in.Places {
			if _, told := j.Now().StationPlace(p.ID); p.ID == t.Station && !told {
				t.Place = true
				if err := out.add(Fact{Seen: units.OnDay(min(t.First, in.At.Day())), Body: p}); err != nil {
					return out, err
				}
			}
		}
		out.Stations = append(out.Stations, t)
	}
	return out, nil
}

// add checks a fact and gives it the id that follows from what it says.
func (w *WeatherTaken) add(f Fact) error {
	id, err := f.Derive(0)
	if err != nil {
		return err
	}
	f.ID = id
	if err := f.Check(); err != nil {
		return err
	}
	w.Facts = append(w.Facts, f)
	return nil
}

func (in *WeatherIn) issued(s weather.Series) units.Moment {
	if !in.Issued.IsZero() {
		return in.Issued
	}
	for _, d := range s.Days() {
		if d.Forecast {
			return units.OnDay(min(d.Day, in.At.Day()))
		}
	}
	return in.At
}

// toldDay keeps a forecast of a day apart from what was measured on it.
type toldDay struct {
	day      units.Day
	forecast bool
}

// daysTold gives the facts in force that tell a station's days.
func (j *Journal) daysTold(station string) map[toldDay]*Fact {
	out := map[toldDay]*Fact{}
	for _, f := range j.line(Subject{"station", station}, units.Moment{}) {
		if d, ok := f.Body.(weather.Day); ok {
			out[toldDay{d.Day, d.Forecast}] = f
		}
	}
	return out
}

type dayFate uint8

const (
	daySame dayFate = iota
	dayNew
	dayChanged
)

// weatherFact makes the fact of one day beside what was told of it; old may be
// nil.
func weatherFact(d weather.Day, old *Fact, issued, at units.Moment) (Fact, dayFate) {
	d.Filled = false
	if d.Forecast {
		f := Fact{Seen: issued, Body: d}
		switch {
		case old == nil || old.Seen.Day() < issued.Day():
			return f, dayNew
		case old.Seen.Day() > issued.Day() || old.Body == any(d):
			return Fact{}, daySame // a later forecast, or this one, is known
		case old.Seen.Compare(issued) >= 0: // another of the same day, which only its id would rank
			f.Made, f.Replaces = at, old.ID
		}
		return f, dayChanged
	}
	if old == nil {
		return Fact{Seen: units.OnDay(d.Day), Body: d}, dayNew
	}
	was := old.Body.(weather.Day)
	if d = joinDays(was, d); d == was {
		return Fact{}, daySame
	}
	return Fact{Seen: old.Seen, Made: at, Replaces: old.ID, Body: d}, dayChanged
}

// joinDays puts the values of was where now has none, unless the high would then
// be below the low.
func joinDays(was, now weather.Day) weather.Day {
	d := now
	if !d.HasMax && was.HasMax {
		d.TMax, d.HasMax = was.TMax, true
	}
	if !d.HasMin && was.HasMin {
		d.TMin, d.HasMin = was.TMin, true
	}
	if d.HasMax && d.HasMin && d.TMin > d.TMax {
		d.TMax, d.HasMax, d.TMin, d.HasMin = now.TMax, now.HasMax, now.TMin, now.HasMin
	}
	if !d.HasRain && was.HasRain {
		d.Rain, d.HasRain = was.Rain, true
	}
	return d
}

// FetchPlace is a place to ask a weather service about.
type FetchPlace struct {
	Station  string // the days are to belong to
	Yard     string // the first yard it is asked for
	Lat, Lon float64
	// AtStation tells that the place is the station's; else it is the yard's.
	AtStation bool
	// Fresh tells that no series of this name is known yet, so that the service's
	// own place and height may stand for it.
	Fresh bool
}

// FetchPlaces lists the places the open yards need weather of, each once: that
// of the station a yard uses where it is told, else the yard's own. Yards of
// neither are in without.
func (st *State) FetchPlaces(at units.Moment) (places []FetchPlace, without []string) {
	seen := map[string]bool{}
	b := st.bench(at)
	for _, y := range st.Yards() {
		if y.Closed {
			continue
		}
		s := b.stationFor(y.ID)
		p := FetchPlace{Station: s.Station, Yard: y.ID, Lat: y.Lat, Lon: y.Lon}
		if p.Station == "" {
			p.Station = y.ID
		}
		where := st.places[p.Station]
		switch {
		case where.HasPlace:
			p.Lat, p.Lon, p.AtStation = where.Lat, where.Lon, true
		case !y.HasPlace:
			without = append(without, y.ID)
			continue
		default:
			p.Fresh = len(st.weather[p.Station]) == 0 && p.Station == y.ID
		}
		if !seen[p.Station] {
			seen[p.Station] = true
			places = append(places, p)
		}
	}
	return places, without
}

// ServiceWeather readies what a service answered for a place: brought to the
// height told for the station where the service names another, and without a
// place of its own unless the series is new.
func (st *State) ServiceWeather(p FetchPlace, f weather.File) (weather.File, error) {
	if len(f.Series) != 1 || f.Series[0].Station() != p.Station {
		return f, fault.New(fault.Damaged, p.Station, "the answer is not the weather of one place")
	}
	told := st.places[p.Station]
	if len(f.Stations) == 1 && f.Stations[0].HasElev && told.HasElev && f.Stations[0].Elev != told.Elev {
		figs, _ := st.Settings.FigureSet()
		s, err := weather.AtHeight(f.Series[0], f.Stations[0].Elev, told.Elev, figs)
		if err != nil {
			return f, err
		}
		f.Series = []weather.Series{s}
	}
	if !p.Fresh {
		f.Stations = nil
	}
	return f, nil
}
