//go:build unix

package sqlite

import (
	"errors"

	"golang.org/x/sys/unix"
)

// isNoRoom tells whether the system had no room: the disk is full, the quota is
// used up, or the file may not grow further.
func isNoRoom(err error) bool {
	return errors.Is(err, unix.ENOSPC) || errors.Is(err, unix.EDQUOT) || errors.Is(err, unix.EFBIG)
}
