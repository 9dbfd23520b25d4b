package web

import (
	"encoding/json"
	"strings"
	"testing"

	"larder/internal/apiary"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/stores"
	"larder/internal/units"
)

func TestReadingsSheetIsInWalkingOrder(t *testing.T) {
	s := newSmallSite(t)
	a := s.get("/readings")
	a.has("5 hives in walking order", "Mill Lane", "now ", "stores not known")
	for i, want := range []string{"h1", "h2", "m1", "m2", "m3"} {
		if got := a.field("hive." + string(rune('0'+i))); got != want {
			t.Errorf("row %d is %s, want %s", i, got, want)
		}
	}
	a = s.get("/readings?yard=mill&way=lift2&unit=kg")
	if a.field("hive.0") != "m1" || a.field("way") != "lift2" || a.field("unit") != "kg" || a.field("day") != "2026-09-04" {
		t.Error("the sheet is not the one asked for")
	}
	a.hasNot("h1")
}

func TestReadingsOfAnEmptyHouse(t *testing.T) {
	a := newSite(t, smallNow).get("/readings")
	a.has("No hives yet. Paste or type; we will make the hives for you.")
}

func TestReadingsAreSavedAsOneAct(t *testing.T) {
	s := newSmallSite(t)
	to := s.done("/readings", "yard", "", "way", "full", "unit", "lb", "day", "2026-09-04",
		"hive.0", "h1", "first.0", "81",
		"hive.1", "h2", "first.1", "-",
		"hive.2", "m1", "first.2", "39 kg", "feeder.2", "0", "note.2", "windy",
		"hive.3", "m2", "first.3", "",
		"hive.4", "m3", "first.4", "heavy")
	facts := s.marked()
	if len(facts) != 4 {
		t.Fatalf("%d facts: %+v", len(facts), facts)
	}
	want := []stores.Reading{
		{Colony: "h1", Way: stores.Full, Gross: units.Entered[units.Mass]{Q: 81 * units.Pound, As: "81 lb"}},
		{Colony: "m1", Way: stores.Full, Gross: units.In(units.Mass(39)), Note: "windy", InFeeder: units.Entered[units.Volume]{As: "0 US qt"}},
	}
	for i, w := range want {
		got := facts[i].Body.(stores.Reading)
		if got.Colony != w.Colony || got.Gross != w.Gross || got.Note != w.Note || got.InFeeder != w.InFeeder || facts[i].Seen != units.OnDay(sept(4)) {
			t.Errorf("fact %d: %+v, want %+v", i, got, w)
		}
	}
	if l := facts[2].Body.(ledger.Left); l.Colony != "m1" || l.Volume.Q != 0 {
		t.Errorf("the feeder: %+v", l)
	}
	if h := facts[3].Body.(stores.Reading); h.Way != stores.Hand || h.Heft != stores.Heavy {
		t.Errorf("the heft: %+v", h)
	}
	a := s.get(to)
	a.has("Saved 4 readings.")
	if !strings.Contains(a.Body, "data-saved") {
		t.Error("the page does not tell the script that its draft is saved")
	}
	// One act, one undo.
	act := to[strings.LastIndex(to, "=")+1:]
	s.done("/undo", "act", act, "back", "/readings")
	if u := s.marked(); len(u) != 4 {
		t.Errorf("undo wrote %d facts", len(u))
	}
}

func TestReadingsThatCannotBeTakenKeepAllThatWasTyped(t *testing.T) {
	s := newSmallSite(t)
	form := []string{"yard", "", "way", "full", "unit", "lb", "day", "4 Sep", "hive.0", "h1", "first.0", "8x1", "hive.1", "h2", "first.1", "84", "note.1", "by the gate", "hive.2", "m1", "first.2", "0"}
	a := s.post("/readings", form...)
	if a.Code != 422 || len(s.marked()) != 0 {
		t.Fatalf("answered %d", a.Code)
	}
	a.has("There is a problem", "Save 1, leave 2", "m1: 0 lb must be between 2 lb and 1102 lb")
	for name, want := range map[string]string{"first.0": "8x1", "first.1": "84", "note.1": "by the gate", "first.2": "0", "day": "4 Sep"} {
		if got := a.field(name); got != want {
			t.Errorf("%s is now %q, want %q", name, got, want)
		}
	}
	if !strings.Contains(a.Body, "<title>Error: ") {
		t.Error("the title does not say so")
	}
	// The good one is saved, the bad ones stay typed and marked.
	to := s.done("/readings", append(form, "leave", "1")...)
	if f := s.marked(); len(f) != 1 || f[0].Body.(stores.Reading).Colony != "h2" {
		t.Fatalf("facts %+v", f)
	}
	a = s.get(to)
	a.has("Saved 1 reading.")
	for name, want := range map[string]string{"first.0": "8x1", "first.1": "", "first.2": "0", "day": "4 Sep"} {
		if got := a.field(name); got != want {
			t.Errorf("afterwards %s is %q, want %q", name, got, want)
		}
	}
	if n := strings.Count(a.Body, `aria-invalid="true"`); n != 2 {
		t.Errorf("%d cells marked", n)
	}
}

