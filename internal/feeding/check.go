package feeding

import (
	"fmt"
	"math"
	"slices"

	"larder/internal/units"
)

// Check goes through a plan day by day with plain arithmetic, knowing nothing
// of how it was made, and gives everything that breaks a rule; none is a nil
// slice. It is meant for tests and for plans changed by hand.
//
// Rules checked: every load on a day of the calendar, in the tank, the payload,
// the working time and the number of loads of the day and of its truck, with the
// distance and time its roads, rates and hands give; no truck on two loads at
// once, filled only where there is syrup and it has come to, home at night; work
// at a yard while its gate is open; every fill on a feedable day of its yard, at
// its own yard, once a day, in walking order, above 0, not over the feeder with
// what is in it, not to a held hive; nothing of it left in the feeder after the
// stop day; no more given than need and comb space; batches within the mixer,
// by mass balance, ready before their loads, not above what the store holds
// overnight; sums and totals; unmet covering what is not given; bounds not
// above what they bound; a reason on every line.
func Check(p Problem, pl Plan) []error {
	c := newChecker(&p, &pl)
	c.colonies()
	c.loads()
	c.feeders()
	c.stock()
	c.unmet()
	c.totals()
	return c.errs
}

// slack forgives rounding: a tenth of a millilitre, a second.
const slackL, slackS = 1e-4, 1.0

type checker struct {
	p     *Problem
	pl    *Plan
	hive  map[string]*Hive
	yard  map[string]*Yard
	plan  map[string]*ColonyPlan
	given map[string]map[int]float64 // colony, day, litres
	goes  []float64                  // litres driven out by day
	busy  []map[string]float64       // seconds of work by day and truck
	errs  []error
}

func newChecker(p *Problem, pl *Plan) *checker {
	c := &checker{p: p, pl: pl, hive: map[string]*Hive{}, yard: map[string]*Yard{}, plan: map[string]*ColonyPlan{},
		given: map[string]map[int]float64{}, goes: make([]float64, p.Days), busy: make([]map[string]float64, p.Days)}
	for d := range c.busy {
		c.busy[d] = map[string]float64{}
	}
	for i := range p.Hives {
		c.hive[p.Hives[i].Colony] = &p.Hives[i]
	}
	for i := range p.Yards {
		c.yard[p.Yards[i].ID] = &p.Yards[i]
	}
	return c
}

func (c *checker) bad(format string, args ...any) {
	c.errs = append(c.errs, fmt.Errorf(format, args...))
}

func (c *checker) why(thing string, why []Reason) {
	if len(why) == 0 {
		c.bad("%s has no reason", thing)
	}
	for _, w := range why {
		if w.Code == "" || w.Say == "" {
			c.bad("%s has an empty reason", thing)
		}
	}
}

func (c *checker) colonies() {
	for i := range c.pl.Colonies {
		cp := &c.pl.Colonies[i]
		h := c.hive[cp.Colony]
		switch {
		case h == nil:
			c.bad("colony %s is not in the problem", cp.Colony)
			continue
		case c.plan[cp.Colony] != nil:
			c.bad("colony %s is in the plan twice", cp.Colony)
		case h.Need != cp.Need || h.Yard != cp.Yard:
			c.bad("colony %s: need or yard differs from the problem", cp.Colony)
		}
		c.plan[cp.Colony] = cp
		c.why("colony "+cp.Colony, cp.Why)
	}
	if len(c.plan) != len(c.hive) {
		c.bad("%d colonies in the plan, %d in the problem", len(c.plan), len(c.hive))
	}
}

