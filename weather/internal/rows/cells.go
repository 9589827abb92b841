package rows

import (
	"bytes"
	"errors"
	"strconv"
)

// ErrQuote is returned for a quotation mark that is not closed on its line.
var ErrQuote = errors.New("a quotation mark is not closed on the line")

// Split cuts a line into cells, taking quotation marks off. It works in place:
// the line's bytes change, and the cells point into them. dst is reused.
func Split(line []byte, sep byte, dst [][]byte) ([][]byte, error) {
	dst = dst[:0]
	from, quoted := 0, false
	for i, c := range line {
		if c == sep {
			dst = append(dst, line[from:i:i])
			from = i + 1
		} else if c == '"' {
			quoted = true
			break
		}
	}
	if !quoted {
		return append(dst, line[from:]), nil
	}
	return splitQuoted(line, sep, dst[:0])
}

func splitQuoted(line []byte, sep byte, dst [][]byte) ([][]byte, error) {
	for {
		if len(line) > 1 && line[0] == '"' { // a cell in quotation marks with none inside
			if j := bytes.IndexByte(line[1:], '"'); j >= 0 && (j+2 == len(line) || line[j+2] == sep) {
				dst = append(dst, line[1:j+1:j+1])
				if j+2 == len(line) {
					return dst, nil
				}
				line = line[j+3:]
				continue
			}
		}
		cell := line
		if len(bytes.TrimLeft(line, " ")) == 0 || bytes.TrimLeft(line, " ")[0] != '"' {
			i := bytes.IndexByte(line, sep)
			if i < 0 {
				return append(dst, cell), nil
			}
			dst = append(dst, line[:i:i])
			line = line[i+1:]
			continue
		}
		line = bytes.TrimLeft(line, " ")[1:]
		w, closed := 0, false
		cell = line
		i := 0
		for i < len(line) {
			if line[i] != '"' {
				cell[w] = line[i]
				w++
				i++
				continue
			}
			if i+1 < len(line) && line[i+1] == '"' {
				cell[w] = '"'
				w++
				i += 2
				continue
			}
			closed = true
			i++
			break
		}
		if !closed {
			return dst, ErrQuote
		}
		dst = append(dst, cell[:w:w])
		line = line[i:]
		j := bytes.IndexByte(line, sep)
		if j < 0 {
			return dst, nil
		}
		line = line[j+1:]
	}
}

// Trim takes spaces and tabs off both ends.
func Trim(b []byte) []byte {
	for len(b) > 0 && (b[0] == ' ' || b[0] == '\t') {
		b = b[1:]
	}
	for len(b) > 0 && (b[len(b)-1] == ' ' || b[len(b)-1] == '\t') {
		b = b[:len(b)-1]
	}
	return b
}

// Blank reports whether every cell is empty.
func Blank(cells [][]byte) bool {
	for _, c := range cells {
		if len(Trim(c)) > 0 {
			return false
		}
	}
	return true
}

var missingWords = map[string]bool{
	"": true, "na": true, "n/a": true, "#n/a": true, "nan": true, "null": true, "nil": true,
	"none": true, "m": true, "missing": true, "-": true, "--": true, "---": true,
	".": true, "/": true, "//": true, "///": true, "?": true, "*": true, "***": true,
	"no data": true, "nodata": true,
}

// MissingWord reports whether a trimmed cell says in words that there is no
// value.
func MissingWord(b []byte) bool {
	if len(b) == 0 {
		return true
	}
	if len(b) > 8 || b[0] >= '0' && b[0] <= '9' {
		return false
	}
	var low [8]byte
	n := copy(low[:], b)
	for i := 0; i < n; i++ {
		if low[i] >= 'A' && low[i] <= 'Z' {
			low[i] += 'a' - 'A'
		}
	}
	return missingWords[string(low[:n])]
}

// MissingNumber reports whether a number is one that tables write for "no
// value". None of them is a temperature of a farm.
func MissingNumber(v float64) bool {
	if v > -99 && v < 999 {
		return false
	}
	switch v {
	case -99, -99.9, -99.99, -999, -999.9, -999.99, -9999, -9999.9, -9999.99, -99999,
		999, 999.9, 999.99, 9999, 9999.9, 9999.99, 99999, 99999.9:
		return true
	}
	return false
}

var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// Number reads a plain decimal number, with the given decimal mark ('.' or
// ','). Hexadecimal, infinities, words and digit grouping are no numbers.
func Number(b []byte, mark byte) (float64, bool) {
	b = Trim(b)
	neg := false
	switch {
	case len(b) > 0 && (b[0] == '-' || b[0] == '+'):
		neg = b[0] == '-'
		b = b[1:]
	case bytes.HasPrefix(b, []byte("\u2212")): // the typographic minus
		neg = true
		b = b[len("\u2212"):]
	}
	var m, digits, frac int64
	seenMark := false
	for i, c := range b {
		switch {
		case c >= '0' && c <= '9':
			if digits >= 15 {
				return slowNumber(b, neg, mark)
			}
			m = m*10 + int64(c-'0')
			digits++
			if seenMark {
				frac++
			}
		case c == mark && !seenMark:
			seenMark = true
		case (c == 'e' || c == 'E') && i > 0:
			return slowNumber(b, neg, mark)
		default:
			return 0, false
		}
	}
	if digits == 0 {
		return 0, false
	}
	v := float64(m) / tens[frac] // exact: m and the power are whole below 2^53
	if neg {
		v = -v
	}
	return v, true
}

func slowNumber(b []byte, neg bool, mark byte) (float64, bool) {
	if len(b) > 40 {
		return 0, false
	}
	s := make([]byte, 0, 41)
	for _, c := range b {
		switch {
		case c == mark:
			s = append(s, '.')
		case c >= '0' && c <= '9' || c == 'e' || c == 'E' || c == '-' || c == '+':
			s = append(s, c)
		default:
			return 0, false
		}
	}
	v, err := strconv.ParseFloat(string(s), 64)
	if err != nil {
		return 0, false
	}
	if neg {
		v = -v
	}
	return v, true
}
