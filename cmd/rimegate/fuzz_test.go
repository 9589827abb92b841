package main

import (
	"strings"
	"testing"
	"unicode"
)

// FuzzWords: a line typed behind --if is cut as a shell would cut it: no blank and no
// letter of it is lost or made up, or an open quote is told.
func FuzzWords(f *testing.F) {
	for _, s := range []string{"log frost --low -3C creek", `log walk --note "a 'b' c" x`, `'' ""`, `a"b"c`, `"`, "\xff\u2028 x", strings.Repeat("' '", 1000)} {
		f.Add(s)
	}
	bare := func(s string) string {
		return strings.Map(func(r rune) rune {
			if r == '"' || r == '\'' || unicode.IsSpace(r) {
				return -1
			}
			return r
		}, s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		if strings.Contains(line, "\x00") {
			return // no argument can hold one
		}
		words, err := splitWords(line)
		if err != nil {
			if strings.Count(line, `"`)+strings.Count(line, "'") == 0 {
				t.Fatalf("%q: %v", line, err)
			}
			return
		}
		if got := bare(strings.Join(words, "")); got != bare(line) {
			t.Fatalf("%q is cut into %q", line, words)
		}
		again := make([]string, len(words))
		for i, w := range words {
			if strings.ContainsAny(w, `'"`) {
				return
			}
			again[i] = `"` + w + `"`
		}
		back, err := splitWords(strings.Join(again, " "))
		if err != nil || strings.Join(back, "\x00") != strings.Join(words, "\x00") {
			t.Fatalf("%q: %q, then %q, %v", line, words, back, err)
		}
	})
}
