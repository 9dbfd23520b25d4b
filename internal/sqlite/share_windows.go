package sqlite

import (
	"path/filepath"
	"strings"

	"golang.org/x/sys/windows"
)

// networkShare names the kind of share dir lies on, or "". Locks and syncs on
// shares cannot be relied on.
func networkShare(dir string) string {
	volume := filepath.VolumeName(toTheLetter(dir))
	if strings.HasPrefix(volume, `\\`) {
		return volume
	}
	root, err := windows.UTF16PtrFromString(volume + `\`)
	if err != nil {
		return ""
	}
	if windows.GetDriveType(root) == windows.DRIVE_REMOTE {
		return volume
	}
	return ""
}
