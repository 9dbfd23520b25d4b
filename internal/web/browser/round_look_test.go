package browser

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"

	"larder/tools/storybook/chromium"
)

// plain finds text of the yard that is not near-black on white or white on
// near-black, or smaller than 20 px: #111 on white is 18.9:1.
const plain = `[...document.querySelectorAll("main *")].filter((e) => e.checkVisibility() && [...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim())).flatMap((e) => {
	const s = getComputedStyle(e);
	let ground = "rgba(0, 0, 0, 0)";
	for (let p = e; p && ground === "rgba(0, 0, 0, 0)"; p = p.parentElement) ground = getComputedStyle(p).backgroundColor;
	const pair = s.color + " on " + ground, ok = ["rgb(17, 17, 17) on rgb(255, 255, 255)", "rgb(255, 255, 255) on rgb(17, 17, 17)"];
	return [ok.includes(pair) ? "" : "contrast of " + pair + ": " + e.textContent.slice(0, 30), parseFloat(s.fontSize) >= 20 ? "" : "small text: " + e.textContent.slice(0, 30)].filter(Boolean);
})`

// Every page of the round at the three widths of phones, whatever theme the
// phone has: nothing axe finds, all targets 72 px, near-black on white.
func TestRoundLook(t *testing.T) {
	y := newYard(t)
	for _, look := range []struct {
		wide     int64
		dark     bool
		contrast string
	}{{360, false, "no-preference"}, {390, true, "no-preference"}, {430, false, "more"}} {
		t.Run(fmt.Sprint(look.wide), func(t *testing.T) {
			b := open(t, y.srv.URL)
			b.must(chromium.Look(look.wide, 780, look.dark))
			scheme := "light"
			if look.dark {
				scheme = "dark"
			}
			b.must(chromium.Media(map[string]string{"prefers-contrast": look.contrast, "prefers-color-scheme": scheme}))
			b.round("/round/1")
			eval[chromedp.Void](b, axeSource)
			check := func(view string) {
				t.Helper()
				b.view(view)
				what := fmt.Sprintf("%s at %d", view, look.wide)
				b.axe(what, nil)
				b.none(what, "probe.wide()", "probe.targets(72, 72)", plain)
				b.shot(fmt.Sprintf("trip-%s-%d", view, look.wide))
			}
			check("stop")
			b.says("All hives")
			check("list")
			b.says("A hive not")
			check("add")
			b.says("Back")
			b.view("list")
			b.says("End of this yard")
			check("sum")
			b.says("My entries")
			check("entries")
			b.says("Back")
			b.view("stop")
			b.tap("#start")
			check("hive")
			b.tap("#more")
			check("more")
			b.says("Note")
			check("note")
			b.says("Back")
			b.view("hive")
			b.tap("#other")
			check("pad")
			b.says("Back")
			b.view("hive")
			b.tap("#notfed")
			check("why")
			b.says("Back")
			b.view("hive")
			b.quiet(200, "look")
		})
	}
}
