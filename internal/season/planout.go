package season

import (
	"slices"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/units"
)

// OutPlan is a plan taken out, with its id.
type OutPlan struct {
	ID  string
	Doc PlanDoc
}

// OutPlans lists the plans taken out that can be read, the latest first.
func (st *State) OutPlans() []OutPlan {
	var out []OutPlan
	for _, p := range st.Plans() {
		if d, ok := readPlan(p); ok {
			out = append(out, OutPlan{p.Plan, d})
		}
	}
	slices.SortStableFunc(out, func(a, b OutPlan) int { return b.Doc.AsOf.Compare(a.Doc.AsOf) })
	return out
}

// Amounts gives the loads, stops and fills of a plan taken out as they were
// planned, for sheets to be printed from. Reasons are words by now and stay
// behind; batches and stop days too.
func (d *PlanDoc) Amounts() Planned {
	p := Planned{}
	p.Start, p.Seed, p.Strength = d.Start, d.Seed, units.Strength(d.Brix/100)
	for _, c := range d.Colonies {
		p.Colonies = append(p.Colonies, feeding.ColonyPlan{Colony: c.Colony, Yard: c.Yard, Need: units.Volume(c.NeedL), Given: units.Volume(c.GivenL), Taken: units.Volume(c.TakenL), Fills: c.Fills})
	}
	for _, l := range d.Loads {
		x := feeding.Load{N: l.N, Day: l.Day, Truck: l.Truck, From: l.From, To: l.To, Syrup: units.Volume(l.LoadL), Dist: units.Length(l.DistanceKm * 1000), Time: units.Duration(l.TimeMin * 60)}
		for _, s := range l.Stops {
			y := feeding.Stop{Yard: s.Yard, Dist: units.Length(s.DistanceKm * 1000), Time: units.Duration(s.TimeMin * 60)}
			for _, f := range s.Fills {
				y.Fills = append(y.Fills, feeding.Fill{Colony: f.Colony, Volume: units.Volume(f.FillL)})
			}
			x.Stops = append(x.Stops, y)
		}
		p.Loads = append(p.Loads, x)
	}
	return p
}

// RowsOf lists the living colonies of a yard in walking order: the rows of its
// sheets.
func (st *State) RowsOf(yard string) []string {
	var out []string
	for _, c := range st.Colonies() {
		if c.Yard == yard && c.State == apiary.Alive {
			out = append(out, c.ID)
		}
	}
	return out
}

// RowChanges gives the moments after since at which the rows of some yard's sheet
// may have changed, the latest first: hives placed, moved, united, ended.
func (st *State) RowChanges(since units.Moment) []units.Moment {
	var out []units.Moment
	for _, c := range st.Colonies() {
		for _, e := range c.Events {
			switch e.Body.(type) {
			case apiary.Placed, apiary.Moved, apiary.United, apiary.Ended:
				if !since.Covers(e.Seen) {
					out = append(out, e.Seen)
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b units.Moment) int { return b.Compare(a) })
	return slices.CompactFunc(out, func(a, b units.Moment) bool { return a.Compare(b) == 0 })
}
