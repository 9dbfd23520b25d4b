package browser

import (
	"context"
	_ "embed"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/audits"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"larder/tools/storybook/chromium"
	"larder/tools/storybook/stories"
)

//go:embed testdata/axe.min.js
var axeSource string

//go:embed testdata/probe.js
var probeSource string

// The one browser and the storybook, for all tests.
var (
	browser    context.Context
	browserErr error
	book       = stories.New()
	bookURL    string
)

func TestMain(m *testing.M) {
	srv := httptest.NewServer(book.Handler())
	bookURL = srv.URL
	var stop func()
	browser, stop, browserErr = chromium.Start(context.Background())
	code := m.Run()
	if stop != nil {
		stop()
	}
	srv.Close()
	os.Exit(code)
}

// patience is how long one step may take on a busy machine.
const patience = 60 * time.Second

// tab is one tab and what it complained of.
type tab struct {
	t      testing.TB
	ctx    context.Context
	origin string

	mu   sync.Mutex
	said []string // console errors, broken policy, requests elsewhere
}

// open opens a tab of its own, with its own cookies, that may only talk to
// origin.
func open(t *testing.T, origin string) *tab {
	t.Helper()
	if browserErr != nil {
		t.Fatal(browserErr)
	}
	ctx, end := chromium.Tab(browser)
	t.Cleanup(end)
	b := &tab{t: t, ctx: ctx, origin: origin}
	b.must(chromedp.Func(func(ctx context.Context, tg *chromedp.Target) error {
		_, err := cdp.Call(ctx, tg, audits.Enable, cdp.Empty{})
		return err
	}))
	if err := chromedp.Listen(ctx, b.hear); err != nil {
		t.Fatal(err)
	}
	return b
}

// openOwn opens a tab on a server of its own, to be changed at will.
func openOwn(t *testing.T, season string) *tab {
	t.Helper()
	s, err := stories.Open(season)
	if err != nil {
		t.Fatal(err)
	}
	srv := httptest.NewServer(s)
	t.Cleanup(srv.Close)
	return open(t, srv.URL)
}

// hear keeps what should not happen.
func (b *tab) hear(ev any) {
	add := func(format string, args ...any) {
		b.mu.Lock()
		defer b.mu.Unlock()
		b.said = append(b.said, fmt.Sprintf(format, args...))
	}
	switch e := ev.(type) {
	case *network.EventRequestWillBeSent:
		if u := e.Request.URL; !strings.HasPrefix(u, b.origin+"/") && !strings.HasPrefix(u, "data:") && u != "about:blank" {
			add("a request left the origin: %s", u)
		}
	case *runtime.EventExceptionThrown:
		add("exception: %s", (&chromedp.ExceptionError{ExceptionDetails: e.ExceptionDetails}).Error())
	case *runtime.EventConsoleAPICalled:
		if e.Type == "error" || e.Type == "warning" || e.Type == "assert" {
			add("console %s", e.Type)
		}
	case *log.EventEntryAdded:
		if e.Entry.Level == "error" || e.Entry.Level == "warning" {
			add("log: %s %s", e.Entry.Text, e.Entry.URL)
		}
	case *audits.EventIssueAdded:
		if d := e.Issue.Details; d != nil && d.ContentSecurityPolicyIssueDetails != nil {
			add("the policy was broken: %s %s", d.ContentSecurityPolicyIssueDetails.ViolatedDirective, d.ContentSecurityPolicyIssueDetails.BlockedURL)
		}
	}
}

// quiet fails if the tab complained since it was last asked, but for an answer
// that is meant to be code.
func (b *tab) quiet(code int, what string) {
	b.t.Helper()
	b.mu.Lock()
	said := b.said
	b.said = nil
	b.mu.Unlock()
	for _, s := range said {
		if code >= 400 && strings.HasPrefix(s, fmt.Sprintf("log: Failed to load resource: the server responded with a status of %d", code)) {
			continue
		}
		b.t.Errorf("%s: %s", what, s)
	}
}

// must runs steps that have to work.
func (b *tab) must(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := run(b.ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

// run runs steps with patience. The first call on a tab makes it, so that one
// runs on the tab's own context.
func run(ctx context.Context, steps ...chromedp.Action[chromedp.Void]) error {
	if err := chromedp.Do(ctx); err != nil {
		return err
	}
	return chromium.Within(ctx, patience, steps...)
}

// goTo shows a page of the tab's server.
func (b *tab) goTo(path string) {
	b.t.Helper()
	b.must(chromedp.Navigate(b.origin + path))
	b.probe()
}

// probe puts the test's questions into the page.
func (b *tab) probe() {
	b.t.Helper()
	eval[chromedp.Void](b, probeSource)
}

// eval evaluates a script in the page, through the protocol.
func eval[T any](b *tab, script string) T {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](script, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatalf("%.80s: %v", script, err)
	}
	return v
}

// press clicks what selector finds and waits for the page that follows.
func (b *tab) press(selector string) *network.Response {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	r, err := chromedp.RunResponse(ctx, chromedp.Click(chromedp.CSS(selector)))
	if err != nil {
		b.t.Fatalf("press %s: %v", selector, err)
	}
	b.probe()
	return r
}

// text gives the visible words that selector finds.
func (b *tab) text(selector string) string {
	b.t.Helper()
	return eval[string](b, fmt.Sprintf("[...document.querySelectorAll(%q)].map((e) => e.innerText).join(' ')", selector))
}

// has tells whether the page has the words.
func (b *tab) has(words string) bool { return strings.Contains(b.text("body"), words) }

// statusOK tells whether a link leads somewhere.
func statusOK(code int) bool { return code == http.StatusOK || code == http.StatusSeeOther }
