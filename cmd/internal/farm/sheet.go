package farm

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/unicode"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/fields/lazy"
)

// Sheet is a spreadsheet saved as CSV: entries of one kind, one a row.
type Sheet struct {
	Name   string // of the file
	Kind   *form.Kind
	Rows   []SheetRow
	Passed int    // rows of the template's head
	Dates  string // how dates in numbers alone are read, "" if there is none

	problems fields.Problems // of cells; the rest of their rows is looked at too
}

// SheetRow is what one row says, by field.
type SheetRow struct {
	Line int // on which it begins
	Said form.Said
	bad  []string // columns whose cells cannot be read
}

// The most that is read of a sheet: some years of a big farm.
const (
	maxSheet     = 8 << 20 // bytes
	maxSheetRows = 10_000
)

// SheetOptions are how a sheet is to be read.
type SheetOptions struct {
	Kind      string // of its entries, if its heading does not say
	DateOrder string // of dates in numbers alone: dmy, mdy or ymd, "" for what the file proves
}

// IsSheet reports whether a file is a sheet and no text of entries, by its first line.
func IsSheet(head []byte) bool {
	head = bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf")), " \r\n")
	line, _, _ := bytes.Cut(head, []byte("\n"))
	return !bytes.HasPrefix(line, []byte("{")) && bytes.ContainsAny(line, ",;\t\x00")
}

// ReadSheet reads a sheet. What is wrong with the whole of it are fields.Problems, each
// with the file, its line and its column; what is wrong in cells Backfill says, together
// with what is wrong with entries.
func ReadSheet(name string, r io.Reader, opt SheetOptions) (*Sheet, error) {
	b := &sheetReader{Sheet: Sheet{Name: name}, opt: opt}
	text, err := io.ReadAll(io.LimitReader(r, maxSheet+1))
	if err != nil {
		return nil, err
	}
	if text, err = sheetText(text); err != nil {
		b.wrong(0, "", err.Error(), "save it as CSV UTF-8")
		return nil, b.problems
	}
	rows := b.split(text)
	if len(b.problems) == 0 && b.head(rows) {
		b.settleDates(rows)
	}
	if len(b.problems) > 0 {
		return nil, b.problems
	}
	for _, row := range rows[1:] {
		b.row(row)
	}
	if len(b.problems) == 0 && len(b.Rows) == 0 {
		b.wrong(0, "", "has no row to bring in", "fill in rows below the heading, with nothing in their first cell")
	}
	return &b.Sheet, nil
}

// sheetText is the text of a sheet as UTF-8 with plain line ends. What a mark at its
// beginning proves to be UTF-16 is read; letters of an older code page are not guessed.
func sheetText(raw []byte) ([]byte, error) {
	text := raw
	switch {
	case len(raw) > maxSheet:
		return nil, fmt.Errorf("is longer than %d MB; split it", maxSheet>>20)
	case bytes.HasPrefix(raw, []byte("\xff\xfe")), bytes.HasPrefix(raw, []byte("\xfe\xff")):
		var err error
		if text, err = unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder().Bytes(raw); err != nil {
			return nil, errors.New("begins like UTF-16 and is not")
		}
	case bytes.HasPrefix(raw, []byte("PK\x03\x04")), bytes.HasPrefix(raw, []byte("\xd0\xcf\x11\xe0")):
		return nil, errors.New("is the spreadsheet itself and not a CSV file of it")
	}
	switch {
	case bytes.ContainsRune(text, 0):
		return nil, errors.New("is no text: it has zero bytes")
	case !utf8.Valid(text):
		return nil, errors.New("is not in UTF-8, so its accented letters cannot be told")
	}
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	if !bytes.ContainsRune(text, '\n') {
		text = bytes.ReplaceAll(text, []byte("\r"), []byte("\n"))
	}
	return text, nil
}

// sheetReader reads one sheet.
type sheetReader struct {
	Sheet
	opt     SheetOptions
	columns []sheetColumn // those that hold a field
	marks   bool          // the first column is for marks
	order   string        // of dates in numbers
}

type sheetColumn struct {
	at    int
	field *form.Field
	unit  string
}

type rawRow struct {
	line  int
	cells []string
}

func (b *sheetReader) wrong(line int, column, what, hint string) {
	b.problems = append(b.problems, fields.Problem{File: b.Name, Line: line, Field: column, What: what, Type: hint})
}

