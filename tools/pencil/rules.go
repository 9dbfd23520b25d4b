package main

import (
	"math"
	"slices"

	"larder/internal/feeding"
	"larder/internal/units"
)

// rule is a way of feeding that needs no more than a pencil.
type rule struct {
	name string
	// far tells whether the farthest yard comes first, else the nearest.
	far bool
	// apart is how many days pass between two calls at a yard.
	apart int
	// fixed is what every hive is to get in the end.
	fixed func(needs []float64) float64
}

// rules are the two ways, each with two fixed amounts: what the hives that need
// anything need on the average, and what suffices for nine of ten of them. Both
// are more than a keeper without readings knows.
var rules = []rule{
	{"every feeder each week, nearest yard first, to the average need", false, 7, average},
	{"every feeder each week, nearest yard first, to enough for nine of ten", false, 7, nineOfTen},
	{"the same for every hive, farthest yard first, the average need", true, 4, average},
	{"the same for every hive, farthest yard first, enough for nine of ten", true, 4, nineOfTen},
}

func average(needs []float64) float64 {
	some := needy(needs)
	s := 0.0
	for _, n := range some {
		s += n
	}
	return math.Round(2*s/float64(max(1, len(some)))) / 2
}

func nineOfTen(needs []float64) float64 {
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

// work is what a season came to.
type work struct {
	hours, km, sugar float64
	loads            int
	given            [][]float64 // litres by hive and day
	feeders          []float64   // what is in each on the morning of the day it is kept for
}

// pencil drives a season by rule r. The keeper knows the days good for a round
// and the stop day, feeds no hive that may not be fed, mixes before he fills the
// tank, and turns home in time.
func pencil(p *feeding.Problem, r rule) work {
	var needs []float64
	for i := range p.Hives {
		needs = append(needs, p.Hives[i].Need.L())
	}
	fixed := r.fixed(needs)
	w := work{given: make([][]float64, len(p.Hives)), feeders: make([]float64, len(p.Hives))}
	sum := make([]float64, len(p.Hives))
	for i := range w.given {
		w.given[i] = make([]float64, p.Days)
		w.feeders[i] = p.Hives[i].InFeeder.L()
	}
	order := byWay(p, r.far)
	last := make([]int, len(p.Yards))
	for i := range last {
		last[i] = -1000
	}
	hand := p.Kitchen.OnHand.L()
	for d := range p.Days {
		t := &tour{p: p, w: &w, d: d, hand: &hand, sum: sum, fixed: fixed}
		for _, y := range order {
			yard := &p.Yards[y]
			if !yard.Feed[d] || p.Start+units.Day(d) > yard.Stop || d-last[y] < r.apart {
				continue
			}
			switch done, any := t.call(y); {
			case done && any:
				last[y] = d
			case !done: // the day is over; the rest of this yard comes first tomorrow
				goto evening
			}
		}
	evening:
		t.home()
		w.hours += t.seconds / 3600
		for i := range p.Hives {
			y := yardOf(p, p.Hives[i].Yard)
			if p.Start+units.Day(d) <= y.Stop {
				w.feeders[i] = max(0, w.feeders[i]-p.Hives[i].Uptake.L()*y.Factor[d])
			}
		}
	}
	return w
}

func yardOf(p *feeding.Problem, id string) *feeding.Yard {
	for i := range p.Yards {
		if p.Yards[i].ID == id {
			return &p.Yards[i]
		}
	}
	return nil
}

// byWay orders the yards by their way from home.
func byWay(p *feeding.Problem, far bool) []int {
	order := make([]int, len(p.Yards))
	for i := range order {
		order[i] = i
	}
	way := func(i int) units.Length { r, _ := p.Road("", p.Yards[i].ID); return r.Dist }
	slices.SortStableFunc(order, func(a, b int) int {
		if far {
			a, b = b, a
		}
		switch {
		case way(a) < way(b):
			return -1
		case way(a) > way(b):
			return 1
		}
		return 0
	})
	return order
}

// tour is one working day of a keeper with a pencil.
type tour struct {
	p       *feeding.Problem
	w       *work
	d       int
	at      string
	tank    float64
	hand    *float64 // syrup in the house
	sum     []float64
	fixed   float64
	seconds float64
}

// wants is what hive i gets by the rule if he stands before it now.
func (t *tour) wants(i int) float64 {
	h := &t.p.Hives[i]
	if len(h.Hold) > 0 || t.w.given[i][t.d] > 0 {
		return 0
	}
	v := min(t.fixed-t.sum[i], h.Feeder.L()-t.w.feeders[i])
	if v < 0.25 { // not worth a lid
		return 0
	}
	return v
}

// call makes a round through yard y. done is false when the day did not suffice,
// any when something was given.
func (t *tour) call(y int) (done, any bool) {
	yard := &t.p.Yards[y]
	for i := range t.p.Hives {
		h := &t.p.Hives[i]
		if h.Yard != yard.ID {
			continue
		}
		v := t.wants(i)
		if v == 0 {
			continue
		}
		if t.tank < v-1e-9 && !t.refill(yard, v) {
			return false, any
		}
		v = min(v, t.tank)
		work := float64(t.p.Rigs[0].PerHive) + v/float64(t.p.Rigs[0].Pump)
		if t.at != yard.ID {
			work += t.way(t.at, yard.ID) + float64(yard.Setup)
		}
		if t.seconds+work+t.way(yard.ID, "") > float64(t.p.Crew.PerDay) {
			return false, any
		}
		if t.at != yard.ID {
			t.drive(yard.ID)
			t.seconds += float64(yard.Setup)
		}
		t.seconds += float64(t.p.Rigs[0].PerHive) + v/float64(t.p.Rigs[0].Pump)
		t.tank -= v
		t.sum[i] += v
		t.w.given[i][t.d] += v
		t.w.feeders[i] += v
		t.w.sugar += v * float64(t.p.Kitchen.Density) / 1000 * float64(t.p.Kitchen.Strength)
		any = true
	}
	return true, any
}

// refill brings the truck home, mixes what is wanting and fills the tank with
// what today's hives may still take; false when the day does not suffice for that
// and for the next hive, in yard, of v litres.
func (t *tour) refill(yard *feeding.Yard, v float64) bool {
	k, rig := &t.p.Kitchen, &t.p.Rigs[0]
	full := rig.Tank.L()
	var rest float64
	for i := range t.p.Hives {
		rest += t.wants(i)
	}
	full = min(full, max(rest, 0))
	mix := max(0, full-t.tank-*t.hand)
	batches := 0.0
	if mix > 1e-9 {
		batches = math.Ceil(mix/k.Mixer.L() - 1e-9)
	}
	time := t.way(t.at, "") + float64(rig.Fill) + batches*float64(k.Mixing)
	next := t.way("", yard.ID) + float64(yard.Setup) + float64(rig.PerHive) + v/float64(rig.Pump) + t.way(yard.ID, "")
	if t.seconds+time+next > float64(t.p.Crew.PerDay) {
		return false
	}
	t.drive("")
	t.seconds += float64(rig.Fill) + batches*float64(k.Mixing)
	*t.hand += mix - (full - t.tank)
	t.tank = full
	t.w.loads++
	return true
}

// home ends the day; what is left in the tank is kept for the next load.
func (t *tour) home() {
	t.drive("")
	*t.hand += t.tank
	t.tank = 0
}

func (t *tour) way(from, to string) float64 {
	if from == to {
		return 0
	}
	r, _ := t.p.Road(from, to)
	return float64(r.Time)
}

func (t *tour) drive(to string) {
	if t.at == to {
		return
	}
	r, _ := t.p.Road(t.at, to)
	t.seconds += float64(r.Time)
	t.w.km += r.Dist.Km()
	t.at = to
}

// planned is the work of a plan, its fills taken from it and nothing else.
func planned(p *feeding.Problem, pl *feeding.Plan) work {
	w := work{hours: float64((pl.Totals.Time + pl.Totals.Mixing) / units.Hour), km: pl.Totals.Dist.Km(), loads: len(pl.Loads), given: make([][]float64, len(p.Hives))}
	hive := map[string]int{}
	for i := range p.Hives {
		hive[p.Hives[i].Colony] = i
		w.given[i] = make([]float64, p.Days)
	}
	for _, l := range pl.Loads {
		for _, s := range l.Stops {
			for _, f := range s.Fills {
				w.given[hive[f.Colony]][l.Day-p.Start] += f.Volume.L()
				w.sugar += f.Volume.L() * float64(p.Kitchen.Density) / 1000 * float64(p.Kitchen.Strength)
			}
		}
	}
	return w
}

// outcome is what the bees have of it.
type outcome struct {
	hours, km, sugar float64
	loads            float64
	short            float64 // colonies that may be fed and lack more than a quarter of a litre
	lack             float64 // litres they lack
	nothing          float64 // colonies fed that needed nothing
	waste            float64 // litres given beyond need, or not taken by the stop day
}

// judge follows every feeder through the season: a fill, then that day's
// uptake. What is left after the stop day is lost.
func judge(p *feeding.Problem, w work) outcome {
	o := outcome{hours: w.hours, km: w.km, sugar: w.sugar, loads: float64(w.loads)}
	for i := range p.Hives {
		h := &p.Hives[i]
		y := yardOf(p, h.Yard)
		in, taken, given := h.InFeeder.L(), 0.0, 0.0
		for d := range p.Days {
			in += w.given[i][d]
			given += w.given[i][d]
			if p.Start+units.Day(d) <= y.Stop {
				t := min(in, h.Uptake.L()*y.Factor[d])
				in, taken = in-t, taken+t
			}
		}
		if lack := h.Need.L() - taken; lack > 0.25 && len(h.Hold) == 0 {
			o.short++
			o.lack += lack
		}
		if h.Need == 0 && given > 0 {
			o.nothing++
		}
		o.waste += given - min(given, h.Need.L(), taken)
	}
	return o
}

func (o *outcome) add(x outcome, part float64) {
	o.hours += x.hours * part
	o.km += x.km * part
	o.sugar += x.sugar * part
	o.loads += x.loads * part
	o.short += x.short * part
	o.lack += x.lack * part
	o.nothing += x.nothing * part
	o.waste += x.waste * part
}
