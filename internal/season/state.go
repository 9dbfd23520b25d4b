package season

import (
	"slices"
	"strings"

	"larder/internal/apiary"
	"larder/internal/ledger"
	"larder/internal/supplement"
	"larder/internal/units"
	"larder/internal/weather"
)

// State is what the facts amount to: the yards and colonies as they stand, each
// colony with the facts about it in order of truth, the weather, the settings.
// It holds no estimates; those are worked out from it (see Judge, Short, Plan).
type State struct {
	AsOf      units.Moment // zero = by all that is known
	Settings  Settings
	yards     map[string]apiary.Yard
	colonies  map[string]*Colony
	weather   map[string][]weather.Day
	places    map[string]weather.Station // where stations stand, as told
	foretold  map[string]units.Moment    // when the latest forecast of a station was made
	roads     map[[2]string]Road
	batches   map[string]ledger.Batch
	purchases map[string][]ledger.Purchase
	goods     map[string][]*Fact // by item: what was bought and what was done with it
	mixes     map[string][]*Fact // by batch: its mixing and what was done with it
	labels    map[string]supplement.Label
	spoons    map[string]supplement.Weighing
	plans     map[string]PlanOut
	trucks    map[string]Truck
	workdays  map[string]WorkingDay
	feedable  map[string]Feedable // by feedableKey
	sources   map[string]toldSource
	chores    map[string]map[string]units.Moment // by yard: what was done, and when last
	values    map[string]string                  // settings in force
	hand      toldHand                           // of the mixed syrup in store
	forage    map[string][]units.Day             // by yard: when first forage was seen
	memo      *memo
}

// Colony is one colony as it stands, with its history.
type Colony struct {
	apiary.Colony
	Told   bool    // somebody placed it; false = only readings or gifts name it
	Events []*Fact // facts in force about it, in order of truth
}

func newState(asOf units.Moment) *State {
	return &State{
		AsOf: asOf, yards: map[string]apiary.Yard{}, colonies: map[string]*Colony{},
		weather: map[string][]weather.Day{}, places: map[string]weather.Station{}, foretold: map[string]units.Moment{}, roads: map[[2]string]Road{},
		batches: map[string]ledger.Batch{}, purchases: map[string][]ledger.Purchase{}, goods: map[string][]*Fact{}, mixes: map[string][]*Fact{},
		labels: map[string]supplement.Label{}, spoons: map[string]supplement.Weighing{}, plans: map[string]PlanOut{}, trucks: map[string]Truck{}, workdays: map[string]WorkingDay{}, feedable: map[string]Feedable{}, sources: map[string]toldSource{},
		chores: map[string]map[string]units.Moment{}, forage: map[string][]units.Day{},
		values: map[string]string{}, Settings: DefaultSettings(), memo: newMemo(),
	}
}

// refold works out the subjects in which anew from the journal.
func (st *State) refold(j *Journal, which map[Subject]struct{}) {
	settings := false
	for s := range which {
		l := j.line(s, st.AsOf)
		if s.Sort == "yard" || s.Sort == "station" || s.Sort == "setting" || s.Sort == "feedable" {
			st.memo = newMemo()
		}
		switch s.Sort {
		case "colony":
			put(st.colonies, s.Name, foldColony(s.Name, l), len(l) > 0)
		case "yard":
			y, ok := last[apiary.Yard](l)
			put(st.yards, s.Name, y, ok)
			done := foldChores(l)
			put(st.chores, s.Name, done, len(done) > 0)
			seen := foldForage(l)
			put(st.forage, s.Name, seen, len(seen) > 0)
		case "station":
			days, foretold := foldWeather(l)
			put(st.weather, s.Name, days, len(days) > 0)
			put(st.foretold, s.Name, foretold, !foretold.IsZero())
			where, ok := last[weather.Station](l)
			put(st.places, s.Name, where, ok)
		case "road":
			r, ok := last[Road](l)
			from, to, _ := strings.Cut(s.Name, "\x00")
			put(st.roads, [2]string{from, to}, r, ok)
		case "batch":
			b, ok := last[ledger.Batch](l)
			put(st.batches, s.Name, b, ok)
			put(st.mixes, s.Name, l, len(l) > 0)
		case "purchase":
			p := every[ledger.Purchase](l)
			put(st.purchases, s.Name, p, len(p) > 0)
			put(st.goods, s.Name, l, len(l) > 0)
		case "product":
			x, ok := last[supplement.Label](l)
			put(st.labels, s.Name, x, ok)
			w, ok := last[supplement.Weighing](l)
			put(st.spoons, s.Name, w, ok)
		case "plan":
			p, ok := last[PlanOut](l)
			put(st.plans, s.Name, p, ok)
		case "truck":
			t, ok := last[Truck](l)
			put(st.trucks, s.Name, t, ok)
		case "workday":
			d, ok := last[WorkingDay](l)
			put(st.workdays, s.Name, d, ok)
		case "feedable":
			d, ok := last[Feedable](l)
			put(st.feedable, s.Name, d, ok)
		case "source":
			x, ok := lastSource(l)
			put(st.sources, s.Name, x, ok)
		case "setting":
			v, ok := last[Setting](l)
			put(st.values, s.Name, v.Value, ok && v.Value != "")
			if s.Name == onHand {
				st.hand = handOf(l)
			}
			settings = true
		}
	}
	if settings {
		st.Settings = settingsFrom(st.values)
	}
}

