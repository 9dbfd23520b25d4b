package season_test

import (
	"encoding/json"
	"math/rand/v2"
	"testing"

	"larder/internal/fault"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/stores"
	"larder/internal/units"
)

// yardFills gives what colonies of each yard get on which day.
func yardFills(p *season.Planned) map[string]map[string]units.Volume {
	out := map[string]map[string]units.Volume{}
	for _, l := range p.Loads {
		for _, s := range l.Stops {
			if out[s.Yard] == nil {
				out[s.Yard] = map[string]units.Volume{}
			}
			for _, f := range s.Fills {
				out[s.Yard][f.Colony+" "+l.Day.String()] += f.Volume
			}
		}
	}
	return out
}

// A plan made anew while one is out starts from what is still to be done of it,
// keeps most yards as they are, and goes into all of them again when anything
// else than a colony is new. Each is worked through a second time by Plan.
func TestPlanAnewStartsFromTheOneOut(t *testing.T) {
	j := season.NewJournal()
	if _, err := j.Add(herd(600)...); err != nil {
		t.Fatal(err)
	}
	now := units.OnDay(units.DayOf(2026, 9, 10))
	n := 0
	add := func(body any) {
		t.Helper()
		n++
		if _, err := j.Add(season.Fact{ID: booktest.ID(900000 + n), Seen: now, Body: body}); err != nil {
			t.Fatal(err)
		}
	}
	plan := func() season.Planned {
		t.Helper()
		p, err := j.Now().Plan(now, 1)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	first := plan()
	if first.Problem.Before != nil {
		t.Fatal("there is no plan out yet")
	}
	doc, err := first.Doc(now, j.Now().Settings.Style())
	if err != nil {
		t.Fatal(err)
	}
	raw, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	add(season.PlanOut{Plan: "p", Content: raw})
	p := plan()
	if p.Problem.Before == nil || p.Problem.Fresh {
		t.Fatal("the plan out is not what it starts from")
	}
	was := yardFills(&first)
	if is := yardFills(&p); !sameYards(was, is, len(was)) {
		t.Error("nothing new, and the plan moved")
	}
	// Random entries, one after the other: fills as planned and otherwise, hives
	// weighed anew.
	r := rand.New(rand.NewPCG(3, 4))
	for range 12 {
		l := doc.Loads[r.IntN(len(doc.Loads))]
		s := l.Stops[r.IntN(len(l.Stops))]
		f := s.Fills[r.IntN(len(s.Fills))]
		switch r.IntN(4) {
		case 0:
			add(ledger.NotFed{Colony: f.Colony, Why: "robbing", Plan: season.OnPlan("p", l.N)})
		case 1:
			add(stores.Reading{Colony: f.Colony, Way: stores.Full, Gross: units.In(units.Mass(34 + 20*r.Float64()))})
		default:
			add(ledger.Given{Colony: f.Colony, Feed: ledger.Syrup, Volume: units.In(units.Volume(f.FillL * (0.3 + r.Float64()))), Plan: season.OnPlan("p", l.N)})
		}
		p = plan()
		if p.Problem.Before == nil { // a plan from it broke a rule and was put aside
			t.Fatal("the plan out was put aside")
		}
		if p.Problem.Fresh {
			t.Error("only a colony is new, and all yards are gone into")
		}
	}
	// At most twelve yards have news, and some share loads with them.
	if is := yardFills(&p); !sameYards(was, is, 10) {
		t.Errorf("of %d yards fewer than ten stay as they were", len(was))
	}
	// Of what is written down nothing is still to be done.
	done := map[string]int{}
	for _, l := range p.Problem.Before.Loads {
		for _, s := range l.Stops {
			for _, f := range s.Fills {
				done[f.Colony]++
			}
		}
	}
	left := 0
	for _, l := range doc.Loads {
		for _, s := range l.Stops {
			left += len(s.Fills)
		}
	}
	for _, k := range done {
		left -= k
	}
	if left < 6 || left > 12 {
		t.Errorf("%d fills of the plan out are done, 12 entries were made", left)
	}
	// Days go by, with little of the plan done: what is past is planned anew.
	for d := range 2 {
		p, err := j.Now().Plan(units.OnDay(now.Day()+units.Day(d)), 1)
		if err != nil || p.Problem.Before == nil || d > 0 && !p.Problem.Fresh {
			t.Fatal(d, err, p.Problem.Before == nil, p.Problem.Fresh)
		}
	}
	add(season.Setting{Key: "rig.tank", Value: "1200 L"})
	if p = plan(); p.Problem.Before == nil || !p.Problem.Fresh {
		t.Error("another tank, and not all yards are gone into")
	}
}

// sameYards tells whether at least n yards are as they were, to a handy step.
func sameYards(was, is map[string]map[string]units.Volume, n int) bool {
	same := 0
	for y, fills := range was {
		ok := len(is[y]) == len(fills)
		for k, v := range fills {
			d := (v - is[y][k]).L()
			ok = ok && d < 0.3 && d > -0.3
		}
		if ok {
			same++
		}
	}
	return same >= n
}

// What was found so far is a plan: it keeps every rule, says that it was cut
// short, and is never had where it is only stopped.
func TestPlanSoFar(t *testing.T) {
	j := season.NewJournal()
	if _, err := j.Add(herd(300)...); err != nil {
		t.Fatal(err)
	}
	now := units.OnDay(units.DayOf(2026, 9, 10))
	st := j.Now()
	whole, err := st.PlanSoFar(now, 1, nil, nil, func() bool { return false })
	if err != nil || whole.Cut {
		t.Fatal(err, whole.Cut)
	}
	plain, err := st.Plan(now, 1)
	if err != nil || !sameYards(yardFills(&plain), yardFills(&whole), len(whole.Problem.Yards)) {
		t.Error("looking on changes the plan", err)
	}
	cut, err := st.PlanSoFar(now, 1, nil, nil, func() bool { return true })
	if err != nil || !cut.Cut || len(cut.Loads) == 0 || cut.Iterations >= whole.Iterations {
		t.Fatal(err, cut.Cut, len(cut.Loads), cut.Iterations, whole.Iterations)
	}
	if broken := season.Verify(&cut.Problem, &cut.Plan); len(broken) > 0 {
		t.Error(broken)
	}
	if r := cut.Reasons[len(cut.Reasons)-1]; r.Code != "cut" || r.Amounts[0] != cut.Iterations {
		t.Errorf("%+v", r)
	}
	if _, err := st.PlanSoFar(now, 1, nil, func(g season.Progress) bool { return !g.Found }, func() bool { return false }); !fault.Is(err, fault.Stopped) {
		t.Errorf("stopped it gives %v", err)
	}
}
