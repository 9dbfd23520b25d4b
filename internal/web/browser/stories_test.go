package browser

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"larder/tools/storybook/chromium"
	"larder/tools/storybook/stories"
)

// colourRules are the rules that can differ between light and dark: the page is
// the same, its colours are not.
var colourRules = []string{"color-contrast", "link-in-text-block"}

// TestStories looks at every story at 320 and 1280 px, light and dark: no
// violation of WCAG 2.2 A and AA that axe-core finds, no sideways scroll,
// nothing to press that is too small, nothing in the console, no request
// elsewhere, the policy kept.
func TestStories(t *testing.T) {
	byScreen, order := map[string][]stories.Story{}, []string{}
	for _, s := range book.Stories {
		if byScreen[s.Screen] == nil {
			order = append(order, s.Screen)
		}
		byScreen[s.Screen] = append(byScreen[s.Screen], s)
	}
	for _, screen := range order {
		t.Run(screen, func(t *testing.T) {
			t.Parallel()
			b := open(t, bookURL)
			for _, s := range byScreen[screen] {
				b.story(s)
			}
		})
	}
}

// look is one way to look at a page.
type look struct {
	width int64
	dark  bool
	rules []string // nil = all of WCAG 2.2 A and AA
}

// looks are those a story is judged in. The typical state of every screen is
// seen in all four; in two of them only colours can differ. What a screen has
// else is seen wide and light and narrow and dark. States that are the typical
// page with other numbers in it, and the manual in one piece, whose pages are
// stories of their own, are seen once. LOOKS=all sees every story in all
// four (make looks): a quarter of an hour.
func looks(s stories.Story) []look {
	wide, narrow := look{width: 1280}, look{width: 320, dark: true}
	four := []look{wide, {1280, true, colourRules}, {320, false, colourRules}, narrow}
	switch {
	case os.Getenv("LOOKS") == "all":
		return []look{wide, {width: 1280, dark: true}, {width: 320}, narrow}
	case s.State == "typical":
		return four
	case s.State == "unread":
		return []look{narrow}
	case s.State == "stale", s.State == "thousand", s.State == "sixty", s.State == "whole":
		return []look{wide}
	}
	return []look{wide, narrow}
}

// story judges one story. The page is loaded once: a look changes its style
// only.
func (b *tab) story(s stories.Story) {
	b.t.Helper()
	from := time.Now()
	b.must(chromium.Look(1280, 900, false))
	b.goTo("/story/" + s.Name())
	eval[struct{}](b, axeSource)
	for _, l := range looks(s) {
		b.must(chromium.Look(l.width, 900, l.dark))
		b.axe(fmt.Sprintf("%s %d dark=%v", s.Name(), l.width, l.dark), l.rules)
	}
	b.must(chromium.Look(1280, 900, false))
	b.none(s.Name()+" 1280", "probe.wide()", "probe.targets(44, 44)", "probe.gaps(8)")
	b.must(chromium.Look(320, 800, false))
	b.none(s.Name()+" 320", "probe.wide()")
	b.must(chromium.Look(390, 800, false))
	b.none(s.Name()+" 390", "probe.wide()", "probe.targets(56, 44)")
	b.quiet(s.Status(), s.Name())
	b.t.Logf("%-24s %v", s.Name(), time.Since(from).Round(10*time.Millisecond))
}

// axe fails with what axe-core finds. No rules = all of WCAG 2.2 A and AA.
func (b *tab) axe(what string, rules []string) {
	b.t.Helper()
	arg := "null"
	if rules != nil {
		arg = `["` + strings.Join(rules, `", "`) + `"]`
	}
	b.none(what, "probe.axeRun("+arg+")")
}

// none fails with each line that questions of the probe answer.
func (b *tab) none(what string, questions ...string) {
	b.t.Helper()
	for _, q := range questions {
		for _, l := range eval[[]string](b, q) {
			b.t.Errorf("%s: %s", what, l)
		}
	}
}
