package sqlite

import (
	"errors"
	"os"
	"strconv"
	"strings"

	"larder/internal/fault"
)

// lock is the mark that this program has the book open. It is a lock the system
// holds for us, not a file that is there or not: when the program dies by
// whatever death, the lock is gone with it.
type lock struct{ f *os.File }

var errLocked = errors.New("locked by another")

// takeLock takes the lock of the book at path, or says who has it.
func takeLock(path string) (*lock, error) {
	name := path + ".lock"
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, diskFault(err, path, "its lock file cannot be made")
	}
	if err := lockFile(f); err != nil {
		who := holder(f)
		f.Close()
		if errors.Is(err, errLocked) {
			return nil, fault.Newf(fault.Busy, path, "this book is open in another larder%s", who).
				WithHint("close that one first, or work in it")
		}
		return nil, diskFault(err, path, "this place cannot lock a file").(*fault.Error).
			WithHint("keep the book on a disk of this computer, not on a share")
	}
	// Who has it is only for the sentence above; that it cannot be noted is no harm.
	if f.Truncate(0) == nil {
		_, _ = f.WriteAt([]byte(strconv.Itoa(os.Getpid())+"\n"), 0)
	}
	return &lock{f}, nil
}

// holder reads who has the lock, as far as it can be told.
func holder(f *os.File) string {
	b := make([]byte, 20)
	n, _ := f.ReadAt(b, 0)
	pid, err := strconv.Atoi(strings.TrimSpace(string(b[:n])))
	if err != nil || pid <= 0 {
		return ""
	}
	return " (process " + strconv.Itoa(pid) + ")"
}

// free gives the lock back. The file stays: to remove it would let two others
// each lock a file of this name.
func (l *lock) free() error { return l.f.Close() }
