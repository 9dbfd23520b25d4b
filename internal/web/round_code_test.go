package web

import (
	"context"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"larder/internal/apiary"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
)

var sheetCode = regexp.MustCompile(`Sheet code ([A-Z0-9]-[2-9A-Z]{4})\.`)

// rowsTyped gives the hives of the page's rows, in their order.
func rowsTyped(a *answer) []string {
	var out []string
	for _, m := range regexp.MustCompile(`aria-label="Given to ([^"]+)"`).FindAllStringSubmatch(a.Body, -1) {
		out = append(out, m[1])
	}
	return out
}

// The code on a sheet opens the rows of exactly that sheet, also after hives
// came and fills were logged, and with a plan taken out since.
func TestSheetCodeOpensItsRows(t *testing.T) {
	s, d := outSite(t)
	stop := d.Stops[0]
	printed := s.get("/sheets/trip?n=1")
	m := sheetCode.FindStringSubmatch(printed.Body)
	if m == nil {
		t.Fatal("no code is on the sheet")
	}
	code := m[1]
	var want []string
	for _, h := range sheetOrder(stop) {
		want = append(want, h.Colony)
	}
	typed := strings.ToLower(strings.ReplaceAll(code, "-", " ")) // as people type it
	look := func(what string) *answer {
		t.Helper()
		a := s.get("/round/type?code=" + strings.ReplaceAll(typed, " ", "+"))
		if got := rowsTyped(a); !slices.Equal(got, want) {
			t.Errorf("%s: rows %v, want %v", what, got, want)
		}
		for _, h := range stop.Hives {
			a.has(strings.TrimSuffix(h.PlanSays, " qt")) // the unit stands in the head
		}
		return a
	}
	look("at once")
	// A hive comes to the yard, and one is fed.
	c := apiary.Colony{ID: "aa", Yard: stop.Yard, Stand: 0, Kind: apiary.Full}
	if _, err := s.srv.house.append(context.Background(), "t", s.srv.house.fact(units.At(smallNow.Add(5*time.Minute)), "", apiary.Placed{Colony: c})); err != nil {
		t.Fatal(err)
	}
	s.done("/round/1/hive/"+stop.Hives[0].Colony, "act", "given")
	look("after a hive came")
	if to := s.done("/round/out"); to == "" {
		t.Fatal("the next plan was not taken out")
	}
	look("after another plan was taken out")
	s.marked()
	row := strconv.Itoa(slices.Index(want, stop.Hives[1].Colony))
	if to := s.done("/round/type", "code", code, "day", "2026-09-04", "given-"+row, "x"); !strings.HasPrefix(to, "/round/type?code=") {
		t.Errorf("it goes to %s", to)
	}
	got := s.marked()
	if len(got) != 1 || got[0].Body.(ledger.Given).Plan != d.On || got[0].Body.(ledger.Given).Volume.Q.L() != stop.Hives[1].PlanL {
		t.Errorf("%+v", got)
	}
	a := s.post("/round/type", "code", code, "given-"+row, "much")
	if a.Code != http.StatusUnprocessableEntity || a.field("given-"+row) != "much" || a.field("code") != code {
		t.Errorf("a bad amount: %d", a.Code)
	}
	if a := s.do(httptest.NewRequest(http.MethodGet, "/round/type?code=Z-2222", nil)); a.Code != http.StatusUnprocessableEntity || a.field("code") != "Z-2222" {
		t.Errorf("a code nobody printed: %d", a.Code)
	}
	s.get("/round/type").has("Sheet code")
	if a := s.do(httptest.NewRequest(http.MethodGet, "/sheets/trip?n=99", nil)); a.Code != http.StatusNotFound {
		t.Errorf("no such load: %d", a.Code)
	}
}

// A sheet printed from a plan that was not taken out: it says so, and one button
// takes it out and opens the sheet.
func TestSheetCodeOfAPlanNotTakenOut(t *testing.T) {
	s := newSmallSite(t)
	plan, err := s.srv.planFor(nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	l := plan.Loads[0]
	m := sheetCode.FindStringSubmatch(s.get("/sheets/yard?yard=" + l.Stops[0].Yard + "&day=" + l.Day.String()).Body)
	if m == nil {
		t.Fatal("no code is on the sheet")
	}
	a := s.do(httptest.NewRequest(http.MethodGet, "/round/type?code="+m[1], nil))
	if a.Code != http.StatusUnprocessableEntity {
		t.Errorf("%d", a.Code)
	}
	a.has("Take this plan out and open the sheet")
	if to := s.done("/round/out", "code", m[1]); !strings.HasPrefix(to, "/round/type?code="+m[1]) {
		t.Errorf("it goes to %s", to)
	}
	if got := s.marked(); len(got) != 1 || got[0].Kind() != (&season.Fact{Body: season.PlanOut{}}).Kind() {
		t.Errorf("%+v", got)
	}
	if rows := rowsTyped(s.get("/round/type?code=" + m[1])); len(rows) == 0 {
		t.Error("no rows")
	}
}
