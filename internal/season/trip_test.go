package season_test

import (
	"encoding/json"
	"reflect"
	"slices"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/stores"
	"larder/internal/units"
)

// takeOut makes the plan as of at and takes it out.
func (s *small) takeOut(t *testing.T, d int) (string, season.PlanDoc) {
	t.Helper()
	now := units.OnDay(day(d))
	st := s.journal(t).AsOf(now)
	p, err := st.Plan(now, 1)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := p.Doc(now, st.Settings.Style())
	if err != nil {
		t.Fatal(err)
	}
	raw, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	s.add(d, season.PlanOut{Plan: "p", Content: raw})
	return "p", doc
}

func (s *small) trip(t *testing.T, n, d int) season.Trip {
	t.Helper()
	now := units.OnDay(day(d))
	trip, err := s.journal(t).AsOf(now).Trip("", n, now)
	if err != nil {
		t.Fatal(err)
	}
	return trip
}

func hiveOf(t *testing.T, trip *season.Trip, colony string) season.TripHive {
	t.Helper()
	for _, s := range trip.Stops {
		for _, h := range append(slices.Clone(s.Hives), s.Others...) {
			if h.Colony == colony {
				return h
			}
		}
	}
	t.Fatalf("no %s on the trip", colony)
	return season.TripHive{}
}

func TestTripIsThePlanTakenOut(t *testing.T) {
	s := newSmall(t)
	s.add(1, season.Setting{Key: "rig.pump", Value: "6 L/min"})
	id, doc := s.takeOut(t, 4)
	for _, l := range doc.Loads {
		trip := s.trip(t, l.N, 5)
		if trip.Plan != id || trip.Day != l.Day || trip.Syrup.L() != l.LoadL || trip.Of != len(doc.Loads) {
			t.Errorf("load %d: %+v", l.N, trip)
		}
		for i, st := range l.Stops {
			var sum units.Volume
			for k, f := range st.Fills {
				h := trip.Stops[i].Hives[k]
				if h.Colony != f.Colony || h.Plan.L() != f.FillL {
					t.Errorf("load %d stop %d: %+v, the plan has %+v", l.N, i, h, f)
				}
				if want := f.FillL * 10; h.Pump < units.Duration(want-1e-9) || h.Pump > units.Duration(want+1e-9) { // 6 L/min = 10 s a litre
					t.Errorf("%s pumps %v s for %v L", h.Colony, h.Pump, f.FillL)
				}
				sum += h.Plan
			}
			if trip.Stops[i].Syrup != sum {
				t.Errorf("stop %d: %v, fills are %v", i, trip.Stops[i].Syrup, sum)
			}
		}
	}
	if _, err := s.journal(t).AsOf(at).Trip("", 99, at); err == nil {
		t.Error("load 99 was found")
	}
	if _, err := newSmall(t).journal(t).AsOf(at).Trip("", 1, at); err == nil {
		t.Error("a trip without a plan taken out")
	}
}

func TestTripKnowsWhatIsWrittenDown(t *testing.T) {
	s := newSmall(t)
	_, doc := s.takeOut(t, 4)
	first := doc.Loads[0]
	f := first.Stops[0].Fills[0]
	s.add(5, ledger.Left{Colony: f.Colony, Volume: litres(0.5)})
	s.add(5, ledger.Given{Colony: f.Colony, Feed: ledger.Syrup, Volume: litres(2), Plan: season.OnPlan("p", 1)})
	undone := s.add(5, ledger.Given{Colony: f.Colony, Feed: ledger.Syrup, Volume: litres(3), Plan: season.OnPlan("p", 1)})
	s.add(5, season.Strike{Fact: undone, Why: "undone"})
	trip := s.trip(t, 1, 5)
	h := hiveOf(t, &trip, f.Colony)
	if len(h.Done) != 1 || h.Done[0].Volume != 2 || trip.Given != 2 || trip.Visits != 1 {
		t.Errorf("%+v, trip %v given, %d visits", h.Done, trip.Given, trip.Visits)
	}
	if h.Left != 0.5 || h.LeftAt.Day() != day(5) {
		t.Errorf("left %v at %v", h.Left, h.LeftAt)
	}
	// What does not say its load counts for the first that has nothing yet; what
	// says another load is not of this one.
	s.add(6, ledger.NotFed{Colony: f.Colony, Why: "robbing", Plan: "p"})
	s.add(6, ledger.Given{Colony: f.Colony, Feed: ledger.Syrup, Volume: litres(1), Plan: season.OnPlan("p", 77)})
	trip = s.trip(t, 1, 6)
	served := 0
	for _, l := range doc.Loads {
		for _, st := range l.Stops {
			for _, x := range st.Fills {
				if x.Colony == f.Colony {
					served++
				}
			}
		}
	}
	want := 1
	if served == 1 { // nowhere else to count it
		want = 2
	}
	if h := hiveOf(t, &trip, f.Colony); len(h.Done) != want {
		t.Errorf("%d loads serve it; done on the first: %+v", served, h.Done)
	}
}

