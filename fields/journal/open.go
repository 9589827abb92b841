package journal

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"time"

	"go.etcd.io/bbolt"
	bolterrors "go.etcd.io/bbolt/errors"
)

const (
	defaultTimeout = 5 * time.Second // some programs that read, and a slow disk, must have their turn in it

	// bbolt polls for its lock every 50 ms, gives up one poll early, and takes 0
	// for ever: less than this is no time-out it can keep.
	leastTimeout = 60 * time.Millisecond

	// staleAfter is how old an unfinished file must be to be nobody's: no copy
	// takes that long.
	staleAfter = 2 * time.Hour
)

func stale(written time.Time) bool { return time.Since(written) > staleAfter }

// handle is an open journal file.
type handle struct {
	*Store
	db   *bbolt.DB
	file *os.File
	head header // as the last walk found it
	bad  bool   // bbolt panicked: its locks may be held for good
}

func (s *Store) step(name string) {
	if s.Trace != nil {
		s.Trace(name)
	}
}

// open opens the file with bbolt, once its header was read and found sound. It
// waits for the lock until the store's time-out is over. room is about how many bytes will be
// written.
func (s *Store) open(readOnly bool, room int) (*handle, error) {
	deadline := time.Now().Add(cmp.Or(s.Timeout, defaultTimeout))
	s.step("opening")
	for {
		head, err := lookAt(s.Path)
		if err != nil {
			return nil, err
		}
		h, err := s.openOnce(readOnly, max(time.Until(deadline), leastTimeout), mapped(head, room))
		if err != nil {
			return nil, err
		}
		// While waiting for the lock the file may have been replaced, by
		// somebody who brought a copy back. What would be written to the old
		// one would be lost.
		there, err := os.Stat(s.Path)
		if err == nil {
			var held os.FileInfo
			if held, err = h.file.Stat(); err == nil && os.SameFile(there, held) {
				return h, nil
			}
		}
		_ = h.close()
		if !time.Now().Before(deadline) {
			return nil, locked(s.Path)
		}
	}
}

// mapped is how much of the file bbolt maps before it needs to. Where it runs out of room in a
// commit, it copies all that is about to be written.
func mapped(head header, room int) int {
	used := int64(head.high) * head.pageSize
	if runtime.GOOS == "windows" || room == 0 || used > math.MaxInt32-int64(room) {
		return 0 // on Windows the file grows with its map
	}
	return int(used) + room
}

var errEmptied = errors.New("file is empty")

func (s *Store) openOnce(readOnly bool, timeout time.Duration, mapped int) (*handle, error) {
	h := &handle{Store: s}
	opened := false
	defer func() {
		if !opened && h.file != nil { // closed already unless bbolt panicked
			unlock(h.file)
			_ = h.file.Close()
		}
	}()
	err := safely(s.Path, func() (err error) {
		h.db, err = bbolt.Open(s.Path, 0o600, &bbolt.Options{
			Timeout:         timeout,
			ReadOnly:        readOnly,
			NoStatistics:    true,
			InitialMmapSize: mapped,
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
				return f, lock(f, !readOnly, timeout)
			},
		})
		return err
	})
	var dam *DamagedError
	is := func(target error) bool { return errors.Is(err, target) }
	switch {
	case err == nil:
		opened = true
		return h, nil
	case errors.As(err, &dam):
		return nil, err
	case is(bolterrors.ErrTimeout):
		return nil, locked(s.Path)
	case is(fs.ErrNotExist):
		return nil, missing(s.Path)
	case is(errEmptied), is(bolterrors.ErrInvalid), is(bolterrors.ErrChecksum), is(bolterrors.ErrVersionMismatch):
		return nil, damaged(s.Path, noJournal)
	case readOnly:
		return nil, notRead(s.Path, err)
	}
	return nil, fmt.Errorf("the journal %s cannot be opened for writing (%w); nothing was stored, so check your rights to the file and that the disk takes changes", shown(s.Path), Cause(err))
}

