package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"larder/internal/apiary"
	"larder/internal/ledger"
	"larder/internal/stores"
	"larder/internal/units"
)

// outSite is the small season with its plan taken out.
func outSite(t *testing.T) (*site, tripDoc) {
	t.Helper()
	s := newSmallSite(t)
	s.get("/round").has("Take this plan out")
	if to := s.done("/round/out"); !strings.HasPrefix(to, "/round") {
		t.Fatal(to)
	}
	s.marked()
	return s, s.trip(1)
}

func (s *site) trip(n int) tripDoc {
	s.t.Helper()
	r := httptest.NewRequest(http.MethodGet, "/phone/round?load="+strconv.Itoa(n), nil)
	a := s.do(r)
	var d tripDoc
	if err := json.Unmarshal([]byte(a.Body), &d); err != nil {
		s.t.Fatalf("%d %s: %v", a.Code, a.Body, err)
	}
	return d
}

func TestRoundListsTrips(t *testing.T) {
	empty := newSite(t, smallNow)
	empty.get("/round")
	s, d := outSite(t)
	a := s.get("/round")
	a.has("Load 1", "0 of", "Nothing: the plan taken out still stands.")
	a.hasNot("Take this plan out")
	if len(d.Stops) == 0 || d.Stops[0].Hives[0].PlanL <= 0 || d.Words["given"] != "Given as planned" || len(d.NotFed) < 9 {
		t.Errorf("%+v", d)
	}
	page := s.get("/round/1")
	page.has("hives done")
	for _, stop := range d.Stops {
		page.has(stop.Name)
		for _, h := range stop.Hives {
			page.has(h.Colony, h.PlanSays)
			// Desk, sheet and phone say the same amount for the same plan.
			s.get("/load/1").has(h.PlanSays)
		}
	}
	if a := s.do(httptest.NewRequest(http.MethodGet, "/round/99", nil)); a.Code != http.StatusNotFound {
		t.Errorf("load 99: %d", a.Code)
	}
}

func TestRoundWithoutScript(t *testing.T) {
	s, d := outSite(t)
	h := d.Stops[0].Hives[0]
	at := "/round/1/hive/" + h.Colony
	s.get(at).has(h.Colony, h.PlanSays, "Given as planned")
	s.done(at, "act", "given", "left", "1", "note", "calm")
	got := s.marked()
	if len(got) != 2 {
		t.Fatalf("%+v", got)
	}
	left, _ := got[0].Body.(ledger.Left)
	given, _ := got[1].Body.(ledger.Given)
	if left.Volume.Q.L() != h.Left[1].L || given.Volume.Q.L() != h.PlanL || given.Plan != d.On || given.Note != "calm" {
		t.Errorf("%+v %+v", left, given)
	}
	s.get("/round/1").has("Given " + h.PlanSays)
	s.done(at, "act", "other", "amount", "6")
	if got := s.marked(); len(got) != 1 || got[0].Body.(ledger.Given).Volume.As != "6 US qt" {
		t.Errorf("%+v", got)
	}
	s.done(at, "act", "notfed", "why", "dead")
	if got := s.marked(); len(got) != 2 || got[0].Body.(ledger.NotFed).Why != "dead" || got[1].Body.(apiary.Ended).State != apiary.Dead {
		t.Errorf("%+v", got)
	}
	s.get("/round/1").has("no longer here")
	for name, form := range map[string][]string{
		"no amount": {"act", "other", "note", "my note"}, "no reason": {"act", "notfed", "note", "my note"},
		"bad amount": {"act", "other", "amount", "1,234 spoons", "note", "my note"}, "nothing": {"act", "look"},
	} {
		a := s.post(at, form...)
		if a.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s: %d", name, a.Code)
		}
		if len(form) > 2 && a.field("note") != "my note" {
			t.Errorf("%s lost the note", name)
		}
	}
	if got := s.marked(); len(got) != 0 {
		t.Errorf("bad forms wrote %+v", got)
	}
	s.done(at, "act", "look", "heft", "light")
	if got := s.marked(); len(got) != 1 || got[0].Body.(stores.Reading).Heft != stores.Light {
		t.Errorf("%+v", got)
	}
	s.get("/round").has("hives get more or less")
}

