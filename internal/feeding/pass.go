package feeding

import (
	"cmp"
	"slices"
)

// manner is one way of going through the season; several are tried.
type manner struct {
	fullness float64 // loads emptier than this part of a tank may wait for company
	margin   int     // feedable days before its window closes on which a yard must be visited
	byDate   bool    // who comes next on a day: first to close, else least detour
	ripe     bool    // a truck starts only for a yard whose feeders are mostly empty; others may join
}

// run goes once through the season, day by day, and never looks back: what it
// makes is feasible at every step, so the result needs no repair.
type run struct {
	*job
	how  manner
	st   []bees // by hive
	own  []turn // by yard
	have micro  // most syrup that can be in the house this morning
	goes []micro
	used []tick
	out  []dated
	// short notes which limits turned something away.
	short  struct{ hours, loads, mixing, gates bool }
	strict bool    // those at greatest risk were planned first
	took   int     // steps of the search
	can    []micro // may be mixed by day; nil = as the hours allow
	early  []micro // see mixer
}

// turn is a yard's part of a run.
type turn struct {
	serve []int // hives planned for, walking order
	wait  []int // hives that get what is left over, by rank
	cal   calendar
	stale bool
}

// dated is a load with its day.
type dated struct {
	d int
	trip
	k  int // truck
	to int // place it goes to after the last stop
}

// newRun starts a run. serve says which hives are planned for; nil is all. The
// others are on standby when rank is given: they get what the days leave over,
// lower rank first.
func (j *job) newRun(how manner, serve []bool, rank []int) *run {
	r := &run{job: j, how: how, have: j.mix.hand}
	r.st = make([]bees, len(j.hives))
	r.own = make([]turn, len(j.yards))
	r.goes, r.used = make([]micro, j.days), make([]tick, j.days)
	for h := range j.hives {
		r.st[h] = j.start(h)
		if j.hives[h].want == 0 {
			continue
		}
		o := &r.own[j.hives[h].yard]
		o.stale = true
		switch {
		case serve == nil || serve[h]:
			o.serve = append(o.serve, h)
		case rank != nil:
			o.wait = append(o.wait, h)
		}
	}
	if rank != nil {
		for y := range r.own {
			slices.SortFunc(r.own[y].wait, func(a, b int) int { return cmp.Compare(rank[a], rank[b]) })
		}
	}
	return r
}

// season runs all days.
func (r *run) season() *run {
	for d := range r.days {
		if !r.goOn() {
			break
		}
		t := r.pack(d)
		r.commit(d, &t)
	}
	return r
}

// commit makes the day's loads fact: feeders, clock and stock.
func (r *run) commit(d int, t *today) {
	for _, tr := range t.trips {
		r.out = append(r.out, dated{d: d, trip: tr})
		for _, c := range tr.calls {
			r.own[c.y].stale = true
			for _, p := range c.pours {
				r.pour(p.h, &r.st[p.h], d, p.v)
			}
		}
	}
	r.goes[d], r.used[d] = t.q, t.time
	r.have = r.mix.overnight(r.have, r.mix.canMix(r.day-t.time), t.q)
}

// calendar gives yard y's calendar as of day d, made anew after each visit. One
// whose window has passed unused stays: its yard is overdue.
func (r *run) calendar(y, d int) *calendar {
	o := &r.own[y]
	if o.stale {
		o.stale = false
		st := make([]bees, len(o.serve))
		for i, h := range o.serve {
			st[i] = r.st[h]
		}
		p := r.party(&r.yards[y], o.serve, st, d)
		o.cal = r.visits(&p)
	}
	return &o.cal
}

// pours gives what yard y's hives get on day d.
func (r *run) pours(y, d int) []pour {
	o := &r.own[y]
	rest := o.cal.days[1:]
	for len(rest) > 0 && rest[0] <= d {
		rest = rest[1:]
	}
	out := make([]pour, 0, len(o.serve))
	for _, h := range o.serve {
		if f := r.visit(h, &r.st[h], d, rest); f.v > 0 {
			out = append(out, pour{h, f})
		}
	}
	return out
}

// feedable tells whether a round may be made at y on day d.
func (r *run) feedable(y, d int) bool {
	_, ok := slices.BinarySearch(r.yards[y].feed, d)
	return ok
}

// waits counts the days after d up to late on which y could be visited too.
func (r *run) waits(y, d, late int) int {
	a, _ := slices.BinarySearch(r.yards[y].feed, d+1)
	b, _ := slices.BinarySearch(r.yards[y].feed, late+1)
	return b - a
}

// given is what hive h got in this run.
func (r *run) given(h int) micro { return r.hives[h].want - r.st[h].left }
