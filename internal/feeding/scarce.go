package feeding

import (
	"cmp"
	"slices"
)

// When hours, loads or mixing do not suffice for all, those at greatest risk
// come first: the longest list of hives, ordered by risk, that can all be
// served in full is planned as if the others did not exist, and the others get
// what time and tank are left over on each day. Nobody on the list gets a
// litre less for it.

// ranking puts the hives with a need in order: by band of risk, then yard by
// yard so that a stop serves its equals together, within a yard by risk.
func (j *job) ranking() []int {
	var order []int
	for h := range j.hives {
		if j.hives[h].want > 0 {
			order = append(order, h)
		}
	}
	slices.SortFunc(order, func(a, b int) int {
		s, t := &j.hives[a], &j.hives[b]
		return cmp.Or(cmp.Compare(t.band, s.band), cmp.Compare(s.yard, t.yard), cmp.Compare(t.Risk, s.Risk), cmp.Compare(a, b))
	})
	return order
}

// inFull tells whether hive h got what it could get, but for a crumb.
func (r *run) inFull(h int) bool { return r.hives[h].goal-r.given(h) <= r.crumb() }

// served counts how many hives at the head of order got all they could.
func (r *run) served(order []int) int {
	for k, h := range order {
		if !r.inFull(h) {
			return k
		}
	}
	return len(order)
}

// exactness is into how many parts a list is divided at the finest when looking
// for its head; the rest of the head is then served from standby, which keeps
// to the order too. Long lists get fewer parts: a look costs a whole season.
func exactness(n int) int {
	if n > 4000 {
		return 16
	}
	return 60
}

// firstThings looks for the longest head of order that a run serves in full,
// and gives the run that does, the others on standby. It tries by halves: what
// it finds has really been run.
func (j *job) firstThings(how manner, order []int) *run {
	rank := make([]int, len(j.hives))
	for k, h := range order {
		rank[h] = k
	}
	head := func(k int, withRest bool) *run {
		serve := make([]bool, len(j.hives))
		for _, h := range order[:k] {
			serve[h] = true
		}
		if !withRest {
			return j.newRun(how, serve, nil).season()
		}
		return j.newRun(how, serve, rank).season()
	}
	lo, hi := 0, len(order)
	for hi-lo > max(1, len(order)/exactness(len(order))) {
		mid := (lo + hi) / 2
		if head(mid, false).served(order) >= mid {
			lo = mid
		} else {
			hi = mid
		}
	}
	best := head(lo, true)
	if best.served(order) < lo {
		best = head(lo, false)
	}
	best.strict = true
	return best
}

// standby gives what is left of the day to hives that are not planned for:
// first where the truck calls anyway, in order of rank, then elsewhere.
func (r *run) standby(t *today) {
	type offer struct {
		y     int
		pours []pour
		on    bool
		first int
	}
	var offers []offer
	for y := range r.own {
		o := &r.own[y]
		if len(o.wait) == 0 || !r.feedable(y, t.d) {
			continue
		}
		var p []pour
		for _, h := range o.wait {
			if r.ready(h, &r.st[h], t.d) {
				p = append(p, pour{h, r.topUp(h, &r.st[h], t.d)})
			}
		}
		if len(p) > 0 {
			on := slices.ContainsFunc(t.calls, func(c call) bool { return c.y == y })
			offers = append(offers, offer{y, p, on, r.hives[p[0].h].band})
		}
	}
	slices.SortStableFunc(offers, func(a, b offer) int {
		if a.on != b.on {
			if a.on {
				return -1
			}
			return 1
		}
		return cmp.Compare(b.first, a.first)
	})
	misses := 0
	for _, o := range offers {
		if r.join(t, o.y, o.pours) == 0 {
			if misses++; misses >= 8 || r.full(t) {
				return
			}
		}
	}
}

// join adds as many of the pours, in their order, as fit the day: to the call
// already made there or as a new one.
func (r *run) join(t *today, y int, pours []pour) int {
	before := t.calls
	k := slices.IndexFunc(before, func(c call) bool { return c.y == y })
	if k < 0 {
		return r.add(t, y, pours, true)
	}
	return largest(len(pours), func(n int) bool {
		merged := append(slices.Clone(before[k].pours), pours[:n]...)
		slices.SortFunc(merged, func(a, b pour) int { return cmp.Compare(a.h, b.h) })
		calls := slices.Clone(before)
		calls[k] = r.makeCall(y, merged)
		return r.take(t, calls)
	})
}
