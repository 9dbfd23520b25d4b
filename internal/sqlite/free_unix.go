//go:build linux || darwin

package sqlite

import "golang.org/x/sys/unix"

// Free gives how many bytes this user may still write in a folder; false where
// the system does not say.
func Free(dir string) (int64, bool) {
	var st unix.Statfs_t
	if unix.Statfs(dir, &st) != nil {
		return 0, false
	}
	return int64(st.Bavail) * int64(st.Bsize), true
}
