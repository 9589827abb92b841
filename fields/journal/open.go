package journal

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"runtime/debug"
	"strings"
	"time"

	"go.etcd.io/bbolt"
	bolterrors "go.etcd.io/bbolt/errors"
)

const defaultTimeout = 2 * time.Second

// bbolt polls for its lock every 50 ms, gives up one poll early, and takes 0
// for ever: less than this is no time-out it can keep.
const leastTimeout = 60 * time.Millisecond

func (s *Store) deadline() time.Time {
	t := s.Timeout
	if t <= 0 {
		t = defaultTimeout
	}
	return time.Now().Add(t)
}

// stale reports whether a file was last written so long ago that no program can
// be at work on it.
func stale(written time.Time) bool { return time.Since(written) > staleAfter }

// handle is an open journal file.
type handle struct {
	path string
	db   *bbolt.DB
	file *os.File
	bad  bool // bbolt panicked: its locks may be held for good
}

// open opens the file at path with bbolt, once its header was read and found
// sound. It waits for the lock until the deadline.
func open(path string, readOnly bool, deadline time.Time) (*handle, error) {
	for {
		if err := lookAt(path); err != nil {
			return nil, err
		}
		h, err := openOnce(path, readOnly, max(time.Until(deadline), leastTimeout))
		if err != nil {
			return nil, err
		}
		// While waiting for the lock the file may have been replaced, by
		// somebody who brought a copy back. What would be written to the old
		// one would be lost.
		there, err := os.Stat(path)
		if err == nil {
			var held os.FileInfo
			if held, err = h.file.Stat(); err == nil && os.SameFile(there, held) {
				return h, nil
			}
		}
		h.close()
		if !time.Now().Before(deadline) {
			return nil, locked(path)
		}
	}
}

func openOnce(path string, readOnly bool, timeout time.Duration) (*handle, error) {
	h := &handle{path: path}
	opened := false
	defer func() {
		if !opened && h.file != nil { // closed already unless bbolt panicked
			unlock(h.file)
			_ = h.file.Close()
		}
	}()
	err := safely(path, func() (err error) {
		h.db, err = bbolt.Open(path, 0o600, &bbolt.Options{
			Timeout:      timeout,
			ReadOnly:     readOnly,
			NoStatistics: true,
			OpenFile: func(name string, flag int, mode os.FileMode) (*os.File, error) {
				f, err := os.OpenFile(name, flag&^os.O_CREATE, mode)
				if err != nil {
					return nil, err
				}
				// bbolt would fill an empty file with a fresh database.
				if info, err := f.Stat(); err != nil || info.Size() == 0 {
					f.Close()
					return nil, errEmptied
				}
				h.file = f
				return f, nil
			},
		})
		return err
	})
	var dam *DamagedError
	switch {
	case err == nil:
		opened = true
		return h, nil
	case errors.As(err, &dam):
		return nil, err
	case errors.Is(err, bolterrors.ErrTimeout):
		return nil, locked(path)
	case errors.Is(err, fs.ErrNotExist):
		return nil, missing(path)
	case errors.Is(err, errEmptied), errors.Is(err, bolterrors.ErrInvalid), errors.Is(err, bolterrors.ErrChecksum), errors.Is(err, bolterrors.ErrVersionMismatch):
		return nil, damaged(path, "it is not a journal file, or its beginning is lost")
	case readOnly:
		return nil, notRead(path, err)
	}
	return nil, fmt.Errorf("the journal %s cannot be opened for writing (%w); nothing was stored, so check your rights to the file and that the disk takes changes", shown(path), plainCause(err))
}

var errEmptied = errors.New("file is empty")

// lookAt reads the header of the file with plain reads.
func lookAt(path string) error {
	info, err := os.Stat(path) // before opening: opening a pipe would wait for ever
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return missing(path)
	case err != nil:
		return notRead(path, err)
	case info.IsDir():
		return damaged(path, "it is a folder, not a file")
	case !info.Mode().IsRegular():
		return damaged(path, "it is not a file of the ordinary kind")
	}
	f, err := os.Open(path)
	if err != nil {
		return notRead(path, err)
	}
	defer f.Close()
	if info, err = f.Stat(); err != nil {
		return notRead(path, err)
	}
	if _, bad := readHeader(f, info.Size()); bad != "" {
		return damaged(path, "%s", bad)
	}
	return nil
}

// close gives the file back. After a panic inside bbolt its own Close may wait
// for a lock nobody will release, so only the file is closed then; the memory
// map is left to the end of the program.
func (h *handle) close() error {
	if h.bad {
		unlock(h.file)
		return h.file.Close()
	}
	return h.db.Close()
}

// walk checks the pages of the open file before bbolt follows them.
func (h *handle) walk(d depth) (header, error) {
	info, err := h.file.Stat()
	if err != nil {
		return header{}, notRead(h.path, err)
	}
	head, bad := walk(h.file, info.Size(), d)
	if bad != "" {
		return head, damaged(h.path, "%s", bad)
	}
	return head, nil
}

