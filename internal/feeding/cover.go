package feeding

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// The route-cover bound
//
// Every plan puts yards on loads. A load that calls at the yards T costs at least
// the shortest way through T, and leaves no more of a day's hours than the way, the
// filling and the setting up do not take for lids and pumping; a T that no day has
// time for is on no load. Of any plan is asked
//
//	so many loads that call at a set S of yards: the visits of one of them, the
//	tanks their syrup fills, the days their work fills;
//	so much room for work on the loads that call at S.
//
// The least cost of loads, counted in fractions, that meets all of it is therefore
// below every plan. By duality any prices of these demands, none below 0, with which
// no load serves demands of more than its cost prove the sum of price times demand:
// the prices are found by a small simplex, then checked against every load and
// scaled down where they fail, with a hair to spare, so that its rounding proves
// nothing false. Demands are added where the loads found so far break them,
// and loads where the prices found so far do.
//
// On which days yards may be called at is left out. It was tried, with the fewest
// calls between any two days, and raised the bound on hours by a fifth of a per
// cent: what costs visits is how fills lie to one another.

// coverYards is the most yards all subsets of which are gone through.
const coverYards = 12

// farthest gives the network of those yards, some coverYards at most, that make
// most way: a bound for them is a bound for all, since leaving yards out of a
// load makes it no longer.
func (r *run) farthest(w *network) *network {
	if len(w.yards) <= coverYards && w.m != nil {
		return w
	}
	out, back := r.shortest(r.millis, false), r.shortest(r.millis, true)
	far := slices.Clone(w.yards)
	weight := func(y servedYard) int64 {
		return (out[y.y+1] + back[y.y+1]) * int64(y.visits)
	}
	slices.SortStableFunc(far, func(a, b servedYard) int {
		switch x, y := weight(a), weight(b); {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return a.y - b.y
	})
	far = far[:min(len(far), coverYards)]
	return &network{yards: far, n: len(far) + 1, m: r.between(far, r.metres), t: r.between(far, r.millis), dist: w.dist, time: w.time}
}

// tours gives the cost of the shortest way round through every subset of the
// yards (Held and Karp), with each for a load and at[i] for a call at i added.
func (w *network) tours(m []int64, each int64, at []int64) []int64 {
	n := w.n - 1
	size := 1 << n
	best := make([]int64, size*n)
	cost := make([]int64, size)
	for s := 1; s < size; s++ {
		cost[s] = math.MaxInt64 / 4
		var add int64
		for i := range n {
			if s>>i&1 == 0 {
				continue
			}
			add += at[i+1]
			rest := s &^ (1 << i)
			v := m[i+1]
			if rest != 0 {
				v = math.MaxInt64 / 4
				for k := range n {
					if rest>>k&1 == 1 {
						v = min(v, best[rest*n+k]+m[(k+1)*w.n+i+1])
					}
				}
			}
			best[s*n+i] = v
			cost[s] = min(cost[s], v+m[(i+1)*w.n])
		}
		cost[s] = cost[s] + each + add
	}
	return cost
}

// errand is what every plan has to do, as loads see it.
type errand struct {
	fill, day tick   // filling a tank; the longest day's hours of one crew
	setup     []tick // by yard of the network
	work      []tick // lids and pumping, by yard of the network
}

// covers is the programme above over the yards of a network.
type covers struct {
	n    int
	way  []int64   // metres of the shortest load through T
	time []int64   // milliseconds of it, filling and setting up included
	room []float64 // what part of the longest day it leaves for work; below 0: no such load
	need []float64 // loads that call at S
	work []float64 // days of work in S
}

// demand is a row of the programme: loads that call at S, or room for work there.
type demand struct {
	s    int
	work bool
}

func (w *network) covers(e errand, tank micro) *covers {
	n := w.n - 1
	size := 1 << n
	at := make([]int64, n+1)
	for i, t := range e.setup {
		at[i+1] = int64(t)
	}
	c := &covers{n: n, way: w.tours(w.m, 0, make([]int64, n+1)), time: w.tours(w.t, int64(e.fill), at)}
	c.room, c.need, c.work = make([]float64, size), make([]float64, size), make([]float64, size)
	day := float64(e.day)
	for i := range n {
		if c.time[1<<i] >= int64(e.day) {
			day = 0 // not to be reached by what is known: hours prove nothing
		}
	}
	for s := 1; s < size; s++ {
		var q micro
		var work tick
		most := 0.0
		if day > 0 {
			c.room[s] = 1 - float64(c.time[s])/day
		}
		for i := range n {
			if s>>i&1 == 1 {
				q += w.yards[i].q
				work += e.work[i]
				most = max(most, c.room[1<<i])
				c.need[s] = max(c.need[s], float64(w.yards[i].visits))
			}
		}
		c.need[s] = max(c.need[s], float64(ceilDiv(q, tank)))
		if day > 0 {
			c.work[s] = float64(work) / day
			c.need[s] = max(c.need[s], math.Ceil(c.work[s]/most-1e-9))
		}
	}
	return c
}

// part is how far a load through t serves d.
func (c *covers) part(t int, d demand) float64 {
	switch {
	case d.s&t == 0:
		return 0
	case d.work:
		return c.room[t]
	}
	return 1
}

// of is what d asks for.
func (c *covers) of(d demand) float64 {
	if d.work {
		return c.work[d.s]
	}
	return c.need[d.s]
}

// proofRounds is how often loads or demands are added at most.
const proofRounds = 120

// proof is a bound in the making.
type proof struct {
	*covers
	cost    []int64
	unit    float64 // of costs, in the simplex
	lp      *prices
	demands []demand
	loads   []int
	known   []bool // of loads
}

// least proves a cost no plan is below, where a load through T costs cost[T].
func (c *covers) least(cost []int64) int64 {
	if c.n == 0 {
		return 0
	}
	p := &proof{covers: c, cost: cost, unit: float64(max(1, cost[1])), lp: newPrices(), known: make([]bool, len(cost))}
	for i := range c.n {
		p.send(1 << i) // every demand is served by one of these
	}
	for i := range c.n {
		p.ask(demand{s: 1 << i})
	}
	if all := len(cost) - 1; c.n > 1 {
		p.ask(demand{s: all})
		if c.work[all] > 0 {
			p.ask(demand{s: all, work: true})
		}
	}
	var best int64
	for range proofRounds {
		p.lp.solve()
		proven, over := p.check(p.lp.price())
		best = max(best, proven)
		if len(over) > 0 {
			for _, t := range over {
				p.send(t)
			}
			continue
		}
		broken := p.broken()
		if len(broken) == 0 {
			break
		}
		for _, d := range broken {
			p.ask(d)
		}
	}
	return best
}

func (p *proof) send(t int) {
	p.known[t] = true
	p.loads = append(p.loads, t)
	p.lp.load(func(k int) float64 { return p.part(t, p.demands[k]) }, float64(p.cost[t])/p.unit)
}

func (p *proof) ask(d demand) {
	p.demands = append(p.demands, d)
	p.lp.demand(func(i int) float64 { return p.part(p.loads[i], d) }, p.of(d))
}

// check gives what prices prove, rounded down, scaled so that no load serves
// demands of more than its cost; and loads that do before, the worst first.
func (p *proof) check(price []float64) (proven int64, over []int) {
	size := len(p.cost)
	flat, work := make([]float64, size), make([]float64, size)
	total := 0.0
	for k, d := range p.demands {
		if price[k] == 0 {
			continue
		}
		total += price[k] * p.of(d)
		to := flat
		if d.work {
			to = work
		}
		for t := 1; t < size; t++ {
			if t&d.s != 0 {
				to[t] += price[k]
			}
		}
	}
	type worth struct {
		t int
		v float64
	}
	var found []worth
	scale := 1.0
	for t := 1; t < size; t++ {
		if p.room[t] < 0 {
			continue
		}
		v := (flat[t] + work[t]*p.room[t]) * p.unit / float64(max(1, p.cost[t]))
		scale = max(scale, v)
		if v > 1+1e-7 && !p.known[t] {
			found = append(found, worth{t, v})
		}
	}
	slices.SortStableFunc(found, func(a, b worth) int { return cmp.Compare(b.v, a.v) })
	for _, f := range found[:min(len(found), 2*p.n)] {
		over = append(over, f.t)
	}
	// A part in 10¹¹ of slack stands for the rounding of these sums themselves.
	return int64(math.Floor(total / scale * p.unit * (1 - 1e-11))), over
}

// broken gives up to eight demands that the loads found do not meet.
func (p *proof) broken() []demand {
	type lack struct {
		demand
		v float64
	}
	var found []lack
	often := p.lp.often()
	for s := 1; s < len(p.cost); s++ {
		for _, d := range []demand{{s, false}, {s, true}} {
			sum := 0.0
			for i, x := range often {
				if x > hair {
					sum += x * p.part(p.loads[i], d)
				}
			}
			if v := p.of(d) - sum; v > 1e-3 && !slices.Contains(p.demands, d) {
				found = append(found, lack{d, v})
			}
		}
	}
	slices.SortStableFunc(found, func(a, b lack) int {
		return cmp.Or(cmp.Compare(b.v, a.v), cmp.Compare(bits.OnesCount(uint(a.s)), bits.OnesCount(uint(b.s))))
	})
	var out []demand
	for _, f := range found[:min(len(found), 8)] {
		out = append(out, f.demand)
	}
	return out
}

// loads proves a number of loads no plan is below.
func (c *covers) loads() int {
	const each = 1_000_000
	cost := make([]int64, len(c.way))
	for t := range cost {
		cost[t] = each
	}
	return int((c.least(cost) + each - 1) / each)
}
