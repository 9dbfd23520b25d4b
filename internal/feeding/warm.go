package feeding

import (
	"slices"
)

// A plan made anew after something was written down starts from the plan there
// is: each yard keeps its days and its place on its loads, with the litres
// worked out anew. Only yards that changed by that are let go by the search,
// with those that share their loads: the rest stays as the crew knows it.

// warm gives the plan already out as a solution, and the yards that changed.
func (j *job) warm() (*solution, []int) {
	if j.p.Before == nil || len(j.p.Before.Loads) == 0 {
		return nil, nil
	}
	days := make([][]int, len(j.yards)) // on which each yard was to be visited
	at := map[string]int{}
	for y := range j.yards {
		at[j.yards[y].ID] = y
	}
	changed, out := make([]bool, len(j.yards)), make([]bool, len(j.yards))
	type stop struct{ y, load int }
	var stops []stop
	for i := range j.p.Before.Loads {
		l := &j.p.Before.Loads[i]
		d := int(l.Day - j.p.Start)
		if d < 0 || d >= j.days {
			continue
		}
		for k := range l.Stops {
			y, ok := at[l.Stops[k].Yard]
			if !ok || len(j.fed[y]) == 0 {
				continue
			}
			if _, feeds := slices.BinarySearch(j.yards[y].feed, d); !feeds {
				out[y] = true
				continue
			}
			stops = append(stops, stop{y, i})
			if !slices.Contains(days[y], d) {
				days[y] = append(days[y], d)
			}
		}
	}
	if len(stops) == 0 {
		return nil, nil
	}
	unmet := map[string]micro{}
	for i := range j.p.Before.Unmet {
		unmet[j.p.Before.Unmet[i].Colony] = nearest(j.p.Before.Unmet[i].Volume)
	}
	s := j.empty()
	fills := make([]calls, len(j.yards))
	for y := range days {
		slices.Sort(days[y])
		fills[y] = j.keep(y, days[y])
		changed[y] = j.otherwise(y, &fills[y], unmet)
	}
	s.rebuild(func(yield func(y, load int)) {
		for _, p := range stops {
			yield(p.y, p.load)
		}
	}, fills, out)
	var free []int
	for y := range j.yards {
		if len(j.fed[y]) == 0 || !changed[y] && !out[y] {
			continue
		}
		free = append(free, y)
		if out[y] {
			s.remove(y)
		}
	}
	if !s.weigh() {
		return nil, nil
	}
	return s, free
}

// keep is what yard y gets on days: for each hive what it was to get by the plan
// already out, where that still brings in all it can take; else worked out anew.
func (j *job) keep(y int, days []int) calls {
	c := calls{days: days, pours: make([][]pour, len(days))}
	for _, h := range j.fed[y] {
		fills, ok := j.asBefore(h, days)
		if !ok {
			fills = make([]dose, len(days))
			b := j.start(h)
			set, _ := j.choose(h, b, days)
			for k, d := range days {
				if f := j.topUp(h, &b, d); set>>k&1 == 1 && f.v > 0 {
					j.pour(h, &b, d, f.v)
					fills[k] = f
				}
			}
		}
		for k, f := range fills {
			if f.v > 0 {
				c.pours[k] = append(c.pours[k], pour{h, f})
			}
		}
	}
	j.weighCalls(y, &c)
	return c
}

// asBefore gives the fills of hive h by the plan already out; false when one of
// them no longer goes in, or they leave it shorter than rounds on these days
// must, by more than a crumb.
func (j *job) asBefore(h int, days []int) ([]dose, bool) {
	out := make([]dose, len(days))
	b := j.start(h)
	_, could := j.choose(h, b, days)
	var sum micro
	for k, d := range days {
		v := j.before[j.hives[h].yard][fillKey{h, d}]
		if v == 0 {
			continue
		}
		f, _ := j.room(h, &b, d)
		if v > f.v+dust/100 {
			return nil, false
		}
		v = min(v, f.v)
		switch {
		case b.left-v <= dust:
			f.by = endsNeed
		case f.v-v > dust:
			f.by = shared
		}
		out[k] = dose{v, f.by}
		j.pour(h, &b, d, v)
		sum += v
	}
	return out, sum+j.crumb() >= could
}

