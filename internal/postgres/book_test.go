//go:build unix

package postgres

import (
	"context"
	"testing"
	"time"

	"larder/internal/fault"
	"larder/internal/postgres/pgtest"
	"larder/internal/season"
	"larder/internal/season/booktest"
)

func TestMain(m *testing.M) { pgtest.Main(m) }

// at opens the book at an address, patient enough for a busy machine.
func at(t testing.TB, url string) *Book {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	b, err := open(ctx, url, migrations())
	if err != nil {
		t.Fatalf("%v (%s): %v", err, fault.HintOf(err), err.(*fault.Error).Err)
	}
	t.Cleanup(func() {
		if err := b.Close(); err != nil {
			t.Error(err)
		}
	})
	return b
}

func TestBook(t *testing.T) {
	booktest.Run(t, func(t testing.TB) season.Book { return at(t, pgtest.URL(t)) })
}
