package feeding

import (
	"larder/internal/units"
)

// write turns a run into the Plan people read: amounts in units, and a reason
// on every line.
func (j *job) write(r *run) Plan {
	p := j.p
	pl := Plan{Start: p.Start, Strength: p.Kitchen.Strength, Seed: p.Seed, Iterations: r.took}
	n := make([]int, len(j.hives))
	for i := range r.out {
		pl.Loads = append(pl.Loads, r.writeLoad(i, n))
	}
	if len(pl.Loads) > 0 {
		mixed, ok := r.mixing()
		if !ok {
			// pack admits only loads whose syrup can be mixed, so this is a
			// mistake of the program.
			panic("feeding: loads without syrup")
		}
		pl.Batches = j.writeBatches(mixed)
		whyBatches(pl.Batches, pl.Loads)
	}
	pl.Colonies = r.writeColonies(n)
	pl.Unmet = r.writeUnmet()
	pl.Totals = j.totals(&pl)
	pl.Bounds = r.bounds(n, &pl)
	pl.Bounds.Gap = above(&pl.Totals, &pl.Bounds)
	pl.Reasons = r.writeReasons(&pl)
	return pl
}

// writeLoad writes load i and counts its fills by hive.
func (r *run) writeLoad(i int, fills []int) Load {
	t := &r.out[i]
	l := Load{N: i + 1, Day: r.p.Start + units.Day(t.d), Truck: r.trucks[t.k].Truck, From: r.placeID(t.from), To: r.placeID(t.to), Syrup: t.q.volume(), Time: t.time.duration(), Dist: units.Length(t.dist)}
	if r.gated {
		l.Leave = r.clockAt(t.leave)
	}
	at := t.from
	for k := range t.calls {
		c := &t.calls[k]
		s := Stop{Yard: r.yards[c.y].ID, Dist: units.Length(r.roads.dist[at*r.roads.n+c.y+1]), Time: c.work.duration(), Fills: make([]Fill, len(c.pours))}
		for m, f := range c.pours {
			s.Fills[m] = Fill{Colony: r.hives[f.h].Colony, Volume: f.v.volume(), Why: r.whyFill(f)}
			fills[f.h]++
		}
		l.Stops = append(l.Stops, s)
		at = c.y + 1
	}
	l.Why = r.whyLoad(t)
	return l
}

// placeID names a place other than a yard: "" is home.
func (j *job) placeID(at int) string {
	if at == 0 {
		return ""
	}
	return j.sources[at-1-len(j.yards)].Place
}

// whyFill says what decided the amount of a fill.
func (r *run) whyFill(f pour) []Reason {
	s := &r.hives[f.h]
	switch f.by {
	case fullBrim:
		return []Reason{{Code: "feeder-full", Say: "as much as its feeder of {0} has room for", Amounts: []any{s.Feeder}}}
	case byStop:
		return []Reason{{Code: "stop-day", Say: "no more than it can take by the stop day {0}", Amounts: []any{r.yards[s.yard].Stop}}}
	case shared:
		return []Reason{{Code: "tank-shared", Say: "less than it has room for, so that the load suffices for all: the rest comes on the next round"}}
	case tankBound:
		return []Reason{{Code: "tank", Say: "as much as the tank carries"}}
	}
	return []Reason{{Code: "need", Say: "ends its need of {0}", Amounts: []any{s.Need}}}
}

// whyLoad says how full the tank is and why these yards share it.
func (r *run) whyLoad(t *dated) []Reason {
	why := []Reason{{Code: "tank", Say: "{0} of the {1} that tank and truck carry", Amounts: []any{t.q.volume(), r.trucks[t.k].tank.volume()}}}
	if from := r.placeID(t.from); from != "" {
		why = append([]Reason{{Code: "filled-at", Say: "the tank is filled at {0}, not at home", Amounts: []any{from}}}, why...)
	}
	if to := r.placeID(t.to); to != "" {
		why = append(why, Reason{Code: "fill-again", Say: "from the last stop the truck goes to {0}, to be filled again", Amounts: []any{to}})
	}
	if len(t.calls) == 1 {
		return append(why, Reason{Code: "one-yard", Say: "one yard, there and back"})
	}
	return append(why, Reason{Code: "near", Say: "{0} yards on one way round, because together they fit the tank and the day", Amounts: []any{len(t.calls)}})
}