// mostTurn is how long somebody waits for a turn.
const mostTurn = 10 * time.Second

// Turn lines up those that found others' entries when they wanted to store theirs, and
// must read again: at once, most would read in vain. It is a lock on the journal's folder,
// which keeps nobody from reading or storing. Who cannot have it in time goes on without.
func (s *Store) Turn() (end func()) {
	f, err := os.Open(filepath.Dir(MarkPath(s.Path)))
	if err != nil {
		return func() {}
	}
	got := make(chan bool, 1)
	go func() { lineUp(f); got <- true }()
	select {
	case <-got:
	case <-time.After(mostTurn):
	}
	return func() { _ = f.Close() }
}

// lookAt reads the header of the file with plain reads.
func lookAt(path string) (head header, err error) {
	info, err := os.Stat(path) // before opening: opening a pipe would wait for ever
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return head, missing(path)
	case err != nil:
		return head, notRead(path, err)
	case info.IsDir():
		return head, damaged(path, "it is a folder, not a file")
	case !info.Mode().IsRegular():
		return head, damaged(path, "it is not an ordinary file")
	}
	f, err := os.Open(path)
	if err != nil {
		return head, notRead(path, err)
	}
	defer f.Close()
	if info, err = f.Stat(); err != nil {
		return head, notRead(path, err)
	}
	head, bad := readHeader(f, info.Size())
	if bad != "" {
		return head, damaged(path, "%s", bad)
	}
	return head, nil
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
func (h *handle) walk(d depth) error {
	if d == walkAll {
		h.step("walking")
	}
	info, err := h.file.Stat()
	if err != nil {
		return notRead(h.Path, err)
	}
	var bad string
	if h.head, bad = walk(h.file, info.Size(), d); bad != "" {
		return damaged(h.Path, "%s", bad)
	}
	return nil
}

// in runs fn in one transaction of the open file, walked to a depth, with what its
// mark says of it, and remembers whether bbolt panicked.
func (h *handle) in(transact func(func(*bbolt.Tx) error) error, d depth, fn func(*bbolt.Tx, *verdict) error) error {
	h.bad = true
	return safely(h.Path, func() error {
		err := transact(func(tx *bbolt.Tx) error {
			if err := checkSchema(h.Path, tx); err != nil {
				return err
			}
			v, err := h.judged(tx, h.head, d)
			if err != nil {
				return err
			}
			return fn(tx, v)
		})
		h.bad = false
		return err
	})
}

// safely runs fn and turns panics and memory faults of bbolt into a
// DamagedError. Keep fn to what touches bbolt: our own mistakes are not damage.
func safely(path string, fn func() error) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		if r := recover(); r != nil {
			why, _, _ := strings.Cut(fmt.Sprint(r), "\n")
			err = damaged(path, "its pages contradict each other (%q)", why[:min(len(why), 200)])
		}
	}()
	return fn()
}

// look opens the file read-only, walks its pages to the given depth, holds the
// journal against its mark and runs fn in one transaction: how every reading
// operation begins. The header is returned too if the pages are damaged.
func (s *Store) look(d depth, fn func(*bbolt.Tx, *verdict) error) (header, error) {
	h, err := s.open(true, 0)
	if err != nil {
		return header{}, err
	}
	return h.look(d, d, fn)
}

// look walks the open file's pages to one depth and holds the journal against its mark to another.
func (h *handle) look(walked, d depth, fn func(*bbolt.Tx, *verdict) error) (header, error) {
	s := h.Store
	err := h.walk(walked)
	if err == nil && h.head.metas < 2 && d == walkRoot { // to be judged, it must be read whole
		d = walkAll
		err = h.walk(d)
	}
	if err == nil {
		err = h.in(h.db.View, d, fn)
	}
	if cerr := h.close(); err == nil && cerr != nil {
		err = notRead(s.Path, cerr)
	}
	return h.head, err
}

// read is look at a journal that nothing is wrong with.
func (s *Store) read(d depth, fn func(*bbolt.Tx, *verdict) error) error {
	_, err := s.look(d, s.sound(fn))
	return err
}

