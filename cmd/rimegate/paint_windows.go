package main

import (
	"os"

	"golang.org/x/sys/windows"
)

// escapes asks a console to take escapes for what they are and reports whether it
// does: older ones print them.
func escapes(f *os.File) bool {
	h := windows.Handle(f.Fd())
	var mode uint32
	if windows.GetConsoleMode(h, &mode) != nil {
		return false
	}
	return windows.SetConsoleMode(h, mode|windows.ENABLE_VIRTUAL_TERMINAL_PROCESSING) == nil
}
