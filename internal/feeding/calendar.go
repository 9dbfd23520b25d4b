package feeding

import "slices"

// calendar is the days on which one yard is to be visited from some day on,
// as far as the yard alone is concerned: no truck, no crew.
type calendar struct {
	days  []int
	gives micro // syrup given on them
	// The first visit may be made on any day from early to late without a
	// litre lost or a visit more; it is planned at days[0].
	early, late int
}

// round follows a whole calendar for the hives of a yard and gives what goes
// into them. before is their state; it is not changed.
func (j *job) round(hives []int, before []bees, days []int) micro {
	var sum micro
	for i, h := range hives {
		b := before[i]
		for k, d := range days {
			f := j.topUp(h, &b, d, k == len(days)-1)
			if f.v > 0 {
				j.pour(h, &b, d, f.v)
				sum += f.v
			}
		}
	}
	return sum
}

// visits makes the calendar of yard y from day from on: as many litres as can
// be given at all, then as few visits as it finds, then early ones. hives and
// before are the hives to serve and their states.
//
// It looks at a few calendars and keeps the best: a visit whenever a given
// share of the hives is ready, for several shares, each mended (a day added
// while litres are missing) and pruned (a day dropped while none is lost); and
// where they leave hope of one or two visits, every day and every pair. It is
// exact for one and two visits and good beyond.
func (j *job) visits(y *place, hives []int, before []bees, from int) calendar {
	k, _ := slices.BinarySearch(y.feed, from)
	feed := y.feed[k:]
	if len(feed) == 0 || len(hives) == 0 {
		return calendar{}
	}
	all := j.round(hives, before, feed)
	if all <= dust {
		return calendar{}
	}
	var best calendar
	for _, share := range [...]float64{1, 0.75, 0.5, 0.25} {
		days := j.whenReady(hives, before, feed, share)
		days = j.mend(hives, before, feed, days, all)
		c := calendar{days: days, gives: j.round(hives, before, days)}
		if best.days == nil || c.better(&best) {
			best = c
		}
		if len(best.days) <= 1 {
			break
		}
	}
	best.days = j.prune(hives, before, best.days)
	best.gives = j.round(hives, before, best.days)
	if c, ok := j.fewer(hives, before, feed, &best); ok {
		best = c
	}
	j.window(hives, before, feed, &best)
	return best
}

// better compares two calendars.
func (c *calendar) better(o *calendar) bool {
	switch {
	case c.gives > o.gives+dust || o.gives > c.gives+dust:
		return c.gives > o.gives
	case len(c.days) != len(o.days):
		return len(c.days) < len(o.days)
	}
	return slices.Compare(c.days, o.days) < 0
}

// whenReady visits on every feedable day on which at least share of the hives
// that still need syrup are ready for it: feeder as good as empty, or room for
// all that is still to be given, or nothing more to be had by waiting.
func (j *job) whenReady(hives []int, before []bees, feed []int, share float64) []int {
	st := slices.Clone(before)
	var days []int
	for _, d := range feed {
		ready, open := 0, 0
		for i, h := range hives {
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
		for i, h := range hives {
			if f := j.topUp(h, &st[i], d, false); f.v > 0 {
				j.pour(h, &st[i], d, f.v)
			}
		}
		days = append(days, d)
	}
	return days
}

// ready tells whether a visit to h on day d is not too early for it.
func (j *job) ready(h int, b *bees, d int) bool {
	s := &j.hives[h]
	f := j.topUp(h, b, d, false)
	return f.v > 0 && (f.by != fullBrim || j.content(h, b, d) <= s.feeder/20)
}

// mend adds the feedable day that gains most while litres are missing.
func (j *job) mend(hives []int, before []bees, feed, days []int, all micro) []int {
	has := j.round(hives, before, days)
	for has+dust < all {
		var best []int
		top := has
		for _, d := range feed {
			at, there := slices.BinarySearch(days, d)
			if there {
				continue
			}
			try := slices.Insert(slices.Clone(days), at, d)
			if v := j.round(hives, before, try); v > top {
				best, top = try, v
			}
		}
		if best == nil {
			break
		}
		days, has = best, top
	}
	return days
}

// prune drops days that nothing is lost without, the latest first.
func (j *job) prune(hives []int, before []bees, days []int) []int {
	has := j.round(hives, before, days)
	for k := len(days) - 1; k >= 0 && len(days) > 1; k-- {
		try := slices.Delete(slices.Clone(days), k, k+1)
		if v := j.round(hives, before, try); v+dust >= has {
			days, has = try, max(has, v)
		}
	}
	return days
}

// fewer looks at every single day, then every pair, where fewer visits than
// best has could do.
func (j *job) fewer(hives []int, before []bees, feed []int, best *calendar) (calendar, bool) {
	least := j.leastVisits(hives, before, best)
	if least <= 1 && len(best.days) > 1 {
		for _, d := range feed {
			if v := j.round(hives, before, []int{d}); v+dust >= best.gives {
				return calendar{days: []int{d}, gives: v}, true
			}
		}
	}
	// Pairs of every day cost the square of the season: only where it is cheap.
	if least <= 2 && len(best.days) > 2 && len(feed)*len(feed)*len(hives) <= 100_000 {
		for a, d := range feed {
			for _, e := range feed[a+1:] {
				if v := j.round(hives, before, []int{d, e}); v+dust >= best.gives {
					return calendar{days: []int{d, e}, gives: v}, true
				}
			}
		}
	}
	return calendar{}, false
}

// leastVisits is a bound: no fill is larger than the feeder.
func (j *job) leastVisits(hives []int, before []bees, c *calendar) int {
	least := 1
	for i, h := range hives {
		var sum micro
		b := before[i]
		for k, d := range c.days {
			f := j.topUp(h, &b, d, k == len(c.days)-1)
			j.pour(h, &b, d, f.v)
			sum += f.v
		}
		least = max(least, ceilDiv(sum-dust, j.hives[h].feeder))
	}
	return least
}

// window finds how far the first visit may move with the others as they are.
func (j *job) window(hives []int, before []bees, feed []int, c *calendar) {
	c.early, c.late = c.days[0], c.days[0]
	try := slices.Clone(c.days)
	fits := func(d int) bool {
		try[0] = d
		return j.round(hives, before, try)+dust >= c.gives
	}
	at, _ := slices.BinarySearch(feed, c.days[0])
	for k := at - 1; k >= 0 && fits(feed[k]); k-- {
		c.early = feed[k]
	}
	for k := at + 1; k < len(feed) && (len(try) == 1 || feed[k] < try[1]) && fits(feed[k]); k++ {
		c.late = feed[k]
	}
}
