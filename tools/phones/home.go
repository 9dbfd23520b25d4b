package main

import (
	"context"
	"crypto/rand"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"time"

	"github.com/google/uuid"

	"larder/internal/access"
	"larder/internal/season"
	"larder/internal/web"
)

// fromHead says from which address of the house a request is to come: all of them
// come over loopback, where nothing would be asked.
const fromHead = "Larder-From"

const password = "seven frames of brood"

// server serves a book as larder serve --lan does: with a door, its hashes, its
// limits and its list of phones.
type server struct {
	url    string
	tokens []string // of its phones
	close  func()
}

// serve gives one with so many paired phones.
func serve(ctx context.Context, book season.Book, store access.Store, phones int) (*server, error) {
	// Pairing is slow on purpose; the clock of the door is not, till all are paired.
	ahead := time.Duration(0)
	began := time.Now()
	door, err := access.Open(store, func() time.Time {
		if ahead == 0 {
			return time.Now()
		}
		return began.Add(ahead - 30*24*time.Hour/2)
	}, rand.Reader)
	if err != nil {
		return nil, err
	}
	if _, err := door.SetPassword(password, access.Console()); err != nil {
		return nil, err
	}
	home := &server{}
	for p := range phones {
		ahead = time.Duration(p+1) * time.Hour
		code, _, err := door.Offer(access.Hands{}, access.Console())
		if err != nil {
			return nil, err
		}
		token, _, err := door.Pair(code, fmt.Sprint("Phone ", p), "192.168.1.20")
		if err != nil {
			return nil, err
		}
		home.tokens = append(home.tokens, token)
	}
	ahead = 0
	s, err := web.New(ctx, web.Options{Book: book, Now: time.Now, NewID: func() season.ID { return season.ID(uuid.Must(uuid.NewV7())) }, Door: door,
		Lan: &web.Lan{How: "plain", Home: netip.Addr.IsPrivate, Addresses: func() []string { return nil }}})
	if err != nil {
		return nil, err
	}
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	srv := s.HTTP()
	srv.Handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if at := r.Header.Get(fromHead); at != "" {
			r.RemoteAddr = at + ":40000"
			r.Header.Del(fromHead)
		}
		s.ServeHTTP(w, r)
	})
	go func() { _ = srv.Serve(web.Limit(ln)) }() // until it is closed
	home.url, home.close = "http://"+ln.Addr().String(), func() { _ = srv.Close() }
	return home, nil
}
