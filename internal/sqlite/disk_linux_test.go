package sqlite

import (
	"context"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"golang.org/x/sys/unix"

	"larder/internal/fault"
	"larder/internal/season/booktest"
	"larder/internal/units"
)

// spoil puts the device in the place of the file under every descriptor this
// process has of it, and gives a way to put the file back. That is how a disk
// fails below a program that has its files open.
func spoil(t *testing.T, file, device string) (mend func()) {
	t.Helper()
	links, err := os.ReadDir("/proc/self/fd")
	if err != nil {
		t.Fatal(err)
	}
	dev, err := unix.Open(device, unix.O_RDWR|unix.O_CLOEXEC, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer unix.Close(dev)
	kept := map[int]int{}
	for _, l := range links {
		fd, err := strconv.Atoi(l.Name())
		if err != nil {
			continue
		}
		if name, err := os.Readlink("/proc/self/fd/" + l.Name()); err != nil || name != file {
			continue
		}
		if kept[fd], err = unix.FcntlInt(uintptr(fd), unix.F_DUPFD_CLOEXEC, 0); err != nil {
			t.Fatal(err)
		}
		if err := unix.Dup3(dev, fd, unix.O_CLOEXEC); err != nil {
			t.Fatal(err)
		}
	}
	if len(kept) == 0 {
		t.Fatalf("%s is not open", file)
	}
	return func() {
		for fd, was := range kept {
			if err := unix.Dup3(was, fd, unix.O_CLOEXEC); err != nil {
				t.Error(err)
			}
			unix.Close(was)
		}
	}
}

// TestDiskFails: under the log, /dev/full has no room, /dev/null takes all and
// cannot sync, and a directory takes nothing.
func TestDiskFails(t *testing.T) {
	for _, c := range []struct {
		device string
		kind   fault.Kind
		goesOn bool
	}{
		{"/dev/full", fault.NoRoom, true},
		{"/dev/null", fault.Damaged, false}, // the sync fails
		{"/dev/ptmx", fault.Damaged, false}, // the write fails
	} {
		t.Run(filepath.Base(c.device), func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "book.db")
			b, err := Open(path, Options{})
			if err != nil {
				t.Fatal(err)
			}
			defer b.Close()
			ctx, s := context.Background(), booktest.Samples()
			if err := b.Append(ctx, s[:10]...); err != nil {
				t.Fatal(err)
			}
			mend := spoil(t, path+"-wal", c.device)
			err = b.Append(ctx, s[10:20]...)
			mend()
			if !fault.Is(err, c.kind) || fault.HintOf(err) == "" {
				t.Fatalf("%v (%v), want %v with a hint", err, fault.KindOf(err), c.kind)
			}
			after := b.Append(ctx, s[20:]...)
			if c.goesOn && after != nil {
				t.Errorf("with room again: %v", after)
			}
			if !c.goesOn && (!fault.Is(after, fault.Damaged) || fault.HintOf(after) == "") {
				t.Errorf("after the disk failed it still writes: %v", after)
			}
			want := s[:10]
			if c.goesOn {
				want = append(s[:10:10], s[20:]...)
			}
			facts, err := b.Facts(ctx, units.Moment{})
			if err != nil || len(facts) != len(want) {
				t.Errorf("%d facts can be read of %d: %v", len(facts), len(want), err)
			}
			if err := b.Close(); err != nil && c.goesOn {
				t.Error(err)
			}
			// Opened again it takes facts, and the same ones once more.
			b, err = Open(path, Options{})
			if err != nil {
				t.Fatal(err)
			}
			defer b.Close()
			if err := b.Append(ctx, s...); err != nil {
				t.Fatal(err)
			}
			r, err := b.Verify(ctx)
			if err != nil || r.Facts != len(s) {
				t.Errorf("%d facts, want %d: %v", r.Facts, len(s), err)
			}
		})
	}
}
