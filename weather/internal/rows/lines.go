// Package rows holds what the readers of text tables share: lines and cells in
// bounded memory, numbers and missing markers, stamps, and clocks.
package rows

import (
	"bytes"
	"errors"
	"io"
)

// MaxLine is the longest line, in bytes, that is read; the widest published
// table here has about 330 columns and needs a fifth of it.
const MaxLine = 64 << 10

// Lines reads lines that end in LF, CRLF or CR, without ever holding more than
// MaxLine bytes.
type Lines struct {
	r     io.Reader
	buf   []byte
	start int // unread bytes are buf[start:end]
	end   int
	err   error
	cr    bool // lines end in CR alone
	begun bool
	num   int
	// nul: the bytes at hand hold a NUL. Looking once through all that was read is
	// many times cheaper than through every line, and nearly no file has one.
	nul bool
}

// NewLines returns a reader of lines.
func NewLines(r io.Reader) *Lines { return &Lines{r: r, buf: make([]byte, MaxLine+2)} }

// Num returns the number of the line last read, from 1.
func (l *Lines) Num() int { return l.num }

// ErrLong is returned by Next for a line longer than MaxLine; the line has been
// passed over and reading can go on.
var ErrLong = errors.New("line too long")

// Next returns the next line without its end. The bytes are good until the next
// call and may be changed. At the end of the input it returns io.EOF; other
// errors are the input's own.
func (l *Lines) Next() ([]byte, error) {
	if !l.begun {
		l.begun = true
		for l.fill(); l.err == nil && l.end < len(l.buf) && bytes.IndexByte(l.buf[:l.end], '\n') < 0; {
			l.fill()
		}
		head := l.buf[:l.end]
		l.cr = bytes.IndexByte(head, '\n') < 0 && bytes.IndexByte(head, '\r') >= 0
		if bytes.HasPrefix(head, []byte("\xef\xbb\xbf")) {
			l.start = 3
		}
	}
	eol := byte('\n')
	if l.cr {
		eol = '\r'
	}
	long, searched := false, 0
	for {
		rest := l.buf[l.start:l.end]
		if i := bytes.IndexByte(rest[searched:], eol); i >= 0 {
			i += searched
			l.start += i + 1
			l.num++
			if long || i > MaxLine {
				return nil, ErrLong
			}
			return trimCR(rest[:i]), nil
		}
		if l.err != nil {
			l.start = l.end
			if l.err != io.EOF {
				return nil, l.err
			}
			if len(rest) == 0 && !long {
				return nil, io.EOF
			}
			l.num++
			if long || len(rest) > MaxLine {
				return nil, ErrLong
			}
			return trimCR(rest), nil
		}
		searched = len(rest)
		if l.start == 0 && l.end == len(l.buf) {
			long = true
			l.end, searched = 0, 0
		}
		l.fill()
	}
}

func trimCR(line []byte) []byte {
	if k := len(line); k > 0 && line[k-1] == '\r' {
		return line[:k-1]
	}
	return line
}

func (l *Lines) fill() {
	if l.start > 0 {
		copy(l.buf, l.buf[l.start:l.end])
		l.end -= l.start
		l.start = 0
		l.nul = l.nul && HasNUL(l.buf[:l.end])
	}
	for tries := 0; l.err == nil && tries < 100; tries++ {
		n, err := l.r.Read(l.buf[l.end:])
		l.nul = l.nul || HasNUL(l.buf[l.end:l.end+n])
		l.end += n
		l.err = err
		if n > 0 {
			return
		}
	}
	if l.err == nil {
		l.err = io.ErrNoProgress
	}
}

// HasNUL is HasNUL for the line last read, before it is changed.
func (l *Lines) HasNUL(line []byte) bool { return l.nul && HasNUL(line) }

// HasNUL reports whether the line holds a NUL byte, the mark of a file that is
// not the text it seems.
func HasNUL(line []byte) bool { return bytes.IndexByte(line, 0) >= 0 }

// UTF16 reports whether a file begins as UTF-16 text does.
func UTF16(head []byte) bool {
	return bytes.HasPrefix(head, []byte{0xff, 0xfe}) || bytes.HasPrefix(head, []byte{0xfe, 0xff})
}
