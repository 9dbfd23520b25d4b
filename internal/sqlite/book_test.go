package sqlite

import (
	"path/filepath"
	"testing"

	"larder/internal/season"
	"larder/internal/season/booktest"
)

func fresh(t testing.TB) *Book {
	t.Helper()
	b, err := Open(filepath.Join(t.TempDir(), "book.db"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := b.Close(); err != nil {
			t.Error(err)
		}
	})
	return b
}

func TestBook(t *testing.T) {
	booktest.Run(t, func(t testing.TB) season.Book { return fresh(t) })
}
