package web

import (
	"net/http"
	"time"

	"larder/internal/season"
)

// The example season is looked at beside the keeper's own book, never in it: a
// second server over a book in memory answers until he goes back. Its clock
// stands in the example's own autumn and goes on from there.

// startExample begins it.
func (s *Server) startExample(w http.ResponseWriter, r *http.Request) {
	if s.exampleSeason == nil {
		http.NotFound(w, r)
		return
	}
	facts, day, err := s.exampleSeason()
	if err != nil {
		s.fail(w, r, err)
		return
	}
	book := &season.Memory{}
	if err := book.Append(r.Context(), facts...); err != nil {
		s.fail(w, r, err)
		return
	}
	o := s.options
	o.Book, o.Example, o.ExampleSeason, o.Backups, o.Export = book, true, nil, nil, nil
	since := o.Now()
	o.Now = func() time.Time { return day.Add(s.options.Now().Sub(since)) }
	t, err := New(r.Context(), o)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	t.beside = true
	s.trial.Store(t)
	s.done(w, r, "/", "")
}

// startOwn goes back to the keeper's own book; the example is forgotten.
func (s *Server) startOwn(w http.ResponseWriter, r *http.Request) {
	s.trial.Store(nil)
	s.done(w, r, "/", "")
}