// The phone's screen may not feed a hive that has its honey super on.
func TestRoundHoldsHives(t *testing.T) {
	s, d := outSite(t)
	h := d.Stops[0].Hives[0]
	f := s.srv.house.fact(units.Moment{}, "", apiary.Look{Colony: h.Colony, Super: apiary.Yes})
	if _, err := s.srv.house.append(t.Context(), "round", f); err != nil {
		t.Fatal(err)
	}
	s.get("/round/1/hive/" + h.Colony).hasNot("Given as planned")
	again := s.trip(1)
	if x := again.Stops[0].Hives[0]; len(x.Hold) != 1 || x.Hold[0].Code != "hold-super" {
		t.Errorf("%+v", x.Hold)
	}
}

func TestTypeSheet(t *testing.T) {
	s, d := outSite(t)
	stop := d.Stops[0]
	at := "/round/1/type"
	page := s.get(at + "?yard=" + url.QueryEscape(stop.Yard))
	rows := sheetOrder(stop)
	page.has(rows[0].Colony)
	row := func(colony string) string {
		for i, h := range rows {
			if h.Colony == colony {
				return string(rune('0' + i))
			}
		}
		t.Fatalf("no row for %s", colony)
		return ""
	}
	planned := stop.Hives[0]
	i := row(planned.Colony)
	s.done(at, "yard", stop.Yard, "day", "2026-09-03", "given-"+i, "x", "left-"+i, "h", "heft-"+i, "41")
	got := s.marked()
	if len(got) != 3 {
		t.Fatalf("%+v", got)
	}
	if l := got[0].Body.(ledger.Left); l.Volume.Q.L() != planned.Left[2].L {
		t.Errorf("left %+v", l)
	}
	if g := got[1].Body.(ledger.Given); g.Volume.Q.L() != planned.PlanL || g.Plan != d.On || got[1].Seen.String() != "2026-09-03" {
		t.Errorf("%v %+v", got[1].Seen, g)
	}
	if r := got[2].Body.(stores.Reading); r.Way != stores.LiftOne || r.Lift1.As != "41 lb" {
		t.Errorf("%+v", r)
	}
	s.done(at, "yard", stop.Yard, "day", "2026-09-03", "trouble-"+i, "r")
	if got := s.marked(); len(got) != 1 || got[0].Body.(ledger.NotFed).Why != "robbing" {
		t.Errorf("%+v", got)
	}
	for name, form := range map[string][]string{
		"a letter nobody knows": {"trouble-" + i, "z"}, "a day to come": {"day", "2027-01-01", "given-" + i, "x"},
		"nothing": {}, "bad amount": {"given-" + i, "much", "left-" + i, "0"}, "ten times the feeder": {"given-" + i, fmt.Sprintf("%.0f L", 10*planned.HoldsL)}, "no day": {"day", "sometime", "given-" + i, "x"},
	} {
		a := s.post(at, append([]string{"yard", stop.Yard}, form...)...)
		if a.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s: %d", name, a.Code)
		}
		for k := 0; k+1 < len(form); k += 2 {
			if a.field(form[k]) != form[k+1] {
				t.Errorf("%s: %s was lost", name, form[k])
			}
		}
	}
	if got := s.marked(); len(got) != 0 {
		t.Errorf("bad sheets wrote %+v", got)
	}
}

func TestWorkerAndFile(t *testing.T) {
	s, _ := outSite(t)
	a := s.do(httptest.NewRequest(http.MethodGet, "/sw.js", nil))
	if a.Code != 200 || strings.Contains(a.Body, "_HERE") || !strings.Contains(a.Body, "/assets/outbox.js?v=") || strings.Contains(a.Body, "skipWaiting") {
		t.Errorf("%d\n%.300s", a.Code, a.Body)
	}
	if b := s.do(httptest.NewRequest(http.MethodGet, "/assets/trip.js", nil)); !strings.Contains(b.Body, `"./fold.js?v=`) {
		t.Error("imports carry no version")
	}
	r := httptest.NewRequest(http.MethodGet, "/round/1.html", nil)
	r.Host = "127.0.0.1"
	w := httptest.NewRecorder()
	r.RemoteAddr = "127.0.0.1:50000"
	s.srv.ServeHTTP(w, r)
	body := w.Body.String()
	if w.Code != 200 || !strings.Contains(w.Header().Get("Content-Disposition"), "attachment") {
		t.Errorf("%d %v", w.Code, w.Header())
	}
	for _, bad := range []string{`src="`, `href="/`, "\nimport ", "\nexport ", "ZgotmplZ"} {
		if strings.Contains(body, bad) {
			t.Errorf("the file is not whole by itself: %q in it", bad)
		}
	}
}
