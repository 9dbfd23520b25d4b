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

func (r *run) bounds(fills []int) Bounds {
	var b Bounds
	if len(r.out) == 0 {
		return b
	}
	yards, total := r.servedYards(fills)
	rounds := 0
	for _, y := range yards {
		b.Visits += y.visits
		rounds = max(rounds, y.visits)
	}
	tanks := ceilDiv(total, r.tank)
	b.Loads = max(tanks, rounds)
	b.Why = append(b.Why, Reason{Code: "for-this", Say: "for any plan that gives each colony at least as much as this one"})
	if tanks >= rounds {
		b.Why = append(b.Why, Reason{Code: "bound-loads", Say: "no fewer than {0} loads: {1} have to go out and a load carries {2}",
			Amounts: []any{b.Loads, total.volume(), r.tank.volume()}})
	} else {
		b.Why = append(b.Why, Reason{Code: "bound-loads", Say: "no fewer than {0} loads: one yard needs {0} visits, each on a load of its own", Amounts: []any{b.Loads}})
	}
	b.Why = append(b.Why, Reason{Code: "bound-visits", Say: "no fewer than {0} stops: at each yard as many as its slowest hive needs refills, or as its syrup fills tanks",
		Amounts: []any{b.Visits}})
	ring, tour := r.ring(yards), r.tour(yards)
	d := max(ring, tour)
	b.Dist = units.Length(max(0, d))
	say := "no less than {0} on the road: every yard has to be reached, and there is no shorter way through them all"
	if ring >= tour {
		say = "no less than {0} on the road: beyond each distance from home there and back go at least as many loads as visits or tanks are needed there"
	}
	b.Why = append(b.Why, Reason{Code: "bound-road", Say: say, Amounts: []any{b.Dist}})
	return b
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
func (r *run) ring(yards []servedYard) int64 {
	out, back := r.shortest(0, false), r.shortest(0, true)
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

// shortest gives the shortest way from a place to every place, or to it from
// every place when back is set (Dijkstra, over all legs known).
func (r *run) shortest(from int, back bool) []int64 {
	n := r.roads.n
	d := make([]int64, n)
	done := make([]bool, n)
	for i := range n {
		d[i] = route.Apart
	}
	d[from] = 0
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
			if w := r.roads.dist[k]; u != v && w >= 0 && d[u]+w < d[v] {
				d[v] = d[u] + w
			}
		}
	}
	return d
}

// tourYards is the most yards a way through all of them is bounded for; the
// shortest ways between them cost the cube of their number.
const tourYards = 150

// tour bounds one way through all yards: all loads, one after the other, are a
// closed way that calls at every yard. Up to [route.ExactStops] yards it is the
// shortest such way; above that the least tree that joins them, of which any
// such way holds one. Again over shortest ways, through whatever yard.
func (r *run) tour(yards []servedYard) int64 {
	if len(yards) > tourYards || r.roads.n > 2*tourYards {
		return 0
	}
	n := len(yards) + 1
	id := make([]int, n)
	for i, y := range yards {
		id[i+1] = y.y + 1
	}
	m := make([]int64, n*n)
	for a := range n {
		d := r.shortest(id[a], false)
		for b := range n {
			m[a*n+b] = d[id[b]]
		}
	}
	var least int64
	if len(yards) <= route.ExactStops {
		_, least = route.Order(len(yards), func(a, b int) int64 { return m[a*n+b] })
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
