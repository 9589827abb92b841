package rules

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

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
		for key, id := range book.Alias {
			if book.Species[id] == nil {
				t.Fatalf("%q leads nowhere", key)
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
