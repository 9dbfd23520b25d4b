//go:build unix

package sqlite

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
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

// wideMigration writes more than the book has: every row grows.
const wideMigration = goodMigration + "UPDATE larder_fact SET place = hex(zeroblob(300));\n"

// childCramped opens the book with a migration to come, when no file may grow
// beyond what the environment says. It says how that went.
func childCramped(path string) error {
	signal.Ignore(syscall.SIGXFSZ)
	if s := os.Getenv(roomEnv); s != "" {
		room, err := strconv.ParseUint(s, 10, 64)
		if err != nil {
			return err
		}
		var limit unix.Rlimit
		if err := unix.Getrlimit(unix.RLIMIT_FSIZE, &limit); err != nil {
			return err
		}
		limit.Cur = room
		if err := unix.Setrlimit(unix.RLIMIT_FSIZE, &limit); err != nil {
			return err
		}
	}
	b, err := open(context.Background(), path, Options{}, future(wideMigration))
	if err != nil {
		fmt.Println(fault.KindOf(err), err)
		fmt.Println(fault.HintOf(err))
		return nil
	}
	fmt.Println("open")
	return b.Close()
}

const roomEnv = "LARDER_SQLITE_ROOM"

// TestFullWhileMigrating: when the disk is full while a book is brought to the new
// form, it is told, the book is of the old form with all its facts, no copy is
// left behind however often it is tried, and with room again it goes through.
func TestFullWhileMigrating(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "book.db")
	b, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Append(ctx, booktest.Many(60, 1)...); err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	want := season.Digest(factsOf(t, path))
	st, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	before := dirNames(t, path)
	copying, changing := 0, 0
	// From no room for the copy to room for the copy and some of the change.
	for i := range 12 {
		t.Setenv(roomEnv, strconv.FormatInt(st.Size()*int64(i+1)/8, 10))
		c := start(t, "cramped", path)
		said, hint := c.line(t), c.line(t)
		if err := c.cmd.Wait(); err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(said, fault.NoRoom.String()) || !strings.Contains(said, "to the new form; it is as it was") || hint == "" {
			t.Fatalf("room for %d eighths: %s (%s)", i+1, said, hint)
		}
		if strings.Contains(said, "book-before-v2.db") { // the thing that did not fit
			copying++
		} else {
			changing++
		}
		if season.Digest(factsOf(t, path)) != want { // the larder of today opens it
			t.Fatalf("room for %d eighths: facts differ", i+1)
		}
		if after := dirNames(t, path); !slices.Equal(after, before) {
			t.Fatalf("room for %d eighths: left lying about: %q", i+1, after)
		}
	}
	if copying == 0 || changing == 0 {
		t.Errorf("%d found no room for the copy, %d none for the change: both should have been met", copying, changing)
	}
	t.Setenv(roomEnv, "")
	if c := start(t, "cramped", path); c.line(t) != "open" {
		t.Error("with room again it does not open")
	} else if err := c.cmd.Wait(); err != nil {
		t.Error(err)
	}
	b, err = open(ctx, path, Options{}, future(wideMigration))
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if r, err := b.Verify(ctx); err != nil || r.Digest != want {
		t.Errorf("facts differ in the new form: %v", err)
	}
}

// dirNames lists what lies beside a book.
func dirNames(t *testing.T, path string) []string {
	t.Helper()
	list, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range list {
		names = append(names, f.Name())
	}
	return names
}
