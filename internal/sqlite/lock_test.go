package sqlite

import (
	"context"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"larder/internal/fault"
	"larder/internal/season/booktest"
)

// TestTwoPrograms: the second that opens a book is told so at once, and by whom.
func TestTwoPrograms(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.db")
	holder := start(t, "hold", path)
	if s := holder.line(t); s != "open" {
		t.Fatal(s)
	}
	// Of a few tries the quickest counts: the others' length is the machine's.
	least, err := time.Hour, error(nil)
	for range 5 {
		begun := time.Now()
		_, err = Open(path, Options{})
		least = min(least, time.Since(begun))
	}
	if least > time.Second {
		t.Errorf("it took %v to say so", least)
	}
	if !fault.Is(err, fault.Busy) || fault.HintOf(err) == "" {
		t.Fatalf("%v, want busy with a hint", err)
	}
	if want := strconv.Itoa(holder.cmd.Process.Pid); !strings.Contains(err.Error(), want) {
		t.Errorf("%q does not name process %s", err, want)
	}
	quickest := 1 << 30
	for range 3 {
		second := start(t, "open", path)
		ms, err := strconv.Atoi(second.line(t))
		if err != nil {
			t.Error(err)
		}
		quickest = min(quickest, ms)
		if s := second.line(t); !strings.Contains(s, "open in another larder") {
			t.Errorf("another process was told %q", s)
		}
	}
	if quickest > 1000 {
		t.Errorf("another process was told after %d ms", quickest)
	}
	// It was no harm to the first, which closes in order.
	holder.in.Close()
	if err := holder.cmd.Wait(); err != nil {
		t.Error(err)
	}
	b, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if _, err := Open(path, Options{}); !fault.Is(err, fault.Busy) {
		t.Errorf("the same program opens it twice: %v", err)
	}
}

// TestStaleLock: a program that was killed leaves nothing in the way.
func TestStaleLock(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.db")
	for range 3 {
		holder := start(t, "hold", path)
		if s := holder.line(t); s != "open" {
			t.Fatal(s)
		}
		holder.kill()
		b, err := Open(path, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if err := b.Append(context.Background(), booktest.Samples()...); err != nil {
			t.Fatal(err)
		}
		if err := b.Close(); err != nil {
			t.Fatal(err)
		}
	}
}
