//go:build unix

package sqlite

import (
	"context"
	"errors"
	"fmt"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"golang.org/x/sys/unix"

	"larder/internal/apiary"
	"larder/internal/fault"
	"larder/internal/season"
	"larder/internal/season/booktest"
	"larder/internal/units"
)

// childSmall has a limit on the length of files, as a quota would set it. It
// keeps facts until there is no room, looks that the book can still be read,
// lifts the limit and goes on. It says how many facts it was told are kept.
func childSmall(path string) error {
	signal.Ignore(syscall.SIGXFSZ)
	b, err := Open(path, Options{})
	if err != nil {
		return err
	}
	var was unix.Rlimit
	if err := unix.Getrlimit(unix.RLIMIT_FSIZE, &was); err != nil {
		return err
	}
	kept := 0
	put := func() error {
		var facts []season.Fact
		for i := range 20 {
			facts = append(facts, season.Fact{ID: booktest.ID(kept + i), Seen: units.OnDay(units.DayOf(2026, 9, 1)), Body: apiary.Look{Colony: "c", Note: strings.Repeat("x", 500)}})
		}
		err := b.Append(context.Background(), facts...)
		if err == nil {
			kept += len(facts)
		}
		return err
	}
	for round := range 3 {
		limit := was
		limit.Cur = uint64(400<<10 + round*300<<10)
		if err := unix.Setrlimit(unix.RLIMIT_FSIZE, &limit); err != nil {
			return err
		}
		for err = put(); err == nil; err = put() {
		}
		if !fault.Is(err, fault.NoRoom) || fault.HintOf(err) == "" {
			return fmt.Errorf("round %d: %w (%v), want no room, with a hint", round, err, fault.KindOf(err))
		}
		for range 3 { // it stays so, and harms nothing
			if err := put(); !fault.Is(err, fault.NoRoom) {
				return fmt.Errorf("round %d, again: %v", round, err)
			}
		}
		facts, err := b.Facts(context.Background(), units.Moment{})
		if err != nil || len(facts) != kept {
			return fmt.Errorf("round %d: %d facts can be read of %d: %w", round, len(facts), kept, err)
		}
		limit.Cur = 20 << 10
		if err := unix.Setrlimit(unix.RLIMIT_FSIZE, &limit); err != nil {
			return err
		}
		if err := b.Backup(context.Background(), path+".backup"); !fault.Is(err, fault.NoRoom) {
			return fmt.Errorf("round %d: backup: %v, want no room", round, err)
		}
		if err := unix.Setrlimit(unix.RLIMIT_FSIZE, &was); err != nil {
			return err
		}
		if err := put(); err != nil {
			return fmt.Errorf("round %d: with room again: %w", round, err)
		}
	}
	if _, err := b.Verify(context.Background()); err != nil {
		return err
	}
	if left, _ := filepath.Glob(path + ".backup*"); len(left) > 0 {
		return fmt.Errorf("left lying about: %q", left)
	}
	fmt.Println(kept)
	return errors.Join(b.Close())
}

// TestDiskFull: what does not fit is refused in words, what was kept stays, the
// book can be read, and goes on when there is room again, without being opened
// anew.
func TestDiskFull(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.db")
	c := start(t, "small", path)
	kept, err := strconv.Atoi(c.line(t))
	if err != nil {
		t.Fatal(err)
	}
	if err := c.cmd.Wait(); err != nil {
		t.Fatal(err)
	}
	b, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	facts, err := b.Facts(context.Background(), units.Moment{})
	if err != nil || len(facts) != kept || kept < 100 {
		t.Errorf("%d facts, %d were told as kept: %v", len(facts), kept, err)
	}
}
