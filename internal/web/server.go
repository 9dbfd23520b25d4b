package web

import (
	"context"
	"log/slog"
	"net/http"
	"time"

	"larder/internal/season"
)

// Options are what a server is made of. All but Log must be given.
type Options struct {
	Book    season.Book
	Now     func() time.Time
	NewID   func() season.ID
	Example bool     // the season is the invented one: every page says so
	Hosts   []string // names and addresses this server answers to, without port; loopback is always in
	Log     *slog.Logger
}

// Server serves the screens of one book.
type Server struct {
	house   *house
	screens *screens
	example bool
	hosts   map[string]bool
	log     *slog.Logger
	shelf   shelf
	handler http.Handler
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
	s := &Server{house: h, screens: loadScreens(), example: o.Example, log: o.Log,
		hosts: map[string]bool{"localhost": true, "127.0.0.1": true, "::1": true}}
	for _, name := range o.Hosts {
		s.hosts[name] = true
	}
	s.handler = s.guard(s.routes())
	return s, nil
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// HTTP gives an http.Server with the limits every listener of ours has.
func (s *Server) HTTP() *http.Server {
	return &http.Server{
		Handler: s, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second,
		WriteTimeout: 60 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 16 << 10,
		ErrorLog: slog.NewLogLogger(s.log.Handler(), slog.LevelWarn),
	}
}
