//go:build unix

package main

import (
	"os"
	"runtime"
	"syscall"
)

// peak is the most memory a process held, bytes.
func peak(p *os.ProcessState) int64 {
	r, ok := p.SysUsage().(*syscall.Rusage)
	if !ok {
		return 0
	}
	if runtime.GOOS == "darwin" {
		return int64(r.Maxrss)
	}
	return int64(r.Maxrss) << 10
}
