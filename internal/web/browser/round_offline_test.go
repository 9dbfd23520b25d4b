package browser

import (
	"context"
	_ "embed"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"larder/internal/ledger"
	"larder/internal/units"
	"larder/tools/storybook/chromium"
)

//go:embed testdata/outbox_property.js
var propertySource string

// A thousand random interleavings of logging, signal, duplicates, late and
// partial answers, dying and restoring end with each entry at home once, for up to
// eight phones. SCHEDULES=100000 tries so many.
func TestOutboxProperty(t *testing.T) {
	y := newYard(t)
	b := open(t, y.srv.URL)
	b.goTo("/round")
	// The property is put beside the page as a module of its own; the policy of the
	// page does not hold for what the protocol evaluates.
	load := `(async () => { globalThis.box = await import("/assets/outbox.js"); ` + strings.Replace(propertySource, "\nexport async function property", "\nasync function property", 1) + `; globalThis.property = property; return true; })()`
	if !eval[bool](b, load) {
		t.Fatal("the property did not load")
	}
	for from := 1; from <= howMany(t, "SCHEDULES", 1000); from += 50 {
		if wrong := eval[string](b, fmt.Sprintf(`property(box, %d, 50)`, from)); wrong != "" {
			t.Fatal(wrong)
		}
	}
}

