package season_test

import (
	"testing"

	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// Stopped at once or midway, what would change the plan is no answer at all.
func TestWhatWouldChangeStops(t *testing.T) {
	s := newSmall(t)
	p, err := s.journal(t).AsOf(units.OnDay(day(5))).Plan(units.OnDay(day(5)), 1)
	if err != nil {
		t.Fatal(err)
	}
	all, err := p.WhatWouldChange(nil)
	if err != nil || len(all) < 3 {
		t.Fatal(err, len(all))
	}
	for stop := range 3 {
		n := 0
		l, err := p.WhatWouldChange(func(g season.Progress) bool { n++; return n <= stop })
		if !fault.Is(err, fault.Stopped) || l != nil {
			t.Errorf("stopped after %d: %v %v", stop, l, err)
		}
	}
}
