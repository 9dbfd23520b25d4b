package feeding

import (
	"math"
	"slices"

	"larder/internal/units"
)

// Doses a person can pour
//
// Where two yards share a tank their litres come out as the tank has them, 2.2
// quarts here and 1.3 there. Nobody pours 2.2 quarts. So, when the plan stands,
// the fills of each hive are set to whole handy steps, with as much in all as
// before: what is taken off one visit is given on another. Days, loads and stops
// stay as they are. No rule is bent for it: where feeder, tank, hours or the days
// left allow no handy fills, the last of them is odd; and where the hive is left
// short anyway by more than a heft can tell, it may be left short by less than a
// step more.
//
// An empty feeder filled to the brim is handy whatever it holds.

// measured is how far from a whole step a fill may lie and still be one: what no
// jug shows.
const measured = micro(1000)

// handiest is the most fills of a hive for which all ways are gone through.
const handiest = 6

// whole tells whether v is whole handy steps.
func (j *job) whole(v micro) bool {
	n := math.Round(float64(v) / j.stepL)
	return n >= 1 && math.Abs(float64(v)-n*j.stepL) <= float64(measured)
}

// down and up are the whole steps next to v.
func (j *job) down(v micro) micro {
	return micro(math.Round(math.Floor(float64(v+measured)/j.stepL) * j.stepL))
}
func (j *job) up(v micro) micro {
	return micro(math.Round(math.Ceil(float64(v-measured)/j.stepL) * j.stepL))
}

// pourable tells whether v is a fill that a person can measure out into the
// feeder of h, which holds in: whole steps, or to the brim when it is empty.
func (j *job) pourable(h int, in, v micro) bool {
	brim := j.hives[h].feeder - v
	return j.whole(v) || in <= dust && brim <= measured && brim >= -measured
}

// HandyNeed is a need rounded up to where what is still to be given is whole
// steps: in the feeder there are inFeeder already. A step of 0 rounds nothing.
func HandyNeed(need, inFeeder, step units.Volume) units.Volume {
	return handyAmount(need, inFeeder, step, math.Ceil, -1e-6)
}

// HandyRoom is room in the comb rounded down in the same way.
func HandyRoom(room, inFeeder, step units.Volume) units.Volume {
	return handyAmount(room, inFeeder, step, math.Floor, 1e-6)
}

// printed is how far a feeder's size in litres may be off whole steps and still be
// them: tables round to a centilitre, and 4 US gal are 15.1416 L, not 15.14.
const printed = 1e-3

// HandyFeeder is what a feeder holds, as whole steps where it is that but for
// rounding. A step of 0 rounds nothing.
func HandyFeeder(holds, step units.Volume) units.Volume {
	if !(step > 0) {
		return holds
	}
	whole := step * units.Volume(math.Round(float64(holds/step)))
	if math.Abs(float64(whole-holds)) > printed*float64(holds) {
		return holds
	}
	return whole
}

func handyAmount(v, in, step units.Volume, round func(float64) float64, slip float64) units.Volume {
	if !(step > 0) || !(v > in) {
		return v
	}
	return in + step*units.Volume(round(float64((v-in)/step)+slip))
}

// handy sets the fills to handy steps, as far as it can.
func (s *solution) handy() *solution {
	if s.step <= dust {
		return s
	}
	// What one hive takes less of a load gives room to the next.
	for pass := range 3 {
		better := false
		for y := range s.yards {
			x := s.handyYard(y, pass)
			if x == nil {
				continue
			}
			if x.weigh() && x.gatesFit() && x.drawnFits() {
				s, better = x, true
			}
		}
		if !better {
			break
		}
	}
	s.weigh()
	return s
}

// topped gives what no round is made for where a fill is made anyway and has
// room for it.
func (s *solution) topped() *solution {
	for y := range s.yards {
		var x *solution
		for _, h := range s.fed[y] {
			at := s
			if x != nil {
				at = x
			}
			days, fills := at.fillsTo(y, h)
			to := at.toppedFills(h, days, fills)
			if to == nil {
				continue
			}
			if x == nil {
				x = s.clone()
			}
			if !x.refill(y, h, days, fills, to) {
				x = nil
				break
			}
		}
		if x == nil {
			continue
		}
		c := *x.yards[y]
		x.weighCalls(y, &c)
		x.yards[y] = &c
		if !s.yards[y].worth.less(c.worth) && x.weigh() && x.gatesFit() && x.drawnFits() {
			s = x
		}
	}
	s.weigh()
	return s
}