// whyBatches ties each batch to the first load that needs it. Syrup flows in
// order: what is in hand first, then batch by batch, into load after load.
func whyBatches(batches []Batch, loads []Load) {
	var mixed units.Volume
	k, out := 0, units.Volume(0)
	var total units.Volume
	for i := range batches {
		total += batches[i].Syrup
	}
	var driven units.Volume
	var home []*Load // loads filled elsewhere need no batch
	for i := range loads {
		if loads[i].From == "" {
			home = append(home, &loads[i])
			driven += loads[i].Syrup
		}
	}
	out = total - driven // minus what was in hand and goes first
	for i := range batches {
		b := &batches[i]
		for k < len(home)-1 && out+home[k].Syrup <= mixed+1e-9 {
			out += home[k].Syrup
			k++
		}
		l := home[k]
		say := "mixed that morning for load {0}"
		if l.Day != b.Day {
			say = "mixed ahead for load {0} on {1}, because that day has no time to mix it"
		}
		b.Why = []Reason{{Code: "for-load", Say: say, Amounts: []any{l.N, l.Day}}}
		mixed += b.Syrup
	}
}

// writeColonies writes every colony, fed or not, with the reasons of its need
// and of its hold. All that is given is taken by the stop day: no fill is larger
// than what can still be taken.
func (r *run) writeColonies(fills []int) []ColonyPlan {
	out := make([]ColonyPlan, len(r.hives))
	for h := range r.hives {
		s := &r.hives[h]
		g := r.given(h)
		c := ColonyPlan{Colony: s.Colony, Yard: s.Yard, Need: s.Need, Given: g.volume(), Taken: g.volume(), Fills: fills[h]}
		c.Why = append(c.Why, s.Why...)
		if len(c.Why) == 0 {
			c.Why = []Reason{r.plainWhy(s, g)}
		}
		c.Why = append(c.Why, s.Hold...)
		if s.Never && fills[h] > 1 {
			if c.Dry = r.runsDry(h); c.Dry > 0 {
				c.Why = append(c.Why, Reason{Code: "runs-dry", Say: "its feeder should never be empty, and by this plan it runs empty before its last fill; days: {0}", Amounts: []any{c.Dry}})
			}
		}
		out[h] = c
	}
	return out
}

// runsDry counts the days before its last fill on which the feeder of h runs empty.
func (r *run) runsDry(h int) (n int) {
	b, first := r.start(h), true
	for i := range r.out {
		for _, c := range r.out[i].calls {
			if c.y != r.hives[h].yard {
				continue
			}
			for _, p := range c.pours {
				if p.h != h {
					continue
				}
				if !first {
					n += int(r.emptyDays(h, &b, r.out[i].d))
				}
				first = false
				r.job.pour(h, &b, r.out[i].d, p.v)
			}
		}
	}
	return n
}

// plainWhy speaks for a colony whose need came without a reason.
func (r *run) plainWhy(s *site, g micro) Reason {
	switch {
	case nearest(s.Need) <= dust:
		return Reason{Code: "enough", Say: "it needs no syrup"}
	case g == 0 && s.inside > 0 && s.want == 0 && len(s.gaps) == 0:
		return Reason{Code: "in-feeder", Say: "what it needs is in its feeder already"}
	}
	return Reason{Code: "need", Say: "it needs {0} of syrup to reach its target", Amounts: []any{s.Need}}
}

