package web

import (
	"encoding/json"
	"math"
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"testing"

	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

func us(as string, gal float64) units.Entered[units.Volume] {
	return units.Entered[units.Volume]{Q: units.Volume(gal) * units.USGallon, As: as}
}

func TestGivenOfAnEmptyLog(t *testing.T) {
	s := newSmallSite(t)
	s.get("/given").has("Nothing given yet.", "Record given and left")
	newSite(t, smallNow).get("/given/sheet").has("There is no yard yet.")
}

func TestGivenSheetHasTheComingLoad(t *testing.T) {
	s := newSmallSite(t)
	a := s.get("/given/sheet?yard=mill")
	a.has("By the plan as it stands", "All got what was planned", "m1", "m3")
	if !strings.Contains(a.Body, `data-word="CAUTION"`) {
		t.Error("no caution against robbing")
	}
	if a.field("given.0") == "" || a.field("given.0") != a.field("was.0") || a.field("given.2") != "" {
		t.Errorf("planned amounts %q %q %q", a.field("given.0"), a.field("given.1"), a.field("given.2"))
	}
	// Without a yard it is that of the coming load; of other feed nothing is planned.
	s.get("/given/sheet").has("By the plan as it stands")
	s.get("/given/sheet?yard=mill&feed=fondant").hasNot("As planned", "Left, qt")
}

func TestGivenSheetSavesTicksExceptionsAndLeft(t *testing.T) {
	s := newSmallSite(t)
	var want units.Volume // of the plan
	s.srv.house.view(func(st *season.State, at units.Moment) {
		plan, err := st.Plan(at, planSeed)
		if err != nil {
			t.Fatal(err)
		}
		c, _ := st.Coming("mill", &plan)
		want = c.Fill("m1")
	})
	a := s.get("/given/sheet?yard=mill")
	to := s.done("/given/sheet", "yard", "mill", "feed", "syrup", "day", "2026-09-04",
		"hive.0", "m1", "was.0", a.field("was.0"), "given.0", a.field("given.0"), "tick.0", "1", "left.0", "0",
		"hive.1", "m2", "was.1", a.field("was.1"), "given.1", "6",
		"hive.2", "m3", "was.2", "", "given.2", "", "why.2", "wasps", "note.2", "big nest")
	f := s.marked()
	if len(f) != 4 {
		t.Fatalf("facts %+v", f)
	}
	if l := f[0].Body.(ledger.Left); l.Colony != "m1" || l.Volume.IsZero() || l.Volume.Q != 0 {
		t.Errorf("left first: %+v", l)
	}
	if g := f[1].Body.(ledger.Given); g.Colony != "m1" || g.Volume != units.In(want) || want <= 0 {
		t.Errorf("as planned: %+v", g)
	}
	if g := f[2].Body.(ledger.Given); g.Colony != "m2" || g.Volume != us("6 US qt", 1.5) {
		t.Errorf("exception: %+v", g)
	}
	if n := f[3].Body.(ledger.NotFed); n.Colony != "m3" || n.Why != "wasps" || n.Note != "big nest" {
		t.Errorf("not fed: %+v", n)
	}
	s.get(to).has("Saved 4 entries.", "not fed: Wasps", "given 6 US qt of syrup", "2 fills")
}

func TestGivenSheetOfAPlanTakenOut(t *testing.T) {
	s := newSmallSite(t)
	s.done("/plan/out")
	out := s.marked()[0].Body.(season.PlanOut)
	a := s.get("/given/sheet?yard=mill")
	a.has("of the plan taken out")
	s.done("/given/sheet", "yard", "mill", "all", "1", "hive.0", "m1", "was.0", a.field("was.0"), "given.0", a.field("given.0"), "hive.1", "m2", "was.1", a.field("was.1"), "given.1", a.field("given.1"))
	f := s.marked()
	var doc season.PlanDoc
	if err := json.Unmarshal(out.Content, &doc); err != nil {
		t.Fatal(err)
	}
	if len(f) == 0 {
		t.Fatal("nothing was written")
	}
	for _, x := range f {
		g := x.Body.(ledger.Given)
		if !strings.HasPrefix(g.Plan, out.Plan+"/") {
			t.Errorf("it does not refer to the trip: %+v", g)
		}
	}
}

func TestGivenSheetKeepsWhatWasTyped(t *testing.T) {
	s := newSmallSite(t)
	a := s.post("/given/sheet", "yard", "mill", "feed", "syrup", "day", "4 Sep", "hive.0", "m1", "given.0", "lots", "left.0", "1 qt", "hive.1", "m2", "given.1", "1", "note.1", "new can")
	if a.Code != 422 || len(s.marked()) > 0 {
		t.Fatalf("%d", a.Code)
	}
	for name, want := range map[string]string{"given.0": "lots", "left.0": "1 qt", "given.1": "1", "note.1": "new can", "day": "4 Sep"} {
		if got := a.field(name); got != want {
			t.Errorf("%s is now %q, want %q", name, got, want)
		}
	}
	if !strings.Contains(a.Body, `aria-invalid="true"`) {
		t.Error("the cell is not marked")
	}
	if a := s.post("/given/sheet", "yard", "mill"); a.Code != 422 {
		t.Errorf("nothing typed: %d", a.Code)
	}
	if a := s.post("/given/sheet", "yard", "mill", "day", "2026-12-01", "hive.0", "m1", "given.0", "1"); a.Code != 422 {
		t.Errorf("a day to come: %d", a.Code)
	}
}

func TestGivenInKilograms(t *testing.T) {
	s := newSmallSite(t)
	s.done("/given/sheet", "yard", "mill", "feed", "fondant", "hive.0", "m1", "given.0", "5")
	s.done("/given/sheet", "yard", "mill", "feed", "frames", "hive.0", "m1", "given.0", "2 kg", "from.0", "m3")
	f := s.marked()
	if g := f[0].Body.(ledger.Given); g.Feed != ledger.Fondant || g.Mass.String() != "5 lb" {
		t.Errorf("%+v", g)
	}
	if g := f[1].Body.(ledger.Given); g.From != "m3" || g.Mass.Q != 2 {
		t.Errorf("%+v", g)
	}
	s.get("/given").has("given 5 lb of fondant", "given 4 lb of sealed frames from m3")
}

func TestGivenLogFiltersAndAsks(t *testing.T) {
	facts := smallSeason(t)
	for i, b := range []any{
		ledger.Given{Colony: "m1", Feed: ledger.Syrup, Volume: us("1 US gal", 1)},
		ledger.Given{Colony: "h1", Feed: ledger.Syrup, Volume: us("2 US gal", 2)},
		ledger.Left{Colony: "m1", Volume: us("3 US gal", 3)},
		ledger.Left{Colony: "h1", Volume: us("0.5 US gal", 0.5)},
	} {
		facts = append(facts, season.Fact{ID: season.ID{0x01, 0x99, 6: 0x70, 8: 0x80, 14: byte(i + 1)}, Seen: units.OnDay(sept(2 + i/2)), Body: b})
	}
	s := newSite(t, smallNow, facts...)
	a := s.get("/given")
	a.has("To be checked", "check hive m1", "Wed 2 Sep 2026", "Thu 3 Sep 2026", "2 fills, 3 US gal of syrup", "1.5 US gal")
	s.get("/given?yard=hill").hasNot("m1")
	s.get("/given?hive=m1").hasNot("h1 ")
	a = s.get("/given?kind=left&from=3+Sep")
	a.has("left 3 US gal")
	a.hasNot("given 1 US gal")
	if a := s.do(get("/given?from=soon")); a.Code != 422 || a.field("from") != "soon" {
		t.Errorf("a day that is none: %d", a.Code)
	}
	s.get("/given?hive=nobody").has("Nothing in the log matches this.")
}

func TestGivenLogIsCutIntoDays(t *testing.T) {
	facts := smallSeason(t)
	for i := range 40 {
		for k, c := range []string{"m1", "m2", "m3", "h1", "h2"} {
			facts = append(facts, season.Fact{ID: season.ID{0x01, 0x99, 6: 0x70, 8: 0x80, 13: byte(i), 14: byte(k + 1)}, Seen: units.OnDay(sept(4 - i)),
				Body: ledger.Given{Colony: c, Feed: ledger.Syrup, Volume: us("1 US gal", 1)}})
		}
	}
	s := newSite(t, smallNow, facts...)
	a := s.get("/given")
	a.has("Fri 4 Sep 2026", "Days before", "200 fills")
	a.hasNot("Mon 27 Jul 2026")
	for _, l := range a.links() {
		if strings.Contains(l, "to=2026") {
			s.get(l).has("Mon 27 Jul 2026")
			return
		}
	}
	t.Error("no way to the days before")
}

func TestPutRightAndStrike(t *testing.T) {
	s := newSmallSite(t)
	s.done("/given/sheet", "yard", "mill", "feed", "syrup", "hive.0", "m1", "given.0", "3.5 US gal")
	wrong := s.marked()[0]
	path := "/given/" + wrong.ID.String()
	a := s.get(path)
	if a.field("amount") != "3.5 US gal" || a.field("hive") != "m1" || a.field("day") != "2026-09-04" {
		t.Errorf("the form is not filled: %q %q %q", a.field("amount"), a.field("hive"), a.field("day"))
	}
	if a := s.post(path, "hive", "m9", "day", "10/11", "amount", "two"); a.Code != 422 || a.field("amount") != "two" || a.field("hive") != "m9" || a.field("day") != "10/11" {
		t.Errorf("%d", a.Code)
	}
	to := s.done(path, "hive", "m2", "day", "3 Sep", "amount", "2", "note", "misread", "batch", "")
	f := s.marked()
	if len(f) != 1 || f[0].Replaces != wrong.ID || f[0].Seen != units.OnDay(sept(3)) {
		t.Fatalf("facts %+v", f)
	}
	if g := f[0].Body.(ledger.Given); g.Colony != "m2" || g.Volume != us("2 US gal", 2) || g.Note != "misread" {
		t.Errorf("%+v", g)
	}
	a = s.get(to)
	a.has("Put right.", "given 2 US gal of syrup", "put right")
	a.hasNot("3.5 US gal")
	if a := s.do(get(path)); a.Code != 404 {
		t.Errorf("the entry put right can be put right again: %d", a.Code)
	}
	now := "/given/" + f[0].ID.String()
	s.get(now).has("Before it was put right", "3.5 US gal")
	s.done(now+"/strike", "because", "twice")
	// What it had put right must not count again.
	for i, x := range s.marked() {
		if k := x.Body.(season.Strike); k.Fact != []season.ID{f[0].ID, wrong.ID}[i] || k.Why != "twice" {
			t.Errorf("%+v", k)
		}
	}
	s.get("/given").has("Nothing given yet.")
	s.get("/given?struck=1&hive=")
	for _, p := range []string{"/given/nothing", "/given/" + season.ID{1}.String()} {
		if a := s.do(get(p)); a.Code != 404 {
			t.Errorf("%s: %d", p, a.Code)
		}
	}
}

func TestPutRightKeepsWhatItDoesNotShow(t *testing.T) {
	facts := smallSeason(t)
	id := season.ID{0x01, 0x99, 6: 0x70, 8: 0x80, 14: 1}
	facts = append(facts, season.Fact{ID: id, Seen: units.OnDay(sept(3)), Body: ledger.Given{Colony: "m1", Feed: ledger.Syrup, Volume: us("1 US gal", 1), Strength: 0.5, Plan: "p/2"}},
		season.Fact{ID: season.ID{0x01, 0x99, 6: 0x70, 8: 0x80, 14: 2}, Seen: units.OnDay(sept(3)), Body: ledger.NotFed{Colony: "m2", Why: "full"}})
	s := newSite(t, smallNow, facts...)
	s.done("/given/"+id.String(), "hive", "m1", "day", "2026-09-03", "amount", "2 US gal", "batch", "", "note", "")
	if g := s.marked()[0].Body.(ledger.Given); g.Strength != 0.5 || g.Plan != "p/2" {
		t.Errorf("%+v", g)
	}
	s.done("/given/"+season.ID{0x01, 0x99, 6: 0x70, 8: 0x80, 14: 2}.String(), "hive", "m2", "day", "2026-09-03", "why", "wasps", "note", "")
	if n := s.marked()[0].Body.(ledger.NotFed); n.Why != "wasps" {
		t.Errorf("%+v", n)
	}
}

func get(path string) *http.Request { return httptest.NewRequest(http.MethodGet, path, nil) }

// Fondant given from a lot is traced both ways: who got the lot, and what the
// colony got; the lot is offered, kept, and can be put right.
func TestGivenSheetKeepsTheLot(t *testing.T) {
	s := newSmallSite(t)
	for _, lot := range []string{"F-1", "F-2"} {
		s.done("/shed", "item", "fondant", "goods", "fondant", "much", "25 lb", "lot", lot, "day", "2026-09-01")
	}
	a := s.get("/given/sheet?yard=mill&feed=fondant")
	a.has("Lot it came from")
	if a.field("lot") == "" {
		t.Error("no lot is offered")
	}
	s.get("/given/sheet?yard=mill&feed=frames").hasNot("Lot it came from")
	s.marked()
	to := s.done("/given/sheet", "yard", "mill", "feed", "fondant", "lot", "F-2", "day", "2026-09-04", "hive.0", "m1", "given.0", "5")
	f := s.marked()
	if len(f) != 1 || f[0].Body.(ledger.Given).Lot != "F-2" {
		t.Fatalf("%+v", f)
	}
	s.get(to).has("lot F-2")
	s.get("/shed/trace?lot=F-2").has("m1")
	s.get("/shed/trace?lot=F-1").hasNot("m1")
	s.get("/shed/trace?colony=m1").has("F-2")
	if a := s.get("/given/" + f[0].ID.String()); a.field("lot") != "F-2" {
		t.Errorf("lot %q", a.field("lot"))
	}
	s.done("/given/"+f[0].ID.String(), "hive", "m1", "day", "2026-09-04", "amount", "5", "lot", "F-1")
	s.get("/shed/trace?lot=F-1").has("m1")
	s.get("/shed/trace?colony=m1").has("F-1")
}

// Where fills are typed, every amount of a column is in the unit of its head, and
// that is what a bare number means.
func TestFillsAreInTheUnitOfTheirColumn(t *testing.T) {
	s, d := outSite(t)
	h := d.Stops[0].Hives[0]
	num, unit, _ := strings.Cut(h.PlanSays, " ")
	if h.PlanSays != "16 qt" { // of a tray of 4 US gal, as it is printed
		t.Errorf("%s gets %s into 16 qt", h.Colony, h.PlanSays)
	}
	if unit != "qt" || math.Abs(h.PlanL-units.MustVolume(num+" US qt").L()) > 1e-6 {
		t.Fatalf("the plan says %q for %g L", h.PlanSays, h.PlanL)
	}
	for path, heads := range map[string][]string{
		"/round/1/type?yard=" + d.Stops[0].Yard:  {"Plan, qt", "Given, qt", "Left, qt"},
		"/given/sheet?yard=" + d.Stops[0].Yard:   {"Given, qt", "Left, qt"},
		"/round/1/hive/" + h.Colony:              {"Other amount, qt", "Or an amount, qt"},
		"/readings?yard=" + d.Stops[0].Yard:      {", qt"},
		"/readings/one?yard=" + d.Stops[0].Yard:  {"qt"},
		"/given/sheet?feed=syrup&yard=elsewhere": {},
	} {
		a := s.get(path)
		a.has(heads...)
		a.hasNot("US gal")
	}
	// Typed as it is shown, it is what was planned, wherever it is typed.
	row := ""
	for i, x := range sheetOrder(d.Stops[0]) {
		if x.Colony == h.Colony {
			row = strconv.Itoa(i)
		}
	}
	s.done("/round/1/type", "yard", d.Stops[0].Yard, "given-"+row, num)
	s.done("/round/1/hive/"+h.Colony, "act", "other", "amount", num)
	s.done("/given/sheet", "yard", d.Stops[0].Yard, "feed", "syrup", "hive.0", h.Colony, "given.0", num)
	f := s.marked()
	if len(f) != 3 {
		t.Fatalf("%+v", f)
	}
	for _, x := range f {
		if g := x.Body.(ledger.Given); math.Abs(g.Volume.Q.L()-h.PlanL) > 1e-6 {
			t.Errorf("%s typed is %v, %g L was planned", num, g.Volume, h.PlanL)
		}
	}
}

// More than a feeder holds is asked about, and kept when it is saved once more;
// what was changed meanwhile is asked about anew.
func TestMoreThanTheFeederHoldsIsAsked(t *testing.T) {
	s, d := outSite(t)
	stop := d.Stops[0]
	h := stop.Hives[0]
	row := ""
	for i, x := range sheetOrder(stop) {
		if x.Colony == h.Colony {
			row = strconv.Itoa(i)
		}
	}
	for _, c := range []struct{ at, amount, kept string }{
		{"/round/1/type", "given-" + row, "kept-" + row}, {"/round/1/type", "left-" + row, "kept-" + row},
		{"/round/1/hive/" + h.Colony, "amount", "kept"}, {"/round/1/hive/" + h.Colony, "leftother", "kept"},
		{"/given/sheet", "given.0", "kept.0"}, {"/given/sheet", "left.0", "kept.0"},
	} {
		form := func(text, kept string) []string {
			act := "other"
			if c.amount == "leftother" {
				act = "look"
			}
			return []string{"yard", stop.Yard, "feed", "syrup", "hive.0", h.Colony, "act", act, c.amount, text, c.kept, kept}
		}
		a := s.post(c.at, form("17", "")...)
		kept := a.field(c.kept)
		if a.Code != http.StatusUnprocessableEntity || kept == "" || a.field(c.amount) != "17" {
			t.Errorf("%s %s: %d, kept %q", c.at, c.amount, a.Code, kept)
		}
		a.has("is more than its feeder holds, 16 qt", "save once more to keep it")
		if f := s.marked(); len(f) > 0 {
			t.Errorf("%s %s: kept unasked: %+v", c.at, c.amount, f)
		}
		if a := s.post(c.at, form("18", kept)...); a.Code != http.StatusUnprocessableEntity || a.field(c.kept) == kept {
			t.Errorf("%s %s: another amount is not asked about: %d", c.at, c.amount, a.Code)
		}
		s.done(c.at, form("17", kept)...)
		if f := s.marked(); len(f) != 1 {
			t.Errorf("%s %s: %+v", c.at, c.amount, f)
		}
		if a := s.post(c.at, form("49", "49|")...); a.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s %s: thrice the feeder: %d", c.at, c.amount, a.Code)
		}
		s.done(c.at, form("16", "")...) // as printed on it: 15.14 L
		s.marked()
	}
}
