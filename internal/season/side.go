package season

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"larder/internal/fault"
	"larder/internal/feeding"
	"larder/internal/units"
	"larder/internal/verify"
)

// Side is one of two plans set beside each other.
type Side struct {
	Key  string         // see [State.SideNames]; "season" = the plan of another season
	Name feeding.Reason // what it is
	Plan *Planned
	// Notes are what is to be known of it before it is trusted: what of it is left
	// out, and which rules it breaks by what is known now.
	Notes []feeding.Reason
	// Why tells of some colonies why they get more or less, by colony.
	Why map[string][]feeding.Reason
}

// The keys of sides. Those of [feeding.MoreOf] are added: hours, days, tank,
// trucks, hands, mixer, store, loads.
const (
	SideNow   = "now"
	SideOut   = "out"
	SideFewer = "fewer"
	SideHabit = "habit"
	SideCare  = "care" // with the chance: "care=1 in 20"
)

// SideName is a side that can be had.
type SideName struct {
	Key  string
	Name feeding.Reason
}

// SideNames lists the sides that can be had where now is the plan.
func (st *State) SideNames(now *Planned) []SideName {
	out := []SideName{{SideNow, sideNow}}
	if _, _, ok := st.lastOut(); ok {
		out = append(out, SideName{SideOut, sideOut})
	}
	for _, m := range feeding.MoreOf(now.Problem) {
		out = append(out, SideName{strings.TrimPrefix(m.Why.Code, "more-"), withMore(m.Why)})
	}
	if _, ok := leastMissed(now); ok {
		out = append(out, SideName{SideFewer, feeding.Reason{Code: "side-fewer", Say: "the plan with one load fewer"}})
	}
	return append(out, SideName{SideHabit, sideHabit}, SideName{SideCare, feeding.Reason{Code: "side-care", Say: "the plan with another chance of being short"}})
}

var (
	sideNow   = feeding.Reason{Code: "side-now", Say: "the plan as it is now"}
	sideOut   = feeding.Reason{Code: "side-out", Say: "the plan taken out, as far as it is still to be done"}
	sideHabit = feeding.Reason{Code: "side-habit", Say: "every feeder each week, the nearest yard first, the same for every hive"}
)

// withMore names a plan with one thing more.
func withMore(why feeding.Reason) feeding.Reason {
	if why.Code == "more-trucks" && (len(why.Amounts) == 0 || why.Amounts[0] == "") {
		return secondTruck
	}
	return why
}

// Side makes a side of the plan as it is now: see [State.SideNames]. It takes
// about as long as a plan; watch, which may be nil, may stop it. Every plan is
// worked through a second time. Those the planner made keep every rule; a plan
// taken out and a habit may break some by what is known now, and Notes say which.
// Faults: fault.NotFound for a side that cannot be had, fault.Stopped.
func (st *State) Side(now *Planned, at units.Moment, key string, seed uint64, watch Watch) (Side, error) {
	s := Side{Key: key, Plan: now, Name: sideNow}
	kind, value, _ := strings.Cut(key, "=")
	switch kind {
	case SideNow:
		return s, nil
	case SideOut:
		return st.sideOut(now, at)
	case SideFewer:
		return sideFewer(now)
	case SideHabit:
		if watch != nil && !watch(Progress{Stage: "plan", Of: 1}) {
			return Side{}, notReady()
		}
		s.Name = sideHabit
		return s, s.judged(feeding.ByHabit(&now.Problem, feeding.Weekly()), habitual)
	case SideCare:
		value = strings.TrimSpace(value)
		if value == "" {
			return Side{}, fault.New(fault.Missing, "feed.care", "it is not told what chance of being short is accepted").WithHint("for example 1 in 20")
		}
		t, err := st.SupposeSettings(Setting{Key: "feed.care", Value: value})
		if err != nil {
			return Side{}, err
		}
		p, err := t.PlanWatched(at, seed, now.Skipped, watch)
		if err != nil {
			return Side{}, err
		}
		s.Plan, s.Name = &p, feeding.Reason{Code: "side-care", Say: "the plan if a chance of {0} of being short is accepted", Amounts: []any{value}}
		return s, nil
	}
	for _, m := range feeding.MoreOf(now.Problem) {
		if m.Why.Code != "more-"+kind {
			continue
		}
		var look feeding.Watch
		if watch != nil {
			look = func(done, of int) bool { return watch(Progress{Stage: "plan", Done: done, Of: of}) }
		}
		p, pl, err := m.Make(now.Problem, now.Plan, look, proven)
		if fault.Is(err, fault.Stopped) {
			return Side{}, notReady()
		}
		q := *now
		q.Problem, q.Plan, q.Cut = p, pl, false
		s.Plan, s.Name = &q, withMore(m.Why)
		return s, err
	}
	return Side{}, fault.Newf(fault.NotFound, key, "there is no such plan to set beside this one").
		WithHint("now, out, hours, days, tank, trucks, hands, mixer, store, loads, fewer, habit or care=1 in 20; some need a plan taken out, a mixer or a store")
}

