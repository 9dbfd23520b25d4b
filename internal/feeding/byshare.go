package feeding

import (
	"math/rand/v2"
	"slices"
)

// Where not everybody can be fed, hours are short, and which loads go out when is
// no longer a matter of least time. Then the loads of the best plan are changed a
// little at random, litres decided anew, and what is not much worse is gone on
// from (record to record: Dueck, J. Computational Physics 104 (1993), 86-92; from
// memory).

const sharesTried = 1500 // changes tried

// layout is loads, each the set of yards it calls at, with their days.
type layout struct{ loads, on []int }

func (l layout) clone() layout { return layout{slices.Clone(l.loads), slices.Clone(l.on)} }

// layoutOf gives the loads of a solution.
func (t *byLoad) layoutOf(s *solution) (l layout) {
	for n, d := range t.days {
		for _, tr := range s.days[d][0].trips {
			set := 0
			for i, y := range t.list {
				if tr.has(y) {
					set |= 1 << i
				}
			}
			l.loads, l.on = append(l.loads, set), append(l.on, n)
		}
	}
	return l
}

// share looks for a plan that leaves less short.
func (t *byLoad) share() {
	rng := rand.New(rand.NewPCG(t.p.Seed, 0x6c61726465720002))
	now, mark := t.layoutOf(t.best), t.best.mark
	first := t.net.work
	for n := range sharesTried {
		if t.net.work-first > byLoadWork {
			return
		}
		x := now.clone()
		for range 1 + rng.IntN(3) {
			t.change(&x, rng)
		}
		if !t.lay(x) {
			continue
		}
		s := t.litres(0, false)
		if s == nil {
			continue
		}
		if t.take(s); t.best.mark.short == 0 {
			return
		}
		give := 0.3 * (1 - float64(n)/sharesTried)
		if s.mark.compare(&mark) <= 0 || float64(s.mark.short) <= float64(t.best.mark.short)*(1+give) {
			now, mark = t.layoutOf(s), s.mark
		}
		if n%300 == 299 {
			now, mark = t.layoutOf(t.best), t.best.mark
		}
	}
}

// change changes one thing about a layout.
func (t *byLoad) change(x *layout, rng *rand.Rand) {
	n := len(x.loads)
	yard := 1 << rng.IntN(len(t.list))
	if n == 0 || rng.IntN(6) == 0 {
		x.loads, x.on = append(x.loads, yard), append(x.on, rng.IntN(len(t.days)))
		return
	}
	k := rng.IntN(n)
	switch rng.IntN(4) {
	case 0: // call at one yard more, or less
		x.loads[k] ^= yard
	case 1: // another day
		x.on[k] = rng.IntN(len(t.days))
	case 2: // a yard goes to another load
		o := rng.IntN(n)
		if x.loads[k]&yard != 0 && o != k {
			x.loads[k] &^= yard
			x.loads[o] |= yard
		} else {
			x.loads[k] |= yard
		}
	default: // two loads in one
		if o := rng.IntN(n); o != k && rng.IntN(3) == 0 {
			x.loads[o] |= x.loads[k]
			x.loads[k] = 0
		} else {
			x.loads[k] ^= yard
		}
	}
}

// lay sets the loads of x on their days; false when they cannot go out so.
func (t *byLoad) lay(x layout) bool {
	t.loads, t.on = t.loads[:0:0], t.on[:0:0]
	clear(t.rowUse)
	count := make([]int, len(t.days))
	for k, set := range x.loads {
		d := x.on[k]
		set &= t.open[d]
		if set == 0 {
			continue
		}
		count[d]++
		if t.rowUse[d] += t.rounds[set].time; t.rounds[set].time >= longest || t.rowUse[d] > t.trucks[0].day[t.days[d]] || count[d] > t.trucks[0].loads || count[d] > t.allLoads {
			return false
		}
		t.loads, t.on = append(t.loads, set), append(t.on, d)
	}
	return len(t.loads) > 0
}
