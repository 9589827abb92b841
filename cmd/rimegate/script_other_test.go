//go:build !unix

package main

import "github.com/rogpeppe/go-internal/testscript"

func lock(ts *testscript.TestScript, _ bool, _ []string) {
	ts.Fatalf("no script can hold a lock on this system")
}