// howMany gives how often a test tries something: so often as usual, or as the
// environment says.
func howMany(t *testing.T, name string, usual int) int {
	t.Helper()
	s := os.Getenv(name)
	if s == "" {
		return usual
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 {
		t.Fatalf("%s=%s is not how many", name, s)
	}
	return n
}

// The battery is flat at any moment after an entry was said to be on the phone,
// time and again through a day without signal: it is there when the phone opens,
// and at home once when there is signal. Some gifts are taken back and given anew.
// Usually three times in one round of sixty hives, one to three hives apart;
// BATTERIES=500 empties so many in as many rounds as that takes; DAY=600 makes so many
// entries, with three batteries.
func TestFlatBatteries(t *testing.T) {
	day := howMany(t, "DAY", 1)
	emptied := 0
	for round, n := uint64(0), howMany(t, "BATTERIES", 3); emptied < n; round++ {
		emptied += flatBatteries(t, rand.New(rand.NewPCG(17, 18+round)), n-emptied, day)
	}
	t.Logf("%d batteries", emptied)
}

// flatBatteries empties at most n in one round, and gives how many it did.
func flatBatteries(t *testing.T, rng *rand.Rand, n, day int) (emptied int) {
	t.Helper()
	y := newYardOf(t, sixtyHives(t), units.DayOf(2026, 9, 4))
	profile := t.TempDir()
	ctx, kill := ownBrowser(t, profile)
	b := phoneTab(t, ctx, y.srv.URL)
	b.goTo("/round")
	b.wait(`caches.keys().then((k) => { globalThis.kept = k.length; }) && globalThis.kept > 0 && navigator.serviceWorker.controller !== undefined`)
	b.round("/round/1")
	b.wait(`(async () => { globalThis.ready = Boolean(await caches.match("/round/1")); })() && globalThis.ready`)
	b.tap("#start")
	var want []string
	entries, struck := 0, 0
	hives := len(y.trip(1).Stops[0].Hives)
	y.offline(true)
	for k := range n {
		some, again := 1+rng.IntN(2)*rng.IntN(2), rng.IntN(2)
		if day > 1 {
			some, again = (hives-1)/n, (day/(hives-1)+1)/2
		}
		for range some {
			name := b.given()
			for range again {
				b.tap("#undo")
				b.wait(`document.querySelector("main h1").textContent === ` + quoted(name))
				struck++
				if got := b.given(); got != name {
					t.Fatalf("%s was taken back, and it is %s that is given to", name, got)
				}
			}
			want, entries = append(want, name), entries+1+2*again
		}
		time.Sleep(time.Duration(rng.IntN(30_000)) * time.Microsecond)
		kill()
		emptied++
		ctx, kill = ownBrowser(t, profile)
		b = phoneTab(t, ctx, y.srv.URL)
		b.round("/round/1")
		b.wait(`/\d/.test(document.querySelector(".line strong").textContent)`)
		if got := eval[int](b, `Number(document.querySelector(".line strong").textContent.match(/\d+/)[0])`); got != entries {
			t.Fatalf("battery %d: %d entries on the phone, %d were logged", k+1, got, entries)
		}
		if len(want) > 56 {
			break
		}
		if b.view("hive"); slices.Contains(want, b.hive()) {
			t.Errorf("battery %d: it opened at %s, which is done", k+1, b.hive())
		}
	}
	if _, given := y.logged(); len(given) != 0 {
		t.Errorf("home heard of %d hives without a line to it", len(given))
	}
	y.offline(false)
	b.wait(`(() => { const now = performance.now(); if (now - (globalThis.kicked || -1000) > 1000) { globalThis.kicked = now; dispatchEvent(new Event("online")); } return document.querySelector(".line strong").textContent.startsWith("All sent"); })()`)
	y.once(want)
	if kinds, _ := y.logged(); kinds["strike"] != struck || kinds["given"]+kinds["strike"] != entries || entries < day {
		t.Errorf("%v at home, of %d entries with %d taken back", kinds, entries, struck)
	}
	t.Logf("%d entries", entries)
	kill()
	return emptied
}

// ownBrowser starts a browser with the profile of a phone. Its stop asks nobody:
// the phone's battery is flat.
func ownBrowser(t testing.TB, profile string, more ...chromedp.ExecAllocatorOption) (ctx context.Context, kill func()) {
	t.Helper()
	path, err := chromium.Find()
	if err != nil {
		t.Fatal(err)
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.UserDataDir(profile), chromedp.DisableGPU,
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-quic", true), chromedp.Flag("no-pings", true),
		chromedp.Flag("proxy-server", "direct://"), chromedp.Flag("proxy-bypass-list", "*"),
		chromedp.Flag("host-resolver-rules", "MAP yard.lan 127.0.0.1, MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost"))
	if os.Geteuid() == 0 {
		opts = append(opts, chromedp.NoSandbox)
	}
	opts = append(opts, more...)
	alloc, endAlloc := chromedp.NewExecAllocator(context.Background(), opts...)
	ctx, end := chromedp.NewContext(alloc)
	if err := chromedp.Do(ctx); err != nil {
		endAlloc()
		t.Fatal(err)
	}
	dead := false
	kill = func() {
		if dead {
			return
		}
		dead = true
		if p := chromedp.FromContext(ctx).Browser.Process(); p != nil {
			_ = p.Kill() // our own child
		}
		end()
		endAlloc()
	}
	t.Cleanup(kill)
	return ctx, kill
}

// phoneTab is a tab of a browser of its own.
func phoneTab(t testing.TB, ctx context.Context, origin string) *tab {
	t.Helper()
	b := &tab{t: t, ctx: ctx, origin: origin}
	b.must(chromium.Look(390, 844, false))
	return b
}

// A round begun with signal goes on without, through a flat battery, and comes
// home whole: thirty hives with an amount of its own, one not fed and an undo,
// then ten more, and in the book exactly those, once each.
func TestRoundSurvivesTheNetAndTheBattery(t *testing.T) {
	y := newYardOf(t, sixtyHives(t), units.DayOf(2026, 9, 4))
	profile := t.TempDir()
	ctx, kill := ownBrowser(t, profile)
	b := phoneTab(t, ctx, y.srv.URL)
	b.goTo("/round")
	b.wait(`caches.keys().then((k) => { globalThis.kept = k.length; }) && globalThis.kept > 0 && navigator.serviceWorker.controller !== undefined`)
	b.round("/round/1")
	b.wait(`(async () => { globalThis.ready = Boolean(await caches.match("/round/1")); })() && globalThis.ready`)
	b.tap("#start")
	var want []string
	want = append(want, b.given())
	b.sent()

	y.offline(true)
	b.must(chromedp.Func(func(ctx context.Context, tg *chromedp.Target) error {
		_, err := cdp.Call(ctx, tg, network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: true, DownloadThroughput: -1, UploadThroughput: -1})
		return err
	}))
	for range 14 {
		want = append(want, b.given())
	}
	undone := b.given()
	b.tap("#undo")
	b.wait(`document.querySelector("main h1").textContent === ` + quoted(undone))
	b.tap("#other")
	b.pad("2")
	b.tap("#pad-save")
	b.wait(`document.querySelector("main h1").textContent !== ` + quoted(undone))
	want = append(want, undone)
	b.view("hive")
	robbed := b.hive()
	b.tap("#notfed")
	b.view("why")
	b.tap(`[data-why="robbing"]`)
	for range 13 {
		want = append(want, b.given())
	}
	// 28 given, one of them undone and given anew, one not fed: 31 entries.
	if n := eval[int](b, `Number(document.querySelector(".line strong").textContent.match(/\d+/)[0])`); n != 31 {
		t.Errorf("the line says %d entries wait, want 31", n)
	}

	// The battery. Then the phone opens where it was, without signal.
	kill()
	ctx, _ = ownBrowser(t, profile)
	b = phoneTab(t, ctx, y.srv.URL)
	b.round("/round/1")
	if b.view("hive"); slices.Contains(want, b.hive()) || b.hive() == robbed {
		t.Errorf("it opened at %s, which is done", b.hive())
	}
	for range 10 {
		want = append(want, b.given())
	}
	if _, given := y.logged(); len(given) != 1 {
		t.Errorf("home heard of %d hives without a line to it", len(given))
	}

	y.offline(false)
	b.sent()
	y.once(want)
	kinds, given := y.logged()
	if kinds["strike"] != 1 || kinds["not-fed"] != 1 || kinds["given"] != len(want)+1 || len(want) != 39 {
		t.Errorf("kinds %v for %d hives", kinds, len(want))
	}
	if g := given[undone]; len(g) == 1 && (g[0] < 1.89 || g[0] > 1.9) { // half a US gallon
		t.Errorf("%s got %v", undone, g)
	}
}

