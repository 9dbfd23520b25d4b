package feeding

import (
	"math"
	"math/bits"
	"slices"
)

// The route-cover bound
//
// Every plan puts yards on loads. A load that calls at the yards T costs at
// least the shortest way through T; yard i is on at least as many loads as it
// needs visits; a set S of yards is called at by at least as many loads as its
// syrup fills tanks. The least of
//
//	Σ cost(T)·x(T)   with   Σ x(T) over T meeting S ≥ need(S),   x ≥ 0
//
// is therefore below every plan. By duality any prices p(S) ≥ 0 with
// Σ p(S) over S meeting T ≤ cost(T) for every T prove Σ p(S)·need(S): the prices
// are found by a small simplex in floating point, then checked against every T in
// whole numbers and scaled down where they fail, so that rounding proves nothing
// false. Sets S are added where the loads found so far break them.

// coverYards is the most yards all subsets of which are gone through.
const coverYards = 10

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

// zero gives nothing to add at any place.
func (w *network) zero() []int64 { return make([]int64, w.n) }

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

// cover gives the route-cover bound for cost m, with each for a load and at[i]
// for a call at place i added.
func (w *network) cover(m []int64, each int64, at []int64, tank micro) int64 {
	n := w.n - 1
	if n == 0 {
		return 0
	}
	cost := w.tours(m, each, at)
	size := 1 << n
	need := make([]int64, size)
	for s := 1; s < size; s++ {
		var q micro
		for i := range n {
			if s>>i&1 == 1 {
				q += w.yards[i].q
				need[s] = max(need[s], int64(w.yards[i].visits))
			}
		}
		need[s] = max(need[s], int64(ceilDiv(q, tank)))
	}
	var sets []int
	for i := range n {
		sets = append(sets, 1<<i)
	}
	if n > 1 {
		sets = append(sets, size-1)
	}
	if n <= 6 {
		sets = sets[:0]
		for s := 1; s < size; s++ {
			sets = append(sets, s)
		}
	}
	var proof int64
	for range 12 {
		price, x := dualPrices(cost, need, sets)
		proof = max(proof, proven(cost, need, sets, price))
		more := broken(need, sets, x)
		if len(more) == 0 {
			break
		}
		sets = append(sets, more...)
	}
	return proof
}

// broken gives up to eight sets that are called at by too few of the loads x.
func broken(need []int64, sets []int, x map[int]float64) []int {
	type lack struct {
		s int
		v float64
	}
	var found []lack
	loads := make([]int, 0, len(x))
	for t := range x {
		loads = append(loads, t)
	}
	slices.Sort(loads)
	for s := 1; s < len(need); s++ {
		sum := 0.0
		for _, t := range loads {
			if t&s != 0 {
				sum += x[t]
			}
		}
		if v := float64(need[s]) - sum; v > 1e-3 && !slices.Contains(sets, s) {
			found = append(found, lack{s, v})
		}
	}
	slices.SortStableFunc(found, func(a, b lack) int {
		switch {
		case a.v > b.v:
			return -1
		case a.v < b.v:
			return 1
		}
		return bits.OnesCount(uint(a.s)) - bits.OnesCount(uint(b.s))
	})
	var out []int
	for _, f := range found[:min(len(found), 8)] {
		out = append(out, f.s)
	}
	return out
}

// proven scales prices so that no load is priced above its cost, and gives what
// they prove, rounded down.
func proven(cost, need []int64, sets []int, price []float64) int64 {
	scale := 1.0
	for t := 1; t < len(cost); t++ {
		sum := 0.0
		for k, s := range sets {
			if s&t != 0 {
				sum += price[k]
			}
		}
		if sum > float64(cost[t]) {
			scale = min(scale, float64(cost[t])/sum)
		}
	}
	total := 0.0
	for k, s := range sets {
		total += price[k] * float64(need[s])
	}
	// A part in 10¹² of slack stands for the rounding of these sums themselves.
	return int64(math.Floor(total * scale * (1 - 1e-12)))
}

// dualPrices maximises Σ price(S)·need(S) with Σ price over S meeting T ≤ cost(T),
// by the simplex on a dense table: price 0 is where it starts, and each step
// raises the price that promises most. x is how often each load goes then.
func dualPrices(cost, need []int64, sets []int) (price []float64, x map[int]float64) {
	rows, cols := len(cost)-1, len(sets)
	wide := cols + 1
	unit := 1.0
	for t := 1; t < len(cost); t++ {
		unit = max(unit, float64(cost[t]))
	}
	a := make([]float64, rows*wide) // columns not in the basis, then the right side
	for t := range rows {
		for k, s := range sets {
			if s&(t+1) != 0 {
				a[t*wide+k] = 1
			}
		}
		a[t*wide+cols] = float64(cost[t+1]) / unit
	}
	top := make([]float64, wide)
	for k, s := range sets {
		top[k] = float64(need[s])
	}
	basis, off := make([]int, rows), make([]int, cols) // off: what stands in a column
	for t := range basis {
		basis[t] = cols + t
	}
	for k := range off {
		off[k] = k
	}
	const eps = 1e-9
	for step := range 40 * (cols + 5) {
		in := -1
		for k := range cols {
			if top[k] > eps && (in < 0 || step < 20*cols && top[k] > top[in] || step >= 20*cols && off[k] < off[in]) {
				in = k
			}
		}
		if in < 0 {
			break
		}
		out := -1
		var least float64
		for t := range rows {
			if c := a[t*wide+in]; c > eps {
				q := a[t*wide+cols] / c
				if out < 0 || q < least-eps || q < least+eps && basis[t] < basis[out] {
					out, least = t, q
				}
			}
		}
		if out < 0 {
			break
		}
		pivot(a, top, rows, wide, out, in)
		basis[out], off[in] = off[in], basis[out]
	}
	price, x = make([]float64, cols), map[int]float64{}
	for t, b := range basis {
		if b < cols {
			price[b] = max(0, a[t*wide+cols]*unit)
		}
	}
	for k, b := range off {
		if b >= cols && -top[k] > 1e-9 {
			x[b-cols+1] = -top[k]
		}
	}
	return price, x
}

// pivot swaps the variable of row out with that of column in.
func pivot(a, top []float64, rows, wide, out, in int) {
	p := a[out*wide : out*wide+wide]
	d := 1 / p[in]
	for k := range p {
		p[k] *= d
	}
	p[in] = d
	for t := range rows {
		if t == out {
			continue
		}
		r := a[t*wide : t*wide+wide]
		f := r[in]
		if f == 0 {
			continue
		}
		for k := range r {
			r[k] -= f * p[k]
		}
		r[in] = -f * d
	}
	f := top[in]
	for k := range top {
		top[k] -= f * p[k]
	}
	top[in] = -f * d
}
