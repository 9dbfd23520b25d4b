package route

import (
	"cmp"
	"math/bits"
	"math/rand/v2"
	"slices"
	"sync"

	"larder/internal/fault"
)

// What the search is set to. The numbers of Christiaens and Vanden Berghe
// (2020) are kept where they give any; the others were tried on the instances
// of tools/routes.
const (
	meanOut   = 10  // stops taken out at a time, on average
	longest   = 10  // the longest string taken out of one trip
	ruinNear  = 128 // neighbours looked at for trips to take strings out of
	buildNear = 40  // neighbours beside which a stop is put back
	blinkMean = 100 // one place in so many is overlooked
	splitOdds = 2   // one string in so many keeps a piece in its midst
	keepOdds  = 100 // and one in so many of those lets that piece end at each stop
	warmth    = 3   // at first, the mean of what an answer may be worse by is a third of a mean leg
	coolSteps = 1024
	coolBy    = 140  // in the end a 1500th of that: (1 - 1/140)^1024
	joinAll   = 1000 // stops above which the start joins near ones only
	together  = 2000 // iterations between two looks at Watch
)

// tour is a set of trips as chains. Stop k is followed by next[k] and preceded
// by prev[k]; 0 is home. of[k] is its trip, -1 while it is out.
type tour struct {
	next, prev, of []int32
	first          []int32 // of each trip; 0: this trip is empty
	load, long     []int64 // of each trip; long has the stays, not perTrip
	count          []int32
	trips          int // that are not empty
	cost           int64
}

func (t *tour) copyFrom(o *tour) {
	copy(t.next, o.next)
	copy(t.prev, o.prev)
	copy(t.of, o.of)
	t.first = append(t.first[:0], o.first...)
	t.load = append(t.load[:0], o.load...)
	t.long = append(t.long[:0], o.long...)
	t.count = append(t.count[:0], o.count...)
	t.trips, t.cost = o.trips, o.cost
}

func (t *tour) clone() *tour {
	n := len(t.next)
	c := &tour{next: make([]int32, n), prev: make([]int32, n), of: make([]int32, n)}
	c.copyFrom(t)
	return c
}

// lists gives the trips as lists of stops.
func (t *tour) lists() [][]int32 {
	var out [][]int32
	for _, k := range t.first {
		if k == 0 {
			continue
		}
		var trip []int32
		for ; k != 0; k = t.next[k] {
			trip = append(trip, k)
		}
		out = append(out, trip)
	}
	return out
}

// search improves on start, where asked.
func (p *plant) search(start *tour, how Search) (trips [][]int32, done int) {
	total := max(0, how.Iterations)
	end := total
	if how.Until > 0 {
		end = min(how.Until, total)
	}
	if end == 0 {
		return start.lists(), 0
	}
	p.neighbours()
	streams := make([]*ruin, min(max(1, how.Streams), 16))
	for i := range streams {
		streams[i] = p.newRuin(start, how.Seed, uint64(i), total)
	}
	best := streams[0]
	for done < end {
		step := min(together, end-done)
		var wait sync.WaitGroup
		for _, s := range streams[1:] {
			wait.Go(func() { s.run(step) })
		}
		streams[0].run(step)
		wait.Wait()
		done += step
		best = streams[0]
		for _, s := range streams[1:] {
			if s.best.cost < best.best.cost {
				best = s
			}
		}
		if how.Watch != nil && !how.Watch(done, best.best.cost) {
			break
		}
	}
	return best.best.lists(), done
}

// neighbours lists for each stop the nearest others, the cheaper way of the two
// counting.
func (p *plant) neighbours() {
	if p.near != nil {
		return
	}
	p.near = make([][]int32, p.m)
	keep := min(p.n-1, ruinNear)
	far := make([]int64, p.m)
	all := make([]int32, 0, p.n)
	for i := 1; i <= p.n; i++ {
		all = all[:0]
		for j := 1; j <= p.n; j++ {
			if j != i {
				far[j] = min(p.cost[i*p.m+j], p.back[i*p.m+j])
				all = append(all, int32(j))
			}
		}
		slices.SortFunc(all, func(a, b int32) int { return cmp.Or(cmp.Compare(far[a], far[b]), cmp.Compare(a, b)) })
		p.near[i] = slices.Clone(all[:keep])
	}
}