// The rules that need knowledge a habit does without, and those that a plan taken
// out may break since more is known.
var (
	habitual  = map[verify.Rule]bool{verify.Need: true, verify.Room: true, verify.Stop: true, verify.Store: true, verify.Empty: true, verify.Ready: true}
	overtaken = map[verify.Rule]bool{verify.Need: true, verify.Room: true, verify.Stop: true, verify.Store: true, verify.Held: true, verify.Feeder: true,
		verify.Day: true, verify.Tank: true, verify.Payload: true, verify.Work: true, verify.Gate: true, verify.Road: true, verify.Stock: true, verify.Empty: true, verify.Ready: true}
)

// judged takes pl for the side's plan and notes the rules it breaks. One it may
// not break is a mistake of ours: an error.
func (s *Side) judged(pl feeding.Plan, may map[verify.Rule]bool) error {
	q := *s.Plan
	q.Plan, q.Cut = pl, false
	n := map[verify.Rule]int{}
	for _, f := range Verify(&q.Problem, &pl) {
		if !may[f.Rule] {
			return proven(&q.Problem, &pl)
		}
		n[f.Rule]++
	}
	for _, b := range brokenSays {
		if n[b.rule] > 0 {
			b.why.Amounts = []any{n[b.rule]}
			s.Notes = append(s.Notes, b.why)
		}
	}
	s.Plan = &q
	return nil
}

// brokenSays puts the rules into words, those of the bees first.
var brokenSays = []struct {
	rule verify.Rule
	why  feeding.Reason
}{
	{verify.Held, feeding.Reason{Code: "breaks-held", Say: "it gives syrup to hives that may get none: {0}"}},
	{verify.Need, feeding.Reason{Code: "breaks-need", Say: "it gives hives more than they need: {0}"}},
	{verify.Room, feeding.Reason{Code: "breaks-room", Say: "it gives hives more than their comb has space for: {0}"}},
	{verify.Stop, feeding.Reason{Code: "breaks-stop", Say: "it makes fills of which not all can be taken by the stop day: {0}"}},
	{verify.Feeder, feeding.Reason{Code: "breaks-feeder", Say: "it makes fills that the feeder does not hold: {0}"}},
	{verify.Day, feeding.Reason{Code: "breaks-day", Say: "it calls on days that are not good for a round there: {0}"}},
	{verify.Tank, feeding.Reason{Code: "breaks-tank", Say: "it has loads that are more than the tank holds: {0}"}},
	{verify.Payload, feeding.Reason{Code: "breaks-payload", Say: "it has loads that are more than the truck may carry: {0}"}},
	{verify.Work, feeding.Reason{Code: "breaks-work", Say: "it has days with more work than time: {0}"}},
	{verify.Gate, feeding.Reason{Code: "breaks-gate", Say: "it has work at a yard whose gate is shut, or a truck in two places at once: {0}"}},
	{verify.Road, feeding.Reason{Code: "breaks-road", Say: "it takes ways that are not known: {0}"}},
	{verify.Stock, feeding.Reason{Code: "breaks-stock", Say: "it drives out syrup that is not there: {0}"}},
	{verify.Ready, feeding.Reason{Code: "breaks-ready", Say: "it has loads that leave before what they carry is mixed: {0}"}},
	{verify.Empty, feeding.Reason{Code: "breaks-empty", Say: "it leaves feeders empty that should never be: {0}"}},
	{verify.Store, feeding.Reason{Code: "breaks-store", Say: "it keeps more overnight than the store holds: {0}"}},
}

