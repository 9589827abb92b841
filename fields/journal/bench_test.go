package journal

import (
	"fmt"
	"path/filepath"
	"testing"

	"go.etcd.io/bbolt"

	"rimegate/fields"
)

// BenchmarkAppend compares one entry appended, checks, chain and all, with the
// least bbolt can do: open, put, commit, close.
func BenchmarkAppend(b *testing.B) {
	for _, n := range []int{100, 10_000} {
		s := filled(b, n)
		b.Run(fmt.Sprintf("%d/journal", n), func(b *testing.B) {
			for b.Loop() {
				mustAppend(b, s, sighting("a frost of last night, seen on the grass at the gate"))
			}
		})
		plain := filled(b, n)
		b.Run(fmt.Sprintf("%d/plain", n), func(b *testing.B) {
			e := sighting("a frost of last night, seen on the grass at the gate")
			i := 0
			for b.Loop() {
				i++
				e.ID = fmt.Sprintf("7ZZZZZZZZZ%016d", i)
				db, err := bbolt.Open(plain.Path, 0o600, nil)
				if err != nil {
					b.Fatal(err)
				}
				if err := db.Update(func(tx *bbolt.Tx) error {
					return tx.Bucket(bucketEntries).Put([]byte(e.ID), fields.Encode(&e))
				}); err != nil {
					b.Fatal(err)
				}
				if err := db.Close(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkLoad compares a whole load, verified and decoded, with a plain scan
// of the same file and with decoding alone.
func BenchmarkLoad(b *testing.B) {
	s := filled(b, 10_000)
	b.Run("journal", func(b *testing.B) {
		for b.Loop() {
			if _, err := s.Load(); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("scan", func(b *testing.B) {
		for b.Loop() {
			db, err := bbolt.Open(s.Path, 0o600, &bbolt.Options{ReadOnly: true})
			if err != nil {
				b.Fatal(err)
			}
			n := 0
			_ = db.View(func(tx *bbolt.Tx) error {
				return tx.Bucket(bucketEntries).ForEach(func(k, v []byte) error { n += len(k) + len(v); return nil })
			})
			if err := db.Close(); err != nil || n == 0 {
				b.Fatal(err)
			}
		}
	})
	b.Run("decode", func(b *testing.B) {
		c := mustLoad(b, s)
		lines := make([][]byte, len(c.Entries))
		for i := range c.Entries {
			lines[i] = fields.Encode(&c.Entries[i])
		}
		for b.Loop() {
			for _, l := range lines {
				if _, ps := fields.DecodeEntry(l); len(ps) > 0 {
					b.Fatal(ps)
				}
			}
		}
	})
	b.Run("revision", func(b *testing.B) {
		for b.Loop() {
			if _, err := s.Revision(); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// filled makes a journal of n readings and frosts.
func filled(b *testing.B, n int) *Store {
	b.Helper()
	s := New(filepath.Join(b.TempDir(), "farm.journal"))
	if err := s.Create(); err != nil {
		b.Fatal(err)
	}
	src := seeded(30)
	list := make([]fields.Entry, n)
	kinds := []fields.Kind{fields.KindReading, fields.KindFrost, fields.KindWalk, fields.KindGrazed}
	i := 0
	for _, e := range randomEntries(src, n) { // for ids and signers
		low := -float64(i%80) / 10
		list[i] = fields.Entry{ID: e.ID, Recorded: e.Recorded, By: "sam", On: fields.MakeDate(2026, 9, 17)}
		switch kinds[i%len(kinds)] {
		case fields.KindReading:
			list[i].Body = &fields.Reading{Station: "yard", Night: fields.MakeDate(2026, 9, 17), LowC: &low, Source: "logger in the yard"}
		case fields.KindFrost:
			list[i].Body = &fields.Frost{Paddocks: []string{"north-slough", "creek", "hill"}, Night: fields.MakeDate(2026, 9, 17), LowC: &low}
		case fields.KindWalk:
			list[i].Body = &fields.Walk{Paddock: "north-slough", Killed: "part", ShortestCM: new(float64(40)), Alive: []string{"oats"}}
		case fields.KindGrazed:
			list[i].Body = &fields.Grazed{Paddock: "creek", State: "in", Herd: "pairs"}
		}
		i++
	}
	if _, err := s.Import(list); err != nil {
		b.Fatal(err)
	}
	return s
}
