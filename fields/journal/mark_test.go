package journal

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
)

// A journal as a program may leave it: its file, its mark, and what it must read as.
type left struct {
	name       string
	data, mark []byte
	want       string
}

// leftBehind makes a journal in each of the states that a commit goes through.
func leftBehind(t *testing.T) []left {
	t.Helper()
	s := newJournal(t)
	src := seeded(11)
	for range 3 {
		mustAppend(t, s, randomEntries(src, 6)...)
	}
	before := texts(mustLoad(t, s).Entries)
	var out []left
	s.Trace = func(at string) {
		if at == "opening" || at == "walking" {
			return
		}
		out = append(out, left{at, fileBytes(t, s.Path), fileBytes(t, MarkPath(s.Path)), before})
	}
	defer func() { s.Trace = nil }()
	mustAppend(t, s, sighting("the newest"))
	after := texts(mustLoad(t, s).Entries)
	for i := range out {
		if out[i].name == "finishing" || out[i].name == "finished" {
			out[i].want = after
		}
	}
	if len(out) != 4 || before == after {
		t.Fatalf("%d states", len(out))
	}
	return out
}

func (l *left) put(t *testing.T, s *Store) {
	t.Helper()
	if err := os.WriteFile(s.Path, l.data, 0o600); err != nil {
		t.Fatal(err)
	}
	if l.mark == nil {
		_ = os.Remove(MarkPath(s.Path))
	} else if err := os.WriteFile(MarkPath(s.Path), l.mark, 0o600); err != nil {
		t.Fatal(err)
	}
}

// Whatever byte of the two beginnings is flipped, at whatever step of a commit:
// the journal reads as its newest state, or every operation calls it damaged
// and changes nothing. -step 1 flips every bit of both pages.
func TestNoOlderStateAfterAFlip(t *testing.T) {
	s := New(filepath.Join(t.TempDir(), "farm.journal"))
	refused, fine := 0, 0
	for _, l := range leftBehind(t) {
		h, _ := readHeader(bytes.NewReader(l.data), int64(len(l.data)))
		for at := range 2 * int(h.pageSize) {
			bits := []int{at % 8}
			switch record := at%int(h.pageSize) < pageHead+metaSize; {
			case *step == 1 && (record || l.name == "finished"):
				bits = []int{0, 1, 2, 3, 4, 5, 6, 7}
			case !record && at%509 != 0:
				bits = nil
			}
			for _, bit := range bits {
				hurt := l
				hurt.data = bytes.Clone(l.data)
				hurt.data[at] ^= 1 << bit
				hurt.put(t, s)
				c, err := load(t, s)
				if err == nil {
					if texts(c.Entries) != l.want {
						t.Fatalf("%s, byte %d: an older state was read (%q)", l.name, at, c.Doubt)
					}
					fine++
					continue
				}
				if refused++; refused%8 > 1 { // two in eight are asked everything
					if _, err := s.Append([]fields.Entry{sighting("more")}); !errors.As(err, new(*DamagedError)) {
						t.Fatalf("%s, byte %d: %v", l.name, at, err)
					}
					continue
				}
				for name, op := range operations(s) {
					if name == "Check" {
						if r, err := s.Check(); err == nil && !r.Whole() {
							continue
						}
					}
					if err := op(); !errors.As(err, new(*DamagedError)) {
						t.Fatalf("%s, byte %d: %s: %v", l.name, at, name, err)
					}
				}
				if !bytes.Equal(fileBytes(t, s.Path), hurt.data) || !bytes.Equal(fileBytes(t, MarkPath(s.Path)), l.mark) {
					t.Fatalf("%s, byte %d: something was written", l.name, at)
				}
			}
		}
	}
	t.Logf("%d refused, %d read as the newest state", refused, fine)
	if refused < 4*metaSize || fine == 0 {
		t.Error("the flips tell nothing")
	}
}

