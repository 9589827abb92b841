package journal

import (
	"bytes"
	"crypto/rand"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"

	"go.etcd.io/bbolt"
)

// writer is what the file keeps of one seat's chain.
type writer struct {
	Writer string `json:"writer"` // the seat's name and 8 random characters
	Length uint64 `json:"length"` // entries chained so far
	Head   string `json:"head"`   // hash of the last link in hex
}

// seat is a writer under the name its file keeps it by.
type seat struct {
	name string
	writer
}

// seatsOf reads the seats of a journal whose pages have been walked.
func seatsOf(path string, tx *bbolt.Tx) ([]seat, error) {
	var out []seat
	c := tx.Bucket(bucketWriters).Cursor()
	for k, v := c.First(); k != nil; k, v = c.Next() {
		x := seat{name: string(k)}
		if json.Unmarshal(v, &x.writer) != nil || x.Writer == "" {
			return nil, damaged(path, "the record of the seat %q cannot be read", k)
		}
		out = append(out, x)
	}
	return out, nil
}

const defaultSeat = "seat"

// seatName makes a key of what the caller calls the seat: letters, digits and
// . _ - of ASCII, at most 32.
func seatName(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '.', r == '_', r == '-':
			return r
		}
		return -1
	}, s)
	if len(s) > 32 {
		s = s[:32]
	}
	if s == "" {
		return defaultSeat
	}
	return s
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

// linkHash is the SHA-256 of the hash before, the ULID and the stored bytes.
func linkHash(before, id, stored []byte) [sha256.Size]byte {
	b := make([]byte, 0, sha256.Size+len(id)+len(stored))
	b = append(append(append(b, before...), id...), stored...)
	return sha256.Sum256(b)
}

var noHash [sha256.Size]byte // stands before the first link

func linkKey(writerID string, number uint64) []byte {
	k := append([]byte(writerID), 0)
	return binary.BigEndian.AppendUint64(k, number)
}

func splitLinkKey(k []byte) (writerID string, number uint64, ok bool) {
	if len(k) < 10 || k[len(k)-9] != 0 {
		return "", 0, false
	}
	return string(k[:len(k)-9]), binary.BigEndian.Uint64(k[len(k)-8:]), true
}

// chainer adds entries to one seat's chain within a transaction.
type chainer struct {
	seat    []byte
	w       writer
	head    []byte
	entries *bbolt.Bucket
	chain   *bbolt.Bucket
	writers *bbolt.Bucket
}

// chainOf finds or begins the chain of a seat. The last link is verified, so
// that nothing is added on top of damage at the end.
func chainOf(path string, tx *bbolt.Tx, seat string) (*chainer, error) {
	c := &chainer{
		seat:    []byte(seatName(seat)),
		head:    noHash[:],
		entries: tx.Bucket(bucketEntries), chain: tx.Bucket(bucketChain), writers: tx.Bucket(bucketWriters),
	}
	c.entries.FillPercent, c.chain.FillPercent = 1, 1 // keys mostly grow
	text := c.writers.Get(c.seat)
	if text == nil {
		c.w.Writer = newWriterID(string(c.seat))
		return c, nil
	}
	bad := damaged(path, "the chain of the seat %q does not end as it should; see `rimegate journal check`", c.seat)
	if json.Unmarshal(text, &c.w) != nil || c.w.Length == 0 {
		return nil, bad
	}
	link := c.chain.Get(linkKey(c.w.Writer, c.w.Length))
	id, hash, ok := splitLink(link)
	if !ok || hex.EncodeToString(hash) != c.w.Head {
		return nil, bad
	}
	before := noHash[:]
	if c.w.Length > 1 {
		_, h, ok := splitLink(c.chain.Get(linkKey(c.w.Writer, c.w.Length-1)))
		if !ok {
			return nil, bad
		}
		before = h
	}
	if got := linkHash(before, id, c.entries.Get(id)); !bytes.Equal(got[:], hash) {
		return nil, bad
	}
	c.head = bytes.Clone(hash)
	return c, nil
}

func splitLink(v []byte) (id, hash []byte, ok bool) {
	if len(v) != 26+sha256.Size {
		return nil, nil, false
	}
	return v[:26], v[26:], true
}

// add stores one entry and its link.
func (c *chainer) add(id, stored []byte) error {
	hash := linkHash(c.head, id, stored)
	c.head = hash[:]
	c.w.Length++
	if err := c.entries.Put(id, stored); err != nil {
		return err
	}
	return c.chain.Put(linkKey(c.w.Writer, c.w.Length), append(bytes.Clone(id), hash[:]...))
}

// finish stores where the chain ends.
func (c *chainer) finish() error {
	c.w.Head = hex.EncodeToString(c.head)
	text, err := json.Marshal(c.w)
	if err != nil {
		return err
	}
	return c.writers.Put(c.seat, text)
}

// flaw is one thing that is wrong with the chains.
type flaw struct{ entry, text string }

// verifyChains checks every chain of a snapshot against the entries: each link
// in its place with the right hash, each chain as long as its writer says, and
// every entry in exactly one link.
func verifyChains(s *snapshot) []flaw {
	var out []flaw
	bad := func(entry, format string, args ...any) { out = append(out, flaw{entry, fmt.Sprintf(format, args...)}) }
	stored := make(map[string][]byte, len(s.entries))
	for _, e := range s.entries {
		stored[string(e.key)] = e.value
	}
	known := map[string]bool{}
	for _, x := range s.seats {
		if known[x.Writer] {
			bad("", "two seats have the writer %q", x.Writer)
		}
		known[x.Writer] = true
	}
	linked := make(map[string]bool, len(s.entries))
	count := map[string]uint64{}
	head := map[string][]byte{}
	for _, l := range s.links { // keys sort by writer, then number
		name, number, ok := splitLinkKey(l.key)
		id, hash, ok2 := splitLink(l.value)
		if !ok || !ok2 {
			bad("", "a link of a chain cannot be read")
			continue
		}
		if !known[name] && count[name] == 0 {
			bad("", "the chain of %q belongs to no seat", name)
		}
		if number != count[name]+1 {
			bad(string(id), "the chain of %q jumps from %d to %d", name, count[name], number)
		}
		count[name] = number
		before := head[name]
		if before == nil {
			before = noHash[:]
		}
		head[name] = hash
		text, there := stored[string(id)]
		switch got := linkHash(before, id, text); {
		case !there:
			bad(string(id), "the entry is gone")
		case linked[string(id)]:
			bad(string(id), "the entry is chained twice")
		case !bytes.Equal(got[:], hash):
			bad(string(id), "the entry is not as it was written (its hash differs)")
		}
		linked[string(id)] = true
	}
	for _, x := range s.seats {
		if count[x.Writer] != x.Length || hex.EncodeToString(head[x.Writer]) != x.Head {
			bad("", "the chain of the seat %q does not end as it should (%d of %d entries)", x.name, count[x.Writer], x.Length)
		}
	}
	for _, e := range s.entries {
		if !linked[string(e.key)] {
			bad(string(e.key), "the entry is in no chain")
		}
	}
	return out
}
