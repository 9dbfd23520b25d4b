package sqlite

import (
	"errors"

	"golang.org/x/sys/windows"
)

// isNoRoom tells whether the system had no room: the disk is full or the quota
// is used up.
func isNoRoom(err error) bool {
	return errors.Is(err, windows.ERROR_DISK_FULL) || errors.Is(err, windows.ERROR_HANDLE_DISK_FULL) ||
		errors.Is(err, windows.ERROR_DISK_QUOTA_EXCEEDED) || errors.Is(err, windows.ERROR_FILE_TOO_LARGE)
}
