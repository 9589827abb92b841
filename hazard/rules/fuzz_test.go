package rules

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"unicode"
	"unicode/utf8"

	"rimegate/fields"
	"rimegate/hazard"
)

// FuzzLoad puts any text in the place of one file of the rulebook. Loading must
// end in a sound rulebook or in faults that all name themselves, never in a
// panic or a half-read book.
func FuzzLoad(f *testing.F) {
	for _, place := range []string{"cautious/walk.toml", "cautious/rulebook.toml", "fixed.toml", "tables/clemson.toml", "publications/ia-2006.toml", "species.toml", "sources.toml"} {
		text, err := fs.ReadFile(files, place)
		if err != nil {
			f.Fatal(err)
		}
		if len(text) > 4000 {
			text = text[:4000]
		}
		f.Add(place, string(text))
	}
	bad, err := filepath.Glob("testdata/bad/*.toml")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range bad {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		head, _, _ := strings.Cut(string(text), "\n")
		f.Add(strings.TrimPrefix(head, "# at: "), string(text))
	}
	f.Add("cautious/walk.toml", "a.\"b.c[\".[[d]] = 1\n\"\" = 2\n[[rule]]\nid = {x = [[1], {y = 2}]}\n")
	f.Fuzz(func(t *testing.T, place, text string) {
		if !fs.ValidPath(place) || !strings.HasSuffix(place, ".toml") || strings.HasPrefix(place, ".") {
			return
		}
		fsys := bookFS(t)
		for name := range fsys { // a file cannot be a folder too
			if strings.HasPrefix(name, place+"/") || strings.HasPrefix(place, name+"/") {
				return
			}
		}
		fsys[place] = &fstest.MapFile{Data: []byte(text)}
		b, ps := load(fsys)
		if (b == nil) != (len(ps) > 0) {
			t.Fatalf("book %v with %d faults", b != nil, len(ps))
		}
		for _, p := range ps {
			if p.What == "" || p.Line < 0 || (p.Line > 0) != (p.Column > 0) || p.Line > strings.Count(text, "\n")+2 && p.File == place {
				t.Fatalf("a fault without its place or words: %+v", p)
			}
		}
		if b == nil {
			return
		}
		book := b.book
		for k := hazard.RuleKey(0); k < hazard.NumRules; k++ {
			if _, ok := book.Info[k.String()]; !ok {
				t.Fatalf("%s is missing from a loaded book", k)
			}
		}
		for _, a := range book.Aliases {
			if book.Species[a.Species] == nil {
				t.Fatalf("%q leads nowhere", a.Name)
			}
		}
		for _, tab := range book.Tables {
			for _, row := range tab.Rows {
				if len(row) == 0 || flagOf(row[0]) != hazard.Clear || row[len(row)-1].UpTo < 1e300 {
					t.Fatalf("table %s has a row without a first or last band", tab.ID)
				}
			}
		}
	})
}

// FuzzCheck: whatever draft somebody gives, what is said of it is said in clean words at
// a place of its own, and what is taken without a fault is taken again the same.
func FuzzCheck(f *testing.F) {
	for _, place := range []string{"publications/ia-2006.toml", "tables/clemson.toml", "cautious/walk.toml"} {
		text, err := fs.ReadFile(files, place)
		if err != nil {
			f.Fatal(err)
		}
		f.Add("draft.toml", string(text))
	}
	bad, _ := filepath.Glob("testdata/bad/*.toml")
	for _, name := range bad {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(filepath.Base(name), string(text))
	}
	f.Add("x.toml", "id = \"\\u0000\\u001b[31m\\u202e\"\n[[table]]\n")
	f.Fuzz(func(t *testing.T, name, text string) {
		out := Check([]File{{name, text}}, fields.MakeDate(2026, 10, 6))
		if len(out) != 1 {
			t.Fatal(len(out))
		}
		for _, p := range append(append([]Problem(nil), out[0].Problems...), out[0].Doubts...) {
			if p.What == "" || !utf8.ValidString(p.What) || strings.ContainsFunc(p.What, func(r rune) bool {
				return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)
			}) || p.Line > strings.Count(text, "\n")+2 {
				t.Fatalf("a fault not fit to be shown: %+v", p)
			}
		}
		if again := Check([]File{{name, text}}, fields.MakeDate(2026, 10, 6)); len(again[0].Problems) != len(out[0].Problems) {
			t.Fatalf("%v, then %v", out[0].Problems, again[0].Problems)
		}
	})
}
