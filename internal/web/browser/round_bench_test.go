package browser

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"larder/tools/storybook/chromium"
	"larder/tools/storybook/stories"
)

// BenchmarkOfflineStart opens a trip without signal on a phone four times slower
// than this machine: from the call until the hive can be logged. Goal: 1 s.
func BenchmarkOfflineStart(b *testing.B) {
	if browserErr != nil {
		b.Fatal(browserErr)
	}
	s, err := stories.Open("out")
	if err != nil {
		b.Fatal(err)
	}
	cut := false
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if cut {
			panic(http.ErrAbortHandler)
		}
		s.ServeHTTP(w, r)
	}))
	defer srv.Close()
	ctx, end := chromium.Tab(browser)
	defer end()
	do := func(steps ...chromedp.Action[chromedp.Void]) {
		b.Helper()
		if err := run(ctx, steps...); err != nil {
			b.Fatal(err)
		}
	}
	ask := func(script string) {
		b.Helper()
		within, cancel := context.WithTimeout(ctx, patience)
		defer cancel()
		script = fmt.Sprintf(`new Promise((ok) => { const look = async () => (await %s) ? ok(true) : setTimeout(look, 5); look(); })`, script)
		if _, err := chromedp.Run(within, chromedp.Evaluate[bool](script, chromedp.EvalAwaitPromise)); err != nil {
			b.Fatal(err)
		}
	}
	slow := func(rate float64) {
		do(chromedp.Func(func(ctx context.Context, tg *chromedp.Target) error {
			_, err := cdp.Call(ctx, tg, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: rate})
			return err
		}))
	}
	do(chromium.Look(390, 844, false), chromedp.Navigate(srv.URL+"/round/1"))
	ask(`caches.match("/round/1")`)
	ask(`caches.match("/round")`)
	cut = true
	slow(4)
	for b.Loop() {
		do(chromedp.Navigate(srv.URL + "/round/1"))
		ask(`document.querySelector("#trip[data-ready]")`)
	}
	slow(1)
}
