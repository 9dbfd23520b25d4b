package feeding

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
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
		if c.mark.compare(&round.mark) < 0 {
			if c.mark.worth != round.mark.worth || c.mark.time < round.mark.time || c.mark.dist < round.mark.dist {
				last = it
			}
			round = c
		}
		if c.mark.compare(&s.best.mark) < 0 {
			if c.mark.worth != s.best.mark.worth || c.mark.time < s.best.mark.time || c.mark.dist < s.best.mark.dist {
				idle = 0
			}
			s.best = c
			s.found = &c.mark
		}
		if (it-begun)%400 == 399 {
			s.now = round
		}
		took = it + 1
	}
	return took
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

// pick takes some yards that have to do with one another off the plan and gives
// them in the order in which to put them back.
func (s *searcher) pick() []int {
	n := len(s.list)
	most := min(n, 3+n/40, 8)
	if n <= 5 {
		most = n
	}
	k := 1 + s.rng.IntN(most)
	first := s.list[s.rng.IntN(n)]
	var out []int
	if s.now.mark.short > 0 && n > 5 && s.rng.IntN(2) == 0 {
		if out = s.inTheWay(k); out != nil {
			return out
		}
	}
	switch s.rng.IntN(4) {
	case 0: // those nearest to one
		out = s.nearest(first, k)
	case 1: // those on the same load or day
		out = s.together(first, k)
	case 2: // anyhow
		for _, i := range s.rng.Perm(n)[:k] {
			out = append(out, s.list[i])
		}
	default: // one load as a whole, a poor one more likely
		out = s.onLoad(k)
	}
	s.rng.Shuffle(len(out), func(i, k int) { out[i], out[k] = out[k], out[i] })
	return out
}

// inTheWay gives a yard that is short for want of room, and some that take the
// room it would need: on days of a calendar that would serve it.
func (s *searcher) inTheWay(k int) []int {
	var short []int
	for _, y := range s.list {
		if s.now.yards[y].worth.short > s.leastShort(y) {
			short = append(short, y)
		}
	}
	if len(short) == 0 {
		return nil
	}
	y := short[s.rng.IntN(len(short))]
	out := []int{y}
	full := s.choices(y).full
	if len(full) == 0 {
		return out
	}
	days := full[s.rng.IntN(len(full))].days
	for range k {
		d := days[s.rng.IntN(len(days))]
		t := s.rng.IntN(len(s.trucks))
		trips := s.now.days[d][t].trips
		if len(trips) == 0 {
			continue
		}
		calls := trips[s.rng.IntN(len(trips))].calls
		if o := calls[s.rng.IntN(len(calls))].y; !slices.Contains(out, o) {
			out = append(out, o)
		}
	}
	return out
}

// nearest gives k yards near y, itself first, with some chance in it.
func (s *searcher) nearest(y, k int) []int {
	if s.near == nil {
		s.near = make([][]int, len(s.yards))
	}
	if s.near[y] == nil {
		l := slices.Clone(s.list)
		slices.SortStableFunc(l, func(a, b int) int {
			return int(min(1, max(-1, s.apart(y, a)-s.apart(y, b))))
		})
		s.near[y] = l[:min(len(l), 24)]
	}
	out := []int{y}
	for _, o := range s.near[y] {
		if len(out) >= k {
			break
		}
		if o != y && s.rng.IntN(3) > 0 {
			out = append(out, o)
		}
	}
	return out
}

func (s *searcher) apart(a, b int) tick {
	if a == b {
		return -1
	}
	if t, ok := s.roads.drive(a+1, b+1); ok {
		return t
	}
	return longest
}

// together gives y and yards called at on one of its days.
func (s *searcher) together(y, k int) []int {
	out := []int{y}
	days := s.now.yards[y].days
	if len(days) == 0 {
		return out
	}
	d := days[s.rng.IntN(len(days))]
	var with []int
	for t := range s.now.days[d] {
		for i := range s.now.days[d][t].trips {
			for _, c := range s.now.days[d][t].trips[i].calls {
				if c.y != y && !slices.Contains(with, c.y) {
					with = append(with, c.y)
				}
			}
		}
	}
	s.rng.Shuffle(len(with), func(i, k int) { with[i], with[k] = with[k], with[i] })
	return append(out, with[:min(len(with), k-1)]...)
}

// onLoad gives the yards of the emptier of two loads drawn, k at most.
func (s *searcher) onLoad(k int) []int {
	var at [][3]int
	for d := range s.now.days {
		for t := range s.now.days[d] {
			for i := range s.now.days[d][t].trips {
				at = append(at, [3]int{d, t, i})
			}
		}
	}
	if len(at) == 0 {
		return []int{s.list[s.rng.IntN(len(s.list))]}
	}
	get := func() *trip {
		a := at[s.rng.IntN(len(at))]
		return &s.now.days[a[0]][a[1]].trips[a[2]]
	}
	a, b := get(), get()
	if b.q < a.q {
		a = b
	}
	var out []int
	for i := range a.calls {
		if y := a.calls[i].y; !slices.Contains(out, y) {
			out = append(out, y)
		}
	}
	s.rng.Shuffle(len(out), func(i, k int) { out[i], out[k] = out[k], out[i] })
	// A load of many yards is too much at once.
	return out[:min(len(out), max(k, 3))]
}

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
