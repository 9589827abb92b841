package journal

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/fields/internal/anyentry"
)

func TestImportIsAllOrNothing(t *testing.T) {
	s := newJournal(t)
	list := randomEntries(seeded(10), 50)
	if rep, err := s.Import(list[:20]); err != nil || rep != (ImportReport{Added: 20}) {
		t.Fatalf("%+v, %v", rep, err)
	}
	before := fileHash(t, s.Path)
	noID := list[40]
	noID.ID = ""
	noSigner := list[41]
	noSigner.By = ""
	mixed := append(append([]fields.Entry{}, list[10:40]...), noID, noSigner)
	var ps fields.Problems
	if rep, err := s.Import(mixed); !errors.As(err, &ps) || len(ps) != 2 || ps[0].Line != 31 || ps[0].Field != "id" || ps[1].Line != 32 || rep != (ImportReport{}) {
		t.Errorf("%+v, %v", rep, err)
	}
	if fileHash(t, s.Path) != before {
		t.Error("something of it was stored")
	}
	if rep, err := s.Import(list); err != nil || rep != (ImportReport{Added: 30, Same: 20}) {
		t.Errorf("%+v, %v", rep, err)
	}
	after := fileHash(t, s.Path)
	if rep, err := s.Import(append(list, list...)); err != nil || rep != (ImportReport{Same: 100}) {
		t.Errorf("the second time: %+v, %v", rep, err)
	}
	if fileHash(t, s.Path) != after {
		t.Error("importing the same again wrote the file")
	}
	if rev, err := s.Revision(); err != nil || rev != 2 {
		t.Errorf("an import is one commit: revision %d, %v", rev, err)
	}
}

func TestImportTwiceInOneText(t *testing.T) {
	s := newJournal(t)
	list := randomEntries(seeded(11), 5)
	if rep, err := s.Import(append(list, list[2], list[4])); err != nil || rep != (ImportReport{Added: 5, Same: 2}) {
		t.Errorf("%+v, %v", rep, err)
	}
}

func TestConflictNamesBoth(t *testing.T) {
	s := newJournal(t)
	list := randomEntries(seeded(12), 40)
	if _, err := s.Import(list); err != nil {
		t.Fatal(err)
	}
	before := fileHash(t, s.Path)
	fresh := randomEntries(seeded(13), 5)
	other := list[7]
	other.By = "somebody else"
	again := list[9]
	again.Note += "!"
	for name, text := range map[string][]fields.Entry{
		"with the journal": append(append([]fields.Entry{}, fresh...), other, again),
		"within the text":  {fresh[0], other, fresh[1], again},
	} {
		rep, err := s.Import(text)
		var c *ConflictError
		if !errors.As(err, &c) || rep != (ImportReport{}) {
			t.Fatalf("%s: %+v, %v", name, rep, err)
		}
		if c.ID != other.ID || texts([]fields.Entry{c.Present}) != texts(list[7:8]) || texts([]fields.Entry{c.Coming}) != texts([]fields.Entry{other}) || c.More != 1 {
			t.Errorf("%s: %+v", name, c)
		}
		if got := c.Fields(); len(got) != 1 || got[0] != "by" {
			t.Errorf("%s: they differ in %v", name, got)
		}
		for _, w := range []string{c.ID, string(other.Kind()), `"somebody else"`, "differ in by", "1 more", "nothing was stored"} {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: %q does not say %q", name, err, w)
			}
		}
		if strings.ContainsAny(err.Error(), "\n\x1b\x00") {
			t.Errorf("%s: %q", name, err)
		}
	}
	// Two entries of one text that conflict with each other, not with the journal.
	a, b := fresh[2], fresh[2]
	b.Note += "?"
	if _, err := s.Import([]fields.Entry{a, b}); !errors.As(err, new(*ConflictError)) {
		t.Error(err)
	}
	if fileHash(t, s.Path) != before {
		t.Error("a conflict changed the file")
	}
}

