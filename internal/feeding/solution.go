package feeding

import (
	"cmp"
	"slices"
)

// solution is a whole plan in the making: each truck's day, and what each yard
// gets. Days are shared between solutions until they are changed.
type solution struct {
	*job
	days  [][]shift // by day, then truck
	own   []bool    // days that are this solution's own
	yards []*calls  // by yard
	src   []micro   // taken from each source
	mark  tiers
	opts  []option
}

// tiers are what plans are compared by, in this order, each a whole number.
type tiers struct {
	worth
	time   int64 // of all crews, mixing included, in tenths of a minute; crumbs left count, see short
	dist   int64 // in tenths of a kilometre
	loads  int64
	left   int64 // µL left in feeders after the stop day
	change int64 // fills not as in the plan already out
	late   int64 // litre-days: of plans alike, the one that feeds earlier
	// Not rounded, and compared last.
	exactTime tick
	exactDist int64
}

func (t *tiers) compare(o *tiers) int {
	return cmp.Or(
		t.worth.compare(o.worth),
		cmp.Compare(t.time, o.time),
		cmp.Compare(t.dist, o.dist),
		cmp.Compare(t.loads, o.loads),
		cmp.Compare(t.left, o.left),
		cmp.Compare(t.change, o.change),
		cmp.Compare(t.late, o.late),
		cmp.Compare(t.exactTime, o.exactTime),
		cmp.Compare(t.exactDist, o.exactDist),
	)
}

func (j *job) empty() *solution {
	s := &solution{job: j, days: make([][]shift, j.days), own: make([]bool, j.days), yards: make([]*calls, len(j.yards)), src: make([]micro, len(j.sources))}
	for d := range s.days {
		s.days[d] = make([]shift, len(j.trucks))
		s.own[d] = true
	}
	for y := range s.yards {
		s.yards[y] = j.nothing[y]
	}
	s.weigh()
	return s
}

// none is a yard not visited at all.
func (j *job) none(y int) calls { return j.fillYard(y, nil, nil, nil) }

func (s *solution) clone() *solution {
	c := *s
	c.days = slices.Clone(s.days)
	c.own = make([]bool, len(s.own))
	c.yards = slices.Clone(s.yards)
	c.src = slices.Clone(s.src)
	return &c
}

// day gives a day to be changed.
func (s *solution) day(d int) []shift {
	if !s.own[d] {
		s.own[d] = true
		s.days[d] = slices.Clone(s.days[d])
	}
	return s.days[d]
}

// set makes trips the shift of truck k on day d; false when that cannot be
// driven at all. Working time is checked by fits.
func (s *solution) set(d, k int, trips []trip) bool {
	sh, ok := s.drivenBy(k, d, trips, 0)
	if !ok {
		return false
	}
	for i := range s.days[d][k].trips {
		if t := &s.days[d][k].trips[i]; t.from > 0 {
			s.src[t.from-1-len(s.job.yards)] -= t.q
		}
	}
	for i := range trips {
		if t := &trips[i]; t.from > 0 {
			s.src[t.from-1-len(s.job.yards)] += t.q
		}
	}
	s.day(d)[k] = sh
	return true
}

// remove takes yard y off all its days.
func (s *solution) remove(y int) {
	for _, d := range s.yards[y].days {
		for k := range s.days[d] {
			sh := &s.days[d][k]
			if !slices.ContainsFunc(sh.trips, func(t trip) bool { return t.has(y) }) {
				continue
			}
			var trips []trip
			for _, t := range sh.trips {
				if t.has(y) {
					calls := make([]call, 0, len(t.calls))
					for _, c := range t.calls {
						if c.y != y {
							calls = append(calls, c)
						}
					}
					if len(calls) == 0 {
						continue
					}
					t.calls = calls
					s.tidy(&t, true)
				}
				t.calls = slices.Clone(t.calls)
				trips = append(trips, t)
			}
			s.set(d, k, trips)
		}
	}
	s.yards[y] = s.nothing[y]
}

func (t *trip) has(y int) bool {
	for i := range t.calls {
		if t.calls[i].y == y {
			return true
		}
	}
	return false
}