func (c *checker) loads() {
	perDay := make([]int, c.p.Days)
	last := 0
	at := map[truckDay]truckAt{}
	sources := map[string]float64{}
	for i := range c.pl.Loads {
		l := &c.pl.Loads[i]
		name := fmt.Sprintf("load %d", l.N)
		d := int(l.Day - c.p.Start)
		if l.N != i+1 || d < last || d >= c.p.Days {
			c.bad("%s: out of order or outside the calendar", name)
			continue
		}
		last = d
		perDay[d]++
		c.why(name, l.Why)
		rig, ok := c.rig(l.Truck)
		if !ok {
			c.bad("%s: truck %q is not in the problem", name, l.Truck)
			continue
		}
		key := truckDay{l.Truck, d}
		now := at[key]
		if i := now.loads; i > 0 && c.gates() && l.Leave < now.home-slackS {
			c.bad("%s: leaves before the load before it is back", name)
		}
		start := now.place
		if now.loads > 0 && now.to != l.From && now.to != "" {
			c.bad("%s: is filled at %q, the truck went to %q", name, l.From, now.to)
		}
		now.loads++
		q, dist, time := c.drive(name, l, d, rig, start)
		now.place, now.to, now.home = "", l.To, l.Leave+units.Duration(time)
		if l.To != "" && len(l.Stops) > 0 {
			now.place = l.Stops[len(l.Stops)-1].Yard
		}
		at[key] = now
		if most := rig.LoadsPerDay; most > 0 && now.loads > most {
			c.bad("day %d: %d loads of truck %q, %d allowed", d, now.loads, l.Truck, most)
		}
		if math.Abs(q-l.Syrup.L()) > slackL {
			c.bad("%s: fills sum to %v L, load says %v", name, q, l.Syrup)
		}
		if q > rig.Tank.L()+slackL {
			c.bad("%s: %v L in a tank of %v", name, q, rig.Tank)
		}
		if kg := q * float64(c.p.Kitchen.Density) / 1000; rig.Payload > 0 && kg > rig.Payload.Kg()+slackL {
			c.bad("%s: %v kg on a payload of %v", name, kg, rig.Payload)
		}
		if math.Abs(dist-float64(l.Dist)) > float64(len(l.Stops)+3) {
			c.bad("%s: %v m on the road, load says %v", name, dist, l.Dist)
		}
		if math.Abs(time-float64(l.Time)) > slackS {
			c.bad("%s: %v s, load says %v", name, time, l.Time)
		}
		if l.From == "" {
			c.goes[d] += q
		} else {
			sources[l.From] += q
		}
		c.busy[d][l.Truck] += time
	}
	for d, n := range perDay {
		if most := c.p.Crew.LoadsPerDay; most > 0 && n > most {
			c.bad("day %d: %d loads, %d allowed", d, n, most)
		}
	}
	for key, a := range at {
		rig, _ := c.rig(key.truck)
		works := float64(c.p.works(rig, key.d))
		if a.place != "" {
			c.bad("day %d: truck %q does not come home", key.d, key.truck)
		}
		if c.gates() && float64(a.home-c.p.Crew.Begins) > works+slackS {
			c.bad("day %d: truck %q is home after the working day", key.d, key.truck)
		}
	}
	for place, q := range sources {
		s := c.source(place)
		if s == nil || q > s.OnHand.L()+slackL {
			c.bad("%v L are filled at %q, which has less", q, place)
		}
	}
}

type truckDay struct {
	truck string
	d     int
}

// truckAt is where a truck stands after a load, and when it got there.
type truckAt struct {
	place string // its last stop when it goes on from there, else home
	to    string
	home  units.Duration
	loads int
}

// gates tells whether any yard has hours of its own.
func (c *checker) gates() bool {
	return slices.ContainsFunc(c.p.Yards, func(y Yard) bool { return y.Opens > 0 || y.Shuts > 0 })
}

func (c *checker) rig(truck string) (*Rig, bool) {
	for i := range c.p.Rigs {
		if c.p.Rigs[i].Truck == truck {
			return &c.p.Rigs[i], true
		}
	}
	return nil, false
}

func (c *checker) source(place string) *Source {
	for i := range c.p.Sources {
		if c.p.Sources[i].Place == place {
			return &c.p.Sources[i]
		}
	}
	return nil
}

