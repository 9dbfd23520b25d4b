package web

import (
	"net/http"
	"net/url"
	"regexp"
	"testing"

	"larder/internal/ledger"
	"larder/internal/supplement"
)

// pairs lays a form out.
func pairs(f url.Values) []string {
	var out []string
	for k, v := range f {
		out = append(out, k, v[0])
	}
	return out
}

func TestShedShowsTheStock(t *testing.T) {
	s := newExampleSite(t)
	a := s.get("/shed")
	a.has("S-0531", "use first", "F-0210", "use soon", "Record a delivery", "The label is the law", "What to buy for the plan")
	e := newSite(t, smallNow)
	e.get("/shed").has("Nothing is known of the shed", "There is no plan to buy for")
}

func TestDeliveryIsWrittenDown(t *testing.T) {
	s := newSmallSite(t)
	s.marked()
	a := s.post("/shed", "item", "white sugar", "much", "1000 lb", "lot", "S-9", "price", "590 USD", "best_before", "2028-06-30", "sack", "50", "day", "2026-09-01")
	if a.Code != http.StatusSeeOther {
		t.Fatalf("%d: %s", a.Code, a.Body)
	}
	got := s.marked()
	p, ok := got[0].Body.(ledger.Purchase)
	if len(got) != 1 || !ok || p.Lot != "S-9" || p.Mass.String() != "1000 lb" || p.Price.String() != "590.00 USD" || p.Sack.String() != "50 lb" || got[0].Seen.Day().String() != "2026-09-01" {
		t.Errorf("%+v", got)
	}
	s.get("/shed").has("S-9", "1000 lb")
	// More given away than is there is taken, and shown.
	if a := s.post("/shed/handled", "what", "used", "of", "white sugar", "of_lot", "S-9", "amount", "1100 lb", "done_day", "2026-09-02"); a.Code != http.StatusSeeOther {
		t.Fatalf("%d", a.Code)
	}
	s.get("/shed").has("-100 lb", "below zero", "Some of it is below zero")
}

// TestUsedAndNeverBoughtIsTheSameEverywhere compares page and sheet.
func TestUsedAndNeverBoughtIsTheSameEverywhere(t *testing.T) {
	s := newSmallSite(t)
	s.done("/mix/done", "batch", "b26-01", "day", "2026-09-04", "syrup", "2 US gal", "brix", "2:1", "sugar_used", "221 lb", "water_used", "", "lots", "")
	a := s.get("/shed")
	a.has("-221 lb", "221 lb of sugar were used that nobody wrote down as bought", "0 lb is there")
	sacks := regexp.MustCompile(`(\d+) sacks of 50 lb`).FindStringSubmatch(a.text())
	if sacks == nil {
		t.Fatalf("no sacks of 50 lb on the page: %s", a.text())
	}
	s.get("/sheets/shopping").has("221 lb of sugar were used that nobody wrote down as bought", "sacks of 50 lb", sacks[1])
	if got := s.get("/sheets").field("sack"); got != "50 lb" {
		t.Errorf("the sheets' sack is %q", got)
	}
	if got := s.get("/mix?anyway=1").field("sack"); got != "50 lb" {
		t.Errorf("the mix's sack is %q", got)
	}
}

func TestShedKeepsWhatWasTyped(t *testing.T) {
	s := newSmallSite(t)
	s.marked()
	for path, typed := range map[string]url.Values{
		"/shed":         {"item": {"white sugar"}, "much": {"lots"}, "price": {"dear"}, "day": {"soon"}},
		"/shed/handled": {"what": {"spilt"}, "of": {""}, "amount": {"much"}, "done_day": {"2099-01-01"}},
		"/shed/labels":  {"product": {"drops"}, "per_syrup": {"a spoon"}, "opened_days": {"long"}},
		"/shed/spoon":   {"product": {"drops"}, "spoonfuls": {"x"}, "together": {"heavy"}},
	} {
		a := s.post(path, pairs(typed)...)
		if a.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s: %d", path, a.Code)
		}
		for k, v := range typed {
			if k != "product" && k != "what" && a.field(k) != v[0] {
				t.Errorf("%s: %s is %q now", path, k, a.field(k))
			}
		}
	}
	if got := s.marked(); len(got) > 0 {
		t.Errorf("kept %v", got)
	}
}

func TestLabelIsCopiedAndLocks(t *testing.T) {
	s := newSmallSite(t)
	s.marked()
	half := url.Values{"product": {"drops"}, "form": {"liquid"}, "per_syrup": {"2 mL per 1 L"}}
	if a := s.post("/shed/labels", pairs(half)...); a.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", a.Code, a.Body)
	}
	s.get("/shed/labels?product=drops").has("stays locked", "the strongest syrup it may go into has not been entered")
	if v := s.get("/shed/labels?product=drops").field("per_syrup"); v != "2 mL per 1 L" {
		t.Errorf("the dose is %q now", v)
	}
	whole := url.Values{"product": {"drops"}, "form": {"liquid"}, "per_syrup": {"2 mL per 1 L"}, "silent.season_most": {"1"}, "silent.season_times": {"1"}, "silent.strongest": {"1"}, "warmest": {"35 C"},
		"silent.carrier": {"1"}, "order": {"shake\npour"}, "silent.kept_where": {"1"}, "opened_days": {"30"}, "silent.mixed_days": {"1"}, "medicine": {"no"}}
	if a := s.post("/shed/labels", pairs(whole)...); a.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", a.Code, a.Body)
	}
	s.get("/shed/labels?product=drops").has("can be worked out")
	if a := s.post("/shed/spoon", "product", "drops", "spoonfuls", "5", "together", "60", "holds", "15"); a.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", a.Code, a.Body)
	}
	s.get("/shed/labels?product=drops").has("weighs 12.0 g")
	kinds := ""
	for _, f := range s.marked() {
		kinds += f.Kind() + " "
		if l, ok := f.Body.(supplement.Label); ok && l.Product != "drops" {
			t.Errorf("%+v", l)
		}
	}
	if kinds != "label label spoon " {
		t.Error(kinds)
	}
}

func TestCostAndTraceOfTheExample(t *testing.T) {
	s := newExampleSite(t)
	s.get("/shed/cost?kind=hfcs-55&price=480&buys=275+US+gal").has("creek", "HFCS-55", "white sugar, fed as your syrup", "least")
	s.get("/shed/trace?lot=S-0815").has("4 hives got it", "b15-01", "c6 creek")
	s.get("/shed/trace?colony=c1").has("1 gifts reached it", "T-204")
	if a := s.do(get("/shed/trace?lot=nothing")); a.Code != http.StatusNotFound {
		t.Errorf("%d", a.Code)
	}
}