// from makes a start of the caller's trips. perm leads from places in order of ID
// to the caller's.
func (p *plant) from(trips [][]int, perm []int) (*tour, error) {
	wrong := func(say string) (*tour, error) {
		return nil, fault.New(fault.Conflict, "", say)
	}
	here := make([]int32, p.m) // the caller's place, plus 1 → ours
	for i, k := range perm {
		here[k+1] = int32(i + 1)
	}
	t := &tour{next: make([]int32, p.m), prev: make([]int32, p.m), of: make([]int32, p.m)}
	for k := range t.of {
		t.of[k] = -1
	}
	left := p.n
	for _, trip := range trips {
		if len(trip) == 0 {
			continue
		}
		var load, stay int64
		on, last := int32(len(t.first)), int32(0)
		list := make([]int32, 0, len(trip))
		for _, k := range trip {
			if k < 0 || k >= p.n || t.of[here[k+1]] >= 0 {
				return wrong("the trips to begin with call twice at a stop, or at one that is none")
			}
			h := here[k+1]
			t.of[h], t.prev[h] = on, last
			if last != 0 {
				t.next[last] = h
			}
			load, stay, last = load+p.load[h], stay+p.stay[h], h
			list = append(list, h)
			left--
		}
		legs := p.legs(list)
		if load > p.room || legs >= Apart || legs+stay > p.limit {
			return wrong("one of the trips to begin with carries too much, is too long or takes a road that is closed")
		}
		t.first, t.load, t.long, t.count = append(t.first, list[0]), append(t.load, load), append(t.long, legs+stay), append(t.count, int32(len(list)))
		t.cost += legs + p.perTrip
		t.trips++
	}
	if left > 0 {
		return wrong("the trips to begin with leave out a stop")
	}
	return t, nil
}

// savings is the start: every stop alone, then the end of one trip joined to
// the beginning of another wherever that saves most.
func (p *plant) savings() *tour {
	m := p.m
	t := &tour{next: make([]int32, m), prev: make([]int32, m), of: make([]int32, m)}
	for range m {
		t.first, t.load, t.long, t.count = append(t.first, 0), append(t.load, 0), append(t.long, 0), append(t.count, 0)
	}
	type join struct {
		saved int64
		a, b  int32
	}
	var joins []join
	for k := 1; k < m; k++ {
		t.of[k], t.first[k], t.load[k], t.count[k] = int32(k), int32(k), p.load[k], 1
		legs := p.cost[k] + p.cost[k*m]
		t.long[k] = legs + p.stay[k]
		t.cost += legs + p.perTrip
		t.trips++
		for _, j := range p.partners(k) {
			if s := p.cost[k*m] + p.cost[j] + p.perTrip - p.cost[k*m+int(j)]; int(j) != k && s > 0 {
				joins = append(joins, join{s, int32(k), j})
			}
		}
	}
	slices.SortFunc(joins, func(x, y join) int {
		return cmp.Or(cmp.Compare(y.saved, x.saved), cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b))
	})
	for _, j := range joins {
		ra, rb := t.of[j.a], t.of[j.b]
		switch {
		case ra == rb || t.next[j.a] != 0 || t.prev[j.b] != 0:
			continue // not the end of one and the beginning of another
		case t.load[ra]+t.load[rb] > p.room || t.long[ra]+t.long[rb]-j.saved+p.perTrip > p.limit:
			continue
		}
		t.next[j.a], t.prev[j.b] = j.b, j.a
		for k := j.b; k != 0; k = t.next[k] {
			t.of[k] = ra
		}
		t.load[ra] += t.load[rb]
		t.long[ra] += t.long[rb] - j.saved + p.perTrip
		t.count[ra] += t.count[rb]
		t.first[rb], t.load[rb], t.long[rb], t.count[rb] = 0, 0, 0, 0
		t.cost -= j.saved
		t.trips--
	}
	t.close()
	return t
}

// partners are the stops that k may be joined to at the start: all, but of very
// many only those near.
func (p *plant) partners(k int) []int32 {
	if p.n > joinAll {
		p.neighbours()
		return p.near[k]
	}
	if p.all == nil {
		for j := 1; j < p.m; j++ {
			p.all = append(p.all, int32(j))
		}
	}
	return p.all
}

// close gives the trips that are not empty the numbers from 0 on.
func (t *tour) close() {
	w := 0
	for r, k := range t.first {
		if k == 0 {
			continue
		}
		t.first[w], t.load[w], t.long[w], t.count[w] = k, t.load[r], t.long[r], t.count[r]
		for ; k != 0; k = t.next[k] {
			t.of[k] = int32(w)
		}
		w++
	}
	t.first, t.load, t.long, t.count = t.first[:w], t.load[:w], t.long[:w], t.count[:w]
}

// ruin is one stream of the search.
type ruin struct {
	*plant
	rng             *rand.PCG
	cur, work, best *tour
	heat            uint64 // in 1/65536 of a unit of cost
	done, total     int
	cooled          int
	blink           int
	out             []int32 // stops that are out
	hit             []int32 // trips a string was taken from
	key             []int64
}

