package feeding

import (
	"cmp"
	"math/bits"
	"slices"
)

// The litres of one yard for given visit days.
//
// Topping up at every visit brings in all that the days allow, since taking
// earlier is never worse. It also lifts more lids than need be. So for every
// hive the fewest of the visits are chosen that bring in as much as all of them
// would: hives do not touch one another, so this is exact hive by hive. A hive
// that can do with one fill of two visits leaves open on which; that freedom is
// used where a tank or the day is too small for all.

// most visits for which all choices of a hive's visits are gone through.
const mostVisits = 6

// along tops hive h up on those of days that set names and gives the sum.
func (j *job) along(h int, b bees, days []int, set uint) (sum micro) {
	for i, d := range days {
		if set>>i&1 == 0 {
			continue
		}
		if f := j.topUp(h, &b, d); f.v > 0 {
			j.pour(h, &b, d, f.v)
			sum += f.v
		}
	}
	return sum
}

// choose gives the fewest of the days on which hive h is to be filled so that
// it gets as much as with all of them, the earliest of those, and how much that
// is. A hive whose feeder must never run empty is filled on all of them.
func (j *job) choose(h int, b bees, days []int) (set uint, sum micro) {
	n := len(days)
	if n == 0 || b.left <= dust {
		return 0, 0
	}
	all := uint(1)<<n - 1
	if n > mostVisits {
		return j.byRule(h, b, days)
	}
	sum = j.along(h, b, days, all)
	if sum <= dust {
		return 0, 0
	}
	if j.hives[h].Never {
		return all, sum
	}
	least := max(1, ceilDiv(sum-dust, j.hives[h].feeder))
	for k := least; k < n; k++ {
		for s := uint(1); s <= all; s++ {
			if bits.OnesCount(s) != k {
				continue
			}
			if v := j.along(h, b, days, s); v+dust >= sum {
				return s, v
			}
		}
	}
	return all, sum
}

// byRule is choose for many days: a small top-up waits if nothing is lost.
func (j *job) byRule(h int, b bees, days []int) (set uint, sum micro) {
	for i, d := range days {
		f := j.visit(h, &b, d, days[i+1:])
		if f.v > 0 {
			j.pour(h, &b, d, f.v)
			sum += f.v
			set |= 1 << i
		}
	}
	return set, sum
}

// worth of a yard's fills, apart from what they cost.
type worth struct {
	short int64 // µL short of the goals, times weight
	fair  int64 // largest shortage, in thousandths of the need
	dry   int64 // days on which a feeder stands empty that never should
}

func (w worth) less(o worth) bool { return w.compare(o) < 0 }

func (w worth) compare(o worth) int {
	return cmp.Or(cmp.Compare(w.short, o.short), cmp.Compare(w.fair, o.fair), cmp.Compare(w.dry, o.dry))
}

// calls of a yard: on each day what goes into which hive.
type calls struct {
	days  []int
	pours [][]pour
	worth worth
	cap   bool // some day was too small for what would have been given
	// change counts fills not as in the plan already out, plus one; 0 = not counted.
	change int64
	idle   tick // time counted for crumbs left, see short
}

// crumb is the shortage that asks for no visit. Needs are rounded up to the handy
// step, so a lack of a step or less may be the rounding alone, and no heft tells
// it. It is listed all the same.
func (j *job) crumb() micro { return max(dust, j.step+measured) }

// short counts what hive h is short of when it was given v. A crumb counts as
// nothing but the time it would take beside the other hives, and a blink: so no
// visit is made for it, and none is spared by leaving it out of a fill.
func (c *calls) short(j *job, h int, v micro) {
	s, w := &j.hives[h], &c.worth
	lack := s.goal - v
	if lack > dust && lack <= j.crumb() {
		c.idle += ticks(j.rig.PerHive) + pumping(lack, j.pump) + 100
		return
	}
	if lack > dust {
		w.short += int64(lack) * s.weight
		w.fair = max(w.fair, int64(lack)*1000/int64(max(1, nearest(s.Need))))
	}
}

