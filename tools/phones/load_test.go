package main

import (
	"net/http/httptest"
	"testing"
	"time"

	"github.com/google/uuid"

	"larder/internal/access"
	"larder/internal/season"
	"larder/internal/web"
)

// Twenty phones at once, with lost answers: nothing is lost, refused or kept
// twice. How quick it is, the program says; here no clock is asked.
func TestNothingIsLostFromTwentyPhones(t *testing.T) {
	book := &season.Memory{}
	l := Load{Phones: 20, Rate: 25, Seed: 7}
	if err := book.Append(t.Context(), Hives(l.Phones)...); err != nil {
		t.Fatal(err)
	}
	s, err := web.New(t.Context(), web.Options{Book: book, Now: time.Now, NewID: func() season.ID { return season.ID(uuid.Must(uuid.NewV7())) }})
	if err != nil {
		t.Fatal(err)
	}
	srv := httptest.NewServer(s)
	defer srv.Close()
	r, err := l.Drive(t.Context(), srv.URL, book)
	if err != nil {
		t.Fatal(err)
	}
	t.Log(r)
	if !r.Good() || r.Sent != 500 || r.Again == 0 {
		t.Errorf("%v", r)
	}
}

// Thirty paired phones come home together, each with more than one sending holds.
func TestPhonesComeHomeTogether(t *testing.T) {
	book := &season.Memory{}
	l := Load{Phones: 30, Rate: 45, Batch: 20, Seed: 3}
	if err := book.Append(t.Context(), Hives(l.Phones)...); err != nil {
		t.Fatal(err)
	}
	s, err := serve(t.Context(), book, &access.Memory{}, l.Phones)
	if err != nil {
		t.Fatal(err)
	}
	defer s.close()
	l.Tokens = s.tokens
	r, err := l.Drive(t.Context(), s.url, book)
	if err != nil {
		t.Fatal(err)
	}
	t.Log(r)
	if !r.Good() || r.Sent != 30*45 || r.Again == 0 {
		t.Errorf("%v", r)
	}
	// Without their tokens nothing of it is taken.
	l.Tokens = make([]string, l.Phones)
	if r, err := l.Drive(t.Context(), s.url, &season.Memory{}); err != nil || r.Errors == 0 || r.Sent == 0 {
		t.Errorf("unpaired: %v %v", r, err)
	}
}

// Guesses and connections held open keep nobody from a page, and no guess is let
// in. How quick the page is, the program says; here no clock is asked.
func TestPagesComeWhileOthersAreHostile(t *testing.T) {
	book := &season.Memory{}
	if err := book.Append(t.Context(), Hives(2)...); err != nil {
		t.Fatal(err)
	}
	s, err := serve(t.Context(), book, &access.Memory{}, 2)
	if err != nil {
		t.Fatal(err)
	}
	defer s.close()
	b := Hostile{Logins: 20, Slow: 300, Mute: 20, Long: 2, For: 4 * time.Second, Seed: 1, Reader: "/yards"}.Bear(t.Context(), s.url)
	t.Log(b)
	if b.Failed > 0 || len(b.Took) == 0 || b.In > 0 || b.Guesses == 0 || b.Opened < 300 || b.Shut == 0 {
		t.Errorf("%v", b)
	}
}
