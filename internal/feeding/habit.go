package feeding

import (
	"cmp"
	"math"
	"slices"

	"larder/internal/units"
)

// Habit is a way of feeding that needs no more than a pencil: every hive that may
// be fed gets the same in the end, whatever it needs. Common practice, no source.
type Habit struct {
	Far   bool // the farthest yard first, else the nearest
	Apart int  // days between two calls at a yard
	// Fixed is what every hive is to get in the end, litres, by the needs of all.
	Fixed func(needs []float64) float64
}

// Weekly fills every feeder each week, the nearest yard first, to the average
// need of those that need anything.
func Weekly() Habit { return Habit{Apart: 7, Fixed: AverageNeed} }

// AverageNeed is the mean of the needs above 0, to the nearest half litre.
func AverageNeed(needs []float64) float64 {
	some := needy(needs)
	s := 0.0
	for _, n := range some {
		s += n
	}
	return math.Round(2*s/float64(max(1, len(some)))) / 2
}

// NineOfTen is what suffices for nine of ten of the needs above 0, the half litre
// full.
func NineOfTen(needs []float64) float64 {
	some := needy(needs)
	if len(some) == 0 {
		return 0
	}
	return math.Ceil(2*some[(len(some)*9+9)/10-1]) / 2
}

// needy gives the needs of those that need anything, least first.
func needy(needs []float64) []float64 {
	some := slices.DeleteFunc(slices.Clone(needs), func(n float64) bool { return n <= 0 })
	slices.Sort(some)
	return some
}

// ByHabit drives the season by a habit. The keeper knows the days good for a round,
// his hours and the stop day, looks into each feeder, feeds no hive that may not
// be fed, mixes before he fills the tank, and turns home in time. He does not
// know what a hive needs, nor how fast it takes: the plan may give it more, and
// some of it may be left in the feeder. Syrup at other places is left there.
//
// p is a problem for which [Make] gives a plan.
func ByHabit(p *Problem, h Habit) Plan {
	b := &byHabit{p: p, h: h, gated: p.gated(), hand: p.Kitchen.OnHand.L(),
		in: make([]float64, len(p.Hives)), sum: make([]float64, len(p.Hives)), of: make([][]int, len(p.Yards)), filled: make([]int, len(p.Hives))}
	var needs []float64
	at := map[string]int{}
	for y := range p.Yards {
		at[p.Yards[y].ID] = y
	}
	for i := range p.Hives {
		x := &p.Hives[i]
		needs = append(needs, x.Need.L())
		b.in[i], b.sum[i], b.filled[i] = x.InFeeder.L(), x.InFeeder.L(), -1
		if y, ok := at[x.Yard]; ok {
			b.of[y] = append(b.of[y], i)
		}
	}
	slices.Sort(needs) // sums of floats hang on their order
	b.fixed = h.Fixed(needs)
	for y := range b.of {
		slices.SortFunc(b.of[y], func(i, k int) int {
			x, z := &p.Hives[i], &p.Hives[k]
			return cmp.Or(cmp.Compare(x.Stand, z.Stand), cmp.Compare(x.Colony, z.Colony))
		})
	}
	if len(p.Rigs) > 0 && p.Road != nil {
		b.season()
	}
	for i := range b.loads {
		b.loads[i].N = i + 1
	}
	return Reckon(p, b.loads, b.batches, func(x *Hive, f Fate) []Reason {
		if f.Left > 0 {
			return []Reason{{Code: "habit-left", Say: "given the same as all; {0} of it is still in its feeder on the stop day", Amounts: []any{f.Left}}}
		}
		return []Reason{{Code: "habit-same", Say: "given the same as all, {0}, and it needs {1}", Amounts: []any{f.Given, x.Need}}}
	})
}

// byHabit is the season as it is driven.
type byHabit struct {
	p       *Problem
	h       Habit
	gated   bool
	fixed   float64
	hand    float64   // syrup in the house
	in, sum []float64 // in each feeder; given in all, what was in it first included
	filled  []int     // day of the last fill
	of      [][]int   // hives of each yard in walking order
	loads   []Load
	batches []Batch
}

