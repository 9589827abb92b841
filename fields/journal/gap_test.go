package journal

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
)

// A text of entries and gaps: each line is what it is, wrong ones keep their
// numbers, and what is written reads back.
func TestReadText(t *testing.T) {
	e := sighting("one")
	e.ID = "01J8ZQ4V7W0000000000000001"
	entry := string(fields.Encode(&e))
	g := Gap{What: "a test\u202e", IDs: []string{"01J8ZQ4V7W0000000000000002"}, Runs: []Run{{"shop", 2, 4}}, By: "sam", Why: "x\u200b", At: time.Date(2026, 9, 18, 7, 0, 0, 0, time.UTC)}
	var line bytes.Buffer
	if err := writeGaps(&line, []Gap{g}); err != nil {
		t.Fatal(err)
	}
	if strings.ContainsAny(line.String(), "\u202e\u200b") {
		t.Errorf("%q acts on a terminal", line.String())
	}
	for name, text := range map[string]string{
		"a gap first": line.String() + entry, "a gap last": entry + "\n" + strings.TrimSpace(line.String()), "with the mark of an editor": "\xef\xbb\xbf" + line.String() + entry + "\n",
	} {
		entries, gaps, err := ReadText(strings.NewReader(text))
		if err != nil || len(entries) != 1 || len(gaps) != 1 || string(gaps[0].key()) != string(g.key()) || gaps[0].Why != g.Why {
			t.Errorf("%s: %v, %v, %v", name, entries, gaps, err)
		}
	}
	long := `{"gap":{"what":"a test","ids":["` + strings.Repeat("x", 100_000) + `"]}}` + "\n"
	_, _, err := ReadText(strings.NewReader(long + `{"gap":{"what":"","ids":["x"]}}` + "\n" + entry + "\n{}\n" + `{"gap":{"what":"a","sheep":1,"ids":["x"]}}`))
	var ps fields.Problems
	if !errors.As(err, &ps) || ps[0].Line != 2 || ps[1].Line != 5 || ps[2].Line != 4 {
		t.Errorf("%v", err)
	}
	// A line end that got lost must not hide an entry, which may be a frost.
	if es, gaps, err := ReadText(strings.NewReader(strings.TrimSpace(line.String()) + entry + "\n")); err == nil {
		t.Errorf("an entry behind a gap is passed over: %v, %v", es, gaps)
	}
}
