package sqlite

import "golang.org/x/sys/unix"

// networkShare names the kind of share dir lies on, or "". Locks and syncs on
// shares cannot be relied on. Numbers: Linux, include/uapi/linux/magic.h.
func networkShare(dir string) string {
	var st unix.Statfs_t
	if unix.Statfs(dir, &st) != nil {
		return ""
	}
	switch uint32(st.Type) {
	case unix.NFS_SUPER_MAGIC:
		return "NFS"
	case unix.SMB_SUPER_MAGIC, unix.CIFS_SUPER_MAGIC, unix.SMB2_SUPER_MAGIC:
		return "SMB"
	case unix.AFS_SUPER_MAGIC, unix.AFS_FS_MAGIC:
		return "AFS"
	case unix.CODA_SUPER_MAGIC:
		return "Coda"
	}
	return ""
}
