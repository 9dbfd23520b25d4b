package season

import (
	"slices"
	"strconv"
	"strings"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/route"
	"larder/internal/units"
)

// Places are what ways lead between: home, the keeper's yards, and syrup that
// stands elsewhere at a place of its own.
type Places struct {
	Home   route.Place // ID ""
	Yards  []apiary.Yard
	Stores []route.Place
}

// Places gives home and the yards in use.
func (st *State) Places() Places {
	s := st.Settings
	p := Places{Home: route.Place{HasPlace: s.HasHome, Lat: s.HomeLat, Lon: s.HomeLon}}
	for _, y := range st.Yards() {
		if !y.Closed {
			p.Yards = append(p.Yards, y)
		}
	}
	for _, x := range st.SourcesTold() {
		if _, yard := st.Yard(x.Place); !yard && x.Yard == "" {
			p.Stores = append(p.Stores, route.Place{ID: x.Place, HasPlace: x.HasPlace, Lat: x.Lat, Lon: x.Lon})
		}
	}
	return p
}

// Order names the places as a table that does not name its own could have them:
// home, the yards by their ids, then syrup elsewhere. It is an offer, to be looked at.
func (p Places) Order() []string {
	out := []string{HomeWord}
	for _, y := range p.Yards {
		out = append(out, y.ID)
	}
	for _, x := range p.Stores {
		out = append(out, x.ID)
	}
	return out
}

// HomeWord stands for home in tables of ways.
const HomeWord = "home"

// RoadPlace is a place of a table and the place of ours it is.
type RoadPlace struct {
	No     int    // in the table, from 1
	Called string // by the table; "" = nothing
	Place  string // our yard, "" = home; counts only when Known
	Known  bool
	ByLie  bool         // known by where it lies, not by its name
	Off    units.Length // how far from our place the table has it; counts only when HasOff
	HasOff bool
}

// RoadsTaken is what becomes of a table of ways. Nothing of it is kept yet.
type RoadsTaken struct {
	Places  []RoadPlace // rows of the table, then columns that are not among the rows
	Roads   []Road      // to be kept
	Ways    int         // of the table, between places of ours
	New     int         // of them not told before
	Changed int         // told before otherwise
	Same    int
	Notes   []feeding.Reason
}

// Facts makes facts of the ways to be kept, seen at. Their ids follow from what
// they say.
func (t *RoadsTaken) Facts(at units.Moment) ([]Fact, error) {
	out := make([]Fact, 0, len(t.Roads))
	for _, r := range t.Roads {
		f := Fact{Seen: at, Body: r}
		id, err := f.Derive(0)
		if err != nil {
			return nil, err
		}
		f.ID = id
		if err := f.Check(); err != nil {
			return nil, err
		}
		out = append(out, f)
	}
	return out, nil
}

// TakeRoads works out what a table of ways tells that is not known yet.
func (st *State) TakeRoads(t route.Table) (RoadsTaken, error) {
	return TakeRoads(t, st.Places(), st.roads)
}

// The edges of what is let pass in silence: how far a place of the table may lie
// from the keeper's own coordinates of it (an engine moves it to the nearest
// road), and between which mean speeds a way is driven. Beyond them it is said,
// not refused. Common practice, no source.
const (
	nearRoad = 2 * units.Kilometre
	slowest  = 5.0 / 3.6
	fastest  = 120.0 / 3.6
)

