package journal

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"rimegate/fields"
)

// soundFile makes a journal of some size and returns its bytes, its size of a
// page and its entries.
func soundFile(t testing.TB) (data []byte, pageSize int, entries []fields.Entry) {
	t.Helper()
	s, pageSize := soundStore(t)
	return fileBytes(t, s.Path), pageSize, mustLoad(t, s).Entries
}

func fileBytes(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func soundStore(t testing.TB) (*Store, int) {
	t.Helper()
	s := New(filepath.Join(t.TempDir(), "sound.journal"))
	if err := s.Create(); err != nil {
		t.Fatal(err)
	}
	src := seeded(5)
	for _, seat := range []string{"shop", "house"} {
		s.Seat = seat
		for range 5 {
			mustAppend(t, s, randomEntries(src, 12)...)
		}
	}
	mustAppend(t, s, sighting("find me"))
	data := fileBytes(t, s.Path)
	h, bad := readHeader(bytes.NewReader(data), int64(len(data)))
	if bad != "" {
		t.Fatal(bad)
	}
	return s, int(h.pageSize)
}

// database writes a bbolt file that is not, or not quite, a journal.
func database(t *testing.T, change func(*bbolt.Tx) error) []byte {
	t.Helper()
	s := New(filepath.Join(t.TempDir(), "changed.journal"))
	if err := s.Create(); err != nil {
		t.Fatal(err)
	}
	mustAppend(t, s, sighting("one"), sighting("two"))
	db, err := bbolt.Open(s.Path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := db.Update(change); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(s.Path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// Each damaged file is met with its words by every operation, and stays as it is.
func TestDamagedFiles(t *testing.T) {
	sound, pageSize, _ := soundFile(t)
	edit := func(change func(b []byte) []byte) []byte { return change(bytes.Clone(sound)) }
	cases := []struct {
		name     string
		data     []byte
		words    string
		writable bool // Append does not read what is wrong; Load and Check do
	}{
		{"empty", nil, "it is empty (0 bytes)", false},
		{"one byte", []byte("x"), "not a journal file", false},
		{"text", []byte(strings.Repeat("the frost of Thu 17 Sep 2026\n", 2000)), "not a journal file", false},
		{"an export", bytes.Repeat([]byte(`{"id":"01J8ZQ4V7W0000000000000001","kind":"read"}`+"\n"), 400), "not a journal file", false},
		{"zeros", make([]byte, 65536), "not a journal file", false},
		{"one page", sound[:pageSize], "its end is cut off", false},
		{"half of it", sound[:len(sound)/2], "its end is cut off", false},
		{"both beginnings lost", edit(func(b []byte) []byte { clear(b[:2*pageSize]); return b }), "not a journal file", false},
		{"a foreign database", database(t, func(tx *bbolt.Tx) error {
			for _, b := range [][]byte{bucketMeta, bucketEntries, bucketChain, bucketWriters} {
				if err := tx.DeleteBucket(b); err != nil {
					return err
				}
			}
			_, err := tx.CreateBucket([]byte("sheep"))
			return err
		}), "a database, but not one of entries", false},
		{"no schema", database(t, func(tx *bbolt.Tx) error { return tx.Bucket(bucketMeta).Delete(keySchema) }), "a database, but not one of entries", false},
		{"no entries", database(t, func(tx *bbolt.Tx) error { return tx.DeleteBucket(bucketEntries) }), "its list of entries is gone", false},
		{"a newer schema", database(t, func(tx *bbolt.Tx) error { return tx.Bucket(bucketMeta).Put(keySchema, []byte("2")) }), "a newer version of this program wrote it (schema 2, known here up to 1); update the program", false},
		{"a value changed by one byte", edit(func(b []byte) []byte { return bytes.Replace(b, []byte("find me"), []byte("find he"), 1) }), "is not as it was written (its hash differs)", true},
		{"an entry taken out", database(t, func(tx *bbolt.Tx) error {
			k, _ := tx.Bucket(bucketEntries).Cursor().First()
			return tx.Bucket(bucketEntries).Delete(k)
		}), "the entry is gone", true},
		{"an entry slipped in", database(t, func(tx *bbolt.Tx) error {
			e := sighting("slipped in")
			e.ID = "01J8ZQ4V7W0000000000000009"
			return tx.Bucket(bucketEntries).Put([]byte(e.ID), fields.Encode(&e))
		}), "the entry is in no chain", true},
		{"the last entry and its link taken out", database(t, func(tx *bbolt.Tx) error {
			k, v := tx.Bucket(bucketChain).Cursor().Last()
			if err := tx.Bucket(bucketEntries).Delete(bytes.Clone(v[:26])); err != nil {
				return err
			}
			return tx.Bucket(bucketChain).Delete(bytes.Clone(k))
		}), "does not end as it should", false},
		{"the last entry rewritten together with its link", database(t, func(tx *bbolt.Tx) error {
			c := tx.Bucket(bucketChain).Cursor()
			k, v := c.Last()
			k, id := bytes.Clone(k), bytes.Clone(v[:26])
			_, before := c.Prev()
			text := bytes.Replace(tx.Bucket(bucketEntries).Get(id), []byte("two"), []byte("too"), 1)
			hash := linkHash(before, id, text)
			if err := tx.Bucket(bucketChain).Put(k, append(bytes.Clone(id), hash[:]...)); err != nil {
				return err
			}
			return tx.Bucket(bucketEntries).Put(id, text)
		}), "does not end as it should", false},
		{"a link taken out", database(t, func(tx *bbolt.Tx) error {
			k, _ := tx.Bucket(bucketChain).Cursor().First()
			return tx.Bucket(bucketChain).Delete(bytes.Clone(k))
		}), "jumps from 0 to 2", false},
		{"a chain of nobody", database(t, func(tx *bbolt.Tx) error { return tx.Bucket(bucketWriters).Delete([]byte("seat")) }), "belongs to no seat", true},
		{"a writer's record of another form", database(t, func(tx *bbolt.Tx) error { return tx.Bucket(bucketWriters).Put([]byte("seat"), []byte("{")) }), "the record of the seat \"seat\" cannot be read", false},
		{"a link of another form", database(t, func(tx *bbolt.Tx) error {
			k, _ := tx.Bucket(bucketChain).Cursor().Last()
			return tx.Bucket(bucketChain).Put(bytes.Clone(k), []byte("short"))
		}), "a link of a chain cannot be read", false},
		{"a zeroed page of entries", edit(func(b []byte) []byte {
			at := bytes.Index(b, []byte("find me")) / pageSize * pageSize
			clear(b[at : at+pageSize])
			return b
		}), "has a wrong head", false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			s := New(filepath.Join(dir, "farm.journal"))
			s.Timeout = 200 * time.Millisecond
			if err := os.WriteFile(s.Path, c.data, 0o600); err != nil {
				t.Fatal(err)
			}
			before := fileHash(t, s.Path)
			for name, op := range operations(s) {
				err := op()
				var dam *DamagedError
				switch name {
				case "Revision": // reads the first page only
					if err != nil && !errors.As(err, &dam) {
						t.Errorf("%s: %v", name, err)
					}
					continue
				case "Append", "Import":
					if c.writable {
						continue
					}
				case "Check":
					if err == nil {
						r, _ := s.Check()
						if r.Whole() || !strings.Contains(fmt.Sprint(r.Findings), c.words) {
							t.Errorf("Check finds %v", r.Findings)
						}
						continue
					}
				}
				if !errors.As(err, &dam) || dam.Path != s.Path {
					t.Errorf("%s: %v", name, err)
					continue
				}
				if (name == "Load" || name == "Check") && !strings.Contains(err.Error(), c.words) {
					t.Errorf("%s: %q does not say %q", name, err, c.words)
				}
				if !strings.Contains(err.Error(), s.Path) || strings.ContainsAny(err.Error(), "\n\x1b") {
					t.Errorf("%s: %q is not one sentence about %s", name, err, s.Path)
				}
				if errors.Is(err, ErrNewer) != (c.name == "a newer schema") {
					t.Errorf("%s: newer or not? %v", name, err)
				}
			}
			if !c.writable && fileHash(t, s.Path) != before {
				t.Error("the file was changed")
			}
			there := newJournal(t)
			if _, err := there.Merge(s.Path); err == nil {
				t.Error("it was merged")
			}
			if n := len(mustLoad(t, there).Entries); n != 0 {
				t.Errorf("%d entries came over", n)
			}
			noLeftovers(t, dir, "farm.journal")
		})
	}
}

func TestNotAFile(t *testing.T) {
	dir := t.TempDir()
	for name, op := range operations(New(dir)) {
		var dam *DamagedError
		if err := op(); !errors.As(err, &dam) || !strings.Contains(err.Error(), "a folder, not a file") {
			t.Errorf("%s: %v", name, err)
		}
	}
	noLeftovers(t, filepath.Dir(dir), filepath.Base(dir))
	if runtime.GOOS == "windows" {
		return
	}
	s := New(os.DevNull) // no lock, no end: it must not even be opened
	var dam *DamagedError
	if _, err := load(t, s); !errors.As(err, &dam) {
		t.Error(err)
	}
}

// A prime step gives every place of a page its turn over the pages.
var step = flag.Int("step", 3001, "every how many bytes of a file one is flipped; 1 flips every bit of its two beginnings too")

// A single flipped byte anywhere: the journal is found damaged, or reads as if
// nothing had happened. It never reads as something else, never ends the
// program, and nothing that reads changes it.
func TestEveryFlippedByte(t *testing.T) {
	from, _ := soundStore(t)
	sound, mark := fileBytes(t, from.Path), fileBytes(t, MarkPath(from.Path))
	want := texts(mustLoad(t, from).Entries)
	dir := t.TempDir()
	s := New(filepath.Join(dir, "farm.journal"))
	flips := []byte{0x01, 0xFF}
	found, harmless := 0, 0
	for at := 0; at < len(sound); at += *step {
		for _, flip := range flips {
			data := bytes.Clone(sound)
			data[at] ^= flip
			if err := errors.Join(os.WriteFile(s.Path, data, 0o600), os.WriteFile(MarkPath(s.Path), mark, 0o600)); err != nil {
				t.Fatal(err)
			}
			c, err := load(t, s)
			var dam *DamagedError
			switch {
			case err == nil && texts(c.Entries) == want:
				harmless++
			case err == nil:
				t.Fatalf("byte %d: the journal reads as something else", at)
			case errors.As(err, &dam):
				found++
			default:
				t.Fatalf("byte %d: %v", at, err)
			}
			r, cerr := s.Check()
			if cerr == nil && r.Whole() && err != nil {
				t.Fatalf("byte %d: Check finds nothing, Load says %v", at, err)
			}
			if cerr != nil && !errors.As(cerr, &dam) {
				t.Fatalf("byte %d: %v", at, cerr)
			}
			now, rerr := os.ReadFile(s.Path)
			if rerr != nil || !bytes.Equal(now, data) {
				t.Fatalf("byte %d: the file was changed", at)
			}
			// Writing either refuses and leaves the file alone, or stores the
			// entry next to what was there.
			stored, aerr := s.Append([]fields.Entry{sighting("more")})
			if aerr != nil {
				if now, _ := os.ReadFile(s.Path); !errors.As(aerr, &dam) || !bytes.Equal(now, data) {
					t.Fatalf("byte %d: refused (%v), but the file was changed", at, aerr)
				}
				continue
			}
			after, lerr := load(t, s)
			switch {
			case err == nil && (lerr != nil || len(after.Entries) != len(c.Entries)+1 || !strings.Contains(texts(after.Entries), stored[0].ID)):
				t.Fatalf("byte %d: after appending: %v", at, lerr)
			case err != nil && lerr == nil:
				t.Fatalf("byte %d: appending hid the damage: %v", at, err)
			}
		}
	}
	t.Logf("%d flips found, %d without a meaning", found, harmless)
	if found == 0 || harmless == 0 {
		t.Error("the flips tell nothing")
	}
}

// After a power cut some of the pages of a commit are on the disk and its meta
// record is not, or is torn. Nothing was acknowledged, so the journal must
// read as it did before.
func TestPowerCut(t *testing.T) {
	s := New(filepath.Join(t.TempDir(), "farm.journal"))
	if err := s.Create(); err != nil {
		t.Fatal(err)
	}
	src := seeded(6)
	for range 8 {
		mustAppend(t, s, randomEntries(src, 15)...)
	}
	before, want := fileBytes(t, s.Path), texts(mustLoad(t, s).Entries)
	h, _ := readHeader(bytes.NewReader(before), int64(len(before)))
	var begun []byte // the mark while the commit is under way
	s.Trace = func(at string) {
		if at == "committing" && begun == nil {
			begun = fileBytes(t, MarkPath(s.Path))
		}
	}
	defer func() { s.Trace = nil }()
	mustAppend(t, s, randomEntries(src, 15)...)
	after, wantAfter := fileBytes(t, s.Path), texts(mustLoad(t, s).Entries)
	if len(after) != len(before) {
		t.Skip("the commit grew the file")
	}
	const sector = 512
	metas := 2 * int(h.pageSize)
	put := func(data []byte) {
		if err := errors.Join(os.WriteFile(s.Path, data, 0o600), os.WriteFile(MarkPath(s.Path), begun, 0o600)); err != nil {
			t.Fatal(err)
		}
	}
	check := func(name string, data []byte, want string, doubt bool) {
		t.Helper()
		put(data)
		c, err := load(t, s)
		if err != nil || texts(c.Entries) != want || (c.Doubt != "") != doubt {
			t.Fatalf("%s: %v", name, err)
		}
		r, err := s.Check()
		if err != nil || !r.Whole() || doubt != strings.Contains(fmt.Sprint(r.Findings), "middle of the last commit") {
			t.Errorf("%s: %v, %v", name, r.Findings, err)
		}
		mustAppend(t, s, sighting("goes on"))
		if c := mustLoad(t, s); c.Doubt != "" {
			t.Errorf("%s: afterwards: %s", name, c.Doubt)
		}
	}
	for i := range 30 {
		data := bytes.Clone(before)
		n := 0
		for at := metas; at < len(data); at += sector {
			if src.IntN(2) == 0 && !bytes.Equal(data[at:at+sector], after[at:at+sector]) {
				copy(data[at:at+sector], after[at:at+sector])
				n++
			}
		}
		check(fmt.Sprintf("cut %d with %d sectors written", i, n), data, want, false)
	}
	// The newer of the two meta records is torn: as long as its checksum is the
	// one of the record it was to overwrite, it never was whole, and the older
	// one counts. With a part of its own checksum nothing is proven.
	for at := pageHead; at < metas; at += int(h.pageSize) {
		if bytes.Equal(before[at:at+metaSize], after[at:at+metaSize]) {
			continue
		}
		for n := 1; n < metaSize; n++ {
			data := bytes.Clone(after)
			copy(data[at+n:], before[at+n:at+metaSize])
			same := bytes.Equal(data[at:at+metaSize], before[at:at+metaSize])
			switch {
			case n <= metaSize-8:
				check(fmt.Sprintf("a meta record torn after %d bytes", n), data, want, !same)
			case !bytes.Equal(data[at:at+metaSize], after[at:at+metaSize]):
				put(data)
				if _, err := load(t, s); !errors.As(err, new(*DamagedError)) {
					t.Errorf("a meta record torn after %d bytes: %v", n, err)
				}
			}
		}
	}
	check("everything written", after, wantAfter, false)
}

// The page walk guards bbolt's own check, whose goroutine a fault would end the
// program from. These are the shapes it must refuse.
func TestWalkRefusesCircles(t *testing.T) {
	sound, pageSize, _ := soundFile(t)
	size := int64(len(sound))
	h, _ := readHeader(bytes.NewReader(sound), size)
	if _, bad := walk(bytes.NewReader(sound), size, walkAll); bad != "" {
		t.Fatal(bad)
	}
	tried := 0
	for id := uint64(2); id < h.high; id++ {
		at := int(id) * pageSize
		if native.Uint16(sound[at+8:]) != flagBranch || native.Uint64(sound[at:]) != id || free(t, sound, h, id) {
			continue
		}
		count := int(native.Uint16(sound[at+10:]))
		for i := range count {
			for _, to := range []uint64{id, h.root, h.freelist, 0, h.high, 1 << 50} {
				data := bytes.Clone(sound)
				native.PutUint64(data[at+pageHead+i*elemSize+8:], to)
				if _, bad := walk(bytes.NewReader(data), size, walkAll); bad == "" {
					t.Errorf("page %d: child %d is %d and nothing is wrong", id, i, to)
				}
				tried++
			}
		}
	}
	if tried == 0 {
		t.Error("the file has no branch to try")
	}
}

// inUse calls fn with the place of every page the tree of a sound file uses.
func inUse(t *testing.T, data []byte, h header, flags uint16, fn func(id uint64, at, count int)) {
	t.Helper()
	n := 0
	for id := uint64(2); id < h.high; id++ {
		at := int(id) * int(h.pageSize)
		if native.Uint16(data[at+8:]) == flags && native.Uint64(data[at:]) == id && !free(t, data, h, id) {
			fn(id, at, int(native.Uint16(data[at+10:])))
			n++
		}
	}
	if n == 0 {
		t.Fatalf("no page with flags %x", flags)
	}
}

func TestWalkRefuses(t *testing.T) {
	sound, _, _ := soundFile(t)
	size := int64(len(sound))
	h, _ := readHeader(bytes.NewReader(sound), size)
	try := func(what string, words string, change func(data []byte)) {
		t.Helper()
		data := bytes.Clone(sound)
		change(data)
		if _, bad := walk(bytes.NewReader(data), size, walkAll); !strings.Contains(bad, words) || bad == "" {
			t.Errorf("%s: %q does not say %q", what, bad, words)
		}
	}
	put32 := func(at int, n uint32) func([]byte) { return func(b []byte) { native.PutUint32(b[at:], n) } }
	inUse(t, sound, h, flagBranch, func(id uint64, at, count int) {
		for _, i := range []int{0, count / 2, count - 1} {
			e := at + pageHead + i*elemSize
			pos, ksize := int(native.Uint32(sound[e:])), int(native.Uint32(sound[e+4:]))
			// A key that is not its child's first: the next commit would hang
			// the old page beside the new one.
			try(fmt.Sprintf("page %d, key %d", id, i), "out of order", func(b []byte) { b[e+pos+ksize-1]++ })
			try("a key out of its page", "out of bounds", put32(e+4, 1<<31))
		}
		try("an empty branch", "wrong count", func(b []byte) { native.PutUint16(b[at+10:], 0) })
		try("a branch of another sort", "no known sort", func(b []byte) { native.PutUint16(b[at+8:], 0x40) })
		try("a branch that goes on past the end", "wrong head", put32(at+12, 1<<20))
	})
	inUse(t, sound, h, flagLeaf, func(id uint64, at, count int) {
		for _, i := range []int{0, count / 2, count - 1} {
			e := at + pageHead + i*elemSize
			pos := int(native.Uint32(sound[e+4:]))
			if i+1 < count { // the last key may be any that is larger
				try(fmt.Sprintf("page %d, first letter of key %d", id, i), "out of order", func(b []byte) { b[e+pos] = 0xFF - b[e+pos] })
			}
			try("a value out of its page", "out of bounds", put32(e+12, 1<<24))
			try("a value at a wrong place", "page", put32(e+4, 1<<31))
		}
	})
	list := int(h.freelist) * int(h.pageSize)
	inUse(t, sound, h, flagLeaf, func(id uint64, _, _ int) {
		try("a page in use listed as free", "listed as free", func(b []byte) { native.PutUint64(b[list+pageHead:], id) })
	})
	for _, id := range []uint64{0, 1, h.freelist, h.high, 1 << 40, native.Uint64(sound[list+pageHead+8:])} {
		try("a free page that cannot be", "list of free pages", func(b []byte) { native.PutUint64(b[list+pageHead:], id) })
	}
	try("more free pages than fit", "list of free pages", func(b []byte) { native.PutUint16(b[list+10:], 0xFFFE) })
}

// free reports whether a page is on the file's list of free pages.
func free(t *testing.T, data []byte, h header, id uint64) bool {
	t.Helper()
	w := walker{window: window{r: bytes.NewReader(data), end: int64(len(data))}, h: h, seen: make([]bool, h.high)}
	if bad := w.readFreelist(); bad != "" {
		t.Fatal(bad)
	}
	return w.free[id]
}