func (p *plant) newRuin(start *tour, seed, stream uint64, total int) *ruin {
	mean := uint64(start.cost) / uint64(p.n+start.trips)
	return &ruin{
		plant: p, rng: rand.NewPCG(seed, 0x6c61726465720100+stream),
		cur: start.clone(), work: start.clone(), best: start.clone(),
		heat: min(mean, 1<<44) << 16 / warmth, total: total, blink: blinkMean,
		key: make([]int64, p.m),
	}
}

// below draws a whole number from 0 to n-1. (It is a hair uneven; nothing here
// rests on that.)
func (r *ruin) below(n int) int {
	hi, _ := bits.Mul64(r.rng.Uint64(), uint64(n))
	return int(hi)
}

// bits16 draws from the exponential distribution, in 1/65536 of ln 2: -log2 of
// an even draw, by its leading zeros and a straight line between powers of 2.
// Whole numbers throughout, since logarithms differ between machines.
func (r *ruin) bits16() uint64 {
	u := r.rng.Uint64() | 1
	lead := bits.LeadingZeros64(u)
	return uint64(lead+1)<<16 - u<<(lead+1)>>48
}

func (r *ruin) run(n int) {
	const ln2 = 45426 // of 65536
	for range n {
		r.work.copyFrom(r.cur)
		r.takeOut()
		r.putBack()
		// A worse answer is taken if it is worse by less than -heat·ln(u).
		hi, lo := bits.Mul64(r.heat>>16*ln2+r.heat&0xffff*ln2>>16, r.bits16())
		slack := int64(min(hi<<32|lo>>32, uint64(Apart)))
		if r.work.cost < r.cur.cost+slack && !r.overlong() {
			r.cur, r.work = r.work, r.cur
			if r.cur.cost < r.best.cost {
				r.best.copyFrom(r.cur)
			}
		}
		r.done++
		for ; r.cooled < int(int64(r.done)*coolSteps/int64(r.total)); r.cooled++ {
			r.heat -= r.heat / coolBy
		}
	}
}

// overlong: one of the trips that a string was taken from has become too long.
// Where a detour is shorter than the straight way (typed times, or miles rounded
// to whole ones), a trip grows by leaving a stop out.
func (r *ruin) overlong() bool {
	return slices.ContainsFunc(r.hit, func(trip int32) bool {
		return r.work.count[trip] > 0 && r.work.long[trip] > r.limit
	})
}

// takeOut takes strings of neighbouring stops out of trips that pass near one
// stop drawn at random.
func (r *ruin) takeOut() {
	t := r.work
	r.out, r.hit = r.out[:0], r.hit[:0]
	mean := max(1, r.n/t.trips)
	most := min(longest, mean)
	// As in the paper: 4·meanOut/(1+most) - 1 trips at most, so that meanOut
	// stops leave on average.
	span := 4*meanOut*1024/(1+most) - 1024 // in 1/1024
	strings := 1 + r.below(max(1024, span))/1024
	seed := int32(1 + r.below(r.n))
	r.string(seed, most)
	for _, k := range r.near[seed] {
		if len(r.hit) >= strings {
			break
		}
		if trip := t.of[k]; trip >= 0 && !slices.Contains(r.hit, trip) {
			r.string(k, most)
		}
	}
}

// string takes a string with k in it out of its trip.
func (r *ruin) string(k int32, most int) {
	t := r.work
	trip := t.of[k]
	r.hit = append(r.hit, trip)
	size := int(t.count[trip])
	n := 1 + r.below(min(size, most))
	keep := 0
	if n > 1 && n < size && r.below(splitOdds) == 0 {
		for keep = 1; n+keep < size && r.below(keepOdds) == 0; keep++ {
		}
	}
	// The whole stretch has n+keep stops and k among them: it begins back stops
	// before k, as far as the trip reaches.
	stretch := n + keep
	before := 0
	for u := t.prev[k]; u != 0 && before < stretch-1; u = t.prev[u] {
		before++
	}
	after := 0
	for u := t.next[k]; u != 0 && after < stretch-1; u = t.next[u] {
		after++
	}
	least := max(0, stretch-1-after)
	back := least + r.below(before-least+1)
	at := k
	for range back {
		at = t.prev[at]
	}
	skipFrom := stretch
	if keep > 0 {
		skipFrom = 1 + r.below(n-1) // n-1 gaps inside; the kept piece stands in one
	}
	for i := range stretch {
		after := t.next[at]
		if i < skipFrom || i >= skipFrom+keep {
			r.remove(at)
		}
		at = after
	}
}

