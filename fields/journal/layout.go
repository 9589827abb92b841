package journal

import (
	"errors"
	"iter"
	"strconv"

	"go.etcd.io/bbolt"
)

// Schema is the version of the file's layout that this package writes.
const Schema = 1

var (
	bucketMeta    = []byte("meta")
	bucketEntries = []byte("entries")
	bucketWriters = []byte("writers")
	bucketChain   = []byte("chain")
	keySchema     = []byte("schema")
)

// layOut makes the buckets of an empty journal.
func layOut(tx *bbolt.Tx) error {
	for _, name := range [][]byte{bucketMeta, bucketEntries, bucketWriters, bucketChain} {
		if _, err := tx.CreateBucket(name); err != nil {
			return err
		}
	}
	return tx.Bucket(bucketMeta).Put(keySchema, []byte(strconv.Itoa(Schema)))
}

func checkSchema(path string, tx *bbolt.Tx) error {
	foreign := damaged(path, "it is a database, but not one of entries")
	meta := tx.Bucket(bucketMeta)
	if meta == nil {
		return foreign
	}
	text := string(meta.Get(keySchema))
	n, err := strconv.Atoi(text)
	switch {
	case err != nil || n < 1:
		return foreign
	case n > Schema:
		return &DamagedError{Path: path, newer: true, What: "a newer version of this program wrote it (schema " + strconv.Itoa(n) +
			", known here up to " + strconv.Itoa(Schema) + "); update the program on this computer"}
	}
	for _, name := range [][]byte{bucketEntries, bucketWriters, bucketChain} {
		if tx.Bucket(name) == nil {
			return damaged(path, "its list of %s is gone", name)
		}
	}
	return nil
}

// pair is a key and value copied out of a bucket.
type pair struct{ key, value []byte }

// snapshot is everything a journal file holds.
type snapshot struct {
	state          // how far it was written
	entries []pair // ULID -> canonical JSON
	seats   []seat
	by      []string                  // seat by entry, once the chains are verified; nil if there is one seat
	links   iter.Seq2[[]byte, []byte] // writer and number -> ULID and hash
	gaps    []Gap
	doubt   string
	shared  *Shared
}

// take copies everything out of a transaction.
func (s *Store) take(tx *bbolt.Tx, v *verdict) (*snapshot, error) {
	snap, err := s.within(tx, v)
	snap.entries = copied(snap.entries)
	links := copied(pairs(snap.links, len(snap.entries)))
	snap.links = func(yield func(k, v []byte) bool) {
		for i := 0; i < len(links) && yield(links[i].key, links[i].value); i++ {
		}
	}
	return snap, err
}

// within is everything in bbolt's own bytes, which are valid in the transaction only.
func (s *Store) within(tx *bbolt.Tx, v *verdict) (*snapshot, error) {
	snap, err := s.around(tx, v)
	about := 0 // how many entries there should be
	for _, x := range v.seats {
		about += int(min(x.Length, 1<<20))
	}
	snap.entries, snap.links = pairs(all(tx.Bucket(bucketEntries)), about), all(tx.Bucket(bucketChain))
	return snap, err
}

// around is what a journal says besides its entries.
func (s *Store) around(tx *bbolt.Tx, v *verdict) (*snapshot, error) {
	gaps, err := gapsOf(s.Path, tx)
	shared, serr := sharedOf(s.Path, tx)
	return &snapshot{state: v.now, gaps: gaps, seats: v.seats, doubt: v.note, shared: shared}, errors.Join(err, serr)
}

// all yields what a bucket holds, in order.
func all(b *bbolt.Bucket) iter.Seq2[[]byte, []byte] {
	return func(yield func(k, v []byte) bool) {
		c := b.Cursor()
		for k, v := c.First(); k != nil && yield(k, v); k, v = c.Next() {
		}
	}
}

// pairs lists about so many keys.
func pairs(seq iter.Seq2[[]byte, []byte], about int) []pair {
	out := make([]pair, 0, min(about, 1<<20))
	for k, v := range seq {
		out = append(out, pair{k, v})
	}
	return out
}

// copied copies pairs, in place.
func copied(out []pair) []pair {
	size := 0
	for _, p := range out {
		size += len(p.key) + len(p.value)
	}
	block := make([]byte, 0, size) // many small copies share one allocation
	put := func(x []byte) []byte {
		n := len(block)
		block = append(block, x...)
		return block[n:len(block):len(block)]
	}
	for i, p := range out {
		out[i] = pair{put(p.key), put(p.value)}
	}
	return out
}
