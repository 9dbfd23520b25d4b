package browser

import (
	"context"
	"crypto/rand"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/google/uuid"

	"larder/internal/access"
	"larder/internal/cli/example"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/web"
)

// lanYard is a yard whose requests come from another device, unless they say
// that they come from the desk.
func lanYard(t *testing.T) (*yard, *access.Door) {
	t.Helper()
	door, err := access.Open(&access.Memory{}, time.Now, rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := door.SetPassword("four hives behind the barn", access.Console()); err != nil {
		t.Fatal(err)
	}
	y := newYard(t)
	day, err := units.ParseDay(example.Day)
	if err != nil {
		t.Fatal(err)
	}
	began, start := time.Now(), day.Time().Add(10*time.Hour)
	s, err := web.New(t.Context(), web.Options{Book: y.book, Example: true, Now: func() time.Time { return start.Add(time.Since(began)) }, NewID: func() season.ID { return season.ID(uuid.Must(uuid.NewV7())) }, Door: door,
		Lan: &web.Lan{How: "plain", Home: netip.Addr.IsPrivate, Addresses: func() []string { return []string{y.srv.URL} }}})
	if err != nil {
		t.Fatal(err)
	}
	y.srv.Config.Handler = y.gate(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if c, err := r.Cookie("desk"); err != nil || c.Value != "1" {
			r.RemoteAddr = net.JoinHostPort("192.168.1.30", "40000")
		}
		s.ServeHTTP(w, r)
	}))
	return y, door
}

// desk asks as the computer at home does.
func (y *yard) desk(method, path string) *http.Response {
	y.t.Helper()
	r, err := http.NewRequest(method, y.srv.URL+path, nil)
	if err != nil {
		y.t.Fatal(err)
	}
	r.AddCookie(&http.Cookie{Name: "desk", Value: "1"})
	answer, err := http.DefaultTransport.RoundTrip(r)
	if err != nil {
		y.t.Fatal(err)
	}
	answer.Body.Close()
	return answer
}

// pairHere pairs the phone of a tab by a code from the desk.
func (b *tab) pairHere(y *yard, door *access.Door, name string) {
	b.t.Helper()
	if r := y.desk(http.MethodPost, "/house/phones/code"); r.StatusCode != http.StatusSeeOther {
		b.t.Fatalf("no code: %d", r.StatusCode)
	}
	code, _, _ := door.Offered()
	b.goTo("/pair/" + code)
	b.must(chromedp.SetValue(chromedp.CSS("#name"), name))
	b.press("main form button")
	b.wait(`location.pathname === "/round"`)
}

func (b *tab) signal(on bool) {
	b.t.Helper()
	b.must(chromedp.Func(func(ctx context.Context, tg *chromedp.Target) error {
		_, err := cdp.Call(ctx, tg, network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: !on, DownloadThroughput: -1, UploadThroughput: -1})
		return err
	}))
}

// A phone is paired, logs, is taken off the list while it has no signal, and
// comes home: its entries are kept, it says so in plain words, and once paired
// again they go home, each once.
func TestPhoneTakenOffLosesNothing(t *testing.T) {
	y, door := lanYard(t)
	profile := t.TempDir()
	ctx, kill := ownBrowser(t, profile)
	b := phoneTab(t, ctx, y.srv.URL)
	b.goTo("/round/1")
	if !b.has("nobody else") {
		t.Fatalf("a stranger sees: %s", b.text("main"))
	}
	b.pairHere(y, door, "Ann's phone")
	b.round("/round/1")
	b.tap("#start")
	want := []string{b.given()}
	b.sent()

	b.signal(false)
	y.offline(true)
	want = append(want, b.given(), b.given())
	if _, err := door.Revoke("Ann's phone", access.Console()); err != nil {
		t.Fatal(err)
	}
	b.signal(true)
	y.offline(false)
	b.wait(`(window.dispatchEvent(new Event("online")), document.querySelector(".line").textContent.includes("This phone is no longer known at home. Nothing is lost"))`)
	if !strings.Contains(b.text(".line"), "Entries on this phone: 2") {
		t.Errorf("the line says %q", b.text(".line"))
	}
	b.shot("pair-off")
	b.tap("#more")
	b.view("more")
	eval[chromedp.Void](b, `new Promise((ok) => setTimeout(() => { [...document.querySelectorAll(".page button")].find((x) => x.textContent === "My entries").click(); ok(); }, 450))`)
	b.wait(`document.querySelector('.page[data-view="entries"] a[href="/pair"]')`)
	y.once(want[:1])
	// At the door it is told why, and that its entries are still there; so it is
	// after the battery was flat.
	b.goTo("/readings")
	kept := `document.querySelector("#outbox:not([hidden])")?.textContent.includes("Entries on this phone: 2")`
	b.wait(kept)
	if !b.has("Ann's phone was taken off the list at home") || !b.has("Nothing on this phone is lost") {
		t.Errorf("the door says %s", b.text("main"))
	}
	b.none("door 390", "probe.wide()", "probe.targets(56, 44)")
	b.shot("door-revoked")
	kill()
	ctx, _ = ownBrowser(t, profile)
	b = phoneTab(t, ctx, y.srv.URL)
	b.goTo("/readings")
	b.wait(kept)
	if !b.has("Nothing on this phone is lost") {
		t.Errorf("the door says %s", b.text("main"))
	}
	y.once(want[:1])

	b.pairHere(y, door, "Ann's phone")
	b.wait(`document.querySelector("#outbox strong")?.textContent.startsWith("All sent")`)
	y.once(want)
	for _, f := range y.facts() {
		if g, ok := f.Body.(ledger.Given); ok && g.Plan != "" && !strings.HasPrefix(f.By, "Ann's phone") { // and by how much its clock is off the example's
			t.Errorf("written by %q", f.By)
		}
	}
}