func (b *byHabit) season() {
	p := b.p
	order := b.byWay()
	last := make([]int, len(p.Yards))
	for i := range last {
		last[i] = -1000
	}
	for d := range p.Days {
		today := 0
		for k := range p.Rigs {
			t := &tour{b: b, rig: &p.Rigs[k], d: d, today: &today, has: float64(p.works(&p.Rigs[k], d))}
			if t.has > 0 {
				t.day(order, last)
			}
		}
		for y := range p.Yards {
			if d >= p.end(&p.Yards[y]) {
				continue
			}
			for _, i := range b.of[y] {
				b.in[i] = max(0, b.in[i]-p.Hives[i].Uptake.L()*p.Yards[y].Factor[d])
			}
		}
	}
}

// byWay orders the yards that can be reached by their way from home.
func (b *byHabit) byWay() []int {
	var order []int
	way := make([]units.Length, len(b.p.Yards))
	for i := range b.p.Yards {
		there, ok := b.p.Road("", b.p.Yards[i].ID)
		_, back := b.p.Road(b.p.Yards[i].ID, "")
		if ok && back {
			order, way[i] = append(order, i), there.Dist
		}
	}
	slices.SortFunc(order, func(i, k int) int {
		c := cmp.Compare(way[i], way[k])
		if b.h.Far {
			c = -c
		}
		return cmp.Or(c, cmp.Compare(b.p.Yards[i].ID, b.p.Yards[k].ID))
	})
	return order
}

// tour is one truck's working day.
type tour struct {
	b       *byHabit
	rig     *Rig
	d       int
	at      string
	tank    float64
	seconds float64 // since work began
	has     float64 // seconds of the working day
	loads   int
	today   *int // loads of all trucks
	load    *Load
}

// day goes round the yards that are due until the day is over.
func (t *tour) day(order, last []int) {
	p := t.b.p
	for _, y := range order {
		yard := &p.Yards[y]
		if t.d >= len(yard.Feed) || !yard.Feed[t.d] || t.d >= p.end(yard) || t.d-last[y] < t.b.h.Apart {
			continue
		}
		done, some := t.call(y)
		if done && some {
			last[y] = t.d
		}
		if !done && !t.shut(yard) { // the day is over; the rest of this yard comes first tomorrow
			break
		}
	}
	t.home()
	t.b.hand += t.tank
}

// shut tells whether a yard's gate is shut for what would be done there next.
func (t *tour) shut(y *Yard) bool {
	return y.Shuts > 0 && float64(t.b.p.Crew.Begins)+t.seconds+t.way(t.at, y.ID)+float64(y.Setup) >= float64(y.Shuts)-t.lid()
}

func (t *tour) lid() float64 { return float64(t.b.p.perHive(t.rig, t.d)) }

// wants is what hive i gets if he stands before it now.
func (t *tour) wants(i int) float64 {
	h := &t.b.p.Hives[i]
	if len(h.Hold) > 0 || t.b.filled[i] == t.d {
		return 0
	}
	v := min(t.b.fixed-t.b.sum[i], h.Feeder.L()-t.b.in[i])
	if v < 0.25 { // not worth a lid
		return 0
	}
	return v
}

