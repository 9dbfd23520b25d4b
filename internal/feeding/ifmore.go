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

// WhatWouldChange makes the plan again, each time with one thing more: an hour
// of work a day, a helper, a day more before the stop day, a tank half as large
// again, a second truck, a larger mixer. It gives what each would bring, those
// that help first, in that order. pl is the plan for p.
//
// Each is a whole plan: it takes some times as long as Make. watch, which may be
// nil, is told after each; when it answers false the rest is left out.
func WhatWouldChange(p Problem, pl Plan, watch Watch) ([]Change, error) {
	if len(pl.Loads) == 0 && len(pl.Unmet) == 0 || len(p.Rigs) == 0 {
		return nil, nil
	}
	var out []Change
	all := moreOf(&p)
	for i, m := range all {
		q := p
		m.do(&q)
		// From the plan there is: with more of a thing it can still be driven, so
		// what comes out is never worse for want of luck.
		q.Before = &pl
		q.Fresh = true
		n, err := Make(q)
		if err != nil {
			return nil, err
		}
		c := Change{Why: m.why, Less: lack(&pl) - lack(&n), Saves: pl.Totals.Time + pl.Totals.Mixing - n.Totals.Time - n.Totals.Mixing,
			Road: pl.Totals.Dist - n.Totals.Dist, Loads: pl.Totals.Loads - n.Totals.Loads}
		const drop, minute = 0.05, 60
		c.Helps = c.Less > drop || c.Less > -drop && c.Saves >= minute
		out = append(out, c)
		if watch != nil && !watch(i+1, len(all)) {
			break
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

// lack adds up what a plan leaves unserved.
func lack(pl *Plan) (v units.Volume) {
	for i := range pl.Unmet {
		v += pl.Unmet[i].Volume
	}
	return v
}

// more is one thing more.
type more struct {
	why Reason
	do  func(p *Problem)
}

func moreOf(p *Problem) []more {
	eachRig := func(p *Problem, do func(r *Rig)) {
		p.Rigs = slices.Clone(p.Rigs)
		for i := range p.Rigs {
			do(&p.Rigs[i])
		}
	}
	first := p.Rigs[0]
	hands := max(1, p.Crew.Hands)
	out := []more{
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
		out = append(out, more{Reason{Code: "more-hands", Say: "one more pair of hands at the hives"}, func(p *Problem) {
			eachRig(p, func(r *Rig) {
				shared := min(r.Shared, r.PerHive)
				r.PerHive += shared*units.Duration(hands)/units.Duration(hands+1) - shared
			})
		}})
	}
	if p.Kitchen.Mixer > 0 {
		out = append(out, more{Reason{Code: "more-mixer", Say: "a mixer twice as large"}, func(p *Problem) { p.Kitchen.Mixer *= 2 }})
	}
	if p.Kitchen.Store > 0 {
		out = append(out, more{Reason{Code: "more-store", Say: "a store of syrup twice as large"}, func(p *Problem) { p.Kitchen.Store *= 2 }})
	}
	if p.Crew.LoadsPerDay > 0 {
		out = append(out, more{Reason{Code: "more-loads", Say: "one load more a day"}, func(p *Problem) { p.Crew.LoadsPerDay++ }})
	}
	return out
}
