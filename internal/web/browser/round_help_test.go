package browser

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/google/uuid"

	"larder/internal/cli/example"
	"larder/internal/folder"
	"larder/internal/ledger"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/web"
)

// yard is a home with a plan taken out, and the way to it, which can be cut and
// made to misbehave.
type yard struct {
	t    testing.TB
	book *season.Memory
	srv  *httptest.Server
	had  int // facts before the round

	mu    sync.Mutex
	cut   bool
	odd   []func(next http.Handler, w http.ResponseWriter, r *http.Request) // one for each of the next sendings
	sends int
}

// newYard opens the example season, on its day, and takes its plan out.
func newYard(t *testing.T) *yard {
	t.Helper()
	sub, err := fs.Sub(example.Files, "season")
	if err != nil {
		t.Fatal(err)
	}
	facts, err := folder.Read(sub)
	if err != nil {
		t.Fatal(err)
	}
	sky, err := example.Weather()
	if err != nil {
		t.Fatal(err)
	}
	day, err := units.ParseDay(example.Day)
	if err != nil {
		t.Fatal(err)
	}
	return newYardOf(t, append(facts, sky...), day)
}

// newYardOf is newYard over other facts. Its clock runs, from ten in the morning
// of day.
func newYardOf(t testing.TB, facts []season.Fact, day units.Day) *yard {
	t.Helper()
	y := &yard{t: t, book: &season.Memory{}}
	if err := y.book.Append(t.Context(), facts...); err != nil {
		t.Fatal(err)
	}
	began, start := time.Now(), day.Time().Add(10*time.Hour)
	s, err := web.New(t.Context(), web.Options{Book: y.book, Example: true, Hosts: []string{"yard.lan"}, Now: func() time.Time { return start.Add(time.Since(began)) },
		NewID: func() season.ID { return season.ID(uuid.Must(uuid.NewV7())) }})
	if err != nil {
		t.Fatal(err)
	}
	y.srv = httptest.NewServer(y.gate(s))
	t.Cleanup(y.srv.Close)
	r, err := http.PostForm(y.srv.URL+"/round/out", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Body.Close()
	if r.StatusCode != http.StatusOK {
		t.Fatalf("the plan could not be taken out: %d", r.StatusCode)
	}
	y.had = len(y.facts())
	return y
}

// gate is the way to the server.
func (y *yard) gate(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		y.mu.Lock()
		cut := y.cut
		var odd func(http.Handler, http.ResponseWriter, *http.Request)
		if !cut && r.URL.Path == "/phone/facts" {
			y.sends++
			if len(y.odd) > 0 {
				odd, y.odd = y.odd[0], y.odd[1:]
			}
		}
		y.mu.Unlock()
		switch {
		case cut:
			panic(http.ErrAbortHandler) // the line is dead: no answer at all
		case odd != nil:
			odd(next, w, r)
		default:
			next.ServeHTTP(w, r)
		}
	})
}

func (y *yard) offline(on bool) {
	y.mu.Lock()
	y.cut = on
	y.mu.Unlock()
}

// facts gives all facts of the book.
func (y *yard) facts() []season.Fact {
	y.t.Helper()
	all, err := y.book.Facts(context.Background(), units.Moment{})
	if err != nil {
		y.t.Fatal(err)
	}
	return all
}

// logged gives what of the round is in the book: how many facts of each kind,
// and what was given to each hive in force, in litres.
func (y *yard) logged() (kinds map[string]int, given map[string][]float64) {
	y.t.Helper()
	kinds, given = map[string]int{}, map[string][]float64{}
	struck := map[season.ID]bool{}
	all := y.facts()
	for _, f := range all {
		if s, ok := f.Body.(season.Strike); ok {
			struck[s.Fact] = true
		}
	}
	for _, f := range all {
		g, ok := f.Body.(ledger.Given)
		n, not := f.Body.(ledger.NotFed)
		if ok && g.Plan == "" || not && n.Plan == "" {
			continue // of the season, before the round
		}
		switch f.Kind() {
		case "given", "not-fed", "strike":
			kinds[f.Kind()]++
		}
		if ok && !struck[f.ID] {
			given[g.Colony] = append(given[g.Colony], g.Volume.Q.L())
		}
	}
	return kinds, given
}

// wait waits until the condition holds in the page.
func (b *tab) wait(script string) {
	b.t.Helper()
	ok := eval[bool](b, fmt.Sprintf(`new Promise((ok) => { const end = performance.now() + 30000; const look = () => { let v = false; try { v = Boolean(%s); } catch { v = false; } if (v) ok(true); else if (performance.now() > end) ok(false); else setTimeout(look, 15); }; look(); })`, script))
	if !ok {
		b.t.Fatalf("never came: %s\n%s\n%s", script, b.text("body"), strings.Join(b.said, "\n"))
	}
}

