//go:build unix

package main

import (
	"os"
	"syscall"

	"github.com/rogpeppe/go-internal/testscript"
)

// lock FILE holds a journal's lock until the script ends, as another program
// that is writing does.
func lock(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: lock file")
	}
	f, err := os.OpenFile(ts.MkAbs(args[0]), os.O_RDWR, 0)
	ts.Check(err)
	ts.Defer(func() { f.Close() })
	ts.Check(syscall.Flock(int(f.Fd()), syscall.LOCK_EX))
}
