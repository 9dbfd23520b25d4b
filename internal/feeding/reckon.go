package feeding

import (
	"cmp"
	"math"
	"slices"

	"larder/internal/units"
)

// Fate is what becomes of the syrup of one hive, by the rule of time: a fill comes
// first, then that day's uptake.
type Fate struct {
	Given units.Volume // by the plan
	Taken units.Volume // of it, by the stop day; what was in the feeder before goes first
	Short units.Volume // of its need, when the stop day is over
	Left  units.Volume // in its feeder then
	Fills int
}

// What nobody pours and no plan speaks of: ten millilitres of a need, a tenth of
// one in a feeder.
const crumbL, dregsL = 0.0101, 1e-4

// Fates follows every feeder of p through a plan, by the hives' order in p.
func Fates(p *Problem, pl *Plan) []Fate {
	got := map[string]map[int]float64{}
	for i := range pl.Loads {
		l := &pl.Loads[i]
		for k := range l.Stops {
			for _, f := range l.Stops[k].Fills {
				if got[f.Colony] == nil {
					got[f.Colony] = map[int]float64{}
				}
				got[f.Colony][int(l.Day-p.Start)] += f.Volume.L()
			}
		}
	}
	yard := map[string]*Yard{}
	for i := range p.Yards {
		yard[p.Yards[i].ID] = &p.Yards[i]
	}
	out := make([]Fate, len(p.Hives))
	for i := range p.Hives {
		h := &p.Hives[i]
		in, taken, given := h.InFeeder.L(), 0.0, 0.0
		end := p.end(yard[h.Yard])
		for d := range p.Days {
			if v, ok := got[h.Colony][d]; ok {
				in, given = in+v, given+v
				out[i].Fills++
			}
			if d < end {
				t := min(in, h.Uptake.L()*yard[h.Yard].Factor[d])
				in, taken = in-t, taken+t
			}
		}
		if in < dregsL {
			in = 0
		}
		f := &out[i]
		f.Given, f.Left, f.Taken = units.Volume(given), units.Volume(in), units.Volume(given-min(given, in))
		if lack := h.Need.L() - taken; lack > crumbL {
			f.Short = units.Volume(lack)
		}
	}
	return out
}

// end is the first day of the calendar on which nothing is taken at a yard.
func (p *Problem) end(y *Yard) int {
	if y == nil || y.Stop == 0 {
		return 0
	}
	return max(0, min(p.Days, len(y.Factor), int(y.Stop-p.Start)+1))
}

// Reckon makes a whole plan of given loads, wherever they come from: a plan taken
// out, a rule of thumb, a plan with a load left out. It adds up and decides
// nothing. Loads keep their numbers; their road and time are worked out where
// they have none. batches are what is mixed; what is wanting beside them is mixed
// on the day it is wanted, and what nobody is given is left away, the latest first.
// unmet says why a hive is short. The plan may break rules: that is for another
// to find. It has no bounds: those are of plans that serve all that can be served.
func Reckon(p *Problem, loads []Load, batches []Batch, unmet func(h *Hive, f Fate) []Reason) Plan {
	pl := Plan{Start: p.Start, Strength: p.Kitchen.Strength, Seed: p.Seed, Loads: slices.Clone(loads)}
	slices.SortStableFunc(pl.Loads, func(a, b Load) int { return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.N, b.N)) })
	p.timed(pl.Loads)
	pl.Batches = p.fitBatches(pl.Loads, batches)
	if len(pl.Batches) > 0 && len(pl.Loads) > 0 {
		whyBatches(pl.Batches, pl.Loads)
	}
	for i, f := range Fates(p, &pl) {
		h := &p.Hives[i]
		c := ColonyPlan{Colony: h.Colony, Yard: h.Yard, Need: h.Need, Given: f.Given, Taken: f.Taken, Fills: f.Fills, Why: slices.Concat(h.Why, h.Hold)}
		pl.Colonies = append(pl.Colonies, c)
		if f.Short > 0 {
			u := Unmet{Colony: h.Colony, Yard: h.Yard, Volume: f.Short, Why: h.Hold}
			if len(u.Why) == 0 {
				u.Why = unmet(h, f)
			}
			pl.Unmet = append(pl.Unmet, u)
		}
	}
	stand := map[string]int{}
	for i := range p.Hives {
		stand[p.Hives[i].Colony] = p.Hives[i].Stand
	}
	slices.SortFunc(pl.Colonies, func(a, b ColonyPlan) int {
		return cmp.Or(cmp.Compare(a.Yard, b.Yard), cmp.Compare(stand[a.Colony], stand[b.Colony]), cmp.Compare(a.Colony, b.Colony))
	})
	slices.SortFunc(pl.Unmet, func(a, b Unmet) int { return cmp.Or(cmp.Compare(a.Yard, b.Yard), cmp.Compare(a.Colony, b.Colony)) })
	pl.Totals = (&job{p: p}).totals(&pl)
	pl.Bounds.Gap = gapOf(&pl)
	return pl
}

