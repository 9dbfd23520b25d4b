package browser

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"larder/tools/storybook/chromium"
)

// at is where the focus is, as the probe tells it.
type at struct {
	Name, Href, ID, Field, Where string
	Main, Seen                   bool
	Ring                         float64
}

// mostStops is where tabbing through a page gives up.
const mostStops = 600

// TestKeyboardReachesEverything tabs through the typical page of every screen:
// each stop shows a ring and is in sight, not under a bar; every main action is
// reached; the focus comes round again and is never caught.
func TestKeyboardReachesEverything(t *testing.T) {
	t.Parallel()
	b := open(t, bookURL)
	for _, s := range book.Stories {
		if s.State != "typical" {
			continue
		}
		b.must(chromium.Look(1280, 800, false))
		b.goTo("/story/" + s.Name())
		if s.Screen == "trip" {
			// Its script takes the page over, and draws it anew when home has answered.
			b.wait(`document.documentElement.classList.contains("yard") && (() => { const now = document.getElementById("trip").innerHTML; if (now !== globalThis.was) { globalThis.was = now; globalThis.since = performance.now(); } return performance.now() - globalThis.since > 1500; })()`)
		}
		// A page may put the focus where the work is; paper and the round have no navigation to skip.
		begins := eval[bool](b, "document.activeElement !== document.body") || s.Screen == "print" || s.Screen == "trip"
		want := eval[int](b, `[...document.querySelectorAll(".main:not(:disabled)")].filter((e) => e.checkVisibility()).length`)
		main, bad, stops := 0, 0, 0
		for ; stops < mostStops; stops++ {
			b.must(chromedp.KeyEvent(kb.Tab))
			f := eval[*at](b, "probe.focus()")
			if f == nil {
				break // out of the page: round again
			}
			if f.Main {
				main++
			}
			if stops == 0 && !begins && f.Href != "#main" {
				t.Errorf("%s: the first stop is %s, not the way to the page", s.Name(), f.Name)
			}
			if bad < 5 && (f.Ring < 2 || !f.Seen) {
				bad++
				t.Errorf("%s: stop %d, %s: ring %v px, in sight %v, at %s", s.Name(), stops+1, f.Name, f.Ring, f.Seen, f.Where)
			}
		}
		if stops == mostStops {
			t.Errorf("%s: the focus does not leave the page", s.Name())
		}
		if main < want {
			t.Errorf("%s: %d of %d main actions reached", s.Name(), main, want)
		}
		t.Logf("%s: %d stops", s.Name(), stops)
	}
}

// TestSkipLink goes past the navigation with one key.
func TestSkipLink(t *testing.T) {
	t.Parallel()
	b := open(t, bookURL)
	b.must(chromium.Look(1280, 800, false))
	b.goTo("/story/short/typical")
	b.must(chromedp.KeyEvent(kb.Tab), chromedp.KeyEvent(kb.Enter))
	if id := eval[string](b, "document.activeElement.id"); id != "main" {
		t.Errorf("the focus is on %q, not on the page", id)
	}
	b.must(chromedp.KeyEvent(kb.Tab))
	if !eval[bool](b, `document.querySelector("main").contains(document.activeElement)`) {
		t.Error("the next stop is not in the page")
	}
}