// otherwise tells whether some hive of y is to get more or less than by the plan
// already out, by more than a handy step, or is left shorter.
func (j *job) otherwise(y int, c *calls, unmet map[string]micro) bool {
	was, is := map[int]micro{}, map[int]micro{}
	for k, v := range j.before[y] {
		was[k.h] += v
	}
	for k := range c.days {
		for _, p := range c.pours[k] {
			is[p.h] += p.v
		}
	}
	for _, h := range j.fed[y] {
		if d := is[h] - was[h]; d > j.step || d < -j.step {
			return true
		}
		if s := &j.hives[h]; s.need-is[h] > unmet[s.Colony]+j.step {
			return true
		}
	}
	return false
}

// rebuild puts the loads of the plan already out together again with new litres.
// A yard that no longer fits its load has changed.
func (s *solution) rebuild(stops func(func(y, load int)), fills []calls, changed []bool) {
	loads := s.p.Before.Loads
	given := map[[2]int]bool{} // yard, day
	trips := make([][][]trip, s.job.days)
	for d := range trips {
		trips[d] = make([][]trip, len(s.trucks))
	}
	byLoad := map[int]*trip{}
	where := map[int][2]int{}
	var order []int
	stops(func(y, load int) {
		l := &loads[load]
		d := int(l.Day - s.p.Start)
		k := slices.IndexFunc(s.trucks, func(t truck) bool { return t.Truck == l.Truck })
		if k < 0 || l.From != "" || l.To != "" {
			changed[y] = true
			return
		}
		i, _ := slices.BinarySearch(fills[y].days, d)
		if given[[2]int{y, d}] || len(fills[y].pours[i]) == 0 {
			return
		}
		pours := fills[y].pours[i]
		tr := byLoad[load]
		if tr == nil {
			tr = &trip{}
			byLoad[load], where[load] = tr, [2]int{d, k}
			order = append(order, load)
		}
		q := sumOf(pours)
		if tr.q+q > s.trucks[k].tank {
			changed[y] = true
			return
		}
		given[[2]int{y, d}] = true
		tr.q += q
		tr.calls = append(tr.calls, call{y: y, pours: pours, q: q})
	})
	for _, l := range order {
		if w := where[l]; len(byLoad[l].calls) > 0 {
			trips[w[0]][w[1]] = append(trips[w[0]][w[1]], *byLoad[l])
		}
	}
	for d := range trips {
		for k := range trips[d] {
			if len(trips[d][k]) == 0 {
				continue
			}
			if !s.set(d, k, trips[d][k]) || !s.fits(d) {
				for _, t := range trips[d][k] {
					for _, c := range t.calls {
						changed[c.y] = true
					}
				}
				s.day(d)[k] = shift{}
			}
		}
	}
	for y := range fills {
		f := fills[y]
		if len(f.days) == 0 {
			continue
		}
		for i, d := range f.days {
			if len(f.pours[i]) > 0 && !given[[2]int{y, d}] {
				changed[y] = true
			}
		}
		s.yards[y] = &f
	}
}

// company gives the yards of free with those that share a load with them.
func (s *solution) company(free []int) []int {
	out := slices.Clone(free)
	for d := range s.days {
		for k := range s.days[d] {
			for i := range s.days[d][k].trips {
				t := &s.days[d][k].trips[i]
				if !slices.ContainsFunc(t.calls, func(c call) bool { return slices.Contains(free, c.y) }) {
					continue
				}
				for _, c := range t.calls {
					if !slices.Contains(out, c.y) {
						out = append(out, c.y)
					}
				}
			}
		}
	}
	slices.Sort(out)
	return out
}
