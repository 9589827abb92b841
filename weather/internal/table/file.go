// Package table holds what the readers of station files share: lines and cells in
// bounded memory, columns by name, numbers and markers of no value, stamps and
// clocks, the one station that is kept, and the counts of rows.
package table

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/weather"
)

// MaxLine is the longest line, in bytes, that is read; the widest published
// table here has about 330 columns and needs a fifth of it.
const MaxLine = 64 << 10

// roomSize is how many bytes of lines share their memory.
const roomSize = 8 << 10

// Format is a published format: what it says of itself, and its reader.
type Format struct {
	Key  string // what to type
	Name string
	Unit string // of its values, in words; "" if that is found out
	Own  string // why a unit that somebody gives is not used
	// Sniff says why a file that begins with head is of this format, "" if not.
	Sniff func(head []byte) string
	// Read reads an open file row by row into its sink. Nights of formats that give
	// daily minima are returned in the Result.
	Read func(*File) (*weather.Result, error)
}

// Stream reads a file of the format into the sink. Options that cannot be used are
// refused.
func (as Format) Stream(r io.Reader, opt weather.Options, sink weather.Sink) (*weather.Result, error) {
	f, err := open(r, as, opt, sink)
	if err != nil {
		return nil, err
	}
	return as.Read(f)
}

// File is a station's file while it is read.
type File struct {
	Res  *weather.Result
	Opt  weather.Options
	Sink weather.Sink
	Name string       // further name of the station kept, if the file gives one
	Num  int          // of the line last read, from 1; 0 before the first
	End  func() error // called behind the last row; may be nil
	Bare bool         // a quotation mark is text, also at the beginning of a cell

	format Format
	lines  *bufio.Reader
	eol    byte
	room   strings.Builder // of the last lines: a text for each would cost as much as its reading
	again  string          // a line to be given once more
	cells  Row
	csv    *csv.Reader // of the line in text
	text   strings.Reader
	pick   pick

	failed  int     // values that failed the checks of their source
	coldest float64 // of them, °C
}

func open(r io.Reader, as Format, opt weather.Options, sink weather.Sink) (*File, error) {
	if err := opt.Check(); err != nil {
		return nil, err
	}
	f := &File{
		Res: &weather.Result{Format: as.Name, Unit: as.Unit}, Opt: opt, Sink: sink, format: as,
		lines: bufio.NewReaderSize(r, MaxLine), eol: '\n', pick: pick{want: strings.TrimSpace(opt.Station)},
	}
	f.csv = csv.NewReader(&f.text)
	f.csv.FieldsPerRecord, f.csv.ReuseRecord = -1, true
	head, _ := f.lines.Peek(MaxLine) // an error comes again with the lines
	if bytes.IndexByte(head, '\n') < 0 && bytes.IndexByte(head, '\r') >= 0 {
		f.eol = '\r'
	}
	if bytes.HasPrefix(head, []byte("\xef\xbb\xbf")) {
		_, _ = f.lines.Discard(3)
	}
	return f, nil
}

// Refuse returns the error that refuses a whole file: line (0 for none), what is
// wrong, what to do.
func Refuse(line int, what, do string) error {
	return fields.Problem{Line: line, What: what, Type: do}
}

// Errors of single lines, of which the file can be read on.
var (
	errLong = errors.New("the line is too long")
	errNUL  = errors.New("the line holds NUL bytes")
)

var errEmpty = Refuse(0, "the file is empty", "check that the whole file was saved")

// next returns the next line without its end, which is LF, CRLF or CR. At the end
// of the file it returns io.EOF.
func (f *File) next() (string, error) {
	if again := f.again; again != "" {
		f.again = ""
		return again, nil
	}
	line, err := f.lines.ReadSlice(f.eol)
	long := false
	for errors.Is(err, bufio.ErrBufferFull) {
		long = true
		_, err = f.lines.ReadSlice(f.eol)
	}
	if err == io.EOF && len(line) == 0 && !long {
		return "", io.EOF
	}
	f.Num++
	switch {
	case err != nil && err != io.EOF:
		return "", f.unreadable(err)
	case long:
		return "", errLong
	case f.Num == 1 && (bytes.HasPrefix(line, []byte("\xff\xfe")) || bytes.HasPrefix(line, []byte("\xfe\xff"))):
		return "", Refuse(1, "the file is saved as UTF-16", "save it as CSV UTF-8, or plain text in UTF-8, and bring it in again")
	case bytes.IndexByte(line, 0) >= 0:
		return "", errNUL
	}
	return f.ownText(bytes.TrimSuffix(bytes.TrimSuffix(line, []byte{f.eol}), []byte{'\r'})), nil
}

