package journal

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"go.etcd.io/bbolt"

	"rimegate/fields"
)

// Store is a journal file. It holds no open file: every operation opens,
// works and closes, so a Store may be used by several goroutines and a file by
// several programs at once.
type Store struct {
	Path    string
	Timeout time.Duration // how long to wait for the file's lock; 0 means 5 s
	Seat    string        // whose chain new entries join; "" means "seat"
	Settle  *Settle       // how Import and Merge settle conflicts of one id; nil refuses them
	Cache   string        // a folder of this computer's own for what makes a large journal faster to read; "" for none
	// Trace is told of every opening of the file, every walk of all its pages and
	// every step of a commit, if not nil: for tests.
	Trace func(step string)
}

// New returns the store of the file at path, which need not exist yet.
func New(path string) *Store { return &Store{Path: path} }

// Exists reports whether anything is at the store's path, be it a journal or not.
func (s *Store) Exists() bool { return taken(s.Path) }

// Create makes an empty journal with its mark, and its folder if need be. The
// file gets its name only when it is whole and on the disk. An existing file is never
// touched: the error then matches ErrExists.
func (s *Store) Create() error {
	if s.Exists() {
		return exists(s.Path)
	}
	err := makeFolder(filepath.Dir(s.Path))
	if err == nil {
		err = beside(s.Path, func(f *os.File) error {
			db, err := bbolt.Open(f.Name(), 0o600, &bbolt.Options{Timeout: leastTimeout, NoStatistics: true})
			if err != nil {
				return err
			}
			return errors.Join(db.Update(layOut), db.Close())
		}, func(tmp string) error { return placeMarked(tmp, s.Path) })
	}
	if err == nil || errors.Is(err, ErrExists) {
		return err
	}
	return fmt.Errorf("the journal %s could not be made (%w); check the folder and your rights to it", shown(s.Path), Cause(err))
}

// Content is what a journal holds.
type Content struct {
	Entries  []fields.Entry // by id
	LeftOut  int            // how many entries are not among them, see LoadLately
	Revision uint64         // one more after each commit
	Gaps     []Gap
	// Doubt is "", or what people must know of the journal on every list: that
	// its mark is missing, a commit was cut off, or entries are missing and
	// nobody has accepted that.
	Doubt string
	// Shared is how far the journal was exchanged with other seats, nil if it never was.
	Shared *Shared

	state  state
	writer string // the seat that wrote all of it, "" if several did
}

// Load reads the whole journal, verifies the chains and decodes every entry.
// Errors match ErrMissing or ErrLocked, or are a *DamagedError.
func (s *Store) Load() (*Content, error) {
	_, c, err := s.load()
	return c, err
}

func (s *Store) load() (snap *snapshot, c *Content, err error) {
	err = s.read(walkAll, func(tx *bbolt.Tx, v *verdict) (err error) {
		snap, err = s.take(tx, v)
		return err
	})
	if err == nil {
		c, err = s.content(snap) // those who want to write need not wait for it
	}
	return snap, c, err
}

// LoadLately is Load without the entries of closed seasons that cannot change an answer of
// the day now (in UTC) or later, given everything known (see fields.Sieve). All is verified.
func (s *Store) LoadLately(now fields.Date, ends func(plant string) bool) (c *Content, err error) {
	var known, more []fields.Entry // decoded to decide what is closed, and those kept besides
	var rest []pair
	var seats []string // of the rest
	k, listed := s.listOf(now), false
	err = s.reading(k, func(tx *bbolt.Tx, v *verdict, same bool) error {
		if same {
			if c, err = s.outline(tx, v); err == nil && k.take(s, tx, v, c) {
				listed = true
				return nil
			}
		}
		snap, err := s.within(tx, v)
		if err != nil {
			return err
		}
		found := make(chan error, 1)
		go func() {
			found <- safely(s.Path, func() (err error) {
				c, err = s.verified(snap)
				return err
			})
		}()
		verified := sync.OnceValue(func() error { return <-found })
		defer verified() // the pages stay until nobody reads them, even where sifting ends in a fault
		if k.some() {
			if err = verified(); err != nil {
				return err
			}
			if listed = k.take(s, tx, v, c); listed {
				return nil
			}
		}
		known, rest, seats, err = s.sift(snap, fields.NewSieve(now, len(snap.entries), ends), verified)
		return err
	})
	if err != nil {
		return nil, err
	}
	if !listed {
		if more, err = decodeAll(s.Path, rest, fields.DecodeInto); err != nil {
			return nil, err
		}
		for i := range seats {
			more[i].Seat = seats[i]
		}
		c.LeftOut -= len(known) + len(more)
		c.Entries = make([]fields.Entry, 0, len(known)+len(more))
		for len(known)+len(more) > 0 {
			from := &known
			if len(known) == 0 || len(more) > 0 && more[0].ID < known[0].ID {
				from = &more
			}
			c.Entries, *from = append(c.Entries, (*from)[0]), (*from)[1:]
		}
	}
	k.write(c)
	return c, nil
}

