package feeding

import (
	"cmp"
	"slices"
)

// Mixed before it leaves
//
// Hours of several crews added up are not enough: syrup that another crew mixes
// while the load is out is not in its tank. So each load is held against what can
// be mixed before it leaves, by all crews. Where yards have no hours of their own
// a crew's loads leave as late as its day lets them. Where they have, all crews of
// the day mix first, and the loads leave after that if the gates let them; else
// the syrup is mixed the day before.

// inTime holds every day's loads against what is mixed before they leave. Where it
// is not, it notes in early what of that day's mixing is ready for its first load,
// and gives false.
func (s *solution) inTime(goes, mixed, over, early []micro) bool {
	if s.mix.time <= 0 || len(s.trucks) == 1 && !s.gated {
		return true
	}
	ok := true
	have := s.mix.hand
	for d := range s.days {
		if mixed[d] > 0 && goes[d] > have {
			if ready, all := s.readyOn(d, have); !all {
				ok = false
				early[d] = min(early[d], s.batchesOf(ready))
			}
		}
		have = over[d]
	}
	return ok
}

// batchesOf is what n batches hold.
func (s *solution) batchesOf(n int) micro {
	switch {
	case n <= 0:
		return 0
	case s.mix.batch == 0:
		return most
	}
	return min(most, s.mix.batch*micro(min(n, 1<<20)))
}

// readyOn tells whether all of day d's loads can be mixed before they leave, when
// have is in the house that morning, and how many batches are ready for the first.
func (s *solution) readyOn(d int, have micro) (first int, all bool) {
	if s.gated {
		var q micro
		for k := range s.days[d] {
			q += s.days[d][k].home
		}
		n := s.mix.batches(max(0, q-have))
		for m := 1; ; m++ {
			done := s.mixedIn(d, tick(m)*s.mix.time)
			if done == first || !s.mayLeave(d, tick(m)*s.mix.time) {
				return first, first >= n
			}
			if first = done; first >= n {
				return first, true
			}
		}
	}
	type leaving struct {
		at   tick
		home micro
	}
	var out []leaving
	for k := range s.days[d] {
		sh := &s.days[d][k]
		out = append(out, leaving{max(0, s.trucks[k].day[d]-sh.time), sh.home})
	}
	slices.SortFunc(out, func(a, b leaving) int { return cmp.Compare(a.at, b.at) })
	var q micro
	before, known := 0, false // batches of the crews gone by then
	all = true
	for i, o := range out {
		if o.home > 0 {
			// Crews that leave at the same time count together.
			q += o.home
			n := before + (len(out)-i)*int(min(o.at/s.mix.time, 1<<20))
			if !known {
				first, known = n, true
			}
			all = all && s.mix.batches(max(0, q-have)) <= n
		}
		before += int(min(o.at/s.mix.time, 1<<20))
	}
	return first, all
}

// mixedIn is how many batches the crews of day d mix in the first of it.
func (s *solution) mixedIn(d int, span tick) (n int) {
	for k := range s.trucks {
		n += int(min(span, s.trucks[k].day[d]) / s.mix.time)
	}
	return n
}

// mayLeave tells whether all loads of day d may leave after that much of it.
func (s *solution) mayLeave(d int, begin tick) bool {
	for k := range s.days[d] {
		if _, ok := s.leavesAfter(d, k, begin); !ok {
			return false
		}
	}
	return true
}

// leavesAfter gives a shift that begins later and takes no longer.
func (s *solution) leavesAfter(d, k int, begin tick) (shift, bool) {
	sh := s.days[d][k]
	if len(sh.trips) == 0 || sh.trips[0].leave >= begin {
		return sh, true
	}
	x, ok := s.drivenBy(k, d, cloneTrips(sh.trips), begin)
	return x, ok && x.end <= s.trucks[k].day[d] && x.time <= sh.time
}

// mixFirst lets the loads of a day leave after what they carry is mixed. It counts
// only where yards have hours of their own.
func (s *solution) mixFirst() {
	if s.mix.time <= 0 || !s.weigh() {
		return
	}
	goes, _, _, over := s.scratch()
	have := s.mix.hand
	for d := range s.days {
		n := s.mix.batches(max(0, goes[d]-have))
		have = over[d]
		for m := 1; n > 0 && m <= 1000; m++ {
			if s.mixedIn(d, tick(m)*s.mix.time) < n {
				continue
			}
			if !s.mayLeave(d, tick(m)*s.mix.time) {
				break // weigh lets no such day pass
			}
			for k := range s.days[d] {
				x, _ := s.leavesAfter(d, k, tick(m)*s.mix.time)
				s.day(d)[k] = x
			}
			break
		}
	}
}
