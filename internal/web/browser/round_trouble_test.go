package browser

import (
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/storage"
	"github.com/chromedp/chromedp"

	"larder/tools/storybook/chromium"
)

// phone opens a tab at the width of a phone.
func phone(t *testing.T, y *yard) *tab {
	t.Helper()
	b := open(t, y.srv.URL)
	b.must(chromium.Look(390, 844, false))
	return b
}

// first runs a script in every page of the tab before its own.
func (b *tab) first(script string) {
	b.t.Helper()
	b.must(chromedp.Func(func(ctx context.Context, tg *chromedp.Target) error {
		_, err := cdp.Call(ctx, tg, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return err
	}))
}

// wipe clears the browser's database of this phone, as a phone short of room
// does.
func (b *tab) wipe() {
	b.t.Helper()
	b.must(chromedp.Func(func(ctx context.Context, tg *chromedp.Target) error {
		_, err := cdp.Call(ctx, tg, storage.ClearDataForOrigin, storage.ClearDataForOriginParams{Origin: b.origin, StorageTypes: "indexeddb"})
		return err
	}))
}

// refusing answers for a batch that home would not have its entries.
func refusing(say string) func(http.Handler, http.ResponseWriter, *http.Request) {
	return func(_ http.Handler, w http.ResponseWriter, r *http.Request) {
		var batch struct{ Entries []struct{ ID string } }
		if err := json.NewDecoder(r.Body).Decode(&batch); err != nil {
			panic(err)
		}
		type answer struct {
			ID  string `json:"id"`
			Is  string `json:"is"`
			Say string `json:"say"`
		}
		out := struct {
			Larder  int      `json:"larder"`
			Answers []answer `json:"answers"`
		}{Larder: 1}
		for _, e := range batch.Entries {
			out.Answers = append(out.Answers, answer{e.ID, "refused", say})
		}
		w.Header().Set("Content-Type", "application/json")
		_ = json.NewEncoder(w).Encode(out)
	}
}

// next makes the next sendings come to these.
func (y *yard) next(odd ...func(http.Handler, http.ResponseWriter, *http.Request)) {
	y.mu.Lock()
	defer y.mu.Unlock()
	y.odd = append(y.odd, odd...)
}

// A refused entry is put right on the phone and sent in its own stead; what it
// was stays to be seen.
func TestRefusedIsMended(t *testing.T) {
	y := newYard(t)
	b := phone(t, y)
	b.round("/round/1")
	y.next(refusing("so much does not go into it"))
	b.tap("#start")
	name := b.given()
	b.wait(`document.querySelector(".line strong").textContent === "Needs a look: 1"`)
	b.says2("More", "My entries")
	b.view("entries")
	if !b.has("so much does not go into it") || !b.has(name+": given ") {
		t.Errorf("it does not say what is wrong with what: %s", b.text("main"))
	}
	eval[chromedp.Void](b, `void (document.querySelector("details summary").click(), [...document.querySelectorAll(".mend input")].find((x) => x.id.endsWith("volume")).value = "1 US gal")`)
	b.shot("trip-mend")
	eval[chromedp.Void](b, axeSource)
	b.axe("mend", nil)
	b.none("mend", "probe.wide()", "probe.targets(72, 72)", plain)
	eval[chromedp.Void](b, `document.querySelector(".mend button").click()`)
	b.sent()
	_, given := y.logged()
	if len(given) != 1 || len(given[name]) != 1 || given[name][0] < 3.78 || given[name][0] > 3.79 {
		t.Errorf("the book has %v", given)
	}
	b.wait(`document.body.innerText.includes("Mended: what is right was sent")`)
	b.quiet(200, "mend")
}

// says2 presses one button after another.
func (b *tab) says2(words ...string) {
	b.t.Helper()
	for _, w := range words {
		b.says(w)
	}
}

// The browser clears its database while the page is open: what was not at home
// is put back from the page and comes home once.
func TestMemoryClearedUnderAnOpenPage(t *testing.T) {
	y := newYard(t)
	b := phone(t, y)
	b.round("/round/1")
	b.tap("#start")
	y.offline(true)
	want := []string{b.given(), b.given()}
	b.wipe()
	b.wait(`document.querySelector(".line").textContent.includes("Put back from this open page: 2")`)
	want = append(want, b.given())
	y.offline(false)
	b.sent()
	y.once(want)
}

// It clears it while the page is closed: the loss is told, with how many, until
// somebody has read it.
func TestMemoryClearedWhileClosed(t *testing.T) {
	y := newYard(t)
	b := phone(t, y)
	b.round("/round/1")
	b.tap("#start")
	y.offline(true)
	b.given()
	b.given()
	b.must(chromedp.Navigate("about:blank"))
	b.wipe()
	y.offline(false)
	for range 2 { // also when it is opened again before anybody read it
		b.round("/round/1")
		if !b.has("Lost with it, not yet at home: 2") {
			t.Fatalf("the loss is silent: %s", b.text("main"))
		}
	}
	b.says2("All hives", "End of this yard", "My entries", "I have read this")
	b.round("/round/1")
	if b.has("Lost with it") {
		t.Error("it is told for ever")
	}
}

// A browser without a database, as some private windows are: it says so, logs
// and sends all the same, and gives a file.
func TestPrivateWindow(t *testing.T) {
	y := newYard(t)
	b := phone(t, y)
	b.first(`Object.defineProperty(globalThis, "indexedDB", { value: { open() { throw new DOMException("not here", "SecurityError"); } } })`)
	b.round("/round/1")
	if !b.has("This window forgets everything when it is closed") {
		t.Errorf("it does not say so: %s", b.text("main"))
	}
	b.tap("#start")
	y.offline(true)
	name := b.given()
	b.says2("More", "My entries")
	saved := eval[string](b, `(async () => { let blob; URL.createObjectURL = (x) => { blob = x; return "#"; }; HTMLAnchorElement.prototype.click = () => {}; later(500); document.querySelector("#save-file").click(); for (let i = 0; !blob && i < 200; i++) await new Promise((ok) => setTimeout(ok, 10)); return blob.text(); })()`)
	if !strings.Contains(saved, `"given"`) || !strings.Contains(saved, name) {
		t.Errorf("the file: %s", saved)
	}
	y.offline(false)
	b.sent()
	y.once([]string{name})
}

// Home takes the phone for a stranger when it comes back: everything stays on
// the phone and it says what to do; known again, it sends.
func TestRevokedWhileAway(t *testing.T) {
	y := newYard(t)
	b := phone(t, y)
	b.round("/round/1")
	b.tap("#start")
	y.offline(true)
	want := []string{b.given(), b.given()}
	y.offline(false)
	y.next(func(_ http.Handler, w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "application/json")
		w.WriteHeader(http.StatusUnauthorized)
		_, _ = w.Write([]byte(`{"larder":1,"say":"who is this?"}`))
	})
	eval[chromedp.Void](b, `void dispatchEvent(new Event("online"))`)
	b.wait(`document.querySelector(".line strong").textContent === "Entries on this phone: 2. Pair it with home again to send them."`)
	b.sent()
	y.once(want)
}

