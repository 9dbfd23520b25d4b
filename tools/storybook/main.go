// Command storybook shows every screen in all its states, without a database.
//
//	go run ./tools/storybook              serve them on 127.0.0.1:8643
//	go run ./tools/storybook --shots DIR  take a picture of each, 390 and 1280 px wide, light and dark
package main

import (
	"context"
	"flag"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"time"

	"github.com/chromedp/chromedp"

	"larder/tools/storybook/chromium"
	"larder/tools/storybook/stories"
)

func main() {
	addr := flag.String("addr", "127.0.0.1:8643", "where to listen")
	shots := flag.String("shots", "", "folder for pictures of every story; then stop")
	only := flag.String("only", "", "only stories whose name contains this")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, *addr, *shots, *only); err != nil {
		fmt.Fprintln(os.Stderr, "storybook:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, addr, shots, only string) error {
	if shots != "" {
		addr = "127.0.0.1:0"
	}
	ln, err := net.Listen("tcp", addr)
	if err != nil {
		return err
	}
	b := stories.New()
	srv := &http.Server{Handler: b.Handler(), ReadHeaderTimeout: 5 * time.Second}
	gone := make(chan error, 1)
	go func() { gone <- srv.Serve(ln) }()
	defer srv.Close()
	base := "http://" + ln.Addr().String()
	if shots != "" {
		return shoot(ctx, base, shots, only, b.Stories)
	}
	fmt.Printf("Every screen in every state: %s/story/\n", base)
	select {
	case err = <-gone:
		return err
	case <-ctx.Done():
		return nil
	}
}

// shoot takes the pictures, whole pages, one file each.
func shoot(ctx context.Context, base, dir, only string, all []stories.Story) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	browser, stop, err := chromium.Start(ctx)
	if err != nil {
		return err
	}
	defer stop()
	tab, closeTab := chromium.Tab(browser)
	defer closeTab()
	if err := chromedp.Do(tab); err != nil {
		return err
	}
	n := 0
	for _, s := range all {
		if !strings.Contains(s.Name(), only) {
			continue
		}
		for _, width := range []int64{390, 1280} {
			for _, dark := range []bool{false, true} {
				name := fmt.Sprintf("%s-%s-%d-%s.png", s.Screen, s.State, width, map[bool]string{false: "light", true: "dark"}[dark])
				if err := picture(tab, base+"/story/"+s.Name(), width, dark, filepath.Join(dir, name)); err != nil {
					return fmt.Errorf("%s: %w", name, err)
				}
				n++
			}
		}
	}
	fmt.Printf("%d pictures in %s\n", n, dir)
	return nil
}

// tallest is where a picture of a long page is cut, in px.
const tallest = 4000

func picture(tab context.Context, url string, width int64, dark bool, file string) error {
	ctx, cancel := context.WithTimeout(tab, time.Minute)
	defer cancel()
	if err := chromedp.Do(ctx, chromium.Look(width, 900, dark), chromedp.Navigate(url)); err != nil {
		return err
	}
	high, err := chromedp.Run(ctx, chromedp.Evaluate[int64](`Math.ceil(document.documentElement.scrollHeight)`))
	if err != nil {
		return err
	}
	if err := chromedp.Do(ctx, chromium.Look(width, max(900, min(high, tallest)), dark)); err != nil {
		return err
	}
	png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err != nil {
		return err
	}
	return os.WriteFile(file, png, 0o644)
}
