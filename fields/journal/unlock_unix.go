//go:build unix && !solaris && !aix

package journal

import (
	"os"
	"syscall"
)

// unlock gives up bbolt's lock on f. Closing is not enough after a panic: the
// memory map that is left behind would keep the lock until the program ends.
func unlock(f *os.File) { _ = syscall.Flock(int(f.Fd()), syscall.LOCK_UN) }