// TakeRoads finds the places of the table among ours, by their ids, else their
// names, else by where they lie when just one is near, and gives the ways that
// differ from what was told. What is told of a way and the table leaves open
// stays. A way told both ways alike is one road. Fault: fault.NotFound when the
// table has no two places of ours, fault.Conflict when a name or a place may be
// two of them.
func TakeRoads(t route.Table, ours Places, told map[[2]string]Road) (RoadsTaken, error) {
	var out RoadsTaken
	from, err := ours.find(t.From)
	if err != nil {
		return out, err
	}
	to, err := ours.find(t.To)
	if err != nil {
		return out, err
	}
	out.Places = slices.Clone(from)
	if t.Form == route.Engine && len(t.From) != len(t.To) {
		out.Places = append(out.Places, to...)
	} else {
		for _, p := range to {
			if !slices.ContainsFunc(out.Places, func(q RoadPlace) bool { return q.Called == p.Called && q.Known == p.Known && q.Place == p.Place }) {
				out.Places = append(out.Places, p)
			}
		}
	}
	got := map[[2]string]Road{}
	var keys [][2]string
	for _, l := range t.Legs {
		a, b := from[l.From], to[l.To]
		if !a.Known || !b.Known || a.Place == b.Place {
			continue
		}
		k := [2]string{a.Place, b.Place}
		r := Road{From: a.Place, To: b.Place, Dist: l.Dist, Time: l.Time}
		was, _ := toldRoad(told, k)
		if !l.HasDist {
			r.Dist = was.Dist
		}
		if !l.HasTime {
			r.Time = was.Time
		}
		if old, twice := got[k]; !twice {
			keys = append(keys, k)
		} else if old != r { // under two names of one yard
			return out, fault.New(fault.Conflict, homeOr(a.Place)+" to "+homeOr(b.Place), "this leg was told twice")
		}
		got[k] = r
	}
	if len(got) == 0 {
		return out, fault.New(fault.NotFound, "", "no two places of this table are home or yards of yours").
			WithHint("call them as you do: home, %s", strings.Join(ours.Order()[1:min(4, len(ours.Yards)+1)], ", "))
	}
	slices.SortFunc(keys, func(a, b [2]string) int {
		if c := NameOrder(a[0], b[0]); c != 0 {
			return c
		}
		return NameOrder(a[1], b[1])
	})
	out.Ways = len(keys)
	out.keep(got, told, keys)
	out.say(t, ours, got, keys)
	return out, nil
}

// toldRoad gives a way as it was told, in either direction.
func toldRoad(told map[[2]string]Road, k [2]string) (Road, bool) {
	if r, ok := told[k]; ok {
		return r, true
	}
	r, ok := told[[2]string{k[1], k[0]}]
	return r, ok
}

// keep finds the fewest roads after which every way is as the table has it. A
// road holds both ways unless the other is told, so those told by themselves
// come first, and one that its other direction says is not told again.
func (t *RoadsTaken) keep(got, told map[[2]string]Road, keys [][2]string) {
	will := map[[2]string]Road{}
	same := func(a, b Road) bool { return a.Dist == b.Dist && a.Time == b.Time }
	for _, k := range keys {
		was, known := toldRoad(told, k)
		switch {
		case known && same(was, got[k]):
			t.Same++
		case known:
			t.Changed++
		default:
			t.New++
		}
		if was, exact := told[k]; exact {
			will[k] = was
			if !same(was, got[k]) {
				will[k] = got[k]
				t.Roads = append(t.Roads, got[k])
			}
		}
	}
	for _, k := range keys {
		if _, exact := told[k]; exact {
			continue
		}
		back := [2]string{k[1], k[0]}
		other, there := will[back]
		if !there {
			other, there = told[back]
		}
		if !there || !same(other, got[k]) {
			will[k] = got[k]
			t.Roads = append(t.Roads, got[k])
		}
	}
}

