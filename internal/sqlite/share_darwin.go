package sqlite

import "golang.org/x/sys/unix"

// networkShare names the kind of share dir lies on, or "". Locks and syncs on
// shares cannot be relied on.
func networkShare(dir string) string {
	var st unix.Statfs_t
	if unix.Statfs(dir, &st) != nil {
		return ""
	}
	switch name := unix.ByteSliceToString(st.Fstypename[:]); name {
	case "nfs", "smbfs", "afpfs", "webdav":
		return name
	}
	return ""
}
