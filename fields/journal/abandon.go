package journal

import (
	"os"
	"sync"
)

// underWay is what of this program must not be cut in half when it is told to end:
// commits with their marks, files that get their names, and files not finished yet.
var underWay = struct {
	*sync.Cond                 // told when a step is over
	steps      int             // that run now
	ending     bool            // no step begins any more
	stored     bool            // a commit of this program is on the disk
	unnamed    map[string]bool // files that have no name yet
}{Cond: sync.NewCond(&sync.Mutex{}), unnamed: map[string]bool{}}

// Unbroken runs a step that Abandon waits for.
func Unbroken(step func() error) error {
	defer begin()()
	return step()
}

// begin begins such a step, and returns its end. Once the program is ending it never
// returns, but for a step inside another.
func begin() (end func()) {
	underWay.L.Lock()
	for underWay.ending && underWay.steps == 0 {
		underWay.Wait()
	}
	underWay.steps++
	underWay.L.Unlock()
	return func() {
		underWay.L.Lock()
		underWay.steps--
		underWay.L.Unlock()
		underWay.Broadcast()
	}
}

// newUnnamed makes a file that has no name yet and notes it, in one step: told to end in
// between, nobody would take it off the disk. remove does.
func newUnnamed(dir string) (f *os.File, remove func(), err error) {
	defer begin()()
	if f, err = os.CreateTemp(dir, tempName); err != nil {
		return nil, nil, err
	}
	path := f.Name()
	underWay.L.Lock()
	defer underWay.L.Unlock()
	underWay.unnamed[path] = true
	return f, func() {
		_ = os.Remove(path) // gone already if all went well
		underWay.L.Lock()
		defer underWay.L.Unlock()
		delete(underWay.unnamed, path)
	}, nil
}

// Abandon is for a program that is told to end: it waits for a commit that is under way,
// lets none begin after it, takes unfinished files off the disk and reports whether
// anything was stored. The program must exit then.
func Abandon() (stored bool) {
	underWay.L.Lock()
	defer underWay.L.Unlock()
	underWay.ending = true
	for underWay.steps > 0 {
		underWay.Wait()
	}
	for path := range underWay.unnamed {
		_ = os.Remove(path)
	}
	return underWay.stored
}