func (r *ruin) remove(k int32) {
	t, m := r.work, int32(r.m)
	u, w, trip := t.prev[k], t.next[k], t.of[k]
	d := r.cost[u*m+w] - r.cost[u*m+k] - r.cost[k*m+w] // u = w = 0: 0 - both legs
	if u == 0 {
		t.first[trip] = w
	} else {
		t.next[u] = w
	}
	if w != 0 {
		t.prev[w] = u
	}
	t.of[k] = -1
	t.load[trip] -= r.load[k]
	t.long[trip] += d - r.stay[k]
	t.cost += d
	if t.count[trip]--; t.count[trip] == 0 {
		t.trips--
		t.cost -= r.perTrip
	}
	r.out = append(r.out, k)
}

// putBack puts every stop that is out where it costs least, in one of four
// orders: any, largest load first, farthest from home first, nearest first.
func (r *ruin) putBack() {
	switch x := r.below(11); {
	case x < 4:
		for _, k := range r.out {
			r.key[k] = int64(r.rng.Uint64() >> 1)
		}
	case x < 8:
		for _, k := range r.out {
			r.key[k] = -r.load[k]
		}
	case x < 10:
		for _, k := range r.out {
			r.key[k] = -r.cost[k]
		}
	default:
		for _, k := range r.out {
			r.key[k] = r.cost[k]
		}
	}
	for i := 1; i < len(r.out); i++ { // few, so by insertion
		for j := i; j > 0 && r.key[r.out[j]] < r.key[r.out[j-1]]; j-- {
			r.out[j], r.out[j-1] = r.out[j-1], r.out[j]
		}
	}
	for _, k := range r.out {
		r.put(k)
	}
}

// put puts k where it costs least: behind a stop, or first (behind 0) of a trip.
func (r *ruin) put(k int32) {
	t, m := r.work, r.m
	row, col := r.cost[int(k)*m:int(k)*m+m], r.back[int(k)*m:int(k)*m+m]
	alone := row[0] + col[0] + r.perTrip
	best, trip, behind := alone, int32(-1), int32(0)
	load, stay := r.load[k], r.stay[k]
	near := r.near[k]
	for _, v := range near[:min(len(near), buildNear)] {
		on := t.of[v]
		if on < 0 || t.load[on]+load > r.room {
			continue
		}
		u, w := t.prev[v], t.next[v]
		if r.blink--; r.blink <= 0 {
			r.blink = 1 + r.below(2*blinkMean-1)
		} else if d := col[u] + row[v] - r.cost[int(u)*m+int(v)]; d < best && t.long[on]+d+stay <= r.limit {
			best, trip, behind = d, on, u
		}
		if r.blink--; r.blink <= 0 {
			r.blink = 1 + r.below(2*blinkMean-1)
		} else if d := col[v] + row[w] - r.cost[int(v)*m+int(w)]; d < best && t.long[on]+d+stay <= r.limit {
			best, trip, behind = d, on, v
		}
	}
	if trip < 0 && len(near) > 0 {
		best, trip, behind = r.anywhere(k, best)
	}
	if trip < 0 {
		r.alone(k)
		return
	}
	w := t.next[behind]
	if behind == 0 {
		w = t.first[trip]
		t.first[trip] = k
	} else {
		t.next[behind] = k
	}
	if w != 0 {
		t.prev[w] = k
	}
	t.prev[k], t.next[k], t.of[k] = behind, w, trip
	t.load[trip] += load
	t.long[trip] += best + stay
	t.count[trip]++
	t.cost += best
}

// anywhere looks through all trips with room for a place that adds less than
// best.
func (r *ruin) anywhere(k int32, best int64) (int64, int32, int32) {
	t, m := r.work, r.m
	row, col := r.cost[int(k)*m:int(k)*m+m], r.back[int(k)*m:int(k)*m+m]
	trip, behind := int32(-1), int32(0)
	for on, v := range t.first {
		if v == 0 || t.load[on]+r.load[k] > r.room {
			continue
		}
		u := int32(0)
		for {
			if d := col[u] + row[v] - r.cost[int(u)*m+int(v)]; d < best && t.long[on]+d+r.stay[k] <= r.limit {
				best, trip, behind = d, int32(on), u
			}
			if v == 0 {
				break
			}
			u, v = v, t.next[v]
		}
	}
	return best, trip, behind
}

// alone gives k a trip of its own.
func (r *ruin) alone(k int32) {
	t := r.work
	trip := slices.Index(t.first, 0)
	if trip < 0 {
		trip = len(t.first)
		t.first, t.load, t.long, t.count = append(t.first, 0), append(t.load, 0), append(t.long, 0), append(t.count, 0)
	}
	legs := r.cost[k] + r.cost[int(k)*r.m]
	t.first[trip], t.load[trip], t.long[trip], t.count[trip] = k, r.load[k], legs+r.stay[k], 1
	t.prev[k], t.next[k], t.of[k] = 0, 0, int32(trip)
	t.trips++
	t.cost += legs + r.perTrip
}