// say tells what looks odd. Nothing of it is a reason to refuse.
func (t *RoadsTaken) say(table route.Table, ours Places, got map[[2]string]Road, keys [][2]string) {
	say := func(code, s string, amounts ...any) {
		t.Notes = append(t.Notes, feeding.Reason{Code: code, Say: s, Amounts: amounts})
	}
	for _, n := range table.Notes {
		t.Notes = append(t.Notes, feeding.Reason(n))
	}
	var strange []string
	for _, p := range t.Places {
		name := p.Called
		if name == "" {
			name = strconv.Itoa(p.No)
		}
		switch {
		case !p.Known:
			strange = append(strange, name)
		case p.ByLie:
			say("road-place", "place {0} of the table is taken for {1}, which lies {2} from it", name, homeOr(p.Place), p.Off)
		case p.HasOff && p.Off > nearRoad:
			say("road-far", "the table has {0} {1} from where you have it: is it the right place?", homeOr(p.Place), p.Off)
		}
	}
	if len(strange) > 0 {
		say("road-strange", "places that are neither home nor a yard of yours were passed over: {0}", strings.Join(strange, ", "))
	}
	place := ours.byID()
	odd, short := 0, 0
	var oddest, shortest Road
	for _, k := range keys {
		r := got[k]
		if r.Dist > 0 && r.Time > 0 {
			if v := float64(r.Dist) / float64(r.Time); v < slowest || v > fastest {
				if odd++; odd == 1 {
					oddest = r
				}
			}
		}
		a, b := place[k[0]], place[k[1]]
		if r.Dist > 0 && a.HasPlace && b.HasPlace {
			if d, err := route.GreatCircle(a.Lat, a.Lon, b.Lat, b.Lon); err == nil && d > r.Dist+r.Dist/50+nearRoad {
				if short++; short == 1 {
					shortest = r
				}
			}
		}
	}
	if odd > 0 {
		say("road-speed", "ways that would be driven very slowly or very fast: {0}, the first {1} to {2}, {3} in {4}. Is the unit right?", odd, homeOr(oddest.From), homeOr(oddest.To), oddest.Dist, oddest.Time)
	}
	if short > 0 {
		say("road-short", "ways shorter than the straight line on the map: {0}, the first {1} to {2}, {3}. Is the unit right, or one of the places wrong?", short, homeOr(shortest.From), homeOr(shortest.To), shortest.Dist)
	}
}

func homeOr(place string) string {
	if place == "" {
		return HomeWord
	}
	return place
}

func (p Places) byID() map[string]route.Place {
	out := map[string]route.Place{"": p.Home}
	for _, y := range p.Yards {
		out[y.ID] = route.Place{ID: y.ID, HasPlace: y.HasPlace, Lat: y.Lat, Lon: y.Lon}
	}
	for _, x := range p.Stores {
		out[x.ID] = x
	}
	return out
}

// find finds the places of a table among ours.
func (p Places) find(spots []route.Spot) ([]RoadPlace, error) {
	out := make([]RoadPlace, len(spots))
	place := p.byID()
	by := map[string]string{} // our place → what the table calls it
	for i, s := range spots {
		x := RoadPlace{No: i + 1, Called: s.Name}
		if s.Name == "" {
			x.Called = s.Near
		}
		var err error
		if s.Name != "" {
			x.Place, x.Known, err = p.named(s.Name)
		} else {
			x.Place, x.Known, err = p.lying(s)
			x.ByLie = x.Known
		}
		if err != nil {
			return nil, err
		}
		if q := place[x.Place]; x.Known && s.HasPlace && q.HasPlace {
			if d, err := route.GreatCircle(s.Lat, s.Lon, q.Lat, q.Lon); err == nil {
				x.Off, x.HasOff = d, true
			}
		}
		if x.Known {
			name := x.Called
			if name == "" {
				name = strconv.Itoa(x.No)
			}
			if was, twice := by[x.Place]; twice && x.ByLie {
				return nil, fault.Newf(fault.Conflict, homeOr(x.Place), "the table has it twice, as %s and as %s", was, name)
			}
			by[x.Place] = name
		}
		out[i] = x
	}
	return out, nil
}

