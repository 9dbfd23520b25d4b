// Package chromium starts the headless browser that the pages are proved in.
//
// It is driven by chromedp v0.23, whose API is not the one most examples show:
//
//   - chromedp.Do(ctx, steps...) runs actions without a value, one after another;
//     v, err := chromedp.Run(ctx, action) runs one action that has a value.
//   - A value comes back by type: chromedp.Evaluate[string](js), not
//     Evaluate(js, &v). A promise is waited for with chromedp.EvalAwaitPromise.
//   - Protocol commands: cdp.Call(ctx, t, emulation.SetEmulatedMedia, params)
//     inside chromedp.Func(func(ctx, t) error).
//   - The first call on a context starts the browser and binds its life to that
//     context: no timeout on that one.
package chromium

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// names are the browsers that will do, best first.
var names = []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome"}

// Missing is what to say when no browser is there.
const Missing = "no Chromium here, and the screens are proved in one. Type: sudo apt-get install -y chromium"

// Find gives the path of the browser.
func Find() (string, error) {
	for _, n := range names {
		if p, err := exec.LookPath(n); err == nil {
			return p, nil
		}
	}
	return "", errors.New(Missing)
}

// Start starts a browser with a profile of its own that talks to nobody but the
// pages it is sent to. Everything it started ends with stop.
func Start(ctx context.Context) (browser context.Context, stop func(), err error) {
	path, err := Find()
	if err != nil {
		return nil, nil, err
	}
	profile, err := os.MkdirTemp("", "larder-chromium-")
	if err != nil {
		return nil, nil, err
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.UserDataDir(profile), chromedp.DisableGPU,
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-domain-reliability", true),
		chromedp.Flag("no-pings", true), chromedp.Flag("hide-scrollbars", true), chromedp.Flag("lang", "en-US"),
		chromedp.Flag("proxy-server", "direct://"), chromedp.Flag("proxy-bypass-list", "*"),
		chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost"), // whoever asks for another host gets none
	)
	if os.Geteuid() == 0 {
		opts = append(opts, chromedp.NoSandbox) // Chromium refuses its sandbox to root
	}
	alloc, endAlloc := chromedp.NewExecAllocator(ctx, opts...)
	browser, endBrowser := chromedp.NewContext(alloc)
	stop = func() {
		endBrowser()
		endAlloc()
		_ = os.RemoveAll(profile) // a profile left behind in the temporary folder hurts nobody
	}
	if err := chromedp.Do(browser); err != nil {
		stop()
		return nil, nil, err
	}
	return browser, stop, nil
}

// Tab opens a tab with cookies of its own; it closes with the returned func.
func Tab(browser context.Context) (context.Context, context.CancelFunc) {
	return chromedp.NewContext(browser, chromedp.WithNewBrowserContext())
}

// Look sets how the page is looked at: width and height in CSS px, light or
// dark.
func Look(width, height int64, dark bool) chromedp.Action[chromedp.Void] {
	scheme := "light"
	if dark {
		scheme = "dark"
	}
	return chromedp.Steps(
		chromedp.EmulateViewport(width, height),
		Media(map[string]string{"prefers-color-scheme": scheme, "prefers-reduced-motion": "reduce"}),
	)
}

// Media sets features that style sheets ask for.
func Media(features map[string]string) chromedp.Action[chromedp.Void] {
	p := emulation.SetEmulatedMediaParams{}
	for k, v := range features {
		p.Features = append(p.Features, &emulation.MediaFeature{Name: k, Value: v})
	}
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, p)
		return err
	})
}

// Text sets the size of text the reader has chosen in the browser, 16 px as
// delivered.
func Text(px int64) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, page.SetFontSizes, page.SetFontSizesParams{FontSizes: &page.FontSizes{Standard: px, Fixed: px * 13 / 16}})
		return err
	})
}

// Scripts switches scripts of the page on or off; a page loaded later minds it.
func Scripts(on bool) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: !on})
		return err
	})
}

// Within runs steps, giving up after a while without ending the tab.
func Within(tab context.Context, d time.Duration, steps ...chromedp.Action[chromedp.Void]) error {
	ctx, cancel := context.WithTimeout(tab, d)
	defer cancel()
	return chromedp.Do(ctx, steps...)
}
