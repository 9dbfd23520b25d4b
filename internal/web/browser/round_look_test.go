package browser

import (
	"fmt"
	"os"
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

// phoneLook is how a phone shows pages.
type phoneLook struct {
	wide   int64
	dark   bool
	more   bool // contrast
	forced bool // colours of the reader's own
}

func (l phoneLook) String() string {
	s := fmt.Sprint(l.wide)
	if l.dark {
		s += "-dark"
	}
	if l.more {
		s += "-more"
	}
	if l.forced {
		s += "-forced"
	}
	return s
}

// set makes a tab look so.
func (l phoneLook) set(b *tab) {
	b.t.Helper()
	pick := func(on bool, yes, no string) string {
		if on {
			return yes
		}
		return no
	}
	b.must(chromium.Look(l.wide, 780, l.dark), chromium.Media(map[string]string{"prefers-contrast": pick(l.more, "more", "no-preference"),
		"prefers-color-scheme": pick(l.dark, "dark", "light"), "forced-colors": pick(l.forced, "active", "none")}))
}

// phoneLooks are a few looks, or with LOOKS=all every width in every look.
func phoneLooks() []phoneLook {
	if os.Getenv("LOOKS") != "all" {
		return []phoneLook{{wide: 360}, {wide: 390, dark: true}, {wide: 430, more: true}, {wide: 390, forced: true, dark: true}}
	}
	var out []phoneLook
	for _, wide := range []int64{360, 390, 430} {
		out = append(out, phoneLook{wide: wide}, phoneLook{wide: wide, dark: true}, phoneLook{wide: wide, more: true}, phoneLook{wide: wide, forced: true}, phoneLook{wide: wide, forced: true, dark: true})
	}
	return out
}

// The pages beside the round that a phone shows, at its widths.
func TestPhonePagesLook(t *testing.T) {
	y := newYard(t)
	b := open(t, y.srv.URL)
	for _, l := range phoneLooks() {
		l.set(b)
		for name, path := range map[string]string{"round": "/round", "readings-one": "/readings/one?yard=mill&way=lift1", "phonefile": "/phone/file", "roundcode": "/round/type", "triphive": "/round/1/hive/" + y.trip(1).Stops[0].Hives[0].Colony} {
			b.goTo(path)
			what := name + "-" + l.String()
			b.none(what, "probe.wide()", "probe.targets(44, 44)", "probe.gaps(8)")
			b.shot(what)
		}
	}
}

// Every page of the round at the three widths of phones, whatever theme the
// phone has: nothing axe finds, all targets 72 px and 8 apart, near-black on white, but for
// colours that the reader has forced.
func TestRoundLook(t *testing.T) {
	y := newYard(t)
	for _, l := range phoneLooks() {
		t.Run(l.String(), func(t *testing.T) {
			b := open(t, y.srv.URL)
			l.set(b)
			b.round("/round/1")
			eval[chromedp.Void](b, axeSource)
			check := func(view string) {
				t.Helper()
				b.view(view)
				what := view + " at " + l.String()
				b.none(what, "probe.wide()", "probe.targets(72, 72)", "probe.gaps(8)")
				if !l.forced { // forced colours are put on after what a script can ask
					b.axe(what, nil)
					b.none(what, plain)
				}
				b.shot("trip-" + view + "-" + l.String())
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