// Merging is union: it does not matter who brings what to whom, how often, or
// whose seat does it, and so neither do the answers folded from it.
func TestMergeIsUnion(t *testing.T) {
	for round := range uint64(12) {
		t.Run(fmt.Sprint("seed ", round), func(t *testing.T) { mergeRound(t, seeded(round)) })
	}
}

func mergeRound(t *testing.T, src anyentry.Source) {
	folder := t.TempDir()
	all := randomEntries(src, src.IntN(60))
	journal := func(name string) (*Store, int) {
		s := New(filepath.Join(folder, name))
		s.Seat = name
		if err := s.Create(); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { mustBeWhole(t, s) })
		var mine []fields.Entry
		for _, e := range all {
			if src.IntN(2) == 0 {
				mine = append(mine, e)
			}
		}
		if _, err := s.Import(mine); err != nil {
			t.Fatal(err)
		}
		return s, len(mine)
	}
	held := func(s *Store) string { return texts(mustLoad(t, s).Entries) }
	merge := func(into, from *Store) ImportReport {
		t.Helper()
		before := fileHash(t, from.Path)
		rep, err := into.Merge(from.Path)
		if err != nil {
			t.Fatal(err)
		}
		if into != from && fileHash(t, from.Path) != before {
			t.Fatal("the other journal was changed")
		}
		return rep
	}
	a, na := journal("a")
	b, nb := journal("b")
	c, _ := journal("c")
	copied := New(filepath.Join(folder, "a2"))
	if _, err := a.Copy(copied.Path); err != nil {
		t.Fatal(err)
	}
	rep := merge(a, b)
	if rep.Added+rep.Same != nb {
		t.Fatalf("%+v of %d", rep, nb)
	}
	back := merge(b, copied)
	if back.Added != na-rep.Same || held(a) != held(b) {
		t.Fatalf("a with b is not b with a: %+v", back)
	}
	// (a+b)+c is (c+a)+b.
	merge(a, c)
	merge(c, copied)
	merge(c, b)
	if held(a) != held(c) {
		t.Fatal("the way they met shows")
	}
	if rep := merge(c, a); rep.Added != 0 {
		t.Fatalf("the union grew: %+v", rep)
	}
	if rep := merge(a, a); rep.Added != 0 {
		t.Fatalf("merged with itself it grew: %+v", rep)
	}
}

func TestMergeConflictStoresNothing(t *testing.T) {
	a, b := newJournal(t), newJournal(t)
	got := mustAppend(t, a, sighting("a"))
	other := got[0]
	other.Note = "b"
	mustAppend(t, b, sighting("new"), other)
	before := fileHash(t, a.Path)
	var c *ConflictError
	if _, err := a.Merge(b.Path); !errors.As(err, &c) || c.Present.Note != "a" || c.Coming.Note != "b" {
		t.Fatal(err)
	}
	if fileHash(t, a.Path) != before {
		t.Error("something came over")
	}
}