// Answers that come in part and in another order settle what they name.
func TestAnswersOutOfOrder(t *testing.T) {
	y := newYard(t)
	b := phone(t, y)
	b.round("/round/1")
	b.tap("#start")
	y.offline(true)
	var want []string
	for range 4 {
		want = append(want, b.given())
	}
	y.offline(false)
	y.next(func(next http.Handler, w http.ResponseWriter, r *http.Request) {
		rec := httptest.NewRecorder()
		r.Header.Del("Accept-Encoding")
		next.ServeHTTP(rec, r)
		var a map[string]any
		if err := json.Unmarshal(rec.Body.Bytes(), &a); err != nil {
			panic(err)
		}
		all := a["answers"].([]any)
		a["answers"] = []any{all[2], all[0], all[2]} // the others, and the last one twice, are lost
		w.Header().Set("Content-Type", "application/json")
		_ = json.NewEncoder(w).Encode(a)
	})
	b.sent()
	y.once(want)
}

// By the real clock: a second tap of the same thumb does nothing. And the screen
// is asked to stay awake.
func TestSecondTapIsNone(t *testing.T) {
	y := newYard(t)
	b := phone(t, y)
	b.first(`globalThis.asked = 0; Object.defineProperty(navigator, "wakeLock", { value: { request: async () => { globalThis.asked++; } } })`)
	b.goTo("/round/1")
	b.wait(`document.querySelector("#trip[data-ready]")`)
	eval[chromedp.Void](b, `document.querySelector("#start").click()`)
	b.view("hive")
	name := b.hive()
	// Two clicks on the black button: the screen has gone on to the next hive by
	// the second, whose button stands at the same place.
	eval[bool](b, `(async () => { await new Promise((ok) => setTimeout(ok, 420)); const first = document.querySelector("#given"); first.click(); for (let i = 0; document.querySelector("#given") === first && i < 100; i++) await new Promise((ok) => setTimeout(ok, 5)); document.querySelector("#given").click(); return true; })()`)
	b.sent()
	y.once([]string{name})
	if eval[int](b, `asked`) < 1 {
		t.Error("nobody asked the screen to stay awake")
	}
}
