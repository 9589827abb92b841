//go:build !windows

package main

import "os"

// escapes reports whether a terminal takes escapes for what they are.
func escapes(*os.File) bool { return os.Getenv("TERM") != "dumb" }
