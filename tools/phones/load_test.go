package main

import (
	"net/http/httptest"
	"testing"
	"time"

	"github.com/google/uuid"

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
