package web

import (
	"net/http"
	"strings"
	"testing"

	"larder/internal/ledger"
	"larder/internal/units"
)

func TestMixIsForTheNextBatchOfThePlan(t *testing.T) {
	s := newSmallSite(t)
	a := s.get("/mix")
	a.has("For the next batch of the plan", "Batch card", "Water in", "Heat", "Weigh the sugar in", "Stir until clear", "Check the strength", "Cool and label",
		"The coming low is 43 °F, on", "below 67 °F")
	if a.field("make") == "" || a.field("strength") != "2:1" || a.field("batch") != "b26-01" {
		t.Errorf("make %q, strength %q, id %q", a.field("make"), a.field("strength"), a.field("batch"))
	}
	// The cautions stand in the steps where the hand is: mains before scald.
	for _, w := range []string{"RCD/GFCI", "burns through skin", "over 25 kg", "Never boil it"} {
		if !strings.Contains(a.Body, w) {
			t.Errorf("no caution with %q", w)
		}
	}
	if strings.Index(a.Body, "RCD/GFCI") > strings.Index(a.Body, "burns through skin") {
		t.Error("the mains caution comes after the heat")
	}
}

// TestMixedBatchIsNotAskedForAgain writes down what the plan asks for and looks
// at all that asked for it.
func TestMixedBatchIsNotAskedForAgain(t *testing.T) {
	s := newSmallSite(t)
	all := s.get("/mix").field("make")
	s.get("/").has("Mix ")
	s.done("/mix/done", "batch", "b26-01", "day", "2026-09-04", "syrup", "500 US gal", "brix", "2:1", "sugar_used", "", "water_used", "", "lots", "")
	a := s.get("/mix")
	a.has("Nothing more is to be mixed for the plan.", "500 US gal of batch b26-01 are mixed already: the plan counts on them", "Mix anyway")
	if strings.Contains(a.Body, "For the next batch of the plan") {
		t.Errorf("%s is asked for still", all)
	}
	s.get("/plan").has("500 US gal of batch b26-01 are mixed already")
	s.get("/shed").has("Mixed syrup the plan counts on: 500 US gal")
	if strings.Contains(s.get("/").text(), all) {
		t.Errorf("Next jobs asks for %s still", all)
	}
	// The box in House shows what counts; left as it is nothing is told by it.
	shown := s.get("/house").field("kitchen.on_hand")
	if shown != "500 US gal" {
		t.Errorf("House shows %q", shown)
	}
	s.marked()
	s.done("/house", "kitchen.on_hand", shown, "kitchen.mixer", "60 US gal")
	if b := s.bodies(); len(b) != 1 || b[0] != setting("kitchen.mixer", "60 US gal") {
		t.Errorf("%v", b)
	}
	// His own figure, told after the batch, counts in its stead, also when he tells
	// the same one again.
	s.done("/house", "kitchen.on_hand", "3")
	s.get("/mix").has("3 US gal of the 3 US gal of mixed syrup you told", "what is left of batches mixed before", "For the next batch of the plan")
	s.done("/mix/done", "batch", "b26-02", "day", "2026-09-04", "syrup", "2 US gal", "brix", "2:1", "sugar_used", "", "water_used", "", "lots", "")
	if got := s.get("/house").field("kitchen.on_hand"); got != "5 US gal" {
		t.Errorf("3 told and 2 mixed since: House shows %q", got)
	}
	s.marked()
	s.done("/house", "kitchen.on_hand", "3")
	if b := s.bodies(); len(b) != 1 || b[0] != setting("kitchen.on_hand", "3 US gal") {
		t.Errorf("told again: %v", b)
	}
	if got := s.get("/house").field("kitchen.on_hand"); got != "3 US gal" {
		t.Errorf("House shows %q", got)
	}
	s.done("/units", "language", "es", "back", "/mix")
	s.get("/mix").has("de jarabe mezclado que dijo el")
}

func TestMixWithNothingToFeed(t *testing.T) {
	s := newSite(t, smallNow)
	s.get("/mix").has("There is no plan to mix for yet.", "Mix anyway")
	s.get("/mix?anyway=1").has("10 US gal of syrup", "Batch card")
}

func TestMixByVolumeSacksAndSugar(t *testing.T) {
	s := newSmallSite(t)
	// 40 US gal of 2:1 at 20 °C: 151.4 L × 1.326 kg/L, two thirds of it sugar:
	// 134 kg or 295 lb (sucrose evidence, check values of §4.2).
	s.get("/mix?how=make&make=40&strength=2:1&by=weight").has("40 US gal of syrup, 66.7 % sugar", "295 lb")
	s.get("/mix?how=sacks&sacks=4&sack=50+lb&strength=2:1").has("200 lb", "4.0 sacks of 50 lb")
	s.get("/mix?how=sugar&sugar=200+lb&strength=1:1").has("50 % sugar", "200 lb")
	s.get("/mix?how=make&make=40&strength=2:1&by=volume").has("may turn out from")
	a := s.get("/mix?how=make&make=150+L&strength=66.7+%25&water_at=54&want=100&power=3")
	a.has("150 L", "It takes", "With your heater")
}

