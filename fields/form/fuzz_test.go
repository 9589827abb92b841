package form

import (
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"rimegate/fields"
)

// clean fails for words not fit for a terminal.
func clean(t *testing.T, words string) {
	t.Helper()
	if !utf8.ValidString(words) || strings.ContainsFunc(words, func(r rune) bool { return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) }) {
		t.Fatalf("said %q", words)
	}
}

// FuzzForm: whatever is typed into a field of any form, on the command line or on the
// screens, what comes of it are problems in clean words, each of a field of the form,
// or entries that the journal takes and gives back as they are.
func FuzzForm(f *testing.F) {
	for i, s := range []string{
		"-3C", "today", "6-Oct", "820; <100", "oats:60, field peas:40", "creek, hills", "johnsongrass (patches)", "FREQ=DAILY", "none", "yes", "cows, pairs",
		"\x1b[31m", "a\x00b", "\u202eab", "\xff", "=1+1", "[red]", strings.Repeat("x", 3000),
	} {
		f.Add(uint8(i), s, uint8(i), s, i%2 == 0)
	}
	kinds := fields.Kinds()
	f.Fuzz(func(t *testing.T, kind uint8, one string, at uint8, other string, line bool) {
		k := Of(kinds[int(kind)%len(kinds)])
		if k == nil {
			return
		}
		said := Said{}
		for i := range k.Fields { // what is needed beside the field in hand
			switch x := &k.Fields[i]; {
			case len(x.Choices) > 0:
				said[x.Name] = []string{x.Choices[int(at)%len(x.Choices)]}
			case i == int(at)%len(k.Fields):
				said[x.Name] = []string{one, other}
			case i%3 == int(at)%3:
				said[x.Name] = []string{one}
			}
		}
		c := fuzzed(line)
		entries, ps := k.Entries(said, c)
		if (len(entries) == 0) == (len(ps) == 0) {
			t.Fatalf("%d entries, %v", len(entries), ps)
		}
		for _, p := range ps {
			clean(t, p.Error())
			if p.What == "" {
				t.Fatalf("a problem without words: %+v", p)
			}
		}
		for i := range entries {
			e := &entries[i]
			e.ID, e.By, e.Recorded = "01J8ZZZZZZZZZZZZZZZZZZZZZZ", "A. Person", c.Now
			if len(fields.Check(e)) > 0 {
				continue // said by the check that every entry passes before it is stored
			}
			back, ps := fields.DecodeEntry(fields.Encode(e))
			if len(ps) > 0 || string(fields.Encode(back)) != string(fields.Encode(e)) {
				t.Fatalf("%s: %v", fields.Encode(e), ps)
			}
		}
	})
}

func fuzzed(line bool) Context {
	return Context{
		Now: time.Date(2026, 10, 6, 7, 30, 0, 0, time.UTC), Farm: threePaddocks{}, Line: line, Stands: func(string) bool { return true },
	}
}

// FuzzZone: a zone that is typed is one that can be loaded, or is refused in clean words.
func FuzzZone(f *testing.F) {
	for _, s := range []string{"America/Denver", "america/north dakota/center", "denver", "Canada", "UTC", "Local", "../../etc/passwd", "\x00", "America/\x1b[31m", "", strings.Repeat("a/", 500)} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		name, err := ParseZone(s)
		if err != nil {
			clean(t, err.Error())
			return
		}
		clean(t, name)
		if _, err := fields.LoadZone(name); err != nil || strings.Contains(name, "..") {
			t.Fatalf("%q is taken as %q: %v", s, name, err)
		}
	})
}
