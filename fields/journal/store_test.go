package journal

import (
	"bytes"
	"errors"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/oklog/ulid/v2"
	"go.etcd.io/bbolt"

	"rimegate/fields"
)

func TestCreate(t *testing.T) {
	dir := t.TempDir()
	s := New(filepath.Join(dir, "new", "folder", "farm.journal"))
	if s.Exists() {
		t.Fatal("it is there before it is made")
	}
	if err := s.Create(); err != nil {
		t.Fatal(err)
	}
	if !s.Exists() {
		t.Fatal("it is not there")
	}
	noLeftovers(t, filepath.Dir(s.Path), "farm.journal")
	c := mustLoad(t, s)
	if len(c.Entries) != 0 || c.Revision != 0 {
		t.Errorf("a new journal holds %d entries at revision %d", len(c.Entries), c.Revision)
	}
	mustAppend(t, s, sighting(""))
	before := fileHash(t, s.Path)
	err := s.Create()
	if !errors.Is(err, ErrExists) || !strings.Contains(err.Error(), s.Path) {
		t.Errorf("making it twice: %v", err)
	}
	if fileHash(t, s.Path) != before {
		t.Error("making it twice changed it")
	}
	mustBeWhole(t, s)
	if err := New(dir).Create(); !errors.Is(err, ErrExists) {
		t.Errorf("a folder of that name: %v", err)
	}
}

