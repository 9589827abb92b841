package rows

import (
	"bytes"
	"encoding/binary"
	"errors"
	"math/bits"
)

// ErrQuote is returned for a quotation mark that is not closed on its line.
var ErrQuote = errors.New("a quotation mark is not closed on the line")

// Row is a line cut into cells. It keeps places in the line and no slices: these
// are a third of the size, and the garbage collector need not look at them. A Row
// is used again and again; the zero value is ready.
type Row struct {
	line []byte
	cuts []cut
}

type cut struct{ from, to int32 }

// Split cuts a line into cells, taking quotation marks off. It works in place: the
// line's bytes may change, and the cells point into them.
func (r *Row) Split(line []byte, sep byte) error {
	r.line, r.cuts = line, r.cuts[:0]
	if (len(line) == 0 || line[0] != '"') && r.plain(sep) {
		return nil
	}
	r.cuts = r.cuts[:0]
	return r.quoted(sep)
}

func (r *Row) add(from, to int) { r.cuts = append(r.cuts, cut{int32(from), int32(to)}) }

// Every byte of a word the same, and every byte's lower seven bits.
const (
	ones = 0x0101010101010101
	low7 = 0x7f * ones
)

// zeros marks the bytes of a word that are zero, in their highest bits.
func zeros(x uint64) uint64 { return ^((x&low7 + low7) | x | low7) }

// plain cuts a line without quotation marks, eight bytes at a time. It reports
// false, with the work undone, if it meets one.
func (r *Row) plain(sep byte) bool {
	line, from, i := r.line, 0, 0
	for ; i+8 <= len(line); i += 8 {
		word := binary.LittleEndian.Uint64(line[i:])
		if zeros(word^'"'*ones) != 0 {
			return false
		}
		for hit := zeros(word ^ uint64(sep)*ones); hit != 0; hit &= hit - 1 {
			at := i + bits.TrailingZeros64(hit)/8
			r.add(from, at)
			from = at + 1
		}
	}
	for ; i < len(line); i++ {
		switch line[i] {
		case '"':
			return false
		case sep:
			r.add(from, i)
			from = i + 1
		}
	}
	r.add(from, len(line))
	return true
}

// quoted cuts any line.
func (r *Row) quoted(sep byte) error {
	line, i := r.line, 0
	for {
		start := i
		for start < len(line) && line[start] == ' ' {
			start++
		}
		if start == len(line) || line[start] != '"' {
			k := bytes.IndexByte(line[i:], sep)
			if k < 0 {
				r.add(i, len(line))
				return nil
			}
			r.add(i, i+k)
			i += k + 1
			continue
		}
		start++
		end, next := unquote(line, start)
		if end < 0 {
			return ErrQuote
		}
		r.add(start, end)
		if next < len(line) && line[next] != sep { // something behind the mark
			if k := bytes.IndexByte(line[next:], sep); k >= 0 {
				next += k
			} else {
				next = len(line)
			}
		}
		if next == len(line) {
			return nil
		}
		i = next + 1
	}
}

// unquote closes up doubled marks of a cell that begins at from. The cell ends at
// end; next is behind the closing mark. end is -1 if there is none.
func unquote(line []byte, from int) (end, next int) {
	w := from
	for i := from; ; {
		k := bytes.IndexByte(line[i:], '"')
		if k < 0 {
			return -1, 0
		}
		if w < i {
			copy(line[w:], line[i:i+k])
		}
		w, i = w+k, i+k+1
		if i == len(line) || line[i] != '"' {
			return w, i
		}
		line[w] = '"'
		w++
		i++
	}
}

// Len returns the number of cells.
func (r *Row) Len() int { return len(r.cuts) }

// Raw returns a cell as it stands, nil if the row has none there.
func (r *Row) Raw(i int) []byte {
	if i < 0 || i >= len(r.cuts) {
		return nil
	}
	c := r.cuts[i]
	return r.line[c.from:c.to:c.to]
}

// Cell returns a cell without blanks around it, nil if the row has none there.
func (r *Row) Cell(i int) []byte { return Trim(r.Raw(i)) }

// Blank reports whether every cell from a given one on is empty.
func (r *Row) Blank(from int) bool {
	for i := from; i < len(r.cuts); i++ {
		if len(r.Cell(i)) > 0 {
			return false
		}
	}
	return true
}

// Split cuts a single line, such as a header, as Row.Split does.
func Split(line []byte, sep byte) ([][]byte, error) {
	var r Row
	err := r.Split(line, sep)
	cells := make([][]byte, r.Len())
	for i := range cells {
		cells[i] = r.Raw(i)
	}
	return cells, err
}
