package journal

import (
	"bytes"
	"cmp"
	"crypto/rand"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"go.etcd.io/bbolt"

	"rimegate/fields/lazy"
)

// seat is what the file keeps of one seat's chain.
type seat struct {
	name   string // it is kept by
	Writer string `json:"writer"` // the name and 8 random characters
	tip
}

// readSeat reads the record of a seat; not ok if it cannot be one.
func readSeat(name, text []byte) (seat, bool) {
	x := seat{name: string(name)}
	ok := json.Unmarshal(text, &x) == nil && x.Writer != ""
	return x, ok
}

// seatsOf reads the seats of a journal whose pages have been walked.
func seatsOf(path string, tx *bbolt.Tx) ([]seat, error) {
	var out []seat
	c := tx.Bucket(bucketWriters).Cursor()
	for k, v := c.First(); k != nil; k, v = c.Next() {
		x, ok := readSeat(k, v)
		if !ok {
			return nil, damaged(path, "the record of the seat %q cannot be read", k)
		}
		out = append(out, x)
	}
	return out, nil
}

var notInSeat = lazy.Regexp(`[^A-Za-z0-9._-]`)

// seatName makes a key of what the caller calls the seat, of at most 32 bytes.
func seatName(s string) string {
	s = notInSeat().ReplaceAllString(s, "")
	return cmp.Or(s[:min(len(s), 32)], "seat")
}

// newWriterID tells two seats of one name apart when their journals meet.
func newWriterID(seat string) string {
	const letters = "0123456789abcdefghjkmnpqrstvwxyz" // 32: no letter is likelier than another
	var b [8]byte
	_, _ = rand.Read(b[:]) // never fails
	for i := range b {
		b[i] = letters[b[i]%32]
	}
	return seat + "-" + string(b[:])
}

// link is one place of a chain as it is stored: a ULID and a hash.
type link []byte

const idSize = 26

// noLink stands before the first link.
var noLink = make(link, idSize+sha256.Size)

func (l link) sound() bool  { return len(l) == len(noLink) }
func (l link) id() []byte   { return l[:idSize] }
func (l link) hash() []byte { return l[idSize:] }
func (l link) head() string { return hex.EncodeToString(l.hash()) }

// linkHash is the SHA-256 of the hash before, the ULID and the stored bytes.
func linkHash(before link, id, stored []byte) [sha256.Size]byte {
	room := make([]byte, 0, 1<<10) // for most: of a journal of decades each is hashed on every start
	return sha256.Sum256(append(append(append(room, before.hash()...), id...), stored...))
}

// proves reports whether the link, behind another, vouches for an entry's bytes.
func (l link) proves(before link, stored []byte) bool {
	sum := linkHash(before, l.id(), stored)
	return bytes.Equal(l.hash(), sum[:])
}

func linkKey(writerID string, number uint64) []byte {
	k := append([]byte(writerID), 0)
	return binary.BigEndian.AppendUint64(k, number)
}

func splitLinkKey(k []byte) (writerID []byte, number uint64, ok bool) {
	if len(k) < 10 || k[len(k)-9] != 0 {
		return nil, 0, false
	}
	return k[:len(k)-9], binary.BigEndian.Uint64(k[len(k)-8:]), true
}

// chainer adds entries to one seat's chain within a transaction.
type chainer struct {
	seat                    seat
	grew                    bool
	last                    link
	entries, chain, writers *bbolt.Bucket
}

// chainOf finds or begins the chain of a seat. The last link is verified, so
// that nothing is added on top of damage at the end.
func chainOf(path string, tx *bbolt.Tx, name string) (*chainer, error) {
	c := &chainer{
		seat: seat{name: seatName(name)}, last: noLink,
		entries: tx.Bucket(bucketEntries), chain: tx.Bucket(bucketChain), writers: tx.Bucket(bucketWriters),
	}
	c.entries.FillPercent, c.chain.FillPercent = 1, 1 // keys mostly grow
	text := c.writers.Get([]byte(c.seat.name))
	if text == nil {
		c.seat.Writer = newWriterID(c.seat.name)
		return c, nil
	}
	at := func(number uint64) link { return c.chain.Get(linkKey(c.seat.Writer, number)) }
	var ok bool
	c.seat, ok = readSeat([]byte(c.seat.name), text)
	last, before := link(bytes.Clone(at(c.seat.Length))), noLink // there is no link 0
	if c.seat.Length > 1 {
		before = at(c.seat.Length - 1)
	}
	if !ok || !last.sound() || !before.sound() || last.head() != c.seat.Head || !last.proves(before, c.entries.Get(last.id())) {
		return nil, damaged(path, "the chain of the seat %q does not end as it should; see `rimegate journal check`", c.seat.name)
	}
	c.last = last
	return c, nil
}