func TestTripTellsWhoMustNotBeFed(t *testing.T) {
	s := newSmall(t)
	_, doc := s.takeOut(t, 4)
	f := doc.Loads[0].Stops[0].Fills[0]
	s.add(5, apiary.Look{Colony: f.Colony, Super: apiary.Yes})
	trip := s.trip(t, 1, 5)
	if h := hiveOf(t, &trip, f.Colony); len(h.Hold) != 1 || h.Hold[0].Code != "hold-super" || h.Plan == 0 {
		t.Errorf("%+v", h)
	}
	s.add(6, apiary.Ended{Colony: f.Colony, State: apiary.Dead})
	trip = s.trip(t, 1, 6)
	if h := hiveOf(t, &trip, f.Colony); !h.Elsewhere {
		t.Errorf("dead, and still here: %+v", h)
	}
	q := hiveOf(t, &trip, f.Colony)
	if n := q.Quarters(); len(n) != 5 || n[0] != 0 || n[4] <= n[3] {
		t.Errorf("quarters %v of %v", n, q.Holds)
	}
}

func TestVisitBodies(t *testing.T) {
	zero, two := units.Entered[units.Volume]{}, litres(2)
	lb := units.In(units.Mass(40))
	for _, c := range []struct {
		name string
		v    season.Visit
		want []any
	}{
		{"nothing", season.Visit{}, nil},
		{"left before given, note once", season.Visit{Left: &zero, Given: &two, Note: "n"}, []any{
			ledger.Left{Colony: "a", Volume: units.Entered[units.Volume]{As: "0 L"}},
			ledger.Given{Colony: "a", Feed: ledger.Syrup, Volume: two, Plan: "p/1", Note: "n"}}},
		{"full says what is left", season.Visit{NotFed: "full", Holds: 8}, []any{
			ledger.NotFed{Colony: "a", Why: "full", Plan: "p/1"}, ledger.Left{Colony: "a", Volume: units.In(units.Volume(8))}}},
		{"what was seen goes before what full means", season.Visit{NotFed: "full", Holds: 8, Left: &two}, []any{
			ledger.Left{Colony: "a", Volume: two}, ledger.NotFed{Colony: "a", Why: "full", Plan: "p/1"}}},
		{"dead", season.Visit{NotFed: "dead"}, []any{ledger.NotFed{Colony: "a", Why: "dead", Plan: "p/1"},
			apiary.Ended{Colony: "a", State: apiary.Dead, Cause: "unknown"}}},
		{"heft", season.Visit{Heft: stores.Light, Note: "n"}, []any{stores.Reading{Colony: "a", Way: stores.Hand, Heft: stores.Light, Note: "n"}}},
		{"weight", season.Visit{Weight: &lb, Way: stores.LiftOne}, []any{stores.Reading{Colony: "a", Way: stores.LiftOne, Lift1: lb}}},
		{"note alone", season.Visit{Note: "n"}, []any{apiary.Look{Colony: "a", Note: "n"}}},
	} {
		c.v.Colony, c.v.Plan = "a", "p/1"
		got, err := c.v.Bodies()
		if err != nil || !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s: %v\n%#v\n%#v", c.name, err, got, c.want)
		}
		for _, b := range got {
			f := season.Fact{ID: season.ID{1}, Seen: at, Body: b}
			if err := f.Check(); err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
		}
	}
	for _, v := range []season.Visit{{Given: &two, NotFed: "full"}, {NotFed: "no idea"}} {
		if _, err := v.Bodies(); err == nil {
			t.Errorf("%+v was taken", v)
		}
	}
}

