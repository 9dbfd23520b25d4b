package season

import (
	"cmp"
	"math"
	"slices"

	"larder/internal/apiary"
	"larder/internal/feeding"
	"larder/internal/ledger"
	"larder/internal/stores"
	"larder/internal/units"
)

// Replan is what changes when the plan is made anew after what was written down
// since it was taken out.
type Replan struct {
	Plan            string       // id of the plan taken out
	Taken           units.Moment // when
	WasSyrup        units.Volume // of it still to be given
	IsSyrup         units.Volume // by the new plan
	WasLoads        int          // of it not begun
	IsLoads         int
	WasLast, IsLast units.Day // day of the last load; 0 = none
	Changes         []Change  // by yard, stand, then name
	Unserved        []feeding.Unmet
}

// Same tells whether the plan taken out still stands.
func (r *Replan) Same() bool { return len(r.Changes) == 0 }

// Counts tells how many colonies get more and how many less.
func (r *Replan) Counts() (more, less int) {
	for i := range r.Changes {
		if r.Changes[i].More() {
			more++
		} else {
			less++
		}
	}
	return more, less
}

// In gives the changes in a yard, n at most: those by the most first, ties as
// they stand.
func (r *Replan) In(yard string, n int) []Change {
	var out []Change
	for _, c := range r.Changes {
		if c.Yard == yard {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b Change) int { return cmp.Compare(math.Abs((b.Is - b.Was).L()), math.Abs((a.Is - a.Was).L())) })
	return out[:min(n, len(out))]
}

// Change is a colony that is to get more or less than the plan taken out had
// still for it.
type Change struct {
	Colony string
	Yard   string
	Was    units.Volume // still to be given by the plan taken out
	Is     units.Volume
	Why    []feeding.Reason
}

// More tells whether it gets more than before.
func (c *Change) More() bool { return c.Is > c.Was }

// Replan sets the plan as it stands against the one taken out last: which
// colonies get more or less from here on, and why. ok is false when none was
// taken out. A change smaller than half the handy step is none: nobody pours it.
func (st *State) Replan(now *Planned, at units.Moment) (Replan, bool) {
	id, doc, ok := st.lastOut()
	if !ok || now == nil {
		return Replan{}, false
	}
	r := Replan{Plan: id, Taken: doc.AsOf, IsLoads: len(now.Loads), IsLast: now.LastDay(), Unserved: now.NotServed()}
	was := st.stillOut(id, &doc, &r)
	is := map[string]units.Volume{}
	for _, c := range now.Colonies {
		is[c.Colony] = c.Given
		r.IsSyrup += c.Given
	}
	t := teller{st: st, b: st.bench(at), plan: id, since: doc.AsOf, at: at, fill: map[string]map[int]units.Volume{}}
	t.index(&doc)
	least := t.b.figs.V("feeding.step_l") / 2
	short := map[string]*Short{}
	for i := range now.Short {
		short[now.Short[i].Colony.ID] = &now.Short[i]
	}
	yards := map[string]bool{}
	for _, c := range doc.Colonies {
		yards[c.Yard] = true
	}
	for _, c := range st.Colonies() {
		w, n := was[c.ID], is[c.ID]
		if math.Abs((n-w).L()) < least || w == 0 && !yards[c.Yard] {
			continue
		}
		r.Changes = append(r.Changes, Change{Colony: c.ID, Yard: c.Yard, Was: w, Is: n, Why: t.why(c, short[c.ID])})
	}
	return r, true
}

// stillOut gives what the plan taken out had for each colony and is not written
// down yet.
func (st *State) stillOut(id string, doc *PlanDoc, r *Replan) map[string]units.Volume {
	was := map[string]units.Volume{}
	last := 0
	st.stillOpen(id, doc, func(l *LoadDoc, _ *StopDoc, f *FillDoc) {
		was[f.Colony] += units.Volume(f.FillL)
		r.WasSyrup += units.Volume(f.FillL)
		if l.N != last {
			last = l.N
			r.WasLoads++
			r.WasLast = max(r.WasLast, l.Day)
		}
	})
	return was
}

// teller says why things changed since a plan was taken out.
type teller struct {
	st        *State
	b         *bench
	plan      string
	since, at units.Moment
	fill      map[string]map[int]units.Volume // by colony and load; load 0 = its first
}