// drive follows one load from start and notes its fills.
func (c *checker) drive(name string, l *Load, d int, rig *Rig, start string) (q, dist, time float64) {
	at := start
	leg := func(to string) {
		if at == to {
			return
		}
		r, ok := c.p.Road(at, to)
		if !ok {
			c.bad("%s: no known road from %q to %q", name, at, to)
		}
		dist, time, at = dist+float64(r.Dist), time+float64(r.Time), to
	}
	if len(l.Stops) == 0 {
		c.bad("%s calls nowhere", name)
	}
	if s := c.source(l.From); s != nil && l.Day < s.From {
		c.bad("%s: is filled at %q on %s, where there is syrup from %s", name, l.From, l.Day, s.From)
	}
	if l.From != "" && c.source(l.From) == nil || l.To != "" && c.source(l.To) == nil {
		c.bad("%s: is filled or ends where there is no syrup", name)
	}
	leg(l.From)
	fill := float64(rig.Fill)
	if s := c.source(l.From); s != nil && s.Fill > 0 {
		fill = float64(s.Fill)
	}
	time += fill
	for i := range l.Stops {
		s := &l.Stops[i]
		y := c.yard[s.Yard]
		if y == nil {
			c.bad("%s: yard %s is not in the problem", name, s.Yard)
			continue
		}
		if d >= len(y.Feed) || !y.Feed[d] || l.Day > y.Stop {
			c.bad("%s: no round may be made at %s on day %d", name, s.Yard, d)
		}
		leg(s.Yard)
		work := float64(y.Setup) + float64(len(s.Fills))*float64(c.p.perHive(rig, d))
		for k := range s.Fills {
			f := &s.Fills[k]
			c.fill(name, s.Yard, f, d)
			if k > 0 && c.stand(f.Colony) < c.stand(s.Fills[k-1].Colony) {
				c.bad("%s: %s is not in walking order", name, f.Colony)
			}
			q += f.Volume.L()
			work += f.Volume.L() / float64(rig.Pump)
		}
		if len(s.Fills) == 0 || math.Abs(work-float64(s.Time)) > slackS {
			c.bad("%s: stop at %s takes %v s, says %v", name, s.Yard, work, s.Time)
		}
		if y.Opens > 0 || y.Shuts > 0 {
			clock := float64(l.Leave) + time
			time += math.Max(0, float64(y.Opens)-clock)
			if end := float64(l.Leave) + time + work; y.Shuts > 0 && end > float64(y.Shuts)+slackS {
				c.bad("%s: work at %s ends at %v s, the gate shuts at %v", name, s.Yard, end, y.Shuts)
			}
		}
		time += work
	}
	if l.To == "" { // else the way there belongs to the next load
		leg("")
	}
	return q, dist, time
}

func (c *checker) stand(colony string) int {
	if h := c.hive[colony]; h != nil {
		return h.Stand
	}
	return 0
}

func (c *checker) fill(name, yard string, f *Fill, d int) {
	c.why(name+" fill "+f.Colony, f.Why)
	h := c.hive[f.Colony]
	if h == nil || h.Yard != yard {
		c.bad("%s: %s does not stand at %s", name, f.Colony, yard)
		return
	}
	if len(h.Hold) > 0 {
		c.bad("%s: %s is held (%s) and gets syrup", name, f.Colony, h.Hold[0].Code)
	}
	if f.Volume <= 0 {
		c.bad("%s: %s gets %v", name, f.Colony, f.Volume)
	}
	if c.given[f.Colony] == nil {
		c.given[f.Colony] = map[int]float64{}
	}
	if _, twice := c.given[f.Colony][d]; twice {
		c.bad("%s: %s is filled twice on a day", name, f.Colony)
	}
	c.given[f.Colony][d] += f.Volume.L()
}

