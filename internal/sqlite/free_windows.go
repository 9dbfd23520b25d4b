package sqlite

import "golang.org/x/sys/windows"

// Free gives how many bytes this user may still write in a folder; false where
// the system does not say.
func Free(dir string) (int64, bool) {
	name, err := windows.UTF16PtrFromString(dir)
	if err != nil {
		return 0, false
	}
	var free uint64
	if windows.GetDiskFreeSpaceEx(name, &free, nil, nil) != nil {
		return 0, false
	}
	return int64(free), true
}
