package web

import (
	"strings"
	"testing"

	"larder/internal/ledger"
	"larder/internal/stores"
)

func TestReadOneGoesFromHiveToHive(t *testing.T) {
	s := newSmallSite(t)
	a := s.get("/readings/one?yard=mill")
	a.has("m1", "1 of 3", "Save and next", "Skip")
	to := s.done("/readings/one", "yard", "mill", "hive", "m1", "way", "full", "unit", "kg", "first", "39", "feeder", "0")
	if f := s.marked(); len(f) != 2 || f[0].Body.(stores.Reading).Gross.Q != 39 || f[1].Body.(ledger.Left).Volume.IsZero() || f[0].Seen.DayOnly() {
		t.Errorf("facts %+v", f)
	}
	a = s.get(to)
	a.has("m2", "Saved 2 readings.")
	if a.field("unit") != "kg" {
		t.Error("the unit is forgotten")
	}
	// The last goes back to the sheet; a hive not read is no fact.
	if to := s.done("/readings/one", "yard", "mill", "hive", "m3", "first", "-"); !strings.HasPrefix(to, "/readings?") {
		t.Errorf("after the last to %s", to)
	}
	if f := s.marked(); len(f) != 0 {
		t.Errorf("facts %+v", f)
	}
}

func TestReadOneKeepsWhatWasTyped(t *testing.T) {
	s := newSmallSite(t)
	a := s.post("/readings/one", "hive", "m1", "way", "lift2", "unit", "lb", "first", "48", "second", "4x", "note", "wet")
	if a.Code != 422 || a.field("first") != "48" || a.field("second") != "4x" || a.field("note") != "wet" {
		t.Errorf("%d", a.Code)
	}
	a = s.post("/readings/one", "hive", "m1", "first", "415")
	if a.Code != 422 {
		t.Fatalf("%d", a.Code)
	}
	a.has("Keep it and next")
	s.done("/readings/one", "hive", "m1", "first", "415", "kept", a.field("kept"))
	if a := s.post("/readings/one", "hive", "m1", "first", ""); a.Code != 422 {
		t.Errorf("nothing typed: %d", a.Code)
	}
	if a := s.post("/readings/one", "hive", "nobody", "first", "40"); a.Code != 404 {
		t.Errorf("no such hive: %d", a.Code)
	}
	newSite(t, smallNow).get("/readings/one").has("No hives yet")
}
