//go:build unix

package tui

import "syscall"

// ownTerminal makes the process's first file its controlling terminal.
func ownTerminal() *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Setsid: true, Setctty: true}
}