// Since returns what base was loaded as with the entries that were stored since, and those
// entries: they alone are read and verified. There is no content where more has changed than
// that some were added.
func (s *Store) Since(base *Content) (c *Content, more []fields.Entry, err error) {
	var fresh []pair
	var by []string // their seats, if there are several
	grew := false
	now := *base
	err = s.read(walkAll, func(tx *bbolt.Tx, v *verdict) (err error) {
		fresh, by, grew = grown(tx, &base.state, v)
		grew = grew && base.Doubt == "" && v.note == "" && base.state.Gaps == v.now.Gaps
		fresh = copied(fresh)
		now.Revision, now.state = v.now.Revision, v.now
		now.Shared, err = sharedOf(s.Path, tx)
		return err
	})
	if err == nil && grew {
		more, err = decodeAll(s.Path, fresh, fields.DecodeInto)
	}
	if err != nil || !grew {
		return nil, nil, err
	}
	now.Entries = slices.Concat(base.Entries, more)
	if len(now.state.Writers) > 1 {
		now.writer = ""
		for i := range base.Entries {
			now.Entries[i].Seat = cmp.Or(base.Entries[i].Seat, base.writer)
		}
		for i := range more {
			more[i].Seat = by[i]
			now.Entries[len(base.Entries)+i].Seat = by[i]
		}
	}
	slices.SortStableFunc(now.Entries, func(a, b fields.Entry) int { return strings.Compare(a.ID, b.ID) })
	return &now, more, nil
}

// sift decodes what is kept whatever comes, and copies the rest that is kept, with their seats
// if there are several. It looks at the entries while they are verified, and believes none before.
func (s *Store) sift(snap *snapshot, sieve *fields.Sieve, verified func() error) (known []fields.Entry, rest []pair, seats []string, err error) {
	must := make([]int, 0, len(snap.entries)/4)
	first := make([]pair, 0, len(snap.entries)/4)
	for i, p := range snap.entries {
		if sieve.Take(i, p.value) {
			must, first = append(must, i), append(first, p)
		}
	}
	if err = verified(); err == nil {
		known, err = decodeAll(s.Path, first, fields.DecodeInto)
	}
	if err != nil {
		return nil, nil, nil, err
	}
	for n, i := range must {
		sieve.Know(i, &known[n])
		if snap.by != nil {
			known[n].Seat = snap.by[i]
		}
	}
	kept := known[:0]
	for i, keep := range sieve.Keeps(func(i int) []byte { return snap.entries[i].key }) {
		switch first := len(must) > 0 && must[0] == i; {
		case first:
			if must = must[1:]; keep {
				kept = append(kept, known[0])
			}
			known = known[1:]
		case keep:
			rest = append(rest, snap.entries[i])
			if snap.by != nil {
				seats = append(seats, snap.by[i])
			}
		}
	}
	return kept, copied(rest), seats, nil
}

// content verifies and decodes a snapshot.
func (s *Store) content(snap *snapshot) (*Content, error) {
	c, err := s.verified(snap)
	if err != nil {
		return nil, err
	}
	if c.Entries, err = decodeAll(s.Path, snap.entries, fields.DecodeInto); err != nil {
		return nil, err
	}
	for i := range snap.by {
		c.Entries[i].Seat = snap.by[i]
	}
	c.LeftOut = 0
	return c, nil
}

