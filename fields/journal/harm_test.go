package journal

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
)

var harms = flag.Int("harms", 80, "random harms to a journal's file")

// held is what a journal holds, to be compared.
func held(c *Content) string {
	gaps, _ := json.Marshal(c.Gaps)
	return fmt.Sprint(c.Revision, "\n", texts(c.Entries), string(gaps))
}

// lived is a journal of some hundred entries as it was behind each of its commits.
type lived struct {
	was      [][]byte
	mark     []byte
	want     string
	doubt    string
	entries  []fields.Entry
	pageSize int
	used     int // pages, those behind are empty
}

func liveLong(t *testing.T) *lived {
	t.Helper()
	s, src := newJournal(t), seeded(41)
	x := &lived{}
	keep := func() { x.was = append(x.was, fileBytes(t, s.Path)) }
	var gone []string
	for range 60 { // more than fits beside the other lists
		gone = append(gone, newID(time.Unix(1_790_000_000, 0)))
	}
	for i, n := range []int{1, 40, 3, 1, 1, 80, 2, 60, 1, 1, 90, 1, 2, 40, 1, 1} {
		s.Seat = []string{"shop", "house"}[i%2]
		mustAppend(t, s, randomEntries(src, n)...)
		keep()
		if i == 6 {
			if _, err := s.Import(nil, Gap{What: "a test", IDs: gone}); err != nil {
				t.Fatal(err)
			}
			keep()
		}
	}
	if _, err := s.Accept("sam", "no copy of it is left anywhere", time.Unix(1_790_100_000, 0).UTC()); err != nil {
		t.Fatal(err)
	}
	keep()
	mustAppend(t, s, sighting("long "+string(bytes.Repeat([]byte("x"), 9000))))
	keep()
	c := mustLoad(t, s)
	x.mark, x.want, x.doubt, x.entries = fileBytes(t, MarkPath(s.Path)), held(c), c.Doubt, c.Entries
	h, _ := readHeader(bytes.NewReader(x.was[0]), int64(len(x.was[0])))
	x.pageSize = int(h.pageSize)
	h, _ = readHeader(bytes.NewReader(x.was[len(x.was)-1]), 1<<40)
	x.used = int(h.high)
	return x
}

// harm is one way to spoil a file.
func (x *lived) harm(src *rand.Rand) (what string, data []byte) {
	b := bytes.Clone(x.was[len(x.was)-1])
	size := x.pageSize
	pages := len(b) / size
	page := func(id int) []byte { return b[id*size : (id+1)*size] }
	some := func() int { return src.IntN(x.used) }
	old := func(id int) []byte { // the page as it was behind an earlier commit
		for {
			if was := x.was[src.IntN(len(x.was)-1)]; len(was) >= (id+1)*size {
				return was[id*size : (id+1)*size]
			}
			id = src.IntN(len(x.was[0]) / size)
		}
	}
	switch src.IntN(12) {
	case 0, 1, 2:
		at := src.IntN(x.used * size)
		b[at] ^= 1 << src.IntN(8)
		return fmt.Sprint("a bit of byte ", at), b
	case 3:
		at, n := src.IntN(x.used*size), 1+src.IntN(64)
		for i := at; i < min(at+n, len(b)); i++ {
			b[i] = byte(src.Uint32())
		}
		return fmt.Sprintf("%d bytes at %d", n, at), b
	case 4:
		n := src.IntN(len(b))
		if src.IntN(2) == 0 {
			n -= n % size
		}
		return fmt.Sprint("cut off behind byte ", n), b[:n]
	case 5:
		i, j := some(), some()
		was := bytes.Clone(page(i))
		copy(page(i), page(j))
		copy(page(j), was)
		return fmt.Sprintf("pages %d and %d swapped", i, j), b
	case 6:
		i, j := some(), some()
		copy(page(i), page(j))
		return fmt.Sprintf("page %d in the place of %d", j, i), b
	case 7, 8:
		i := some()
		copy(page(i), old(i))
		return fmt.Sprintf("an older page %d", i), b
	case 9: // everything but one page from one earlier moment
		was := x.was[src.IntN(len(x.was)-1)]
		i := some()
		keep := bytes.Clone(page(i))
		copy(b, was)
		copy(page(i), keep)
		return fmt.Sprintf("older pages all but %d", i), b
	case 10:
		i, n := some(), 1+src.IntN(3)
		clear(b[i*size : min(i+n, pages)*size])
		return fmt.Sprintf("%d pages zeroed at %d", n, i), b
	default: // half a page, as a torn write leaves it
		i, at := some(), 512*src.IntN(size/512)
		copy(page(i)[at:], old(i)[at:])
		return fmt.Sprintf("page %d older from byte %d", i, at), b
	}
}