// round opens a trip and waits for its screen.
func (b *tab) round(path string) {
	b.t.Helper()
	b.goTo(path)
	b.wait(`document.querySelector("#trip[data-ready]")`)
	b.hurry()
}

// hurry gives the page a clock that can be moved on: the guard against a second
// tap of the same thumb is passed without waiting. TestSecondTapIsNone proves
// the guard by the real clock.
func (b *tab) hurry() {
	b.t.Helper()
	eval[chromedp.Void](b, `void (globalThis.later ||= (() => { const now = performance.now.bind(performance); let on = 0; performance.now = () => now() + on; return (ms) => { on += ms; }; })())`)
}

// tap presses a button of the yard by its id or by what selector finds.
func (b *tab) tap(selector string) {
	b.t.Helper()
	b.wait(fmt.Sprintf(`(() => { const e = document.querySelector(%q); return e && !e.disabled && e.getClientRects().length; })()`, selector))
	eval[chromedp.Void](b, fmt.Sprintf(`void (later(500), document.querySelector(%q).click())`, selector))
}

// says presses the button of the yard that begins with these words.
func (b *tab) says(words string) {
	b.t.Helper()
	find := fmt.Sprintf(`[...document.querySelectorAll(".page button, .alarm button")].find((x) => x.textContent.startsWith(%q) && !x.disabled)`, words)
	b.wait(find)
	eval[chromedp.Void](b, `void (later(500), `+find+`.click())`)
}

// view waits for a page of the round.
func (b *tab) view(name string) {
	b.t.Helper()
	b.wait(fmt.Sprintf(`document.querySelector('.page[data-view=%q]')`, name))
}

// hive gives the name of the hive on the screen.
func (b *tab) hive() string {
	b.t.Helper()
	return eval[string](b, `document.querySelector("main h1").textContent`)
}

// given logs the hive on the screen as planned, and gives its name.
func (b *tab) given() string {
	b.t.Helper()
	b.view("hive")
	name := b.hive()
	b.tap("#given")
	b.wait(fmt.Sprintf(`document.querySelector(".line").textContent.includes("On this phone") && (document.querySelector("main h1").textContent !== %q || document.querySelector(".page").dataset.view !== "hive")`, name))
	return name
}

// sent waits until nothing waits on the phone.
func (b *tab) sent() {
	b.t.Helper()
	b.wait(`(window.dispatchEvent(new Event("online")), document.querySelector(".line strong").textContent.startsWith("All sent"))`)
}

// type digits on the pad.
func (b *tab) pad(digits string) {
	b.t.Helper()
	b.view("pad")
	for _, d := range digits {
		eval[chromedp.Void](b, fmt.Sprintf(`[...document.querySelectorAll(".pad button")].find((x) => x.textContent === %q).click()`, string(d)))
	}
}

// shot keeps a picture if SHOTS names a folder.
func (b *tab) shot(name string) {
	b.t.Helper()
	dir := os.Getenv("SHOTS")
	if dir == "" {
		return
	}
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	png, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
	if err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644); err != nil {
		b.t.Fatal(err)
	}
}

// trip gives the document of a trip.
func (y *yard) trip(n int) (doc struct {
	On    string
	Stops []struct {
		Yard  string
		Hives []struct {
			Colony string
			PlanL  float64 `json:"plan_l"`
		}
		Others []struct{ Colony string }
	}
}) {
	y.t.Helper()
	r, err := http.Get(fmt.Sprintf("%s/phone/round?load=%d", y.srv.URL, n))
	if err != nil {
		y.t.Fatal(err)
	}
	defer r.Body.Close()
	raw, err := io.ReadAll(r.Body)
	if err != nil {
		y.t.Fatal(err)
	}
	if err := json.NewDecoder(bytes.NewReader(raw)).Decode(&doc); err != nil {
		y.t.Fatalf("%v\n%s", err, raw)
	}
	return doc
}

// once fails unless exactly these hives were given to, once each.
func (y *yard) once(want []string) {
	y.t.Helper()
	_, given := y.logged()
	for c, g := range given {
		if len(g) != 1 {
			y.t.Errorf("%s was given to %d times", c, len(g))
		}
		if !slices.Contains(want, c) {
			y.t.Errorf("%s was given to, and nobody logged it", c)
		}
	}
	for _, c := range want {
		if len(given[c]) == 0 {
			y.t.Errorf("%s was logged, and is not in the book", c)
		}
	}
}

func quoted(s string) string { return fmt.Sprintf("%q", s) }