// verified verifies a snapshot. Its entries are still to be decoded.
func (s *Store) verified(snap *snapshot) (*Content, error) {
	if flaws := verifyChains(snap); len(flaws) > 0 {
		text := flaws[0].text
		if id := flaws[0].entry; id != "" {
			text = fmt.Sprintf("entry %q: %s", id, text)
		}
		if n := len(flaws) - 1; n > 0 {
			text += fmt.Sprintf(", and %d more such findings", n)
		}
		return nil, damaged(s.Path, "%s", text)
	}
	return snap.outline(snap.has), nil
}

// outline is the content of a journal whose bytes are known to be verified, without its entries.
func (s *Store) outline(tx *bbolt.Tx, v *verdict) (*Content, error) {
	snap, err := s.around(tx, v)
	return snap.outline(func(id string) bool { return tx.Bucket(bucketEntries).Get([]byte(id)) != nil }), err
}

// outline is the content but for the entries, which are still to be decoded.
func (snap *snapshot) outline(has func(id string) bool) *Content {
	c := &Content{
		LeftOut: len(snap.entries), Revision: snap.Revision, Gaps: snap.gaps, Doubt: snap.doubt, Shared: snap.shared, state: snap.state,
	}
	if len(snap.seats) == 1 {
		c.writer = snap.seats[0].name
	}
	for i := range c.Gaps {
		g := &c.Gaps[i]
		if text := g.Words(has); text != "" && !g.Accepted() {
			if c.Doubt != "" {
				c.Doubt += "; "
			}
			c.Doubt += text + "; until they are found, treat what they may have said as not known (`rimegate journal accept` ends this line)"
		}
	}
	return c
}

// has reports whether an entry of that id is there.
func (s *snapshot) has(id string) bool {
	_, found := s.find([]byte(id))
	return found
}

// find is the place of an entry, or where it would stand.
func (s *snapshot) find(id []byte) (int, bool) {
	return slices.BinarySearchFunc(s.entries, id, func(p pair, key []byte) int { return bytes.Compare(p.key, key) })
}

// decodeAll decodes stored entries, on all processors if there are many: most
// of the time of a start goes into this. The error is that of the first entry
// that cannot be read, whichever processor met one first.
func decodeAll(path string, stored []pair, as func(*fields.Entry, string) fields.Problems) ([]fields.Entry, error) {
	out := make([]fields.Entry, len(stored))
	fields.HoldTexts(len(stored))
	parts := min(runtime.GOMAXPROCS(0), 1+len(stored)/1000)
	bad := make([]*DamagedError, parts)
	var wait sync.WaitGroup
	for n := range parts {
		from, to := n*len(stored)/parts, (n+1)*len(stored)/parts
		wait.Go(func() {
			for i := from; i < to && bad[n] == nil; i++ {
				bad[n] = decode(path, stored[i], &out[i], as)
			}
		})
	}
	wait.Wait()
	if bad := cmp.Or(bad...); bad != nil {
		return nil, bad
	}
	return out, nil
}

// decode reads the entry that is stored under a key into e.
func decode(path string, p pair, e *fields.Entry, as func(*fields.Entry, string) fields.Problems) *DamagedError {
	probs := as(e, string(p.value))
	switch {
	case len(probs) > 0:
		return damaged(path, "entry %q cannot be read: %v", p.key, probs[0])
	case e.ID != string(p.key):
		return damaged(path, "entry %q calls itself %q", p.key, e.ID)
	}
	return nil
}

// Revision returns how many commits the journal has seen. It is cheap: a
// program that watches for others' entries compares it with the one it has.
func (s *Store) Revision() (uint64, error) {
	var n uint64
	err := s.read(walkRoot, func(tx *bbolt.Tx, _ *verdict) error {
		n = tx.Bucket(bucketMeta).Sequence()
		return nil
	})
	return n, err
}
