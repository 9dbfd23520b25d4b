package web

import (
	"context"
	"io"
	"log/slog"
	"net/http"
	"strings"
	"sync/atomic"
	"time"

	"larder/internal/access"
	"larder/internal/season"
)

// Options are what a server is made of. Book, Now and NewID must be given.
type Options struct {
	Book    season.Book
	Now     func() time.Time
	NewID   func() season.ID
	Example bool     // the season is the invented one: every page says so
	Hosts   []string // names and addresses this server answers to, without port; loopback is always in
	Log     *slog.Logger
	Version string
	// Proxied are names this server answers to as well, but only a proxy on this
	// computer is asked by: who comes by one logs in, whoever he is.
	Proxied []string

	// Door knows who may come in from other devices; nil = nobody, and only this
	// computer is answered.
	Door *access.Door
	// NoDesk: nobody is let in for sitting at this computer; all sign in.
	NoDesk bool
	// Keeper tells the books of several keepers apart: it stands in the tokens of
	// this one's phones and logins. Called is the name he signs in with.
	Keeper, Called string
	// Lan is how other devices reach this server; nil = they do not.
	Lan *Lan

	// ExampleSeason gives the facts of the example season and the moment it is
	// looked at; nil = it cannot be tried from here.
	ExampleSeason func() (facts []season.Fact, now time.Time, err error)
	// Backups is where the book is backed up to; nil = there is no such place from
	// here.
	Backups Backups
	// Export writes all facts as a folder in a "zip" or as "xlsx"; nil = not from
	// here.
	Export func(ctx context.Context, w io.Writer, form string) error
	// Sky asks the weather service of the keeper's choice; nil = not from here.
	Sky Sky
	// Patience is how long a reader waits for a page before he is shown how far
	// the work is; 0 = the usual.
	Patience time.Duration
	// Shut is why the keeper's book is not open; nil = it is. Book is then an empty
	// one, and nothing of it is shown.
	Shut error
	// Held, when not nil, is called before a plan is worked out: the storybook and
	// the tests hold the work there, to look at it.
	Held func(look season.Watch)
}

// Server serves the screens of one book.
type Server struct {
	house   *house
	screens *screens
	example bool
	hosts   map[string]bool // names we go by, in small letters
	proxied map[string]bool // those of them that lead here by a proxy only
	log     *slog.Logger
	shelf   shelf
	epoch   string // of this run, told to phones
	prints  prints
	handler http.Handler
	shown   func(screen string, page any) // tests look at what is shown; nil otherwise

	options       Options
	exampleSeason func() ([]season.Fact, time.Time, error)
	trial         atomic.Pointer[Server] // the example, while it is looked at
	beside        bool                   // this is such a trial: one can leave it
	many          *Many                  // whose lobby this is: it has no book of its own
	patience      time.Duration
}

// New reads the book and makes its server.
func New(ctx context.Context, o Options) (*Server, error) {
	h, err := openHouse(ctx, o.Book, o.Now, o.NewID)
	if err != nil {
		return nil, err
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	s := &Server{house: h, screens: loadScreens(), example: o.Example, log: o.Log, options: o, exampleSeason: o.ExampleSeason,
		hosts: map[string]bool{"localhost": true, "127.0.0.1": true, "::1": true}}
	for _, name := range o.Hosts {
		s.hosts[strings.ToLower(name)] = true
	}
	s.proxied = map[string]bool{}
	for _, name := range o.Proxied {
		s.hosts[strings.ToLower(name)], s.proxied[strings.ToLower(name)] = true, true
	}
	if s.patience = o.Patience; s.patience == 0 {
		s.patience = usualPatience
	}
	h.kept = s.noteSettings
	s.epoch = o.NewID().String()
	if o.Shut != nil {
		s.handler = s.guard(s.shutRoutes())
	} else {
		s.handler = s.guard(s.admit(s.routes()))
	}
	return s, nil
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if t := s.trial.Load(); t != nil && r.URL.Path != "/start/own" {
		t.ServeHTTP(w, r)
		return
	}
	s.handler.ServeHTTP(w, r)
}

// GCPercent is how much garbage a program that serves lets gather, in percent of
// what is in use. Half of what is usual costs next to no time here, and a quarter
// less memory on the small computer in the shed.
const GCPercent = 50

// HTTP gives an http.Server with the limits every listener of ours has.
func (s *Server) HTTP() *http.Server {
	return &http.Server{
		Handler: s, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second,
		WriteTimeout: 60 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 16 << 10,
		ErrorLog: slog.NewLogLogger(s.log.Handler(), slog.LevelWarn),
	}
}