// call makes a round through yard y. done is false when the day, or the hours of
// the gate, did not suffice; some when something was given.
func (t *tour) call(y int) (done, some bool) {
	b, yard := t.b, &t.b.p.Yards[y]
	for _, i := range b.of[y] {
		v := t.wants(i)
		if v == 0 {
			continue
		}
		if t.tank < v-1e-9 && !t.refill(yard, v) {
			return false, some
		}
		v = min(v, t.tank)
		work, ok := t.before(yard)
		work += t.lid() + v/float64(t.rig.Pump)
		if !ok || t.seconds+work+t.way(yard.ID, "") > t.has || yard.Shuts > 0 && float64(b.p.Crew.Begins)+t.seconds+work > float64(yard.Shuts) {
			return false, some
		}
		if t.at != yard.ID {
			t.load.Stops = append(t.load.Stops, Stop{Yard: yard.ID})
			t.at = yard.ID
		}
		t.seconds += work
		s := &t.load.Stops[len(t.load.Stops)-1]
		s.Fills = append(s.Fills, Fill{Colony: b.p.Hives[i].Colony, Volume: units.Volume(v),
			Why: []Reason{{Code: "habit-fill", Say: "its feeder is filled up, until it has had {0} like all", Amounts: []any{units.Volume(b.fixed)}}}})
		t.tank -= v
		b.sum[i] += v
		b.in[i] += v
		b.filled[i] = t.d
		some = true
	}
	return true, some
}

// before gives the seconds until the first lid at a yard from where he is: the
// way, a wait at its gate, setting up. false = no way is known.
func (t *tour) before(y *Yard) (float64, bool) {
	if t.at == y.ID {
		return 0, true
	}
	r, ok := t.b.p.Road(t.at, y.ID)
	s := float64(r.Time)
	if y.Opens > 0 {
		s = max(s, float64(y.Opens-t.b.p.Crew.Begins)-t.seconds)
	}
	return s + float64(y.Setup), ok
}

// refill brings the truck home, mixes what is wanting and fills the tank with
// what hives may still take today; false when the day does not suffice for that
// and for the next hive, in yard, of v litres.
func (t *tour) refill(yard *Yard, v float64) bool {
	b, k := t.b, &t.b.p.Kitchen
	if most := b.p.Crew.LoadsPerDay; most > 0 && *t.today >= most || t.rig.LoadsPerDay > 0 && t.loads >= t.rig.LoadsPerDay {
		return false
	}
	full := t.rig.Hauls(k.Density).L()
	rest := 0.0
	for i := range b.p.Hives {
		rest += t.wants(i)
	}
	full = min(full, rest)
	if full <= t.tank+1e-9 { // the tank holds no more than it has
		return t.tank > 0.25
	}
	mix := max(0, full-t.tank-b.hand)
	var batches []Batch
	for left := mix; left > 1e-9; {
		one := left
		if k.Mixer > 0 {
			one = min(left, k.Mixer.L())
		}
		batches = append(batches, Batch{Day: b.p.Start + units.Day(t.d), Syrup: units.Volume(one)})
		left -= one
	}
	mixing := float64(len(batches)) * float64(k.Mixing)
	time := t.way(t.at, "") + float64(t.rig.Fill) + mixing
	next := t.way("", yard.ID) + float64(yard.Setup) + t.lid() + v/float64(t.rig.Pump) + t.way(yard.ID, "")
	if t.seconds+time+next > t.has {
		return false
	}
	t.home()
	t.seconds += mixing
	b.batches = append(b.batches, batches...)
	t.load = &Load{Day: b.p.Start + units.Day(t.d), Truck: t.rig.Truck}
	if b.gated {
		t.load.Leave = b.p.Crew.Begins + units.Duration(t.seconds)
	}
	t.seconds += float64(t.rig.Fill)
	b.hand = max(0, b.hand+mix-(full-t.tank))
	t.tank = full
	t.loads++
	*t.today++
	return true
}

// home ends a load.
func (t *tour) home() {
	t.seconds += t.way(t.at, "")
	t.at = ""
	if t.load != nil && len(t.load.Stops) > 0 {
		why := Reason{Code: "habit-near", Say: "each yard once a week, the nearest first, until the day is over"}
		if t.b.h.Far {
			why = Reason{Code: "habit-far", Say: "the farthest yard first, until the day is over"}
		}
		t.load.Why = []Reason{why}
		t.b.loads = append(t.b.loads, *t.load)
	}
	t.load = nil
}

func (t *tour) way(from, to string) float64 {
	if from == to {
		return 0
	}
	r, _ := t.b.p.Road(from, to)
	return float64(r.Time)
}