// writeUnmet lists every need not served: the whole of it, with the reason of
// each part worth speaking of.
func (r *run) writeUnmet() []Unmet {
	var out []Unmet
	for h := range r.hives {
		s := &r.hives[h]
		v := s.need - r.given(h)
		if v <= dust {
			continue
		}
		u := Unmet{Colony: s.Colony, Yard: s.Yard, Volume: v.volume()}
		for _, g := range s.gaps {
			u.Why = append(u.Why, g.why...)
		}
		if lack := s.bound - r.given(h); lack > dust {
			u.Why = append(u.Why, r.whyLack(s, lack))
		}
		if len(u.Why) == 0 { // crumbs of several kinds
			u.Why = append(u.Why, r.whyLack(s, v))
		}
		out = append(out, u)
	}
	return out
}

// whyLack says why a colony did not get what the bees and the calendar allow.
func (r *run) whyLack(s *site, lack micro) Reason {
	amounts := []any{lack.volume()}
	switch {
	case lack <= r.crumb():
		return Reason{Code: "step", Say: "{0} short: no more than a handy step, less than a heft can tell, so no round is made for it", Amounts: amounts}
	case !r.yards[s.yard].alone:
		return Reason{Code: "hours", Say: "the way to its yard and back, with the tank to fill, is longer than a working day", Amounts: amounts}
	case r.short.gates && (r.yards[s.yard].Opens > 0 || r.yards[s.yard].Shuts > 0):
		return Reason{Code: "gate", Say: "its yard is not open long enough for {0} of it", Amounts: amounts}
	case r.short.hours:
		return Reason{Code: "hours", Say: "the working hours do not suffice for {0} of it", Amounts: amounts}
	case r.short.loads:
		return Reason{Code: "loads", Say: "the loads of a day do not suffice for {0} of it", Amounts: amounts}
	case r.short.mixing:
		return Reason{Code: "mixing", Say: "not enough syrup can be mixed in time for {0} of it", Amounts: amounts}
	}
	return Reason{Code: "days", Say: "the rounds planned leave {0} of it that it cannot take by the stop day", Amounts: amounts}
}

// writeReasons says what the plan as a whole comes to.
func (r *run) writeReasons(pl *Plan) []Reason {
	t := &pl.Totals
	if t.Fills == 0 {
		if len(pl.Unmet) > 0 {
			say := "{0} colonies need syrup and none can get it: see why beside each"
			if len(pl.Unmet) == 1 {
				say = "one colony needs syrup and cannot get it: see why beside it"
			}
			return []Reason{{Code: "nothing-possible", Say: say, Amounts: []any{len(pl.Unmet)}}}
		}
		return []Reason{{Code: "nothing-short", Say: "no colony needs syrup"}}
	}
	say := "{0} in {1} loads and {2} stops"
	switch {
	case t.Loads == 1 && t.Visits == 1:
		say = "{0} in one load and one stop"
	case t.Loads == 1:
		say = "{0} in one load and {2} stops"
	}
	why := []Reason{{Code: "plan", Say: say, Amounts: []any{t.Syrup, t.Loads, t.Visits}}}
	if len(pl.Unmet) > 0 {
		var v units.Volume
		for i := range pl.Unmet {
			v += pl.Unmet[i].Volume
		}
		say := "{0} for {1} colonies is not served: see why beside each"
		if len(pl.Unmet) == 1 {
			say = "{0} for one colony is not served: see why beside it"
		}
		why = append(why, Reason{Code: "unmet", Say: say, Amounts: []any{v, len(pl.Unmet)}})
	}
	if r.strict {
		why = append(why, Reason{Code: "risk-first", Say: "time does not suffice for all: those most likely to run short come first"})
	}
	return why
}

// above sets a plan against its bounds.
func above(t *Totals, b *Bounds) Gap {
	part := func(is, least float64) float64 {
		if is <= 0 {
			return 0
		}
		return max(0, (is-least)/is)
	}
	return Gap{
		Loads: part(float64(t.Loads), float64(b.Loads)), Visits: part(float64(t.Visits), float64(b.Visits)),
		Dist: part(float64(t.Dist), float64(b.Dist)), Time: part(float64(t.Time+t.Mixing), float64(b.Time)),
	}
}
