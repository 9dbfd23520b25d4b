package feeding

import (
	"cmp"
	"slices"
)

// The litres of a set of loads (see byLoads), for all yards at once.

// early moves litres of the plan found last to earlier days, as far as feeders,
// tanks, hours and stock let them; no lid is lifted more. nil when the hours or
// the mixing do not allow it after all.
func (t *byLoad) early() *solution {
	f := &t.net
	lids := make([]int, len(t.days))
	for _, p := range t.doses {
		if f.carries(p.e) == 0 {
			f.room[p.e] = 0
		} else {
			lids[t.on[p.load]]++
		}
	}
	var goes, room [byLoadDays]micro
	tr := &t.trucks[0]
	for n, day := range t.days {
		goes[n] = f.carries(t.gates[n])
		room[n] = max(0, pumped(tr.day[day]-t.rowUse[n]-tick(lids[n])*tr.lid[day], tr.pump)-goes[n])
		f.room[t.gates[n]], f.room[t.gates[n]^1] = 0, 0
	}
	for e := len(t.days) - 1; e > 0; e-- {
		for d := 0; d < e && goes[e] > 0; d++ {
			most := min(goes[e], room[d])
			if most == 0 {
				continue
			}
			// What is in the house on day e is driven out on day d.
			most = f.send(t.houses[e], t.houses[d], most)
			v := f.send(1+d, 1+e, most)
			f.send(t.houses[d], t.houses[e], most-v)
			goes[d], room[d] = goes[d]+v, room[d]-v
			goes[e], room[e] = goes[e]-v, room[e]+v
		}
	}
	t.flows++
	s, over := t.made()
	if s == nil || over >= 0 || !s.weigh() {
		return nil
	}
	return s
}

// litres decides what each hive gets of the loads as they are set on days, with
// lids down to least, and gives the plan; nil where there is none, or, when all
// are to get what they are to get, not for all.
func (t *byLoad) litres(least int, all bool) *solution {
	tr := &t.trucks[0]
	// What goes out and what is mixed on a day depends on the time the day's
	// fills leave, which depends on the fills: at first no lid is counted.
	caps, can := make([]micro, len(t.days)), make([]micro, t.job.days)
	for d := range can {
		can[d] = t.mix.canMix(tr.mixes[d])
	}
	for d, day := range t.days {
		caps[d] = pumped(tr.day[day]-t.rowUse[d], tr.pump)
		can[day] = t.mix.canMix(tr.mixes[day] - t.rowUse[d])
	}
	for range 4 {
		if !t.pipes(caps, can) && all {
			return nil
		}
		t.fewer(least)
		t.flows++
		s, over := t.made()
		switch {
		case s == nil:
			return nil
		case over >= 0:
			caps[over] = t.less(over)
		case s.weigh():
			return s
		default:
			again := false
			for d := range can {
				if c := t.mix.canMix(tr.mixes[d] - s.days[d][0].time); c < can[d] {
					can[d], again = c, true
				}
			}
			if !again {
				return nil
			}
		}
	}
	return nil
}

// less is what can go out on a day of t.days with as many lids as are lifted
// now, and no more than goes now.
func (t *byLoad) less(d int) micro {
	n := 0
	var q micro
	for _, p := range t.doses {
		if v := t.net.carries(p.e); v > 0 && t.on[p.load] == d {
			n++
			q += v
		}
	}
	tr, day := &t.trucks[0], t.days[d]
	return max(0, min(q-1, pumped(tr.day[day]-t.rowUse[d]-tick(n)*tr.lid[day], tr.pump)))
}