func TestMixKeepsWhatWasTyped(t *testing.T) {
	s := newSmallSite(t)
	for path, field := range map[string]string{
		"/mix?how=make&make=lots": "make", "/mix?how=sacks&sacks=4&sack=heavy": "sack", "/mix?make=40&water_at=warm": "water_at",
		"/mix?make=40&low=1e3": "low", "/mix?make=40&reads=65&read_at=x": "read_at",
	} {
		a := s.do(get(path))
		if a.Code != 422 {
			t.Errorf("%s: %d", path, a.Code)
		}
		if !strings.Contains(path, field+"="+a.field(field)) {
			t.Errorf("%s: %s is %q now", path, field, a.field(field))
		}
		a.has("There is a problem")
	}
}

func TestMixCheckByRefractometer(t *testing.T) {
	s := newSmallSite(t)
	// 64 % in 150 L: sugar is lacking.
	a := s.get("/mix?how=make&make=150+L&strength=66.7+%25&reads=64&read_at=68&meter=refractometer-atc&have=150+L")
	a.has("It is 64 %. Add", "of sugar; that makes", "±")
	if a.field("brix") != "66.7 %" {
		t.Errorf("written down as %q", a.field("brix"))
	}
	s.get("/mix?how=make&make=150+L&strength=66.7+%25&reads=66.6&have=150+L").has("that is right. Add nothing.")
	s.get("/mix?how=make&make=150+L&strength=66.7+%25&reads=69&have=150+L").has("of water; that makes")
	// A plain one in a warm drop reads low.
	s.get("/mix?how=make&make=150+L&strength=66.7+%25&reads=66&read_at=82&meter=refractometer&have=150+L").has("changed the reading by 0.6 points")
	if a := s.do(get("/mix?how=make&make=150+L&strength=66.7+%25&reads=66&read_at=140&meter=refractometer")); a.Code != 422 {
		t.Errorf("a drop of 140 °F: %d", a.Code)
	}
}

func TestMixBlend(t *testing.T) {
	s := newSmallSite(t)
	// Pearson's square: 66.7 and 50 to 60 % is 10 : 6.7 by mass.
	s.get("/mix?make=40&strong=66.7&weak=50&blend_want=60&blend_make=100+L").has("of the strong one and", "By weight")
	if a := s.do(get("/mix?make=40&strong=50&weak=66.7&blend_want=60&blend_make=100+L")); a.Code != 422 {
		t.Errorf("upside down: %d", a.Code)
	}
}

func TestMixStepsAtTheTank(t *testing.T) {
	s := newSmallSite(t)
	path := "/mix/step/1?how=make&make=150+L&strength=2:1"
	words := []string{"Water in", "Heat", "Weigh the sugar in", "Stir until clear", "Check the strength", "Cool and label", "Mixed – write it down"}
	for i, w := range words {
		a := s.get(path)
		a.has(w, "Step "+string(rune('1'+i))+" of 7")
		next := ""
		for _, l := range a.links() {
			if strings.HasPrefix(l, "/mix/step/"+string(rune('2'+i))) {
				next = l
			}
		}
		if (next == "") != (i == len(words)-1) {
			t.Fatalf("step %d leads to %q", i+1, next)
		}
		path = next
	}
	if a := s.do(get("/mix/step/9?how=make&make=150+L")); a.Code != 404 {
		t.Errorf("no such step: %d", a.Code)
	}
	// What was read goes along to the last step.
	a := s.get("/mix/step/5?how=make&make=150+L&strength=66.7+%25&reads=64&have=150+L")
	a.has("Add")
	for _, l := range a.links() {
		if strings.HasPrefix(l, "/mix/step/6") && !strings.Contains(l, "reads=64") {
			t.Errorf("what was read is lost on the way: %s", l)
		}
	}
	newSite(t, smallNow).get("/mix/step/1").has("Mix anyway")
}

func TestMixIsWrittenDown(t *testing.T) {
	s := newSmallSite(t)
	s.done("/mix/done", "batch", "b26-01", "day", "2026-09-04", "syrup", "40", "brix", "2:1", "sugar_used", "295", "water_used", "17.7", "lots", "")
	s.marked()
	a := s.post("/mix/done", "batch", "b26-01", "day", "soon", "syrup", "40 lb", "brix", "", "temp", "hot", "note", "windy")
	if a.Code != 422 || a.field("syrup") != "40 lb" || a.field("note") != "windy" || a.field("temp") != "hot" {
		t.Fatalf("%d", a.Code)
	}
	a.has("there is a batch b26-01 already", "b26-02")
	to := s.done("/mix/done", "batch", "b26-02", "day", "3 Sep", "syrup", "150 L", "brix", "66.5", "sugar_used", "", "water_used", "", "temp", "95", "lots", "S-0815, S-0816", "note", "second")
	f := s.marked()
	if len(f) != 1 {
		t.Fatalf("facts %+v", f)
	}
	b := f[0].Body.(ledger.Batch)
	if b.ID != "b26-02" || b.Volume.Q != 150 || b.Strength != 0.665 || !b.TempKnown || b.Temp != 35 || len(b.Lots) != 2 || b.Lots[1] != "S-0816" || f[0].Seen != units.OnDay(sept(3)) {
		t.Errorf("%+v at %s", b, f[0].Seen)
	}
	a = s.get(to)
	a.has("Batch written down.")
	if got := s.get("/mix?anyway=1").field("batch"); got != "b26-03" {
		t.Errorf("next is %q", got)
	}
	if a := s.do(get("/mix/done")); a.Code != http.StatusMethodNotAllowed && a.Code != http.StatusNotFound {
		t.Errorf("GET of a POST: %d", a.Code)
	}
}