// said notes what is wrong with a flag.
func (b *sheetReader) said(flag, what, hint string) {
	b.problems = append(b.problems, fields.Problem{Field: flag, What: what, Type: hint})
}

// split splits the text into rows of cells, empty rows left out.
func (b *sheetReader) split(text []byte) (rows []rawRow) {
	comma, lines := ',', 0
	first, rest, _ := bytes.Cut(text, []byte("\n"))
	if s := strings.TrimSpace(string(first)); len(s) == 5 && strings.HasPrefix(strings.ToLower(s), "sep=") {
		text, lines = rest, 1
		first, _, _ = bytes.Cut(rest, []byte("\n"))
	}
	for _, sep := range ";\t" { // no heading has one of them
		if bytes.Count(first, []byte(string(sep))) > bytes.Count(first, []byte(string(comma))) {
			comma = sep
		}
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.Comma, r.FieldsPerRecord = comma, -1
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return rows
		}
		var bad *csv.ParseError
		if errors.As(err, &bad) {
			b.wrong(bad.StartLine+lines, "", "a cell is not quoted right from here on",
				"save it from the spreadsheet as CSV again")
			return nil
		}
		if err != nil {
			b.wrong(0, "", err.Error(), "")
			return nil
		}
		line, _ := r.FieldPos(0)
		empty := true
		for i := range cells {
			cells[i] = strings.Join(strings.Fields(cells[i]), " ") // a line end in a cell is a blank
			empty = empty && cells[i] == ""
		}
		switch {
		case empty:
		case len(rows) > maxSheetRows:
			b.wrong(line+lines, "", fmt.Sprintf("there are more than %d rows", maxSheetRows), "split the file")
			return nil
		default:
			rows = append(rows, rawRow{line + lines, cells})
		}
	}
}

const sheetHint = "`rimegate log walk --template` prints the head of a sheet of walks"

// head reads the heading; false if nothing below it can be read.
func (b *sheetReader) head(rows []rawRow) bool {
	if len(rows) == 0 {
		b.wrong(0, "", "is empty", "")
		return false
	}
	top := rows[0]
	if b.Kind = form.SheetOf(top.cells[0]); b.Kind != nil {
		b.marks = true
	}
	switch own := form.Sheet(strings.ToLower(b.opt.Kind)); {
	case b.opt.Kind != "" && own == nil:
		var all []string
		for _, k := range form.Sheets() {
			all = append(all, string(k.Kind))
		}
		b.said("--kind", fmt.Sprintf("%q is no kind of a sheet", b.opt.Kind), "type one of "+strings.Join(all, ", "))
		return false
	case b.Kind == nil && own == nil:
		b.wrong(top.line, "", fmt.Sprintf("the heading begins with %q and does not say of what the rows are", top.cells[0]),
			"begin it with a cell like \"rimegate log walk\", or say --kind walk; "+sheetHint)
		return false
	case b.Kind != nil && own != nil && b.Kind != own:
		b.wrong(top.line, "", fmt.Sprintf("the heading says %q and --kind says %s", top.cells[0], own.Kind),
			"leave out --kind")
		return false
	case b.Kind == nil:
		b.Kind = own
	}
	b.heading(top)
	return len(b.problems) == 0
}

// heading reads which column holds which field.
func (b *sheetReader) heading(top rawRow) {
	seen := map[*form.Field]string{}
	for i, cell := range top.cells {
		if cell == "" || i == 0 && b.marks {
			continue
		}
		f, unit, err := b.Kind.Heading(cell)
		switch p := (fields.Problem{}); {
		case errors.As(err, &p):
			b.wrong(top.line, "heading", p.What, p.Type)
		case seen[f] != "":
			b.wrong(top.line, "heading", fmt.Sprintf("%q and %q are the same column", seen[f], cell), "leave one of them")
		default:
			seen[f] = cell
			b.columns = append(b.columns, sheetColumn{i, f, unit})
		}
	}
	if len(b.problems) == 0 && len(b.columns) == 0 {
		b.wrong(top.line, "heading", "names no column", sheetHint)
	}
}

// letters are the plain letters and digits of a cell: what a spreadsheet that opened and
// saved it cannot have changed.
func letters(cell string) string {
	return strings.Map(func(r rune) rune {
		if r < utf8.RuneSelf && (r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z') {
			return r
		}
		return -1
	}, cell)
}