// ownText returns the text of a line.
func (f *File) ownText(line []byte) string {
	if f.room.Cap()-f.room.Len() < len(line) {
		f.room = strings.Builder{}
		f.room.Grow(max(len(line), roomSize))
	}
	n := f.room.Len()
	f.room.Write(line)
	return f.room.String()[n:]
}

func (f *File) unreadable(err error) error {
	return Refuse(f.Num, "the file could not be read to its end: "+weather.Clean(err.Error(), 80), "")
}

// Head returns the next line that is not blank, for a header; io.EOF if there is
// none. An empty file, a binary one or a line without end refuses the file.
func (f *File) Head() (string, error) {
	for {
		line, err := f.next()
		switch {
		case err == io.EOF && f.Num == 0:
			return "", errEmpty
		case errors.Is(err, errLong):
			return "", Refuse(f.Num, "the line is longer than a table's line can be", "check that this is a text table")
		case errors.Is(err, errNUL):
			return "", Refuse(f.Num, "the file holds NUL bytes, so it is not a text table", "save it as CSV UTF-8 and bring it in again")
		case err != nil || trim(line) != "":
			return line, err
		}
	}
}

// Header reads lines, at most so many, until take knows the cells of one as the header.
// A file without one is refused with what is wrong and what to do.
func (f *File) Header(most int, sep byte, what, do string, take func(Row) bool) error {
	for range most {
		line, err := f.Head()
		if err == io.EOF {
			break
		}
		if err != nil {
			return err
		}
		if cells, err := f.Split(line, sep); err == nil && take(cells) {
			return nil
		}
	}
	return Refuse(max(1, f.Num), what, do)
}

// All returns what is left of a file that is no table, up to so many bytes.
func (f *File) All(most int64) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(f.lines, most+1))
	switch {
	case err != nil:
		return nil, f.unreadable(err)
	case int64(len(text)) > most:
		return nil, Refuse(0, fmt.Sprintf("the file is larger than %d MB", most>>20), "ask for fewer observations at a time")
	}
	return text, nil
}

// Again has the line just read come once more: it is the first row and no header.
func (f *File) Again(line string) { f.again = line }

// Each calls do for every line that is left, also the empty ones. Lines too long or
// with NUL bytes are rejected one by one, after do was given an empty one in their
// place. An error of do refuses the whole file.
func (f *File) Each(do func(line string) error) error {
	for {
		line, err := f.next()
		broken := errors.Is(err, errLong) || errors.Is(err, errNUL)
		switch {
		case err == io.EOF && f.Num == 0:
			return errEmpty
		case err == io.EOF:
			return nil
		case err != nil && !broken:
			return err
		}
		if doErr := do(line); doErr != nil {
			return doErr
		}
		if broken {
			f.Res.Read++
			f.Reject(err.Error())
		}
	}
}

// Rows calls do for the cells of every row that is left and has anything in it,
// counted as read, and finishes the file. A row whose quotation marks are odd is
// rejected.
func (f *File) Rows(sep byte, do func(Row) error) (*weather.Result, error) {
	return f.Finish(f.Each(func(line string) error {
		if line == "" {
			return nil
		}
		row, err := f.Split(line, sep)
		if err == nil && row.Blank(0) {
			return nil
		}
		f.Res.Read++
		if err != nil {
			f.Reject(err.Error())
			return nil
		}
		return do(row)
	}))
}

// Split cuts a line into cells, which are good until the next call. A quoted cell
// ends on its line: one mark left out must not swallow the rows below. Marks inside
// a cell that does not begin with one are part of its text.
func (f *File) Split(line string, sep byte) (Row, error) {
	marks := !f.Bare && strings.IndexByte(line, '"') >= 0
	quoted := marks && line[0] == '"'
	if f.cells = f.cells[:0]; !quoted {
		for rest, more := line, true; more; {
			at := strings.IndexByte(rest, sep)
			cell := rest
			if more = at >= 0; more {
				cell, rest = rest[:at], rest[at+1:]
			}
			quoted = quoted || marks && strings.HasPrefix(strings.TrimLeft(cell, " "), `"`)
			f.cells = append(f.cells, cell)
		}
	}
	if !quoted {
		return f.cells, nil
	}
	if strings.IndexByte(line, '\n') >= 0 { // in a file whose lines end in CR
		return nil, errors.New("a quotation mark is not closed on the line")
	}
	f.text.Reset(line)
	f.csv.Comma, f.csv.TrimLeadingSpace = rune(sep), sep != '\t'
	cells, err := f.csv.Read()
	switch {
	case err == nil:
		return cells, nil
	case strings.Count(line, `"`)%2 == 1:
		return nil, errors.New("a quotation mark is not closed on the line")
	}
	return nil, errors.New("a quotation mark stands in the middle of a cell")
}

