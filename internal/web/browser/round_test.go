package browser

import (
	"slices"
	"testing"

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
	b.pad("1.5")
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
