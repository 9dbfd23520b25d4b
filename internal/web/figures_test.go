package web

import (
	"strings"
	"testing"

	"larder/internal/season"
)

func TestFigures(t *testing.T) {
	s := newSmallSite(t)
	a := s.get("/figures")
	n := 0
	for _, l := range a.links() {
		if strings.HasPrefix(l, "/figures/") {
			n++
		}
	}
	if all := len(season.DefaultFigures().All()); n != all {
		t.Errorf("%d figures are listed, there are %d", n, all)
	}
	s.get("/figures?find=Bienenjournal").has("Bienenjournal")
	s.get("/figures?find=zzzz").has("No figure has that")
	if a := s.do(request("GET", "/figures/no.such")); a.Code != 404 {
		t.Error(a.Code)
	}
	for _, f := range season.DefaultFigures().All() {
		s.get("/figures/"+f.Key).has(f.Source, "Believable")
	}
	s.done("/units", "language", "es", "back", "/")
	s.get("/figures").has("Cifras que usamos")
}

func TestAFigureShowsItsEffectBeforeItIsKept(t *testing.T) {
	s := newSmallSite(t)
	const path = "/figures/feeding.care_cap_kg"
	a := s.get(path + "?value=0")
	a.has("With 0", "Colonies to be fed", "Syrup to give", "Keep this value")
	if len(s.marked()) != 0 {
		t.Error("trying wrote a fact")
	}
	cells := func(a *answer) string {
		_, rest, _ := strings.Cut(a.text(), "Syrup to give")
		return strings.Join(strings.Fields(rest)[:6], " ")
	}
	f := strings.Fields(cells(a))
	if f[0] <= f[3] && len(f[0]) <= len(f[3]) {
		t.Errorf("without the reserve for doubt less is given: %v", f)
	}
	s.done(path, "value", "0")
	if b := s.bodies(); len(b) != 1 || b[0] != setting("figure.feeding.care_cap_kg", "0") {
		t.Errorf("%v", b)
	}
	s.get(path).has("yours; published", "What was set", "Take the published value back")
	s.get("/figures").has("1 is your own")
	s.done(path, "back_to", "published")
	if b := s.bodies(); len(b) != 1 || b[0] != setting("figure.feeding.care_cap_kg", "") {
		t.Errorf("%v", b)
	}
	// Outside the believable range: said, and allowed.
	s.get(path+"?value=900").has("outside the believable range", "You can keep it all the same")
	s.done(path, "value", "900")
	s.get(path).has("outside it")
	s.marked()
	for _, bad := range []string{"much", "", "1e3"} {
		if a := s.post(path, "value", bad); a.Code != 422 || a.field("value") != bad {
			t.Errorf("%q: %d", bad, a.Code)
		}
		if a := s.do(request("GET", path+"?value="+bad)); bad != "" && a.Code != 422 {
			t.Errorf("%q: %d", bad, a.Code)
		}
	}
	if len(s.marked()) != 0 {
		t.Error("a bad value was kept")
	}
}
