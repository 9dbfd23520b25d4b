package feeding

import (
	"cmp"
	"slices"

	"larder/internal/route"
	"larder/internal/units"
)

// Bounds hold for every plan that gives each colony at least what this plan
// gives it, made with the same rig on the same roads and days. They say
// nothing about plans that leave more colonies short.

// servedYard is a yard with what the plan gives there.
type servedYard struct {
	y      int
	q      micro
	visits int // at least
}

func (r *run) bounds(fills []int, pl *Plan) Bounds {
	var b Bounds
	if len(r.out) == 0 {
		return b
	}
	yards, total := r.servedYards(fills)
	th := r.thrift()
	work := r.workIn(yards, fills, &th)
	hours := r.visitsForHours(yards, work, &th)
	most, slow := 0, 0
	for i, y := range yards {
		b.Visits += y.visits
		if y.visits > most {
			most, slow = y.visits, i
		}
	}
	tanks := ceilDiv(total, r.tank)
	net := r.network(yards)
	sub := r.farthest(net)
	prove := sub.covers(r.errand(sub, work, &th), r.tank)
	loads := prove.loads()
	b.Loads = max(tanks, most, loads)
	b.Why = append(b.Why, Reason{Code: "for-this", Say: "for any plan that gives each colony at least as much as this one"})
	switch {
	case loads > max(tanks, most):
		b.Why = append(b.Why, Reason{Code: "bound-loads", Say: "no fewer than {0} loads: however the yards are put on loads, each has one tank and the hours of one day",
			Amounts: []any{b.Loads}})
	case tanks >= most:
		say := "no fewer than {0} loads: {1} have to go out and a load carries {2}"
		if b.Loads == 1 {
			say = "no fewer than one load: {1} have to go out and a load carries {2}"
		}
		b.Why = append(b.Why, Reason{Code: "bound-loads", Say: say, Amounts: []any{b.Loads, total.volume(), r.tank.volume()}})
	default:
		b.Why = append(b.Why, Reason{Code: "bound-loads", Say: "no fewer than {0} loads: yard {1} needs {0} visits, each on a load of its own",
			Amounts: []any{b.Loads, r.yards[yards[slow].y].ID}})
	}
	stops := "no fewer than {0} stops: at each yard as many as its slowest hive needs refills, or as its syrup fills tanks"
	switch {
	case hours:
		stops = "no fewer than {0} stops: at each yard as many as its slowest hive needs refills, as its syrup fills tanks, or as its work fills days"
	case b.Visits == 1:
		stops = "no fewer than one stop: a yard has to be called at"
	}
	b.Why = append(b.Why, Reason{Code: "bound-visits", Say: stops, Amounts: []any{b.Visits}})
	ring, tour := r.ring(yards, net.dist), net.way(net.m)
	cover := prove.least(prove.way)
	far := r.fromHome(yards, net.dist)
	d := max(ring, tour, cover, far)
	b.Dist = units.Length(max(0, d))
	say := "no less than {0} on the road: every yard has to be reached, and there is no shorter way through them all"
	switch {
	case far > max(ring, tour, cover):
		say = "no less than {0} on the road: from home to the farthest yard and back, wherever the tank is filled"
	case cover >= max(ring, tour):
		say = "no less than {0} on the road: however the yards are put on loads, each load is at least the shortest way through its yards, and each yard is on as many loads as it needs visits"
	case ring >= tour:
		say = "no less than {0} on the road: beyond each distance from home there and back go at least as many loads as visits or tanks are needed there"
	}
	b.Why = append(b.Why, Reason{Code: "bound-road", Say: say, Amounts: []any{b.Dist}})
	var at tick
	for _, w := range work {
		at += w
	}
	way := r.leastWay(yards, net, tick(b.Loads)*th.fill, sub, prove)
	r.boundTime(&b, pl, way, at, total)
	return b
}

// thrift is the least a load's parts take, with whatever truck on whatever day.
type thrift struct {
	lid, fill tick
	pump      float64
	day       tick // the longest day's work there is; 0 = no day
}