// Two seats set up the farm at once: one journal comes of it, and the entries
// of the seat that won are not replaced by the other's empty file. Its mark is its own,
// also where an earlier journal of that name left one behind.
func TestCreateAtOnce(t *testing.T) {
	old := newJournal(t)
	mustAppend(t, old, sighting(""))
	left, err := os.ReadFile(MarkPath(old.Path))
	if err != nil {
		t.Fatal(err)
	}
	for n := range 12 {
		s := New(filepath.Join(t.TempDir(), "farm.journal"))
		if n%2 == 1 {
			if err := os.WriteFile(MarkPath(s.Path), left, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		createAtOnce(t, s)
	}
}

func createAtOnce(t *testing.T, s *Store) {
	t.Helper()
	done := make(chan error)
	const seats = 8
	for range seats {
		go func() { done <- s.Create() }()
	}
	made := 0
	for range seats {
		switch err := <-done; {
		case err == nil:
			made++
		case !errors.Is(err, ErrExists):
			t.Error(err)
		}
	}
	if made != 1 {
		t.Errorf("made %d times", made)
	}
	noLeftovers(t, filepath.Dir(s.Path), "farm.journal")
	mustBeWhole(t, s)
}

func TestCreateWhereNoneCanBe(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "file"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	err := New(filepath.Join(dir, "file", "farm.journal")).Create()
	if err == nil || errors.Is(err, ErrExists) || !strings.Contains(err.Error(), "could not be made") || strings.Contains(err.Error(), "\n") {
		t.Error(err)
	}
}

func TestMissing(t *testing.T) {
	s := New(filepath.Join(t.TempDir(), "none.journal"))
	there := newJournal(t)
	for name, op := range operations(s) {
		if err := op(); !errors.Is(err, ErrMissing) || !strings.Contains(err.Error(), s.Path) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := there.Merge(s.Path); !errors.Is(err, ErrMissing) {
		t.Errorf("merging it: %v", err)
	}
	noLeftovers(t, filepath.Dir(s.Path), "out.copy")
	if s.Exists() {
		t.Error("looking at it made it")
	}
}

// operations is every operation on an existing journal.
func operations(s *Store) map[string]func() error {
	return map[string]func() error{
		"Load":     func() error { _, err := s.Load(); return err },
		"Revision": func() error { _, err := s.Revision(); return err },
		"Append":   func() error { _, err := s.Append([]fields.Entry{sighting("")}); return err },
		"Import":   func() error { _, err := s.Import(randomEntries(seeded(1), 3)); return err },
		"Check":    func() error { _, err := s.Check(); return err },
		"Copy":     func() error { _, err := s.Copy(filepath.Join(filepath.Dir(s.Path), "out.copy")); return err },
		"Export":   func() error { _, err := s.Export(new(bytes.Buffer)); return err },
	}
}

func TestAppend(t *testing.T) {
	s := newJournal(t)
	list := randomEntries(seeded(2), 40)
	for i := range list {
		if i%2 == 0 {
			list[i].ID = ""
		}
	}
	given := texts(list)
	stored := mustAppend(t, s, list...)
	if texts(list) != given {
		t.Error("the caller's entries were changed")
	}
	if len(stored) != len(list) {
		t.Fatalf("%d of %d", len(stored), len(list))
	}
	byID := map[string]fields.Entry{}
	for _, e := range mustLoad(t, s).Entries {
		byID[e.ID] = e
	}
	for i := range list {
		if list[i].ID != "" && stored[i].ID != list[i].ID {
			t.Errorf("entry %d was given another id", i)
		}
		e, ok := byID[stored[i].ID]
		if !ok || texts([]fields.Entry{e}) != texts(stored[i:i+1]) {
			t.Errorf("entry %d reads back as %s", i, texts([]fields.Entry{e}))
		}
		list[i].ID = stored[i].ID
	}
	if texts(list) != texts(stored) {
		t.Error("something besides the id was changed")
	}
}

func TestNewIDs(t *testing.T) {
	s := newJournal(t)
	var list []fields.Entry
	for range 50 {
		list = append(list, sighting(""))
	}
	old := sighting("written down before there were ULIDs")
	old.Recorded = time.Date(1950, 1, 1, 0, 0, 0, 0, time.UTC)
	got := mustAppend(t, s, append(list, old)...)
	for i, e := range got[:50] {
		id, err := ulid.ParseStrict(e.ID)
		if err != nil {
			t.Fatal(err)
		}
		if !id.Timestamp().Equal(e.Recorded.Truncate(time.Millisecond)) {
			t.Errorf("%s says %s, recorded %s", e.ID, id.Timestamp(), e.Recorded)
		}
		if i > 0 && e.ID <= got[i-1].ID {
			t.Errorf("ids of one moment do not grow: %s, %s", got[i-1].ID, e.ID)
		}
	}
	if id := ulid.MustParseStrict(got[50].ID); id.Time() != 0 {
		t.Error(id.Timestamp())
	}
}

func TestAppendRefusesAllIfOneIsWrong(t *testing.T) {
	s := newJournal(t)
	mustAppend(t, s, sighting("stands"))
	before := fileHash(t, s.Path)
	bad := sighting("bad")
	bad.By = ""
	bad.Body = &fields.Frost{Night: fields.MakeDate(2026, 9, 17)}
	worse := sighting("no body")
	worse.Body = nil
	var none *fields.Frost
	empty := sighting("an empty body")
	empty.Body = none
	_, err := s.Append([]fields.Entry{sighting("good"), bad, worse, empty})
	var ps fields.Problems
	if !errors.As(err, &ps) {
		t.Fatal(err)
	}
	want := []string{"2 by", "2 paddocks", "3 kind", "4 kind"}
	if len(ps) != len(want) {
		t.Fatalf("%v", ps)
	}
	for i, p := range ps {
		line, field, _ := strings.Cut(want[i], " ")
		if p.Field != field || line != string(rune('0'+p.Line)) {
			t.Errorf("%v, want %s", p, want[i])
		}
	}
	if _, err := s.Append([]fields.Entry{bad}); !errors.As(err, &ps) || ps[0].Line != 0 {
		t.Errorf("a single entry needs no number: %v", err)
	}
	if fileHash(t, s.Path) != before {
		t.Error("the file was written")
	}
}

// What could be written but not read would lock a farm out of its journal.
func TestNothingUnreadableIsStored(t *testing.T) {
	s := newJournal(t)
	far := sighting("")
	far.Recorded = time.Date(2300, 1, 1, 0, 0, 0, 0, time.UTC)
	late := sighting("")
	late.On = fields.MakeDate(2201, 1, 1)
	long := sighting(strings.Repeat("x", fields.MaxLine))
	broken := sighting("")
	broken.Body = &fields.Farm{Name: "f", Zone: "UTC", FrostWatch: &fields.Watch{}}
	broken.On = fields.MakeDate(2026, 1, 1)
	for name, e := range map[string]fields.Entry{"recorded in 2300": far, "dated 2201": late, "a long note": long, "half a watch": broken} {
		var ps fields.Problems
		if _, err := s.Append([]fields.Entry{e}); !errors.As(err, &ps) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if n := len(mustLoad(t, s).Entries); n != 0 {
		t.Errorf("%d entries", n)
	}
}

// Whatever odd form an entry has in memory, what is returned is what is stored.
func TestStoredFormIsReturned(t *testing.T) {
	s := newJournal(t)
	minus := math.Copysign(0, -1)
	odd := sighting("")
	odd.Recorded = time.Now().In(time.FixedZone("LMT", -(6*3600 + 58*60 + 36))) // and a monotonic clock
	odd.Body.(*fields.Frost).LowC = &minus
	got := mustAppend(t, s, odd)
	if back := mustLoad(t, s).Entries; texts(back) != texts(got) {
		t.Errorf("returned %s, stored %s", texts(got), texts(back))
	}
	if math.Signbit(*got[0].Body.(*fields.Frost).LowC) {
		t.Error("-0 was kept")
	}
}

func TestAppendAgainIsNotStoredTwice(t *testing.T) {
	s := newJournal(t)
	got := mustAppend(t, s, sighting("a"), sighting("b"))
	before := fileHash(t, s.Path)
	if again := mustAppend(t, s, got...); texts(again) != texts(got) {
		t.Error("another answer the second time")
	}
	if _, err := s.Append(nil); err != nil {
		t.Error(err)
	}
	if c := mustLoad(t, s); len(c.Entries) != 2 || c.Revision != 1 {
		t.Errorf("%d entries, revision %d", len(c.Entries), c.Revision)
	}
	if fileHash(t, s.Path) != before {
		t.Error("the file was written for nothing")
	}
	changed := got[0]
	changed.Note = "c"
	_, err := s.Append([]fields.Entry{sighting("new"), changed})
	var conflict *ConflictError
	if !errors.As(err, &conflict) || conflict.ID != changed.ID || conflict.Present.Note != "a" || conflict.Coming.Note != "c" {
		t.Fatalf("%v", err)
	}
	if s := err.Error(); !strings.Contains(s, changed.ID) || !strings.Contains(s, "differ in note") || strings.Contains(s, "\n") {
		t.Error(s)
	}
	if fileHash(t, s.Path) != before {
		t.Error("a conflict changed the file")
	}
}

func TestRevisionCountsCommits(t *testing.T) {
	s := newJournal(t)
	for i := range uint64(5) {
		if n, err := s.Revision(); err != nil || n != i {
			t.Errorf("%d, %v; want %d", n, err, i)
		}
		mustAppend(t, s, sighting(""), sighting(""))
		if c := mustLoad(t, s); c.Revision != i+1 || len(c.Entries) != int(i+1)*2 {
			t.Errorf("revision %d with %d entries", c.Revision, len(c.Entries))
		}
	}
}

// A large entry and a large journal cross every size of page there is.
func TestLargeEntriesAndManyCommits(t *testing.T) {
	s := newJournal(t)
	src := seeded(3)
	want := 0
	for i := range 60 {
		list := randomEntries(src, 1+src.IntN(40))
		list[0].Note = strings.Repeat("x", src.IntN(3)*i*200)
		mustAppend(t, s, list...)
		want += len(list)
	}
	mustAppend(t, s, sighting(strings.Repeat("y", 900_000)))
	if n := len(mustLoad(t, s).Entries); n != want+1 {
		t.Errorf("%d of %d", n, want+1)
	}
}

func TestSeatNames(t *testing.T) {
	for in, want := range map[string]string{
		"": "seat", "shop": "shop", "Sam's phone": "Samsphone", "\x00\xff": "seat", "../x": "..x",
		strings.Repeat("a", 40): strings.Repeat("a", 32),
	} {
		if got := seatName(in); got != want {
			t.Errorf("%q: %q", in, got)
		}
	}
	s := newJournal(t)
	for _, seat := range []string{"", "shop", "seat", "a\x00b"} {
		s.Seat = seat
		mustAppend(t, s, sighting(seat))
	}
}

// In one program many parts may work on one Store.
func TestGoroutines(t *testing.T) {
	s := newJournal(t)
	s.Timeout = time.Minute
	done := make(chan error)
	for range 4 {
		go func() {
			var err error
			for range 5 {
				if _, e := s.Append([]fields.Entry{sighting("")}); e != nil {
					err = e
				}
				if _, e := s.Load(); e != nil {
					err = e
				}
			}
			done <- err
		}()
	}
	for range 4 {
		if err := <-done; err != nil {
			t.Error(err)
		}
	}
	if n := len(mustLoad(t, s).Entries); n != 20 {
		t.Errorf("%d of 20 entries", n)
	}
}

func TestErrorsDoNotDriveTheTerminal(t *testing.T) {
	s := New(filepath.Join(t.TempDir(), "a\x1b[31m\nb"))
	if _, err := s.Load(); !errors.Is(err, ErrMissing) || strings.ContainsAny(err.Error(), "\x1b\n") {
		t.Errorf("%q", err)
	}
}

// To log, the file is opened twice and its pages are walked once: what was
// verified by the load is not verified again.
func TestAppendToReadsNothingTwice(t *testing.T) {
	s := newJournal(t)
	mustAppend(t, s, sighting("first"))
	count := map[string]int{}
	s.Trace = func(step string) { count[step]++ }
	c, err := s.Load()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.AppendTo(c, []fields.Entry{sighting("second")}); err != nil {
		t.Fatal(err)
	}
	if count["opening"] != 2 || count["walking"] != 1 || count["finished"] != 1 {
		t.Errorf("%v", count)
	}
	s.Trace = nil
	if n := len(mustLoad(t, s).Entries); n != 2 {
		t.Errorf("%d entries", n)
	}
}

// What another seat wrote since the load is never passed over.
func TestAppendToAMovedJournal(t *testing.T) {
	s := newJournal(t)
	mustAppend(t, s, sighting("first"))
	c := mustLoad(t, s)
	elsewhere := New(s.Path)
	elsewhere.Seat = "house"
	mustAppend(t, elsewhere, sighting("second"))
	before := fileHash(t, s.Path)
	_, err := s.AppendTo(c, []fields.Entry{sighting("third")})
	if !errors.Is(err, ErrMoved) || !errors.Is(err, ErrLocked) || !strings.Contains(err.Error(), "try again") {
		t.Fatalf("got %v", err)
	}
	if fileHash(t, s.Path) != before {
		t.Error("something was stored")
	}
	if _, err := s.AppendTo(mustLoad(t, s), []fields.Entry{sighting("third")}); err != nil {
		t.Error(err)
	}
}

// What others stored since a load is read alone, and then stands as a load has it; whatever
// else has changed is not passed over.
func TestSince(t *testing.T) {
	s := newJournal(t)
	mustAppend(t, s, sighting("first"), sighting("second"))
	base := mustLoad(t, s)
	house := New(s.Path)
	house.Seat = "house"
	mustAppend(t, house, sighting("third"))
	mustAppend(t, s, sighting("fourth"))
	mustAppend(t, house, sighting("fifth"), sighting("sixth"))
	c, more, err := s.Since(base)
	if err != nil || c == nil || len(more) != 4 || len(base.Entries) != 2 {
		t.Fatalf("%v %v: %d entries", err, c, len(more))
	}
	if want := mustLoad(t, s); !reflect.DeepEqual(c, want) {
		t.Errorf("got %+v\nwant %+v", c, want)
	}
	if _, err := s.AppendTo(c, []fields.Entry{sighting("seventh")}); err != nil {
		t.Error(err)
	}
	other := newJournal(t)
	mustAppend(t, other, sighting("first"), sighting("else"), sighting("more"))
	if c, _, err := other.Since(base); err != nil || c != nil {
		t.Errorf("of another journal: %v %v", c, err)
	}
	if _, err := s.commit(0, func(tx *bbolt.Tx, _ *verdict) (*mark, error) {
		_, err := putGap(tx, Gap{What: "lost", IDs: []string{"01ARZ3NDEKTSV4RRFFQ69G5FAV"}})
		return nil, err
	}); err != nil {
		t.Fatal(err)
	}
	if c, _, err := s.Since(base); err != nil || c != nil {
		t.Errorf("with a gap: %v %v", c, err)
	}
}

// An entry that was changed behind the chain's back is not taken for one that was added.
func TestSinceDamage(t *testing.T) {
	s := New(filepath.Join(t.TempDir(), "farm.journal"))
	if err := s.Create(); err != nil {
		t.Fatal(err)
	}
	mustAppend(t, s, sighting("first"))
	base := mustLoad(t, s)
	added := mustAppend(t, s, sighting("second"))
	db, err := bbolt.Open(s.Path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	err = db.Update(func(tx *bbolt.Tx) error {
		b, id := tx.Bucket(bucketEntries), []byte(added[0].ID)
		return b.Put(id, bytes.Replace(b.Get(id), []byte("second"), []byte("zecond"), 1))
	})
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
	if c, _, err := s.Since(base); err != nil || c != nil {
		t.Errorf("%v %v", c, err)
	}
}
