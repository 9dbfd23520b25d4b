// Package stories is every screen in all its states, without a database: what
// the storybook serves, what the browser tests look at and what the checks of
// the pages read.
//
// A story is a season, a clock and a request. Every page has one for each of
// the seasons (nothing yet, hives that nobody has weighed, the example season,
// a thousand hives, facts grown old), and what can go wrong on it is told beside
// it in pages.go. A new page without a line there fails a test.
package stories

import (
	"cmp"
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"time"

	"larder/internal/access"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/units"
	"larder/internal/weather"
	"larder/internal/web"
)

// Story is one screen in one state.
type Story struct {
	Screen string // the folder in internal/web/screen
	State  string // "empty", "unread", "typical", "thousand", "stale", or a trouble of its own
	Season string // what it is told of: a key of the seasons
	Path   string
	Form   url.Values // posted when not nil
	Code   int        // the status it answers with; 0 = 200
	From   string     // address of another device that asks; "" = this computer
	Phone  string     // name of the paired phone that asks
	Helper string     // name of the helper who is logged in
}

// Name is how a story is called, and where the storybook shows it.
func (s Story) Name() string { return s.Screen + "/" + s.State }

// Status is what the story answers with.
func (s Story) Status() int {
	if s.Code == 0 {
		return http.StatusOK
	}
	return s.Code
}

// Request makes the request that shows the story.
func (s Story) Request(ctx context.Context) *http.Request {
	method, body := http.MethodGet, ""
	if s.Form != nil {
		method, body = http.MethodPost, s.Form.Encode()
	}
	r := httptest.NewRequestWithContext(ctx, method, s.Path, strings.NewReader(body))
	if s.Form != nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	r.Host, r.RemoteAddr = "127.0.0.1", "127.0.0.1:50000"
	if s.From != "" {
		r.RemoteAddr = s.From + ":50000"
	}
	if s.Phone != "" {
		r.AddCookie(&http.Cookie{Name: "larder-phone", Value: tokens[s.Phone]})
	}
	if s.Helper != "" {
		r.AddCookie(&http.Cookie{Name: "larder-owner", Value: tokens[s.Helper]})
	}
	return r
}

// Book is a set of stories and the servers that tell them: one for each season.
type Book struct {
	Stories []Story
	mu      sync.Mutex
	servers map[string]*web.Server
}

// New lists all stories. Seasons are read when the first of their stories is
// asked for.
func New() *Book {
	b := &Book{servers: map[string]*web.Server{}}
	for _, p := range pages {
		for _, s := range seasonNames {
			path := p.path
			if at, ok := p.at[s]; ok {
				path = at
			}
			if path == "" {
				continue // this page cannot be asked for in that season
			}
			b.Stories = append(b.Stories, Story{Screen: p.screen, State: s, Season: s, Path: path})
		}
		for _, t := range p.more {
			t.Screen = p.screen
			if t.Season == "" {
				t.Season = "typical"
			}
			b.Stories = append(b.Stories, t)
		}
	}
	return b
}

// Server gives the server of a season.
func (b *Book) Server(name string) (*web.Server, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if s := b.servers[name]; s != nil {
		return s, nil
	}
	s, err := Open(name)
	if err != nil {
		return nil, err
	}
	b.servers[name] = s
	return s, nil
}

// Open makes a server of its own for a season, to be changed at will.
func Open(name string) (*web.Server, error) {
	make, ok := seasons[name]
	if !ok {
		return nil, fmt.Errorf("no season %q", name)
	}
	t, err := make()
	if err != nil {
		return nil, fmt.Errorf("season %s: %w", name, err)
	}
	return open(name, t)
}

// OpenHeld is Open with a reader of little patience and plans that held holds up.
func OpenHeld(name string, patience time.Duration, held func(look season.Watch)) (*web.Server, error) {
	t, err := seasons[name]()
	if err != nil {
		return nil, fmt.Errorf("season %s: %w", name, err)
	}
	t.patience, t.held = patience, held
	return open(name, t)
}

// OpenMany makes a server for so many yards with so many hives each.
func OpenMany(yards, hives int) (*web.Server, error) {
	t, err := many(yards, hives)
	if err != nil {
		return nil, err
	}
	return open("many", t)
}

func open(name string, t told) (*web.Server, error) {
	book := &season.Memory{}
	if err := book.Append(context.Background(), t.facts...); err != nil {
		return nil, fmt.Errorf("season %s: %w", name, err)
	}
	var door *access.Door // none: it is served as an example is, without a list of phones
	if t.lan != nil {
		var err error
		make := household
		if t.fresh {
			make = unsettled
		}
		if door, err = make(t.now); err != nil {
			return nil, fmt.Errorf("season %s: %w", name, err)
		}
	}
	srv, err := web.New(context.Background(), web.Options{Book: book, Now: t.now, NewID: newIDs(), Example: t.example, Door: door, Lan: t.lan, Patience: cmp.Or(t.patience, time.Minute), Held: t.held, Keeper: t.keeper, Called: t.keeper, Sky: noSky, Shut: t.shut})
	if err != nil {
		return nil, err
	}
	for _, a := range t.acts {
		w := httptest.NewRecorder()
		if srv.ServeHTTP(w, a.Request(context.Background())); w.Code != http.StatusSeeOther {
			return nil, fmt.Errorf("season %s: %s answers %d", name, a.Path, w.Code)
		}
	}
	return srv, nil
}

// noSky is a weather service that does not answer: stories ask nobody.
func noSky(context.Context, string, bool, season.FetchPlace, units.Day) (weather.File, time.Time, error) {
	return weather.File{}, time.Time{}, fault.New(fault.Unreachable, "weather.example", "it does not answer")
}

// Find gives the story of a name.
func (b *Book) Find(name string) (Story, bool) {
	for _, s := range b.Stories {
		if s.Name() == name {
			return s, true
		}
	}
	return Story{}, false
}

// Answer gives what a story answers.
func (b *Book) Answer(s Story) (*httptest.ResponseRecorder, error) {
	srv, err := b.Server(s.Season)
	if err != nil {
		return nil, err
	}
	w := httptest.NewRecorder()
	srv.ServeHTTP(w, s.Request(context.Background()))
	return w, nil
}
