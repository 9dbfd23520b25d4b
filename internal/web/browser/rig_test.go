package browser

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"larder/tools/storybook/chromium"
)

// TestRig does the main job of each page of the rig, with scripts off: ask for a
// dip, keep a bucket test and take it back, try a thinner wire, warm a batch,
// overload the truck, ask for a lift that is refused.
func TestRig(t *testing.T) {
	t.Parallel()
	b := openOwn(t, "typical")
	b.must(chromium.Look(390, 900, false), chromium.Scripts(false))
	ask := func(field, text string) { b.must(chromedp.SendKeys(chromedp.CSS("#"+field), text)) }
	// Boxes of how it is built stand in a fold, and their ids have a full stop.
	open := func() { b.must(chromedp.Click(chromedp.CSS("summary#built"))) }
	write := func(key, text string) {
		box := chromedp.CSS(`[name="` + key + `"]`)
		b.must(chromedp.Clear(box), chromedp.SendKeys(box, text))
	}
	work := `button.main[formmethod="get"]`

	b.goTo("/rig/tank")
	ask("dip", "12")
	b.press(work)
	if big := b.text(".big"); !strings.Contains(big, "±") || !b.has("50 % of a full one") {
		t.Errorf("a dip of 12 in: %q", big)
	}

	b.goTo("/rig/hose")
	open()
	write("pump.bucket", "5 gal in 120 s\n5 gal in 121 s\n5 gal in 119 s\n5 gal in 120 s\n5 gal in 120 s")
	b.press("form .row button.main")
	if big := b.text(".big"); !strings.HasPrefix(big, "2.5 ±") {
		t.Errorf("kept, it says %q", big)
	}
	b.press(`form[action="/undo"] button`)
	if big := b.text(".big"); !strings.HasPrefix(big, "3.0 ±") {
		t.Errorf("undone, it says %q", big)
	}

	b.goTo("/rig/wire")
	write("wire.size", "18 AWG")
	b.press(`form .row button[formmethod="get"]`)
	if !b.has("18 AWG: too thin") || !b.has("Tried out, not kept.") {
		t.Error("a wire that is too thin is not told of")
	}

	b.goTo("/rig/heat")
	ask("make", "30")
	b.press(work)
	if !b.has("for 30 US gal of 66.7 % syrup") || !b.has("RCD/GFCI") {
		t.Error("30 gal are not warmed")
	}

	b.goTo("/rig/truck")
	ask("syrup", "120")
	b.press(work)
	if !b.has("Take off 40 US gal") {
		t.Error("120 gal are not too much")
	}

	b.goTo("/rig/lift")
	ask("weight", "55")
	b.must(chromedp.Click(chromedp.CSS(`[name="open"]`)))
	b.press(work)
	if !b.has("it shifts") {
		t.Error("an open pail is not refused")
	}
	b.quiet(200, "rig")
}