func (r *run) thrift() thrift {
	t := thrift{lid: longest, fill: longest}
	for k := range r.trucks {
		c := &r.trucks[k]
		t.pump = max(t.pump, c.pump)
		t.fill = min(t.fill, c.fill)
		for d := range c.day {
			if c.day[d] > 0 {
				t.lid = min(t.lid, c.lid[d])
				t.day = max(t.day, c.day[d])
			}
		}
	}
	for i := range r.sources {
		if f := r.sources[i].fill; f > 0 {
			t.fill = min(t.fill, f)
		}
	}
	return t
}

// workIn is the least work at the lids and of pumping in each yard, by yard of
// the season.
func (r *run) workIn(yards []servedYard, fills []int, t *thrift) []tick {
	work := make([]tick, len(r.yards))
	for _, y := range yards {
		for _, h := range r.yards[y.y].hives {
			if fills[h] > 0 {
				work[y.y] += tick(r.leastFills(h, fills[h])) * t.lid
			}
		}
		work[y.y] += pumping(y.q, t.pump)
	}
	return work
}

// visitsForHours raises the visits of yards whose work one day has no time for,
// and tells whether there are any.
func (r *run) visitsForHours(yards []servedYard, work []tick, t *thrift) (any bool) {
	out, back := r.shortest(r.millis, false), r.shortest(r.millis, true)
	for i := range yards {
		y := &yards[i]
		left := t.day - tick(out[y.y+1]+back[y.y+1]) - t.fill - r.yards[y.y].setup
		if left <= 0 {
			continue // not to be reached by what is known: proves nothing
		}
		if n := int((work[y.y] + left - 1) / left); n > y.visits {
			y.visits, any = n, true
		}
	}
	return any
}

// errand is what there is to do in the yards of w.
func (r *run) errand(w *network, work []tick, t *thrift) errand {
	e := errand{fill: t.fill, day: t.day}
	for _, y := range w.yards {
		e.setup = append(e.setup, r.yards[y.y].setup)
		e.work = append(e.work, work[y.y])
	}
	return e
}

// leastWay bounds what the way, the filling of tanks and the setting up take, fill
// of it for the tanks: apart from one another, or all at once by the cover of loads
// over the yards that count most, whichever is more.
func (r *run) leastWay(yards []servedYard, net *network, fill tick, sub *network, prove *covers) tick {
	setups := func(yards []servedYard) (t tick) {
		for _, y := range yards {
			t += tick(y.visits) * r.yards[y.y].setup
		}
		return t
	}
	apart := tick(max(r.ring(yards, net.time), net.way(net.t), r.fromHome(yards, net.time))) + fill + setups(yards)
	rest := setups(yards) - setups(sub.yards)
	return max(apart, tick(prove.least(prove.time))+rest)
}

// boundTime bounds the crew's hours. They are made of parts, each of which no
// plan can do with less of: the way (see leastWay), at the lids and of pumping, and
// the mixing.
func (r *run) boundTime(b *Bounds, pl *Plan, way, at tick, total micro) {
	var home micro
	for i := range r.sources {
		home += r.sources[i].have
	}
	mix := tick(r.mix.batches(max(0, total-r.mix.hand-home))) * r.mix.time
	sum := way + at + mix
	b.Time = units.Duration(float64(sum) / 1000)
	b.Why = append(b.Why, Reason{Code: "bound-time", Say: "no less than {0} of work: {1} to drive, to fill tanks and to set up, {2} at the lids and of pumping, {3} of mixing, each the least there is",
		Amounts: []any{b.Time, way.duration(), at.duration(), mix.duration()}})
	is := pl.Totals.Time + pl.Totals.Mixing
	if over := is - b.Time; over <= 1 {
		b.Why = append(b.Why, Reason{Code: "gap", Say: "this plan takes just that: none is shorter"})
	} else {
		b.Why = append(b.Why, Reason{Code: "gap", Say: "this plan takes {0}: no plan saves more than {1} of it", Amounts: []any{is, over}})
	}
}

// leastFills gives the least number of fills with which hive h can take what the
// plan gives it.
func (r *run) leastFills(h, known int) int {
	n := ceilDiv(r.given(h)-dust, r.hives[h].feeder)
	if known <= n || len(r.hives) > 20_000 {
		return min(known, max(1, n))
	}
	return r.fewestRefills(h, known)
}

