package feeding

import (
	"strings"
	"testing"

	"larder/internal/units"
)

// crumbly is a yard of one colony that needs need litres into a feeder of 5, and
// takes 3 a day, with a round every other day.
func crumbly(need float64) Problem {
	p := tiny()
	p.Hives, p.Yards = p.Hives[:1], p.Yards[:1]
	h := &p.Hives[0]
	h.Feeder, h.Uptake = 5, 3
	h.Need = units.Volume(need)
	return p
}

// TestNoRoundForACrumb: a quarter litre more than a feeder holds does not ask for
// a second round, and the plan says so; half a litre does.
func TestNoRoundForACrumb(t *testing.T) {
	pl := mustMake(t, crumbly(5.25))
	u := unmetOf(pl, "h1")
	if pl.Totals.Loads != 1 || u == nil || u.Volume.L() > 0.26 || len(u.Why) != 1 || u.Why[0].Code != "step" || !strings.Contains(u.Why[0].Say, "no round is made for it") {
		t.Errorf("want one load and a quarter litre listed\n%s", dump(pl))
	}
	pl = mustMake(t, crumbly(5.5))
	if pl.Totals.Loads != 2 || len(pl.Unmet) > 0 {
		t.Errorf("half a litre is no crumb\n%s", dump(pl))
	}
	// What is needed in all is no more than a step: nobody drives out for it …
	pl = mustMake(t, crumbly(0.25))
	if pl.Totals.Loads != 0 || unmetOf(pl, "h1") == nil {
		t.Errorf("a round for a quarter litre\n%s", dump(pl))
	}
	// … but it is given where the truck calls anyway.
	p := crumbly(0.25)
	h := p.Hives[0]
	h.Colony, h.Need, h.Stand = "h2", 4, 2
	p.Hives = append(p.Hives, h)
	if pl = mustMake(t, p); len(pl.Unmet) > 0 || pl.Totals.Loads != 1 {
		t.Errorf("want both fed by the one load\n%s", dump(pl))
	}
	// And a second round that is made for another takes the crumb along.
	p = crumbly(5.25)
	h.Need = 8
	p.Hives = append(p.Hives, h)
	if pl = mustMake(t, p); len(pl.Unmet) > 0 || pl.Totals.Loads != 2 {
		t.Errorf("want both served in full by two loads\n%s", dump(pl))
	}
}