// toppedFills gives fills with all a hive may still get added to one of them, the
// last that takes it; nil when none does.
func (s *solution) toppedFills(h int, days []int, fills []dose) []dose {
	lack := s.hives[h].want
	for _, f := range fills {
		lack -= f.v
	}
	if lack <= dust || lack > s.crumb() {
		return nil
	}
	for k := len(fills) - 1; k >= 0; k-- {
		if s.grows(s.hives[h].yard, days[k], h) < lack {
			continue
		}
		to := slices.Clone(fills)
		to[k].v += lack
		b, ok := s.start(h), true
		for i, d := range days {
			f, _ := s.room(h, &b, d)
			ok = ok && to[i].v <= f.v
			to[i].by = said(to[i].v, f, b.left, s.step)
			s.pour(h, &b, d, to[i].v)
		}
		if ok {
			return to
		}
	}
	return nil
}

// worked is the crews' time without what is counted for crumbs.
func (s *solution) worked() tick {
	t := s.mark.exactTime
	for y := range s.yards {
		t -= s.yards[y].idle
	}
	return t
}

// handyYard gives the plan with the fills of yard y made handy, nil where there
// is nothing to be done.
func (s *solution) handyYard(y, pass int) *solution {
	var x *solution
	for _, h := range s.fed[y] {
		at := s
		if x != nil {
			at = x
		}
		days, fills := at.fillsTo(y, h)
		if !at.odd(h, days, fills) {
			continue
		}
		to := at.handier(h, days, fills, pass)
		if to == nil {
			continue
		}
		if x == nil {
			x = s.clone()
		}
		if !x.refill(y, h, days, fills, to) {
			return nil
		}
	}
	if x == nil {
		return nil
	}
	c := *x.yards[y]
	x.weighCalls(y, &c)
	if c.worth.dry > s.yards[y].worth.dry {
		return nil
	}
	x.yards[y] = &c
	return x
}

// fillsTo gives the days and fills of one hive.
func (s *solution) fillsTo(y, h int) (days []int, fills []dose) {
	c := s.yards[y]
	for i, d := range c.days {
		if n := slices.IndexFunc(c.pours[i], func(p pour) bool { return p.h == h }); n >= 0 {
			days, fills = append(days, d), append(fills, c.pours[i][n].dose)
		}
	}
	return days, fills
}

// odd tells whether some fill cannot be measured out.
func (s *solution) odd(h int, days []int, fills []dose) bool {
	b := s.start(h)
	for i, d := range days {
		if !s.pourable(h, s.content(h, &b, d), fills[i].v) {
			return true
		}
		s.pour(h, &b, d, fills[i].v)
	}
	return false
}

// pouring is the looking for handy fills of one hive.
type pouring struct {
	*solution
	h     int
	days  []int
	was   []dose
	more  []micro // each fill may grow by
	sum   micro   // of all fills as they were
	full  bool    // they serve all it may get
	pass  int
	now   []dose
	best  []dose
	odds  int // of the best
	lacks micro
	moved micro
}

// handier gives fills in place of those there are, of which fewer are odd; nil
// when there are none.
func (s *solution) handier(h int, days []int, fills []dose, pass int) []dose {
	p := pouring{solution: s, h: h, days: days, was: fills, pass: pass, now: make([]dose, len(fills)), odds: math.MaxInt}
	for i, d := range days {
		p.more = append(p.more, s.grows(s.hives[h].yard, d, h))
		p.sum += fills[i].v
	}
	p.full = s.hives[h].want-p.sum <= dust
	b := s.start(h)
	odds := 0
	for i, d := range days {
		if !s.pourable(h, s.content(h, &b, d), fills[i].v) {
			odds++
		}
		s.pour(h, &b, d, fills[i].v)
	}
	p.look(0, s.start(h), 0, 0, 0)
	if p.best == nil || p.odds >= odds {
		return nil
	}
	return p.best
}

