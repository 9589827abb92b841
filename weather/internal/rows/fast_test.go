package rows

import (
	"bytes"
	"io"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"pgregory.net/rapid"
)

// The short way of the commonest stamps reads nothing that the long way does not,
// and reads it alike.
func FuzzStampShortWay(f *testing.F) {
	for _, s := range []string{
		"2026-10-06 05:00", "2026-10-06T05:00Z", "2026-10-06 05:00:30", "2026-10-06 05:00:60", "2026-10-06 24:00",
		"2026-02-29 05:00", "2024-02-29T23:59:59Z", "2026-10-06 05:00 ", "2026-10-06 5:00 PM", "2026-10-06 05:00:3", "2026-1-06 05:00",
		"1899-12-31 00:00", "2200-12-31 00:00", "2026-10-06 0/:00", "20:6-10-06 05:00", "2026-10-06t05:00", "2026-10-06 05:00+02",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		b = Trim(b)
		var short Stamp
		if !short.iso(b) {
			if short != (Stamp{}) {
				t.Errorf("%q: not read, and yet %+v", b, short)
			}
			return
		}
		if long, ok := parseStamp(b); !ok || long != short {
			t.Errorf("%q: %+v, the long way %+v %v", b, short, long, ok)
		}
	})
}

// Stamps of every digit and sign at every place.
func TestStampShortWay(t *testing.T) {
	const form = "2026-10-06 05:00:30Z"
	taken := 0
	for n := 16; n <= len(form); n++ {
		for i := range n {
			for c := range 256 {
				b := []byte(form[:n])
				b[i] = byte(c)
				var short Stamp
				if !short.iso(b) {
					continue
				}
				taken++
				if long, ok := parseStamp(b); !ok || long != short {
					t.Fatalf("%q: %+v, the long way %+v %v", b, short, long, ok)
				}
			}
		}
	}
	if taken < 100 {
		t.Errorf("the short way took %d stamps", taken)
	}
}

// Eight bytes at a time cut a line as cell by cell does.
func FuzzRowPlain(f *testing.F) {
	for _, s := range []string{"", ",", "a", "a,b", "2026-10-06 05:00,-2.2,74,1.5", ",,,,,,,,", "abcdefg,", "abcdefgh,i", "\x00,\x80,\xff", "a|b,c", " , x ,\t"} {
		f.Add([]byte(s), byte(','))
	}
	f.Add([]byte("a\xac\x2c\x2d,"), byte(0xac))
	f.Fuzz(func(t *testing.T, line []byte, sep byte) {
		if sep == '"' || sep == ' ' || len(line) > MaxLine {
			return
		}
		short, long := Row{line: line}, Row{line: line}
		if ok := short.plain(sep); ok != (bytes.IndexByte(line, '"') < 0) {
			t.Fatalf("%q: plain %v", line, ok)
		} else if !ok {
			return
		}
		if err := long.quoted(sep); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		want := bytes.Split(line, []byte{sep})
		if len(want) != short.Len() || len(want) != long.Len() {
			t.Fatalf("%q: %d and %d cells, want %d", line, short.Len(), long.Len(), len(want))
		}
		for i := range want {
			if !bytes.Equal(want[i], short.Raw(i)) || !bytes.Equal(want[i], long.Raw(i)) || !bytes.Equal(Trim(want[i]), short.Cell(i)) {
				t.Fatalf("%q: cell %d is %q and %q", line, i, short.Raw(i), long.Raw(i))
			}
		}
	})
}

func TestRowBeyondItsCells(t *testing.T) {
	var r Row
	if err := r.Split([]byte("a, \t,"), ','); err != nil {
		t.Fatal(err)
	}
	if r.Len() != 3 || r.Raw(3) != nil || r.Cell(-1) != nil || r.Blank(0) || !r.Blank(1) || !r.Blank(9) {
		t.Errorf("%+v", r)
	}
	if c := r.Raw(0); cap(c) != 1 {
		t.Errorf("adding to a cell would write into the next: %d", cap(c))
	}
}

// A NUL is seen in its line and in no other, however the bytes come.
func TestLinesSeeNUL(t *testing.T) {
	long := strings.Repeat("x", MaxLine-10)
	in := "a\nb\x00\nc\n" + long + "\nd\x00e\n" + long + "\nf\n\x00"
	for _, wrap := range []func(io.Reader) io.Reader{
		func(r io.Reader) io.Reader { return r }, iotest.OneByteReader, iotest.HalfReader, iotest.DataErrReader,
	} {
		l := NewLines(wrap(strings.NewReader(in)))
		for {
			b, err := l.Next()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			if got, want := l.HasNUL(b), bytes.IndexByte(b, 0) >= 0; got != want {
				t.Errorf("line %d: %v", l.Num(), got)
			}
		}
		if l.Num() != 8 {
			t.Errorf("%d lines", l.Num())
		}
	}
}

// What is taken for a number at a glance is no word for "no value".
func TestMissingWordAtAGlance(t *testing.T) {
	for w := range missingWords {
		if !MissingWord([]byte(w)) || !MissingWord([]byte(strings.ToUpper(w))) {
			t.Errorf("%q is taken for a value", w)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOfN(rapid.SampledFrom([]rune("-+.0159/*?mMnNaA ")), 0, 9, -1).Draw(t, "s")
		if got, want := MissingWord([]byte(s)), missingWords[strings.ToLower(s)]; got != want {
			t.Fatalf("%q: %v", s, got)
		}
	})
}

// The clock remembers a day and a year; stamps that jump about read as a clock that
// remembers nothing reads them.
func TestClockRemembersNothingWrong(t *testing.T) {
	for _, name := range []string{"America/Denver", "America/St_Johns", "Pacific/Auckland", "Africa/Casablanca"} {
		loc, err := time.LoadLocation(name)
		if err != nil {
			t.Skip(err)
		}
		for _, mode := range []Mode{ModeLocal, ModeStandard, ModeOffset} {
			rapid.Check(t, func(t *rapid.T) {
				c := NewClock(loc, mode, -3600)
				at := rapid.Int64Range(-2_000_000_000, 4_000_000_000).Draw(t, "t")
				for _, step := range rapid.SliceOfN(rapid.Int64Range(-200*86400, 200*86400), 1, 30).Draw(t, "steps") {
					at += step
					u := time.Unix(at, 0).UTC()
					s := Stamp{HasDate: true, Y: u.Year(), M: int(u.Month()), D: u.Day(), HasTime: true, Sec: u.Hour() * 3600}
					twice := c.Twice
					got, _ := c.Unix(&s)
					want, _ := NewClock(loc, mode, -3600).Unix(&s)
					if got != want && c.Twice == twice {
						t.Fatalf("%s, mode %d, %v: %d, want %d", name, mode, u, got, want)
					}
				}
			})
		}
	}
}