// gapOf is the gap to no bound at all: everything could be saved, for all that is
// proven.
func gapOf(pl *Plan) Gap {
	one := func(x float64) float64 {
		if x > 0 {
			return 1
		}
		return 0
	}
	t := &pl.Totals
	return Gap{Loads: one(float64(t.Loads)), Visits: one(float64(t.Visits)), Dist: one(float64(t.Dist)), Time: one(float64(t.Time + t.Mixing))}
}

// gated tells whether some yard has hours of its own.
func (p *Problem) gated() bool {
	return slices.ContainsFunc(p.Yards, func(y Yard) bool { return y.Opens > 0 || y.Shuts > 0 })
}

// timed works out the road and time of loads that have none. A load whose truck
// does not go on to where the next is filled goes home.
func (p *Problem) timed(loads []Load) {
	type day struct {
		truck string
		day   units.Day
	}
	rest := map[day][]int{}
	for i := range loads {
		k := day{loads[i].Truck, loads[i].Day}
		rest[k] = append(rest[k], i)
	}
	gated := p.gated()
	for k, is := range rest {
		rig := p.RigOf(k.truck)
		at, free := "", p.Crew.Begins
		for n, i := range is {
			l := &loads[i]
			if l.To != "" && (n+1 == len(is) || loads[is[n+1]].From != l.To) {
				l.To, l.Time = "", 0
			}
			if gated {
				l.Leave = max(l.Leave, free)
			}
			if l.Time == 0 {
				p.drive(&rig, l, at, int(k.day-p.Start))
			}
			free, at = l.Leave+l.Time, ""
			if l.To != "" && len(l.Stops) > 0 {
				at = l.Stops[len(l.Stops)-1].Yard
			}
		}
	}
}

// drive works out one load from where its truck stands.
func (p *Problem) drive(rig *Rig, l *Load, at string, d int) {
	l.Dist, l.Time, l.Syrup = 0, rig.Fill, 0
	for i := range p.Sources {
		if s := &p.Sources[i]; s.Place == l.From && s.Fill > 0 {
			l.Time = s.Fill
		}
	}
	leg := func(to string) units.Length {
		if at == to {
			return 0
		}
		r, _ := p.Road(at, to) // a way nobody knows is for the judge
		l.Dist, l.Time, at = l.Dist+r.Dist, l.Time+r.Time, to
		return r.Dist
	}
	leg(l.From)
	l.Stops = slices.Clone(l.Stops)
	for k := range l.Stops {
		s := &l.Stops[k]
		var y Yard
		for i := range p.Yards {
			if p.Yards[i].ID == s.Yard {
				y = p.Yards[i]
			}
		}
		s.Dist = leg(s.Yard)
		var v units.Volume
		for _, f := range s.Fills {
			v += f.Volume
		}
		s.Time = y.Setup + units.Duration(len(s.Fills))*p.perHive(rig, d) + units.Duration(v.L()/float64(rig.Pump))
		if y.Opens > 0 {
			l.Time = max(l.Time, y.Opens-l.Leave)
		}
		l.Time += s.Time
		l.Syrup += v
	}
	if l.To == "" {
		leg("")
	}
}

// fitBatches makes batches suffice for the loads and no more.
func (p *Problem) fitBatches(loads []Load, batches []Batch) []Batch {
	const slip = dregsL / 2 // litres are whole microlitres in plans, and their sums drift by some
	k := &p.Kitchen
	out, mixed := make([]float64, p.Days), make([]float64, p.Days)
	total := 0.0
	for i := range loads {
		if d := int(loads[i].Day - p.Start); loads[i].From == "" && d >= 0 && d < p.Days {
			out[d] += loads[i].Syrup.L()
			total += loads[i].Syrup.L()
		}
	}
	var bs []Batch
	for _, b := range batches {
		if d := int(b.Day - p.Start); d >= 0 && d < p.Days {
			bs = append(bs, b)
			mixed[d] += b.Syrup.L()
		}
	}
	most := math.Inf(1)
	if k.Mixer > 0 {
		most = k.Mixer.L()
	}
	have := k.OnHand.L()
	night := make([]float64, p.Days)
	for d := range p.Days {
		have += mixed[d]
		for lack := out[d] - have; lack > slip; lack = out[d] - have {
			v := min(lack, most)
			bs = append(bs, Batch{Day: p.Start + units.Day(d), Syrup: units.Volume(v)})
			have += v
		}
		have -= out[d]
		night[d] = have
	}
	slices.SortStableFunc(bs, func(a, b Batch) int { return cmp.Compare(a.Day, b.Day) })
	spare := have - max(0, k.OnHand.L()-total)
	for i := len(bs) - 1; i >= 0 && spare > slip; i-- {
		b := &bs[i]
		cut := min(spare, b.Syrup.L())
		for d := int(b.Day - p.Start); d < p.Days; d++ {
			cut = min(cut, night[d])
		}
		if cut <= slip {
			continue
		}
		for d := int(b.Day - p.Start); d < p.Days; d++ {
			night[d] -= cut
		}
		b.Syrup -= units.Volume(cut)
		spare -= cut
	}
	bs = slices.DeleteFunc(bs, func(b Batch) bool { return b.Syrup.L() <= slip })
	for i := range bs {
		b := &bs[i]
		b.Sugar, b.Water, _ = Recipe(b.Syrup, k.Strength, k.Density) // a strength no syrup has was refused before there was a plan
	}
	return bs
}