// A program that ends at any step of a commit leaves a journal that is whole,
// with the entry or without it, and the next one carries on.
func TestKilledBetweenTheSteps(t *testing.T) {
	for _, c := range []struct {
		at     string
		stored bool
	}{{"marking", false}, {"committing", false}, {"finishing", true}, {"finished", true}} {
		s := newJournal(t)
		mustAppend(t, s, sighting("before"))
		t.Setenv("JOURNAL_TEST_DIE", c.at)
		for round := range 3 {
			cmd, _ := other(t, s, "die", "other", 0)
			if err := cmd.Run(); cmd.ProcessState.ExitCode() != 9 {
				t.Fatal(err)
			}
			got := mustLoad(t, s)
			if stored := len(got.Entries) == 2*round+2; stored != c.stored && len(got.Entries) > 1+round || got.Doubt != "" {
				t.Errorf("%s: %d entries, %q", c.at, len(got.Entries), got.Doubt)
			}
			if n, err := s.Revision(); err != nil || n != got.Revision {
				t.Error(n, err)
			}
			mustBeWhole(t, s)
			mustAppend(t, s, sighting(fmt.Sprint("after", round)))
		}
		noLeftovers(t, filepath.Dir(s.Path), "farm.journal")
	}
}

// A mark that is gone or spoilt is said, and made anew by the next entry; but
// only while both beginnings of the file are sound.
func TestMissingMark(t *testing.T) {
	all := leftBehind(t)
	last := all[len(all)-1]
	s := New(filepath.Join(t.TempDir(), "farm.journal"))
	spoilt := bytes.Clone(last.mark)
	spoilt[20] ^= 1
	for name, m := range map[string][]byte{"gone": nil, "spoilt": spoilt, "empty": {}} {
		l := last
		l.mark = m
		l.put(t, s)
		c := mustLoad(t, s)
		if texts(c.Entries) != l.want || !strings.Contains(c.Doubt, "how far it was written") {
			t.Errorf("%s: %q", name, c.Doubt)
		}
		if r, err := s.Check(); err != nil || !r.Whole() || !strings.Contains(fmt.Sprint(r.Findings), "how far it was written") {
			t.Errorf("%s: %v %v", name, r, err)
		}
		mustAppend(t, s, sighting("more"))
		if c := mustLoad(t, s); c.Doubt != "" {
			t.Errorf("%s: afterwards %q", name, c.Doubt)
		}
		h, _ := readHeader(bytes.NewReader(l.data), int64(len(l.data)))
		for _, page := range []int64{0, 1} {
			l.data = bytes.Clone(last.data)
			l.data[page*h.pageSize+pageHead+30] ^= 1
			l.put(t, s)
			if _, err := load(t, s); !errors.As(err, new(*DamagedError)) {
				t.Errorf("%s, page %d: %v", name, page, err)
			}
		}
	}
}

