package feeding

import "slices"

// calendar is the days on which one yard is to be visited from some day on,
// as far as the yard alone is concerned: no truck, no crew.
type calendar struct {
	days  []int
	gives micro // of what is aimed at
	lids  int   // hives opened
	// The first visit may be made on any day from early to late without a
	// litre lost or a visit more; it is planned at days[0].
	early, late int
}

// party is the hives of a yard that a calendar is made for.
type party struct {
	hives []int
	st    []bees  // their states on the morning the calendar begins
	aim   []micro // what each should get from then on
	feed  []int   // feedable days from then on
}

// party gathers hives with their states as of day from. A hive's aim is what is
// left of its goal (see [job.limits]), as far as a round on every feedable day
// from now on would still bring it in.
func (j *job) party(y *place, hives []int, st []bees, from int) party {
	k, _ := slices.BinarySearch(y.feed, from)
	p := party{hives: hives, feed: y.feed[k:], aim: make([]micro, len(hives)), st: st}
	for i, h := range hives {
		s, b := &j.hives[h], st[i]
		p.aim[i] = max(0, min(j.toppedUp(h, &b, p.feed), s.goal-(s.want-st[i].left)))
	}
	return p
}

// round follows a whole calendar for a party and gives what goes in of what
// they should get, and how many lids are lifted for it.
func (j *job) round(p *party, days []int) (sum micro, lids int) {
	for i, h := range p.hives {
		b := p.st[i]
		for k, d := range days {
			if f := j.visit(h, &b, d, days[k+1:]); f.v > 0 {
				j.pour(h, &b, d, f.v)
				lids++
			}
		}
		sum += min(p.aim[i], p.st[i].left-b.left)
	}
	return sum, lids
}

// brings is what goes in of what they should get.
func (j *job) brings(p *party, days []int) micro {
	sum, _ := j.round(p, days)
	return sum
}

// follow makes a calendar of days.
func (j *job) follow(p *party, days []int) calendar {
	c := calendar{days: days}
	c.gives, c.lids = j.round(p, days)
	return c
}

// visits makes a calendar for a party: as many litres as can be given at all,
// then as few visits as it finds, then as
// few lids, then early days.
//
// It looks at a few calendars and keeps the best: a visit whenever a given
// share of the hives is ready, for several shares, each mended (a day added
// while litres are missing); the best, or where none can be mended every day
// there is, pruned (a day dropped while no litre is lost); and where that
// leaves hope of one or two visits, every day and every pair. It is
// exact for one and two visits and good beyond.
func (j *job) visits(p *party) calendar {
	var all micro
	for _, a := range p.aim {
		all += a
	}
	if len(p.feed) == 0 || all <= dust {
		return calendar{}
	}
	var best calendar
	for _, share := range [...]float64{1, 0.75, 0.5, 0.25} {
		days, ok := j.mend(p, j.whenReady(p, share), all)
		if !ok {
			continue
		}
		if c := j.follow(p, days); best.days == nil || c.better(&best) {
			best = c
		}
		if len(best.days) <= 1 {
			break
		}
	}
	if best.days == nil {
		// So little time that nearly every day is needed: all of them, pruned.
		best.days = slices.Clone(p.feed)
	}
	best = j.follow(p, j.prune(p, best.days))
	if c, ok := j.fewer(p, &best); ok {
		best = c
	}
	j.window(p, &best)
	return best
}

// better compares two calendars.
func (c *calendar) better(o *calendar) bool {
	switch {
	case c.gives > o.gives+dust || o.gives > c.gives+dust:
		return c.gives > o.gives
	case len(c.days) != len(o.days):
		return len(c.days) < len(o.days)
	case c.lids != o.lids:
		return c.lids < o.lids
	}
	return slices.Compare(c.days, o.days) < 0
}

// whenReady visits on every feedable day on which at least share of the hives
// that still need syrup are ready for it: feeder as good as empty, or room for
// all that is still to be given, or nothing more to be had by waiting.
func (j *job) whenReady(p *party, share float64) []int {
	st := slices.Clone(p.st)
	var days []int
	for _, d := range p.feed {
		ready, open := 0, 0
		for i, h := range p.hives {
			if st[i].left <= dust {
				continue
			}
			open++
			if j.ready(h, &st[i], d) {
				ready++
			}
		}
		if open == 0 {
			break
		}
		if ready == 0 || float64(ready) < share*float64(open) {
			continue
		}
		for i, h := range p.hives {
			if f := j.topUp(h, &st[i], d); f.v > 0 && (f.by != fullBrim || f.v >= j.worth(&j.hives[h])) {
				j.pour(h, &st[i], d, f.v)
			}
		}
		days = append(days, d)
	}
	return days
}