// Every kind leaves as text and comes back the same.
func TestExportAndImport(t *testing.T) {
	a, b := newJournal(t), newJournal(t)
	list := randomEntries(seeded(14), 400)
	mustAppend(t, a, list...)
	var text bytes.Buffer
	n, err := a.Export(&text)
	if err != nil || n != 400 {
		t.Fatal(n, err)
	}
	entries, err := fields.ReadJSONL(bytes.NewReader(text.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	for i := 1; i < len(entries); i++ {
		if entries[i].ID <= entries[i-1].ID {
			t.Fatal("not by id")
		}
	}
	if _, err := b.Import(entries); err != nil {
		t.Fatal(err)
	}
	var again bytes.Buffer
	if _, err := b.Export(&again); err != nil || !bytes.Equal(text.Bytes(), again.Bytes()) {
		t.Error("the text changed on its way", err)
	}
}

// fullWriter takes a little and then fails, as a full disk does.
type fullWriter struct{ room int }

var errFull = errors.New("no room")

func (w *fullWriter) Write(p []byte) (int, error) {
	if len(p) > w.room {
		return w.room, errFull
	}
	w.room -= len(p)
	return len(p), nil
}

func TestExportSaysWhenItFails(t *testing.T) {
	s := newJournal(t)
	mustAppend(t, s, randomEntries(seeded(15), 100)...)
	if n, err := s.Export(&fullWriter{room: 5000}); !errors.Is(err, errFull) || n != 0 {
		t.Error(n, err)
	}
}

func TestCopy(t *testing.T) {
	s := newJournal(t)
	for _, seat := range []string{"shop", "house"} {
		s.Seat = seat
		mustAppend(t, s, randomEntries(seeded(16), 60)...)
	}
	s.Seat = ""
	mustAppend(t, s, sighting("last"))
	before := fileHash(t, s.Path)
	dir := t.TempDir()
	to := New(filepath.Join(dir, "copy"))
	rep, err := s.Copy(to.Path)
	if err != nil {
		t.Fatal(err)
	}
	a, b := mustLoad(t, s), mustLoad(t, to)
	if texts(a.Entries) != texts(b.Entries) || a.Revision != b.Revision {
		t.Error("the copy holds something else")
	}
	info, err := os.Stat(to.Path)
	if err != nil {
		t.Fatal(err)
	}
	if want := (CopyReport{Path: to.Path, Entries: len(a.Entries), Revision: a.Revision, Bytes: info.Size()}); rep != want {
		t.Errorf("%+v, want %+v", rep, want)
	}
	if fileHash(t, s.Path) != before {
		t.Error("copying changed the journal")
	}
	noLeftovers(t, dir, "copy")
	// The copy is a journal: it goes on from there, chains and all.
	mustAppend(t, to, sighting("in the copy"))
	mustBeWhole(t, to)
	if rep, err := s.Merge(to.Path); err != nil || rep.Added != 1 {
		t.Errorf("%+v, %v", rep, err)
	}
	// It replaces nothing, itself least of all.
	for _, path := range []string{to.Path, s.Path, dir} {
		hash := ""
		if path != dir {
			hash = fileHash(t, path)
		}
		if _, err := s.Copy(path); !errors.Is(err, ErrExists) || !strings.Contains(err.Error(), path) {
			t.Errorf("%s: %v", path, err)
		}
		if path != dir && fileHash(t, path) != hash {
			t.Errorf("%s was changed", path)
		}
	}
	if _, err := s.Copy(filepath.Join(dir, "no", "folder")); err == nil || errors.Is(err, ErrExists) || !strings.Contains(err.Error(), "could not be written") {
		t.Error(err)
	}
}

// An entry of another journal that is stored in the form this program writes is not written and
// read once more; it comes out as if it were, and so does one in any other form.
func TestStoredEntriesArePreparedAsOthers(t *testing.T) {
	src := seeded(7)
	entries := randomEntries(src, 400)
	entries = append(entries, sighting(strings.Repeat("x", fields.MaxLine)))
	entries[400].ID = newID(entries[400].Recorded)
	var from []pair
	for i := range entries {
		text := fields.Encode(&entries[i])
		if i%5 == 0 {
			text = bytes.Replace(text, []byte(`,"`), []byte(`, "`), 1)
		}
		if probs := fields.DecodeInto(&entries[i], string(text)); len(probs) > 0 {
			t.Fatal(probs)
		}
		entries[i].Seat = []string{"", "north"}[i%2]
		from = append(from, pair{[]byte(entries[i].ID), text})
	}
	want, wantErr := prepare(entries)
	got, err := prepare(entries, from...)
	if fmt.Sprint(err) != fmt.Sprint(wantErr) || err == nil {
		t.Errorf("%v, want %v", err, wantErr)
	}
	if !reflect.DeepEqual(got, want) {
		t.Error("not as they would be prepared by themselves")
	}
}
