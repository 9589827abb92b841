package journal

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"

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
	if taken(to) {
		return CopyReport{}, exists(to)
	}
	if _, err := lookAt(s.Path); err != nil {
		return CopyReport{}, err
	}
	rep := CopyReport{Path: to}
	var snap *snapshot
	err := beside(to, func(f *os.File) error {
		return s.read(walkAll, func(tx *bbolt.Tx, v *verdict) (err error) {
			if snap, err = s.take(tx, v); err == nil {
				rep.Bytes, err = tx.WriteTo(f)
			}
			return err
		})
	}, func(tmp string) error {
		c, err := s.content(snap)
		if err != nil {
			return err
		}
		rep.Entries, rep.Revision, rep.Doubt = len(c.Entries), c.Revision, c.Doubt
		var bad *DamagedError
		switch back, err := New(tmp).Load(); {
		case errors.As(err, &bad):
			return notKept(to, bad.What)
		case err != nil:
			return notKept(to, err.Error())
		case !back.state.same(&c.state) || len(back.Entries) != len(c.Entries):
			return notKept(to, "it holds other entries than the journal")
		}
		return placeMarked(tmp, to)
	})
	var dam *DamagedError
	var own *sentence
	switch {
	case err == nil:
		return rep, nil
	case errors.As(err, &dam), errors.As(err, &own):
		return CopyReport{}, err
	}
	return CopyReport{}, fmt.Errorf("the copy %s could not be written (%w); check the folder, the room on the disk and your rights to it", shown(to), Cause(err))
}

func notKept(to, why string) error {
	return &sentence{nil, fmt.Sprintf("the copy %s was not kept, because it did not read back as it was written (%s); try another disk", shown(to), why)}
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
	err = errors.Join(writeGaps(bw, c.Gaps), fields.WriteJSONL(bw, c.Entries))
	if err == nil {
		err = bw.Flush()
	}
	if err != nil {
		return 0, fmt.Errorf("the export could not be written (%w)", Cause(err))
	}
	return len(c.Entries), nil
}