// The place on the round is kept with less care than the entries: a phone that
// died a moment too early still opens at a hive that is not done.
func TestRoundOpensPastWhatIsDone(t *testing.T) {
	y := newYard(t)
	b := open(t, y.srv.URL)
	b.must(chromium.Look(390, 844, false))
	b.round("/round/1")
	b.tap("#start")
	done := []string{b.given(), b.given(), b.given()}
	b.sent()
	// As the battery leaves it: the place is still the first hive.
	if !eval[bool](b, `new Promise((ok, no) => {
		const open = indexedDB.open("larder");
		open.onerror = () => no(open.error);
		open.onsuccess = () => {
			const tx = open.result.transaction("kept", "readwrite"), kept = tx.objectStore("kept");
			kept.getAllKeys().onsuccess = (e) => {
				const key = e.target.result.find((k) => k.startsWith("at:"));
				if (!key) return ok(false);
				kept.get(key).onsuccess = (e) => kept.put({ ...e.target.result, hive: `+quoted(done[0])+`, view: "hive" }, key);
			};
			tx.oncomplete = () => { open.result.close(); ok(true); };
		};
	})`) {
		t.Fatal("no place is kept")
	}
	b.round("/round/1")
	if b.view("hive"); slices.Contains(done, b.hive()) {
		t.Errorf("it opened at %s, which is done", b.hive())
	}
}

