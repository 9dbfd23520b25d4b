package route

import (
	"math"

	"larder/internal/fault"
	"larder/internal/figure"
	"larder/internal/units"
)

// Place is where something is. ID "" is home.
type Place struct {
	ID       string
	HasPlace bool
	Lat, Lon float64 // degrees, when HasPlace
}

// Told is one leg the keeper wrote down. A zero Dist or Time was not told and
// is filled in: the distance from the map, the time from the mean speed.
type Told struct {
	From, To string
	Dist     units.Length
	Time     units.Duration
}

// Leg is the way from one place to another.
type Leg struct {
	Dist units.Length
	Time units.Duration
	Told bool // both figures are the keeper's own
	Home bool // by way of home: the map cannot be right, and no shorter way was told
}

// Roads answers how far it is between any two places. Make one with
// [NewRoads]; the zero Roads knows nothing.
type Roads struct {
	places map[string]Place
	told   map[[2]string]Told
	detour float64
	speed  float64 // m/s
}

// NewRoads makes the table. A leg told in one direction holds for the other
// too, unless that was told as well. Refused: a place or a leg that comes
// twice, a leg from a place to itself, negative or absurd amounts (above
// 2,000 km or 48 h), coordinates that cannot be.
func NewRoads(set figure.Set, places []Place, told []Told) (*Roads, error) {
	r := &Roads{
		places: make(map[string]Place, len(places)),
		told:   make(map[[2]string]Told, len(told)),
		detour: set.V("route.detour"),
		speed:  set.V("route.speed_kmh") / 3.6,
	}
	if !(r.speed > 0) || !(r.detour > 0) {
		return nil, fault.New(fault.OutOfRange, "route.speed_kmh", "the mean speed and the detour factor must be above zero")
	}
	for _, p := range places {
		if _, dup := r.places[p.ID]; dup {
			return nil, fault.New(fault.Conflict, name(p.ID), "this place is in the list twice")
		}
		if p.HasPlace {
			if _, err := GreatCircle(p.Lat, p.Lon, 0, 0); err != nil {
				return nil, fault.Wrap(err, "place "+name(p.ID))
			}
		}
		r.places[p.ID] = p
	}
	for _, t := range told {
		if err := t.check(); err != nil {
			return nil, err
		}
		k := [2]string{t.From, t.To}
		if _, dup := r.told[k]; dup {
			return nil, fault.New(fault.Conflict, name(t.From)+" to "+name(t.To), "this leg was told twice")
		}
		r.told[k] = t
	}
	return r, nil
}

func (t Told) check() error {
	thing := name(t.From) + " to " + name(t.To)
	if t.From == t.To {
		return fault.New(fault.Conflict, thing, "a leg leads from one place to another")
	}
	d, s := float64(t.Dist), float64(t.Time)
	if !(d >= 0 && d <= 2e6) || !(s >= 0 && s <= 48*3600) {
		return fault.Newf(fault.OutOfRange, thing, "%v km in %v min is not a leg of a feeding round", t.Dist.Km(), t.Time.Min()).
			WithHint("give kilometres or miles, and minutes")
	}
	return nil
}

// Between gives the leg from one place to another; false when it is not known:
// no such leg was told and one of the places has no coordinates. From a place
// to itself is a known zero.
func (r *Roads) Between(from, to string) (Leg, bool) {
	if r == nil {
		return Leg{}, false
	}
	if from == to {
		return Leg{Told: true}, true
	}
	t, ok := r.told[[2]string{from, to}]
	if !ok {
		t, ok = r.told[[2]string{to, from}]
	}
	leg := Leg{Dist: t.Dist, Time: t.Time, Told: ok && t.Dist > 0 && t.Time > 0}
	if leg.Told {
		return leg, true
	}
	if leg.Dist == 0 {
		d, known := r.mapped(from, to)
		if around, wrong := r.byHome(from, to, d); known && wrong && leg.Time == 0 {
			return around, true
		}
		switch {
		case known:
			leg.Dist = d
		case leg.Time > 0:
			// Only minutes told and no map: the mean speed the other way round.
			leg.Dist = units.Length(float64(leg.Time) * r.speed)
		default:
			return Leg{}, false
		}
	}
	if leg.Time == 0 {
		leg.Time = units.Duration(float64(leg.Dist) / r.speed)
	}
	return leg, true
}

// mapped gives the great circle times the detour factor.
func (r *Roads) mapped(from, to string) (units.Length, bool) {
	a, okA := r.places[from]
	b, okB := r.places[to]
	if !okA || !okB || !a.HasPlace || !b.HasPlace {
		return 0, false
	}
	d, err := GreatCircle(a.Lat, a.Lon, b.Lat, b.Lon)
	if err != nil || math.IsNaN(float64(d)) {
		return 0, false
	}
	return d * units.Length(r.detour), true
}

// slack is by how much a place on the map may be off: a town given for a yard.
const slack = 2 * units.Kilometre

// byHome gives the way by home where the map's way between two places, d, cannot
// be right: one of them has home's own place though it was told to be further
// off, or the ways told from home differ by more than d. Whoever gives the way
// to a yard but not its place has not said where it lies. By home one can
// always drive; how much shorter it goes, nobody said.
func (r *Roads) byHome(from, to string, d units.Length) (Leg, bool) {
	if from == "" || to == "" {
		return Leg{}, false
	}
	a, okA := r.Between(from, "")
	b, okB := r.Between("", to)
	if !okA || !okB {
		return Leg{}, false
	}
	apart := units.Length(math.Abs(float64(a.Dist - b.Dist)))
	if !r.lost(from, a.Dist) && !r.lost(to, b.Dist) && d+slack >= apart {
		return Leg{}, false
	}
	return Leg{Dist: a.Dist + b.Dist, Time: a.Time + b.Time, Home: true}, true
}

// lost says whether a place has home's coordinates, and yet lies away from it.
func (r *Roads) lost(id string, away units.Length) bool {
	d, known := r.mapped(id, "")
	return known && AtHome(d, away)
}

// AtHome says whether a place that is so far from home by its coordinates, and
// away from it by the road, was given home's place for want of its own.
func AtHome(byMap, away units.Length) bool { return byMap < slack/10 && away > slack }

func name(id string) string {
	if id == "" {
		return "home"
	}
	return id
}
