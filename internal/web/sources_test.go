package web

import (
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"testing"

	"larder/internal/season"
)

// A store is told, changed with what is left, renamed and taken out of use; what
// cannot be taken stays in the form.
func TestSyrupElsewhere(t *testing.T) {
	s := newSmallSite(t)
	s.get("/yards").has("Syrup elsewhere", "Tell of syrup elsewhere")
	s.get("/sources").has("No mixed syrup is kept away from home")

	a := s.post("/sources", "name", "mill", "yard", "", "place", "Nowhere-on-Sea", "litres", "lots", "strength", "strong", "from", "soon", "fill", "x", "note", "ring before")
	a.has("the same name", "not in our list of towns", "is not a volume", "not a strength", "is not a day", "not a span of time")
	if a.Code != 422 || a.field("litres") != "lots" || a.field("note") != "ring before" || a.field("place") != "Nowhere-on-Sea" {
		t.Errorf("%d: what was typed is lost: %q, %q", a.Code, a.field("litres"), a.field("note"))
	}
	a = s.post("/sources", "name", "", "yard", "", "litres", "")
	a.has("the store has no name", "how much syrup stands there")
	s.post("/sources", "name", "Home", "litres", "20").has("home is where the truck starts")

	s.marked()
	s.done("/sources", "name", "", "yard", "mill", "litres", "40", "strength", "2:1", "from", "", "fill", "10 min", "note", "ring before")
	got := s.bodies()
	x, ok := got[0].(season.Source)
	if len(got) != 1 || !ok || !strings.HasPrefix(x.Place, "Syrup at ") || x.Yard != "mill" || x.Fill != 600 || x.OnHand.String() == "" {
		t.Fatalf("%+v", got)
	}
	s.get("/sources").has(x.Place, "ring before")
	s.get("/yards").has(x.Place)

	// Saved as it is shown it says the same; under another name the old one goes.
	form := s.get("/sources?place=" + strings.ReplaceAll(x.Place, " ", "+"))
	fields := []string{"was", x.Place}
	for _, f := range []string{"name", "place", "litres", "strength", "from", "fill", "note"} {
		fields = append(fields, f, form.field(f))
	}
	s.marked()
	s.done("/sources", append(fields, "yard", "mill")...)
	if got := s.bodies(); len(got) != 1 || got[0].(season.Source) != x {
		t.Errorf("saved as shown: %+v, was %+v", got, x)
	}
	fields[3] = "Mill tote"
	s.marked()
	s.done("/sources", append(fields, "yard", "mill")...)
	if got := s.bodies(); len(got) != 2 || got[0].(season.Source).Place != "Mill tote" || !got[1].(season.Source).Gone || got[1].(season.Source).Place != x.Place {
		t.Errorf("renamed: %+v", got)
	}
	a = s.get("/sources")
	a.has("Mill tote")
	a.hasNot(x.Place)
	s.post("/sources", "name", "Mill tote", "litres", "3").has("there is a store of this name")

	// Of another strength the list says why no tank is filled there.
	s.done("/sources", "was", "Mill tote", "name", "Mill tote", "yard", "mill", "litres", "40", "strength", "1:1")
	s.get("/sources").has("not counted on")
	s.done("/sources/remove", "store", "Mill tote")
	s.get("/sources").hasNot("Mill tote")
	if a := s.do(httptest.NewRequest(http.MethodGet, "/sources?place=Mill+tote", nil)); a.Code != 404 {
		t.Errorf("a store that is gone: %d", a.Code)
	}
	if a := s.post("/sources/remove", "store", "nobody"); a.Code != 404 {
		t.Errorf("taking out what is not there: %d", a.Code)
	}
}

// Where a load is filled elsewhere, every page that sends somebody out says so and
// how much.
func TestPagesSayWhereATankIsFilled(t *testing.T) {
	s := newSmallSite(t)
	s.done("/sources", "name", "Tote", "yard", "mill", "litres", "400 L")
	s.get("/plan").has("Tote", "before", "A triangle is mixed syrup")
	load := 0
	for n := 1; n < 20 && load == 0; n++ {
		a := s.do(httptest.NewRequest(http.MethodGet, "/load/"+strconv.Itoa(n), nil))
		if a.Code != 200 {
			break
		}
		if strings.Contains(a.text(), " at Tote before ") {
			load = n
		}
	}
	if load == 0 {
		t.Fatal("no load is filled at the store")
	}
	no := strconv.Itoa(load)
	s.get("/sheets/load?n=" + no).has(" at Tote before ")
	s.done("/plan/out")
	s.get("/round").has(" at Tote before ")
	s.get("/round/"+no).has(" at Tote before ", "It stands at the yard")
	if a := s.get("/phone/round?load=" + no); !strings.Contains(a.Body, `"fill":{"says":"Fill `) {
		t.Errorf("the phone is not told: %.600s", a.Body)
	}
}
