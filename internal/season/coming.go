package season

import (
	"encoding/json"
	"slices"

	"larder/internal/feeding"
	"larder/internal/units"
)

// Coming is what is to be given next in one yard.
type Coming struct {
	Yard  string
	Day   units.Day
	Load  int
	Plan  string         // id of the plan taken out it belongs to; "" = the plan as it stands today
	Fills []feeding.Fill // in walking order
}

// Fill gives what one colony is to get; 0 = nothing.
func (c *Coming) Fill(colony string) units.Volume {
	for _, f := range c.Fills {
		if f.Colony == colony {
			return f.Volume
		}
	}
	return 0
}

// Coming finds the next filling of a yard: of the plan last taken out, the first
// round whose fills are not all written down, without those that are; failing
// that, the first round of the plan as it stands. planned may be nil.
func (st *State) Coming(yard string, planned *Planned) (Coming, bool) {
	if c, ok := st.comingOut(yard); ok {
		return c, true
	}
	if planned == nil {
		return Coming{}, false
	}
	for _, l := range planned.Loads {
		for _, s := range l.Stops {
			if s.Yard == yard && len(s.Fills) > 0 {
				return Coming{Yard: yard, Day: l.Day, Load: l.N, Fills: slices.Clone(s.Fills)}, true
			}
		}
	}
	return Coming{}, false
}

// comingOut looks in the plan last taken out.
func (st *State) comingOut(yard string) (Coming, bool) {
	id, doc, ok := st.lastOut()
	if !ok {
		return Coming{}, false
	}
	served := loadsOf(&doc)
	done := map[string]map[int][]TripDone{} // what is written down, by colony and load
	for _, l := range doc.Loads {
		for _, s := range l.Stops {
			if s.Yard != yard {
				continue
			}
			out := Coming{Yard: yard, Day: l.Day, Load: l.N, Plan: id}
			for _, f := range s.Fills {
				if done[f.Colony] == nil {
					if c, ok := st.Colony(f.Colony); ok {
						done[f.Colony] = st.visitsOf(c, id, served[f.Colony])
					}
				}
				if len(done[f.Colony][l.N]) == 0 {
					out.Fills = append(out.Fills, feeding.Fill{Colony: f.Colony, Volume: units.Volume(f.FillL)})
				}
			}
			if len(out.Fills) > 0 {
				return out, true
			}
		}
	}
	return Coming{}, false
}

// lastOut gives the plan taken out last: that which was made latest. What it
// holds is read once and only to be read.
func (st *State) lastOut() (id string, doc PlanDoc, ok bool) {
	for _, p := range st.Plans() {
		d := st.outDoc(p)
		if d == nil {
			continue
		}
		if !ok || d.AsOf.Compare(doc.AsOf) >= 0 {
			id, doc, ok = p.Plan, *d, true
		}
	}
	return id, doc, ok
}

// outDoc reads a plan taken out, once for its bytes; nil where it is not ours to
// read.
func (st *State) outDoc(p PlanOut) *PlanDoc {
	if len(p.Content) == 0 {
		return nil
	}
	return st.memo.plans.get(content{&p.Content[0], len(p.Content)}, mostPlans, func() *PlanDoc {
		if d, readable := readPlan(p); readable {
			return &d
		}
		return nil
	})
}

// readPlan reads a plan taken out; false for one of another program or version:
// it stays readable, but is not ours to serve.
func readPlan(p PlanOut) (PlanDoc, bool) {
	var d PlanDoc
	return d, json.Unmarshal(p.Content, &d) == nil
}
