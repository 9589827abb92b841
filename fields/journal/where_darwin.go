package journal

import "syscall"

// servedDisk reports whether the folder lies on a file system that is not this
// computer's own.
func servedDisk(dir string) bool {
	var s syscall.Statfs_t
	const local = 0x1000 // MNT_LOCAL in sys/mount.h
	return syscall.Statfs(dir, &s) == nil && s.Flags&local == 0
}