// Somebody copies an older file over the journal: it is sound in itself, but
// what was logged since is gone. Nothing answers from it until that is accepted,
// and then the gap is remembered.
func TestOlderCopyBroughtBack(t *testing.T) {
	s := newJournal(t)
	mustAppend(t, s, sighting("old"))
	old := fileBytes(t, s.Path)
	mustAppend(t, s, sighting("lost"), sighting("lost"))
	if err := os.WriteFile(s.Path, old, 0o600); err != nil {
		t.Fatal(err)
	}
	for name, op := range operations(s) {
		if name == "Check" {
			r, err := s.Check()
			if err != nil || r.Whole() || !strings.Contains(fmt.Sprint(r.Findings), "entries 2 to 3 of the chain") {
				t.Errorf("%+v, %v", r, err)
			}
			continue
		}
		if err := op(); !errors.As(err, new(*DamagedError)) || name != "Revision" && !strings.Contains(err.Error(), "journal accept") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if !bytes.Equal(fileBytes(t, s.Path), old) {
		t.Error("it was written")
	}
	gaps, err := s.Accept("sam", "the old disk died", time.Date(2026, 9, 18, 7, 0, 0, 0, time.UTC))
	if err != nil || len(gaps) != 1 || len(gaps[0].Runs) != 1 || gaps[0].Runs[0].From != 2 || gaps[0].Runs[0].To != 3 {
		t.Fatal(gaps, err)
	}
	if c := mustLoad(t, s); c.Doubt != "" || len(c.Entries) != 1 {
		t.Errorf("%+v", c)
	}
	says := func(s *Store) {
		t.Helper()
		r, err := s.Check()
		if text := fmt.Sprint(r.Findings); err != nil || !r.Whole() || !strings.Contains(text, "entries 2 to 3 of the chain") || !strings.Contains(text, `accepted by "sam" on Fri 18 Sep 2026: the old disk died`) {
			t.Errorf("%s, %v", text, err)
		}
	}
	says(s)
	mustAppend(t, s, sighting("goes on"))
	says(s)
	if gaps, err := s.Accept("sam", "again", time.Time{}); err != nil || len(gaps) != 0 {
		t.Errorf("%v, %v", gaps, err)
	}
	// The gap goes along.
	var out bytes.Buffer
	if _, err := s.Export(&out); err != nil {
		t.Fatal(err)
	}
	entries, g, err := ReadText(&out)
	if err != nil || len(entries) != 2 || len(g) != 1 {
		t.Fatal(entries, g, err)
	}
	there := newJournal(t)
	if _, err := there.Import(entries, g...); err != nil {
		t.Fatal(err)
	}
	says(there)
	third := newJournal(t)
	if _, err := third.Merge(s.Path); err != nil {
		t.Fatal(err)
	}
	says(third)
}

// Others in the place of what was written: another journal under the name.
func TestAnotherJournalInItsPlace(t *testing.T) {
	s, foreign := newJournal(t), newJournal(t)
	mustAppend(t, s, sighting("mine"))
	mustAppend(t, foreign, sighting("a"), sighting("b"))
	if err := os.WriteFile(s.Path, fileBytes(t, foreign.Path), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := load(t, s); !errors.As(err, new(*DamagedError)) || !strings.Contains(err.Error(), "entry 1 of the chain") {
		t.Error(err)
	}
	if gaps, err := s.Accept("sam", "on purpose", time.Now()); err != nil || len(gaps) != 1 {
		t.Error(gaps, err)
	}
	mustAppend(t, s, sighting("goes on"))
}

// A program that keeps no mark wrote further, or a newer file was brought in:
// nothing is missing.
func TestWrittenElsewhere(t *testing.T) {
	s := newJournal(t)
	mustAppend(t, s, sighting("one"))
	m := fileBytes(t, MarkPath(s.Path))
	mustAppend(t, s, sighting("two"))
	if err := os.WriteFile(MarkPath(s.Path), m, 0o600); err != nil {
		t.Fatal(err)
	}
	if c := mustLoad(t, s); len(c.Entries) != 2 || !strings.Contains(c.Doubt, "nothing is missing") {
		t.Errorf("%+v", c)
	}
	mustAppend(t, s, sighting("three"))
	if c := mustLoad(t, s); c.Doubt != "" {
		t.Error(c.Doubt)
	}
}

// One journal under two names has one mark.
func TestMarkOfALink(t *testing.T) {
	s := newJournal(t)
	link := New(filepath.Join(t.TempDir(), "link.journal"))
	if err := os.Symlink(s.Path, link.Path); err != nil {
		t.Skip(err)
	}
	mustAppend(t, s, sighting("one"))
	mustAppend(t, link, sighting("two"))
	mustAppend(t, s, sighting("three"))
	for _, x := range []*Store{s, link} {
		if c := mustLoad(t, x); len(c.Entries) != 3 || c.Doubt != "" {
			t.Errorf("%+v", c)
		}
	}
	noLeftovers(t, filepath.Dir(link.Path), "link.journal")
}

// The mark of a journal that is gone does not stand against the next of its name.
func TestNewJournalOfAnOldName(t *testing.T) {
	s := newJournal(t)
	mustAppend(t, s, sighting("one"))
	copied := filepath.Join(t.TempDir(), "copy")
	if _, err := s.Copy(copied); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(s.Path); err != nil {
		t.Fatal(err)
	}
	if err := s.Create(); err != nil {
		t.Fatal(err)
	}
	if c := mustLoad(t, s); c.Doubt != "" || len(c.Entries) != 0 {
		t.Errorf("%+v", c)
	}
	if err := os.Remove(s.Path); err != nil {
		t.Fatal(err)
	}
	if _, err := New(copied).Copy(s.Path); err != nil {
		t.Fatal(err)
	}
	if c := mustLoad(t, s); c.Doubt != "" || len(c.Entries) != 1 {
		t.Errorf("%+v", c)
	}
}

// A file that was never a mark is nobody's to remove.
func TestForeignFileWhereTheMarkGoes(t *testing.T) {
	s := New(filepath.Join(t.TempDir(), "farm.journal"))
	if err := os.WriteFile(MarkPath(s.Path), []byte("the brand of the herd"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := s.Create(); !errors.Is(err, ErrExists) || !strings.Contains(err.Error(), ".mark is there already") {
		t.Error(err)
	}
	if s.Exists() || string(fileBytes(t, MarkPath(s.Path))) != "the brand of the herd" {
		t.Error("something was written")
	}
}

// A folder that takes no mark takes no entry.
func TestNoRoomForTheMark(t *testing.T) {
	s := newJournal(t)
	stands := mustAppend(t, s, sighting("one"))
	if err := os.Mkdir(MarkPath(s.Path)+".new", 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(MarkPath(s.Path)+".new", "x"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	before := fileHash(t, s.Path)
	if _, err := s.Append([]fields.Entry{sighting("two")}); err == nil || !strings.Contains(err.Error(), "nothing was stored") {
		t.Error(err)
	}
	if fileHash(t, s.Path) != before || texts(mustLoad(t, s).Entries) != texts(stands) {
		t.Error("it was stored")
	}
}

// The right to write is lost in the middle of a commit: the entry is there, whoever logged
// it is told to look before logging it again, and the next commit carries on.
func TestNoRightsBehindTheCommit(t *testing.T) {
	s := newJournal(t)
	mustAppend(t, s, sighting("one"))
	inTheWay := MarkPath(s.Path) + ".new"
	s.Trace = func(step string) {
		if step == "committing" {
			if err := errors.Join(os.Mkdir(inTheWay, 0o700), os.WriteFile(filepath.Join(inTheWay, "x"), nil, 0o600)); err != nil {
				t.Error(err)
			}
		}
	}
	_, err := s.Append([]fields.Entry{sighting("two")})
	if err == nil || !strings.Contains(err.Error(), "look whether the entries are in it before adding them again") {
		t.Error(err)
	}
	if c := mustLoad(t, s); len(c.Entries) != 2 || c.Doubt != "" {
		t.Errorf("%d entries, %q", len(c.Entries), c.Doubt)
	}
	s.Trace = nil
	if _, err := s.Append([]fields.Entry{sighting("three")}); err == nil || !strings.Contains(err.Error(), "nothing was stored") {
		t.Error(err)
	}
	if err := os.RemoveAll(inTheWay); err != nil {
		t.Fatal(err)
	}
	mustAppend(t, s, sighting("three"))
	if c := mustLoad(t, s); len(c.Entries) != 3 || c.Doubt != "" {
		t.Errorf("%d entries, %q", len(c.Entries), c.Doubt)
	}
}

// Files that killed copies left are cleared away; anything else is not.
func TestSweep(t *testing.T) {
	s := newJournal(t)
	dir := filepath.Dir(s.Path)
	old := time.Now().Add(-staleAfter - time.Minute)
	make := func(name string, when time.Time) {
		path := filepath.Join(dir, name)
		if err := errors.Join(os.WriteFile(path, []byte("x"), 0o600), os.Chtimes(path, when, when)); err != nil {
			t.Fatal(err)
		}
	}
	make(".rimegate-123.tmp", old)
	make(".rimegate-124.tmp", time.Now()) // perhaps at work
	make(".rimegate-mine.tmp", old)       // not a name of ours
	make("notes.tmp", old)
	if err := os.Mkdir(filepath.Join(dir, ".rimegate-125.tmp"), 0o700); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Copy(filepath.Join(dir, "copy")); err != nil {
		t.Fatal(err)
	}
	noLeftovers(t, dir, "farm.journal", "copy", ".rimegate-124.tmp", ".rimegate-mine.tmp", "notes.tmp", ".rimegate-125.tmp")
	if _, err := os.Stat(filepath.Join(dir, ".rimegate-123.tmp")); err == nil {
		t.Error("it is still there")
	}
	for _, name := range []string{".rimegate-124.tmp", ".rimegate-mine.tmp", "notes.tmp"} {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			t.Error(err)
		}
	}
}