// feeders follows every hive day by day: a fill first, then that day's uptake.
func (c *checker) feeders() {
	for i := range c.p.Hives {
		h := &c.p.Hives[i]
		id, y := h.Colony, c.yard[h.Yard]
		in, sum, fills := h.InFeeder.L(), 0.0, 0
		for d := range c.p.Days {
			if v, ok := c.given[id][d]; ok {
				in, sum, fills = in+v, sum+v, fills+1
				if in > h.Feeder.L()+slackL {
					c.bad("%s: %v L in a feeder of %v on day %d", id, in, h.Feeder, d)
				}
			}
			if d < len(y.Factor) && c.p.Start+units.Day(d) <= y.Stop {
				in -= math.Min(in, h.Uptake.L()*y.Factor[d])
			}
		}
		if fills > 0 && in > slackL {
			c.bad("%s: %v L left in the feeder after the stop day", id, in)
		}
		if cp := c.plan[id]; cp != nil && (math.Abs(cp.Given.L()-sum) > slackL || cp.Fills != fills || math.Abs(cp.Taken.L()-sum) > slackL) {
			c.bad("%s: %d fills of %v L, plan says %d of %v, taken %v", id, fills, sum, cp.Fills, cp.Given, cp.Taken)
		}
		if sum == 0 {
			continue
		}
		if sum+c.soaks(h, y) > h.Need.L()+slackL {
			c.bad("%s: given %v L on a need of %v", id, sum, h.Need)
		}
		if h.RoomTold && sum+c.soaks(h, y) > h.Room.L()+slackL {
			c.bad("%s: given %v L into comb with room for %v", id, sum, h.Room)
		}
	}
}

// soaks is what of the syrup in the feeder at the start the bees can take.
func (c *checker) soaks(h *Hive, y *Yard) float64 {
	can := 0.0
	for d := range min(c.p.Days, len(y.Factor)) {
		if c.p.Start+units.Day(d) <= y.Stop {
			can += h.Uptake.L() * y.Factor[d]
		}
	}
	return math.Min(h.InFeeder.L(), can)
}

// stock follows the syrup in the house.
func (c *checker) stock() {
	k := &c.p.Kitchen
	mixed, batches := make([]float64, c.p.Days), make([]int, c.p.Days)
	last := 0
	for i := range c.pl.Batches {
		b := &c.pl.Batches[i]
		name := fmt.Sprintf("batch %d", i+1)
		c.why(name, b.Why)
		d := int(b.Day - c.p.Start)
		if d < last || d >= c.p.Days {
			c.bad("%s: out of order or outside the calendar", name)
			continue
		}
		last = d
		if b.Syrup <= 0 || k.Mixer > 0 && b.Syrup.L() > k.Mixer.L()+slackL {
			c.bad("%s: %v in a mixer of %v", name, b.Syrup, k.Mixer)
		}
		kg := b.Syrup.L() * float64(k.Density) / 1000
		if math.Abs(b.Sugar.Kg()+b.Water.L()*0.9982-kg) > 1e-6*kg || math.Abs(b.Sugar.Kg()/kg-float64(k.Strength)) > 1e-6 {
			c.bad("%s: %v sugar and %v water do not make %v", name, b.Sugar, b.Water, b.Syrup)
		}
		mixed[d] += b.Syrup.L()
		batches[d]++
	}
	have := k.OnHand.L()
	for d := range c.p.Days {
		if have+mixed[d] < c.goes[d]-slackL {
			c.bad("day %d: %v L go out, %v are there", d, c.goes[d], have+mixed[d])
		}
		have += mixed[d] - c.goes[d]
		if k.Store > 0 && mixed[d] > 0 && have > k.Store.L()+slackL {
			c.bad("day %d: %v L overnight in a store of %v", d, have, k.Store)
		}
		c.crews(d, batches[d])
	}
	over := have - math.Max(0, k.OnHand.L()-sum(c.goes))
	if len(c.pl.Loads) > 0 && over > slackL {
		c.bad("%v L mixed and not used", over)
	}
}

// crews holds the work of a day against the crews' time: each truck's loads
// within its own, and the batches within what is left of all.
func (c *checker) crews(d, batches int) {
	k := &c.p.Kitchen
	room := 0
	for i := range c.p.Rigs {
		r := &c.p.Rigs[i]
		left := float64(c.p.works(r, d)) - c.busy[d][r.Truck]
		if c.busy[d][r.Truck] > 0 && left < -slackS {
			c.bad("day %d: %v s of work with truck %q, %v allowed", d, c.busy[d][r.Truck], r.Truck, c.p.works(r, d))
		}
		switch {
		case left+slackS < float64(k.Mixing):
		case k.Mixing == 0:
			room = math.MaxInt
		case room < math.MaxInt:
			room += int(math.Min(1e9, (left+slackS)/float64(k.Mixing)))
		}
	}
	if batches > room {
		c.bad("day %d: %d batches to mix, the crews have time for %d", d, batches, room)
	}
}

