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
	"time"
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
	case errors.Is(err, fs.ErrExist):
		return exists(path)
	default:
		if _, serr := os.Lstat(path); serr == nil {
			return exists(path)
		}
		if err := os.Rename(tmp, path); err != nil {
			return err
		}
	}
	return syncFolder(filepath.Dir(path))
}

// syncFile makes the file's content durable.
func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	err = f.Sync()
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	return err
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
	err = f.Sync()
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	return err
}

// Rename gives a journal another name, with its mark.
func Rename(from, to string) error {
	mark, moved := MarkPath(from), MarkPath(to)
	if err := os.Rename(from, to); err != nil {
		return err
	}
	if err := os.Rename(mark, moved); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// NewFile writes a file that must not exist yet, readable by its owner alone. It
// gets its name when it is whole and on the disk: half a file would pass for a
// whole one. An existing file, link or pipe of that name is never touched; the
// error then matches ErrExists.
func NewFile(path string, write func(io.Writer) error) error {
	if _, err := os.Lstat(path); err == nil {
		return exists(path)
	}
	Sweep(filepath.Dir(path))
	tmp, err := tempBeside(path)
	if err != nil {
		return fmt.Errorf("%s could not be written (%w); check the folder and your rights to it", shown(path), plainCause(err))
	}
	defer os.Remove(tmp)
	f, err := os.OpenFile(tmp, os.O_WRONLY, 0)
	if err == nil {
		err = write(f)
		if err == nil {
			err = f.Sync()
		}
		if cerr := f.Close(); err == nil {
			err = cerr
		}
	}
	if err == nil {
		err = place(tmp, path)
	}
	return err
}

// placeMarked places a finished journal with its mark. A mark that an earlier
// journal of that name left behind would call the new one damaged; a file that
// was never a mark is left alone, and so is the name.
func placeMarked(tmp, path string, done state) error {
	name := MarkPath(path)
	if _, err := os.Lstat(name); err == nil {
		if !looksLikeMark(name) {
			return exists(name)
		}
		if err := os.Remove(name); err != nil {
			return err
		}
	}
	if err := place(tmp, path); err != nil {
		return err
	}
	// From here on others may write. Who does makes the mark.
	h, err := open(path, true, New(path).deadline())
	if errors.Is(err, ErrLocked) {
		return nil
	}
	if err != nil {
		return err
	}
	if m, merr := readMark(path); m == nil && merr == nil {
		err = mark{Done: done}.write(path)
	}
	return errors.Join(err, h.close())
}

// Temp makes an empty file in the folder of path, readable by its owner alone:
// who was where with which stock is nobody else's business. Sweep knows its name.
func Temp(path string) (*os.File, error) {
	return os.CreateTemp(filepath.Dir(path), tempName+"*"+tempEnd)
}

func tempBeside(path string) (string, error) {
	f, err := Temp(path)
	if err != nil {
		return "", err
	}
	return f.Name(), f.Close()
}

const (
	tempName = ".rimegate-"
	tempEnd  = ".tmp"

	// staleAfter is how old an unfinished file must be to be nobody's: no copy
	// takes that long.
	staleAfter = 2 * time.Hour
)

// Sweep removes the unfinished files that killed programs left in a folder:
// only ordinary files of the name Temp gives, that nobody has written to
// for long. What cannot be removed does no harm.
func Sweep(dir string) {
	list, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range list {
		name, ok := strings.CutPrefix(e.Name(), tempName)
		digits, ok2 := strings.CutSuffix(name, tempEnd)
		if !ok || !ok2 || digits == "" || strings.Trim(digits, "0123456789") != "" || !e.Type().IsRegular() {
			continue
		}
		if info, err := e.Info(); err == nil && stale(info.ModTime()) {
			_ = os.Remove(filepath.Join(dir, e.Name()))
		}
	}
}
