package fields_test

import (
	"bytes"
	"math/rand/v2"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"rimegate/fields"
	"rimegate/fields/internal/anyentry"
)

// FuzzReadJSONL: whatever a file holds, it is either refused with words fit
// for a terminal, or accepted and written back without a change.
func FuzzReadJSONL(f *testing.F) {
	src := rand.New(rand.NewPCG(1, 2))
	for _, k := range fields.Kinds() {
		e := anyentry.Of(src, k)
		f.Add(append(fields.Encode(&e), '\n'))
	}
	for _, s := range []string{
		"", "\n\n", "\xef\xbb\xbf", "{}", "null", "[]", `{"id":1}`, `{"id":"x","id":"x"}`, "{", `{"a":{"b":[`, "\xff", `{"\u0000":1}`,
		line(idA, "frost", `"paddock":"north","night":"2026-09-17","low_c":-0`) + "\r\n" + line(idB, "read", `"on":"2026-09-17"`),
		line(idA, "hail", `"paddocks":["north"],"on":"2026-09-17"`) + "\n" + line(idA, "hail", `"paddocks":["creek"],"on":"2026-09-17"`),
		line(idA, "override", `"rule":"r","value":1e308,"because":"\ud800","on":"2026-09-17"`),
		strings.Repeat("[", 20_000),
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		got, err := fields.ReadJSONL(bytes.NewReader(text))
		if err != nil {
			ps, ok := err.(fields.Problems)
			if !ok || len(ps) == 0 || got != nil {
				t.Fatalf("%v beside %d entries", err, len(got))
			}
			for _, p := range ps {
				s := p.Error()
				if p.Line < 1 || p.What == "" || !utf8.ValidString(s) || strings.ContainsFunc(s, unicode.IsControl) {
					t.Fatalf("a problem not fit to be shown: %q", s)
				}
			}
			return
		}
		var out bytes.Buffer
		if err := fields.WriteJSONL(&out, got); err != nil {
			t.Fatal(err)
		}
		if n := bytes.Count(out.Bytes(), []byte("\n")); n != len(got) {
			t.Fatalf("%d entries on %d lines", len(got), n)
		}
		again, err := fields.ReadJSONL(bytes.NewReader(out.Bytes()))
		if err != nil || len(again) != len(got) {
			t.Fatalf("what was accepted is refused when written back: %v\n%s", err, out.Bytes())
		}
		for i := range got {
			if ps := fields.Check(&got[i]); len(ps) > 0 {
				t.Fatalf("accepted, but: %v", ps)
			}
			if !bytes.Equal(fields.Encode(&got[i]), fields.Encode(&again[i])) {
				t.Fatalf("entry %d changed", i)
			}
		}
	})
}