func sum(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s
}

func (c *checker) unmet() {
	un := map[string]float64{}
	for i := range c.pl.Unmet {
		u := &c.pl.Unmet[i]
		c.why("unmet "+u.Colony, u.Why)
		if _, twice := un[u.Colony]; twice || u.Volume <= 0 {
			c.bad("unmet %s is listed twice or without litres", u.Colony)
		}
		un[u.Colony] += u.Volume.L()
	}
	for i := range c.p.Hives {
		h := &c.p.Hives[i]
		id, got := h.Colony, 0.0
		for d := range c.p.Days {
			got += c.given[id][d]
		}
		lack := h.Need.L() - c.soaks(h, c.yard[h.Yard]) - got
		// Below ten millilitres a need counts as served.
		if math.Abs(math.Max(0, lack)-un[id]) > 0.0101 {
			c.bad("%s: lacks %v L, unmet says %v", id, lack, un[id])
		}
	}
}

func (c *checker) totals() {
	t := &c.pl.Totals
	var v, f int
	var q, dist, time, sugar, water, batch float64
	for i := range c.pl.Loads {
		l := &c.pl.Loads[i]
		v += len(l.Stops)
		for k := range l.Stops {
			f += len(l.Stops[k].Fills)
		}
		q, dist, time = q+l.Syrup.L(), dist+float64(l.Dist), time+float64(l.Time)
	}
	for i := range c.pl.Batches {
		b := &c.pl.Batches[i]
		sugar, water, batch = sugar+b.Sugar.Kg(), water+b.Water.L(), batch+b.Syrup.L()
	}
	near := func(what string, a, b float64) {
		if math.Abs(a-b) > 1e-6*(1+math.Abs(a)) {
			c.bad("totals: %s is %v, says %v", what, a, b)
		}
	}
	near("syrup", q, t.Syrup.L())
	near("distance", dist, float64(t.Dist))
	near("time", time, float64(t.Time))
	near("sugar", sugar, t.Sugar.Kg())
	near("water", water, t.Water.L())
	near("mixing", float64(len(c.pl.Batches))*float64(c.p.Kitchen.Mixing), float64(t.Mixing))
	near("batches and syrup in hand", math.Max(0, sum(c.goes)-c.p.Kitchen.OnHand.L()), batch)
	if t.Loads != len(c.pl.Loads) || t.Visits != v || t.Fills != f {
		c.bad("totals: %d loads, %d stops, %d fills, says %d, %d, %d", len(c.pl.Loads), v, f, t.Loads, t.Visits, t.Fills)
	}
	b := &c.pl.Bounds
	if float64(b.Time) > float64(t.Time+t.Mixing)+slackS {
		c.bad("bound of %v s lies above the plan's %v", b.Time, t.Time+t.Mixing)
	}
	if b.Loads > t.Loads || b.Visits > t.Visits || float64(b.Dist) > float64(t.Dist)+slackL {
		c.bad("bounds %d loads, %d stops, %v m lie above the plan's %d, %d, %v", b.Loads, b.Visits, b.Dist, t.Loads, t.Visits, t.Dist)
	}
	if !slices.IsSortedFunc(c.pl.Colonies, func(x, y ColonyPlan) int {
		if x.Yard != y.Yard {
			return compare(x.Yard, y.Yard)
		}
		if a, b := c.stand(x.Colony), c.stand(y.Colony); a != b {
			return a - b
		}
		return compare(x.Colony, y.Colony)
	}) {
		c.bad("colonies are not by yard, stand and name")
	}
	c.why("the plan", c.pl.Reasons)
}

func compare(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
