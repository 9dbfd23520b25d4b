package season

import (
	"math"
	"slices"

	"larder/internal/route"
	"larder/internal/units"
)

// PlanMap is where the places of a plan lie, seen from above: metres east and
// north of the middle, true enough for a map of a day's drive.
type PlanMap struct {
	Places  []MapPlace // those with coordinates: home first, then yards by id, then syrup elsewhere by name
	Without []string   // yards and syrup of the plan that have none
	Trips   []MapTrip  // by day and number
}

// MapPlace is one place.
type MapPlace struct {
	ID          string // "" = home
	Name        string
	East, North units.Length
	Loads       []int // that call there, 0 times for most; of syrup, those filled there
	Syrup       bool  // mixed syrup stands there: it is no yard
}

// MapTrip is one load's way, from place to place; some may have no coordinates.
type MapTrip struct {
	Load   int
	Day    units.Day
	Places []string // home, the store of syrup if the tank is filled there, yards, home or the store where it is filled again
}

// Map lays out the places of the plan on a day, or on all days when day is 0.
// Positions are an equirectangular projection about the middle latitude: within
// a day's drive it is off by far less than a road bends.
func (p *Planned) Map(home route.Place, day units.Day) PlanMap {
	var m PlanMap
	var lats, lons []float64
	add := func(id, name string, lat, lon float64) {
		if len(lons) > 0 { // the short way round the globe
			lon = lons[0] + math.Remainder(lon-lons[0], 360)
		}
		lats, lons = append(lats, lat), append(lons, lon)
		m.Places = append(m.Places, MapPlace{ID: id, Name: name})
	}
	if home.HasPlace {
		add("", "", home.Lat, home.Lon)
	}
	called, filled := map[string][]int{}, map[string][]int{}
	sent := map[string]units.Day{} // trucks that go from their last stop to be filled again
	for _, l := range p.Loads {
		if day != 0 && l.Day != day {
			continue
		}
		t := MapTrip{Load: l.N, Day: l.Day, Places: []string{l.From}}
		if l.From != "" {
			filled[l.From] = append(filled[l.From], l.N)
			if sent[l.Truck] != l.Day {
				t.Places = []string{"", l.From}
			}
		}
		delete(sent, l.Truck)
		if l.To != "" {
			sent[l.Truck] = l.Day
		}
		for _, s := range l.Stops {
			t.Places = append(t.Places, s.Yard)
			called[s.Yard] = append(called[s.Yard], l.N)
		}
		t.Places = append(t.Places, l.To)
		m.Trips = append(m.Trips, t)
	}
	for _, y := range p.Stops {
		name := y.Yard.Name
		if name == "" {
			name = y.Yard.ID
		}
		switch {
		case y.Yard.Closed:
		case y.Yard.HasPlace && !y.Lost:
			add(y.Yard.ID, name, y.Yard.Lat, y.Yard.Lon)
			m.Places[len(m.Places)-1].Loads = called[y.Yard.ID]
		case len(called[y.Yard.ID]) > 0 || day == 0:
			m.Without = append(m.Without, name)
		}
	}
	for i := range p.Sources {
		x := &p.Sources[i]
		switch {
		case x.Off != nil || day != 0 && len(filled[x.Place]) == 0:
		case x.Where.HasPlace:
			add(x.Place, x.Place, x.Where.Lat, x.Where.Lon)
			m.Places[len(m.Places)-1].Loads, m.Places[len(m.Places)-1].Syrup = filled[x.Place], true
		default:
			m.Without = append(m.Without, x.Place)
		}
	}
	if len(lats) == 0 {
		return m
	}
	lat0 := (slices.Min(lats) + slices.Max(lats)) / 2
	lon0 := (slices.Min(lons) + slices.Max(lons)) / 2
	perDegree := float64(route.EarthRadius) * math.Pi / 180
	for i := range m.Places {
		m.Places[i].North = units.Length((lats[i] - lat0) * perDegree)
		m.Places[i].East = units.Length((lons[i] - lon0) * perDegree * math.Cos(lat0*math.Pi/180))
	}
	return m
}

// Lone tells whether the map has nothing to show: fewer than two places, or all
// in one spot.
func (m *PlanMap) Lone() bool {
	for _, p := range m.Places {
		q := m.Places[0]
		if math.Hypot(float64(p.East-q.East), float64(p.North-q.North)) > oneSpot {
			return false
		}
	}
	return true
}

// oneSpot is how near places lie, in metres, that a map cannot tell apart.
const oneSpot = 50

// Place gives a place by its id.
func (m *PlanMap) Place(id string) (MapPlace, bool) {
	for _, p := range m.Places {
		if p.ID == id {
			return p, true
		}
	}
	return MapPlace{}, false
}
