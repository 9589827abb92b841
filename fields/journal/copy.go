package journal

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"go.etcd.io/bbolt"

	"rimegate/fields"
)

// CopyReport says what a copy holds.
type CopyReport struct {
	Path     string
	Entries  int
	Revision uint64
	Bytes    int64
	Doubt    string // as in Content
}

// Copy writes a consistent copy of the journal to a new file, while others may
// go on using it. The copy is on the disk, was read back, and its pages and
// chains were verified before it gets its name. An existing file is never
// replaced: the error then matches ErrExists.
func (s *Store) Copy(to string) (CopyReport, error) {
	rep := CopyReport{Path: to}
	if _, err := os.Lstat(to); err == nil {
		return rep, exists(to)
	}
	failed := func(err error) (CopyReport, error) {
		var dam *DamagedError
		if errors.As(err, &dam) || errors.Is(err, ErrExists) || errors.Is(err, ErrMissing) || errors.Is(err, ErrLocked) {
			return CopyReport{}, err
		}
		return CopyReport{}, fmt.Errorf("the copy %s could not be written (%w); check the folder, the room on the disk and your rights to it", shown(to), plainCause(err))
	}
	if err := lookAt(s.Path); err != nil {
		return failed(err)
	}
	Sweep(filepath.Dir(to))
	tmp, err := tempBeside(to)
	if err != nil {
		return failed(err)
	}
	defer os.Remove(tmp)
	var snap *snapshot
	var disk error
	var now state
	err = reading(s.Path, walkAll, s.deadline(), func(tx *bbolt.Tx, v verdict) (err error) {
		if snap, err = take(s.Path, tx); err != nil {
			return err
		}
		if now, err = stateOf(s.Path, tx); err != nil {
			return err
		}
		snap.doubt = v.note
		rep.Bytes, disk = writeOut(tx, tmp)
		return nil
	})
	if err == nil {
		err = disk
	}
	if err != nil {
		return failed(err)
	}
	c, err := contentOf(s.Path, snap)
	if err != nil {
		return failed(err)
	}
	rep.Entries, rep.Revision, rep.Doubt = len(c.Entries), c.Revision, c.Doubt
	x, err := examine(tmp, s.deadline())
	if err == nil && !(Report{Findings: x.pages}).Whole() {
		err = errors.New(x.pages[0].Text)
	}
	if err == nil {
		var back *Content
		if back, err = contentOf(tmp, x.snap); err == nil && (back.Revision != c.Revision || len(back.Entries) != len(c.Entries)) {
			err = errors.New("it holds other entries than the journal")
		}
	}
	if err != nil {
		return CopyReport{}, fmt.Errorf("the copy %s was not kept, because it did not read back as it was written (%w); try another disk", shown(to), err)
	}
	if err := placeMarked(tmp, to, now); err != nil {
		return failed(err)
	}
	return rep, nil
}

func writeOut(tx *bbolt.Tx, path string) (int64, error) {
	f, err := os.OpenFile(filepath.Clean(path), os.O_WRONLY, 0)
	if err != nil {
		return 0, err
	}
	n, err := tx.WriteTo(f)
	if err == nil {
		err = f.Sync()
	}
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	return n, err
}

// Export writes every entry as JSON Lines, by id, after the gaps the journal is
// known to have, and returns how many entries. The
// journal is verified before the first line is written.
func (s *Store) Export(w io.Writer) (int, error) {
	c, err := s.Load()
	if err != nil {
		return 0, err
	}
	bw := bufio.NewWriter(w)
	if err := errors.Join(writeGaps(bw, c.Gaps), fields.WriteJSONL(bw, c.Entries)); err != nil {
		return 0, fmt.Errorf("the export could not be written (%w)", plainCause(err))
	}
	if err := bw.Flush(); err != nil {
		return 0, fmt.Errorf("the export could not be written (%w)", plainCause(err))
	}
	return len(c.Entries), nil
}