func (t *teller) index(doc *PlanDoc) {
	for _, l := range doc.Loads {
		for _, s := range l.Stops {
			for _, f := range s.Fills {
				m := t.fill[f.Colony]
				if m == nil {
					m = map[int]units.Volume{0: units.Volume(f.FillL)}
					t.fill[f.Colony] = m
				}
				m[l.N] += units.Volume(f.FillL)
			}
		}
	}
}

// why tells what was seen of a colony since the plan was taken out, the latest
// first; failing that, why it is held or that the plan as a whole moved.
func (t *teller) why(c *Colony, s *Short) []feeding.Reason {
	var why []feeding.Reason
	for i, e := range slices.Backward(c.Events) {
		if !t.at.Covers(e.Seen) || t.since.Covers(e.Seen) && t.since.Covers(e.WrittenAt()) {
			continue
		}
		if r, ok := t.says(c, i, e); ok {
			why = append(why, r)
		}
	}
	if s != nil {
		why = append(why, s.Hold...)
	}
	if len(why) == 0 {
		why = append(why, feeding.Reason{Code: "replan-moved", Say: "nothing new is known of it; days, weather or loads moved"})
	}
	return why
}

// says puts one new fact into a reason; false for one that moves no plan.
func (t *teller) says(c *Colony, i int, e *Fact) (feeding.Reason, bool) {
	say := func(code, s string, amounts ...any) (feeding.Reason, bool) {
		return feeding.Reason{Code: code, Say: s, Amounts: amounts}, true
	}
	switch b := e.Body.(type) {
	case ledger.Given:
		if b.Colony != c.ID || b.Feed != ledger.Syrup {
			return feeding.Reason{}, false
		}
		n, on := onPlan(b.Plan, t.plan)
		planned := t.fill[c.ID][n]
		switch d := (b.Volume.Q - planned).L(); {
		case !on || planned == 0:
			return say("replan-extra", "it got {0} that was not in the plan", b.Volume.Q)
		case d > aboutLitres:
			return say("replan-more", "it got {0}, more than the {1} planned", b.Volume.Q, planned)
		case d < -aboutLitres:
			return say("replan-less", "it got {0}, less than the {1} planned", b.Volume.Q, planned)
		}
		return say("replan-given", "it got {0} as planned", b.Volume.Q)
	case ledger.NotFed:
		return say("replan-not-fed-"+cmp.Or(b.Why, "other"), "it was not fed: "+notFedSays(b.Why))
	case ledger.Left:
		return t.left(c, i, b)
	case stores.Reading:
		return say("replan-reading", "it was weighed or hefted anew")
	case apiary.Ended:
		return say("replan-ended", "it is no more")
	case apiary.United:
		return say("replan-united", "it was united")
	}
	return feeding.Reason{}, false
}

// Differences that nobody pours or sees: of a fill, and of a look into a feeder.
const (
	aboutLitres = 0.05
	lookLitres  = 0.25
)

// left tells whether less or more was left than was thought.
func (t *teller) left(c *Colony, i int, left ledger.Left) (feeding.Reason, bool) {
	before := *c
	before.Events = c.Events[:i]
	var j Judged
	t.b.look(&before, c.Events[i].Seen, &j)
	thought := t.st.runFeeder(&before, c.Events[i].Seen.Day(), t.b.uptake(&before, &j)).Now
	d := left.Volume.Q.L() - thought.Mean
	r := feeding.Reason{Code: "replan-left", Say: "{0} was left in the feeder", Amounts: []any{left.Volume.Q}}
	switch {
	case thought.Known && d > lookLitres:
		r.Code, r.Say = "replan-left-more", "{0} was left, more than the {1} thought: it took less"
		r.Amounts = append(r.Amounts, units.Volume(thought.Mean))
	case thought.Known && d < -lookLitres:
		r.Code, r.Say = "replan-left-less", "{0} was left, less than the {1} thought: it took more"
		r.Amounts = append(r.Amounts, units.Volume(thought.Mean))
	}
	return r, true
}

var notFedWords = map[string]string{
	"full": "the feeder was still full", "refused": "it left its feed", "robbing": "robbing", "drowned": "drowned bees", "dead": "it is dead",
	"queenless": "it looks queenless", "leak": "the feeder leaks", "wasps": "wasps", "super": "a honey super is on",
}

func notFedSays(why string) string { return cmp.Or(notFedWords[why], "another reason") }
