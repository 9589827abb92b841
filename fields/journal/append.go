package journal

import (
	"bytes"
	"crypto/rand"
	"fmt"
	"io"
	"reflect"
	"sync"
	"time"

	"github.com/oklog/ulid/v2"
	"go.etcd.io/bbolt"

	"rimegate/fields"
)

// Append stores the entries in one durable transaction, all or none, and
// returns them as stored. An entry without an id gets a ULID whose time is
// when it was recorded. Every entry is checked first; if anything is wrong the
// error is fields.Problems (with Line the entry's number, if there are several)
// and nothing is stored. An entry that is in the journal already, with the
// same content, is not stored again; with other content the error is a
// *ConflictError.
func (s *Store) Append(entries []fields.Entry) ([]fields.Entry, error) {
	fresh := make([]fields.Entry, len(entries))
	copy(fresh, entries)
	for i := range fresh {
		if fresh[i].ID == "" {
			fresh[i].ID = newID(fresh[i].Recorded)
		}
	}
	_, stored, err := s.store(fresh, nil, nil)
	if err != nil {
		return nil, err
	}
	return stored, nil
}

// ImportReport counts what an import did.
type ImportReport struct {
	Added   int // entries that are new to the journal
	Same    int // entries that were in it already, or came twice
	Gaps    int // gaps that are new to the journal
	Settled int // ids that stood for two contents and no longer count
}

// Import stores entries that have ids, from a text or another journal, in one
// durable transaction, all or none. An entry that is there already with the
// same content is counted as Same; with other content the error is a
// *ConflictError. Entries are checked as Append does it. The gaps of the text or
// the other journal are taken in too.
func (s *Store) Import(entries []fields.Entry, gaps ...Gap) (ImportReport, error) {
	rep, _, err := s.store(entries, gaps, nil)
	return rep, err
}

// Merge brings in every entry of another journal file, which is only read.
func (s *Store) Merge(otherPath string) (ImportReport, error) {
	other := Store{Path: otherPath, Timeout: s.Timeout}
	c, err := other.Load()
	if err != nil {
		return ImportReport{}, err
	}
	return s.Import(c.Entries, c.Gaps...)
}

func (s *Store) store(entries []fields.Entry, gaps []Gap, settle *Settle) (ImportReport, []fields.Entry, error) {
	var rep ImportReport
	ready, err := prepare(entries)
	if err != nil {
		return rep, nil, err
	}
	// take adds what is new and returns the conflicts.
	take := func(c *chainer, ready []readyEntry) (clashes []clash, err error) {
		for i := range ready {
			r := &ready[i]
			was := c.entries.Get(r.key)
			switch {
			case was == nil:
				rep.Added++
				if err := c.add(r.key, r.text); err != nil {
					return nil, err
				}
			case bytes.Equal(was, r.text):
				rep.Same++
			default:
				old, probs := fields.DecodeEntry(was)
				if len(probs) > 0 {
					return nil, damaged(s.Path, "entry %q cannot be read: %v", r.key, probs[0])
				}
				// An older version may have written the same facts in another form.
				if bytes.Equal(fields.Encode(old), r.text) {
					rep.Same++
					continue
				}
				clashes = append(clashes, clash{old, &r.entry})
			}
		}
		return clashes, nil
	}
	err = writing(s.Path, s.deadline(), func(tx *bbolt.Tx) error {
		rep = ImportReport{}
		c, err := chainOf(s.Path, tx, s.Seat)
		if err != nil {
			return err
		}
		clashes, err := take(c, ready)
		if err != nil {
			return err
		}
		if err := s.settle(c, ready, clashes, settle, &rep); err != nil {
			return err
		}
		for _, g := range gaps {
			changed, err := putGap(tx, g)
			if err != nil {
				return err
			}
			rep.Gaps += asOne(changed)
		}
		switch {
		case rep.Added > 0:
			return c.finish()
		case rep.Gaps == 0:
			return errNothing
		}
		return nil
	})
	if err != nil {
		return ImportReport{}, nil, err
	}
	stored := make([]fields.Entry, len(ready))
	for i := range ready {
		stored[i] = ready[i].entry
	}
	return rep, stored, nil
}

// clash is one id with two contents.
type clash struct{ ours, theirs *fields.Entry }

