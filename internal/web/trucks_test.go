package web

import (
	"net/http"
	"net/url"
	"testing"

	"larder/internal/season"
	"larder/internal/units"
)

// trucksOfPlan gives on which days each truck drives out.
func (s *site) trucksOfPlan() map[string][]units.Day {
	s.t.Helper()
	out := map[string][]units.Day{}
	s.srv.house.view(func(st *season.State, at units.Moment) {
		p, err := st.Plan(at, planSeed)
		if err != nil {
			s.t.Fatal(err)
		}
		for _, l := range p.Loads {
			out[l.Truck] = append(out[l.Truck], l.Day)
		}
	})
	return out
}

func TestFurtherTruck(t *testing.T) {
	s := newSmallSite(t)
	s.get("/rig/trucks").has("No further truck is told.", "Days unlike the others")
	// The first stays at home where its tank is gone; then the new one drives.
	s.done("/rig/trucks/usual", "rig.truck", "pickup", "rig.tank", "", "crew.per_day", "8", "crew.begins", "7 am", "crew.people", "2", "crew.loads_per_day", "2")
	b := s.bodies()
	if len(b) != 6 || b[0] != (season.Setting{Key: "rig.truck", Value: "pickup"}) || b[1] != (season.Setting{Key: "rig.tank"}) {
		t.Fatalf("%+v", b)
	}
	s.done("/rig/trucks", "name", "flatbed", "tank", "100", "payload", "1800 lb", "per_day", "8", "loads", "3")
	b = s.bodies()
	if len(b) != 1 || b[0] != (season.Truck{Name: "flatbed", Tank: units.MustVolume("100 US gal"), Payload: units.MustMass("1800 lb"), PerDay: 8 * units.Hour, Loads: 3}) {
		t.Fatalf("%+v", b)
	}
	if d := s.trucksOfPlan()["flatbed"]; len(d) == 0 {
		t.Fatalf("the flatbed does not drive: %v", s.trucksOfPlan())
	}
	s.get("/rig/trucks").has("flatbed", "100 US gal", "1800 lb", "Fri 4 Sep")
	s.get("/rig").has("Trucks and working days", "1 further truck")
	// What cannot be read stays as typed at its box; a name that is there is asked
	// about.
	bad := s.post("/rig/trucks", "name", "flatbed", "tank", "plenty", "payload", "90000 lb", "loads", "2.5", "gone", "1")
	if bad.Code != 422 || bad.field("tank") != "plenty" || bad.field("payload") != "90000 lb" || bad.field("name") != "flatbed" || len(s.bodies()) != 0 {
		t.Error(bad.Code)
	}
	s.post("/rig/trucks", "loads", "2").has("the name of the truck is missing", "what the tank holds")
	bad.has("there is a truck flatbed already", "90,000 lb is more than can be", "is not a whole number")
	// Changed: what is shown and left as it is stays to the last digit.
	c := s.get("/rig/trucks?truck=flatbed")
	form := []string{"was", "flatbed", "tank", c.field("tank"), "payload", c.field("payload"), "pump", c.field("pump"), "per_hive", c.field("per_hive"), "filling", c.field("filling"), "per_day", c.field("per_day"), "loads", c.field("loads")}
	s.done("/rig/trucks", form...)
	if b := s.bodies(); len(b) != 0 {
		t.Errorf("saving what is there wrote %+v", b)
	}
	s.done("/rig/trucks", append(form, "gone", "1")...)
	if b := s.bodies(); len(b) != 1 || !b[0].(season.Truck).Gone || b[0].(season.Truck).Tank != units.MustVolume("100 US gal") {
		t.Errorf("%+v", b)
	}
	s.get("/rig/trucks").has("no longer used")
	// Taken back, it was never told.
	s.done("/rig/trucks/strike", "fact", s.lastID(func(b any) bool { _, is := b.(season.Truck); return is }))
	s.get("/rig/trucks").has("No further truck is told.")
	if a := s.post("/rig/trucks/strike", "fact", s.lastID(func(b any) bool { _, is := b.(season.Truck); return is })); a.Code != 404 {
		t.Error(a.Code)
	}
}

