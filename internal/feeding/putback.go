package feeding

import (
	"cmp"
	"slices"
)

// How a step of the search puts a yard back.

// putBack takes y off c and puts it back in the best way it finds.
func (s *searcher) putBack(c *solution, y int) {
	c.remove(y)
	s.insert(c, y)
}

// offer is one calendar with its price as a guess.
type offer struct {
	c     *choice
	price tick
}

// tries is how many calendars are really tried for a yard in one step. They are
// tried until one goes, so many are needed only where syrup cannot be mixed in
// time for the cheapest.
func (j *job) tries() int {
	switch {
	case j.busy <= 8:
		return 16
	case j.busy <= 100:
		return 6
	}
	return 3
}

const mostTries = 16

// squeezed is how many of them are tried with their litres spread anew.
const squeezed = 3

// insert gives y the calendar that adds least time to c, of those that bring in
// most; where the days have no room for any, what they have room for.
func (s *searcher) insert(c *solution, y int) {
	p := s.choices(y)
	clear(s.asked)
	top, tank := s.cheapestOf(c, y, p.full)
	base := *c
	var best *solution
	s.spent++
	consider := func(cs calls) {
		s.spent++
		x := base.clone()
		if !x.give(y, cs) || !x.weigh() {
			return
		}
		if best == nil || x.mark.compare(&best.mark) < 0 {
			best = x
		}
	}
	tried := 0
	for _, o := range top {
		if o.price >= longest {
			break
		}
		x := base.clone()
		if x.give(y, s.callsOf(y, o.c)) {
			if !x.weigh() {
				s.tight = true
				continue
			}
			if best == nil || x.mark.compare(&best.mark) < 0 {
				best = x
			}
			if tried++; tried >= squeezed || !s.gated && !tank {
				break
			}
		}
	}
	// The same with litres spread to fit the loads that go anyway.
	if tank && best != nil {
		for _, o := range top[:min(len(top), squeezed)] {
			if cs, ok := s.squeeze(&base, y, o.c.days, false); ok {
				consider(cs)
			}
		}
	}
	if best != nil && s.busy <= 20 && s.rng.IntN(2) == 0 {
		s.sparing(&base, y, top, &best)
	}
	if best == nil {
		s.scarce(&base, y, p, consider)
		if best == nil {
			base.yards[y] = s.nothing[y]
			base.weigh()
			*c = base
			return
		}
	}
	*c = *best
}

// sparing tries a calendar with less on one of its visits than could be given,
// and more on the others, so that two yards find room in one tank where each
// would fill it up alone. What comes out takes the place of best where it costs
// no more, though it feeds later: the yards put in after it may gain.
func (s *searcher) sparing(c *solution, y int, top []offer, best **solution) {
	o := top[s.rng.IntN(min(len(top), squeezed))]
	n := len(o.c.days)
	if n < 2 {
		return
	}
	s.lean = s.rng.IntN(n - 1)
	s.leanTo = o.c.q[s.lean] * micro(s.rng.IntN(8)) / 8
	cs, ok := s.squeeze(c, y, o.c.days, false)
	s.lean = -1
	if !ok || (*best).yards[y].worth.less(cs.worth) {
		return
	}
	x := c.clone()
	if !x.give(y, cs) || !x.weigh() {
		return
	}
	a, b := &x.mark, &(*best).mark
	if a.worth == b.worth && a.exactTime <= b.exactTime || a.compare(b) < 0 {
		*best = x
	}
}

// cheapestOf prices choices and gives the cheapest few; tank tells whether some
// call would go cheaper on a load with too little room.
func (s *searcher) cheapestOf(c *solution, y int, list []choice) (top []offer, tank bool) {
	var buf [mostTries + 1]offer
	top = buf[:0]
	tries := s.tries()
	for i := range list {
		ch := &list[i]
		price := ch.idle
		limit := longest
		if len(top) == tries {
			limit = top[tries-1].price
		}
		for n, d := range ch.days {
			t, one, _ := s.cheapest(s.optionsOn(c, y, d), y, d, ch.q[n], ch.lids[n])
			if one < 0 {
				price = longest
				break
			}
			if one > 0 {
				tank = true
			}
			if price += t; price >= limit {
				break
			}
		}
		if price >= limit && len(top) == tries || price >= longest {
			continue
		}
		at := len(top)
		for at > 0 && price < top[at-1].price {
			at--
		}
		top = slices.Insert(top, at, offer{ch, price})
		top = top[:min(len(top), tries)]
	}
	return slices.Clone(top), tank
}

