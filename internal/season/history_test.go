package season_test

import (
	"testing"

	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

func TestHistoryHidesNothing(t *testing.T) {
	s := newSmall(t)
	wrong := s.add(4, stores.Reading{Colony: "m1", Way: stores.Full, Gross: units.In(units.Mass(83))})
	s.add(4, season.Strike{Fact: wrong, Why: "misread"})
	j := s.journal(t)
	h := j.ColonyHistory("m1")
	if len(h) != 4 { // placed, look, two readings
		t.Fatalf("%d facts about m1", len(h))
	}
	if h[0].ID != wrong || h[0].InForce {
		t.Errorf("the struck reading must be there and not count: %+v", h[0])
	}
	for _, e := range h[1:] {
		if !e.InForce {
			t.Errorf("%s does not count", e.Kind())
		}
	}
	if got := j.ColonyHistory("nobody"); got != nil {
		t.Error(got)
	}
	set := j.SettingHistory("rig.tank")
	if len(set) != 1 || set[0].Body.(season.Setting).Value != "150 L" {
		t.Errorf("%v", set)
	}
}

func TestSupposeSettings(t *testing.T) {
	st := newSmall(t).journal(t).AsOf(at)
	before := season.Sum(st.Short(at))
	other, err := st.SupposeSettings(season.Setting{Key: "figure.stores.bees_unseen_kg", Value: "1"}, season.Setting{Key: "rig.tank", Value: "300 L"},
		season.Setting{Key: "figure.feeding.care_cap_kg", Value: "0"})
	if err != nil {
		t.Fatal(err)
	}
	if other.Settings.Tank != 300 || st.Settings.Tank != 150 {
		t.Errorf("tanks %v and %v", other.Settings.Tank, st.Settings.Tank)
	}
	if after := season.Sum(other.Short(at)); after.Syrup >= before.Syrup {
		t.Errorf("without the reserve for doubt %v is given, with it %v", after.Syrup, before.Syrup)
	}
	if again := season.Sum(st.Short(at)); again != before {
		t.Errorf("supposing changed the state: %v, was %v", again, before)
	}
	back, err := other.SupposeSettings(season.Setting{Key: "figure.feeding.care_cap_kg"})
	if err != nil {
		t.Fatal(err)
	}
	if back.Value("figure.feeding.care_cap_kg") != "" || back.Value("rig.tank") != "300 L" {
		t.Error("taking one setting back must leave the others")
	}
	for _, bad := range []season.Setting{{Key: "rig.tanks", Value: "1 L"}, {Key: "rig.tank", Value: "plenty"}} {
		if _, err := st.SupposeSettings(bad); err == nil {
			t.Errorf("%v was taken", bad)
		}
	}
}

func TestCountIsInspectWithoutTheDigest(t *testing.T) {
	facts := newSmall(t).journal(t).Facts(units.Moment{})
	a, b := season.Count(facts), season.Inspect(facts)
	if a.Facts != b.Facts || len(a.Kinds) != len(b.Kinds) || a.First != b.First || a.Last != b.Last {
		t.Errorf("%+v, %+v", a, b)
	}
	n := 0
	for _, g := range season.SettingGroups() {
		n += len(g.Keys)
	}
	if n != len(season.SettingKeys()) {
		t.Errorf("%d settings in groups, %d in all", n, len(season.SettingKeys()))
	}
}
