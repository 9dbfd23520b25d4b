package browser

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"larder/tools/storybook/chromium"
)

// TestStopDay sets a yard's last day on a phone with scripts off, meets the page
// again when the day cannot be read, and takes it back.
func TestStopDay(t *testing.T) {
	t.Parallel()
	b := openOwn(t, "typical")
	b.must(chromium.Look(390, 900, false), chromium.Scripts(false))
	type_ := func(text string) {
		box := chromedp.CSS(`[name="stop-mill"]`)
		b.must(chromedp.Clear(box), chromedp.SendKeys(box, text))
	}
	set := `form[action="/stop/mill"] button`
	mill := `section[aria-labelledby="y-mill"]`

	b.goTo("/stop")
	if before := b.text(mill); !strings.Contains(before, "Stop about") || !strings.Contains(before, "Work left here") {
		t.Fatalf("before: %s", before)
	}
	if n := eval[int](b, `document.querySelectorAll('`+mill+` svg[role="img"] title').length`); n == 0 {
		t.Error("the strip of days has no title")
	}
	type_("soon")
	if r := b.press(set); r.Status != 422 {
		t.Errorf("answered %d", r.Status)
	}
	if typed := eval[string](b, `document.querySelector('[name="stop-mill"]').value`); typed != "soon" {
		t.Errorf("what was typed is %q", typed)
	}
	if !eval[bool](b, `Boolean(document.querySelector('[name="stop-mill"][aria-invalid="true"]'))`) {
		t.Error("the box is not marked")
	}
	type_("20 Sep")
	b.press(set)
	if after := b.text(mill); !strings.Contains(after, "20 Sep") || !strings.Contains(after, "you typed it") {
		t.Errorf("after: %s", after)
	}
	b.press(`form[action="/undo"] button`)
	b.goTo("/stop")
	if again := b.text(mill); strings.Contains(again, "you typed it") {
		t.Errorf("undone: %s", again)
	}
	if eval[bool](b, "document.documentElement.scrollWidth > innerWidth") {
		t.Error("wider than the phone")
	}
}

// TestWinterEvening goes from the watch to the hive that runs low first, hefts it,
// and finds it further down the list; then looks back on the season.
func TestWinterEvening(t *testing.T) {
	t.Parallel()
	b := openOwn(t, "winter")
	b.must(chromium.Look(390, 900, false), chromium.Scripts(false))
	b.goTo("/winter")
	first := eval[string](b, `document.querySelector("tbody tr th a").textContent`)
	if !b.has("need feed within six weeks") {
		t.Error("nobody is told to need feed")
	}
	if n := eval[int](b, `document.querySelectorAll("tbody tr details svg title").length`); n == 0 {
		t.Error("no fan has a title")
	}
	b.press("tbody tr:first-child a.button")
	if h := eval[string](b, `document.querySelector("main").innerText`); !strings.Contains(h, first) {
		t.Errorf("the heft is not of %s: %.200s", first, h)
	}
	b.goTo("/winter")
	// Heavier than the others like it: it cannot be the first to run low any more.
	place := func() int {
		return eval[int](b, `[...document.querySelectorAll("tbody tr th a")].findIndex((a) => a.textContent === `+quoted(first)+`)`)
	}
	if at := place(); at != 0 {
		t.Fatalf("%s stands at %d", first, at)
	}
	b.press("tbody tr:first-child a.button")
	lift := func(lb string) {
		for _, box := range []string{"#first", "#second"} {
			b.must(chromedp.Clear(chromedp.CSS(box)), chromedp.SendKeys(chromedp.CSS(box), lb))
		}
		b.press("#one button.main")
	}
	lift("60")
	if !b.has("Unlikely – keep?") || !b.has(first) {
		t.Errorf("a nuc of 60 lb of stores is not asked about: %.300s", b.text("main"))
	}
	lift("41")
	b.goTo("/winter")
	if at := place(); at == 0 {
		t.Errorf("%s is heavier than the others and is still the first", first)
	}
	b.goTo("/given/review")
	for _, words := range []string{"Sugar for next autumn", "Deaths by stores at the stop day"} {
		if !b.has(words) {
			t.Errorf("looking back does not say %q", words)
		}
	}
	if eval[bool](b, "document.documentElement.scrollWidth > innerWidth") {
		t.Error("wider than the phone")
	}
}
