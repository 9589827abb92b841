package journal

import (
	"bytes"
	"crypto/rand"
	"fmt"
	"io"
	"reflect"
	"slices"
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
	return s.AppendTo(nil, slices.Clone(entries))
}

// AppendTo is Append to the journal as it was loaded a moment ago, which is not
// read and verified again. If anything was written to it since, nothing is stored
// and the error matches ErrMoved. With nil the journal is read first. What it returns
// stands in place of the entries given.
func (s *Store) AppendTo(base *Content, fresh []fields.Entry) ([]fields.Entry, error) {
	for i := range fresh {
		if fresh[i].ID == "" {
			fresh[i].ID = newID(fresh[i].Recorded)
		}
	}
	in := intake{store: s}
	if err := in.run(base, fresh, nil); err != nil {
		return nil, err
	}
	for i := range in.ready {
		fresh[i] = in.ready[i].entry
	}
	return fresh, nil
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
// *ConflictError, unless the store settles it. Entries are checked as Append
// does it. The gaps of the text or the other journal are taken in too.
func (s *Store) Import(entries []fields.Entry, gaps ...Gap) (ImportReport, error) {
	in := intake{store: s, settle: s.Settle}
	err := in.run(nil, entries, gaps)
	return in.rep, err
}

// Merge brings in every entry of another journal file, which is only read.
func (s *Store) Merge(otherPath string) (ImportReport, error) {
	snap, c, err := (&Store{Path: otherPath, Timeout: s.Timeout}).load()
	if err != nil {
		return ImportReport{}, err
	}
	if c.writer != "" {
		for i := range c.Entries {
			c.Entries[i].Seat = c.writer
		}
	}
	in := intake{store: s, settle: s.Settle}
	if in.ready, err = prepare(c.Entries, snap.entries...); err == nil {
		_, err = in.write(nil, c.Gaps)
	}
	return in.rep, err
}

// intake is one writing of entries.
type intake struct {
	*chainer // of this computer's seat
	chains   map[string]*chainer
	store    *Store
	settle   *Settle
	ready    []readyEntry
	clashes  []clash
	rep      ImportReport
	exchange *exchange // what came from other seats, nil of anything else
	last     []byte    // the largest id that is stored
}

func (in *intake) run(base *Content, entries []fields.Entry, gaps []Gap) (err error) {
	if in.ready, err = prepare(entries); err != nil {
		return err
	}
	_, err = in.write(base, gaps)
	return err
}

// write stores what was prepared, and returns where the journal stands then.
func (in *intake) write(base *Content, gaps []Gap) (state, error) {
	room := 0
	for i := range in.ready {
		room += len(in.ready[i].text) + besideText
	}
	now, err := in.store.write(base, room, func(tx *bbolt.Tx) (err error) {
		in.chains = map[string]*chainer{}
		if in.chainer, err = in.chainOf(tx, in.store.Seat); err != nil {
			return err
		}
		in.last, _ = in.entries.Cursor().Last()
		for _, r := range byKey(in.ready) {
			if err := in.take(tx, r); err != nil {
				return err
			}
		}
		if err := in.settleAll(); err != nil {
			return err
		}
		for _, g := range gaps {
			changed, err := putGap(tx, g)
			if err != nil {
				return err
			}
			if changed {
				in.rep.Gaps++
			}
		}
		if in.exchange == nil && in.rep.Added+in.rep.Gaps == 0 {
			return errNothing
		}
		for _, c := range in.chains {
			if err := c.finish(); err != nil {
				return err
			}
		}
		if in.exchange != nil {
			return in.exchange.put(tx)
		}
		return nil
	})
	if err != nil {
		in.rep = ImportReport{}
	}
	return now, err
}

// besideText is about what an entry takes up besides its text: its id, its link, and the heads
// of both.
const besideText = 160

// maxSeats is how many chains of other seats a journal keeps apart: the record beside it
// names each.
const maxSeats = 200

// chainOf is the chain of a seat, of this computer's where there are too many.
func (in *intake) chainOf(tx *bbolt.Tx, name string) (*chainer, error) {
	name = seatName(name)
	if c := in.chains[name]; c != nil {
		return c, nil
	}
	if w := tx.Bucket(bucketWriters); w.Get([]byte(name)) == nil && in.chainer != nil && w.Inspect().KeyN+len(in.chains) > maxSeats {
		return in.chainer, nil
	}
	c, err := chainOf(in.store.Path, tx, name)
	in.chains[name] = c
	return c, err
}

// byKey returns entries in the order of their ids: in any other, bbolt makes room for
// each among all that came before.
func byKey(ready []readyEntry) []*readyEntry {
	out := make([]*readyEntry, len(ready))
	for i := range ready {
		out[i] = &ready[i]
	}
	slices.SortStableFunc(out, func(a, b *readyEntry) int { return bytes.Compare(a.key, b.key) })
	return out
}

// take adds one entry if it is new.
func (in *intake) take(tx *bbolt.Tx, r *readyEntry) error {
	var was []byte
	if bytes.Compare(r.key, in.last) > 0 { // which is mostly so, and needs no search
		in.last = r.key
	} else {
		was = in.entries.Get(r.key)
	}
	switch {
	case was == nil:
		c := in.chainer
		if r.entry.Seat != "" {
			var err error
			if c, err = in.chainOf(tx, r.entry.Seat); err != nil {
				return err
			}
		}
		in.rep.Added++
		err := c.add(r.key, r.text)
		r.at = spot{c.seat.Writer, c.seat.Length}
		return err
	case bytes.Equal(was, r.text):
		r.same = true
		in.rep.Same++
		return nil
	}
	old, probs := fields.DecodeEntry(was)
	switch {
	case len(probs) > 0:
		return damaged(in.store.Path, "entry %q cannot be read: %v", r.key, probs[0])
	case bytes.Equal(fields.Encode(old), r.text): // an older version wrote the same facts in another form
		r.same = true
		in.rep.Same++
	default:
		in.clashes = append(in.clashes, clash{old, &r.entry})
	}
	return nil
}

// settleAll deals with the conflicts of an import whose other entries are in
// already: those that were settled before count as the same, the others are
// settled as asked, or refused.
func (in *intake) settleAll() error {
	if len(in.clashes) == 0 {
		return nil
	}
	b := in.known()
	var conflict *ConflictError
	for _, x := range in.clashes {
		switch {
		case b.isSettled(x):
			in.rep.Same++
			continue
		case in.exchange != nil:
			in.exchange.aside = append(in.exchange.aside, *x.theirs)
			continue
		case conflict != nil:
			conflict.More++
			continue
		case in.settle == nil:
			conflict = &ConflictError{ID: x.ours.ID, Present: *x.ours, Coming: *x.theirs}
			continue
		}
		list, err := in.settle.entries(b, x)
		if err != nil {
			return err
		}
		more, err := prepare(list)
		if err != nil {
			return err
		}
		for i := range more {
			if in.entries.Get(more[i].key) == nil { // else of an earlier decision
				in.rep.Added++
				if err := in.add(more[i].key, more[i].text); err != nil {
					return err
				}
			}
		}
		in.rep.Settled++
	}
	if conflict != nil {
		return conflict
	}
	return nil
}

// readyEntry is an entry that passed every check, and its stored form.
type readyEntry struct {
	key, text []byte
	entry     fields.Entry
	same      bool // it is in the journal already
	at        spot
}

// prepare checks entries and encodes them. What is stored is read back first:
// an entry that could be written but not read would lock its farm out of the
// journal. Of entries of another journal what they were read from is given, too.
func prepare(entries []fields.Entry, from ...pair) ([]readyEntry, error) {
	out := make([]readyEntry, len(entries))
	p := preparer{room: min(len(entries)*usualText, textRoom)}
	var all fields.Problems
	for i := range entries {
		if from != nil && len(from[i].value) < fields.MaxLine {
			p.again = fields.AppendEncoded(p.again[:0], &entries[i])
			if bytes.Equal(p.again, from[i].value) {
				out[i] = readyEntry{key: from[i].key, text: from[i].value, entry: entries[i]} // checked when it was read
				continue
			}
		}
		for _, p := range p.prepare(&entries[i], &out[i]) {
			if len(entries) > 1 {
				p.Line = i + 1
			}
			all = append(all, p)
		}
	}
	return out, all.Err()
}

// Bytes of an entry's text, mostly, and of those of many that share their memory.
const (
	usualText = 320
	textRoom  = 64 << 10
)

// preparer prepares one entry after the other.
type preparer struct {
	room  int
	texts []byte // of the last entries
	again []byte // a text that is compared
}

func (p *preparer) encode(e *fields.Entry) []byte {
	if cap(p.texts)-len(p.texts) < usualText {
		p.texts = make([]byte, 0, p.room)
	}
	n := len(p.texts)
	p.texts = fields.AppendEncoded(p.texts, e)
	return p.texts[n:len(p.texts):len(p.texts)]
}

// prepare checks one entry and encodes it into r.
func (p *preparer) prepare(e *fields.Entry, r *readyEntry) fields.Problems {
	seat := e.Seat
	if v := reflect.ValueOf(e.Body); !v.IsValid() || v.Kind() == reflect.Pointer && v.IsNil() {
		return fields.Problems{{Field: "kind", What: "is missing"}}
	}
	if e.ID == "" {
		return fields.Problems{{Field: "id", What: "is missing", Type: "an entry that comes in needs its id, or it would come in again next time"}}
	}
	if probs := fields.Check(e); len(probs) > 0 {
		return probs
	}
	for {
		text := p.encode(e)
		if len(text) >= fields.MaxLine {
			return fields.Problems{{What: fmt.Sprintf("the entry is longer than %d bytes", fields.MaxLine-1), Type: "shorten its note"}}
		}
		r.entry = fields.Entry{}
		if probs := fields.DecodeInto(&r.entry, string(text)); len(probs) > 0 {
			return probs
		}
		p.again = fields.AppendEncoded(p.again[:0], &r.entry)
		if bytes.Equal(p.again, text) {
			r.key, r.text, r.entry.Seat = []byte(r.entry.ID), text, seat
			return nil
		}
		back := r.entry // a clock with odd seconds in its zone, say: what can be read back counts
		e = &back
	}
}

// entropy is shared by the program's stores, so that ids made within one
// millisecond still grow.
var entropy = &ulid.LockedMonotonicReader{MonotonicReader: ulid.Monotonic(rand.Reader, 0)}

// newID makes a ULID for an entry recorded at t. ULIDs know no time before
// 1970; a fact recorded earlier, which no farm has, takes their first moment.
func newID(t time.Time) string {
	var ms uint64
	if n := t.UnixMilli(); n > 0 && uint64(n) <= ulid.MaxTime() {
		ms = uint64(n)
	}
	id, err := ulid.New(ms, entropy)
	if err != nil { // the counter ran over within one millisecond
		id = ulid.MustNew(ms, io.Reader(rand.Reader))
	}
	return id.String()
}

// NewBatch makes the id that the entries of one import carry.
func NewBatch(at time.Time) string { return newID(at) }