// Home dies while it answers, answers twice, late, in part, or is somebody
// else's page: each entry is in the book once.
func TestRoundWithAHomeThatMisbehaves(t *testing.T) {
	y := newYard(t)
	b := open(t, y.srv.URL)
	b.must(chromium.Look(390, 844, false))
	b.round("/round/1")
	y.mu.Lock()
	y.odd = []func(http.Handler, http.ResponseWriter, *http.Request){
		func(next http.Handler, w http.ResponseWriter, r *http.Request) { // writes it down and dies before it answers
			next.ServeHTTP(httptest.NewRecorder(), r)
			panic(http.ErrAbortHandler)
		},
		func(_ http.Handler, w http.ResponseWriter, _ *http.Request) { // the page of a café
			w.Header().Set("Content-Type", "text/html")
			_, _ = w.Write([]byte("<p>Welcome! Sign in"))
		},
		func(_ http.Handler, w http.ResponseWriter, _ *http.Request) {
			w.WriteHeader(http.StatusInternalServerError)
		},
		func(_ http.Handler, w http.ResponseWriter, _ *http.Request) { // half an answer
			w.Header().Set("Content-Length", "500")
			_, _ = w.Write([]byte(`{"larder":1,"answers":[{"id":`))
			panic(http.ErrAbortHandler)
		},
		func(_ http.Handler, w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Retry-After", "1")
			w.Header().Set("Content-Type", "application/json")
			w.WriteHeader(http.StatusTooManyRequests)
			_, _ = w.Write([]byte(`{"larder":1}`))
		},
		func(next http.Handler, w http.ResponseWriter, r *http.Request) { // late, and last: it is the one that may go well
			time.Sleep(1500 * time.Millisecond)
			next.ServeHTTP(w, r)
		},
	}
	y.mu.Unlock()
	b.tap("#start")
	var want []string
	for range 5 {
		want = append(want, b.given())
	}
	b.wait(`(() => { const now = performance.now(); if (now - (globalThis.kicked || 0) > 400) { globalThis.kicked = now; dispatchEvent(new Event("online")); } return document.querySelector(".line strong").textContent.startsWith("All sent"); })()`)
	y.once(want)
	y.mu.Lock()
	left := len(y.odd)
	y.mu.Unlock()
	if left > 0 {
		t.Errorf("%d ways of misbehaving were not come to", left)
	}
}

// Two phones in one yard: both are kept, each sees what the other did.
func TestTwoPhonesInOneYard(t *testing.T) {
	y := newYard(t)
	a, b := open(t, y.srv.URL), open(t, y.srv.URL)
	var want []string
	for _, p := range []*tab{a, b} {
		p.must(chromium.Look(390, 844, false))
		p.round("/round/1")
		p.tap("#start")
	}
	y.offline(true)
	first := a.given()
	second := a.given()
	b.tap("#skip") // the other begins at the third
	b.wait(`document.querySelector("main h1").textContent !== ` + quoted(first))
	b.tap("#skip")
	b.wait(`document.querySelector("main h1").textContent !== ` + quoted(second))
	third := b.given()
	want = append(want, first, second, third)
	y.offline(false)
	a.sent()
	b.sent()
	y.once(want)
	b.round("/round/1")
	b.wait(`document.querySelector('.page[data-view="hive"]')`)
	// The second phone knows by now what the first did, and opens at neither.
	if h := b.hive(); h == first || h == second {
		t.Errorf("it offers %s again", h)
	}
	// Both give to one hive before either knows: both facts are kept.
	a.round("/round/1")
	b.tap("#more")
	b.view("more")
	y.offline(true)
	same := want[0]
	for _, p := range []*tab{a, b} {
		if p == a {
			p.tap("#more")
			p.view("more")
		}
		p.says("All hives")
		p.view("list")
		p.tap(`[data-hive="` + same + `"]`)
		p.view("hive")
		p.tap("#other")
		p.pad("1")
		p.tap("#pad-save")
		p.wait(`document.querySelector(".line").textContent.includes("given 1 ")`)
	}
	y.offline(false)
	a.sent()
	b.sent()
	if _, given := y.logged(); len(given[same]) != 3 {
		t.Errorf("%s: %v, want what each of the two gave beside the first", same, given[same])
	}
}