// dry counts the days from the first fill on which the feeder of h runs empty
// before its need is served. fills are by day.
func (j *job) dry(h int, days []int, v []micro) (n int64) {
	s := &j.hives[h]
	b, first := j.start(h), -1
	end := j.yards[s.yard].end
	for i, d := range days {
		if v[i] == 0 {
			continue
		}
		if first >= 0 {
			n += j.emptyDays(h, &b, d)
		}
		first = d
		j.pour(h, &b, d, v[i])
	}
	if first >= 0 && s.goal-(s.want-b.left) > j.crumb() {
		n += j.emptyDays(h, &b, end)
	}
	return n
}

// emptyDays counts the days before day d on which h would have taken more than
// there was.
func (j *job) emptyDays(h int, b *bees, d int) (n int64) {
	for x := b.at; x < d; x++ {
		if took := j.uptake(h, b.at, x+1); took > b.in && j.uptake(h, x, x+1) > 0 {
			n++
		}
	}
	return n
}

// limit is what one visit can do: litres, and time at the lids with a truck.
type limit struct {
	q    micro
	t    tick
	k, d int
}

// fillYard gives what yard y's hives get when it is visited on days. lim, where
// not nil, tells what visit i can do, asked in order and told then what it did.
func (j *job) fillYard(y int, days []int, lim func(i int) limit, did func(i int, q micro)) calls {
	c := calls{days: days, pours: make([][]pour, len(days))}
	hs := j.fed[y]
	st := make([]bees, len(hs))
	for i, h := range hs {
		st[i] = j.start(h)
	}
	if lim == nil {
		for i, h := range hs {
			set, many := ^uint(0), len(days) > mostVisits
			if !many {
				set, _ = j.choose(h, st[i], days)
			}
			for k, d := range days {
				if many {
					if f := j.visit(h, &st[i], d, days[k+1:]); f.v > 0 {
						j.pour(h, &st[i], d, f.v)
						c.pours[k] = append(c.pours[k], pour{h, f})
					}
					continue
				}
				if set>>k&1 == 1 {
					if f := j.topUp(h, &st[i], d); f.v > 0 {
						j.pour(h, &st[i], d, f.v)
						c.pours[k] = append(c.pours[k], pour{h, f})
					}
				}
			}
		}
	} else {
		for k, d := range days {
			c.pours[k] = j.fillVisit(hs, st, days[k:], lim(k), &c.cap)
			var q micro
			for _, p := range c.pours[k] {
				q += p.v
			}
			for i, h := range hs {
				for _, p := range c.pours[k] {
					if p.h == h {
						j.pour(h, &st[i], d, p.v)
					}
				}
			}
			did(k, q)
		}
	}
	for i, h := range hs {
		c.short(j, h, j.hives[h].want-st[i].left)
		if j.hives[h].Never {
			v := make([]micro, len(days))
			for k := range days {
				for _, p := range c.pours[k] {
					if p.h == h {
						v[k] = p.v
					}
				}
			}
			c.worth.dry += j.dry(h, days, v)
		}
	}
	return c
}