// servedYards collects yards with syrup and their least visits: the syrup of
// the yard over a tank, and for its slowest hive the fewest refills that can
// bring in what it gets, whatever the days.
func (r *run) servedYards(fills []int) ([]servedYard, micro) {
	var out []servedYard
	var total micro
	for y := range r.yards {
		s := servedYard{y: y}
		worst, most := -1, 0
		for _, h := range r.yards[y].hives {
			g := r.given(h)
			if g <= dust {
				continue
			}
			s.q += g
			s.visits = max(s.visits, ceilDiv(g, r.hives[h].feeder), ceilDiv(g, r.tank))
			if n := fills[h]; n > most {
				worst, most = h, n
			}
		}
		if s.q == 0 {
			continue
		}
		s.visits = max(s.visits, ceilDiv(s.q, r.tank))
		if worst >= 0 && most > s.visits {
			s.visits = max(s.visits, r.fewestRefills(worst, most))
		}
		total += s.q
		out = append(out, s)
	}
	return out, total
}

// fewestRefills gives the least number of refills, on any days of the season,
// feedable or not, with which hive h can take what the plan gives it; at most
// known. With k refills up to the brim on days d₁ < … < dₖ it takes
// Σ min(feeder, uptake from dᵢ to dᵢ₊₁) less what was in the feeder on d₁; the
// best choice of days is a dynamic programme, and no plan takes more with k
// refills, because a feeder filled less holds less.
func (r *run) fewestRefills(h, known int) int {
	s := &r.hives[h]
	end := r.yards[s.yard].end
	want := r.given(h)
	// best[d] is the most given when the last refill so far is on day d,
	// without what is taken from d on.
	best := make([]micro, end)
	for d := range best {
		best[d] = -max(0, s.inside-r.uptake(h, 0, d))
	}
	for k := 1; k < known; k++ {
		top := -most
		for d := range best {
			top = max(top, best[d]+min(s.feeder, r.uptake(h, d, end)))
		}
		if top+dust >= want {
			return k
		}
		next := make([]micro, end)
		for e := range next {
			next[e] = -most
			for d := range e {
				next[e] = max(next[e], best[d]+min(s.feeder, r.uptake(h, d, e)))
			}
		}
		best = next
	}
	return known
}

// ring is the ring bound. A load that calls at a yard whose way there and back
// is c drives at least c; so, counting for every distance x how many loads must
// go beyond it (the visits of the most visited yard out there, or the tanks
// its syrup fills), the road is at least the sum of these counts over x. It is
// never below the radial bound of Haimovich and Rinnooy Kan (1985; from
// memory). Legs are shortest ways, so that a roundabout leg proves nothing.
func (r *run) ring(yards []servedYard, m metric) int64 {
	out, back := r.shortest(m, false), r.shortest(m, true)
	type at struct {
		c int64
		y servedYard
	}
	far := make([]at, len(yards))
	for i, y := range yards {
		far[i] = at{out[y.y+1] + back[y.y+1], y}
	}
	slices.SortFunc(far, func(a, b at) int { return cmp.Or(cmp.Compare(b.c, a.c), cmp.Compare(a.y.y, b.y.y)) })
	var sum int64
	var q micro
	rounds := 0
	for i, f := range far {
		q += f.y.q
		rounds = max(rounds, f.y.visits)
		next := int64(0)
		if i+1 < len(far) {
			next = far[i+1].c
		}
		sum += int64(max(rounds, ceilDiv(q, r.tank))) * (f.c - next)
	}
	return sum
}

// metric is what a leg costs: metres or milliseconds, -1 = not known.
type metric func(k int) int64

func (r *run) metres(k int) int64 { return r.roads.dist[k] }
func (r *run) millis(k int) int64 { return int64(r.roads.time[k]) }