// A clock two years off changes nothing but is told.
func TestRoundWithAWrongClock(t *testing.T) {
	y := newYard(t)
	b := open(t, y.srv.URL)
	b.must(chromium.Look(390, 844, false))
	b.round("/round/1")
	eval[chromedp.Void](b, `void (() => { const right = Date.now.bind(Date); Date.now = () => right() + 2 * 365 * 86400e3; })()`)
	b.tap("#start")
	name := b.given()
	b.sent()
	y.once([]string{name})
	seen := 0
	for _, f := range y.facts() {
		if g, ok := f.Body.(ledger.Given); ok && g.Plan != "" {
			seen++
			if d := f.Seen.Day(); d.Year() != 2015 || d.Month() != time.September || d.DayOfMonth() != 12 {
				t.Errorf("it was seen on %v, and at home it was 12 September 2015", f.Seen)
			}
			if !strings.Contains(f.By, "clock +") {
				t.Errorf("by %q: it does not say that the clock was off", f.By)
			}
		}
	}
	if seen != 1 {
		t.Errorf("%d gifts", seen)
	}
}

// What home refuses stays on the phone and is shown.
func TestRefusedStaysVisible(t *testing.T) {
	y := newYard(t)
	b := open(t, y.srv.URL)
	b.must(chromium.Look(390, 844, false))
	b.round("/round/1")
	y.mu.Lock()
	y.odd = append(y.odd, func(next http.Handler, w http.ResponseWriter, r *http.Request) {
		rec := httptest.NewRecorder()
		r.Header.Del("Accept-Encoding")
		next.ServeHTTP(rec, r)
		body := rec.Body.String()
		w.Header().Set("Content-Type", "application/json")
		_, _ = w.Write([]byte(strings.ReplaceAll(body, `"is":"stored"`, `"is":"refused","say":"home would not"`)))
	})
	y.mu.Unlock()
	b.tap("#start")
	b.given()
	b.wait(`document.querySelector(".line strong").textContent === "Needs a look: 1"`)
	b.tap("#more")
	b.view("more")
	b.says("My entries")
	b.wait(`document.querySelector('.page[data-view="entries"]') && document.body.textContent.includes("home would not")`)
	b.shot("trip-look")
	eval[chromedp.Void](b, axeSource)
	b.axe("entries", nil)
	// Sent again, home says it has it: the line is clear.
	b.says("Send again")
	b.sent()
}

// A phone that cannot keep an entry says so, and keeps nothing back.
func TestFullPhoneSaysSo(t *testing.T) {
	y := newYard(t)
	b := open(t, y.srv.URL)
	b.must(chromium.Look(390, 844, false))
	b.round("/round/1")
	b.tap("#start")
	name := b.hive()
	eval[chromedp.Void](b, `void (IDBObjectStore.prototype.add = () => { throw new DOMException("no room", "QuotaExceededError"); })`)
	b.tap("#given")
	b.wait(`document.querySelector(".alarm")?.textContent.startsWith("NOT saved")`)
	// Drawn anew, as when home answers late, it is still there.
	b.tap("[aria-pressed][data-pad]")
	b.wait(`document.querySelector("[aria-pressed=true][data-pad]") && document.querySelector(".alarm")`)
	if b.hive() != name {
		t.Error("the screen went on though nothing was kept")
	}
	b.shot("trip-full")
}

// Over plain http on the home network there is no worker: the open page says
// what it can do, goes on without signal, and keeps its entries when it is
// closed.
func TestRoundOverPlainHTTP(t *testing.T) {
	y := newYard(t)
	_, port, ok := strings.Cut(strings.TrimPrefix(y.srv.URL, "http://"), ":")
	if !ok {
		t.Fatal(y.srv.URL)
	}
	profile := t.TempDir()
	ctx, kill := ownBrowser(t, profile)
	b := phoneTab(t, ctx, "http://yard.lan:"+port)
	b.round("/round/1")
	if !b.has("Keep this page open in the yard, and carry the sheet.") {
		t.Errorf("it does not say what it can do: %s", b.text("main"))
	}
	if eval[bool](b, `isSecureContext || "serviceWorker" in navigator`) {
		t.Error("this is no plain connection: the test tests nothing")
	}
	b.tap("#start")
	y.offline(true)
	want := []string{b.given(), b.given()}
	kill()
	y.offline(false)
	ctx, _ = ownBrowser(t, profile)
	b = phoneTab(t, ctx, "http://yard.lan:"+port)
	b.round("/round/1")
	b.sent()
	y.once(want)
}
