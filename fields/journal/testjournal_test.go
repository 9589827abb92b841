package journal

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/fields/internal/anyentry"
)

// TestMain lets the test binary play other programs on the same journal: see
// seats_test.go.
func TestMain(m *testing.M) {
	if role := os.Getenv("JOURNAL_TEST_ROLE"); role != "" {
		os.Exit(play(role))
	}
	listFrom = 0 // small journals are read by lists too
	var err error
	if cacheDir, err = os.MkdirTemp("", "lists"); err != nil {
		panic(err)
	}
	code := m.Run()
	_ = os.RemoveAll(cacheDir)
	os.Exit(code)
}

// cacheDir is where lists of what is kept lie.
var cacheDir string

// newJournal makes a journal that checks itself when the test ends: whatever a
// test does through the API, the file must be whole afterwards and come out of
// an export and an import as it went in.
func newJournal(t testing.TB) *Store {
	t.Helper()
	s := New(filepath.Join(t.TempDir(), "farm.journal"))
	if err := s.Create(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { mustBeWhole(t, s) })
	return s
}

func mustBeWhole(t testing.TB, s *Store) {
	t.Helper()
	r, err := s.Check()
	if err != nil {
		t.Errorf("the journal cannot be checked: %v", err)
		return
	}
	for _, f := range r.Findings {
		if f.Grave {
			t.Errorf("%s: %s %s", f.Check, f.Entry, f.Text)
		}
	}
	var text bytes.Buffer
	n, err := s.Export(&text)
	if err != nil || n != r.Entries {
		t.Errorf("exported %d of %d: %v", n, r.Entries, err)
		return
	}
	entries, gaps, err := ReadText(bytes.NewReader(text.Bytes()))
	if err != nil {
		t.Errorf("the export cannot be read: %v", err)
		return
	}
	other := New(filepath.Join(t.TempDir(), "again.journal"))
	if err := other.Create(); err != nil {
		t.Error(err)
		return
	}
	if rep, err := other.Import(entries, gaps...); err != nil || rep.Added != n {
		t.Errorf("imported %+v of %d: %v", rep, n, err)
	}
	var again bytes.Buffer
	if _, err := other.Export(&again); err != nil || !bytes.Equal(again.Bytes(), text.Bytes()) {
		t.Errorf("the export changed on its way through another journal (%v)", err)
	}
}

func seeded(n uint64) *rand.Rand { return rand.New(rand.NewPCG(n, 7)) }

// randomEntries makes n possible entries with ids of their own; every kind
// comes up if n is 33 or more.
func randomEntries(src anyentry.Source, n int) []fields.Entry {
	ks := fields.Kinds()
	first := src.IntN(len(ks))
	out := make([]fields.Entry, 0, n)
	seen := map[string]bool{}
	for len(out) < n {
		e := anyentry.Of(src, ks[(first+len(out))%len(ks)])
		if !seen[e.ID] {
			seen[e.ID] = true
			out = append(out, e)
		}
	}
	return out
}

// sighting is a small entry without an id.
func sighting(note string) fields.Entry {
	return fields.Entry{
		Recorded: time.Date(2026, 9, 17, 6, 40, 0, 0, time.FixedZone("", -6*3600)), By: "sam", Note: note,
		Body: &fields.Frost{Paddocks: []string{"north"}, Night: fields.MakeDate(2026, 9, 17)},
	}
}

func mustAppend(t testing.TB, s *Store, entries ...fields.Entry) []fields.Entry {
	t.Helper()
	out, err := s.Append(entries)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func mustLoad(t testing.TB, s *Store) *Content {
	t.Helper()
	c, err := load(t, s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// load is Load, of a journal that reads alike by LoadLately: damage of closed seasons is found
// by today's answers too, with a list of what is kept as without.
func load(t testing.TB, s *Store) (*Content, error) {
	t.Helper()
	c, err := s.Load()
	day := fields.MakeDate(2026, 12, 1)
	late, lerr := s.LoadLately(day, nil)
	listed := *s
	listed.Cache, listed.Trace = cacheDir, nil
	for range 2 { // by a list of an earlier state, and by the list that this made
		got, gerr := listed.LoadLately(day, nil)
		if fmt.Sprint(gerr) != fmt.Sprint(lerr) || !reflect.DeepEqual(got, late) {
			t.Fatalf("by a list LoadLately reads otherwise: %v, %v", gerr, lerr)
		}
	}
	switch {
	case (err == nil) != (lerr == nil) || lerr != nil && !errors.As(lerr, new(*DamagedError)) && fmt.Sprint(lerr) != fmt.Sprint(err):
		t.Fatalf("Load says %v, and LoadLately %v", err, lerr)
	case err != nil:
	case len(late.Entries)+late.LeftOut != len(c.Entries) || late.Doubt != c.Doubt || late.Revision != c.Revision:
		t.Fatalf("LoadLately reads %d entries and leaves out %d of %d", len(late.Entries), late.LeftOut, len(c.Entries))
	}
	return c, err
}

// texts returns entries in their stored form, one a line.
func texts(entries []fields.Entry) string {
	var b bytes.Buffer
	_ = fields.WriteJSONL(&b, entries)
	return b.String()
}

// fileHash tells whether a file was touched.
func fileHash(t testing.TB, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf("%d bytes %x", len(b), sha256.Sum256(b))
}

// noLeftovers fails if anything but the named files and their marks is in the folder.
func noLeftovers(t testing.TB, dir string, names ...string) {
	t.Helper()
	list, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range list {
		known := false
		for _, n := range names {
			known = known || e.Name() == n || e.Name() == n+".mark"
		}
		if !known {
			t.Errorf("%s was left behind", e.Name())
		}
	}
}
