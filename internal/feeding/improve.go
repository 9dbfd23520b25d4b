package feeding

import (
	"cmp"
	"slices"

	"larder/internal/units"
)

// plan makes the best plan it finds: a start, and the search from there.
func (j *job) plan() *run {
	if j.tank == 0 { // nobody needs anything
		return j.newRun(manner{}, nil, nil)
	}
	j.setUp()
	s := j.again()
	if s == nil {
		start := j.begin()
		if j.stopped {
			return nil
		}
		s = j.newSearch(start)
	}
	took := s.run()
	if !s.brief {
		s.best = j.byLoads(s.best).sooner()
	}
	s.best = s.best.elsewhere().topped().handy()
	r := s.best.asRun()
	r.took = took
	r.limits(s.best)
	return r
}

// again gives a search from the plan already out, over the yards that changed
// since; nil when there is no such plan, or when nearly all has changed.
func (j *job) again() *searcher {
	start, free := j.warm()
	if start == nil || 3*len(free) > 2*j.busy && j.busy > 3 && !j.p.Fresh {
		return nil
	}
	s := j.newSearch(start)
	s.list = free
	for _, y := range free {
		c := start.clone()
		s.putBack(c, y)
		if c.weigh() && c.gatesFit() && c.mark.compare(&start.mark) < 0 {
			start = c
		}
	}
	s.best, s.now = start, start
	if !j.p.Fresh {
		s.list, s.brief = start.company(free), true
		return s
	}
	s.list = nil
	for y := range j.yards {
		if len(j.fed[y]) > 0 {
			s.list = append(s.list, y)
		}
	}
	if x := j.begin(); x != nil && x.mark.compare(&start.mark) < 0 {
		s.best, s.now = x, x
	}
	return s
}

// begin gives the better of what going through the season day by day makes, and
// of what putting in yard after yard makes.
func (j *job) begin() *solution {
	var best *solution
	if j.plain() {
		if s, ok := j.fromRun(j.best()); ok {
			best = s
		}
	}
	if j.stopped {
		return nil
	}
	g := j.newSearch(j.empty())
	c := g.now.clone()
	order := slices.Clone(g.list)
	// Those with the fewest calendars to choose from first, of those the farthest.
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(len(j.choices(a).full), len(j.choices(b).full)), cmp.Compare(j.awayFrom(b), j.awayFrom(a)))
	})
	for _, y := range order {
		g.insert(c, y)
	}
	if c.weigh() && (best == nil || c.mark.compare(&best.mark) < 0) {
		best = c
	}
	if best == nil {
		best = j.empty()
	}
	return best
}

// awayFrom is the time to yard y and back.
func (j *job) awayFrom(y int) tick {
	a, _ := j.roads.drive(0, y+1)
	b, _ := j.roads.drive(y+1, 0)
	return a + b
}

// fromRun makes a solution of a run of the first truck.
func (j *job) fromRun(r *run) (*solution, bool) {
	s := j.empty()
	byDay := make([][]trip, j.days)
	got := make([]map[int][]pour, len(j.yards))
	for i := range r.out {
		t := r.out[i].trip
		d := r.out[i].d
		calls := slices.Clone(t.calls)
		byDay[d] = append(byDay[d], trip{calls: calls})
		for _, c := range calls {
			if got[c.y] == nil {
				got[c.y] = map[int][]pour{}
			}
			got[c.y][d] = append(got[c.y][d], c.pours...)
		}
	}
	for d, trips := range byDay {
		if len(trips) > 0 && (!s.set(d, 0, trips) || !s.fits(d)) {
			return nil, false
		}
	}
	for y := range s.yards {
		var c calls
		for d := range j.days {
			if p := got[y][d]; len(p) > 0 {
				slices.SortFunc(p, func(a, b pour) int { return cmp.Compare(a.h, b.h) })
				c.days, c.pours = append(c.days, d), append(c.pours, p)
			}
		}
		j.weighCalls(y, &c)
		s.yards[y] = &c
	}
	return s, s.weigh()
}

// weighCalls weighs what a yard gets.
func (j *job) weighCalls(y int, c *calls) {
	c.worth, c.idle, c.change = worth{}, 0, 0
	for _, h := range j.fed[y] {
		v := make([]micro, len(c.days))
		var sum micro
		for k := range c.days {
			for _, p := range c.pours[k] {
				if p.h == h {
					v[k] += p.v
					sum += p.v
				}
			}
		}
		c.short(j, h, sum)
		if j.hives[h].Never {
			c.worth.dry += j.dry(h, c.days, v)
		}
	}
}