// named finds a place by the keeper's words for it.
func (p Places) named(name string) (id string, ok bool, err error) {
	for _, y := range p.Yards {
		if y.ID == name {
			return y.ID, true, nil
		}
	}
	low := foldName(name)
	if low == HomeWord || low == "casa" {
		return "", true, nil
	}
	var hits []string
	for _, y := range p.Yards {
		if foldName(y.ID) == low || y.Name != "" && foldName(y.Name) == low {
			hits = append(hits, y.ID)
		}
	}
	for _, x := range p.Stores {
		if x.ID == name {
			return x.ID, true, nil
		}
		if foldName(x.ID) == low {
			hits = append(hits, x.ID)
		}
	}
	switch len(hits) {
	case 0:
		return "", false, nil
	case 1:
		return hits[0], true, nil
	}
	return "", false, fault.Newf(fault.Conflict, name, "this may be the yard %s or %s", hits[0], hits[1]).WithHint("call it by its short name")
}

// foldName makes names equal that differ only in case and spaces.
func foldName(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

// lying finds the one place of ours near a spot.
func (p Places) lying(s route.Spot) (id string, ok bool, err error) {
	if !s.HasPlace {
		return "", false, fault.New(fault.Missing, "", route.SayNoNames).
			WithHint("say the order of the places: %s", strings.Join(p.Order(), ", "))
	}
	var hits []string
	look := func(id string, has bool, lat, lon float64) {
		if !has {
			return
		}
		if d, err := route.GreatCircle(s.Lat, s.Lon, lat, lon); err == nil && d <= nearRoad {
			hits = append(hits, id)
		}
	}
	look("", p.Home.HasPlace, p.Home.Lat, p.Home.Lon)
	for _, y := range p.Yards {
		look(y.ID, y.HasPlace, y.Lat, y.Lon)
	}
	for _, x := range p.Stores {
		look(x.ID, x.HasPlace, x.Lat, x.Lon)
	}
	switch len(hits) {
	case 0:
		return "", false, nil
	case 1:
		return hits[0], true, nil
	}
	return "", false, fault.Newf(fault.Conflict, "", "%s and %s both lie near one place of the table", homeOr(hits[0]), homeOr(hits[1])).
		WithHint("say the order of the places: %s", strings.Join(p.Order(), ", "))
}

// WayHow is where a way comes from.
type WayHow string

// Where ways come from.
const (
	WayTold    WayHow = "told" // both distance and time are the keeper's
	WayPart    WayHow = "part" // one of them; the other is from the map or the mean speed
	WayMap     WayHow = "map"
	WayHome    WayHow = "home" // by way of home: the map cannot be right, and no shorter way was told
	WayUnknown WayHow = "unknown"
)

// Way is how far it is from one place to another.
type Way struct {
	From, To string // yard ids, "" = home
	Dist     units.Length
	Time     units.Duration
	How      WayHow
}

// Ways lists every way between home and the yards in use. A way that is the same
// back is listed once. It is what the planner drives by.
func (st *State) Ways(at units.Moment) ([]Way, error) {
	between, err := st.bench(at).legs()
	if err != nil {
		return nil, err
	}
	ids := []string{""}
	for _, y := range st.Places().Yards {
		ids = append(ids, y.ID)
	}
	for _, x := range st.Places().Stores {
		ids = append(ids, x.ID)
	}
	way := func(a, b string) Way {
		w := Way{From: a, To: b, How: WayUnknown}
		r, ok := between(a, b)
		if !ok {
			return w
		}
		w.Dist, w.Time, w.How = r.Dist, r.Time, WayMap
		if r.Home {
			w.How = WayHome
			for _, x := range []string{a, b} {
				if l, _ := between("", x); l.Dist == 0 { // this one is at home: there is nothing more to tell
					w.How = WayPart
				}
			}
		}
		if told, is := st.Road(a, b); is {
			switch {
			case told.Dist > 0 && told.Time > 0:
				w.How = WayTold
			case told.Dist > 0 || told.Time > 0:
				w.How = WayPart
			}
		}
		return w
	}
	var out []Way
	for i, a := range ids {
		for _, b := range ids[i+1:] {
			there, back := way(a, b), way(b, a)
			out = append(out, there)
			if back.Dist != there.Dist || back.Time != there.Time || back.How != there.How {
				out = append(out, back)
			}
		}
	}
	return out, nil
}
