package browser

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/google/uuid"

	"larder/internal/apiary"
	"larder/internal/folder"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/web"
	"larder/tools/storybook/chromium"
)

// mark is what the second build says of itself, in the script of the round.
const mark = "\ndocument.documentElement.dataset.build = \"2\";\n"

// twoBuilds are two builds of the program for one book at one address: one runs
// at a time, or none.
type twoBuilds struct {
	t     *testing.T
	addr  string
	start func(n int) (stop func())
	facts func() []season.Fact
}

// A new version while a round is under way, and the older one again: the open
// page goes on, with home away too; opened anew it is of the version that runs,
// with signal at once, without once all pages were closed; and each entry is at
// home once. Usually the second build is made of the first by another script and
// another worker on the way to the phone; BUILDS=2 builds two programs and starts
// and stops them over one book on the disk.
func TestNewVersionDuringARound(t *testing.T) {
	t.Parallel()
	y := newYardOf(t, sixtyHives(t), units.DayOf(2026, 9, 4))
	p := otherOnTheWay(t, y)
	if howMany(t, "BUILDS", 1) > 1 {
		p = builtTwice(t, y)
	}
	stop := p.start(1)
	b := open(t, "http://"+p.addr)
	b.must(chromium.Look(390, 844, false))
	b.goTo("/round")
	b.wait(`caches.keys().then((k) => { globalThis.kept = k.length; }) && globalThis.kept > 0`)
	b.round("/round/1")
	b.wait(`(async () => { globalThis.ready = Boolean(await caches.match("/round/1")); })() && globalThis.ready`)
	b.tap("#start")
	want := []string{b.given()}
	b.sent()
	for _, step := range []struct {
		to  int
		was string
	}{{2, "1"}, {1, "2"}} {
		is := fmt.Sprint(step.to)
		stop()
		want = append(want, b.given(), b.given())
		stop = p.start(step.to)
		want = append(want, b.given())
		b.sent()
		if got := b.build(); got != step.was {
			t.Fatalf("the open page became one of build %s in the middle of the round", got)
		}
		// With signal, a page that is opened is of what runs; the worker waits.
		b.round("/round/1")
		b.wait(`(document.documentElement.dataset.build ?? "1") === ` + quoted(is))
		if b.view("hive"); slices.Contains(want, b.hive()) {
			t.Errorf("build %s opened at %s, which is done", is, b.hive())
		}
		want = append(want, b.given())
		b.wait(`navigator.serviceWorker.getRegistration().then((r) => { globalThis.waits = Boolean(r.waiting); }) && globalThis.waits`)
		// No signal: what is kept is of what ran last, whichever worker gives it; with
		// all pages closed soon the other one's copies are gone.
		stop()
		b.round("/round/1")
		if got := b.build(); got != is {
			t.Errorf("without signal it opens with build %s, it was %s that was opened last", got, is)
		}
		kept := func() []string {
			return eval[[]string](b, `caches.keys().then((k) => k.filter((x) => x.startsWith("larder-")))`)
		}
		for try := 0; len(kept()) != 1; try++ {
			if try == 20 {
				t.Fatalf("kept for build %s, and still: %v", is, kept())
			}
			b.must(chromedp.Navigate("about:blank"))
			time.Sleep(50 * time.Millisecond)
			b.round("/round/1")
		}
		if got := b.build(); got != is {
			t.Errorf("without signal and with all pages closed it opens with build %s, not %s", got, is)
		}
		want = append(want, b.given())
		stop = p.start(step.to)
		b.sent()
	}
	stop()
	at := &yard{t: t, book: &season.Memory{}}
	if err := at.book.Append(t.Context(), p.facts()...); err != nil {
		t.Fatal(err)
	}
	at.once(want)
	if len(want) != 11 {
		t.Errorf("%d hives", len(want))
	}
}

// build tells which build the open page is of.
func (b *tab) build() string {
	b.t.Helper()
	return eval[string](b, `document.documentElement.dataset.build ?? "1"`)
}

// freeAddress is an address of this computer that nothing listens on.
func freeAddress(t *testing.T) string {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer ln.Close()
	return ln.Addr().String()
}

// otherOnTheWay starts the screens over the yard's book; those of build 2 have
// their script, what names it, and their worker changed on the way.
func otherOnTheWay(t *testing.T, y *yard) *twoBuilds {
	var runs atomic.Pointer[http.Handler] // none: the line is dead, and the address nobody else's
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := runs.Load()
		if h == nil {
			panic(http.ErrAbortHandler)
		}
		(*h).ServeHTTP(w, r)
	}))
	t.Cleanup(srv.Close)
	p := &twoBuilds{t: t, addr: srv.Listener.Addr().String(), facts: y.facts}
	began, morning := time.Now(), units.DayOf(2026, 9, 4).Time().Add(10*time.Hour)
	p.start = func(n int) func() {
		s, err := web.New(t.Context(), web.Options{Book: y.book, Version: fmt.Sprintf("%d.0", n), Now: func() time.Time { return morning.Add(time.Since(began)) },
			NewID: func() season.ID { return season.ID(uuid.Must(uuid.NewV7())) }})
		if err != nil {
			t.Fatal(err)
		}
		h := http.Handler(s)
		if n == 2 {
			h = otherScript(t, s)
		}
		runs.Store(&h)
		return func() { runs.Store(nil) }
	}
	return p
}

