package journal

import (
	"path/filepath"
	"strings"
	"syscall"
	"unsafe"
)

var driveType = syscall.NewLazyDLL("kernel32.dll").NewProc("GetDriveTypeW")

// servedDisk reports whether the folder lies on another computer's share, or on a
// letter that stands for one.
func servedDisk(dir string) bool {
	volume := filepath.VolumeName(dir)
	if strings.HasPrefix(volume, `\\`) {
		return !strings.HasPrefix(volume, `\\?\`) && !strings.HasPrefix(volume, `\\.\`)
	}
	root, err := syscall.UTF16PtrFromString(volume + `\`)
	if err != nil || volume == "" {
		return false
	}
	const remote = 4 // DRIVE_REMOTE
	kind, _, _ := driveType.Call(uintptr(unsafe.Pointer(root)))
	return kind == remote
}