// Keep hands on an observation, if it says anything of the temperature, and the lowest
// of the hours before it, in °C; nil for none. What is no possible temperature is left out.
func (f *File) Keep(o weather.Observation, lows ...Low) {
	said := o.HasTemp || o.Below
	if said {
		f.Sink.Observe(o)
	}
	for _, l := range lows {
		if l.Known() {
			said = true
			f.Sink.Spell(weather.Spell{From: o.At.Add(-l.Hours * time.Hour), To: o.At, MinC: *l.C, What: l.What})
		}
	}
	if said {
		f.Res.Kept++
	} else {
		f.Res.Missing++
	}
}

// Low is the lowest of the hours before an observation.
type Low struct {
	Hours time.Duration
	C     *float64 // nil for none
	What  string
}

// Known reports whether there is one that can be.
func (l Low) Known() bool { return l.C != nil && weather.Possible(*l.C) }

// Reject counts the row at hand as one that cannot be used, and says why.
func (f *File) Reject(what string) { f.Res.Reject(f.Num, what) }

// Temp reads a temperature in °C. One that is missing or cannot be so is counted, and
// not ok.
func (f *File) Temp(cell string) (c float64, ok bool) {
	c, missing, ok := Value(cell)
	switch {
	case missing:
		f.Res.Missing++
	case !ok:
		f.Reject(weather.Quote(cell) + " is not a temperature")
	case !weather.Possible(c):
		f.Reject(weather.Quote(cell) + " °C is no possible air temperature")
	default:
		return c, true
	}
	return 0, false
}

// Doubted rejects a value in °C that failed the source's quality check of a name. where is
// said before that.
func (f *File) Doubted(where string, c float64, check string) {
	f.Failed(c)
	f.Reject(where + "failed the source's quality check " + weather.Quote(check))
}

// Failed counts a value in °C that failed the checks of its source.
func (f *File) Failed(c float64) {
	if f.failed++; f.failed == 1 || c < f.coldest {
		f.coldest = c
	}
}

// Doubt hands on when a value in °C was read that failed the checks of its source.
func (f *File) Doubt(at time.Time, c float64) {
	if f.Sink.Failed != nil {
		f.Sink.Failed(weather.Failed{At: at, TempC: c})
	}
}

// Finish ends the reading, which err may have ended before. It refuses a file of which
// nothing could be used, one without rows, and one whose station is not the one wanted.
// It says how many values failed the checks of their source and the coldest of them, so
// that a cold one is not lost in silence.
func (f *File) Finish(err error) (*weather.Result, error) {
	if err == nil && f.End != nil {
		err = f.End()
	}
	if err != nil {
		return nil, err
	}
	if what, do := f.pick.problem(f.Name); what != "" {
		return nil, Refuse(0, what, do)
	}
	res := f.Res
	switch {
	case res.Read == 0:
		return nil, Refuse(f.Num, "there is no row of data", "check that the whole file was saved")
	case res.Kept == 0 && res.Rejected > 0:
		first := res.Rejects[0]
		return nil, Refuse(first.Line, first.What, fmt.Sprintf("none of the %s can be used", weather.Count(res.Read, "row")))
	case res.Kept == 0 && res.Missing > 0:
		res.Note("every row says that its temperature is missing")
	case res.Kept == 0:
		return nil, Refuse(0, "no row of the file is a temperature of this station", "check the station and the file")
	}
	if name := weather.Clean(f.Station()+" "+f.Name, 60); name != "" {
		res.Station = name
	}
	if f.failed > 0 {
		res.Note(fmt.Sprintf("left out %s that failed a check of the source; the coldest was %.1f °C", weather.Count(f.failed, "value"), f.coldest))
	}
	if f.Opt.Unit == "F" && f.format.Own != "" && res.Unit == f.format.Unit {
		res.Note("the unit you gave was not used: " + f.format.Own)
	}
	return res, nil
}

// Lines returns the first so many lines of a file's beginning, for a reader to
// recognise its format by.
func Lines(head []byte, most int) []string {
	lines := strings.SplitN(string(head), "\n", most+1)
	return lines[:min(len(lines), most)]
}
