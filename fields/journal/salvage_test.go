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

// salvaged salvages a file and fails unless every entry that comes out is one
// that went in, unchanged.
func salvaged(t testing.TB, data []byte, in []fields.Entry) (SalvageReport, map[string]bool) {
	t.Helper()
	s := New(filepath.Join(t.TempDir(), "farm.journal"))
	if err := os.WriteFile(s.Path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	r, err := s.Salvage(&out)
	if err != nil {
		t.Fatal(err)
	}
	if now, _ := os.ReadFile(s.Path); !bytes.Equal(now, data) {
		t.Error("the file was changed")
	}
	went := map[string]string{}
	for i := range in {
		went[in[i].ID] = string(fields.Encode(&in[i]))
	}
	got, gaps, err := ReadText(&out)
	if err != nil || len(got) != r.Proven {
		t.Fatalf("%d of %d entries: %v", len(got), r.Proven, err)
	}
	if r.Whole() != (len(gaps) == 0) {
		t.Errorf("%d traces, %d places missing, %d gaps", len(r.Traces), r.Places, len(gaps))
	}
	ids := map[string]bool{}
	for i := range got {
		if went[got[i].ID] != string(fields.Encode(&got[i])) {
			t.Errorf("entry %s came out as %s", got[i].ID, fields.Encode(&got[i]))
		}
		ids[got[i].ID] = true
	}
	for _, trace := range r.Traces {
		if ids[trace.ID] {
			t.Errorf("%s is proven and a trace", trace.ID)
		}
	}
	return r, ids
}

func TestSalvage(t *testing.T) {
	sound, pageSize, entries := soundFile(t)
	all := len(entries)
	edit := func(change func(b []byte)) []byte {
		b := bytes.Clone(sound)
		change(b)
		return b
	}
	// The note of an entry changed wherever it is written, old pages included.
	forged := bytes.ReplaceAll(sound, []byte("find me"), []byte("find it"))
	for _, c := range []struct {
		name  string
		data  []byte
		least int
		lost  int // exactly so many traces, -1 for any
	}{
		{"nothing wrong", sound, all, 0},
		{"both beginnings lost", edit(func(b []byte) { clear(b[:2*pageSize]) }), all, 0},
		{"one entry forged", forged, all - 1, 1},
		{"a page of entries zeroed", edit(func(b []byte) {
			at := bytes.LastIndex(b, []byte("find me")) / pageSize * pageSize
			clear(b[at : at+pageSize])
		}), all - 40, -1},
		{"the second half gone", sound[:len(sound)/2], 0, -1},
		{"the first half gone", edit(func(b []byte) { clear(b[:len(b)/2]) }), 0, -1},
		{"a tail that is no page", append(bytes.Clone(sound), "the end"...), all, 0},
	} {
		r, _ := salvaged(t, c.data, entries)
		if r.Proven < c.least || c.lost >= 0 && len(r.Traces) != c.lost {
			t.Errorf("%s: %d of %d entries, %d traces", c.name, r.Proven, all, len(r.Traces))
		}
		if r.Proven+len(r.Traces)+int(r.Places) < all/10 {
			t.Errorf("%s: next to nothing was found", c.name)
		}
		if c.name == "one entry forged" && (len(r.Traces[0].Texts) != 1 || !strings.Contains(r.Traces[0].Texts[0], "find it")) {
			t.Errorf("the trace does not show what is there: %+v", r.Traces)
		}
		t.Logf("%s: %d of %d entries, %d traces", c.name, r.Proven, all, len(r.Traces))
	}
	for at := 0; at < len(sound); at += 40_009 {
		r, _ := salvaged(t, edit(func(b []byte) { b[at] ^= 0xFF }), entries)
		if r.Proven < all-40 {
			t.Errorf("one byte at %d cost %d entries", at, all-r.Proven)
		}
	}
}

// A small journal keeps its lists within one page.
func TestSalvageOfFewEntries(t *testing.T) {
	s := newJournal(t)
	in := mustAppend(t, s, sighting("one"), sighting("two"))
	data, err := os.ReadFile(s.Path)
	if err != nil {
		t.Fatal(err)
	}
	if r, _ := salvaged(t, data, in); r.Proven != 2 || len(r.Traces) != 0 {
		t.Errorf("%+v", r)
	}
}

// Every entry the file or its mark knows of comes out or is named, and what is
// made of the text remembers what did not, until all of it is there again.
func TestSalvageNamesWhatIsMissing(t *testing.T) {
	whole, pageSize := soundStore(t)
	entries := mustLoad(t, whole).Entries
	data := fileBytes(t, whole.Path)
	h, _ := readHeader(bytes.NewReader(data), int64(len(data)))
	hurt := New(filepath.Join(t.TempDir(), "hurt"))
	salvage := func(name string, change func(b []byte), marked bool) (SalvageReport, []fields.Entry, []Gap) {
		t.Helper()
		b := bytes.Clone(data)
		change(b)
		if err := os.WriteFile(hurt.Path, b, 0o600); err != nil {
			t.Fatal(err)
		}
		_ = os.Remove(MarkPath(hurt.Path))
		if marked {
			if err := os.WriteFile(MarkPath(hurt.Path), fileBytes(t, MarkPath(whole.Path)), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		var out bytes.Buffer
		r, err := hurt.Salvage(&out)
		if err != nil {
			t.Fatal(err)
		}
		got, gaps, err := ReadText(&out)
		if err != nil {
			t.Fatal(err)
		}
		if r.Unsaid == marked {
			t.Errorf("%s: unsaid %v", name, r.Unsaid)
		}
		if n := r.Proven + len(r.Traces) + int(r.Places); n < len(entries) {
			t.Errorf("%s: %d of %d entries accounted for: %+v", name, n, len(entries), r)
		}
		if r.Whole() != (len(gaps) == 0) {
			t.Errorf("%s: %d gaps", name, len(gaps))
		}
		return r, got, gaps
	}
	if r, _, _ := salvage("nothing wrong", func([]byte) {}, true); !r.Whole() {
		t.Errorf("%+v", r)
	}
	// All that is left is the mark.
	if r, _, _ := salvage("nothing left", func(b []byte) { clear(b) }, true); r.Proven != 0 || int(r.Places) != len(entries) || len(r.Missing) != 2 {
		t.Errorf("%+v", r)
	}
	// Page by page: whichever is lost, with every older form of it.
	src := seeded(3)
	for id := 2; id < int(h.high); id++ {
		salvage("page "+fmt.Sprint(id), func(b []byte) { clear(b[id*pageSize : (id+1)*pageSize]) }, true)
	}
	r, got, gaps := salvage("half of the pages", func(b []byte) {
		for id := 2; id < int(h.high); id++ {
			if src.IntN(2) == 0 {
				clear(b[id*pageSize : (id+1)*pageSize])
			}
		}
	}, true)
	if r.Whole() {
		t.Fatal("nothing is missing of half a file")
	}
	fresh := newJournal(t)
	if _, err := fresh.Import(got, gaps...); err != nil {
		t.Fatal(err)
	}
	says := func(want bool) {
		t.Helper()
		rep, err := fresh.Check()
		if found := strings.Contains(fmt.Sprint(rep.Findings), "entries are missing"); err != nil || !rep.Whole() || found != want {
			t.Errorf("%v %v", rep.Findings, err)
		}
	}
	says(true)
	if c := mustLoad(t, fresh); !strings.Contains(c.Doubt, "entries are missing") {
		t.Errorf("%q", c.Doubt)
	}
	if g, err := fresh.Accept("sam", "no copy is left", time.Now()); err != nil || len(g) != 1 {
		t.Error(g, err)
	}
	if c := mustLoad(t, fresh); c.Doubt != "" {
		t.Errorf("%q", c.Doubt)
	}
	says(true)

	// A gap known by ids alone closes when the entries are there again.
	again := newJournal(t)
	if _, err := again.Import(entries[1:], Gap{What: "a test", IDs: []string{entries[0].ID}}); err != nil {
		t.Fatal(err)
	}
	fresh = again
	says(true)
	if _, err := again.Import(entries); err != nil {
		t.Fatal(err)
	}
	says(false)
	if c := mustLoad(t, again); c.Doubt != "" {
		t.Errorf("%q", c.Doubt)
	}
}

// What was salvaged and the last copy make one journal again.
func TestSalvageAndCopyMeet(t *testing.T) {
	s := newJournal(t)
	mustAppend(t, s, randomEntries(seeded(40), 60)...)
	old := New(filepath.Join(t.TempDir(), "copy"))
	if _, err := s.Copy(old.Path); err != nil {
		t.Fatal(err)
	}
	mustAppend(t, s, sighting("logged after the copy"))
	data, err := os.ReadFile(s.Path)
	if err != nil {
		t.Fatal(err)
	}
	clear(data[:8192])
	hurt := New(filepath.Join(t.TempDir(), "hurt"))
	if err := os.WriteFile(hurt.Path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := hurt.Load(); !errors.As(err, new(*DamagedError)) {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if _, err := hurt.Salvage(&out); err != nil {
		t.Fatal(err)
	}
	entries, err := fields.ReadJSONL(&out)
	if err != nil {
		t.Fatal(err)
	}
	if rep, err := old.Import(entries); err != nil || rep != (ImportReport{Added: 1, Same: 60}) {
		t.Errorf("%+v, %v", rep, err)
	}
	mustBeWhole(t, old)
	if texts(mustLoad(t, old).Entries) != texts(mustLoad(t, s).Entries) {
		t.Error("something is missing")
	}
}

func TestSalvageOfNoJournal(t *testing.T) {
	for name, data := range map[string][]byte{
		"empty": nil, "text": []byte(strings.Repeat("oats\n", 5000)), "leaves of nothing": bytes.Repeat([]byte{2, 0, 255, 255}, 5000),
	} {
		if r, _ := salvaged(t, data, nil); r.Proven != 0 || len(r.Traces) != 0 {
			t.Errorf("%s: %+v", name, r)
		}
	}
	dir := t.TempDir()
	if _, err := New(filepath.Join(dir, "none")).Salvage(new(bytes.Buffer)); !errors.Is(err, ErrMissing) {
		t.Error(err)
	}
	if _, err := New(dir).Salvage(new(bytes.Buffer)); !errors.As(err, new(*DamagedError)) {
		t.Error(err)
	}
}
