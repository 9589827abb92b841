package paper

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"rimegate/hazard/board"
)

// FuzzPlain: whatever file is held against the journal as a printed record, its text is
// read within bounds or refused, and a text that was changed is never whole.
func FuzzPlain(f *testing.F) {
	for _, name := range []string{"testdata/record.txt", "testdata/record.html"} {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
		f.Add(text[:len(text)/2])
	}
	f.Add([]byte("%PDF-1.4\n/Type /EmbeddedFile\nstream\nx"))
	f.Add([]byte("<!DOCTYPE html>" + plainBegins + "&#x202e;&amp;#0;" + plainEnds))
	printed, err := os.ReadFile("testdata/record.txt")
	if err != nil {
		f.Fatal(err)
	}
	was, err := board.ReadRecord(string(printed))
	if err != nil || !was.Whole() {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		plain, err := Plain(text)
		if err != nil {
			if s := err.Error(); strings.ContainsAny(s, "\r\x1b\x00") {
				t.Fatalf("%q", s)
			}
			return
		}
		if len(plain) > maxPlain || bytes.HasPrefix(text, []byte("%PDF-")) && len(plain) > 2000*len(text) {
			t.Fatalf("%d bytes of %d", len(plain), len(text))
		}
		p, err := board.ReadRecord(plain)
		if err == nil && p.Digest == was.Digest && p.Whole() && (p.ID != was.ID || p.From != was.From || p.To != was.To || !p.Known.Equal(was.Known)) {
			t.Fatalf("another record has the digest: %+v", p)
		}
	})
}
