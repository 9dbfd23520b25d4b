package browser

import (
	"net/http/httptest"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"larder/internal/season"
	"larder/tools/storybook/stories"
)

// TestLongWork asks for a plan that takes its time: how far it is is shown, it
// can be stopped, and when it is ready the page comes by itself.
func TestLongWork(t *testing.T) {
	t.Parallel()
	ready := make(chan struct{})
	s, err := stories.OpenHeld("typical", 50*time.Millisecond, func(look season.Watch) {
		for look(season.Progress{Stage: "plan", Done: 30, Of: 120}) {
			select {
			case <-ready:
				return
			case <-time.After(20 * time.Millisecond):
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	srv := httptest.NewServer(s)
	t.Cleanup(srv.Close)
	b := open(t, srv.URL)
	b.goTo("/plan")
	b.wait(`document.querySelector("progress")?.value === 25`)
	if !b.has("30 of about 120") {
		t.Errorf("the page says\n%s", b.text("main"))
	}
	b.press(`form[action$="/stop"] button`)
	if !b.has("The work was stopped. Nothing was changed.") {
		t.Errorf("stopped, the page says\n%s", b.text("main"))
	}
	b.press("main a.main")
	b.wait(`document.querySelector("progress")?.value === 25`)
	close(ready)
	for end := time.Now().Add(patience); ; time.Sleep(50 * time.Millisecond) { // a page that leaves takes a question with it
		here, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](`document.body.classList.contains("screen-plan")`))
		if err == nil && here {
			break
		}
		if time.Now().After(end) {
			t.Fatalf("the plan did not come by itself: %v\n%s", err, b.text("main"))
		}
	}
	b.quiet(200, "working")
}
