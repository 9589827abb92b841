//go:build !unix || solaris || aix

package journal

import (
	"os"
	"time"
)

// lock leaves it to bbolt.
func lock(*os.File, bool, time.Duration) error { return nil }

// unlock has nothing to do here: the lock ends with the handle.
func unlock(*os.File) {}

// lineUp leaves it to chance.
func lineUp(*os.File) {}
