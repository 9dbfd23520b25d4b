package feeding

import (
	"cmp"
	"slices"
)

// today is the working day being packed.
type today struct {
	d     int
	calls []call // in the order of one long way round
	trips []trip // the loads they make
	time  tick
	q     micro
	cut   []int // yards of which only a part could be taken
}

// fits makes loads of calls and tells whether they fit the day: working time
// with what must be mixed for them, and the number of loads.
func (r *run) fits(calls []call) ([]trip, bool) {
	whole, split := r.cut(calls)
	// The cut with fewer loads first; the other may still save time.
	for _, trips := range [][]trip{split, whole} {
		if trips == nil {
			continue
		}
		if r.feasible(trips) {
			return trips, true
		}
	}
	return nil, false
}

func (r *run) feasible(trips []trip) bool {
	var time tick
	var q micro
	for i := range trips {
		time += trips[i].time
		q += trips[i].q
	}
	switch {
	case len(trips) > r.loads:
		r.short.loads = true
	case time > r.day:
		r.short.hours = true
	case q > r.have+r.mix.canMix(r.day-time):
		r.short.mixing = true
	default:
		return true
	}
	return false
}

// insert puts c where it makes the long way round least longer and gives the
// time that adds.
func (r *run) insert(calls []call, c call) ([]call, tick) {
	at, best := 0, longest
	for i := 0; i <= len(calls); i++ {
		if t := r.detour(stopBefore(calls, i), stopBefore(calls, i+1), c.y); t < best {
			at, best = i, t
		}
	}
	return slices.Insert(slices.Clone(calls), at, c), best
}

// detour is the driving added by calling at yard y between two places.
func (r *run) detour(a, b, y int) tick {
	out, ok1 := r.roads.drive(a, y+1)
	back, ok2 := r.roads.drive(y+1, b)
	if !ok1 || !ok2 {
		return longest / 2
	}
	was, ok := r.roads.drive(a, b)
	if !ok {
		return 0 // there was no way before, and there is one now
	}
	return out + back - was
}

// add tries to take yard y with its pours into the day, all of them or, when
// part is allowed, as many as fit in their order. It reports how many.
func (r *run) add(t *today, y int, pours []pour, part bool) int {
	before := t.calls
	try := func(n int) bool {
		some := slices.Clone(pours[:n])
		slices.SortFunc(some, func(a, b pour) int { return cmp.Compare(a.h, b.h) }) // walking order
		calls, _ := r.insert(before, r.makeCall(y, some))
		return r.take(t, calls)
	}
	if part {
		n := largest(len(pours), try)
		if 0 < n && n < len(pours) {
			t.cut = append(t.cut, y)
		}
		return n
	}
	if try(len(pours)) {
		return len(pours)
	}
	return 0
}

// take makes calls the day's, if they fit it.
func (r *run) take(t *today, calls []call) bool {
	trips, ok := r.fits(calls)
	if ok {
		t.calls, t.trips = calls, trips
	}
	return ok
}

