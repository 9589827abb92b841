//go:build unix && !solaris && !aix

package journal

import (
	"errors"
	"math/rand/v2"
	"os"
	"syscall"
	"time"

	bolterrors "go.etcd.io/bbolt/errors"
)

// lock takes bbolt's lock on f, which bbolt then has at once. bbolt itself asks for it every
// 50 ms: among several programs that read, a writer would seldom meet a gap. It is asked
// for at random moments, so that nobody is always late.
func lock(f *os.File, exclusive bool, timeout time.Duration) error {
	how := syscall.LOCK_SH
	if exclusive {
		how = syscall.LOCK_EX
	}
	for {
		err := syscall.Flock(int(f.Fd()), how|syscall.LOCK_NB)
		switch {
		case !errors.Is(err, syscall.EWOULDBLOCK):
			return err
		case timeout <= 0:
			return bolterrors.ErrTimeout
		}
		nap := time.Duration(1+rand.IntN(8)) * time.Millisecond
		time.Sleep(nap)
		timeout -= nap
	}
}

// unlock gives up bbolt's lock on f. Closing is not enough after a panic: the
// memory map that is left behind would keep the lock until the program ends.
func unlock(f *os.File) { _ = syscall.Flock(int(f.Fd()), syscall.LOCK_UN) }

// lineUp takes a lock of its own on a folder; the system keeps the line of those who wait.
func lineUp(f *os.File) { _ = syscall.Flock(int(f.Fd()), syscall.LOCK_EX) }
