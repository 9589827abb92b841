package journal

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"unsafe"
)

// A change is one system call of a program that changed what is on the disk, or said
// something.
type change struct {
	op       string // write, size, sync, name, sync names, say
	file     uint64 // inode, of write, size and sync
	at       int64
	data     []byte
	path     string            // of sync names: the folder; of say: the words
	set      map[string]uint64 // of name: names given, to which inodes
	del      []string          // of name: names taken away
	isFolder bool              // the name is that of a new folder
}

// witness runs the test binary in a role under ptrace and returns what it changed below
// a folder, in order. Reading /proc and the registers by PTRACE_GET_SYSCALL_INFO needs no
// other program.
func witness(t *testing.T, folder string, env ...string) []change {
	t.Helper()
	type result struct {
		calls []change
		err   error
	}
	done := make(chan result)
	go func() {
		runtime.LockOSThread() // one thread is the tracer, and ends with it
		calls, err := (&tracer{folder: folder, open: map[int]*change{}, begun: map[int]bool{}}).run(env)
		done <- result{calls, err}
	}()
	r := <-done
	if r.err != nil {
		t.Skip("no program can be traced here: ", r.err)
	}
	return r.calls
}

type tracer struct {
	folder string
	pid    int
	calls  []change
	open   map[int]*change // by thread: the call it is in, nil if of no interest
	begun  map[int]bool    // threads whose first stop was seen
}

const (
	ptraceSyscallInfo = 0x420e
	sysgood           = 0x80
)

func (x *tracer) run(env []string) ([]change, error) {
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	null, err := os.OpenFile(os.DevNull, os.O_RDWR, 0)
	if err != nil {
		return nil, err
	}
	defer null.Close()
	p, err := os.StartProcess(self, []string{self}, &os.ProcAttr{
		Env: append(os.Environ(), env...), Files: []*os.File{null, null, os.Stderr}, Sys: &syscall.SysProcAttr{Ptrace: true},
	})
	if err != nil {
		return nil, err
	}
	x.pid = p.Pid
	defer p.Release()
	var status syscall.WaitStatus
	if _, err = syscall.Wait4(x.pid, &status, 0, nil); err != nil {
		return nil, err
	}
	const options = syscall.PTRACE_O_TRACESYSGOOD | syscall.PTRACE_O_TRACECLONE | 0x100000 // and PTRACE_O_EXITKILL
	if err = syscall.PtraceSetOptions(x.pid, options); err != nil {
		return nil, err
	}
	x.begun[x.pid] = true
	if err = syscall.PtraceSyscall(x.pid, 0); err != nil {
		return nil, err
	}
	for {
		tid, err := syscall.Wait4(-1, &status, syscall.WALL, nil)
		switch {
		case err == syscall.EINTR:
			continue
		case err != nil:
			return nil, err
		case status.Exited() || status.Signaled():
			if tid != x.pid {
				continue
			}
			if status.ExitStatus() != 0 {
				return nil, fmt.Errorf("it ended with %v", status)
			}
			return x.calls, nil
		}
		pass := 0
		switch sig := status.StopSignal(); {
		case sig == syscall.SIGTRAP|sysgood:
			if err := x.stop(tid); err != nil {
				return nil, err
			}
		case sig == syscall.SIGTRAP:
		case sig == syscall.SIGSTOP && !x.begun[tid]:
		default:
			pass = int(sig)
		}
		x.begun[tid] = true
		_ = syscall.PtraceSyscall(tid, pass) // a thread may be gone
	}
}

// stop is at the beginning or the end of a call of one thread.
func (x *tracer) stop(tid int) error {
	var info [88]byte
	_, _, errno := syscall.RawSyscall6(syscall.SYS_PTRACE, ptraceSyscallInfo, uintptr(tid), uintptr(len(info)),
		uintptr(unsafe.Pointer(&info)), 0, 0)
	if errno == syscall.ESRCH {
		return nil
	}
	if errno != 0 {
		return errno
	}
	word := func(i int) uint64 { return binary.NativeEndian.Uint64(info[24+8*i:]) }
	switch info[0] {
	case 1:
		x.open[tid] = x.begins(word(0), func(i int) uint64 { return word(1 + i) })
	case 2:
		if c := x.open[tid]; c != nil && int64(word(0)) >= 0 {
			x.ends(c, int64(word(0)))
		}
		x.open[tid] = nil
	}
	return nil
}