// reading is read of every page, unless a list of what is kept is of the file as it is: then
// all of it was verified before.
func (s *Store) reading(k *listFile, fn func(tx *bbolt.Tx, v *verdict, same bool) error) error {
	h, err := s.open(true, 0)
	if err != nil {
		return err
	}
	d, same := walkAll, k != nil && k.isOf(h)
	if same {
		d = walkRoot
	}
	_, err = h.look(d, walkAll, s.sound(func(tx *bbolt.Tx, v *verdict) error { return fn(tx, v, same) }))
	return err
}

// sound is fn for a journal that nothing is wrong with.
func (s *Store) sound(fn func(*bbolt.Tx, *verdict) error) func(*bbolt.Tx, *verdict) error {
	return func(tx *bbolt.Tx, v *verdict) error {
		if v.bad != "" {
			return damaged(s.Path, "%s", v.bad)
		}
		return fn(tx, v)
	}
}

// errNothing ends a writing transaction that has nothing to write.
var errNothing = errors.New("nothing to write")

// write runs fn in one durable transaction, with the mark written before and
// after it. If fn returns an error nothing is stored. The file is read and
// walked first, or was when base was loaded: then it must stand where it stood.
// room is about how many bytes fn puts in. It returns where the journal stands now.
func (s *Store) write(base *Content, room int, fn func(*bbolt.Tx) error) (state, error) {
	if base == nil {
		if err := s.read(walkAll, func(*bbolt.Tx, *verdict) error { return nil }); err != nil {
			return state{}, err
		}
	}
	return s.commit(room, func(tx *bbolt.Tx, v *verdict) (*mark, error) {
		switch {
		case v.bad != "":
			return nil, damaged(s.Path, "%s", v.bad)
		case base != nil && !v.now.same(&base.state):
			return nil, moved(s.Path)
		}
		return &mark{Done: v.now, Over: v.head.slot}, fn(tx)
	})
}

// commit opens the file for writing and runs fn in one transaction. The mark
// fn returns is written before the commit with what the commit will leave; if
// it returns none, the mark is written afterwards only.
func (s *Store) commit(room int, fn func(*bbolt.Tx, *verdict) (*mark, error)) (next state, err error) {
	h, err := s.open(false, room)
	if err != nil {
		return next, err
	}
	var inner error
	end := func() {} // from the mark to its last word nobody cuts in
	defer func() { end() }()
	update := func(tx *bbolt.Tx, v *verdict) error {
		m, err := fn(tx, v)
		if err != nil {
			return err
		}
		end = begin()
		meta := tx.Bucket(bucketMeta)
		_ = meta.SetSequence(meta.Sequence() + 1) // fails only outside a writing transaction
		if next, _, err = stateOf(s.Path, tx); err != nil || m == nil {
			return err
		}
		m.Next = &next
		s.step("marking")
		if err := m.write(s.Path); err != nil {
			return fmt.Errorf("the record beside the journal %s could not be written (%w); nothing was stored, so check the folder and the room on the disk", shown(s.Path), Cause(err))
		}
		s.step("committing")
		return nil
	}
	if err = h.walk(walkRoot); err == nil {
		err = h.in(h.db.Update, walkAll, func(tx *bbolt.Tx, v *verdict) error {
			inner = update(tx, v)
			return inner
		})
	}
	var dam *DamagedError
	switch {
	case errors.Is(inner, errNothing):
		err = nil
	case inner != nil:
		err = inner
	case err == nil:
		s.step("finishing")
		if err = (mark{Done: next}).write(s.Path); err != nil {
			err = notWritten(s.Path, err)
		}
		s.step("finished")
		underWay.L.Lock()
		underWay.stored = true
		underWay.L.Unlock()
	case !errors.As(err, &dam):
		err = notWritten(s.Path, err)
	}
	if cerr := h.close(); err == nil && cerr != nil {
		err = notWritten(s.Path, cerr)
	}
	return next, err
}