// view runs fn in a reading transaction.
func (h *handle) view(fn func(*bbolt.Tx) error) error {
	return h.guard(func() error { return h.db.View(fn) })
}

func (h *handle) guard(fn func() error) error {
	h.bad = true
	err := safely(h.path, func() error {
		err := fn()
		h.bad = false
		return err
	})
	return err
}

// safely runs fn and turns panics and memory faults of bbolt into a
// DamagedError. Keep fn to what touches bbolt: our own mistakes are not damage.
func safely(path string, fn func() error) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		if r := recover(); r != nil {
			why, _, _ := strings.Cut(fmt.Sprint(r), "\n")
			if len(why) > 200 {
				why = why[:200]
			}
			err = damaged(path, "its pages contradict each other (%q)", why)
		}
	}()
	return fn()
}

// step is called between the steps of a commit, so that tests can end the
// program there.
var step = func(string) {}

// reading opens the file read-only, walks its pages to the given depth, holds
// the journal against its mark and runs fn in one transaction. It is how every
// reading operation begins.
func reading(path string, d depth, deadline time.Time, fn func(*bbolt.Tx, verdict) error) error {
	h, err := open(path, true, deadline)
	if err != nil {
		return err
	}
	head, err := h.walk(d)
	if err == nil && head.metas < 2 && d == walkRoot { // to be judged, it must be read whole
		head, err = h.walk(walkAll)
		d = walkAll
	}
	if err == nil {
		err = h.view(func(tx *bbolt.Tx) error {
			if err := checkSchema(path, tx); err != nil {
				return err
			}
			var v verdict
			if d == walkRoot {
				v = briefly(path, tx)
			} else {
				var err error
				if v, _, _, err = judged(path, tx, head); err != nil {
					return err
				}
			}
			if v.bad != "" {
				return damaged(path, "%s", v.bad)
			}
			return fn(tx, v)
		})
	}
	if cerr := h.close(); err == nil && cerr != nil {
		err = notRead(path, cerr)
	}
	return err
}

// errNothing ends a writing transaction that has nothing to write.
var errNothing = errors.New("nothing to write")

// writing checks the file read-only and then runs fn in one durable
// transaction, with the mark written before and after it. If fn returns an
// error nothing is stored.
func writing(path string, deadline time.Time, fn func(*bbolt.Tx) error) error {
	if err := reading(path, walkAll, deadline, func(*bbolt.Tx, verdict) error { return nil }); err != nil {
		return err
	}
	return commit(path, deadline, func(tx *bbolt.Tx, head header) (*mark, error) {
		v, now, _, err := judged(path, tx, head)
		if err != nil {
			return nil, err
		}
		if v.bad != "" {
			return nil, damaged(path, "%s", v.bad)
		}
		return &mark{Done: now, Over: head.slot}, fn(tx)
	})
}

// commit opens the file for writing and runs fn in one transaction. The mark
// fn returns is written before the commit with what the commit will leave; if
// it returns none, the mark is written afterwards only.
func commit(path string, deadline time.Time, fn func(*bbolt.Tx, header) (*mark, error)) error {
	h, err := open(path, false, deadline)
	if err != nil {
		return err
	}
	var inner error
	var next state
	head, err := h.walk(walkRoot)
	if err == nil {
		err = h.guard(func() error {
			return h.db.Update(func(tx *bbolt.Tx) error {
				inner = func() error {
					if err := checkSchema(path, tx); err != nil {
						return err
					}
					m, err := fn(tx, head)
					if err != nil {
						return err
					}
					revise(tx)
					if next, err = stateOf(path, tx); err != nil || m == nil {
						return err
					}
					m.Next = &next
					step("marking")
					if err := m.write(path); err != nil {
						return fmt.Errorf("the record beside the journal %s could not be written (%w); nothing was stored, so check the folder and the room on the disk", shown(path), plainCause(err))
					}
					step("committing")
					return nil
				}()
				return inner
			})
		})
	}
	var dam *DamagedError
	switch {
	case inner != nil:
		err = inner
		if errors.Is(inner, errNothing) {
			err = nil
		}
	case err == nil:
		step("finishing")
		if err = (mark{Done: next}).write(path); err != nil {
			err = notWritten(path, err)
		}
		step("finished")
	case !errors.As(err, &dam):
		err = notWritten(path, err)
	}
	if cerr := h.close(); err == nil && cerr != nil {
		err = notWritten(path, cerr)
	}
	return err
}

// briefly judges a journal of which the root alone was walked, by its revision.
func briefly(path string, tx *bbolt.Tx) verdict {
	m, _ := readMark(path)
	if m != nil && tx.Bucket(bucketMeta).Sequence() < m.Done.Revision {
		return verdict{bad: "it was written further than it reads now; " + howToAgree}
	}
	return verdict{}
}