// fillVisit gives the fills of the first of days within what it can do: first
// those who would lose most by waiting, for the time they take; then those who
// can wait, the largest first, so that the tank is used.
func (j *job) fillVisit(hs []int, st []bees, days []int, l limit, capped *bool) []pour {
	var offers []part
	t := &j.trucks[l.k]
	var q micro
	var need tick
	for i, h := range hs {
		set, sum := j.choose(h, st[i], days)
		if set&1 == 0 {
			continue
		}
		f := j.topUp(h, &st[i], days[0])
		if f.v == 0 {
			continue
		}
		o := part{pour: pour{h, f}, at: i, spent: t.lid[l.d] + pumping(f.v, t.pump)}
		_, later := j.choose(h, st[i], days[1:])
		if loss := sum - later; loss > dust {
			o.loss = int64(loss) * j.hives[h].weight
		}
		q, need = q+f.v, need+o.spent
		offers = append(offers, o)
	}
	if q > l.q && need <= l.t {
		// The tank is what is too small: those filled again anyway take less now,
		// as long as nothing is lost by it.
		var least micro
		for i := range offers {
			o := &offers[i]
			o.least = j.leastNow(o.h, st[o.at], days, o.v, o.loss)
			least += o.least
		}
		if least <= l.q {
			*capped = true
			return j.within(offers, l)
		}
	}
	if q > l.q || need > l.t {
		*capped = true
		slices.SortStableFunc(offers, func(a, b part) int {
			if a.loss == 0 && b.loss == 0 {
				return cmp.Compare(b.v, a.v)
			}
			// loss per millisecond, and per litre where litres are what is short
			if q > l.q && need <= l.t {
				return cmp.Compare(float64(b.loss)/float64(b.v), float64(a.loss)/float64(a.v))
			}
			return cmp.Compare(float64(b.loss)/float64(b.spent), float64(a.loss)/float64(a.spent))
		})
		keep := offers[:0]
		for _, o := range offers {
			if o.v > l.q || o.spent > l.t {
				// A part of it, where some of it would be lost.
				v := steps(min(o.v, l.q, pumped(l.t-t.lid[l.d], t.pump)), j.step)
				if o.loss == 0 || v <= dust || v >= o.v {
					continue
				}
				o.v, o.by = v, tankBound
				o.spent = t.lid[l.d] + pumping(v, t.pump)
			}
			l.q -= o.v
			l.t -= o.spent
			keep = append(keep, o)
		}
		offers = keep
		slices.SortFunc(offers, func(a, b part) int { return cmp.Compare(a.h, b.h) })
	}
	out := make([]pour, len(offers))
	for i := range offers {
		out[i] = offers[i].pour
	}
	return out
}

// part is what one hive could get on a visit.
type part struct {
	pour
	at    int   // among the hives of the yard
	loss  int64 // weighted litres lost for good if it gets nothing now
	spent tick
	least micro // now, so that nothing is lost
}

// leastNow gives the least that h may be given on the first of days, of v, so
// that the rounds that follow still bring in as much; 0 when it can wait.
func (j *job) leastNow(h int, b bees, days []int, v micro, loss int64) micro {
	if loss == 0 {
		return 0
	}
	after := func(x micro) micro {
		st := b
		j.pour(h, &st, days[0], x)
		return x + j.along(h, st, days[1:], uint(1)<<(len(days)-1)-1)
	}
	all := after(v)
	// What comes after falls by no more than what is given more now, so the least
	// is found by halves.
	lo, hi := micro(0), v
	for hi-lo > dust {
		mid := (lo + hi) / 2
		if after(mid)+dust/2 >= all {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}

// within gives each part its least and spreads what room is left: first to those
// that get some anyway, then to those that can wait, the largest first.
func (j *job) within(parts []part, l limit) []pour {
	room := l.q
	for i := range parts {
		room -= parts[i].least
	}
	out := make([]pour, 0, len(parts))
	for i := range parts {
		o := &parts[i]
		if o.least == 0 {
			continue
		}
		more := min(o.v-o.least, room)
		if more < o.v-o.least {
			o.by = shared
		}
		room -= more
		out = append(out, pour{o.h, dose{o.least + more, o.by}})
	}
	var wait []part
	for i := range parts {
		if parts[i].least == 0 {
			wait = append(wait, parts[i])
		}
	}
	slices.SortStableFunc(wait, func(a, b part) int { return cmp.Compare(b.v, a.v) })
	for i := range wait {
		if o := &wait[i]; o.v <= room {
			room -= o.v
			out = append(out, o.pour)
		}
	}
	slices.SortFunc(out, func(a, b pour) int { return cmp.Compare(a.h, b.h) })
	return out
}

// pumped gives the litres that go through the nozzle in t.
func pumped(t tick, pump float64) micro {
	if t <= 0 {
		return 0
	}
	return micro(min(float64(t)*pump, float64(most)))
}