// Who accepted that entries are missing, and why, is proven like all else.
func TestHarmToAGap(t *testing.T) {
	x := liveLong(t)
	s := New(filepath.Join(t.TempDir(), "farm.journal"))
	sound := x.was[len(x.was)-1]
	h, _ := readHeader(bytes.NewReader(sound), int64(len(sound)))
	inUse(t, sound, h, flagLeaf, func(id uint64, at, _ int) {
		first := bytes.Index(sound[at:at+x.pageSize], []byte(`,"by":"sam","at"`))
		for off := first; first > 0 && off < first+100; off += 3 { // through the reason
			data := bytes.Clone(sound)
			data[at+off] ^= 1 << (off % 8)
			if err := errors.Join(os.WriteFile(s.Path, data, 0o600), os.WriteFile(MarkPath(s.Path), x.mark, 0o600)); err != nil {
				t.Fatal(err)
			}
			if c, err := load(t, s); err == nil && held(c) != x.want || err != nil && !errors.As(err, new(*DamagedError)) {
				t.Errorf("page %d, byte %d: %v, %+v", id, off, err, c.Gaps)
			}
		}
	})
}

// Whatever is done to the file, it is answered from exactly, or it is reported. Nothing
// reads it as something else, and nothing ends the program or waits for ever.
func TestHarm(t *testing.T) {
	x := liveLong(t)
	s := New(filepath.Join(t.TempDir(), "farm.journal"))
	src := seeded(42)
	var exact, said, reported int
	for i := range *harms {
		what, data := x.harm(src)
		if err := errors.Join(os.WriteFile(s.Path, data, 0o600), os.WriteFile(MarkPath(s.Path), x.mark, 0o600)); err != nil {
			t.Fatal(err)
		}
		c, err := loadInTime(t, s, what)
		switch {
		case err == nil && held(c) != x.want:
			t.Errorf("harm %d, %s: it reads as something else (%q)", i, what, c.Doubt)
		case err == nil && c.Doubt != x.doubt:
			said++
			fallthrough
		case err == nil:
			exact++
		case errors.As(err, new(*DamagedError)):
			reported++
		default:
			t.Errorf("harm %d, %s: %v", i, what, err)
		}
		if i%8 == 0 {
			x.askedMore(t, s, what, err)
		}
	}
	t.Logf("%d harms to %d entries in %d bytes: %d exact (%d with a remark), %d reported",
		*harms, len(x.entries), len(x.was[len(x.was)-1]), exact, said, reported)
	if exact == 0 || reported == 0 {
		t.Error("the harms tell nothing")
	}
}

// loadInTime loads a journal and fails if that takes for ever.
func loadInTime(t *testing.T, s *Store, what string) (c *Content, err error) {
	t.Helper()
	done := make(chan bool)
	go func() { c, err = load(t, s); close(done) }()
	select {
	case <-done:
	case <-time.After(time.Minute):
		t.Fatalf("%s: it hangs", what)
	}
	return c, err
}

// askedMore checks, salvages and writes a harmed journal, of which loading said lerr.
func (x *lived) askedMore(t *testing.T, s *Store, what string, lerr error) {
	t.Helper()
	if r, err := s.Check(); lerr != nil && err == nil && r.Whole() {
		t.Errorf("%s: the check finds nothing, and it is not answered from: %v", what, lerr)
	}
	var out bytes.Buffer
	if _, err := s.Salvage(&out); err != nil {
		t.Fatal(err)
	}
	for line := range bytes.Lines(out.Bytes()) {
		if !bytes.HasPrefix(line, gapLine) && !strings.Contains(x.want, string(line)) {
			t.Errorf("%s: salvage makes up %s", what, line)
		}
	}
	if _, err := s.Append([]fields.Entry{sighting("more")}); lerr != nil && err == nil {
		if _, err := load(t, s); err == nil {
			t.Errorf("%s: an entry hid it", what)
		}
	}
}