// look goes through the ways from fill i on: was is what was given up to then
// before, odd and moved what there is of it so far.
func (p *pouring) look(i int, b bees, was micro, odds int, moved micro) {
	given := p.hives[p.h].want - b.left
	if i == len(p.days) {
		lacks := max(0, p.sum-given)
		if p.full && p.hives[p.h].want-given > dust || lacks >= p.step {
			return
		}
		// What was short by no more than a heft can tell stays so.
		if all := p.hives[p.h].bound; all-p.sum <= p.crumb() && all-given > p.crumb() {
			return
		}
		if p.best == nil || odds < p.odds || odds == p.odds && (lacks < p.lacks || lacks == p.lacks && moved < p.moved) {
			p.best, p.odds, p.lacks, p.moved = slices.Clone(p.now), odds, lacks, moved
		}
		return
	}
	f, in := p.room(p.h, &b, p.days[i])
	goal := was + p.was[i].v - given // what evens it out
	most := min(f.v, p.was[i].v+p.more[i])
	var buf [4]micro
	tries := append(buf[:0], p.down(goal), p.up(goal))
	if p.pass > 0 {
		tries = append(tries, p.down(most))
	}
	if v := p.was[i].v; p.pourable(p.h, in, v) || i == len(p.days)-1 {
		tries = append(tries, v)
	}
	if i == len(p.days)-1 && p.full {
		tries = append(tries, b.left)
	}
	if len(p.days) > handiest {
		tries = tries[:1]
		if i == len(p.days)-1 && p.full {
			tries[0] = b.left
		}
	}
	for k, v := range tries {
		if v <= dust || v > most || slices.Contains(tries[:k], v) {
			continue
		}
		next := b
		p.now[i] = dose{v, said(v, f, b.left, p.step)}
		o := odds
		if !p.pourable(p.h, in, v) {
			o++
		}
		p.pour(p.h, &next, p.days[i], v)
		apart := given + v - was - p.was[i].v
		p.look(i+1, next, was+p.was[i].v, o, moved+max(apart, -apart))
	}
}

// said is what decided a fill of v, where f is all there is room for.
func said(v micro, f dose, left, step micro) measure {
	switch {
	case left-v <= dust:
		return endsNeed
	case f.v-v < step:
		return f.by
	}
	return shared
}

// grows is by how much the fill of hive h on day d may grow, as far as tank,
// syrup elsewhere and the crew's day go.
func (s *solution) grows(y, d, h int) micro {
	for k := range s.days[d] {
		t := &s.trucks[k]
		for i := range s.days[d][k].trips {
			tr := &s.days[d][k].trips[i]
			for n := range tr.calls {
				if tr.calls[n].y == y && slices.ContainsFunc(tr.calls[n].pours, func(p pour) bool { return p.h == h }) {
					// A millisecond is kept for the rounding of each call.
					return max(0, min(s.roomIn(tr, t.tank), pumped(t.day[d]-s.days[d][k].time-1, t.pump)))
				}
			}
		}
	}
	return 0
}

// refill gives hive h other fills on its days; false, with the solution spoilt,
// when that cannot be driven.
func (s *solution) refill(y, h int, days []int, was, to []dose) bool {
	c := *s.yards[y]
	c.pours = slices.Clone(c.pours)
	for i, d := range days {
		if was[i] == to[i] {
			continue
		}
		if !s.repour(y, d, h, to[i]) || !s.fits(d) {
			return false
		}
		n, _ := slices.BinarySearch(c.days, d)
		c.pours[n] = repoured(c.pours[n], h, to[i])
	}
	s.yards[y] = &c
	return true
}

func repoured(pours []pour, h int, to dose) []pour {
	pours = slices.Clone(pours)
	for i := range pours {
		if pours[i].h == h {
			pours[i].dose = to
		}
	}
	return pours
}

// repour changes the fill of hive h on the load that calls at y on day d.
func (s *solution) repour(y, d, h int, to dose) bool {
	for k := range s.days[d] {
		for i := range s.days[d][k].trips {
			for n := range s.days[d][k].trips[i].calls {
				a := &s.days[d][k].trips[i].calls[n]
				if a.y != y || !slices.ContainsFunc(a.pours, func(p pour) bool { return p.h == h }) {
					continue
				}
				trips := cloneTrips(s.days[d][k].trips)
				a = &trips[i].calls[n]
				a.pours = repoured(a.pours, h, to)
				a.q = sumOf(a.pours)
				return s.set(d, k, trips)
			}
		}
	}
	return false
}
