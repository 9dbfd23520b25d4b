package browser

import (
	"testing"

	"larder/tools/storybook/chromium"
)

// TestFeedShed goes the whole way of a product: its label, a dose in Mix, the
// batch written down, and its lot followed to where it went. Nobody sees
// sideways scroll on a phone.
func TestFeedShed(t *testing.T) {
	t.Parallel()
	b := openOwn(t, "typical")
	b.must(chromium.Look(390, 900, false))
	b.goTo("/shed")
	if !b.has("use first") || !b.has("S-0531") {
		t.Error("the feed shed does not say what to use first")
	}
	for _, p := range []string{"/shed", "/shed/labels?product=invented+powder", "/shed/cost", "/shed/trace?lot=S-0815"} {
		b.goTo(p)
		if wide := eval[bool](b, "document.documentElement.scrollWidth > innerWidth"); wide {
			t.Errorf("%s: wider than the phone", p)
		}
	}
	b.goTo("/mix?how=make&make=40+US+gal&strength=2:1&product=invented+powder&share=1+US+gal")
	if !b.has("151 g") || !b.has("16.75") {
		t.Error("no dose in Mix")
	}
	b.press(`form[action="/mix/done"] button`)
	b.goTo("/shed/trace?lot=T-204")
	if !b.has("b15-02") {
		t.Error("the batch just written down is not traced")
	}
}
