package table

import (
	"strconv"
	"strings"

	"rimegate/weather"
)

// Row is the cells of a line.
type Row []string

// Cell returns a cell without blanks around it, "" if the row has none there.
func (r Row) Cell(i int) string {
	if i < 0 || i >= len(r) {
		return ""
	}
	return trim(r[i])
}

// Blank reports whether every cell from a given one on is empty.
func (r Row) Blank(from int) bool {
	for i := from; i < len(r); i++ {
		if r.Cell(i) != "" {
			return false
		}
	}
	return true
}

// MaxWindMS is more than any wind measured (113 m/s, World Meteorological
// Organization, from memory).
const MaxWindMS = 115

// DegreesC returns the temperature of a cell in °C, nil if it has none or none that
// can be.
func (r Row) DegreesC(i int) *float64 {
	return r.between(i, 1, weather.MinPossibleC, weather.MaxPossibleC)
}

// WindMS returns the wind of a cell in m/s, given the factor from its unit; nil if it
// has none or none that can be.
func (r Row) WindMS(i int, factor float64) *float64 { return r.between(i, factor, 0, MaxWindMS) }

func (r Row) between(i int, factor, low, high float64) *float64 {
	v, missing, ok := Value(r.Cell(i))
	if v *= factor; missing || !ok || v < low || v > high {
		return nil
	}
	return &v
}

// Place reads latitude and longitude in degrees; the zero Place if they are none.
func (r Row) Place(lat, lon int) weather.Place {
	a, ok1 := Number(r.Cell(lat)) // -99.9 is a longitude like any other
	b, ok2 := Number(r.Cell(lon))
	if !ok1 || !ok2 {
		return weather.Place{}
	}
	return weather.Place{Lat: a, Lon: b}
}

// Columns says where the columns of a header are, by their keys.
type Columns map[string]int

// Header maps the keys of a header's cells to their places; the first of two equal
// names counts.
func Header(cells Row) Columns {
	c := make(Columns, len(cells))
	for i, name := range cells {
		if _, twice := c[Key(name)]; !twice && Key(name) != "" {
			c[Key(name)] = i
		}
	}
	return c
}

// At returns the place of the first of the keys that the header has, -1 for none.
func (c Columns) At(keys ...string) int {
	for _, k := range keys {
		if i, ok := c[k]; ok {
			return i
		}
	}
	return -1
}

// Key reduces a column name to its letters and digits in lower case, so that
// names match whatever their case, spaces, signs or encoding.
func Key(name string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			return r
		}
		return -1
	}, name)
}

// trim takes spaces and tabs off both ends.
func trim(s string) string {
	if s == "" || s[0] > ' ' && s[len(s)-1] > ' ' {
		return s // nearly always, and much faster
	}
	return strings.Trim(s, " \t")
}

var missingWords = map[string]bool{
	"": true, "na": true, "n/a": true, "#n/a": true, "nan": true, "null": true, "nil": true,
	"none": true, "m": true, "missing": true, "-": true, "--": true, "---": true,
	".": true, "/": true, "//": true, "///": true, "?": true, "*": true, "***": true,
	"no data": true, "nodata": true,
}

// MissingWord reports whether a trimmed cell says in words that there is no value.
func MissingWord(s string) bool {
	if n := len(s); n > 8 || n > 0 && s[n-1] >= '0' && s[n-1] <= '9' {
		return false
	}
	return missingWords[strings.ToLower(s)]
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

// Number reads a plain decimal number. Hexadecimal, infinities, words and digit
// grouping are no numbers.
func Number(s string) (float64, bool) {
	s = trim(s)
	if rest, ok := strings.CutPrefix(s, "\u2212"); ok { // the typographic minus
		s = "-" + rest
	}
	for i := range len(s) {
		if s[i] > '9' && s[i] != 'e' && s[i] != 'E' {
			return 0, false
		}
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

// Whole reads a whole number from 0 on.
func Whole(s string) (int, bool) {
	v, ok := Number(s)
	return int(v), ok && v == float64(int(v)) && v >= 0
}

// Value reads a cell. ok is false for text; missing is true for the markers of
// no value.
func Value(cell string) (v float64, missing, ok bool) {
	if MissingWord(cell) {
		return 0, true, true
	}
	v, ok = Number(cell)
	return v, ok && MissingNumber(v), ok
}