// ready tells whether a visit to h on day d is not too early for it.
func (j *job) ready(h int, b *bees, d int) bool {
	f := j.topUp(h, b, d)
	return f.v > 0 && (f.by != fullBrim || j.content(h, b, d) <= j.hives[h].feeder/20)
}

// mend adds the feedable day that gains most while litres are missing; false
// when a few days do not mend it.
func (j *job) mend(p *party, days []int, all micro) ([]int, bool) {
	has := j.brings(p, days)
	for range 3 {
		if has+dust >= all {
			return days, true
		}
		var best []int
		top := has
		for _, d := range p.feed {
			at, there := slices.BinarySearch(days, d)
			if there {
				continue
			}
			try := slices.Insert(slices.Clone(days), at, d)
			if v := j.brings(p, try); v > top {
				best, top = try, v
			}
		}
		if best == nil || all-top > 3*(top-has) {
			return days, false
		}
		days, has = best, top
	}
	return days, has+dust >= all
}

// prune drops days that nothing is lost without, the latest first.
func (j *job) prune(p *party, days []int) []int {
	has := j.brings(p, days)
	for k := len(days) - 1; k >= 0 && len(days) > 1; k-- {
		try := slices.Delete(slices.Clone(days), k, k+1)
		if v := j.brings(p, try); v+dust >= has {
			days, has = try, max(has, v)
		}
	}
	return days
}

// fewer looks at every single day, then every pair, where fewer visits than
// best has could do.
func (j *job) fewer(p *party, best *calendar) (calendar, bool) {
	least := j.leastVisits(p, best)
	if least <= 1 && len(best.days) > 1 {
		for _, d := range p.feed {
			if v := j.brings(p, []int{d}); v+dust >= best.gives {
				return j.follow(p, []int{d}), true
			}
		}
	}
	// Pairs of every day cost the square of the season: only where it is cheap.
	if least <= 2 && len(best.days) > 2 && len(p.feed)*len(p.feed)*len(p.hives) <= 100_000 {
		for a, d := range p.feed {
			for _, e := range p.feed[a+1:] {
				if v := j.brings(p, []int{d, e}); v+dust >= best.gives {
					return j.follow(p, []int{d, e}), true
				}
			}
		}
	}
	return calendar{}, false
}

// leastVisits is a bound: no fill is larger than the feeder.
func (j *job) leastVisits(p *party, c *calendar) int {
	least := 1
	for i, h := range p.hives {
		var sum micro
		b := p.st[i]
		for k, d := range c.days {
			f := j.visit(h, &b, d, c.days[k+1:])
			j.pour(h, &b, d, f.v)
			sum += f.v
		}
		least = max(least, ceilDiv(sum-dust, j.hives[h].feeder))
	}
	return least
}

// window finds how far the first visit may move: with the others as they are,
// or all of them moved along by as many days.
func (j *job) window(p *party, c *calendar) {
	feed := p.feed
	c.early, c.late = c.days[0], c.days[0]
	try := make([]int, len(c.days))
	fits := func(d int) bool {
		copy(try, c.days)
		try[0] = d
		if len(try) == 1 || d < try[1] {
			if j.brings(p, try)+dust >= c.gives {
				return true
			}
		}
		for i := 1; i < len(try); i++ {
			k, _ := slices.BinarySearch(feed, c.days[i]+d-c.days[0])
			if k == len(feed) || feed[k] <= try[i-1] {
				return false
			}
			try[i] = feed[k]
		}
		return j.brings(p, try)+dust >= c.gives
	}
	at, _ := slices.BinarySearch(feed, c.days[0])
	for k := at - 1; k >= 0 && fits(feed[k]); k-- {
		c.early = feed[k]
	}
	for k := at + 1; k < len(feed) && fits(feed[k]); k++ {
		c.late = feed[k]
	}
}
