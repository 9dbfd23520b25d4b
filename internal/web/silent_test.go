package web

import (
	"context"
	"errors"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strconv"
	"strings"
	"testing"
	"time"

	"larder/internal/access"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
)

// away is a list of who may come in that can be away, as one on a server.
type away struct {
	access.Memory
	left  int // how often it is asked in vain from now on
	asked int
}

func (a *away) Stamp() string {
	if a.left > 0 {
		a.asked++
		return "?" + strconv.Itoa(a.asked)
	}
	return a.Memory.Stamp()
}

func (a *away) Load() (access.State, error) {
	if a.left > 0 {
		a.left--
		return access.State{}, fault.New(fault.Unreachable, "", "the database does not answer")
	}
	return a.Memory.Load()
}

// While the list of who may come in is away nobody is told that he is not known or
// that his password is wrong, not even when it comes back between the two looks of
// one request; then all are known again.
func TestListOfVisitorsAway(t *testing.T) {
	list, now := &away{}, smallNow
	// Each look at the clock is a second later, so that the list is asked again each time.
	door, err := access.Open(list, func() time.Time { now = now.Add(time.Second); return now }, rand.NewChaCha8([32]byte{7}))
	if err != nil {
		t.Fatal(err)
	}
	s := newSiteWith(t, smallNow, Options{Door: door, Hosts: []string{"barn.local"}, Lan: &Lan{How: "plain", Home: netip.Addr.IsPrivate, Addresses: func() []string { return nil }}}, smallSeason(t)...)
	if _, err := door.SetPassword(ownersPassword, access.Console()); err != nil {
		t.Fatal(err)
	}
	token, err := door.Login("", ownersPassword, "192.168.1.40")
	if err != nil {
		t.Fatal(err)
	}
	ask := func(method, path, form string) int {
		t.Helper()
		now = now.Add(time.Minute) // strangers are not held back
		r := httptest.NewRequest(method, path, strings.NewReader(form))
		r.RemoteAddr, r.Host = "192.168.1.40:5000", "barn.local"
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		if method == http.MethodPost {
			r.Header.Set("Origin", "http://barn.local")
		}
		r.AddCookie(&http.Cookie{Name: ownerCookie, Value: token})
		w := httptest.NewRecorder()
		s.srv.ServeHTTP(w, r)
		return w.Code
	}
	if code := ask("GET", "/short", ""); code != http.StatusOK {
		t.Fatalf("not in: %d", code)
	}
	for _, c := range [][3]string{{"GET", "/short", ""}, {"GET", "/login", ""}, {"POST", "/login", "password=" + ownersPassword}, {"POST", "/pair", "code=ABCD-EFGH&name=Ann"}, {"GET", "/first", ""}, {"POST", "/logout", ""}} {
		for _, left := range []int{1, 1000} { // back at once, or not so soon
			list.left = left
			if code := ask(c[0], c[1], c[2]); code != http.StatusServiceUnavailable {
				t.Errorf("%s %s with the list away (%d): %d", c[0], c[1], left, code)
			}
		}
	}
	list.left = 0
	if code := ask("GET", "/short", ""); code != http.StatusOK {
		t.Errorf("known no more: %d", code)
	}
	if code := ask("GET", "/assets/larder.css", ""); code != http.StatusOK {
		t.Errorf("%d", code)
	}
}

// silentBook is a book on a server that does not answer while silent.
type silentBook struct {
	season.Memory
	silent bool
}

func (b *silentBook) Since(ctx context.Context, after int64) ([]season.Fact, int64, error) {
	if b.silent {
		<-ctx.Done()
		return nil, after, ctx.Err()
	}
	facts, err := b.Memory.Facts(ctx, units.Moment{})
	return facts, int64(len(facts)), err
}

func (b *silentBook) Append(ctx context.Context, facts ...season.Fact) error {
	if b.silent {
		<-ctx.Done()
		return errors.Join(fault.New(fault.Busy, "", "it was given up before the server answered"), ctx.Err())
	}
	return b.Memory.Append(ctx, facts...)
}

// A server that keeps silent is waited for so long and no longer, in reading and in
// writing: else one who writes would hold up every page.
func TestSilentServer(t *testing.T) {
	s := newSmallSite(t)
	b := &silentBook{}
	h, err := openHouse(t.Context(), b, func() time.Time { return smallNow }, s.newID)
	if err != nil {
		t.Fatal(err)
	}
	if h.wait != serverWait {
		t.Errorf("it waits %v", h.wait)
	}
	h.wait, b.silent = 10*time.Millisecond, true
	if err := h.catchUp(t.Context()); err == nil {
		t.Error("it caught up with a server that keeps silent")
	}
	if _, err := h.append(t.Context(), "weather", smallSeason(t)[0]); !fault.Is(err, fault.Busy) {
		t.Errorf("%v", err)
	}
	b.silent = false
	if err := h.catchUp(t.Context()); err != nil {
		t.Error(err)
	}
}

// silentKeepers is a list of keepers that does not answer.
type silentKeepers struct{ open bool }

func (k silentKeepers) Named(ctx context.Context, _ string) (string, error) {
	<-ctx.Done()
	return "", ctx.Err()
}

func (k silentKeepers) Admits(ctx context.Context, _ string) error {
	if k.open {
		return nil
	}
	<-ctx.Done()
	return ctx.Err()
}

func (k silentKeepers) Open(ctx context.Context, _ string) (Options, func(), error) {
	<-ctx.Done()
	return Options{}, nil, ctx.Err()
}

// Nor is it for who comes to one of many books, whether the list or the book keeps
// silent; two who wait for one book each wait as long.
func TestSilentServerOfMany(t *testing.T) {
	s := newSmallSite(t)
	tries, err := access.NewLobby(func() time.Time { return smallNow }, rand.NewChaCha8([32]byte{7}))
	if err != nil {
		t.Fatal(err)
	}
	for _, open := range []bool{false, true} {
		m, err := NewMany(t.Context(), silentKeepers{open}, Options{Now: func() time.Time { return smallNow }, NewID: s.newID}, tries)
		if err != nil {
			t.Fatal(err)
		}
		m.wait = 10 * time.Millisecond
		for range 3 {
			r := httptest.NewRequest(http.MethodGet, "/short", nil)
			r.RemoteAddr, r.Host = "127.0.0.1:5000", "127.0.0.1:8642"
			r.AddCookie(&http.Cookie{Name: ownerCookie, Value: "mark.token"})
			w := httptest.NewRecorder()
			m.ServeHTTP(w, r)
			if w.Code != http.StatusServiceUnavailable || w.Header().Get("Retry-After") == "" {
				t.Errorf("%v: %d %s", open, w.Code, w.Body)
			}
		}
		if _, err := m.logIn(t.Context(), "Ann", "", "a password", "192.168.1.9"); err == nil {
			t.Error("logged in")
		}
		m.Close()
	}
}
