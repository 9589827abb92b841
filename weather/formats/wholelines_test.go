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
			whole, left, err := WholeLines(r)
			if err != nil {
				t.Fatal(err)
			}
			if got, err := io.ReadAll(whole); err != nil || string(got) != c.want || left != c.left {
				t.Errorf("%.40q: %d bytes, %d left, %v", c.text, len(got), left, err)
			}
		}
	}
	if _, _, err := WholeLines(iotest.ErrReader(io.ErrUnexpectedEOF)); err == nil || !strings.Contains(err.Error(), "could not be read") {
		t.Errorf("an error is lost: %v", err)
	}
}