// otherScript answers as next does, but for the script of the round.
func otherScript(t *testing.T, next http.Handler) http.Handler {
	ask := func(r *http.Request) *httptest.ResponseRecorder {
		w := httptest.NewRecorder()
		next.ServeHTTP(w, r)
		return w
	}
	r := httptest.NewRequest(http.MethodGet, "/sw.js", nil)
	r.Host, r.RemoteAddr = "127.0.0.1", "127.0.0.1:1"
	m := regexp.MustCompile(`/assets/trip\.js\?v=([0-9a-f]+)`).FindSubmatch(ask(r).Body.Bytes())
	if m == nil {
		t.Fatal("the worker keeps no script of the round")
	}
	was, is := m[1], append([]byte("b2"), m[1][2:]...)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Header.Del("Accept-Encoding")
		a := ask(r)
		body := bytes.ReplaceAll(a.Body.Bytes(), was, is)
		switch r.URL.Path {
		case "/assets/trip.js":
			body = append(body, mark...)
		case "/sw.js":
			body = bytes.ReplaceAll(body, []byte(`CACHE = "larder-`), []byte(`CACHE = "larder-b2`))
		}
		for k, v := range a.Header() {
			if k != "Content-Length" {
				w.Header()[k] = v
			}
		}
		w.WriteHeader(a.Code)
		_, _ = w.Write(body)
	})
}

// builtTwice builds two programs and puts the yard's book on the disk.
func builtTwice(t *testing.T, y *yard) *twoBuilds {
	t.Helper()
	dir := t.TempDir()
	root, err := filepath.Abs("../../..")
	if err != nil {
		t.Fatal(err)
	}
	run := func(name string, args ...string) {
		t.Helper()
		c := exec.CommandContext(t.Context(), name, args...)
		c.Dir, c.Env = root, append(os.Environ(), "CGO_ENABLED=0")
		if out, err := c.CombinedOutput(); err != nil {
			t.Fatalf("%s: %v\n%s", name, err, out)
		}
	}
	script := filepath.Join(root, "internal/web/screen/trip/page.js")
	raw, err := os.ReadFile(script)
	if err != nil {
		t.Fatal(err)
	}
	other, overlay := filepath.Join(dir, "page.js"), filepath.Join(dir, "overlay.json")
	list, err := json.Marshal(map[string]map[string]string{"Replace": {script: other}})
	if err != nil {
		t.Fatal(err)
	}
	for name, b := range map[string][]byte{other: append(raw, mark...), overlay: list} {
		if err := os.WriteFile(name, b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	program := func(n int) string { return filepath.Join(dir, fmt.Sprintf("larder%d", n)) }
	for n, more := range map[int][]string{1: nil, 2: {"-overlay", overlay}} {
		run("go", append(append([]string{"build", "-o", program(n), "-ldflags", fmt.Sprintf("-X larder/internal/cli.release=%d.0", n)}, more...), "./cmd/larder")...)
	}
	book, in := filepath.Join(dir, "season.larder"), filepath.Join(dir, "in")
	// A program minds the clock of the computer: the hives were looked at yesterday.
	facts := y.facts()
	for i, yesterday := 1, units.OnDay(units.DayOf(time.Now().Date())-1); i <= 60; i++ {
		f := season.Fact{Seen: yesterday, Body: apiary.Look{Colony: fmt.Sprint(i), Bees: 10, BeesKnown: true, Brood: 4, BroodKnown: true, Queen: apiary.Yes, Disease: apiary.No, Treatment: apiary.No, Super: apiary.No}}
		if f.ID, err = f.Derive(i); err != nil {
			t.Fatal(err)
		}
		facts = append(facts, f)
	}
	if err := folder.WriteDir(in, facts); err != nil {
		t.Fatal(err)
	}
	run(program(1), "--book", book, "import", in)
	p := &twoBuilds{t: t, addr: freeAddress(t)}
	p.start = func(n int) func() {
		c := exec.Command(program(n), "--book", book, "serve", "--no-open", "--no-backups", "--addr", p.addr)
		var said bytes.Buffer
		c.Stderr = &said
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		done := false
		stop := func() {
			if !done {
				done = true
				_ = c.Process.Signal(syscall.SIGTERM)
				_ = c.Wait() // how it ends is no matter here
			}
		}
		t.Cleanup(stop)
		for range 200 {
			if r, err := http.Get("http://" + p.addr + "/house"); err == nil {
				var b bytes.Buffer
				_, err := b.ReadFrom(r.Body)
				r.Body.Close()
				if err != nil || !strings.Contains(b.String(), fmt.Sprintf("%d.0", n)) {
					t.Fatalf("House does not say that this is %d.0: %v", n, err)
				}
				return stop
			}
			time.Sleep(50 * time.Millisecond)
		}
		t.Fatalf("build %d does not answer: %s", n, said.String())
		return nil
	}
	p.facts = func() []season.Fact {
		out := filepath.Join(dir, "out")
		run(program(1), "--book", book, "export", out)
		facts, err := folder.Read(os.DirFS(out))
		if err != nil {
			t.Fatal(err)
		}
		return facts
	}
	return p
}
