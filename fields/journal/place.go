package journal

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"time"

	"go.etcd.io/bbolt"

	"rimegate/fields/lazy"
)

// place gives the finished file tmp its name without ever replacing another
// file, and makes the name durable. A hard link fails if the name is taken,
// which a rename does not; where the disk knows no links (FAT) the name is
// looked at just before the rename.
func place(tmp, path string) error {
	err := os.Link(tmp, path)
	switch {
	case err == nil:
		_ = os.Remove(tmp)
	case errors.Is(err, fs.ErrExist), taken(path):
		return exists(path)
	default:
		if err := renameOver(tmp, path); err != nil {
			return err
		}
	}
	return syncFolder(filepath.Dir(path))
}

// syncFolder makes the folder's list of names durable. Windows has no such
// call and needs none.
func syncFolder(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// makeFolder makes a folder, for its owner alone, and those above it that are not there,
// and makes their names durable: a journal in a folder that a power cut takes is gone.
func makeFolder(dir string) error {
	if taken(dir) {
		return nil
	}
	above := filepath.Dir(dir)
	if err := makeFolder(above); err != nil {
		return err
	}
	if err := os.Mkdir(dir, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return syncFolder(above)
}

// renameOver gives tmp a name that another file may have. On Windows that fails while
// anything, be it a virus scanner, has one of the two open: it is tried for a while.
func renameOver(tmp, path string) error {
	return patiently(func() error { return os.Rename(tmp, path) }, runtime.GOOS == "windows", renamePatience)
}

const renamePatience = time.Second

// patiently does what another program may be in the way of, until it succeeds, fails
// for another reason or the patience is over.
func patiently(do func() error, inTheWay bool, patience time.Duration) error {
	const sharing, denied = syscall.Errno(32), syscall.Errno(5) // ERROR_SHARING_VIOLATION, ERROR_ACCESS_DENIED
	err := do()
	for wait := time.Millisecond; inTheWay && wait < patience && (errors.Is(err, sharing) || errors.Is(err, denied)); wait *= 2 {
		time.Sleep(wait)
		err = do()
	}
	return err
}

// taken reports whether anything has that name.
func taken(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// Rename gives a journal another name, with its mark.
func Rename(from, to string) error {
	mark, moved := MarkPath(from), MarkPath(to)
	if err := os.Rename(from, to); err != nil || !taken(mark) {
		return err
	}
	return os.Rename(mark, moved)
}

// beside fills a new file in the folder of path, readable by its owner alone
// (who was where with which stock is nobody else's business), brings it to the
// disk and has put give it its name: half a file would pass for a whole one.
func beside(path string, fill func(*os.File) error, put func(tmp string) error) error {
	Sweep(filepath.Dir(path))
	f, remove, err := newUnnamed(filepath.Dir(path))
	if err != nil {
		return err
	}
	defer remove()
	if err := errors.Join(fill(f), f.Sync(), f.Close()); err != nil {
		return err
	}
	return Unbroken(func() error { return put(f.Name()) })
}

// NewFile writes a file that must not exist yet, readable by its owner alone. It
// gets its name when it is whole and on the disk. An existing file, link or pipe
// of that name is never touched; the error then matches ErrExists.
func NewFile(path string, write func(io.Writer) error) error {
	if taken(path) {
		return exists(path)
	}
	err := beside(path, func(f *os.File) error { return write(f) }, func(tmp string) error { return place(tmp, path) })
	if cause := Cause(err); cause != err {
		return fmt.Errorf("%s could not be written (%w); check the folder and your rights to it", shown(path), cause)
	}
	return err
}

// ReplaceFile writes a file, readable by its owner alone, that takes the place of
// the one at path in one step, when it is whole and on the disk.
func ReplaceFile(path string, text []byte) error {
	err := beside(path, func(f *os.File) error { _, err := f.Write(text); return err }, func(tmp string) error { return renameOver(tmp, path) })
	return Cause(err)
}

// placeMarked places a finished journal with its mark. A mark that an earlier
// journal of that name left behind would call the new one damaged; a file that
// was never a mark is left alone, and so is the name.
func placeMarked(tmp, path string) error {
	name, aside := MarkPath(path), strings.TrimSuffix(tmp, ".tmp")+"0.tmp" // Sweep knows that name too
	if taken(name) {
		if !looksLikeMark(name) {
			return exists(name)
		}
		if err := os.Rename(name, aside); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		defer os.Remove(aside)
	}
	if err := place(tmp, path); err != nil {
		_ = os.Link(aside, name) // of a journal that another program has placed meanwhile
		return err
	}
	// From here on others may write. Who does makes the mark. One that says something else
	// came back by a program that was too late to place its own journal.
	h, err := New(path).open(true, 0)
	if errors.Is(err, ErrLocked) {
		return nil
	}
	if err != nil {
		return err
	}
	if m, merr := readMark(path); merr == nil {
		err = h.db.View(func(tx *bbolt.Tx) error {
			now, _, err := stateOf(path, tx)
			if err != nil || m != nil && m.Done.same(&now) {
				return err
			}
			return mark{Done: now}.write(path)
		})
	}
	return errors.Join(err, h.close())
}

const tempName = ".rimegate-*.tmp" // with digits for the *

var unfinished = lazy.Regexp(`^\.rimegate-[0-9]+\.tmp$`)

// Sweep removes the unfinished files that killed programs left in a folder: only
// ordinary files of that sort of name, that nobody has written to for long. What
// cannot be removed does no harm.
func Sweep(dir string) {
	list, _ := os.ReadDir(dir)
	for _, e := range list {
		if !unfinished().MatchString(e.Name()) || !e.Type().IsRegular() {
			continue
		}
		if info, err := e.Info(); err == nil && stale(info.ModTime()) {
			_ = os.Remove(filepath.Join(dir, e.Name()))
		}
	}
}
