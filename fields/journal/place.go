package journal

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
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

// tempBeside makes an empty file in the folder of path, readable by its owner
// alone: who was where with which stock is nobody else's business.
func tempBeside(path string) (string, error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*.tmp")
	if err != nil {
		return "", err
	}
	return f.Name(), f.Close()
}
