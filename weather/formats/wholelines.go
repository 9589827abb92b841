package formats

import (
	"bufio"
	"bytes"
	"io"
)

// WholeLines passes a text on up to the end of its last line that has one: a file that
// somebody is still writing may end in half a number. JSON, which is whole or is
// refused, passes as it is.
type WholeLines struct {
	r    *bufio.Reader
	rest []byte // read and not passed on
	out  []byte // part of rest that may be passed on
	err  error
	json bool
	seen bool
	buf  [headSize]byte
}

// NewWholeLines returns a reader of the whole lines of r.
func NewWholeLines(r io.Reader) *WholeLines {
	return &WholeLines{r: bufio.NewReaderSize(r, headSize)}
}

// Left is how many bytes were left out at the end, once the text has been read.
func (w *WholeLines) Left() int {
	if w.json {
		return 0
	}
	return len(bytes.TrimSpace(w.rest))
}

// Read implements io.Reader.
func (w *WholeLines) Read(p []byte) (int, error) {
	if !w.seen {
		w.seen = true
		head, _ := w.r.Peek(headSize)
		w.json = bytes.HasPrefix(bytes.TrimLeft(bytes.TrimPrefix(head, bom), " \t\r\n"), []byte("{"))
	}
	if w.json {
		return w.r.Read(p)
	}
	for len(w.out) == 0 && w.err == nil {
		n, err := w.r.Read(w.buf[:])
		old := len(w.rest)
		w.rest, w.err = append(w.rest, w.buf[:n]...), err
		if i := bytes.LastIndexAny(w.rest[old:], "\n\r"); i >= 0 {
			w.out, w.rest = w.rest[:old+i+1], bytes.Clone(w.rest[old+i+1:])
		} else if len(w.rest) > 1<<20 { // no line is that long; the reader will say so
			w.out, w.rest = w.rest, nil
		}
	}
	n := copy(p, w.out)
	w.out = w.out[n:]
	if n == 0 {
		return 0, w.err
	}
	return n, nil
}
