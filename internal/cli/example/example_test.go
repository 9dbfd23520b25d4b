package example_test

import (
	"io/fs"
	"testing"
	"time"

	"larder/internal/cli/example"
	"larder/internal/feeding"
	"larder/internal/folder"
	"larder/internal/season"
	"larder/internal/units"
)

func state(t *testing.T) (*season.State, units.Moment) {
	t.Helper()
	sub, err := fs.Sub(example.Files, "season")
	if err != nil {
		t.Fatal(err)
	}
	facts, err := folder.Read(sub)
	if err != nil {
		t.Fatal(err)
	}
	sky, err := example.Weather()
	if err != nil {
		t.Fatal(err)
	}
	j := season.NewJournal()
	if _, err := j.Add(append(facts, sky...)...); err != nil {
		t.Fatal(err)
	}
	at, err := units.ParseMoment(example.Day, time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	return j.AsOf(at), at
}

// TestOddCases holds the cases the season was invented for.
func TestOddCases(t *testing.T) {
	st, at := state(t)
	p, err := st.Plan(at, 1)
	if err != nil {
		t.Fatal(err)
	}
	if trouble := feeding.Check(p.Problem, p.Plan); len(trouble) > 0 {
		t.Error(trouble)
	}
	short := map[string]*season.Short{}
	for i := range p.Short {
		short[p.Short[i].Colony.ID] = &p.Short[i]
	}
	if len(short) != 38 {
		t.Errorf("%d living colonies, want 40 less a dead-out and one united", len(short))
	}
	if _, there := short["m7"]; there {
		t.Error("the dead-out m7 is judged")
	}
	if x := short["m3"]; x.Lack.Syrup > 1 || !x.Lack.Known {
		t.Errorf("the heavy m3 gets %v, more than next to nothing", x.Lack.Syrup)
	}
	has := func(id, code string) {
		t.Helper()
		for _, r := range short[id].Why() {
			if r.Code == code {
				return
			}
		}
		t.Errorf("%s: no reason %q in %v", id, code, short[id].Why())
	}
	has("m10", "below-empty") // kilograms in the pound column: a question, not an average
	has("m12", "hold-queenless")
	has("c4", "hold-refuses")
	has("c7", "hold-disease")
	has("r2", "hold-super")
	has("r9", "weak")
	has("n6", "ask-super")
	has("n2", "fed-since")
	if short["r10"].Lack.Known {
		t.Error("r10 was never weighed")
	}
	served := map[string]bool{}
	for _, l := range p.Loads {
		for _, s := range l.Stops {
			for _, f := range s.Fills {
				served[f.Colony] = true
			}
		}
	}
	unmet := map[string]bool{}
	for _, u := range p.NotServed() {
		unmet[u.Colony] = true
		if len(u.Why) == 0 {
			t.Errorf("%s is not served and nobody says why", u.Colony)
		}
	}
	for _, id := range []string{"m10", "m12", "c4", "c7", "r2", "r9", "r10", "n6"} {
		if served[id] || !unmet[id] {
			t.Errorf("%s: served %v, listed as unmet %v", id, served[id], unmet[id])
		}
	}
}

func TestTheFutureIsNotKnown(t *testing.T) {
	st, at := state(t)
	for _, d := range st.Weather(example.Station) {
		if d.Day > at.Day() {
			t.Fatalf("weather of %v is known on %v", d.Day, at)
		}
	}
}
