package browser

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"larder/internal/apiary"
	"larder/internal/stores"
	"larder/tools/storybook/chromium"
)

// read types a row of the one-hive page and saves it; it gives the hive's name.
func (b *tab) read(first, note string) string {
	b.t.Helper()
	name := eval[string](b, `document.querySelector(".where .hive").textContent`)
	eval[chromedp.Void](b, fmt.Sprintf(`void (document.getElementById("first").value = %q, document.getElementById("note").value = %q, document.querySelector(".go button").click())`, first, note))
	b.wait(fmt.Sprintf(`document.querySelector(".where .hive").textContent !== %q`, name))
	return name
}

// Readings outside a round are kept on the phone without signal and sent when
// there is some, like gifts; the page opens again without signal.
func TestReadingsWithoutSignal(t *testing.T) {
	y := newYard(t)
	b := phone(t, y)
	ready := `document.querySelector("#one[data-ready]")`
	at := "/readings/one?yard=mill&way=lift1&unit=lb"
	b.goTo(at)
	b.wait(ready)
	b.wait(`(async () => { globalThis.copy = Boolean(await caches.match("/readings/one")); })() && globalThis.copy`)
	type row struct{ first, note string }
	want := map[string]row{}
	want[b.read("54", "")] = row{"54 lb", ""}
	// An unlikely one is asked about while home answers.
	odd := eval[string](b, `document.querySelector(".where .hive").textContent`)
	eval[chromedp.Void](b, `void (document.getElementById("first").value = "190", document.querySelector(".go button").click())`)
	b.wait(`document.querySelector("#first-bad")?.textContent.includes("press Save and next again")`)
	b.shot("readings-ask")
	y.offline(true)
	if name := b.read("39.5", "quiet"); name != odd {
		t.Errorf("it went on from %s to %s", odd, name)
	}
	want[odd] = row{"39.5 lb", "quiet"}
	eval[chromedp.Void](b, `document.querySelector("#skip").click()`)
	light := b.read("l", "")
	wrong := b.read("99", "")
	eval[chromedp.Void](b, `document.querySelector("#take-back").click()`)
	b.wait(fmt.Sprintf(`document.querySelector(".where .hive").textContent === %q`, wrong))
	want[b.read("44", "")] = row{"44 lb", ""}
	b.shot("readings-offline")

	b.goTo(at) // opened anew, without signal
	b.wait(ready)
	b.wait(`document.querySelector("#kept strong").textContent.startsWith("Entries on this phone, not yet at home")`)
	eval[chromedp.Void](b, axeSource)
	b.axe("readings-one", nil)
	b.none("readings-one", "probe.wide()", "probe.targets(56, 44)")
	eval[chromedp.Void](b, `void (document.getElementById("first").value = "", document.getElementById("note").value = "wasps about", document.querySelector(".go button").click())`)
	b.wait(`document.querySelector("#kept").textContent.includes("On this phone")`)
	y.offline(false)
	b.wait(`(window.dispatchEvent(new Event("online")), document.querySelector("#kept strong").textContent.startsWith("All sent"))`)

	got, notes, hand, strikes := map[string]row{}, 0, 0, 0
	for _, f := range y.facts() {
		if !strings.HasPrefix(f.By, "phone") {
			continue
		}
		switch body := f.Body.(type) {
		case stores.Reading:
			if body.Way == stores.Hand {
				hand++
				if body.Colony != light || body.Heft != stores.Light {
					t.Errorf("%+v", body)
				}
				continue
			}
			got[body.Colony] = row{body.Lift1.As, body.Note} // in the order they were made: the last one stands
		case apiary.Look:
			notes++
		default:
			strikes++
		}
	}
	if len(got) != len(want) || hand != 1 || notes != 1 || strikes != 1 {
		t.Errorf("%d readings, %d hefts by hand, %d notes, %d taken back", len(got), hand, notes, strikes)
	}
	for hive, w := range want {
		if got[hive] != w {
			t.Errorf("%s: %+v, want %+v", hive, got[hive], w)
		}
	}
}

// slowDatabase lets the browser give its database only after a while, as a busy
// phone does.
const slowDatabase = `(() => {
	const is = Object.getOwnPropertyDescriptor(IDBRequest.prototype, "onsuccess");
	Object.defineProperty(IDBOpenDBRequest.prototype, "onsuccess", { set(f) { is.set.call(this, (e) => setTimeout(() => f.call(this, e), 1500)); } });
})()`

// A phone that is slow to open its database does not throw him back to the top of
// the page he has begun to go through.
func TestSlowDatabaseLeavesThePlace(t *testing.T) {
	t.Parallel()
	y := newYard(t)
	b := open(t, y.srv.URL)
	b.first(slowDatabase)
	b.must(chromium.Look(390, 500, false))
	b.goTo("/readings/one?yard=mill&way=lift1&unit=lb")
	if !eval[bool](b, `(scrollTo(0, 300), scrollY > 100 && !document.querySelector("#one[data-ready]"))`) {
		t.Fatal("the page cannot be scrolled, or its script was not slow")
	}
	b.wait(`document.querySelector("#one[data-ready]")`)
	if at := eval[float64](b, "scrollY"); at < 100 {
		t.Errorf("thrown back to %v px from the top", at)
	}
	b.read("54", "")
	if at := eval[float64](b, "scrollY"); at != 0 {
		t.Errorf("the next hive is shown from %v px on", at)
	}
}
