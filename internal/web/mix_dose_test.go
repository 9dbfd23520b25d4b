package web

import (
	"strings"
	"testing"

	"larder/internal/ledger"
)

const doseQuery = "/mix?how=make&make=40+US+gal&strength=2:1&product=invented+powder&share=1+US+gal"

// The example's invented label has 1 g for 1 L: 151 g for 40 US gallons, 16¾ of a
// spoon that holds 9 g.
func TestMixWithADose(t *testing.T) {
	s := newExampleSite(t)
	a := s.get(doseQuery)
	a.has("151 g", "16.75", "Dissolve it first in", "The label says: stir for ten minutes", "lot T-204", "The label is the law", "Let the syrup cool to 86")
	if a.field("dose_used") != "151 g" || a.field("dose_lot") != "T-204" {
		t.Errorf("%q of %q", a.field("dose_used"), a.field("dose_lot"))
	}
	s.marked()
	s.done("/mix/done", "batch", "b15-02", "day", "2015-09-12", "syrup", "40 US gal", "brix", "66.7", "sugar_used", "295 lb", "lots", "S-0815",
		"dose_product", "invented powder", "dose_used", "151 g", "dose_lot", "T-204")
	var b ledger.Batch
	for _, f := range s.marked() {
		if x, ok := f.Body.(ledger.Batch); ok && x.ID == "b15-02" {
			b = x
		}
	}
	if len(b.Used) != 1 || b.Used[0].Mass.String() != "151 g" || strings.Join(b.Lots, " ") != "S-0815 T-204" {
		t.Errorf("%+v", b)
	}
	s.get("/shed/trace?lot=T-204").has("b15-02")
}

// What is not on the label, or against it, locks the step with a sentence.
func TestMixLocksTheDose(t *testing.T) {
	s := newExampleSite(t)
	s.get("/mix?how=make&make=40+US+gal&strength=2:1&product=invented+powder").has("There is no dose", "share of the syrup has not been told")
	s.get("/mix?how=make&make=40+US+gal&strength=70+%25&product=invented+powder&share=1+US+gal").has("There is no dose", "the label allows syrup up to 68.0 %")
	s.get("/mix?how=make&make=40+US+gal&strength=2:1&product=white+sugar&share=1+US+gal").has("its label has not been copied")
	if a := s.do(get("/mix?how=make&make=40&strength=2:1&product=invented+powder&share=lots")); a.Code != 422 || a.field("share") != "lots" {
		t.Errorf("%d %q", a.Code, a.field("share"))
	}
}
