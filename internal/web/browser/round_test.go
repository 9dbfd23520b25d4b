package browser

import (
	"slices"
	"strconv"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"larder/internal/apiary"
	"larder/internal/season"
	"larder/tools/storybook/chromium"
)

// The whole of a stop, online, at the width of a phone.
func TestRoundOneStop(t *testing.T) {
	y := newYard(t)
	b := open(t, y.srv.URL)
	b.must(chromium.Look(390, 844, false))
	b.goTo("/round")
	b.shot("round-list")
	b.round("/round/1")
	b.view("stop")
	b.shot("trip-stop")
	// What is done to open the yard is pressed away and written down.
	b.tap(`[data-chore="narrow"]`)
	b.wait(`!document.querySelector('[data-chore="narrow"]') && document.querySelector('[data-chore="leak"]')`)
	b.tap("#start")
	b.view("hive")
	b.shot("trip-hive")
	first := b.given()
	b.shot("trip-hive2")
	// An undo takes it back and comes back to it.
	b.tap("#undo")
	b.wait(`document.querySelector("main h1").textContent === ` + quoted(first))
	if b.given() != first {
		t.Error("undo did not come back")
	}
	second := b.hive()
	b.tap("#other")
	b.pad("60") // 57 L into one feeder
	b.tap("#pad-save")
	b.wait(`document.body.textContent.includes("more than three times what this feeder holds")`)
	// More than it holds is asked about, and kept when it is pressed once more.
	b.pad("⌫⌫4") // it holds 3 qt
	b.tap("#pad-save")
	b.wait(`document.querySelector(".alarm")?.textContent.includes("is more than this feeder holds")`)
	if _, given := y.logged(); len(given[second]) > 0 {
		t.Error("it was kept unasked")
	}
	b.shot("trip-pad")
	b.tap("#pad-save")
	b.view("hive")
	third := b.hive()
	b.tap("#notfed")
	b.view("why")
	b.shot("trip-why")
	b.tap(`[data-why="robbing"]`)
	b.view("hive")
	b.tap("#more")
	b.view("more")
	b.shot("trip-more")
	b.tap("#stop-rain")
	b.view("sum")
	b.shot("trip-sum")
	b.sent()
	b.quiet(200, "round")
	if f := y.facts(); !slices.ContainsFunc(f, func(f season.Fact) bool {
		return f.Body == season.Fact{Body: apiary.Chore{Yard: y.trip(1).Stops[0].Yard, What: "narrow"}}.Body
	}) {
		t.Error("the chore is not in the book")
	}
	kinds, given := y.logged()
	if kinds["given"] != 3 || kinds["strike"] != 1 || kinds["not-fed"] != 1 {
		t.Errorf("kinds: %v", kinds)
	}
	if len(given[first]) != 1 || len(given[second]) != 1 || len(given[third]) != 0 {
		t.Errorf("given: %v", given)
	}
}

// With the keyboard too: what is pressed is drawn anew and keeps the focus; and a
// page that home has nothing new for is not drawn anew, under a thumb or not.
func TestRoundKeepsTheFocus(t *testing.T) {
	y := newYard(t)
	b := open(t, y.srv.URL)
	b.must(chromium.Look(1280, 800, false))
	b.round("/round/1")
	b.tap("#start")
	b.view("hive")
	left := eval[string](b, `(() => { const e = document.querySelector("[aria-pressed][data-pad]"); e.focus(); return e.textContent; })()`)
	b.must(chromedp.KeyEvent(kb.Enter))
	b.wait(`document.querySelector("[aria-pressed=true][data-pad]")`)
	if now := eval[string](b, `document.activeElement.textContent`); now != left {
		t.Errorf("the focus was on %q and is on %q", left, now)
	}
	b.must(chromedp.KeyEvent(kb.Enter)) // taken back: nothing is picked
	b.wait(`!document.querySelector("[aria-pressed=true][data-pad]")`)
	b.round("/round/1")
	eval[chromedp.Void](b, `void (document.querySelector("#given").dataset.mark = "1")`)
	b.wait(`performance.getEntriesByType("resource").some((e) => e.name.includes("/phone/round?") && e.responseEnd)`)
	eval[chromedp.Void](b, `new Promise((ok) => setTimeout(ok, 300))`)
	if !eval[bool](b, `document.querySelector("#given")?.dataset.mark === "1"`) {
		t.Error("the page was drawn anew with nothing new in it")
	}
}

// The tank on the way: it tells after how many hives it runs short, the round is
// stopped when it is empty and goes on when it is filled; the seconds of pumping
// are counted out loud; the next stop opens the map.
func TestTankRunsShort(t *testing.T) {
	y := newYard(t)
	b := phone(t, y)
	b.first(`globalThis.spoken = []; globalThis.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } }; Object.defineProperty(globalThis, "speechSynthesis", { value: { speak(u) { spoken.push(u.text); } } })`)
	b.round("/round/1")
	stop := y.trip(1).Stops[0]
	gallons := (stop.Hives[0].PlanL + stop.Hives[1].PlanL + stop.Hives[2].PlanL/2) / 3.785411784 // two hives and a half
	b.tap("#start")
	b.view("hive")
	if b.has("runs short") {
		t.Error("a full tank runs short")
	}
	b.tap("#more")
	b.says2("Count out loud", "What is in the tank now")
	b.pad(strconv.FormatFloat(gallons, 'f', 1, 64))
	b.tap("#pad-save")
	b.view("hive")
	if !b.has("runs short after 2 hives") {
		t.Errorf("it does not say when the tank runs short: %s", b.text(".tank"))
	}
	b.shot("trip-short")
	b.tap("#count")
	b.wait(`document.querySelector("#count").textContent.includes(" of ")`)
	eval[chromedp.Void](b, `later(9200)`)
	b.wait(`spoken.includes("10")`)
	eval[chromedp.Void](b, `later(60000)`)
	b.wait(`spoken.at(-1) === "stop"`)
	b.given()
	b.tap("#more")
	b.tap("#stop-empty")
	b.view("sum")
	if !b.has("Tank empty.") || !b.has("Tank 0 US gal") || eval[int](b, `document.querySelectorAll('a[href^="geo:"]').length`) != 1 {
		t.Errorf("the summary: %s", b.text("main"))
	}
	b.tap("#refilled")
	b.pad("50")
	b.tap("#pad-save")
	b.view("sum")
	if !b.has("Tank 50 US gal") {
		t.Errorf("filled again: %s", b.text(".tank"))
	}
	b.tap(`[data-hive="` + stop.Hives[1].Colony + `"]`)
	b.view("hive")
	b.says2("More", "All hives", "A hive not on the list")
	eval[chromedp.Void](b, `void (document.querySelector("#new-hive").value = "swarm 1")`)
	b.tap("#add-save")
	b.wait(`document.querySelector("main h1").textContent === "swarm 1"`)
	b.says("Other amount")
	b.pad("1")
	b.tap("#pad-save")
	b.wait(`document.querySelector(".line").textContent.includes("swarm 1: given 1 qt")`)
	b.sent()
	if _, given := y.logged(); len(given["swarm 1"]) != 1 || len(given) != 2 {
		t.Errorf("given: %v", given)
	}
}