func put[K comparable, V any](m map[K]V, k K, v V, there bool) {
	if there {
		m[k] = v
	} else {
		delete(m, k)
	}
}

// last gives the body of the last fact of a line.
func last[B any](l []*Fact) (B, bool) {
	for i := len(l) - 1; i >= 0; i-- {
		if b, ok := l[i].Body.(B); ok {
			return b, true
		}
	}
	var none B
	return none, false
}

func every[B any](l []*Fact) []B {
	var out []B
	for _, f := range l {
		if b, ok := f.Body.(B); ok {
			out = append(out, b)
		}
	}
	return out
}

// foldColony replays the facts about one colony.
func foldColony(id string, l []*Fact) *Colony {
	c := &Colony{Events: l}
	c.ID = id
	c.State = apiary.Alive
	for _, f := range l {
		switch b := f.Body.(type) {
		case apiary.Placed:
			state, into, from := c.State, c.Into, c.From
			c.Colony = b.Colony
			c.Told = true
			c.State, c.Into = state, into
			if c.From == "" {
				c.From = from
			}
		case apiary.Moved:
			c.Yard, c.Stand = b.Yard, b.Stand
		case apiary.Restacked:
			c.Stack = b.Stack
		case apiary.FeederSet:
			c.Feeder, c.FeederVolume = b.Feeder, b.Volume
		case apiary.United:
			if b.From == id {
				c.State, c.Into = apiary.Joined, b.Into
			}
		case apiary.Split:
			if b.New.ID == id {
				c.Colony = b.New
				c.Told = true
				c.State, c.From = apiary.Alive, b.From
			}
		case apiary.Ended:
			c.State = b.State
		}
	}
	return c
}

// foldWeather sorts days and keeps one of each: measured before forecast, then
// the later fact. foretold is when the latest forecast among them was made.
func foldWeather(l []*Fact) (days []weather.Day, foretold units.Moment) {
	best := map[units.Day]weather.Day{}
	for _, f := range l {
		d, ok := f.Body.(weather.Day)
		if !ok {
			continue
		}
		if d.Forecast {
			foretold = f.Seen
		}
		if old, there := best[d.Day]; there && d.Forecast && !old.Forecast {
			continue
		}
		best[d.Day] = d
	}
	out := make([]weather.Day, 0, len(best))
	for _, d := range best {
		out = append(out, d)
	}
	slices.SortFunc(out, func(a, b weather.Day) int { return int(a.Day) - int(b.Day) })
	return out, foretold
}

// Yards lists the yards by id. A yard that only colonies name is listed too,
// with nothing but its id.
func (st *State) Yards() []apiary.Yard {
	seen := map[string]apiary.Yard{}
	for id, y := range st.yards {
		seen[id] = y
	}
	for _, c := range st.colonies {
		if _, ok := seen[c.Yard]; !ok && c.Yard != "" {
			seen[c.Yard] = apiary.Yard{ID: c.Yard}
		}
	}
	return sorted(seen)
}

// Yard gives one yard.
func (st *State) Yard(id string) (apiary.Yard, bool) { y, ok := st.yards[id]; return y, ok }

