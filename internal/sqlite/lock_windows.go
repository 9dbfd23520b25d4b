package sqlite

import (
	"os"

	"golang.org/x/sys/windows"
)

// lockFile takes an exclusive lock on one byte far beyond the text in the file,
// so that another program can still read who holds it.
func lockFile(f *os.File) error {
	at := &windows.Overlapped{OffsetHigh: 1}
	err := windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, at)
	if err == windows.ERROR_LOCK_VIOLATION || err == windows.ERROR_IO_PENDING {
		return errLocked
	}
	return err
}

// syncDir does nothing: Windows has no such call, and NTFS journals its names.
func syncDir(string) error { return nil }
