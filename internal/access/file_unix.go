//go:build unix

package access

import (
	"io/fs"
	"os"
	"syscall"

	"golang.org/x/sys/unix"
)

// lockFile takes an exclusive flock, or gives errLocked at once.
func lockFile(f *os.File) error {
	for {
		err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
		switch err {
		case unix.EINTR:
			continue
		case unix.EWOULDBLOCK:
			return errLocked
		}
		return err
	}
}

// syncDir makes a new name in dir last through a power cut.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	return d.Sync()
}

// fileID tells a file from the one that had its name before.
func fileID(info fs.FileInfo) uint64 {
	if st, ok := info.Sys().(*syscall.Stat_t); ok {
		return uint64(st.Ino)
	}
	return 0
}
