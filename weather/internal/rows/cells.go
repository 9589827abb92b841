package rows

import (
	"bytes"
	"strconv"
)

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

var missingWords = map[string]bool{
	"": true, "na": true, "n/a": true, "#n/a": true, "nan": true, "null": true, "nil": true,
	"none": true, "m": true, "missing": true, "-": true, "--": true, "---": true,
	".": true, "/": true, "//": true, "///": true, "?": true, "*": true, "***": true,
	"no data": true, "nodata": true,
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

// MissingWord reports whether a trimmed cell says in words that there is no
// value.
func MissingWord(b []byte) bool {
	if len(b) == 0 {
		return true
	}
	if len(b) > 8 || digit(b[0]) || len(b) > 1 && b[0] == '-' && digit(b[1]) {
		return false // mostly it is a number
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

// MissingNumber reports whether a number is one that tables and loggers write for "no
// value": rows of nines or eights, the error codes 6999 and 7999 of data loggers, the
// -127 of a sensor that came off its wire, and the ends of 16 bits (from memory). None
// of them is a low of a farm, in either unit.
func MissingNumber(v float64) bool {
	if v > -88 && v < 99.9 {
		return false
	}
	switch v {
	case -99, -99.9, -99.99, -999, -999.9, -999.99, -9999, -9999.9, -9999.99, -99999,
		99.9, 99.99, 999, 999.9, 999.99, 9999, 9999.9, 9999.99, 99999, 99999.9,
		-88, -88.8, -88.88, -888, -888.8, -8888, 888, 888.8, 8888,
		-6999, 6999, -7999, 7999, -127, -32768, 32767:
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
