package web

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"larder/internal/season"
	"larder/internal/units"
)

// The page sets beside each other what the season does, and offers the ways to do
// it; a plan that breaks a rule says so.
func TestCompareTwoPlans(t *testing.T) {
	s := newExampleSite(t)
	if !strings.Contains(s.get("/plan").Body, `href="/plan/compare"`) {
		t.Error("the plan does not lead there")
	}
	a := s.get("/plan/compare")
	var c season.Comparison
	var st units.Style
	s.srv.house.view(func(state *season.State, at units.Moment) {
		st = state.Settings.Style()
		p, err := state.Plan(at, planSeed)
		if err != nil {
			t.Fatal(err)
		}
		now, err1 := state.Side(&p, at, season.SideNow, planSeed, nil)
		habit, err2 := state.Side(&p, at, season.SideHabit, planSeed, nil)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		c = season.Compare(&now, &habit)
	})
	if len(c.OnlyB()) == 0 || len(c.B.Notes) == 0 || len(c.Days) == 0 || len(c.Moves) == 0 {
		t.Fatal("the example should differ by habit in all of this")
	}
	for _, n := range c.B.Notes {
		a.has(st.Say(n.Say, n.Amounts))
	}
	for _, h := range c.OnlyB() {
		a.has(h.Colony+" ", st.VolumeSmall(h.B.Short))
		if !strings.Contains(a.Body, `href="/hives/`+h.Colony+`"`) {
			t.Errorf("no way leads to %s", h.Colony)
		}
	}
	a.has(st.Volume(c.OfB.Short), st.Duration(c.OfA.Time), st.Duration(c.OfB.Time), "In the second only", "on other days", "Not fewer than")
	if n := strings.Count(a.Body, "<svg"); n != 2 {
		t.Errorf("%d pictures, want two strips", n)
	}
	s.get("/plan/compare?a=now&b=now").has("They come to the same")
	// Hives left out on the Plan page are left out here, whatever is set beside it.
	if !strings.Contains(s.get("/plan?skip=m9&skip=m4").Body, `href="/plan/compare?skip=m9&amp;skip=m4"`) {
		t.Error("what was left out is not carried over")
	}
	for _, path := range []string{"/plan/compare?a=now&b=habit&skip=m9&skip=m4", "/plan/compare?a=now&b=care&care=1+in+20&skip=m9&skip=m4"} {
		a := s.get(path)
		a.has("2 hives you left out on the Plan page are left out here too")
		if !strings.Contains(a.Body, `name="skip" value="m9"`) {
			t.Errorf("%s: asked again it forgets what was left out", path)
		}
		if strings.Contains(a.Body, `href="/hives/m9"`) || strings.Contains(a.Body, `href="/hives/m4"`) {
			t.Errorf("%s: what was left out stands among the hives", path)
		}
	}
	s.get("/plan/compare?a=now&b=care&care=1+in+20").has("a chance of 1 in 20 of being short")
	for path, want := range map[string]int{"/plan/compare?a=now&b=care&care=often": http.StatusUnprocessableEntity, "/plan/compare?a=sideways": http.StatusNotFound} {
		if b := s.do(httptest.NewRequest(http.MethodGet, path, nil)); b.Code != want || !strings.Contains(b.Body, "class=\"trouble") {
			t.Errorf("%s answers %d", path, b.Code)
		}
	}
	s.done("/units", "language", "es", "units", "metric", "back", "/")
	s.get("/plan/compare").has("Dos planes", "Solo en el segundo", "recibe lo mismo que todas")
}