// optionsOn gives the options of y on day d of c, looked up once per insertion.
func (s *searcher) optionsOn(c *solution, y, d int) []option {
	if !s.asked[d] {
		s.asked[d] = true
		s.day[d] = c.options(y, d, s.day[d])
	}
	return s.day[d]
}

// squeeze spreads the litres of y over its days so that they fit what goes
// there: the way that costs least driving or, when hours are short, the one
// that brings in most.
func (s *searcher) squeeze(c *solution, y int, days []int, most bool) (calls, bool) {
	var used [8]micro
	cs := s.fillYard(y, days, func(i int) limit {
		d := days[i]
		opts := s.optionsOn(c, y, d)
		l := limit{d: d}
		var top float64
		var w2 micro
		var second option
		for n := range opts {
			o := &opts[n]
			t := o.slack - o.drive - s.yards[y].setup
			if t <= 0 {
				continue
			}
			v := min(o.room, pumped(t, s.trucks[o.k].pump))
			if most && l.q > 0 && o.k != l.k && len(s.trucks) > 1 && w2 < v {
				w2, second = v, option{room: o.room, slack: t}
			}
			if w := float64(v); top == 0 || most && w > top*1.2 {
				top = w
				l = limit{q: o.room, t: t, k: o.k, d: d}
			}
		}
		if most && w2 > 0 { // two trucks may share a yard
			l.q, l.t = l.q+second.room, l.t+second.slack
		}
		if s.lean == i {
			l.q = min(l.q, s.leanTo)
		}
		if s.tight {
			l.q = min(l.q, s.canGo(c, d, days[:i], used[:]))
		}
		return l
	}, func(i int, q micro) {
		if i < len(used) {
			used[i] = q
		}
	})
	out := calls{worth: cs.worth, idle: cs.idle}
	for i, d := range cs.days {
		if len(cs.pours[i]) > 0 {
			out.days, out.pours = append(out.days, d), append(out.pours, cs.pours[i])
		}
	}
	return out, cs.cap || most
}

// canGo gives the most syrup that could go out on day d beside what goes out
// already and what was used on the days before.
func (s *searcher) canGo(c *solution, d int, days []int, used []micro) micro {
	goes, can, mixed, over := c.scratch()
	var now micro
	for e := range c.days {
		goes[e], can[e] = 0, 0
		for k := range c.days[e] {
			sh := &c.days[e][k]
			goes[e] += sh.home
			can[e] += s.mix.canMix(s.trucks[k].mixes[e] - sh.time)
		}
		can[e] = min(can[e], most)
	}
	for i, e := range days {
		if i < len(used) {
			goes[e] += used[i]
		}
	}
	now = goes[d]
	var lo, hi micro = 0, s.tank + 1
	grain := max(dust/10, s.step/2)
	if s.busy <= 8 {
		grain = dust / 10
	}
	for hi-lo > grain {
		mid := (lo + hi) / 2
		goes[d] = now + mid
		if s.mix.latest(goes, can, mixed, over) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// scarce gives y what the days have room for: litres spread to fit, over some of
// its full calendars and of the shorter ones; those that bring in most are really
// tried.
func (s *searcher) scarce(c *solution, y int, p *pool, consider func(calls)) {
	looks, takes := 12, 4
	if s.busy > 20 {
		looks, takes = 5, 2
	}
	var found []calls
	for _, list := range [][]choice{p.full, p.less} {
		step := max(1, len(list)/looks)
		for i := s.rng.IntN(step); i < len(list); i += step {
			s.spent++
			if cs, ok := s.squeeze(c, y, list[i].days, true); ok && len(cs.days) > 0 && cs.worth.less(s.nothing[y].worth) {
				found = append(found, cs)
			}
		}
		looks = (looks + 1) / 2
	}
	slices.SortStableFunc(found, func(a, b calls) int {
		return cmp.Or(a.worth.compare(b.worth), cmp.Compare(len(a.days), len(b.days)))
	})
	for _, cs := range found[:min(len(found), takes)] {
		consider(cs)
	}
}