// fits tells whether the day's loads fit its hours and numbers; mixing apart.
func (s *solution) fits(d int) bool {
	n := 0
	for k := range s.days[d] {
		sh, t := &s.days[d][k], &s.trucks[k]
		n += len(sh.trips)
		if len(sh.trips) > t.loads || sh.time > t.day[d] || s.gated && len(sh.trips) > 0 && sh.end > t.day[d] {
			return false
		}
	}
	return n <= s.allLoads
}

// gatesFit tells whether all days still fit where yards have hours of their own: a
// load may have to wait longer at a gate when a stop before it is taken off.
func (s *solution) gatesFit() bool {
	for d := range s.days {
		if s.gated && !s.fits(d) {
			return false
		}
	}
	return true
}

// weigh works out the mark; false when the syrup cannot be mixed in time.
func (s *solution) weigh() bool {
	var m tiers
	goes, can, mixed, over := s.scratch()
	for d := range s.days {
		goes[d], can[d] = 0, 0
		for k := range s.days[d] {
			sh := &s.days[d][k]
			goes[d] += sh.home
			can[d] += s.mix.canMix(s.trucks[k].mixes[d] - sh.time)
			m.exactTime += sh.time
			m.exactDist += sh.dist
			m.loads += int64(len(sh.trips))
			for i := range sh.trips {
				m.late += int64(d) * int64(sh.trips[i].q) / 1e6
			}
		}
		can[d] = min(can[d], most)
	}
	early := s.job.early
	for d := range early {
		early[d] = most
	}
	s.mix.early = nil
	n, ok := s.mix.fewest(goes, can, mixed, over)
	for tries := 0; ok && !s.inTime(goes, mixed, over, early); tries++ {
		if tries == 3 {
			ok = false
			break
		}
		s.mix.early = early
		n, ok = s.mix.fewest(goes, can, mixed, over)
	}
	s.mix.early = nil
	m.exactTime += tick(n) * s.mix.time
	for y := range s.yards {
		w := &s.yards[y].worth
		m.short += w.short
		m.fair = max(m.fair, w.fair)
		m.dry += w.dry
		m.exactTime += s.yards[y].idle
	}
	if s.p.Before != nil {
		for y := range s.yards {
			m.change += s.changes(y)
		}
	}
	m.time, m.dist = int64(m.exactTime+3000)/6000, (m.exactDist+50)/100
	s.mark = m
	return ok
}

// scratch gives slices by day to work in.
func (s *solution) scratch() (goes, can, mixed, over []micro) {
	w := &s.job.rows
	if w[0] == nil {
		for i := range w {
			w[i] = make([]micro, s.job.days)
		}
		s.job.early = make([]micro, s.job.days)
	}
	return w[0], w[1], w[2], w[3]
}

// changes counts the fills of yard y that differ from the plan already out.
func (s *solution) changes(y int) int64 {
	if c := s.yards[y].change; c > 0 {
		return c - 1
	}
	var n int64
	was := s.before[y]
	left := len(was)
	for i, d := range s.yards[y].days {
		for _, p := range s.yards[y].pours[i] {
			if v, ok := was[fillKey{p.h, d}]; ok {
				left--
				if v-p.v <= s.step && p.v-v <= s.step {
					continue
				}
			}
			n++
		}
	}
	n += int64(left)
	s.yards[y].change = n + 1
	return n
}

// fillKey names a fill: hive and day.
type fillKey struct{ h, d int }

// option is one way to call at a yard on a day: on a load that goes anyway, or
// on a load of its own.
type option struct {
	k, t, pos int
	room      micro // litres
	slack     tick  // working time left to the truck
	drive     tick  // added by the way
	fresh     bool
	from      int
	link      bool
}