// settle deals with the conflicts of an import whose other entries are in
// already: those that were settled before count as the same, the others are
// settled as asked, or refused.
func (s *Store) settle(c *chainer, ready []readyEntry, clashes []clash, how *Settle, rep *ImportReport) error {
	if len(clashes) == 0 {
		return nil
	}
	b := &both{coming: map[string]*fields.Entry{}, struck: map[string]bool{}, settled: map[string]bool{}}
	b.stored = func(id string) *fields.Entry {
		e, probs := fields.DecodeEntry(c.entries.Get([]byte(id)))
		if len(probs) > 0 {
			return nil
		}
		return e
	}
	for i := range ready {
		b.coming[ready[i].entry.ID] = &ready[i].entry
		b.strike(&ready[i].entry)
	}
	all := c.entries.Cursor()
	for k, v := all.First(); k != nil; k, v = all.Next() {
		if !bytes.Contains(v, []byte(`"kind":"strike"`)) {
			continue
		}
		if e, probs := fields.DecodeEntry(v); len(probs) == 0 {
			b.strike(e)
		}
	}
	var conflict *ConflictError
	for _, x := range clashes {
		switch {
		case b.isSettled(x.ours, x.theirs):
			rep.Same++
		case how != nil:
			list, err := how.entries(b, x.ours, x.theirs)
			if err != nil {
				return err
			}
			more, err := prepare(list)
			if err != nil {
				return err
			}
			for i := range more {
				if c.entries.Get(more[i].key) != nil {
					continue // of an earlier decision
				}
				if err := c.add(more[i].key, more[i].text); err != nil {
					return err
				}
				rep.Added++
			}
			rep.Settled++
		case conflict != nil:
			conflict.More++
		default:
			conflict = &ConflictError{ID: x.ours.ID, Present: *x.ours, Coming: *x.theirs}
		}
	}
	if conflict != nil {
		return conflict
	}
	return nil
}

func asOne(b bool) int {
	if b {
		return 1
	}
	return 0
}

// readyEntry is an entry that passed every check, and its stored form.
type readyEntry struct {
	key, text []byte
	entry     fields.Entry
}

// prepare checks entries and encodes them. What is stored is read back first:
// an entry that could be written but not read would lock its farm out of the
// journal.
func prepare(entries []fields.Entry) ([]readyEntry, error) {
	out := make([]readyEntry, 0, len(entries))
	var all fields.Problems
	for i := range entries {
		r, probs := prepareOne(&entries[i])
		for _, p := range probs {
			if len(entries) > 1 {
				p.Line = i + 1
			}
			all = append(all, p)
		}
		out = append(out, r)
	}
	return out, all.Err()
}

func prepareOne(e *fields.Entry) (readyEntry, fields.Problems) {
	none := readyEntry{}
	if v := reflect.ValueOf(e.Body); !v.IsValid() || v.Kind() == reflect.Pointer && v.IsNil() {
		return none, fields.Problems{{Field: "kind", What: "is missing"}}
	}
	if e.ID == "" {
		return none, fields.Problems{{Field: "id", What: "is missing", Type: "an entry that comes in needs its id, or it would come in again next time"}}
	}
	if probs := fields.Check(e); len(probs) > 0 {
		return none, probs
	}
	text := fields.Encode(e)
	if len(text) >= fields.MaxLine {
		return none, fields.Problems{{What: fmt.Sprintf("the entry is longer than %d bytes", fields.MaxLine-1), Type: "shorten its note"}}
	}
	back, probs := fields.DecodeEntry(text)
	if len(probs) > 0 {
		return none, probs
	}
	if again := fields.Encode(back); !bytes.Equal(again, text) {
		// A clock with odd seconds in its zone, say: what can be read back counts.
		if text = again; len(text) >= fields.MaxLine {
			return none, fields.Problems{{What: "the entry is too long"}}
		}
		if back, probs = fields.DecodeEntry(text); len(probs) > 0 {
			return none, probs
		}
	}
	return readyEntry{key: []byte(back.ID), text: text, entry: *back}, nil
}

// entropy is shared by the program's stores, so that ids made within one
// millisecond still grow.
var (
	entropyLock sync.Mutex
	entropy     = ulid.Monotonic(rand.Reader, 0)
)

// newID makes a ULID for an entry recorded at t. ULIDs know no time before
// 1970; a fact recorded earlier, which no farm has, takes their first moment.
func newID(t time.Time) string {
	var ms uint64
	if n := t.UnixMilli(); n > 0 && uint64(n) <= ulid.MaxTime() {
		ms = uint64(n)
	}
	entropyLock.Lock()
	defer entropyLock.Unlock()
	id, err := ulid.New(ms, entropy)
	if err != nil { // the counter ran over within one millisecond
		id = ulid.MustNew(ms, io.Reader(rand.Reader))
	}
	return id.String()
}
