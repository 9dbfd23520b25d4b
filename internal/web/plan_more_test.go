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
	for _, c := range l {
		a.has(st.Say(c.Why.Say, c.Why.Amounts), st.Volume(c.Less), st.Duration(c.Saves), st.Road(c.Road))
	}
}
