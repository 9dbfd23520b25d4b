package season

import (
	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/verify"
)

// Verify has a plan worked through again by a package that knows nothing of the
// planner, and gives every rule it breaks; none is nil. Every plan goes through
// it before anybody sees it.
func Verify(p *feeding.Problem, pl *feeding.Plan) []verify.Fault {
	f, s := plainFacts(p, pl), plainPlan(pl)
	return verify.Plan(&f, &s)
}

// proven gives a plan back as an error when it breaks a rule: it is our
// mistake, and a keeper must not drive out on it.
func proven(p *feeding.Problem, pl *feeding.Plan) error {
	broken := Verify(p, pl)
	if len(broken) == 0 {
		return nil
	}
	return &fault.Error{Kind: fault.Internal, Op: "season.Plan",
		Say:  "the plan was worked through a second time and breaks a rule, so it is not shown",
		Hint: "this is a mistake of the program: nothing was changed, and what was written down is kept",
		Err:  notProven(broken)}
}

// notProven is the rules a plan breaks, for the log.
type notProven []verify.Fault

func (n notProven) Error() string {
	s := n[0].String()
	if len(n) > 1 {
		s += " (and more)"
	}
	return s
}

// plainFacts hands over what the planner was told, as plain values. Of the
// roads it hands over the legs the plan drives.
func plainFacts(p *feeding.Problem, pl *feeding.Plan) verify.Facts {
	k := &p.Kitchen
	f := verify.Facts{
		Start: p.Start, Days: p.Days,
		Hives: make([]verify.Hive, len(p.Hives)), Yards: make([]verify.Yard, len(p.Yards)),
		Trucks: make([]verify.Truck, len(p.Rigs)), Sources: make([]verify.Source, len(p.Sources)),
		Kitchen: verify.Kitchen{Strength: k.Strength, Density: k.Density, Mixer: k.Mixer, Mixing: k.Mixing, OnHand: k.OnHand, Store: k.Store},
		Crew:    verify.Crew{PerDay: p.Crew.PerDay, Loads: p.Crew.LoadsPerDay, Hands: p.Crew.Hands, Begins: p.Crew.Begins},
		Legs:    plainLegs(p, pl),
		Price:   verify.Price(p.Price),
	}
	for i := range p.Rigs {
		r := &p.Rigs[i]
		f.Trucks[i] = verify.Truck{Name: r.Truck, Tank: r.Tank, Payload: r.Payload, Pump: r.Pump, PerHive: r.PerHive, Shared: r.Shared,
			Fill: r.Fill, PerDay: r.PerDay, Loads: r.LoadsPerDay, Out: r.Out}
	}
	for i := range p.Sources {
		f.Sources[i] = verify.Source(p.Sources[i])
	}
	for _, d := range p.Crew.Day {
		f.Crew.Days = append(f.Crew.Days, verify.CrewDay(d))
	}
	for i := range p.Hives {
		h := &p.Hives[i]
		f.Hives[i] = verify.Hive{ID: h.Colony, Yard: h.Yard, Need: h.Need, In: h.InFeeder, Feeder: h.Feeder, Room: h.Room, RoomTold: h.RoomTold, Uptake: h.Uptake, Never: h.Never}
		if len(h.Hold) > 0 {
			f.Hives[i].Held = h.Hold[0].Code
		}
	}
	for i := range p.Yards {
		y := &p.Yards[i]
		f.Yards[i] = verify.Yard{ID: y.ID, Feed: y.Feed, Factor: y.Factor, Stop: y.Stop, Setup: y.Setup, Opens: y.Opens, Shuts: y.Shuts}
	}
	return f
}

func plainLegs(p *feeding.Problem, pl *feeding.Plan) map[verify.Way]verify.Leg {
	legs := map[verify.Way]verify.Leg{}
	tell := func(from, to string) {
		w := verify.Way{From: from, To: to}
		if _, told := legs[w]; told {
			return
		}
		if r, ok := p.Road(from, to); ok {
			legs[w] = verify.Leg(r)
		}
	}
	at := map[string]string{} // where each truck stands: at home, or at a yard from which it is sent to fill up
	for i := range pl.Loads {
		l := &pl.Loads[i]
		where := at[l.Truck]
		for k := -1; k < len(l.Stops); k++ {
			to := l.From
			if k >= 0 {
				to = l.Stops[k].Yard
			}
			tell(where, to)
			where = to
		}
		if l.To == "" {
			tell(where, "")
			where = ""
		}
		at[l.Truck] = where
	}
	return legs
}

// plainPlan hands over a plan as plain values.
func plainPlan(pl *feeding.Plan) verify.Schedule {
	t := &pl.Totals
	s := verify.Schedule{
		Colonies: make([]verify.Colony, len(pl.Colonies)), Batches: make([]verify.Batch, len(pl.Batches)),
		Loads: make([]verify.Load, len(pl.Loads)), Unmet: make([]verify.Short, len(pl.Unmet)),
		Totals: verify.Totals{Loads: t.Loads, Visits: t.Visits, Fills: t.Fills, Syrup: t.Syrup, Dist: t.Dist, Time: t.Time,
			Mixing: t.Mixing, Sugar: t.Sugar, Water: t.Water, Cost: t.Cost, CostParts: t.CostParts},
		Bounds: verify.Bounds{Loads: pl.Bounds.Loads, Visits: pl.Bounds.Visits, Dist: pl.Bounds.Dist, Time: pl.Bounds.Time, Gap: verify.Gap(pl.Bounds.Gap)},
	}
	for i := range pl.Colonies {
		c := &pl.Colonies[i]
		s.Colonies[i] = verify.Colony{ID: c.Colony, Yard: c.Yard, Need: c.Need, Given: c.Given, Taken: c.Taken, Fills: c.Fills, Dry: c.Dry}
	}
	for i := range pl.Batches {
		b := &pl.Batches[i]
		s.Batches[i] = verify.Batch{Day: b.Day, Syrup: b.Syrup, Sugar: b.Sugar, Water: b.Water}
	}
	for i := range pl.Loads {
		l := &pl.Loads[i]
		to := &s.Loads[i]
		*to = verify.Load{N: l.N, Day: l.Day, Truck: l.Truck, From: l.From, To: l.To, Leave: l.Leave, Syrup: l.Syrup, Dist: l.Dist, Time: l.Time, Stops: make([]verify.Call, len(l.Stops))}
		for k := range l.Stops {
			c := &l.Stops[k]
			to.Stops[k] = verify.Call{Yard: c.Yard, Dist: c.Dist, Time: c.Time, Fills: make([]verify.Fill, len(c.Fills))}
			for m := range c.Fills {
				to.Stops[k].Fills[m] = verify.Fill{Colony: c.Fills[m].Colony, Volume: c.Fills[m].Volume}
			}
		}
	}
	for i := range pl.Unmet {
		u := &pl.Unmet[i]
		s.Unmet[i] = verify.Short{Colony: u.Colony, Yard: u.Yard, Volume: u.Volume}
	}
	return s
}