// marked reports a row that is no entry: one of the template's own. A row that only
// begins like one is refused, since an entry typed into it would be lost.
func (b *sheetReader) marked(row rawRow) bool {
	if !strings.HasPrefix(row.cells[0], form.RowMark) {
		return false
	}
	own := func(template []string) bool {
		for i, cell := range row.cells {
			at := 0 // of the template's cell for the column, 0 for its first and for none
			if c := slices.IndexFunc(b.columns, func(c sheetColumn) bool { return c.at == i }); c >= 0 {
				at = 1 + slices.Index(b.Kind.Columns(), b.columns[c].field)
			}
			if cell != "" && (at == 0) != (i == 0) || cell != "" && letters(cell) != letters(template[at]) {
				return false
			}
		}
		return true
	}
	if b.marks && slices.ContainsFunc(b.Kind.Template()[1:], own) {
		b.Passed++
	} else {
		b.wrong(row.line, "", fmt.Sprintf("begins with %q like a row of the template, but is none", form.RowMark),
			"empty its first cell if it is an entry, else delete the row")
	}
	return true
}

// row reads a row below the heading.
func (b *sheetReader) row(row rawRow) {
	if b.marked(row) {
		return
	}
	out := SheetRow{Line: row.line, Said: form.Said{}}
	for i, cell := range row.cells {
		known := slices.ContainsFunc(b.columns, func(c sheetColumn) bool { return c.at == i })
		switch {
		case cell == "" || known:
		case i == 0 && b.marks:
			b.wrong(row.line, "", fmt.Sprintf("the first cell holds %q", cell), "leave it empty below the heading")
		default:
			b.wrong(row.line, "", fmt.Sprintf("%q has no heading above it", cell),
				"give column "+columnLetter(i)+" a heading, or empty it")
		}
	}
	for _, c := range b.columns {
		if c.at >= len(row.cells) || row.cells[c.at] == "" {
			continue
		}
		text, err := b.cell(c, row.cells[c.at])
		if err != nil {
			var p fields.Problem
			errors.As(err, &p)
			b.wrong(row.line, c.field.Column(), p.What, p.Type)
			out.bad = append(out.bad, c.field.Column())
			continue
		}
		out.Said[c.field.Name] = []string{text}
	}
	b.Rows = append(b.Rows, out)
}

// sheetErrors are what spreadsheets write where they could not work out a cell.
var sheetErrors = lazy.Regexp(`^#(N/A|REF!|VALUE!|DIV/0!|NAME\?|NUM!|NULL!|#+)$`)

func (b *sheetReader) cell(c sheetColumn, text string) (string, error) {
	switch {
	case strings.HasPrefix(text, "="), sheetErrors().MatchString(text):
		return "", fields.Problem{
			What: fmt.Sprintf("%q is a formula or its error", text), Type: "put the value itself in the cell",
		}
	case isDay(c.field):
		return b.day(c.field, text)
	}
	return c.field.Cell(text, c.unit)
}

// columnLetter is how spreadsheets name a column, counted from 0.
func columnLetter(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return columnLetter(i/26-1) + string(rune('A'+i%26))
}

// Dates as spreadsheets write them: in numbers alone, perhaps with an hour; or with the
// month in letters and two digits of the year.
var (
	numberDate = lazy.Regexp(`^(\d{1,4})[./-](\d{1,2})[./-](\d{4}|\d{1,2})((?:[ T]\d.*)?)$`)
	shortYear  = lazy.Regexp(`^(\d{1,2}[\s-][A-Za-z]{3,9}[\s-])(\d\d)$`)
	midnight   = lazy.Regexp(`^[ T]0?0:00(:00)?$`)
	seconds    = lazy.Regexp(`:00$`)
)

func isDay(f *form.Field) bool {
	return f.Type == form.Date || f.Type == form.Ahead || f.Type == form.Moment
}

// orders are where day, month and year stand in a date in numbers, by parts of numberDate.
var orders = map[string]struct {
	day, month, year int
	words            string
}{"dmy": {1, 2, 3, "day, month, year"}, "mdy": {2, 1, 3, "month, day, year"}, "ymd": {3, 2, 1, "year, month, day"}}

