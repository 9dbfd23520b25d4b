package browser

import (
	"testing"

	"github.com/chromedp/chromedp"

	"larder/tools/storybook/chromium"
)

// spacing is the text spacing of WCAG 2.2, 1.4.12.
const spacing = `* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important } p { margin-bottom: 2em !important }`

// TestLargeAndSpacedText shows every kind of state at 200 % zoom of a 1280 px
// window, with text twice as large, with the reader's own text spacing and with
// the system's colours: nothing is cut off, nothing lies on anything else,
// nothing has to be scrolled sideways.
func TestLargeAndSpacedText(t *testing.T) {
	t.Parallel()
	b := open(t, bookURL)
	for _, s := range book.Stories {
		switch s.State {
		case "thousand", "sixty", "unread", "stale":
			continue // the typical page with other numbers in it
		}
		if s.Screen == "print" {
			continue // paper: its sizes are those of the sheet, and the browser's own zoom does for it
		}
		b.must(chromium.Look(1280, 900, false))
		b.goTo("/story/" + s.Name())
		b.none(s.Name()+" 1280", "probe.crowded()")

		b.must(chromedp.EmulateViewport(640, 450, chromedp.EmulateScale(2)))
		b.none(s.Name()+" at 200 %", "probe.wide()", "probe.crowded()")
		b.must(chromium.Look(1280, 900, false), chromium.Text(32))
		if size := eval[string](b, "getComputedStyle(document.documentElement).fontSize"); size != "36px" {
			t.Fatalf("text of twice the size is %s: the reader's choice is not minded", size)
		}
		b.none(s.Name()+" with large text", "probe.wide()", "probe.crowded()")
		b.must(chromium.Look(390, 800, false), chromium.Text(16))
		b.none(s.Name()+" 390", "probe.crowded()")
		eval[struct{}](b, "probe.sheet(`"+spacing+"`)")
		b.none(s.Name()+" 390, spaced", "probe.wide()", "probe.crowded()")
		b.must(chromium.Look(1280, 900, false))
		b.none(s.Name()+" 1280, spaced", "probe.wide()", "probe.crowded()")
		eval[struct{}](b, `probe.sheet("")`)
		b.quiet(s.Status(), s.Name())
	}
}

// TestForcedColours looks for marks that vanish when the system chooses the
// colours: a chart's shapes keep a stroke or a fill that is not the ground.
func TestForcedColours(t *testing.T) {
	t.Parallel()
	b := open(t, bookURL)
	b.must(chromium.Look(1280, 900, false), chromium.Media(map[string]string{"forced-colors": "active"}))
	b.goTo("/story/short/typical")
	gone := eval[[]string](b, `[...document.querySelectorAll("svg.chart :is(rect, line, path, circle)")].filter((e) => {
		const s = getComputedStyle(e), ground = getComputedStyle(document.body).backgroundColor;
		const plain = (c) => c === "none" || c === ground || /^rgba.*, 0\)$/.test(c);
		return plain(s.fill) && plain(s.stroke) && !e.matches(".ground, defs *");
	}).slice(0, 5).map((e) => e.outerHTML.slice(0, 120))`)
	for _, g := range gone {
		t.Errorf("not to be seen with forced colours: %s", g)
	}
}