// sideOut is what is left to do of the plan taken out last, by what is known
// now: what it gives each hive, on which day, with today's needs, roads and hours.
func (st *State) sideOut(now *Planned, at units.Moment) (Side, error) {
	s := Side{Key: SideOut, Plan: now, Name: sideOut}
	id, doc, ok := st.lastOut()
	if !ok {
		return Side{}, fault.New(fault.Missing, "", "no plan is taken out").WithHint("take one out on the Plan page")
	}
	p := &now.Problem
	yard := map[string]string{}
	for i := range p.Hives {
		yard[p.Hives[i].Colony] = p.Hives[i].Yard
	}
	var loads []feeding.Load
	late, gone, truck := map[int]bool{}, map[string]bool{}, map[int]bool{}
	st.stillOpen(id, &doc, func(l *LoadDoc, c *StopDoc, f *FillDoc) {
		switch {
		case l.Day < p.Start:
			late[l.N] = true
			return
		case yard[f.Colony] != c.Yard:
			gone[f.Colony] = true
			return
		}
		n := len(loads)
		if n == 0 || loads[n-1].N != l.N {
			x := feeding.Load{N: l.N, Day: l.Day, Truck: l.Truck, From: l.From, To: l.To, Leave: units.Duration(l.LeaveMin) * units.Minute}
			for _, r := range l.Reasons {
				x.Why = append(x.Why, feeding.Reason{Code: r.Code, Say: r.Say})
			}
			if len(p.Rigs) > 0 && !slices.ContainsFunc(p.Rigs, func(r feeding.Rig) bool { return r.Truck == l.Truck }) {
				x.Truck, truck[l.N] = p.Rigs[0].Truck, true
			}
			loads, n = append(loads, x), n+1
		}
		x := &loads[n-1]
		k := len(x.Stops)
		if k == 0 || x.Stops[k-1].Yard != c.Yard {
			x.Stops, k = append(x.Stops, feeding.Stop{Yard: c.Yard}), k+1
		}
		x.Stops[k-1].Fills = append(x.Stops[k-1].Fills, feeding.Fill{Colony: f.Colony, Volume: units.Volume(f.FillL)})
	})
	var batches []feeding.Batch
	for _, b := range doc.Batches {
		batches = append(batches, feeding.Batch{Day: b.Day, Syrup: units.Volume(b.SyrupL)})
	}
	note := func(code, say string, n int) {
		if n > 0 {
			s.Notes = append(s.Notes, feeding.Reason{Code: code, Say: say, Amounts: []any{n}})
		}
	}
	note("out-late", "loads of it whose day is over and of which something is not written down; that is left out here: {0}", len(late))
	note("out-gone", "hives of it that are no more, or stand in another yard, and are left out here: {0}", len(gone))
	note("out-truck", "loads of it whose truck is no longer told; reckoned with another: {0}", len(truck))
	pl := feeding.Reckon(p, loads, batches, func(h *feeding.Hive, f feeding.Fate) []feeding.Reason {
		if f.Given == 0 {
			return []feeding.Reason{{Code: "out-none", Say: "the plan taken out has nothing more for it, and it needs {0}", Amounts: []any{h.Need}}}
		}
		return []feeding.Reason{{Code: "out-less", Say: "the plan taken out has {0} more for it, and it needs {1}", Amounts: []any{f.Given, h.Need}}}
	})
	if r, ok := st.Replan(now, at); ok {
		s.Why = map[string][]feeding.Reason{}
		for _, c := range r.Changes {
			s.Why[c.Colony] = c.Why
		}
	}
	return s, s.judged(pl, overtaken)
}

// sideFewer is the plan without the load that is missed least.
func sideFewer(now *Planned) (Side, error) {
	k, ok := leastMissed(now)
	if !ok {
		return Side{}, fault.New(fault.Missing, "", "there is no load that could be left out by itself")
	}
	left := &now.Loads[k]
	s := Side{Key: SideFewer, Plan: now, Name: feeding.Reason{Code: "side-fewer", Say: "the plan without load {0}, of all loads the one missed least", Amounts: []any{left.N}}}
	lost, before := map[string]units.Volume{}, map[string][]feeding.Reason{}
	for _, c := range left.Stops {
		for _, f := range c.Fills {
			lost[f.Colony] += f.Volume
		}
	}
	for _, u := range now.Unmet {
		before[u.Colony] = u.Why
	}
	pl := feeding.Reckon(&now.Problem, slices.Delete(slices.Clone(now.Loads), k, k+1), now.Batches, func(h *feeding.Hive, _ feeding.Fate) []feeding.Reason {
		why := before[h.Colony]
		if v := lost[h.Colony]; v > 0 {
			why = append([]feeding.Reason{{Code: "left-out", Say: "load {0}, which has {1} for it, is left out", Amounts: []any{left.N, v}}}, why...)
		}
		if len(why) == 0 {
			why = []feeding.Reason{{Code: "crumb", Say: "less than is worth a visit"}}
		}
		return why
	})
	return s, s.judged(pl, map[verify.Rule]bool{verify.Store: true, verify.Empty: true}) // what it would have driven out may be in the way
}

// leastMissed finds the load whose litres weigh least, by the risk of who gets
// them: of those that set out from home and end there, the last of equals.
func leastMissed(now *Planned) (int, bool) {
	risk := make(map[string]float64, len(now.Problem.Hives))
	for i := range now.Problem.Hives {
		risk[now.Problem.Hives[i].Colony] = now.Problem.Hives[i].Risk
	}
	best, least := -1, math.Inf(1)
	for i := range now.Loads {
		l := &now.Loads[i]
		if l.From != "" || l.To != "" {
			continue
		}
		var lost float64
		for _, c := range l.Stops {
			for _, f := range c.Fills {
				lost += f.Volume.L() * risk[f.Colony]
			}
		}
		if cmp.Compare(lost, least) <= 0 {
			best, least = i, lost
		}
	}
	return best, best >= 0
}
