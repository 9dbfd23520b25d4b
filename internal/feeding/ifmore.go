package feeding

import (
	"slices"

	"larder/internal/units"
)

// Change is one thing the keeper could change, and what the plan would come to
// then, beside what it comes to now.
type Change struct {
	Why  Reason       // what is changed
	Less units.Volume // syrup short that would not be
	// Saves is the crew time saved, Road the way, Loads the loads; below 0 = more.
	Saves units.Duration
	Road  units.Length
	Loads int
	Helps bool // somebody less short or, where nobody is, time saved
}

// Prove is asked about every plan before anybody sees it or a figure of it, and
// gives an error for one that breaks a rule; nil asks nobody.
type Prove func(p *Problem, pl *Plan) error

// WhatWouldChange makes the plan again, each time with one thing more: an hour
// of work a day, a helper, a day more before the stop day, a tank half as large
// again, a second truck, a larger mixer. It gives what each would bring, those
// that help first, in that order. pl is the plan for p.
//
// Each is a whole plan: it takes some times as long as Make. watch, which may be
// nil, is asked again and again how many of them are made, also in the midst of
// one; when it answers false all of it stops with fault.Stopped.
func WhatWouldChange(p Problem, pl Plan, watch Watch, prove Prove) ([]Change, error) {
	if len(pl.Loads) == 0 && len(pl.Unmet) == 0 || len(p.Rigs) == 0 {
		return nil, nil
	}
	var out []Change
	all := MoreOf(p)
	for i, m := range all {
		var look Watch
		if watch != nil {
			look = func(_, _ int) bool { return watch(i, len(all)) }
		}
		_, n, err := m.Make(p, pl, look, prove)
		if err != nil {
			return nil, err
		}
		c := Change{Why: m.Why, Less: lack(&pl) - lack(&n), Saves: pl.Totals.Time + pl.Totals.Mixing - n.Totals.Time - n.Totals.Mixing,
			Road: pl.Totals.Dist - n.Totals.Dist, Loads: pl.Totals.Loads - n.Totals.Loads}
		const drop, minute = 0.05, 60
		c.Helps = c.Less > drop || c.Less > -drop && c.Saves >= minute
		out = append(out, c)
		if watch != nil && !watch(i+1, len(all)) {
			return nil, stopped()
		}
	}
	slices.SortStableFunc(out, func(a, b Change) int {
		switch {
		case a.Helps == b.Helps:
			return 0
		case a.Helps:
			return -1
		}
		return 1
	})
	return out, nil
}

// Make plans p with this one thing more, and gives the problem that is then.
// pl is the plan for p as it is: the search starts from it, for with more of a
// thing it can still be driven, so that what comes out is never worse for want of
// luck. Errors: those of [MakeWatched], and that of prove.
func (m *More) Make(p Problem, pl Plan, watch Watch, prove Prove) (Problem, Plan, error) {
	m.do(&p)
	p.Before, p.Fresh = &pl, true
	n, err := MakeWatched(p, watch)
	if err != nil || prove == nil {
		return p, n, err
	}
	if err = prove(&p, &n); err != nil { // a plan of its own then, which stands on nothing
		p.Before, p.Fresh = nil, false
		if n, err = MakeWatched(p, watch); err == nil {
			err = prove(&p, &n)
		}
	}
	return p, n, err
}

// lack adds up what a plan leaves unserved.
func lack(pl *Plan) (v units.Volume) {
	for i := range pl.Unmet {
		v += pl.Unmet[i].Volume
	}
	return v
}

// More is one thing more than the keeper has.
type More struct {
	Why Reason
	do  func(p *Problem)
}

// MoreOf lists the things of which there could be more in p.
func MoreOf(p Problem) []More {
	if len(p.Rigs) == 0 {
		return nil
	}
	eachRig := func(p *Problem, do func(r *Rig)) {
		p.Rigs = slices.Clone(p.Rigs)
		for i := range p.Rigs {
			do(&p.Rigs[i])
		}
	}
	first := p.Rigs[0]
	hands := max(1, p.Crew.Hands)
	out := []More{
		{Reason{Code: "more-hours", Say: "one hour more of work on every day"}, func(p *Problem) {
			p.Crew.PerDay += units.Hour
			eachRig(p, func(r *Rig) {
				if r.PerDay > 0 {
					r.PerDay += units.Hour
				}
			})
			p.Crew.Day = slices.Clone(p.Crew.Day)
			for i := range p.Crew.Day {
				if d := &p.Crew.Day[i]; d.PerDay > 0 {
					d.PerDay += units.Hour
				}
			}
		}},
		{Reason{Code: "more-days", Say: "one day more before each stop day"}, func(p *Problem) {
			p.Yards = slices.Clone(p.Yards)
			for i := range p.Yards {
				y := &p.Yards[i]
				if y.Stop != 0 {
					y.Stop++
				}
			}
		}},
		{Reason{Code: "more-tank", Say: "a tank half as large again, if the truck carries it"}, func(p *Problem) {
			eachRig(p, func(r *Rig) { r.Tank *= 1.5 })
		}},
		{Reason{Code: "more-trucks", Say: "a second truck like {0}, with a crew of its own", Amounts: []any{first.Truck}}, func(p *Problem) {
			r := first
			r.Truck += " +"
			p.Rigs = append(slices.Clone(p.Rigs), r)
			if p.Crew.LoadsPerDay > 0 {
				p.Crew.LoadsPerDay *= 2
			}
		}},
	}
	if slices.ContainsFunc(p.Rigs, func(r Rig) bool { return r.Shared > 0 }) {
		out = append(out, More{Reason{Code: "more-hands", Say: "one more pair of hands at the hives"}, func(p *Problem) {
			eachRig(p, func(r *Rig) {
				was := min(r.Shared, r.PerHive)
				r.Shared = was * units.Duration(hands) / units.Duration(hands+1)
				r.PerHive += r.Shared - was
			})
			// On days with other hands there is one pair more too.
			p.Crew.Hands = hands + 1
			p.Crew.Day = slices.Clone(p.Crew.Day)
			for i := range p.Crew.Day {
				if d := &p.Crew.Day[i]; d.Hands > 0 {
					d.Hands++
				}
			}
		}})
	}
	if p.Kitchen.Mixer > 0 {
		out = append(out, More{Reason{Code: "more-mixer", Say: "a mixer twice as large"}, func(p *Problem) { p.Kitchen.Mixer *= 2 }})
	}
	if p.Kitchen.Store > 0 {
		out = append(out, More{Reason{Code: "more-store", Say: "a store of syrup twice as large"}, func(p *Problem) { p.Kitchen.Store *= 2 }})
	}
	if p.Crew.LoadsPerDay > 0 {
		out = append(out, More{Reason{Code: "more-loads", Say: "one load more a day"}, func(p *Problem) { p.Crew.LoadsPerDay++ }})
	}
	return out
}
