// Package table is the common walk of the line-based readers.
package table

import (
	"bytes"
	"errors"
	"fmt"
	"io"

	"rimegate/fields"
	"rimegate/weather"
	"rimegate/weather/internal/rows"
)

// Refuse returns the error that refuses a whole file: line (0 for none), what is
// wrong, what to do.
func Refuse(line int, what, do string) error {
	return fields.Problem{Line: line, What: what, Type: do}
}

// ReadError refuses a file that could not be read to its end.
func ReadError(line int, err error) error {
	return Refuse(line, "the file could not be read to its end: "+weather.Clean(err.Error(), 80), "")
}

// FirstLine returns the next line that is not blank, copied. An empty file, a
// binary one or a line without end refuses the file.
func FirstLine(lines *rows.Lines) ([]byte, error) {
	for {
		line, err := lines.Next()
		switch {
		case err == io.EOF:
			if lines.Num() == 0 {
				return nil, Refuse(0, "the file is empty", "check that the whole file was saved")
			}
			return nil, io.EOF
		case errors.Is(err, rows.ErrLong):
			return nil, Refuse(lines.Num(), "the line is longer than a table's line can be", "check that this is a text table")
		case err != nil:
			return nil, ReadError(lines.Num()+1, err)
		}
		if lines.Num() == 1 && rows.UTF16(line) {
			return nil, Refuse(1, "the file is saved as UTF-16", "save it as CSV UTF-8 and bring it in again")
		}
		if lines.HasNUL(line) {
			return nil, Refuse(lines.Num(), "the file holds NUL bytes, so it is not a text table", "save it as CSV UTF-8 and bring it in again")
		}
		if len(rows.Trim(line)) > 0 {
			return bytes.Clone(line), nil
		}
	}
}

// Each calls row for every line that is not empty. Lines too long or with NUL
// bytes are rejected one by one. An error of row refuses the whole file.
func Each(lines *rows.Lines, res *weather.Result, row func(at int, line []byte) error) error {
	for {
		line, err := lines.Next()
		switch {
		case err == io.EOF:
			return nil
		case errors.Is(err, rows.ErrLong):
			res.Read++
			res.Reject(lines.Num(), "the line is too long")
			continue
		case err != nil:
			return ReadError(lines.Num()+1, err)
		}
		if len(line) == 0 {
			continue
		}
		if lines.HasNUL(line) {
			res.Read++
			res.Reject(lines.Num(), "the line holds NUL bytes")
			continue
		}
		if err := row(lines.Num(), line); err != nil {
			return err
		}
	}
}

// Finish refuses a file of which nothing could be used, and one without rows.
func Finish(res *weather.Result, lines int) error {
	switch {
	case res.Read == 0:
		return Refuse(lines, "there is no row of data", "check that the whole file was saved")
	case res.Kept == 0 && res.Rejected > 0 && len(res.Rejects) > 0:
		first := res.Rejects[0]
		return Refuse(first.Line, first.What, fmt.Sprintf("none of the %s can be used", weather.Count(res.Read, "row")))
	case res.Kept == 0 && res.Missing > 0:
		res.Note("every row says that its temperature is missing")
	case res.Kept == 0:
		return Refuse(0, "no row of the file is a temperature of this station", "check the station and the file")
	}
	return nil
}

// Flagged counts values that failed the checks of their source.
type Flagged struct {
	n       int
	coldest float64
}

// Add counts a flagged value in °C.
func (f *Flagged) Add(c float64) {
	if f.n == 0 || c < f.coldest {
		f.coldest = c
	}
	f.n++
}

// Note says how many values were left out and the coldest of them, so that a
// cold one is not lost in silence.
func (f *Flagged) Note(res *weather.Result) {
	if f.n > 0 {
		res.Note(fmt.Sprintf("left out %s that failed a check of the source; the coldest was %.1f °C", weather.Count(f.n, "value"), f.coldest))
	}
}

// Key reduces a column name to its letters and digits in lower case, so that
// names match whatever their case, spaces, signs or encoding.
func Key(name []byte) string {
	out := make([]byte, 0, len(name))
	for _, c := range name {
		switch {
		case c >= 'A' && c <= 'Z':
			out = append(out, c+'a'-'A')
		case c >= 'a' && c <= 'z' || c >= '0' && c <= '9':
			out = append(out, c)
		}
	}
	return string(out)
}

// Columns maps the keys of a header to their places; the first of two equal
// names counts.
func Columns(cells [][]byte) map[string]int {
	m := make(map[string]int, len(cells))
	for i, c := range cells {
		if k := Key(c); k != "" {
			if _, ok := m[k]; !ok {
				m[k] = i
			}
		}
	}
	return m
}

// At returns the place of the first of the keys that the header has, -1 for
// none.
func At(cols map[string]int, keys ...string) int {
	for _, k := range keys {
		if i, ok := cols[k]; ok {
			return i
		}
	}
	return -1
}

// Place reads latitude and longitude in degrees; the zero Place if they are none.
func Place(lat, lon []byte) weather.Place {
	a, ok1 := rows.Number(lat, '.') // -99.9 is a longitude like any other
	b, ok2 := rows.Number(lon, '.')
	if !ok1 || !ok2 {
		return weather.Place{}
	}
	return weather.Place{Lat: a, Lon: b}
}

// Number reads a cell. ok is false for text; missing is true for the markers of
// no value.
func Number(cell []byte) (v float64, missing, ok bool) {
	if rows.MissingWord(cell) {
		return 0, true, true
	}
	v, ok = rows.Number(cell, '.')
	return v, ok && rows.MissingNumber(v), ok
}
