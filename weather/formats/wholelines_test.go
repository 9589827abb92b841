package formats

import (
	"io"
	"strings"
	"testing"
	"testing/iotest"
)

func TestWholeLines(t *testing.T) {
	long := strings.Repeat("2026-10-06 05:00,-2.5\n", 20_000)
	for _, c := range []struct {
		text, want string
		left       int
	}{
		{"", "", 0},
		{"a,b\n1,2\n", "a,b\n1,2\n", 0},
		{"a,b\n1,-1", "a,b\n", 4},
		{"a,b\r1,2\r3,", "a,b\r1,2\r", 2},
		{"a,b\n1,2\n  ", "a,b\n1,2\n", 0},
		{"half", "", 4},
		{long + "2026-10-07 05:00,-1", long, 19},
		{"\xef\xbb\xbf {\"features\":\n[]}", "\xef\xbb\xbf {\"features\":\n[]}", 0},
	} {
		for _, r := range []io.Reader{strings.NewReader(c.text), iotest.OneByteReader(strings.NewReader(c.text))} {
			w := NewWholeLines(r)
			got, err := io.ReadAll(w)
			if err != nil || string(got) != c.want || w.Left() != c.left {
				t.Errorf("%.40q: %d bytes, %d left, %v", c.text, len(got), w.Left(), err)
			}
		}
	}
	if _, err := io.ReadAll(NewWholeLines(iotest.ErrReader(io.ErrUnexpectedEOF))); err != io.ErrUnexpectedEOF {
		t.Errorf("an error is lost: %v", err)
	}
}