// largest gives the largest n ≤ most for which try holds, trying all first and
// then by halves; the last try that held is the one with that n. A try must
// not build on the one before.
func largest(most int, try func(int) bool) int {
	if try(most) {
		return most
	}
	lo, hi := 0, most
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; try(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// pack fills day d: first the yards that cannot wait, then others that lie
// near, while time, loads and syrup last.
func (r *run) pack(d int) today {
	t := today{d: d}
	must, may := r.candidates(d)
	for _, y := range must {
		if p := r.pours(y, d); len(p) > 0 && !r.full(&t) {
			r.add(&t, y, p, true)
		}
	}
	if r.how.ripe && len(t.calls) == 0 && !slices.ContainsFunc(may, func(y int) bool { return d >= r.own[y].cal.days[0] }) {
		may = nil
	}
	near := r.newNear(may)
	for len(near.yards) > 0 {
		y := near.next(&t)
		if p := r.pours(y, d); len(p) > 0 && r.add(&t, y, p, len(t.calls) == 0) == 0 && r.full(&t) {
			break
		}
	}
	r.patience(&t)
	r.standby(&t)
	for i := range t.trips {
		t.trips[i] = r.sequence(t.trips[i])
		t.time += t.trips[i].time
		t.q += t.trips[i].q
	}
	return t
}

// full tells whether hardly any working time is left, so that trying the rest
// is idle.
func (r *run) full(t *today) bool {
	var used tick
	for i := range t.trips {
		used += t.trips[i].time
	}
	return used > r.day-r.day/20
}

// candidates lists the yards to be visited on day d: those whose window closes,
// in order of closing, and those that may wait, by number.
func (r *run) candidates(d int) (must, may []int) {
	for y := range r.yards {
		c := r.calendar(y, d)
		if len(c.days) == 0 || d < c.early || !r.feedable(y, d) {
			continue
		}
		if r.waits(y, d, c.late) <= r.how.margin {
			must = append(must, y)
		} else {
			may = append(may, y)
		}
	}
	slices.SortStableFunc(must, func(a, b int) int { return cmp.Compare(r.own[a].cal.late, r.own[b].cal.late) })
	return must, may
}

// near keeps, for yards that may still be visited today, the least detour into
// the day's way round, and brings it up to date as the way grows.
type near struct {
	*run
	yards []int
	least []tick
	at    [][2]int // the leg it goes into, as places
	calls []call   // the way the figures hold for
}

func (r *run) newNear(may []int) *near {
	return &near{run: r, yards: may, least: make([]tick, len(may)), at: make([][2]int, len(may))}
}

// next takes out the yard to try next: the one with the least detour; on an
// empty day, or when dates lead, the one that closes first, of those the
// farthest.
func (n *near) next(t *today) int {
	n.update(t.calls)
	byDate := len(t.calls) == 0 || n.how.byDate
	better := func(a, b int) bool {
		if byDate {
			la, lb := n.own[n.yards[a]].cal.late, n.own[n.yards[b]].cal.late
			return la < lb || la == lb && n.away(n.yards[a]) > n.away(n.yards[b])
		}
		return n.least[a] < n.least[b]
	}
	best := 0
	for k := range n.yards {
		if better(k, best) {
			best = k
		}
	}
	y := n.yards[best]
	n.yards = slices.Delete(n.yards, best, best+1)
	n.least = slices.Delete(n.least, best, best+1)
	n.at = slices.Delete(n.at, best, best+1)
	return y
}

// update brings the detours up to date. One new call breaks one leg into two:
// only yards that meant to use that leg look at the whole way again.
func (n *near) update(calls []call) {
	if len(calls) == len(n.calls) && len(calls) > 0 {
		return
	}
	i := 0
	for i < len(n.calls) && n.calls[i].y == calls[i].y {
		i++
	}
	fresh := len(n.calls) == 0 || len(calls) != len(n.calls)+1
	a, y, b := 0, 0, 0
	if !fresh {
		a, y, b = stopBefore(calls, i), calls[i].y+1, stopBefore(calls, i+2)
	}
	for k, m := range n.yards {
		if fresh || n.at[k] == [2]int{a, b} {
			n.least[k] = longest
			for i := 0; i <= len(calls); i++ {
				n.offer(k, m, stopBefore(calls, i), stopBefore(calls, i+1))
			}
			continue
		}
		n.offer(k, m, a, y)
		n.offer(k, m, y, b)
	}
	n.calls = calls
}

// stopBefore gives the place of calls[i-1]; home before the first and behind
// the last.
func stopBefore(calls []call, i int) int {
	if i == 0 || i > len(calls) {
		return 0
	}
	return calls[i-1].y + 1
}

func (n *near) offer(k, y, a, b int) {
	if t := n.detour(a, b, y); t < n.least[k] {
		n.least[k], n.at[k] = t, [2]int{a, b}
	}
}

// away is the time to yard y and back.
func (r *run) away(y int) tick {
	a, _ := r.roads.drive(0, y+1)
	b, _ := r.roads.drive(y+1, 0)
	return a + b
}

// patience leaves a load at home that is far from full, as long as none of its
// yards has to be visited now and another yard, or more of the same, could
// share it later.
func (r *run) patience(t *today) {
	if r.how.fullness <= 0 {
		return
	}
	keep := t.trips[:0:0]
	for _, tr := range t.trips {
		if float64(tr.q) >= r.how.fullness*float64(r.tank) || !r.canWait(t, tr) {
			keep = append(keep, tr)
		}
	}
	if len(keep) == len(t.trips) {
		return
	}
	t.trips, t.calls = keep, nil
	for _, tr := range keep {
		t.calls = append(t.calls, tr.calls...)
	}
}

// canWait tells whether every yard of the load has a later day in its window,
// and whether some other yard still to be fed may come along by then, or the
// rest of one that is not done today anyway.
func (r *run) canWait(t *today, tr trip) bool {
	d, late, more := t.d, r.days, false
	for _, c := range tr.calls {
		more = more || slices.Contains(t.cut, c.y)
		if r.waits(c.y, d, r.own[c.y].cal.late) == 0 {
			return false
		}
		late = min(late, r.own[c.y].cal.late)
	}
	if more {
		return true
	}
	for y := range r.yards {
		on := slices.ContainsFunc(tr.calls, func(c call) bool { return c.y == y })
		if c := &r.own[y].cal; !on && len(c.days) > 0 && c.early <= late && c.late > d {
			return true
		}
	}
	return false
}
