package feeding

import (
	"cmp"
	"slices"
)

// soonerHives is up to how many hives fills are moved to earlier visits.
const soonerHives = 3000

// sooner moves whole fills to earlier visits of the same yard, as far as feeders,
// tanks, hours and stock let them: one lid is closed for each that is opened, so
// it costs nothing, and a colony that waits for its syrup while the truck calls
// beside it is what no keeper would understand. Those at greatest risk go first.
// Only what makes the plan better by its tiers is kept.
func (s *solution) sooner() *solution {
	if len(s.hives) > soonerHives || s.gated || len(s.sources) > 0 {
		return s
	}
	var list []int
	for y := range s.yards {
		if len(s.yards[y].days) > 1 {
			list = append(list, s.fed[y]...)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(s.hives[b].weight, s.hives[a].weight) })
	for range 4 {
		better := false
		for _, h := range list {
			for x := s.soonerFor(h); x != nil; x = s.soonerFor(h) {
				s, better = x, true
			}
		}
		if !better {
			break
		}
	}
	return s
}

// soonerFor gives the plan with one fill of hive h moved to the earliest visit
// that can have it; nil when none can.
func (s *solution) soonerFor(h int) *solution {
	y := s.hives[h].yard
	c := s.yards[y]
	at := func(i int) int { return slices.IndexFunc(c.pours[i], func(p pour) bool { return p.h == h }) }
	for d := 0; d+1 < len(c.days); d++ {
		if at(d) >= 0 {
			continue
		}
		for e := d + 1; e < len(c.days); e++ {
			n := at(e)
			if n < 0 {
				continue
			}
			p := c.pours[e][n]
			if !s.canTake(h, c, d, e, p.v) {
				break // nor can it take a later fill before this one
			}
			p.by = shared
			if x := s.moved(y, d, e, p); x != nil {
				return x
			}
		}
	}
	return nil
}

// canTake tells whether hive h can have all its fills when v of visit e is given
// on visit d instead.
func (s *solution) canTake(h int, c *calls, d, e int, v micro) bool {
	b := s.start(h)
	for i, day := range c.days {
		give := micro(0)
		switch {
		case i == d:
			give = v
		case i != e:
			for _, p := range c.pours[i] {
				if p.h == h {
					give = p.v
				}
			}
		}
		if give == 0 {
			continue
		}
		if f, _ := s.room(h, &b, day); f.v < give {
			return false
		}
		s.pour(h, &b, day, give)
	}
	return true
}

// moved gives the plan with p given at yard y on visit d instead of visit e; nil
// when no load has room, the day is too short, or the plan gets no better.
func (s *solution) moved(y, d, e int, p pour) *solution {
	x := s.clone()
	was := s.yards[y]
	if !x.takeFrom(y, was.days[e], p.h) || !x.addTo(y, was.days[d], p) {
		return nil
	}
	c := calls{worth: was.worth, cap: was.cap, idle: was.idle}
	for i, day := range was.days {
		pours := slices.Clone(was.pours[i])
		switch i {
		case d:
			pours = append(pours, p)
			slices.SortFunc(pours, func(a, b pour) int { return cmp.Compare(a.h, b.h) })
		case e:
			pours = slices.DeleteFunc(pours, func(q pour) bool { return q.h == p.h })
		}
		if len(pours) > 0 {
			c.days, c.pours = append(c.days, day), append(c.pours, pours)
		}
	}
	if s.hives[p.h].Never {
		return nil // when its feeder stands empty would have to be gone through anew
	}
	x.yards[y] = &c
	if !x.fits(was.days[d]) || !x.fits(was.days[e]) || !x.weigh() || x.mark.compare(&s.mark) >= 0 {
		return nil
	}
	return x
}

// takeFrom takes the fill of hive h off the loads that call at y on day d.
func (s *solution) takeFrom(y, d, h int) bool {
	for k := range s.days[d] {
		trips := cloneTrips(s.days[d][k].trips)
		for t := range trips {
			for i := range trips[t].calls {
				a := &trips[t].calls[i]
				n := slices.IndexFunc(a.pours, func(p pour) bool { return p.h == h })
				if a.y != y || n < 0 {
					continue
				}
				pours := slices.Delete(slices.Clone(a.pours), n, n+1)
				if len(pours) > 0 {
					*a = call{y: y, pours: pours, q: sumOf(pours)}
				} else if trips[t].calls = slices.Delete(trips[t].calls, i, i+1); len(trips[t].calls) == 0 {
					trips = slices.Delete(trips, t, t+1)
				} else {
					s.tidy(&trips[t], true)
				}
				return s.set(d, k, trips)
			}
		}
	}
	return false
}

// addTo adds a fill to a load that calls at y on day d and has room for it.
func (s *solution) addTo(y, d int, p pour) bool {
	for k := range s.days[d] {
		trips := cloneTrips(s.days[d][k].trips)
		for t := range trips {
			for i := range trips[t].calls {
				a := &trips[t].calls[i]
				if a.y != y || s.roomIn(&trips[t], s.trucks[k].tank) < p.v {
					continue
				}
				pours := append(slices.Clone(a.pours), p)
				slices.SortFunc(pours, func(a, b pour) int { return cmp.Compare(a.h, b.h) })
				*a = call{y: y, pours: pours, q: sumOf(pours)}
				return s.set(d, k, trips)
			}
		}
	}
	return false
}
