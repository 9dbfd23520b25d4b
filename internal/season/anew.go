package season

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"

	"larder/internal/feeding"
	"larder/internal/units"
)

// A plan made anew while one is out starts from that one, so that what the crew
// knows changes as little as can be: of plans alike in all else the planner
// takes the one that changes least. Where nothing but colonies was written down
// since, only yards that changed are gone into, which is quick. Where anything
// else is new (a setting, weather, a road, another day), all yards are.

// small is how many yards are gone into afresh at all times: it takes a moment.
const small = 8

// from tells the planner of the plan out, as far as it is still to be done.
func (b *bench) from(p *feeding.Problem) {
	id, doc, ok := b.st.lastOut()
	if !ok {
		return
	}
	gets := map[string]bool{} // who can still get anything
	for i := range p.Hives {
		h := &p.Hives[i]
		gets[h.Colony] = len(h.Hold) == 0 && h.Need > h.InFeeder && h.Feeder > 0
	}
	before := &feeding.Plan{Start: doc.Start, Strength: units.Strength(doc.Brix / 100)}
	var all, idle units.Volume
	b.st.stillOpen(id, &doc, func(l *LoadDoc, s *StopDoc, f *FillDoc) {
		n := len(before.Loads)
		if n == 0 || before.Loads[n-1].N != l.N {
			before.Loads = append(before.Loads, feeding.Load{N: l.N, Day: l.Day, Truck: l.Truck, From: l.From, To: l.To})
			n++
		}
		load := &before.Loads[n-1]
		k := len(load.Stops)
		if k == 0 || load.Stops[k-1].Yard != s.Yard {
			load.Stops = append(load.Stops, feeding.Stop{Yard: s.Yard})
			k++
		}
		v := units.Volume(f.FillL)
		load.Stops[k-1].Fills = append(load.Stops[k-1].Fills, feeding.Fill{Colony: f.Colony, Volume: v})
		load.Syrup += v
		all += v
		if !gets[f.Colony] {
			idle += v
		}
	})
	if len(before.Loads) == 0 {
		return
	}
	for _, u := range doc.Unmet {
		before.Unmet = append(before.Unmet, feeding.Unmet{Colony: u.Colony, Yard: u.Yard, Volume: units.Volume(u.UnmetL)})
	}
	p.Before = before
	// Where much of it falls away, loads could be put together.
	p.Fresh = doc.Basis == "" || doc.Basis != b.basis(p) || len(p.Yards) <= small || idle > all/10
}

// stillOpen calls do for each fill of a plan taken out of which nothing is
// written down yet, in the plan's order.
func (st *State) stillOpen(id string, doc *PlanDoc, do func(l *LoadDoc, s *StopDoc, f *FillDoc)) {
	served := loadsOf(doc)
	done := map[string]map[int][]TripDone{}
	for i := range doc.Loads {
		l := &doc.Loads[i]
		for k := range l.Stops {
			s := &l.Stops[k]
			for m := range s.Fills {
				f := &s.Fills[m]
				if done[f.Colony] == nil {
					if c, ok := st.Colony(f.Colony); ok {
						done[f.Colony] = st.visitsOf(c, id, served[f.Colony])
					}
				}
				if len(done[f.Colony][l.N]) == 0 {
					do(l, s, f)
				}
			}
		}
	}
}

// basis is a mark of all a plan is made from but the colonies: equal where
// nothing else is new.
func (b *bench) basis(p *feeding.Problem) string {
	h := sha256.New()
	put := func(v ...any) { fmt.Fprintln(h, v...) } // a hash takes all
	kitchen := p.Kitchen
	kitchen.OnHand = 0 // it follows from what was mixed and given; the keeper's own figure is among the settings
	put(p.Start, p.Days, kitchen, p.Crew, p.Price)
	for i := range p.Rigs {
		put(p.Rigs[i])
	}
	for i := range p.Yards {
		y := &p.Yards[i]
		put(y.ID, y.Feed, y.Factor, y.Stop, y.Setup, y.Opens, y.Shuts)
	}
	for i := range p.Sources {
		put(p.Sources[i])
	}
	for _, k := range sortedKeys(b.st.values) {
		put(k, b.st.values[k])
	}
	for _, r := range b.st.Roads() {
		put(r.From, r.To, r.Dist, r.Time)
	}
	for _, y := range b.st.Yards() {
		put(y.ID, y.HasPlace, y.Lat, y.Lon)
	}
	return hex.EncodeToString(h.Sum(nil)[:8])
}
