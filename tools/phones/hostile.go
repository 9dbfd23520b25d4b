package main

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"
)

// Hostile is what a house has to bear: who guesses passwords, and who holds
// connections open. Beside them one reads pages in peace, and is timed.
type Hostile struct {
	Logins int // guesses a second, each from one of 200 addresses in turn
	Slow   int // connections that send a letter of their head a second
	Mute   int // that say nothing
	Long   int // that send heads of ten megabytes, over and over
	For    time.Duration
	Seed   uint64
	Reader string // path of the page that is read; from this computer
}

// Bore is what came of it.
type Bore struct {
	Took                     []time.Duration // of each page, sorted
	Failed                   int             // pages that did not come
	First                    string          // why
	Guesses, Refused, Waited int             // guesses made, refused as wrong, told to wait
	In                       int             // guesses let in: none should be
	Opened, Shut             int             // hostile connections, and those home ended
}

func (b Bore) at(share float64) time.Duration { return Result{Took: b.Took}.at(share) }

func (b Bore) String() string {
	s := fmt.Sprintf("%d pages read: half within %v, 95 %% within %v, 99 %% within %v, the last %v; %d did not come", len(b.Took), b.at(0.5), b.at(0.95), b.at(0.99), b.at(1), b.Failed)
	if b.First != "" {
		s += " (" + b.First + ")"
	}
	if b.Guesses > 0 {
		s += fmt.Sprintf("\n%d guesses: %d wrong, %d told to wait, %d let in", b.Guesses, b.Refused, b.Waited, b.In)
	}
	if b.Opened > 0 {
		s += fmt.Sprintf("\n%d hostile connections, %d of them ended by home", b.Opened, b.Shut)
	}
	return s
}

// Bear lets all that loose on a home for a while.
func (h Hostile) Bear(ctx context.Context, home string) Bore {
	ctx, stop := context.WithTimeout(ctx, h.For)
	defer stop()
	var b Bore
	var mu sync.Mutex
	note := func(f func(*Bore)) { mu.Lock(); defer mu.Unlock(); f(&b) }
	var wg sync.WaitGroup
	host := strings.TrimPrefix(home, "http://")
	for n := range h.Slow + h.Mute + h.Long {
		wg.Go(func() {
			for ctx.Err() == nil {
				shut, err := h.hold(ctx, host, n)
				if err != nil {
					if sleep(ctx, 100*time.Millisecond) != nil {
						return
					}
					continue
				}
				note(func(b *Bore) {
					b.Opened++
					if shut {
						b.Shut++
					}
				})
				if sleep(ctx, time.Second) != nil { // and comes again
					return
				}
			}
		})
	}
	if h.Logins > 0 {
		wg.Go(func() { h.guess(ctx, home, note) })
	}
	if sleep(ctx, min(h.For/10, time.Second)) == nil {
		h.read(ctx, home, note)
	}
	wg.Wait()
	slices.Sort(b.Took)
	return b
}

func sleep(ctx context.Context, d time.Duration) error {
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(d):
		return nil
	}
}

// read reads the page, now over a connection kept, now over a new one.
func (h Hostile) read(ctx context.Context, home string, note func(func(*Bore))) {
	kept, fresh := &http.Client{Transport: &http.Transport{}, Timeout: 30 * time.Second}, &http.Client{Transport: &http.Transport{DisableKeepAlives: true}, Timeout: 30 * time.Second}
	defer kept.CloseIdleConnections()
	for n := 0; ctx.Err() == nil; n++ {
		c := []*http.Client{kept, fresh}[n%2]
		from := time.Now()
		err := func() error {
			resp, err := c.Get(home + h.Reader)
			if err != nil {
				return err
			}
			defer resp.Body.Close()
			if _, err := io.Copy(io.Discard, resp.Body); err != nil {
				return err
			}
			if resp.StatusCode != http.StatusOK {
				return fmt.Errorf("%s", resp.Status)
			}
			return nil
		}()
		took := time.Since(from)
		note(func(b *Bore) {
			b.Took = append(b.Took, took)
			if err != nil {
				b.Failed++
				if b.First == "" {
					b.First = err.Error()
				}
			}
		})
		if sleep(ctx, 100*time.Millisecond) != nil {
			return
		}
	}
}

// guess guesses the owner's password.
func (h Hostile) guess(ctx context.Context, home string, note func(func(*Bore))) {
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 200}, Timeout: 60 * time.Second,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	defer client.CloseIdleConnections()
	random := rand.New(rand.NewPCG(h.Seed, 9))
	tick := time.NewTicker(time.Second / time.Duration(h.Logins))
	defer tick.Stop()
	var wg sync.WaitGroup
	defer wg.Wait()
	for n := 0; ; n++ {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		form := url.Values{"password": {fmt.Sprintf("wrong horse %d", random.IntN(1<<30))}}.Encode()
		wg.Go(func() {
			req, err := http.NewRequestWithContext(ctx, http.MethodPost, home+"/login", strings.NewReader(form))
			if err != nil {
				return
			}
			req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			req.Header.Set(fromHead, fmt.Sprintf("192.168.9.%d", 20+n%200))
			resp, err := client.Do(req)
			if err != nil {
				return // the time was up
			}
			resp.Body.Close()
			note(func(b *Bore) {
				b.Guesses++
				switch resp.StatusCode {
				case http.StatusSeeOther:
					b.In++
				case http.StatusTooManyRequests:
					b.Waited++
				default:
					b.Refused++
				}
			})
		})
	}
}

// elsewhere are the addresses hostile connections come from: of this computer, but
// not the one it calls itself by.
var elsewhere = []string{"127.0.0.66", "127.0.0.67"}

// hold opens one hostile connection and keeps at it till home ends it or the time
// is up.
func (h Hostile) hold(ctx context.Context, host string, n int) (shut bool, err error) {
	d := net.Dialer{LocalAddr: &net.TCPAddr{IP: net.ParseIP(elsewhere[n%len(elsewhere)])}, Timeout: 5 * time.Second}
	c, err := d.DialContext(ctx, "tcp", host)
	if err != nil {
		return false, err
	}
	defer c.Close()
	defer context.AfterFunc(ctx, func() { _ = c.Close() })()
	gone := make(chan struct{})
	go func() {
		_, _ = io.Copy(io.Discard, c)
		close(gone)
	}()
	line := "GET / HTTP/1.1\r\nHost: " + host + "\r\nX-Slow: "
	switch {
	case n < h.Slow:
		for i := 0; ; i++ {
			letter := "x"
			if i < len(line) {
				letter = line[i : i+1]
			}
			if _, err := c.Write([]byte(letter)); err != nil {
				break
			}
			select {
			case <-gone:
				return ctx.Err() == nil, nil
			case <-time.After(time.Second):
				continue
			}
		}
	case n < h.Slow+h.Mute:
	default:
		_, err = c.Write([]byte(line))
		for i := 0; err == nil && i < 10<<20; i += 64 << 10 {
			_, err = c.Write([]byte(strings.Repeat("x", 64<<10)))
		}
	}
	<-gone
	return ctx.Err() == nil, nil
}