// asRun gives a solution as what write takes.
func (s *solution) asRun() *run {
	if s.gated {
		s.mixFirst()
	}
	s.weigh()
	_, can, _, _ := s.scratch()
	r := s.newRun(manner{}, nil, nil)
	r.can, r.early = slices.Clone(can), slices.Clone(s.job.early)
	for d := range s.days {
		for k := range s.days[d] {
			trips := s.days[d][k].trips
			if !s.gated { // else they leave when what they carry is mixed
				trips = s.shorter(d, k)
			}
			for i, t := range trips {
				to := 0
				if i+1 < len(trips) && trips[i+1].link {
					to = trips[i+1].from
				}
				r.out = append(r.out, dated{d: d, trip: t, k: k, to: to})
				for _, c := range t.calls {
					for _, p := range c.pours {
						r.pour(p.h, &r.st[p.h], d, p.v)
					}
				}
			}
			r.goes[d] += s.days[d][k].home
		}
	}
	return r
}

// shorter puts the stops of long loads in their best order.
func (s *solution) shorter(d, k int) []trip {
	trips := cloneTrips(s.days[d][k].trips)
	for i := range trips {
		if n := len(trips[i].calls); n > exactTrip && !trips[i].link && (i+1 == len(trips) || !trips[i+1].link) {
			s.order(&trips[i])
		}
	}
	if sh, ok := s.drivenBy(k, d, trips, 0); ok && sh.time <= s.days[d][k].time {
		return trips
	}
	return s.days[d][k].trips
}

// mixing gives the litres mixed by day for a run, and when gates count lets the
// loads leave after the mixing of the morning.
func (r *run) mixing() ([]micro, bool) {
	can := r.can
	if can == nil {
		can = make([]micro, r.days)
		for d := range can {
			can[d] = r.canMixOn(d)
		}
	}
	mixed, over := make([]micro, r.days), make([]micro, r.days)
	m := r.mix
	m.early = r.early
	_, ok := m.fewest(r.goes, can, mixed, over)
	return mixed, ok
}

func (r *run) canMixOn(d int) (can micro) {
	busy := make([]tick, len(r.trucks))
	for i := range r.out {
		if r.out[i].d == d {
			busy[r.out[i].k] += r.out[i].time
		}
	}
	for k := range r.trucks {
		can += r.mix.canMix(r.trucks[k].day[d] - busy[k])
	}
	return min(can, most)
}

// limits notes which limits leave colonies short: a yard that is short is put in
// once more with each limit lifted.
func (r *run) limits(s *solution) {
	if s.mark.short == 0 {
		return
	}
	worse := func(lift func(j *job)) bool {
		j := *s.job
		j.trucks = slices.Clone(j.trucks)
		for k := range j.trucks {
			j.trucks[k].day = slices.Clone(j.trucks[k].day)
		}
		lift(&j)
		o := *s
		o.job = &j
		g := j.newSearch(&o)
		tried := 0
		for _, y := range g.list {
			if s.yards[y].worth.short == 0 || s.yards[y].worth.short <= j.leastShort(y) {
				continue
			}
			c := o.clone()
			g.putBack(c, y)
			if c.yards[y].worth.short < s.yards[y].worth.short {
				return true
			}
			if tried++; tried >= 12 {
				break
			}
		}
		return false
	}
	r.short.mixing = worse(func(j *job) { j.mix.time, j.mix.batch, j.mix.hand, j.mix.store = 0, 0, most/4, most })
	r.short.loads = worse(func(j *job) {
		j.allLoads = 1 << 30
		for k := range j.trucks {
			j.trucks[k].loads = 1 << 30
		}
	})
	r.short.hours = worse(func(j *job) {
		for k := range j.trucks {
			for d := range j.trucks[k].day {
				if j.trucks[k].day[d] > 0 {
					j.trucks[k].day[d] *= 3
				}
			}
		}
	})
	if r.gated && !r.short.mixing && !r.short.loads && !r.short.hours {
		r.short.gates = worse(func(j *job) { j.gated = false })
	}
	r.strict = r.short.mixing || r.short.loads || r.short.hours
	if !r.strict {
		for y := range s.yards {
			if !r.short.gates && s.yards[y].worth.short > s.leastShort(y) {
				r.short.hours, r.strict = true, true
			}
		}
	}
}

// leastShort is how short yard y stays with a round on every feedable day.
func (j *job) leastShort(y int) int64 {
	p := j.choices(y)
	least := j.nothing[y].worth.short
	if len(p.full) > 0 {
		least = min(least, p.full[0].worth.short)
	}
	return least
}

// clockAt is a time of day counted from when work begins.
func (j *job) clockAt(t tick) units.Duration {
	return j.p.Crew.Begins + t.duration()
}
