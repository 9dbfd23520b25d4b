package feeding

import (
	"math"
	"math/rand/v2"
)

// The search for a better plan
//
// A large-neighbourhood search: take a few yards off all their days and put each
// back with the calendar that suits what the others do, at the true price of
// every call (after Zhao, Archetti, Pham and Vidal, "Large Neighborhood and
// Hybrid Genetic Search for Inventory Routing Problems", arXiv 2506.03172, 2025,
// whose strongest move this is; ruin and recreate after Schrimpf et al., J.
// Computational Physics 159 (2000), 139-171, from memory). Where that study
// prices days within a programme over labels, here the calendars of a yard are
// listed once, with litres and lids (see pool): they do not depend on other
// yards, so a step only adds up prices. Litres are spread anew where a tank or
// a day is too small for what a calendar asks for (see fillVisit).
//
// It stops by the number of steps, never by the clock: the same seed and number
// give the same plan. What it looks for after n steps does not depend on how
// many were to follow, so a search that is stopped can be had again.

// searcher is one search.
type searcher struct {
	*job
	rng       *rand.Rand
	best, now *solution
	list      []int // yards to be visited
	near      [][]int
	day       [][]option // of the yard being put back, by day
	asked     []bool
	tight     bool // mixing has turned something away
	lean      int  // visit of the calendar at hand that is to take little, -1 = none
	leanTo    micro
	spent     int  // work done
	brief     bool // only a few yards are let go
}

// setUp makes what the search works with.
func (j *job) setUp() {
	j.fed = make([][]int, len(j.yards))
	for y := range j.yards {
		for _, h := range j.yards[y].hives {
			if j.hives[h].want > 0 {
				j.fed[y] = append(j.fed[y], h)
			}
		}
		if len(j.fed[y]) > 0 {
			j.busy++
		}
	}
	j.pools = make([]*pool, len(j.yards))
	j.nothing = make([]*calls, len(j.yards))
	for y := range j.yards {
		c := j.none(y)
		j.nothing[y] = &c
	}
	j.readBefore()
}

// readBefore notes the fills of the plan already out, as far as they lie in the
// calendar.
func (j *job) readBefore() {
	if j.p.Before == nil {
		return
	}
	j.before = make([]map[fillKey]micro, len(j.yards))
	at := map[string]int{}
	for h := range j.hives {
		at[j.hives[h].Colony] = h
	}
	for i := range j.p.Before.Loads {
		l := &j.p.Before.Loads[i]
		d := int(l.Day - j.p.Start)
		if d < 0 || d >= j.days {
			continue
		}
		for k := range l.Stops {
			for _, f := range l.Stops[k].Fills {
				h, ok := at[f.Colony]
				if !ok || j.hives[h].want == 0 {
					continue
				}
				y := j.hives[h].yard
				if j.before[y] == nil {
					j.before[y] = map[fillKey]micro{}
				}
				j.before[y][fillKey{h, d}] += nearest(f.Volume)
			}
		}
	}
}

func (j *job) newSearch(start *solution) *searcher {
	s := &searcher{lean: -1, job: j, rng: rand.New(rand.NewPCG(j.p.Seed, 0x6c61726465720001)), best: start, now: start,
		day: make([][]option, j.days), asked: make([]bool, j.days)}
	for y := range j.yards {
		if len(j.fed[y]) > 0 {
			s.list = append(s.list, y)
		}
	}
	return s
}

// steps gives how many steps befit the size, after how many without a better
// plan the search rests, and how much it may work: a yard put in counts one, and
// each further way tried for it.
func (j *job) steps() (most, rest, work int) {
	if n := j.p.Iterations; n > 0 {
		return n, n, math.MaxInt
	}
	switch n := j.busy; {
	case n <= 1:
		return 60, 30, 2000
	case n <= 8:
		return 6000, 400 + 200*n, 90_000
	case n <= 100:
		return 4000, 1200, 25_000
	case n <= 600:
		return 20_000, 4000, 50_000
	}
	return 40_000, 8000, 70_000
}

// run searches on from the start and gives how many steps it took.
func (s *searcher) run() (took int) {
	if len(s.list) == 0 {
		return 0
	}
	most, rest, work := s.steps()
	if s.brief && s.p.Iterations == 0 {
		n := len(s.list)
		most, rest, work = 100+60*n, 60+15*n, 600+100*n
	}
	last, begun := 0, 0
	round, idle := s.best, 0 // the best since the last shaking, and shakings that came to nothing
	s.ahead = s.done + min(most, 1<<20)/16
	s.found = &s.best.mark
	for it := range most {
		if s.spent > work {
			return it
		}
		if it-last >= rest {
			if idle++; idle > s.shakings() {
				return it
			}
			s.now = s.shaken()
			round, last, begun = s.now, it, it
		}
		if it%16 == 0 && !s.goOn() {
			return it
		}
		c := s.now.clone()
		for _, y := range s.pick() {
			s.putBack(c, y)
		}
		if !c.weigh() || !c.gatesFit() {
			took = it + 1
			continue
		}
		// How much worse a plan may be and still be gone on from; less and less.
		give := 0.03 / (1 + float64(it-begun)/(20*float64(len(s.list))+100))
		if s.lets(&c.mark, &round.mark, give) {
			s.now = c
		}
		if c.mark.compare(&round.mark) < 0 { // as whatever is better than the best is
			if c.mark.gains(&round.mark) {
				last = it
			}
			round = c
			if c.mark.compare(&s.best.mark) < 0 {
				if c.mark.gains(&s.best.mark) {
					idle = 0
				}
				s.best, s.found = c, &c.mark
			}
		}
		if (it-begun)%400 == 399 {
			s.now = round
		}
		took = it + 1
	}
	return took
}

// gains tells whether a better plan is so for more than feeding earlier or changing
// less: what makes it worth going on.
func (m *tiers) gains(than *tiers) bool {
	return m.worth != than.worth || m.time < than.time || m.dist < than.dist
}

// shakings is how often the search begins anew from its best plan, much of it put
// in otherwise, before it rests. Fewer yards are gone through by loads afterwards;
// with more it has not come to rest when its steps are up.
func (s *searcher) shakings() int {
	if n := len(s.list); s.brief || n <= byLoadYards || n > 20 {
		return 0
	}
	return 2
}

// shaken gives the best plan with some of its yards put in again, one after the
// other in an order drawn.
func (s *searcher) shaken() *solution {
	n := len(s.list)
	for range 8 {
		c := s.best.clone()
		out := s.rng.Perm(n)[:min(n, 1+n/3+s.rng.IntN(n))]
		for _, i := range out {
			c.remove(s.list[i])
		}
		for _, i := range out {
			s.insert(c, s.list[i])
		}
		if c.weigh() && c.gatesFit() {
			return c
		}
	}
	return s.best
}

// lets tells whether the search may go on from a plan with mark m, where b is the
// best it came to on its way.
func (s *searcher) lets(m, b *tiers, give float64) bool {
	if m.worth != b.worth {
		return m.short <= b.short+int64(give*float64(b.short)) && b.short > 0
	}
	return float64(m.exactTime) <= float64(b.exactTime)*(1+give)
}