// Colonies lists all colonies, by yard, stand, then name.
func (st *State) Colonies() []*Colony {
	out := make([]*Colony, 0, len(st.colonies))
	for _, c := range st.colonies {
		out = append(out, c)
	}
	slices.SortFunc(out, func(a, b *Colony) int {
		if c := strings.Compare(a.Yard, b.Yard); c != 0 {
			return c
		}
		if a.Stand != b.Stand {
			return a.Stand - b.Stand
		}
		return NameOrder(a.ID, b.ID)
	})
	return out
}

// Colony gives one colony.
func (st *State) Colony(id string) (*Colony, bool) { c, ok := st.colonies[id]; return c, ok }

// Weather gives the days of a station, sorted.
func (st *State) Weather(station string) []weather.Day { return st.weather[station] }

// StationPlace gives where a station stands, as far as it was told.
func (st *State) StationPlace(station string) (weather.Station, bool) {
	s, ok := st.places[station]
	return s, ok
}

// StationPlaces lists the stations of which anything was told, by id.
func (st *State) StationPlaces() []weather.Station { return sorted(st.places) }

// Foretold gives the moment the latest forecast of a station was made; zero when
// there is none.
func (st *State) Foretold(station string) units.Moment { return st.foretold[station] }

// Stations lists the stations with weather.
func (st *State) Stations() []string { return sortedKeys(st.weather) }

// Road gives the way from one place to another as the keeper told it, in
// either direction.
func (st *State) Road(from, to string) (Road, bool) {
	if r, ok := st.roads[[2]string{from, to}]; ok {
		return r, true
	}
	r, ok := st.roads[[2]string{to, from}]
	return r, ok
}

// Batches lists the batches by id.
func (st *State) Batches() []ledger.Batch { return sorted(st.batches) }

// Batch gives one batch.
func (st *State) Batch(id string) (ledger.Batch, bool) { b, ok := st.batches[id]; return b, ok }

// Purchases lists what was bought, by item, in order of truth.
func (st *State) Purchases() []ledger.Purchase {
	var out []ledger.Purchase
	for _, k := range sortedKeys(st.purchases) {
		out = append(out, st.purchases[k]...)
	}
	return out
}

// Labels lists the labels, by product.
func (st *State) Labels() []supplement.Label { return sorted(st.labels) }

// Label gives the label of a product, as it was last copied.
func (st *State) Label(product string) (supplement.Label, bool) {
	l, ok := st.labels[product]
	return l, ok
}

// Spoon gives the spoon as it was last weighed with a product.
func (st *State) Spoon(product string) (supplement.Weighing, bool) {
	w, ok := st.spoons[product]
	return w, ok
}

// ShedFacts lists what is known of the shed, by item and batch, in order of
// truth: purchases, batches and what was done with them.
func (st *State) ShedFacts() []*Fact {
	var out []*Fact
	for _, m := range []map[string][]*Fact{st.goods, st.mixes} {
		for _, k := range sortedKeys(m) {
			out = append(out, m[k]...)
		}
	}
	return out
}

// Plans lists the plans taken out, by id.
func (st *State) Plans() []PlanOut { return sorted(st.plans) }

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, NameOrder)
	return keys
}

func sorted[V any](m map[string]V) []V {
	keys := sortedKeys(m)
	out := make([]V, len(keys))
	for i, k := range keys {
		out[i] = m[k]
	}
	return out
}

// NameOrder compares names as people number hives: "9" before "10", "m2" before
// "m10". Equal by that, it falls back to the bytes, so the order is total.
func NameOrder(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		nx, ny := digits(x), digits(y)
		if nx > 0 && ny > 0 {
			p, q := strings.TrimLeft(x[:nx], "0"), strings.TrimLeft(y[:ny], "0")
			if len(p) != len(q) {
				return len(p) - len(q)
			}
			if c := strings.Compare(p, q); c != 0 {
				return c
			}
			x, y = x[nx:], y[ny:]
			continue
		}
		if x[0] != y[0] {
			return int(x[0]) - int(y[0])
		}
		x, y = x[1:], y[1:]
	}
	if len(x) != len(y) {
		return len(x) - len(y)
	}
	return strings.Compare(a, b)
}

func digits(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}