// fromHome is the way from home to the farthest yard and back, over shortest ways:
// trucks start and end their days at home wherever tanks are filled. The other
// bounds know of it where all are filled at home.
func (r *run) fromHome(yards []servedYard, m metric) int64 {
	if len(r.sources) == 0 {
		return 0
	}
	out, back := r.ways([]int{0}, m, false), r.ways([]int{0}, m, true)
	var far int64
	for _, y := range yards {
		if w := out[y.y+1] + back[y.y+1]; w < route.Apart {
			far = max(far, w)
		}
	}
	return far
}

// shortest gives the shortest way from where tanks are filled (home, or syrup
// elsewhere) to every place, or to it from every place when back is set.
func (r *run) shortest(m metric, back bool) []int64 {
	from := []int{0}
	for i := range r.sources {
		from = append(from, len(r.yards)+1+i)
	}
	return r.ways(from, m, back)
}

// ways is Dijkstra over all legs known, from several places at once.
func (r *run) ways(from []int, m metric, back bool) []int64 {
	n := r.roads.n
	d := make([]int64, n)
	done := make([]bool, n)
	for i := range n {
		d[i] = route.Apart
	}
	for _, f := range from {
		d[f] = 0
	}
	for range n {
		u := -1
		for i := range n {
			if !done[i] && d[i] < route.Apart && (u < 0 || d[i] < d[u]) {
				u = i
			}
		}
		if u < 0 {
			break
		}
		done[u] = true
		for v := range n {
			k := u*n + v
			if back {
				k = v*n + u
			}
			if w := m(k); u != v && w >= 0 && d[u]+w < d[v] {
				d[v] = d[u] + w
			}
		}
	}
	return d
}

// tourYards is the most yards a way through all of them is bounded for; the
// shortest ways between them cost the cube of their number.
const tourYards = 150

// network is the served yards with the shortest ways between them; place 0 is
// wherever tanks are filled.
type network struct {
	yards      []servedYard
	n          int
	m, t       []int64 // metres, milliseconds; nil for too many yards
	dist, time metric
}

func (r *run) network(yards []servedYard) *network {
	w := &network{yards: yards, n: len(yards) + 1, dist: r.metres, time: r.millis}
	if len(yards) > tourYards || r.roads.n > 2*tourYards {
		return w
	}
	w.m, w.t = r.between(yards, r.metres), r.between(yards, r.millis)
	return w
}

// between gives the shortest ways between the yards and where tanks are filled.
func (r *run) between(yards []servedYard, m metric) []int64 {
	n := len(yards) + 1
	out := make([]int64, n*n)
	id := make([]int, n)
	for i, y := range yards {
		id[i+1] = y.y + 1
	}
	home := r.shortest(m, true) // to where tanks are filled
	for a := range n {
		var d []int64
		if a == 0 {
			d = r.shortest(m, false)
		} else {
			d = r.ways([]int{id[a]}, m, false)
		}
		for b := 1; b < n; b++ {
			out[a*n+b] = d[id[b]]
		}
		out[a*n] = home[id[a]]
		out[a*n+a] = 0
	}
	return out
}

// way bounds one way through all yards: all loads, one after the other, are a
// closed way that calls at every yard. Up to [route.ExactStops] yards it is the
// shortest such way; above that the least tree that joins them, of which any
// such way holds one. Again over shortest ways, through whatever yard.
func (w *network) way(m []int64) int64 {
	if m == nil {
		return 0
	}
	n := w.n
	var least int64
	if n-1 <= route.ExactStops {
		_, least = route.Order(n-1, func(a, b int) int64 { return m[a*n+b] })
	} else {
		least = tree(m, n)
	}
	if least >= route.Apart {
		return 0 // not joined by known legs: proves nothing
	}
	return least
}

// tree gives the least spanning tree of n places, each leg at the cheaper of
// its two directions (Prim).
func tree(m []int64, n int) int64 {
	near := make([]int64, n)
	in := make([]bool, n)
	for i := 1; i < n; i++ {
		near[i] = route.Apart
	}
	var sum int64
	for range n {
		u := -1
		for i := range n {
			if !in[i] && (u < 0 || near[i] < near[u]) {
				u = i
			}
		}
		in[u] = true
		sum = min(route.Apart, sum+near[u])
		for v := range n {
			if !in[v] {
				near[v] = min(near[v], m[u*n+v], m[v*n+u])
			}
		}
	}
	return sum
}
