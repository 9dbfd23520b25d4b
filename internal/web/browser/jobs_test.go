package browser

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"larder/tools/storybook/chromium"
	"larder/tools/storybook/stories"
)

// typical are the stories of the typical season that are asked for plainly.
func typical() []stories.Story {
	var out []stories.Story
	for _, s := range book.Stories {
		if s.State == "typical" && s.Season == "typical" && s.Form == nil {
			out = append(out, s)
		}
	}
	return out
}

// ownUnits are screens on which amounts stand in the units they were typed or
// published in, or in both systems side by side.
var ownUnits = map[string]bool{"mix": true, "mix-step": true, "given": true, "given-sheet": true, "figures": true, "figure": true}

// TestLanguageAndUnitsForAllPages switches at the foot of one page and wants
// every page switched: no message of the other language, no unit of the other
// system.
func TestLanguageAndUnitsForAllPages(t *testing.T) {
	t.Parallel()
	b := openOwn(t, "typical")
	b.must(chromium.Look(1280, 900, false))
	b.goTo("/short")
	b.press(`footer button[value="es"]`)
	b.press(`footer button[value="metric"]`)
	for _, s := range typical() {
		p := s.Path
		b.goTo(p)
		if l := eval[string](b, "document.documentElement.lang"); l != "es" {
			t.Errorf("%s: lang is %q", p, l)
		}
		if u := oddUnits(b, s.Screen, `US gal|US qt|UK gal|UK pt|lb|oz|mi|°F`); u != "" {
			t.Errorf("%s: %q in metric", p, u)
		}
	}
	b.goTo("/short")
	b.press(`footer button[value="en"]`)
	b.press(`footer button[value="uk"]`)
	for _, s := range typical() {
		p := s.Path
		b.goTo(p)
		if l := eval[string](b, "document.documentElement.lang"); l != "en" {
			t.Errorf("%s: lang is %q", p, l)
		}
		if u := oddUnits(b, s.Screen, `US gal|US qt|kg|km|°F`); u != "" {
			t.Errorf("%s: %q in UK units", p, u)
		}
	}
	b.quiet(200, "switching")
}

// oddUnits finds an amount in one of the units, outside what was typed by the
// keeper (it stays as typed), sources and cautions (they name both).
func oddUnits(b *tab, screen, unit string) string {
	b.t.Helper()
	if ownUnits[screen] {
		return ""
	}
	return eval[string](b, fmt.Sprintf(`(() => {
		const page = document.querySelector("main").cloneNode(true);
		for (const e of page.querySelectorAll(".caution, .note, .hint, table.history, input, textarea, select, [lang]")) e.remove();
		const m = page.textContent.match(/\d[\d.,\u202f\u00a0]*\s?(%s)(?![\p{L}])/u);
		return m ? m[0] : "";
	})()`, unit))
}

// TestUndo takes a plan out, takes that back, and takes the taking back back.
func TestUndo(t *testing.T) {
	t.Parallel()
	b := openOwn(t, "typical")
	b.must(chromium.Look(1280, 900, false))
	b.goTo("/plan")
	before := b.has("taken out before")
	b.press(`form[action="/plan/out"] button`)
	if got := b.text(".status"); !strings.Contains(got, "The plan is taken out.") {
		t.Errorf("status: %q", got)
	}
	if before || !b.has("1 plan was taken out before.") {
		t.Error("the plan is not out")
	}
	b.press(`form[action="/undo"] button`)
	if got := b.text(".status"); !strings.Contains(got, "Undone.") {
		t.Errorf("status: %q", got)
	}
	if b.has("taken out before") {
		t.Error("the plan is still out")
	}
	b.press(`form[action="/undo"] button`)
	if !b.has("1 plan was taken out before.") {
		t.Error("undoing the undo does not bring it back")
	}
	b.goTo("/plan")
	if !b.has("1 plan was taken out before.") {
		t.Error("lost by loading again")
	}
	b.quiet(200, "undo")
}

