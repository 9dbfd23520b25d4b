package feeding

import (
	"cmp"
	"slices"
)

// elsewhere fills tanks where it is better: at home or at a store of syrup, and
// there on the way from home or from the last stop of the load before. Who gets
// what, when and in which load stays as it is. Ways of planning that know of home
// alone end here.
func (s *solution) elsewhere() *solution {
	if len(s.sources) == 0 {
		return s
	}
	for range 3 {
		was := s
		for from := range len(s.sources) {
			s = s.together(1 + from)
		}
		for d := range s.days {
			for k := range s.days[d] {
				for t := range s.days[d][k].trips {
					for from := range 1 + len(s.sources) {
						for _, link := range []bool{false, true} {
							if x := s.filledAt(d, k, t, from, link); x != nil && x.mark.compare(&s.mark) < 0 {
								s = x
							}
						}
					}
				}
			}
		}
		if s == was {
			break
		}
	}
	return s
}

// together fills more and more loads at source from, those that cost the least
// time first: a batch is saved only once all loads it was for are filled
// elsewhere. It gives the best of these plans, s where none is better.
func (s *solution) together(from int) *solution {
	type load struct {
		d, k, t int
		more    tick
	}
	var loads []load
	for d := range s.days {
		for k := range s.days[d] {
			for t := range s.days[d][k].trips {
				if x := s.filledAt(d, k, t, from, false); x != nil {
					loads = append(loads, load{d, k, t, x.days[d][k].time - s.days[d][k].time})
				}
			}
		}
	}
	slices.SortStableFunc(loads, func(a, b load) int { return cmp.Compare(a.more, b.more) })
	best, now := s, s
	for _, l := range loads {
		x := now.filledAt(l.d, l.k, l.t, from, false)
		if x == nil {
			continue
		}
		if now = x; now.mark.compare(&best.mark) < 0 {
			best = now
		}
	}
	return best
}

// filledAt gives the plan with trip t of truck k on day d filled at source from,
// counted from 1, or at home (0); with link straight from the last stop of the
// trip before. nil when that cannot be, or is so already.
func (s *solution) filledAt(d, k, t, from int, link bool) *solution {
	trips := cloneTrips(s.days[d][k].trips)
	tr := &trips[t]
	place := 0
	if from > 0 {
		place = len(s.job.yards) + from
	}
	if tr.from == place && tr.link == link || link && (from == 0 || t == 0) {
		return nil
	}
	if from > 0 {
		src := &s.sources[from-1]
		room := src.have - s.src[from-1]
		if tr.from == place {
			room += tr.q
		}
		if d < src.from || tr.q > room {
			return nil
		}
	}
	tr.from, tr.link = place, link
	s.tidy(tr, t+1 == len(trips) || !trips[t+1].link)
	x := s.clone()
	if !x.set(d, k, trips) || !x.fits(d) || !x.weigh() || !x.gatesFit() {
		return nil
	}
	return x
}

// drawnFits tells whether no store gives more than stands there: two fills of a
// hive may be on loads of one store.
func (s *solution) drawnFits() bool {
	for i := range s.sources {
		if s.src[i] > s.sources[i].have {
			return false
		}
	}
	return true
}
