package journal

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/fields/internal/anyentry"
)

// FuzzImportText: any text the codec accepts goes into a journal and comes out
// of it as the same entries, in order of id.
func FuzzImportText(f *testing.F) {
	src := seeded(20)
	for _, k := range fields.Kinds() {
		e := anyentry.Of(src, k)
		f.Add(append(fields.Encode(&e), '\n'))
	}
	two := randomEntries(src, 2)
	f.Add([]byte(texts(append(two, two[0]))))
	f.Add([]byte("\xef\xbb\xbf\r\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		entries, err := fields.ReadJSONL(bytes.NewReader(text))
		if err != nil {
			return
		}
		s := New(filepath.Join(t.TempDir(), "farm.journal"))
		if err := s.Create(); err != nil {
			t.Fatal(err)
		}
		rep, err := s.Import(entries)
		if err != nil || rep.Added != len(entries) {
			t.Fatalf("accepted as text and not by the journal: %+v, %v", rep, err)
		}
		var out bytes.Buffer
		if n, err := s.Export(&out); err != nil || n != len(entries) {
			t.Fatal(n, err)
		}
		back, err := fields.ReadJSONL(bytes.NewReader(out.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		want := map[string]string{}
		for i := range entries {
			want[entries[i].ID] = string(fields.Encode(&entries[i]))
		}
		for i := range back {
			if want[back[i].ID] != string(fields.Encode(&back[i])) || i > 0 && back[i].ID <= back[i-1].ID {
				t.Fatalf("entry %s came out differently", back[i].ID)
			}
		}
		if rep, err := s.Import(back); err != nil || rep.Same != len(entries) || rep.Added != 0 {
			t.Fatalf("%+v, %v", rep, err)
		}
		mustBeWhole(t, s)
	})
}

// FuzzFile: whatever bytes stand in a file, no operation panics, hangs, or
// changes a file it does not take for a journal.
func FuzzFile(f *testing.F) {
	s := New(filepath.Join(f.TempDir(), "farm.journal"))
	if err := s.Create(); err != nil {
		f.Fatal(err)
	}
	in := mustAppend(f, s, sighting("a"), sighting("b"))
	data, err := os.ReadFile(s.Path)
	if err != nil {
		f.Fatal(err)
	}
	for at := 0; at < len(data); at += 511 {
		f.Add(uint32(at), []byte{0xFF})
	}
	f.Add(uint32(0), []byte("a text"))
	f.Fuzz(func(t *testing.T, at uint32, patch []byte) {
		b := bytes.Clone(data)
		copy(b[int(at)%len(b):], patch)
		s := New(filepath.Join(t.TempDir(), "farm.journal"))
		if err := os.WriteFile(s.Path, b, 0o600); err != nil {
			t.Fatal(err)
		}
		var dam *DamagedError
		c, err := load(t, s)
		if err != nil && !errors.As(err, &dam) {
			t.Fatal(err)
		}
		r, cerr := s.Check()
		if cerr != nil && !errors.As(cerr, &dam) {
			t.Fatal(cerr)
		}
		if err != nil && cerr == nil && r.Whole() {
			t.Fatalf("Check finds nothing, Load says %v", err)
		}
		salvaged(t, b, in)
		if now, _ := os.ReadFile(s.Path); !bytes.Equal(now, b) {
			t.Fatal("reading changed the file")
		}
		if _, aerr := s.Append([]fields.Entry{sighting("c")}); aerr != nil {
			if now, _ := os.ReadFile(s.Path); !errors.As(aerr, &dam) || !bytes.Equal(now, b) {
				t.Fatalf("refused (%v), but the file was changed", aerr)
			}
		} else if err == nil {
			if after, err := load(t, s); err != nil || len(after.Entries) != len(c.Entries)+1 {
				t.Fatal(err)
			}
		}
	})
}

// FuzzText: whatever text is given as an export, gaps among its entries included, it is
// refused in clean words or written back with the same entries and gaps.
func FuzzText(f *testing.F) {
	src := seeded(21)
	es := randomEntries(src, 3)
	gap := Gap{What: "made of a damaged file", IDs: []string{es[0].ID}, By: "A. Person", At: es[0].Recorded, Why: "the old disk died"}
	var b bytes.Buffer
	if err := writeGaps(&b, []Gap{gap}); err != nil {
		f.Fatal(err)
	}
	f.Add([]byte(b.String() + texts(es)))
	f.Add([]byte(strings.TrimSuffix(b.String(), "\n") + texts(es))) // an entry on the line of a gap
	f.Add([]byte(`{"gap":{"by":"\u001b[31m","because":"\u0000","runs":[]}}` + "\n"))
	f.Add([]byte(`{"gap":`))
	f.Add([]byte(`{"gap":[[[[[[[[`))
	f.Fuzz(func(t *testing.T, text []byte) {
		entries, gaps, err := ReadText(bytes.NewReader(text))
		if err != nil {
			if s := err.Error(); s == "" || strings.ContainsAny(s, "\r\x1b\x00\u202e") {
				t.Fatalf("%q", s)
			}
			return
		}
		var out bytes.Buffer
		if err := writeGaps(&out, gaps); err != nil {
			t.Fatal(err)
		}
		out.WriteString(texts(entries))
		back, again, err := ReadText(bytes.NewReader(out.Bytes()))
		if err != nil || texts(back) != texts(entries) || len(again) != len(gaps) {
			t.Fatalf("%q: %v, %d of %d gaps", out.String(), err, len(again), len(gaps))
		}
	})
}