func TestReplanSaysWhatChangedAndWhy(t *testing.T) {
	s := newSmall(t)
	_, doc := s.takeOut(t, 4)
	again := func(d int) season.Replan {
		t.Helper()
		now := units.OnDay(day(d))
		st := s.journal(t).AsOf(now)
		p, err := st.Plan(now, 1)
		if err != nil {
			t.Fatal(err)
		}
		r, ok := st.Replan(&p, now)
		if !ok {
			t.Fatal("no plan was taken out")
		}
		return r
	}
	if r := again(4); !r.Same() || r.WasSyrup <= 0 || r.WasSyrup-r.IsSyrup > 0.01 || r.IsSyrup-r.WasSyrup > 0.01 {
		t.Errorf("nothing happened, and the plan moved: %+v", r)
	}
	// All goes by the plan but for one colony, which gets half of its first fill
	// and another that is not fed at all.
	half, none := doc.Loads[0].Stops[0].Fills[0], ""
	for _, st := range doc.Loads[0].Stops {
		for _, f := range st.Fills {
			plan := season.OnPlan("p", 1)
			switch {
			case f.Colony == half.Colony:
				s.add(5, ledger.Given{Colony: f.Colony, Feed: ledger.Syrup, Volume: litres(f.FillL / 2), Plan: plan})
			case none == "":
				none = f.Colony
				s.add(5, ledger.NotFed{Colony: f.Colony, Why: "refused", Plan: plan})
			default:
				s.add(5, ledger.Given{Colony: f.Colony, Feed: ledger.Syrup, Volume: litres(f.FillL), Plan: plan})
			}
		}
	}
	r := again(5)
	got := map[string]season.Change{}
	for _, c := range r.Changes {
		got[c.Colony] = c
	}
	if c := got[half.Colony]; !c.More() || c.Why[0].Code != "replan-less" {
		t.Errorf("%s got half: %+v", half.Colony, c)
	}
	if none != "" {
		if c := got[none]; c.Is != 0 && c.Why[0].Code != "replan-not-fed-refused" {
			t.Errorf("%s refused: %+v", none, c)
		}
	}
	// Half a feeder more left than thought: it says so.
	s.add(7, ledger.Left{Colony: half.Colony, Volume: litres(half.FillL / 2)})
	for _, c := range again(7).Changes {
		if c.Colony == half.Colony && c.Why[0].Code != "replan-left-more" {
			t.Errorf("all of it left: %+v", c.Why)
		}
	}
}

// After a first stop was filled by half, the plan made anew says what changed and
// why. How quick that is for 1,500 hives, BenchmarkReplan1500 tells.
func TestReplanSaysWhatChanged(t *testing.T) {
	j := season.NewJournal()
	if _, err := j.Add(herd(300)...); err != nil {
		t.Fatal(err)
	}
	now := units.OnDay(units.DayOf(2026, time.September, 10))
	st := j.Now()
	p, err := st.Plan(now, 1)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := p.Doc(now, st.Settings.Style())
	if err != nil {
		t.Fatal(err)
	}
	raw, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	add := func(n int, body any) {
		if _, err := j.Add(season.Fact{ID: booktest.ID(900000 + n), Seen: now, Body: body}); err != nil {
			t.Fatal(err)
		}
	}
	add(0, season.PlanOut{Plan: "p", Content: raw})
	n := 0
	for _, s := range doc.Loads[0].Stops {
		for _, f := range s.Fills {
			n++
			add(n, ledger.Given{Colony: f.Colony, Feed: ledger.Syrup, Volume: litres(f.FillL / 2), Plan: season.OnPlan("p", 1)})
		}
	}
	st = j.Now()
	p, err = st.Plan(now, 1)
	if err != nil {
		t.Fatal(err)
	}
	r, ok := st.Replan(&p, now)
	if !ok || len(r.Changes) == 0 {
		t.Errorf("%d hives logged, %d changes", n, len(r.Changes))
	}
}