// options lists the ways to call at y on day d, the least driving first.
func (s *solution) options(y, d int, out []option) []option {
	out = out[:0]
	n := 0
	for k := range s.trucks {
		n += len(s.days[d][k].trips)
	}
	for k := range s.trucks {
		t, sh := &s.trucks[k], &s.days[d][k]
		slack := t.day[d] - sh.time
		if slack <= 0 {
			continue
		}
		for i := range sh.trips {
			tr := &sh.trips[i]
			if tr.has(y) {
				continue
			}
			room := s.roomIn(tr, t.tank)
			if room <= dust {
				continue
			}
			next := 0
			if i+1 < len(sh.trips) && sh.trips[i+1].link {
				next = sh.trips[i+1].from
			}
			best, pos := longest, 0
			for p := 0; p <= len(tr.calls); p++ {
				a, b := tr.from, next
				if p > 0 {
					a = tr.calls[p-1].y + 1
				}
				if p < len(tr.calls) {
					b = tr.calls[p].y + 1
				}
				if w := s.way(a, y+1, b); w < best {
					best, pos = w, p
				}
			}
			if best < slack {
				out = append(out, option{k: k, t: i, pos: pos, room: room, slack: slack, drive: best})
			}
		}
		if len(sh.trips) >= t.loads || n >= s.allLoads || len(sh.trips) == 0 && s.busy > 8 && s.twinIdle(d, k) {
			continue
		}
		if w := s.way(0, y+1, 0) + t.fill; w < slack {
			out = append(out, option{k: k, t: len(sh.trips), room: t.tank, slack: slack, drive: w, fresh: true})
		}
		for i := range s.sources {
			p := 1 + len(s.job.yards) + i
			room := min(t.tank, s.sources[i].have-s.src[i])
			if room <= dust || d < s.sources[i].from {
				continue
			}
			there, ok := s.roads.drive(0, p)
			if w := there + s.way(p, y+1, 0) + s.fillAt(k, p); ok && w < slack {
				if back, known := s.roads.drive(p, 0); known {
					out = append(out, option{k: k, t: len(sh.trips), room: room, slack: slack, drive: w + back, fresh: true, from: p})
				}
			}
			if n := len(sh.trips); n > 0 {
				last := sh.trips[n-1].calls[len(sh.trips[n-1].calls)-1].y + 1
				a, ok1 := s.roads.drive(last, p)
				b, ok2 := s.roads.drive(p, y+1)
				c, ok3 := s.roads.drive(y+1, 0)
				e, ok4 := s.roads.drive(last, 0)
				if w := a + b + c - e + s.fillAt(k, p); ok1 && ok2 && ok3 && ok4 && w < slack {
					out = append(out, option{k: k, t: n, room: room, slack: slack, drive: w, fresh: true, from: p, link: true})
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b option) int {
		return cmp.Or(cmp.Compare(a.drive, b.drive), cmp.Compare(b.room, a.room))
	})
	return out
}

// twinIdle tells whether a truck just like k, before it, is idle too that day.
func (s *solution) twinIdle(d, k int) bool {
	for i := range k {
		if s.trucks[i].twin == s.trucks[k].twin && len(s.days[d][i].trips) == 0 {
			return true
		}
	}
	return false
}

// roomIn is what a load can still take.
func (s *solution) roomIn(tr *trip, tank micro) micro {
	room := tank - tr.q
	if tr.from > 0 {
		i := tr.from - 1 - len(s.job.yards)
		room = min(room, s.sources[i].have-s.src[i])
	}
	return room
}

// way is the time added by going from a to b by way of y.
func (s *solution) way(a, y, b int) tick {
	x, ok1 := s.roads.drive(a, y)
	z, ok2 := s.roads.drive(y, b)
	if !ok1 || !ok2 {
		return longest
	}
	if a == b {
		return x + z
	}
	w, ok := s.roads.drive(a, b)
	if !ok {
		return longest
	}
	return x + z - w
}

// needs is the time a call takes with an option.
func (j *job) needs(o *option, y, d int, q micro, lids int) tick {
	t := &j.trucks[o.k]
	return o.drive + j.yards[y].setup + tick(lids)*t.lid[d] + pumping(q, t.pump)
}

// cheapest gives the least time for a call of q and lids, and the one or two
// options it takes; longest when there is none.
func (j *job) cheapest(opts []option, y, d int, q micro, lids int) (time tick, one, two int) {
	time, one, two = longest, -1, -1
	var roomiest micro
	for i := range opts {
		o := &opts[i]
		roomiest = max(roomiest, o.room)
		if q > o.room || o.drive >= time {
			continue
		}
		if t := j.needs(o, y, d, q, lids); t <= o.slack && t < time {
			time, one = t, i
		}
	}
	if one >= 0 && !opts[one].fresh || len(opts) == 0 {
		return time, one, two
	}
	// On two loads: what one has room for, and the rest.
	each := q / micro(max(1, lids))
	for i := range opts {
		o := &opts[i]
		if o.fresh || o.room < each || o.room >= q {
			continue
		}
		n := int(o.room / each)
		a := j.needs(o, y, d, each*micro(n), n)
		if a > o.slack || a >= time {
			continue
		}
		for k := range opts {
			if k == i || opts[k].room < q-each*micro(n) {
				continue
			}
			b := j.needs(&opts[k], y, d, q-each*micro(n), lids-n)
			if b > opts[k].slack || opts[k].k == o.k && a+b > o.slack {
				continue
			}
			if a+b < time {
				time, one, two = a+b, i, k
			}
		}
	}
	if one < 0 && q > roomiest && roomiest > 0 {
		// More than any load takes: full tanks there and back.
		for i := range opts {
			if o := &opts[i]; o.fresh && o.room == roomiest {
				n := tick(ceilDiv(q, o.room))
				t := n*(o.drive+j.yards[y].setup) + tick(lids)*j.trucks[o.k].lid[d] + pumping(q, j.trucks[o.k].pump)
				return t, i, -1
			}
		}
	}
	return time, one, two
}

// put adds a call with an option, which must be of this solution as it stands.
func (s *solution) put(y, d int, o *option, pours []pour) bool {
	c := call{y: y, pours: pours}
	for i := range pours {
		c.q += pours[i].v
	}
	sh := &s.days[d][o.k]
	trips := cloneTrips(sh.trips)
	if o.fresh {
		trips = append(trips, trip{calls: []call{c}, from: o.from, link: o.link})
	} else {
		tr := &trips[o.t]
		tr.calls = slices.Insert(tr.calls, o.pos, c)
		s.tidy(tr, o.t == len(trips)-1 || !trips[o.t+1].link)
	}
	return s.set(d, o.k, trips)
}

// place adds what yard y gets on day d in the cheapest way; false when the day
// has no room for it.
func (s *solution) place(y, d int, pours []pour) bool {
	for range 50 {
		if len(pours) == 0 {
			return true
		}
		var q micro
		for i := range pours {
			q += pours[i].v
		}
		s.opts = s.options(y, d, s.opts)
		_, one, two := s.cheapest(s.opts, y, d, q, len(pours))
		if one < 0 {
			// No load and no crew takes it all: the one that takes most, then on.
			var top micro
			for i := range s.opts {
				p := &s.opts[i]
				t := p.slack - p.drive - s.job.yards[y].setup
				if v := min(p.room, pumped(t, s.trucks[p.k].pump)); v > top {
					one, two, top = i, i, v
				}
			}
			if one < 0 {
				return false
			}
		}
		o := s.opts[one]
		n := len(pours)
		if two >= 0 || o.room < q {
			n = s.prefix(pours, o.room)
			for n > 0 && s.needs(&o, y, d, sumOf(pours[:n]), n) > o.slack {
				n--
			}
		}
		if n == 0 || !s.put(y, d, &o, pours[:n:n]) {
			return false
		}
		pours = pours[n:]
	}
	return false
}

func sumOf(pours []pour) (q micro) {
	for i := range pours {
		q += pours[i].v
	}
	return q
}

// give makes c what yard y gets; false, with the solution spoilt, when there is
// no room for it.
func (s *solution) give(y int, c calls) bool {
	for i, d := range c.days {
		if !s.place(y, d, c.pours[i]) || !s.fits(d) {
			return false
		}
	}
	s.yards[y] = &c
	return true
}