// The owner logs in from another device, sees the house, and logs out.
func TestOwnerLogsIn(t *testing.T) {
	y, _ := lanYard(t)
	b := open(t, y.srv.URL)
	b.goTo("/house")
	b.press(`a[href^="/login"]`)
	b.must(chromedp.SetValue(chromedp.CSS("#password"), "wrong wrong"))
	b.press("main form button")
	if !b.has("this is not the owner's password") {
		t.Errorf("%s", b.text("main"))
	}
	b.must(chromedp.SetValue(chromedp.CSS("#password"), "four hives behind the barn"))
	b.press("main form button")
	if path := eval[string](b, "location.pathname"); path != "/house" || !b.has("Logged in as the owner") {
		t.Errorf("at %s: %s", path, b.text("body"))
	}
	if eval[string](b, "document.cookie") != "" {
		t.Error("a script can read a token")
	}
	b.press(`form[action="/logout"] button`)
	if !b.has("You are logged out.") {
		t.Errorf("%s", b.text("main"))
	}
	b.goTo("/house")
	if b.has("Kitchen") {
		t.Error("logged out, and in")
	}
}

// Copies of pages that a browser keeps for yards without signal go when he who kept
// them logs out, and when his phone is taken off the list. That what he logged stays
// is TestPhoneTakenOffLosesNothing, at the same door.
func TestShutOutKeepsNoPages(t *testing.T) {
	y, door := lanYard(t)
	// Looked at ten times a second at most: the browser's database shares its thread.
	copies := func(b *tab, want, who string) {
		t.Helper()
		const list = `(async () => { const out = []; for (const n of await caches.keys()) for (const r of await (await caches.open(n)).keys()) out.push(new URL(r.url).pathname); return out.sort().join(" "); })()`
		got := ""
		for range 150 {
			if got = eval[string](b, list); strings.Contains(" "+got, " /round") == (want == "kept") {
				if n := strings.Count(got, "/assets/"); n < 5 {
					t.Errorf("%s: the scripts went too: %s", who, got)
				}
				return
			}
			time.Sleep(100 * time.Millisecond)
		}
		t.Fatalf("%s: copies are not %s: %s", who, want, got)
	}
	ctx, _ := ownBrowser(t, t.TempDir())
	b := phoneTab(t, ctx, y.srv.URL)
	if _, err := door.AddHelper("Eva", "lift the lids gently", access.Console()); err != nil {
		t.Fatal(err)
	}
	b.goTo("/login?to=/round")
	b.must(chromedp.SetValue(chromedp.CSS("#name"), "Eva"), chromedp.SetValue(chromedp.CSS("#password"), "lift the lids gently"))
	b.press("main form button")
	b.round("/round/1")
	copies(b, "kept", "Eva")
	b.goTo("/login")
	b.press(`form[action="/logout"] button`)
	copies(b, "gone", "Eva")

	ctx, _ = ownBrowser(t, t.TempDir())
	b = phoneTab(t, ctx, y.srv.URL)
	b.pairHere(y, door, "Ann's phone")
	b.round("/round/1")
	copies(b, "kept", "Ann")
	if _, err := door.Revoke("Ann's phone", access.Console()); err != nil {
		t.Fatal(err)
	}
	b.goTo("/readings")
	copies(b, "gone", "Ann")
}