// inOrder reads a date in numbers in an order, NoDate if it is none. Four digits are the
// year wherever they stand.
func inOrder(m []string, order string) fields.Date {
	if len(m[1]) == 4 {
		order = "ymd"
	}
	o := orders[order]
	year := m[o.year]
	if len(year) == 2 {
		year = "20" + year
	}
	d, _ := fields.ParseISODate(fmt.Sprintf("%s-%02s-%02s", year, m[o.month], m[o.day]))
	return d
}

// dateOrder follows which orders the dates in numbers of a sheet allow.
type dateOrder struct {
	left     []string
	ruledOut map[string]int // the line that did
	proof    string         // the date that left one
	open     []string       // the first date that can be several days, and they
	openLine int
	openIn   string // its column
}

// add takes in a cell. What is no day in any order its own row says.
func (d *dateOrder) add(line int, column, cell string) {
	m := numberDate().FindStringSubmatch(cell)
	can := func(o string) bool { return m != nil && inOrder(m, o) != fields.NoDate }
	all := slices.Sorted(maps.Keys(orders))
	if !slices.ContainsFunc(all, can) {
		return
	}
	var days []string
	for _, o := range all {
		switch w := inOrder(m, o).Words(); {
		case !can(o):
			d.ruledOut[o] = cmp.Or(d.ruledOut[o], line)
		case !slices.Contains(days, w):
			days = append(days, w)
		}
	}
	d.left = slices.DeleteFunc(d.left, func(o string) bool { return !can(o) })
	if len(d.left) == 1 && d.proof == "" && len(m[1]) < 4 {
		d.proof = fmt.Sprintf("%q in line %d shows", cell, line)
	}
	if len(days) > 1 && d.openLine == 0 {
		d.open, d.openLine, d.openIn = append([]string{cell}, days...), line, column
	}
}

// settleDates finds the order of dates in numbers alone: the one that was said, or the
// only one in which each of them is a day. A file that can be read in two ways is refused.
func (b *sheetReader) settleDates(rows []rawRow) {
	const read = "dates in numbers are read as "
	if b.order = strings.ToLower(strings.TrimSpace(b.opt.DateOrder)); b.order != "" {
		if _, ok := orders[b.order]; !ok {
			b.said("--date-order", fmt.Sprintf("%q is no order", b.order), "type dmy, mdy or ymd")
		}
		b.Dates = read + orders[b.order].words + ", as you said"
		return
	}
	d := dateOrder{left: slices.Sorted(maps.Keys(orders)), ruledOut: map[string]int{}}
	for _, row := range rows[1:] {
		for _, c := range b.columns {
			if isDay(c.field) && c.at < len(row.cells) && !strings.HasPrefix(row.cells[0], form.RowMark) {
				d.add(row.line, c.field.Column(), row.cells[c.at])
			}
		}
	}
	switch {
	case len(d.left) == 0:
		day, month := d.ruledOut["dmy"], d.ruledOut["mdy"]
		b.wrong(max(day, month), "", fmt.Sprintf("the dates contradict one another: line %d cannot have the day first, "+
			"line %d cannot have the month first", day, month), "write them all like 2026-10-06")
	case len(d.left) == 1:
		b.order = d.left[0]
		b.Dates = read + orders[b.order].words + ", as " + d.proof
	case d.openLine == 0: // each is the same day in all of them
		b.order = d.left[0]
	default:
		b.wrong(d.openLine, d.openIn,
			fmt.Sprintf("%q can be %s, and no date in the file settles it", d.open[0], orList(d.open[1:])),
			"say --date-order dmy, mdy or ymd, or write the dates like 2026-10-06")
	}
}

// day is a day or moment as the form reads it.
func (b *sheetReader) day(f *form.Field, text string) (string, error) {
	if m := shortYear().FindStringSubmatch(text); m != nil {
		return m[1] + "20" + m[2], nil
	}
	m := numberDate().FindStringSubmatch(text)
	if m == nil || b.order == "" {
		return text, nil
	}
	d := inOrder(m, b.order)
	if d == fields.NoDate {
		return "", fields.Problem{What: fmt.Sprintf("%q is no day", text), Type: "write it like 2026-10-06"}
	}
	hour := m[4]
	if f.Type != form.Moment {
		hour = midnight().ReplaceAllString(hour, "")
	} else if strings.Count(hour, ":") == 2 {
		hour = seconds().ReplaceAllString(hour, "")
	}
	return d.String() + hour, nil
}