// add stores one entry and its link.
func (c *chainer) add(id, stored []byte) error {
	sum := linkHash(c.last, id, stored)
	c.last = slices.Concat(id, sum[:])
	c.seat.Length++
	c.grew = true
	return errors.Join(c.entries.Put(id, stored), c.chain.Put(linkKey(c.seat.Writer, c.seat.Length), c.last))
}

// finish stores where the chain ends, if it grew.
func (c *chainer) finish() error {
	if !c.grew {
		return nil
	}
	c.seat.Head = c.last.head()
	text, err := json.Marshal(c.seat)
	if err != nil {
		return err
	}
	return c.writers.Put([]byte(c.seat.name), text)
}

// added returns the entries that a writer's chain has grown by; not ok unless each of their
// links is proved, from where the chain ended to where it ends.
func added(tx *bbolt.Tx, writer string, was, is tip) (out []pair, ok bool) {
	at := func(number uint64) link { return tx.Bucket(bucketChain).Get(linkKey(writer, number)) }
	before := noLink
	if was.Length > 0 {
		if before = at(was.Length); !before.sound() || before.head() != was.Head {
			return nil, false
		}
	}
	for n := was.Length + 1; n <= is.Length; n++ {
		l := at(n)
		if !l.sound() {
			return nil, false
		}
		p := pair{l.id(), tx.Bucket(bucketEntries).Get(l.id())}
		if !l.proves(before, p.value) {
			return nil, false
		}
		out, before = append(out, p), l
	}
	return out, before.head() == is.Head
}

// grown returns the entries by which a journal has grown from a state, with their seats; not ok
// if it did anything else since.
func grown(tx *bbolt.Tx, was *state, v *verdict) (fresh []pair, by []string, ok bool) {
	seats := map[string]string{}
	for _, x := range v.seats {
		seats[x.Writer] = x.name
	}
	for w, before := range was.Writers {
		if v.now.Writers[w].Length < before.Length {
			return nil, nil, false
		}
	}
	for w, is := range v.now.Writers {
		links, ok := added(tx, w, was.Writers[w], is)
		if !ok {
			return nil, nil, false
		}
		for _, p := range links {
			fresh, by = append(fresh, p), append(by, seats[w])
		}
	}
	return fresh, by, true
}

// flaw is one thing that is wrong with the chains.
type flaw struct{ entry, text string }

// verifyChains checks every chain of a snapshot against the entries: each link
// in its place with the right hash, each chain as long as its writer says, and
// every entry in exactly one link.
func verifyChains(s *snapshot) []flaw {
	var out []flaw
	bad := func(entry, format string, args ...any) { out = append(out, flaw{entry, fmt.Sprintf(format, args...)}) }
	next := 0 // entries mostly stand in the order in which they were chained
	find := func(id []byte) (int, bool) {
		i, there := next, next < len(s.entries) && bytes.Equal(s.entries[next].key, id)
		if !there {
			i, there = s.find(id)
		}
		next = i + 1
		return i, there
	}
	type end struct {
		number uint64
		link   link
	}
	ends := map[string]*end{} // by writer, as far as the links were followed
	seats := map[string]string{}
	if len(s.seats) > 1 {
		s.by = make([]string, len(s.entries))
	}
	for _, x := range s.seats {
		seats[x.Writer] = x.name
		if ends[x.Writer] != nil {
			bad("", "two seats have the writer %q", x.Writer)
		}
		ends[x.Writer] = &end{link: noLink}
	}
	chained := make([]bool, len(s.entries))
	for key, value := range s.links { // keys sort by writer, then number
		name, number, ok := splitLinkKey(key)
		l := link(value)
		if !ok || !l.sound() {
			bad("", "a link of a chain cannot be read")
			continue
		}
		was := ends[string(name)]
		if was == nil {
			bad("", "the chain of %q belongs to no seat", name)
			was = &end{link: noLink}
			ends[string(name)] = was
		}
		id := l.id()
		if number != was.number+1 {
			bad(string(id), "the chain of %q jumps from %d to %d", name, was.number, number)
		}
		switch i, there := find(id); {
		case !there:
			bad(string(id), "the entry is gone")
		case chained[i]:
			bad(string(id), "the entry is chained twice")
		default:
			chained[i] = true
			if s.by != nil {
				s.by[i] = seats[string(name)]
			}
			if !l.proves(was.link, s.entries[i].value) {
				bad(string(id), "the entry is not as it was written (its hash differs)")
			}
		}
		was.number, was.link = number, l
	}
	for _, x := range s.seats {
		if e := ends[x.Writer]; e.number != x.Length || e.link.head() != x.Head {
			bad("", "the chain of the seat %q does not end as it should (%d of %d entries)", x.name, e.number, x.Length)
		}
	}
	for i, e := range s.entries {
		if !chained[i] {
			bad(string(e.key), "the entry is in no chain")
		}
	}
	return out
}
