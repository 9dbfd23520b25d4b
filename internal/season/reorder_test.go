package season_test

import (
	"testing"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/internal/units"
)

func TestReorder(t *testing.T) {
	m := made{t, newSmall(t)}
	walk := func() string { return m.names("mill") }
	for _, c := range []struct {
		hive string
		up   bool
		want string
		n    int
	}{{"m2", true, "m2 m1 m3", 2}, {"m2", true, "m2 m1 m3", 0}, {"m1", false, "m2 m3 m1", 2}, {"h1", true, "m2 m3 m1", 0}} {
		facts := m.st().Reorder("mill", c.hive, c.up)
		if len(facts) != c.n {
			t.Errorf("%s: %d facts, want %d", c.hive, len(facts), c.n)
		}
		for _, f := range facts {
			m.s.add(5, f)
		}
		if walk() != c.want {
			t.Errorf("%s up %v: %s, want %s", c.hive, c.up, walk(), c.want)
		}
	}
	// A hive nobody gave a place stands first and gets one when it is moved.
	m.s.add(5, apiary.Moved{Colony: "m1", Yard: "mill"})
	for _, f := range m.st().Reorder("mill", "m1", false) {
		m.s.add(6, f)
	}
	if walk() != "m2 m1 m3" {
		t.Error(walk())
	}
	if w := m.st().Winter("mill", units.Moment{}); w != apiary.Temperate {
		t.Error(w)
	}
}

func TestWay(t *testing.T) {
	s := newSmall(t)
	st := s.journal(t).AsOf(at)
	if r, told, ok := st.Way("mill", at); !ok || told || r.Dist < 5*units.Kilometre || r.Dist > 12*units.Kilometre {
		t.Errorf("%v %v %v", r, told, ok) // 5.6 km as the crow flies
	}
	s.add(1, season.Road{To: "mill", Dist: 9 * units.Kilometre})
	if r, told, ok := s.journal(t).AsOf(at).Way("mill", at); !ok || !told || r.Dist != 9*units.Kilometre {
		t.Errorf("%v %v %v", r, told, ok)
	}
	empty := season.NewJournal().AsOf(at)
	if _, _, ok := empty.Way("mill", at); ok {
		t.Error("a way to nowhere")
	}
}