func TestDaysUnlikeTheOthers(t *testing.T) {
	s := newSmallSite(t)
	first := s.trucksOfPlan()["truck"]
	if len(first) == 0 || first[0] > sept(7) {
		t.Fatalf("nothing is driven out at once: %v: this test could not fail", s.trucksOfPlan())
	}
	s.done("/rig/trucks/days", "work_day", "4 Sep 2026", "work_until", "7 Sep", "work_off", "1", "work_note", "away")
	if b := s.bodies(); len(b) != 4 || b[3] != (season.WorkingDay{Day: sept(7), Off: true, Note: "away"}) {
		t.Fatalf("%+v", b)
	}
	for truck, days := range s.trucksOfPlan() {
		for _, d := range days {
			if d <= sept(7) {
				t.Errorf("%q drives on %s, when nobody works", truck, d)
			}
		}
	}
	a := s.get("/rig/trucks?day=2026-09-05")
	a.has("nobody works", "Sat 5 Sep", "away")
	if a.field("work_day") != "2026-09-05" || a.field("work_note") != "away" {
		t.Errorf("%q", a.field("work_day"))
	}
	bad := s.post("/rig/trucks/days", "work_day", "some day", "work_per_day", "25", "work_people", "many")
	if bad.Code != 422 || bad.field("work_day") != "some day" || bad.field("work_per_day") != "25" || bad.field("work_people") != "many" || len(s.bodies()) != 0 {
		t.Error(bad.Code)
	}
	s.done("/rig/trucks/days/strike", "fact", s.lastID(func(b any) bool { d, is := b.(season.WorkingDay); return is && d.Day == sept(5) }))
	s.srv.house.view(func(st *season.State, _ units.Moment) {
		if d := st.WorkingDays(); len(d) != 3 || d[1].Day != sept(6) {
			t.Errorf("%+v", d)
		}
	})
	// The usual day, wrongly told.
	bad = s.post("/rig/trucks/usual", "rig.tank", "plenty", "crew.begins", "early", "crew.people", "0")
	if bad.Code != 422 || bad.field("rig.tank") != "plenty" || bad.field("crew.begins") != "early" {
		t.Error(bad.Code)
	}
	// Other settings are not set here.
	s.marked()
	s.done("/rig/trucks/usual", "house.units", "metric")
	if b := s.bodies(); len(b) != 0 {
		t.Errorf("%+v", b)
	}
}

// A phone of the owner's reads what is told of trucks and days; it is told at home,
// as the rig is. A helper tells none of it, nor gates, days of a yard and needs.
func TestWhoTellsTrucksAndDays(t *testing.T) {
	h := newHomeSite(t, "plain")
	day := url.Values{"work_day": {"19 Sep"}, "work_off": {"1"}}
	if a := h.ask(from("127.0.0.1", http.MethodPost, "/rig/trucks/days", day)); a.Code != http.StatusSeeOther {
		t.Errorf("%d", a.Code)
	}
	a := h.ask(from("192.168.1.30", http.MethodGet, "/rig/trucks", nil, phoneCookie, h.ann))
	a.has("Sat 19 Sep")
	a.hasNot("Add a truck", "Tell a day", "Take back")
	for _, path := range []string{"/rig/trucks", "/rig/trucks/usual", "/rig/trucks/strike", "/rig/trucks/days", "/rig/trucks/days/strike"} {
		if a := h.ask(from("192.168.1.30", http.MethodPost, path, day, phoneCookie, h.ann)); a.Code != http.StatusForbidden {
			t.Errorf("%s from a phone: %d", path, a.Code)
		}
	}
	gate := url.Values{"opens": {"8 am"}}
	if a := h.ask(from("192.168.1.30", http.MethodPost, "/yards/mill/gate", gate, phoneCookie, h.ann)); a.Code != http.StatusSeeOther {
		t.Errorf("a gate from a phone: %d", a.Code)
	}
	h.ask(from("192.168.1.30", http.MethodGet, "/yards/mill", nil, phoneCookie, h.ann)).has("from 08:00", "Ann's phone")
	for _, path := range []string{"/rig/trucks/days", "/yards/mill/gate", "/yards/mill/days", "/yards/mill/strike", "/hives/m1/need"} {
		if a := h.ask(from("192.168.1.50", http.MethodPost, path, gate, ownerCookie, h.eva)); a.Code != http.StatusForbidden {
			t.Errorf("%s from a helper: %d", path, a.Code)
		}
	}
}