// pipes builds the network of the loads and sends the syrup; false when somebody
// does not get what he is to get.
func (t *byLoad) pipes(caps, can []micro) bool {
	f := &t.net
	const source = 0
	f.reset(1 + len(t.days) + len(t.loads))
	night, house := -1, 0
	for d, n := 0, 0; d < t.job.days; d++ {
		house = f.node() // the store on that day
		f.pipe(source, house, can[d])
		if night < 0 {
			f.pipe(source, house, t.mix.hand)
		} else {
			f.pipe(night, house, max(t.mix.store, t.mix.hand))
		}
		if n < len(t.days) && t.days[n] == d {
			t.gates[n], t.houses[n] = f.pipe(house, 1+n, caps[n]), house
			n++
		}
		night = house
	}
	loadAt := func(k int) int { return 1 + len(t.days) + k }
	for k, d := range t.on {
		f.pipe(1+d, loadAt(k), t.trucks[0].tank)
	}
	t.doses = t.doses[:0]
	t.mouths = t.mouths[:0]
	for i, y := range t.list {
		days := 0
		for k, set := range t.loads {
			days |= (set >> i & 1) << t.on[k]
		}
		end := t.job.yards[y].end
		for _, h := range t.fed[y] {
			if t.aim[h] <= dust {
				continue
			}
			x := &t.hives[h]
			eaten := f.node()
			t.mouths = append(t.mouths, mouth{h, eaten})
			inside := func(d int) micro { return max(0, x.inside-t.uptake(h, 0, d)) }
			before := -1
			for n := range t.days {
				if days>>n&1 == 0 || t.days[n] >= end {
					continue
				}
				d, until := t.days[n], end
				for m := n + 1; m < len(t.days); m++ {
					if days>>m&1 == 1 && t.days[m] < end {
						until = t.days[m]
						break
					}
				}
				in, full := f.node(), f.node()
				f.pipe(in, full, max(0, x.feeder-inside(d)))
				f.pipe(full, eaten, max(0, t.uptake(h, d, until)-(inside(d)-inside(until))))
				if before >= 0 {
					f.pipe(before, in, most)
				}
				before = full
				for k, set := range t.loads {
					if set>>i&1 == 1 && t.on[k] == n {
						t.doses = append(t.doses, pipeTo{k, h, f.pipe(loadAt(k), in, t.trucks[0].tank)})
					}
				}
			}
		}
	}
	// Whoever counts most is served first: what he got he keeps, since sending to
	// the next only moves it between loads.
	slices.SortStableFunc(t.mouths, func(a, b mouth) int { return cmp.Compare(t.hives[b.h].weight, t.hives[a.h].weight) })
	all := true
	for _, m := range t.mouths {
		all = f.send(source, m.node, t.aim[m.h]) == t.aim[m.h] && all
	}
	return all
}

// fewer shuts lids that need not be lifted, the smallest fills first, until no
// more than least are left.
func (t *byLoad) fewer(least int) {
	f := &t.net
	open := slices.Clone(t.doses)
	slices.SortStableFunc(open, func(a, b pipeTo) int { return cmp.Compare(f.carries(a.e), f.carries(b.e)) })
	n := len(open)
	for _, p := range open {
		if n <= least {
			return
		}
		if f.shut(p.e, &t.old) {
			n--
		}
	}
}

// made makes a solution of the litres; over is a day with more work than hours,
// -1 where there is none. nil when a hive would be filled twice a day.
func (t *byLoad) made() (s *solution, over int) {
	s = t.empty()
	st := make([]bees, len(t.hives))
	for h := range st {
		st[h] = t.start(h)
	}
	fills := make([]calls, len(t.job.yards))
	for n, d := range t.days {
		var trips []trip
		filled := map[int]bool{}
		for k, on := range t.on {
			if on != n {
				continue
			}
			var tr trip
			for _, y := range t.rounds[t.loads[k]].order {
				var pours []pour
				for _, p := range t.doses {
					if p.load != k || t.hives[p.h].yard != y {
						continue
					}
					v := t.net.carries(p.e)
					if v == 0 {
						continue
					}
					if filled[p.h] {
						return nil, -1
					}
					filled[p.h] = true
					f, _ := t.room(p.h, &st[p.h], d)
					switch {
					case v > f.v+dust/100:
						return nil, -1
					case st[p.h].left-v <= dust:
						f.by = endsNeed
					case f.v-v > dust:
						f.by = shared
					}
					f.v = min(v, f.v)
					t.pour(p.h, &st[p.h], d, f.v)
					pours = append(pours, pour{p.h, f})
				}
				if len(pours) == 0 {
					continue
				}
				slices.SortFunc(pours, func(a, b pour) int { return cmp.Compare(a.h, b.h) })
				tr.calls = append(tr.calls, t.makeCall(y, pours))
				c := &fills[y]
				if m := len(c.days); m == 0 || c.days[m-1] != d {
					c.days, c.pours = append(c.days, d), append(c.pours, nil)
				}
				c.pours[len(c.pours)-1] = append(c.pours[len(c.pours)-1], pours...)
			}
			if len(tr.calls) > 0 {
				trips = append(trips, tr)
			}
		}
		if len(trips) == 0 {
			continue
		}
		if !s.set(d, 0, trips) {
			return nil, -1
		}
		if !s.fits(d) {
			return s, n
		}
	}
	for _, y := range t.list {
		c := &fills[y]
		for k := range c.pours {
			slices.SortFunc(c.pours[k], func(a, b pour) int { return cmp.Compare(a.h, b.h) })
		}
		t.weighCalls(y, c)
		s.yards[y] = c
	}
	return s, -1
}