func TestReadingsThatAreUnlikelyAreAskedAboutOnce(t *testing.T) {
	s := newSmallSite(t)
	form := []string{"way", "full", "unit", "lb", "hive.0", "m1", "first.0", "415"}
	a := s.post("/readings", form...)
	if a.Code != 422 {
		t.Fatalf("answered %d", a.Code)
	}
	a.has("unlikely – keep?", "Save them as they are")
	kept := ""
	for i := range 5 {
		if v := a.field("kept." + string(rune('0'+i))); v != "" {
			kept = v
		}
	}
	s.done("/readings", append(form, "kept.0", kept)...)
	if f := s.marked(); len(f) != 1 {
		t.Errorf("facts %+v", f)
	}
	// Another slip in its place is asked about anew.
	form[7] = "515"
	if a := s.post("/readings", append(form, "kept.0", kept)...); a.Code != 422 {
		t.Errorf("another slip: %d", a.Code)
	}
}

func TestReadingsNothingTypedAndDaysThatCannotBe(t *testing.T) {
	s := newSmallSite(t)
	a := s.post("/readings", "hive.0", "m1", "first.0", "-")
	if a.Code != 422 {
		t.Errorf("nothing typed: %d", a.Code)
	}
	a.has("Nothing was typed")
	for _, day := range []string{"10/11", "soon", "2026-09-05"} {
		a = s.post("/readings", "day", day, "hive.0", "m1", "first.0", "85")
		if a.Code != 422 || a.field("day") != day || a.field("first.2") != "85" {
			t.Errorf("%s: %d", day, a.Code)
		}
	}
	if f := s.marked(); len(f) != 0 {
		t.Errorf("facts %+v", f)
	}
}

func TestReadingsDeadHive(t *testing.T) {
	s := newSmallSite(t)
	s.done("/readings", "hive.0", "m2", "first.0", "d")
	if f := s.marked(); len(f) != 1 || f[0].Body.(apiary.Ended).Colony != "m2" {
		t.Fatalf("facts %+v", f)
	}
	s.get("/readings").hasNot("m2")
}

func TestReadingsJudgeAnswersForTheRowsSent(t *testing.T) {
	s := newSmallSite(t)
	judge := func(pairs ...string) []judgedRow {
		t.Helper()
		a := s.post("/readings/judge", pairs...)
		var out struct{ Rows []judgedRow }
		if err := json.Unmarshal([]byte(a.Body), &out); err != nil || a.Code != 200 {
			t.Fatalf("%d %s %v", a.Code, a.Body, err)
		}
		return out.Rows
	}
	rows := judge("way", "full", "unit", "lb", "day", "2026-09-04",
		"hive.7", "h2", "first.7", "84", "hive.9", "m1", "first.9", "415", "hive.11", "m2", "first.11", "x", "hive.12", "m3", "first.12", "-")
	if len(rows) != 4 || rows[0].Row != 7 || rows[3].Row != 12 {
		t.Fatalf("rows %+v", rows)
	}
	if r := rows[0]; r.Read != "84 lb" || !strings.Contains(r.Say, "lb stores, short") || len(r.Ask) != 0 || r.Key != "84|||" {
		t.Errorf("h2: %+v", r)
	}
	if r := rows[1]; len(r.Ask) == 0 {
		t.Errorf("415 lb: %+v", r)
	}
	if r := rows[2]; r.Bad[season.CellFirst].Say == "" {
		t.Errorf("x: %+v", r)
	}
	if r := rows[3]; !r.NotRead {
		t.Errorf("-: %+v", r)
	}
	if f := s.marked(); len(f) != 0 {
		t.Errorf("judging wrote %+v", f)
	}
	// What it says is what Who is short says once it is kept.
	s.done("/readings", "way", "full", "unit", "lb", "hive.0", "h2", "first.0", "84")
	s.get("/readings").has("now " + rows[0].Say)
}