// TestTicksAddUp ticks a hive off and wants the sums to follow without a new
// page; the button then plans for what is ticked.
func TestTicksAddUp(t *testing.T) {
	t.Parallel()
	b := openOwn(t, "typical")
	b.must(chromium.Look(1280, 900, false))
	b.goTo("/short")
	was := b.text(`[data-sum="syrup"]`)
	id := eval[string](b, `document.querySelector('input[name=tick]:checked').value`)
	b.must(chromedp.Click(chromedp.CSS(fmt.Sprintf(`input[name=tick][value=%q]`, id))))
	now := eval[string](b, fmt.Sprintf(`new Promise((done, fail) => {
		const dd = document.querySelector('[data-sum="syrup"]');
		let n = 0;
		const look = () => dd.textContent !== %q ? done(dd.textContent) : ++n > 400 ? done(dd.textContent) : setTimeout(look, 25);
		look();
	})`, was))
	if now == was {
		t.Fatalf("the sum stays %s with hive %s ticked off", was, id)
	}
	b.press(`form#ticks button.main`)
	if loc := eval[string](b, "location.pathname + location.search"); loc != "/plan?skip="+id {
		t.Errorf("the plan is asked for at %s", loc)
	}
	if strings.Contains(b.text(".fills"), id+" ") {
		t.Errorf("hive %s is in the plan all the same", id)
	}
	b.quiet(200, "ticks")
}

// TestWhatIf tries a smaller tank beside the plan; nothing is kept of it.
func TestWhatIf(t *testing.T) {
	t.Parallel()
	b := openOwn(t, "typical")
	b.must(chromium.Look(1280, 900, false))
	b.goTo("/plan")
	was := b.text(".big")
	b.must(chromedp.SendKeys(chromedp.CSS(`[name="rig.tank"]`), "20"))
	b.press(`form[action="/plan"] button`)
	if !b.has("The difference") || b.text(".big") != was {
		t.Errorf("no difference is shown, or the plan itself changed: %q, was %q", b.text(".big"), was)
	}
	rows := b.text("section[aria-labelledby=whatif] table tbody")
	if !strings.Contains(rows, "Loads") || !strings.Contains(rows, "Work") {
		t.Errorf("the difference lacks loads or work: %q", rows)
	}
	if v := eval[string](b, `document.querySelector('[name="rig.tank"]').value`); !strings.HasPrefix(v, "20") {
		t.Errorf("what was typed is %q now", v)
	}
	b.goTo("/plan")
	if b.has("The difference") || b.text(".big") != was {
		t.Error("trying changed something")
	}
	b.quiet(200, "what if")
}

// TestWithoutScripts does the jobs of Who is short and Plan with scripts off.
func TestWithoutScripts(t *testing.T) {
	t.Parallel()
	b := openOwn(t, "typical")
	b.must(chromium.Look(1280, 900, false), chromium.Scripts(false))
	b.goTo("/short")
	b.must(chromedp.SendKeys(chromedp.CSS("#find"), "m4"))
	b.press(".filters button")
	if n := eval[int](b, "document.querySelectorAll('tbody tr').length"); n != 1 {
		t.Errorf("%d hives shown, want m4 alone", n)
	}
	b.goTo("/short")
	id := eval[string](b, `document.querySelector('input[name=tick]:checked').value`)
	b.must(chromedp.Click(chromedp.CSS(fmt.Sprintf(`input[name=tick][value=%q]`, id))))
	b.press("form#ticks button.main")
	if loc := eval[string](b, "location.pathname + location.search"); loc != "/plan?skip="+id {
		t.Errorf("the plan is asked for at %s", loc)
	}
	b.must(chromedp.SendKeys(chromedp.CSS(`[name="crew.people"]`), "2"))
	b.press(`form[action="/plan"] button`)
	if !b.has("The difference") {
		t.Error("no difference is shown")
	}
	b.press(`form[action="/plan/out"] button`)
	b.press(`form[action="/undo"] button`)
	if !b.has("Undone.") {
		t.Error("not undone")
	}
	b.press(`footer button[value="es"]`)
	if l := eval[string](b, "document.documentElement.lang"); l != "es" {
		t.Errorf("lang is %q", l)
	}
	b.quiet(200, "without scripts")
}
