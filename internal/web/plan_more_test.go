package web

import (
	"testing"

	"larder/internal/season"
	"larder/internal/units"
)

// What would change the plan is worked out only when asked for, and the page
// says what the season says.
func TestPlanWhatWouldChange(t *testing.T) {
	s := newExampleSite(t)
	s.get("/plan").has("Work out what would change it")
	a := s.get("/plan?more=yes")
	a.hasNot("Work out what would change it")
	var p season.Planned
	var st units.Style
	s.srv.house.view(func(state *season.State, at units.Moment) {
		var err error
		st = state.Settings.Style()
		if p, err = state.Plan(at, planSeed); err != nil {
			t.Fatal(err)
		}
	})
	l, err := p.WhatWouldChange(nil)
	if err != nil || len(l) < 3 {
		t.Fatal(err, l)
	}
	some, none := season.Parted(l)
	if len(some) == 0 || len(none) == 0 {
		t.Fatalf("%d change something, %d nothing: the example should have both", len(some), len(none))
	}
	a.has("It comes to the same with:")
	for _, c := range none {
		a.has(st.Say(c.Why.Say, c.Why.Amounts))
	}
	for _, c := range some {
		a.has(st.Say(c.Why.Say, c.Why.Amounts))
		if c.Less != 0 {
			a.has(st.Volume(c.Less))
		}
		if c.Saves != 0 {
			a.has(st.Duration(c.Saves))
		}
		if c.Road != 0 {
			a.has(st.Road(c.Road))
		}
	}
}
