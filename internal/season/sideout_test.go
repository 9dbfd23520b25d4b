package season_test

import (
	"encoding/json"
	"math"
	"testing"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

// The plan taken out stands as it was while nothing is new. Weighed again, a hive
// needs less than it has for it, and another may be fed no more: that is told as
// what it breaks, and why, beside the plan made anew.
func TestTakenOutBesideNow(t *testing.T) {
	s := newSmall(t)
	at := units.OnDay(day(5))
	first, err := s.journal(t).AsOf(at).Plan(at, 1)
	if err != nil || len(first.Loads) == 0 {
		t.Fatal(err, len(first.Loads))
	}
	doc, err := first.Doc(at, units.Style{})
	if err != nil {
		t.Fatal(err)
	}
	raw, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	s.add(5, season.PlanOut{Plan: "p", Content: raw})
	beside := func() (season.Comparison, season.Side) {
		t.Helper()
		st := s.journal(t).AsOf(at)
		p, err := st.Plan(at, 1)
		if err != nil {
			t.Fatal(err)
		}
		now, err1 := st.Side(&p, at, season.SideNow, 1, nil)
		out, err2 := st.Side(&p, at, season.SideOut, 1, nil)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		return season.Compare(&out, &now), out
	}
	c, out := beside()
	if !c.Same() || len(out.Notes) > 0 || len(out.Plan.Loads) != len(first.Loads) {
		t.Errorf("nothing is new, and they differ: %+v %+v", c.Rows(), out.Notes)
	}
	fed := map[string]float64{}
	for _, p := range first.Colonies {
		fed[p.Colony] = p.Given.L()
	}
	if fed["m1"] < 1 || fed["h1"] < 1 {
		t.Fatalf("m1 and h1 should be fed: %v", fed)
	}
	s.add(5, stores.Reading{Colony: "m1", Way: stores.Full, Gross: units.In(units.Mass(43))})
	s.add(5, apiary.Look{Colony: "h1", Super: apiary.Yes})
	c, out = beside()
	codes := map[string]bool{}
	for _, n := range out.Notes {
		codes[n.Code] = true
	}
	if !codes["breaks-need"] || !codes["breaks-held"] {
		t.Errorf("want it told that m1 gets too much and that h1 may get none: %+v", out.Notes)
	}
	seen := map[string]bool{}
	for _, h := range c.Differing() {
		seen[h.Colony] = true
		if h.Colony == "m1" && (math.Abs(h.A.Given.L()-fed["m1"]) > 1e-6 || h.B.Given >= h.A.Given || len(h.Reasons()) == 0) {
			t.Errorf("m1: %+v", h)
		}
	}
	if !seen["m1"] || !seen["h1"] || c.Same() {
		t.Errorf("m1 and h1 should differ: %v", seen)
	}
}