// begins tells what a call is about to do; nil if that is nothing here.
func (x *tracer) begins(number uint64, arg func(int) uint64) *change {
	path := func(i int) string { return x.text(arg(i)) }
	switch number {
	case syscall.SYS_WRITE, syscall.SYS_PWRITE64:
		if number == syscall.SYS_WRITE && arg(0) == 1 {
			return &change{op: "say", path: string(x.memory(arg(1), int(arg(2))))}
		}
		at := int64(arg(3))
		if number == syscall.SYS_WRITE {
			at = x.offset(arg(0))
		}
		if c := x.onFile("write", arg(0)); c != nil {
			c.data, c.at = x.memory(arg(1), int(arg(2))), at
			return c
		}
	case syscall.SYS_FTRUNCATE:
		if c := x.onFile("size", arg(0)); c != nil {
			c.at = int64(arg(1))
			return c
		}
	case syscall.SYS_FSYNC, syscall.SYS_FDATASYNC:
		return x.onFile("sync", arg(0))
	case syscall.SYS_OPENAT:
		if name := path(1); arg(2)&syscall.O_CREAT != 0 && x.here(name) && !taken(name) {
			return &change{op: "name", path: name}
		}
	case syscall.SYS_MKDIRAT:
		if name := path(1); x.here(name) {
			return &change{op: "name", path: name, isFolder: true}
		}
	case syscall.SYS_RENAMEAT, 316 /* renameat2 */ :
		if from, to := path(1), path(3); x.here(to) {
			return &change{op: "name", set: map[string]uint64{to: inode(from)}, del: []string{from}}
		}
	case syscall.SYS_LINKAT:
		if from, to := path(1), path(3); x.here(to) {
			return &change{op: "name", set: map[string]uint64{to: inode(from)}}
		}
	case syscall.SYS_UNLINKAT:
		if name := path(1); x.here(name) {
			return &change{op: "name", del: []string{name}}
		}
	default:
		if slices.Contains(unmodelled, number) {
			return &change{op: "unknown", path: fmt.Sprint("system call ", number)}
		}
	}
	return nil
}

// unmodelled are calls that change a disk too and that nobody here is known to make.
var unmodelled = []uint64{
	syscall.SYS_RENAME, syscall.SYS_LINK, syscall.SYS_UNLINK, syscall.SYS_TRUNCATE, syscall.SYS_WRITEV, syscall.SYS_PWRITEV,
	syscall.SYS_SYNC, syscall.SYS_FALLOCATE, syscall.SYS_MSYNC, 326 /* copy_file_range */, 275 /* splice */, syscall.SYS_SENDFILE,
}

// ends writes down a call that was done; n is what it returned.
func (x *tracer) ends(c *change, n int64) {
	switch {
	case c.op == "write":
		c.data = c.data[:n]
	case c.op == "name" && c.path != "":
		c.set = map[string]uint64{c.path: inode(c.path)}
	}
	x.calls = append(x.calls, *c)
}

func (x *tracer) here(path string) bool { return strings.HasPrefix(path, x.folder+"/") }

func inode(path string) uint64 {
	info, err := os.Lstat(path)
	if err != nil {
		return 0
	}
	return info.Sys().(*syscall.Stat_t).Ino
}

// onFile is a change of an open file or folder of ours.
func (x *tracer) onFile(op string, fd uint64) *change {
	link := fmt.Sprintf("/proc/%d/fd/%d", x.pid, fd)
	name, err := os.Readlink(link)
	if err != nil || name != x.folder && !x.here(name) {
		return nil
	}
	info, err := os.Stat(link)
	if err != nil {
		return nil
	}
	if info.IsDir() {
		return &change{op: "sync names", path: name}
	}
	return &change{op: op, file: info.Sys().(*syscall.Stat_t).Ino}
}

// offset is where an open file is written next.
func (x *tracer) offset(fd uint64) int64 {
	text, _ := os.ReadFile(fmt.Sprintf("/proc/%d/fdinfo/%d", x.pid, fd))
	var at int64
	_, _ = fmt.Sscanf(string(text), "pos:\t%d", &at)
	return at
}

func (x *tracer) memory(at uint64, n int) []byte {
	f, err := os.Open(fmt.Sprintf("/proc/%d/mem", x.pid))
	if err != nil {
		return nil
	}
	defer f.Close()
	b := make([]byte, n)
	m, _ := f.ReadAt(b, int64(at))
	return b[:m]
}

func (x *tracer) text(at uint64) string {
	b := x.memory(at, 4096-int(at%4096))
	if end := bytes.IndexByte(b, 0); end >= 0 {
		return filepath.Clean(string(b[:end]))
	}
	b = append(b, x.memory(at+uint64(len(b)), 4096)...)
	b, _, _ = bytes.Cut(b, []byte{0})
	return filepath.Clean(string(b))
}
