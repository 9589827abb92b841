// Package ghcnd reads daily minima, and maxima beside them, of GHCN-Daily, the daily archive of the
// United States National Centers for Environmental Information (NCEI), in its
// four published shapes: the fixed-width .dly file of a station, the by-year and
// by-station CSV (with or without a header line), and the "access" CSV of a
// station with one column a quantity.
//
// Formats: NCEI, "readme-by_station.txt" and "readme.txt" of GHCN-Daily,
// https://www.ncei.noaa.gov/pub/data/ghcn/daily/ ; the by-station text was read
// at https://dagshub.com/DagsHub-Datasets/noaa-ghcn-dataset/src/main/s3:/noaa-ghcn-pds .
// The access CSV's columns and the meaning of the quality letters are from memory.
// Data: public domain; cite Menne et al. 2012, doi 10.7289/V5D21VHZ (from memory).
package ghcnd

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/weather"
	"rimegate/weather/internal/rows"
	"rimegate/weather/internal/table"
)

// Name is the name of the format.
const Name = "GHCN-Daily"

// Options tells what the file itself does not say.
type Options = weather.Options

const unit = "degrees Celsius (tenths in the file, by the format)"

// Read reads a whole file into nights.
func Read(r io.Reader, opt Options) (*weather.Result, error) {
	return weather.Collect(func(s weather.Sink) (*weather.Result, error) { return Stream(r, opt, s) })
}

type reader struct {
	res   *weather.Result
	opt   Options
	lines *rows.Lines
	pick  *rows.Pick
	days  weather.DailyLows
	bad   table.Flagged
	name  string
	cells rows.Row
	split bool // some rows had no observation time
	place weather.Place
	maxID string // station of the maxima
}

// Stream reads a file. The sink is not used: the format gives a minimum a day,
// and the days of one station fit in memory whatever the file's length.
func Stream(r io.Reader, opt Options, _ weather.Sink) (*weather.Result, error) {
	if err := opt.Check(); err != nil {
		return nil, err
	}
	p := &reader{
		res: &weather.Result{Format: Name, Unit: unit}, opt: opt,
		lines: rows.NewLines(r), pick: rows.NewPick(opt.Station),
	}
	first, err := table.FirstLine(p.lines)
	if err == io.EOF {
		return nil, table.Refuse(1, "there is no row of data", "check that the whole file was saved")
	}
	if err != nil {
		return nil, err
	}
	switch {
	case IsDly(first):
		err = p.rest(first, p.dly)
	case isByYearHeader(first):
		err = p.rest(nil, p.byYear)
	case IsByYear(first):
		err = p.rest(first, p.byYear)
	default:
		err = p.access(first)
	}
	if err != nil {
		return nil, err
	}
	return p.finish()
}

func (p *reader) rest(first []byte, row func(int, []byte) error) error {
	if first != nil {
		if err := row(p.lines.Num(), first); err != nil {
			return err
		}
	}
	return table.Each(p.lines, p.res, row)
}

func (p *reader) finish() (*weather.Result, error) {
	if what := p.pick.Problem(weather.Quote, p.name); what != "" {
		return nil, table.Refuse(0, what, "say which one to read")
	}
	if err := table.Finish(p.res, p.lines.Num()); err != nil {
		return nil, err
	}
	p.res.Station = weather.Clean(p.pick.Name(), 60)
	if p.name != "" {
		p.res.Station += " " + weather.Clean(p.name, 60)
	}
	p.bad.Note(p.res)
	if p.opt.Unit != "" && p.res.Unit == unit {
		p.res.Note("the unit you gave was not used: the format is in tenths of a degree Celsius")
	}
	if p.split {
		p.res.Note("rows without a time of observation: a low may be from the evening of its date")
	}
	if p.maxID != "" && !strings.EqualFold(p.maxID, p.pick.Name()) {
		p.days.ForgetMaxes()
	}
	p.days.IntoAt(p.res, Name, &p.place, p.opt)
	return p.res, nil
}

// station takes or skips a row by its station.
func (p *reader) station(id []byte) bool {
	keep, forget := p.pick.Take(id)
	if forget {
		p.res.Skipped += p.res.Kept + p.res.Rejected + p.res.Missing
		p.res.Kept, p.res.Rejected, p.res.Missing, p.res.Rejects = 0, 0, 0, nil
		p.days.ResetLows()
		p.place = weather.Place{}
		p.bad = table.Flagged{}
		p.split, p.name = false, ""
	}
	if !keep {
		p.res.Skipped++
	}
	return keep
}

// value stores one minimum. tenths is in tenths of °C unless scale says so.
func (p *reader) value(at int, y, m, d int, c float64, mflag, qflag byte, obs []byte) {
	if !weather.Possible(c) {
		p.res.Reject(at, fmt.Sprintf("%.1f °C is no possible air temperature", c))
		return
	}
	if qflag != 0 && qflag != ' ' {
		p.bad.Add(c)
		p.res.Reject(at, fmt.Sprintf("failed the source's quality check %s", weather.Quote(string(qflag))))
		return
	}
	if !rows.RealDay(y, m, d) {
		p.res.Reject(at, fmt.Sprintf("there is no day %04d-%02d-%02d", y, m, d))
		return
	}
	day, end, said := dayOf(fields.MakeDate(y, time.Month(m), d), mflag, obs)
	p.split = p.split || !said
	p.res.Kept++
	p.days.Add(weather.Daily{Day: day, MinC: c, HasC: true, EndHour: end, Lagged: mflag == 'L', Rough: mflag != 0 && mflag != ' ' && mflag != 'H'})
}

// dayOf says when the 24 hours of a value end, and of which date they are.
func dayOf(day fields.Date, mflag byte, obs []byte) (of fields.Date, end float64, said bool) {
	if end, ok := obsHour(obs); ok {
		if end <= 4 { // read in the small hours: the day before, in all but name
			return day - 1, end + 24, true
		}
		return day, end, true
	}
	if mflag == 'H' { // from hourly readings of the calendar day
		return day, 24, true
	}
	return day, weather.EndUnknown, false
}

// maximum keeps a value of TMAX, in °C, for the hours reconstructed from daily
// extremes; what is doubted or unreadable is passed over. Rows of TMAX count as
// rows about something else: no night rests on them.
func (p *reader) maximum(id []byte, y, m, d int, c float64, mflag, qflag byte, obs []byte) {
	clean := func(f byte) bool { return f == 0 || f == ' ' }
	if !clean(qflag) || !clean(mflag) && mflag != 'H' || !weather.Possible(c) || !rows.RealDay(y, m, d) {
		return
	}
	if id = rows.Trim(id); p.maxID == "" {
		if p.opt.Station != "" && !strings.EqualFold(string(id), strings.TrimSpace(p.opt.Station)) {
			return
		}
		p.maxID = string(id)
	}
	if string(id) != p.maxID {
		return
	}
	if day, end, said := dayOf(fields.MakeDate(y, time.Month(m), d), mflag, obs); said {
		p.days.AddMax(day, c, end)
	}
}

// obsHour reads an observation time, HHMM. 0000 is the midnight at either end of
// the day and so says nothing.
func obsHour(b []byte) (float64, bool) {
	b = rows.Trim(b)
	if len(b) < 3 || len(b) > 4 {
		return 0, false
	}
	v, ok := rows.Number(b, '.')
	h, m := int(v)/100, int(v)%100
	if !ok || v != float64(int(v)) || m > 59 || h > 24 || h == 24 && m > 0 || v <= 0 {
		return 0, false
	}
	return float64(h) + float64(m)/60, true
}

func flag(b []byte) byte {
	b = rows.Trim(b)
	if len(b) == 0 {
		return 0
	}
	return b[0]
}

// IsByYear reports whether a line is a row of the by-year or by-station CSV: an
// 11-character id, a day of eight digits and a four-letter element.
func IsByYear(line []byte) bool {
	cells := bytes.SplitN(line, []byte{','}, 5)
	return len(cells) == 5 && len(cells[0]) == 11 && len(cells[1]) == 8 && digits(cells[1]) && len(cells[2]) == 4
}

func isByYearHeader(line []byte) bool {
	cells := bytes.SplitN(line, []byte{','}, 5)
	return len(cells) == 5 && table.Key(cells[0]) == "id" && table.Key(cells[2]) == "element"
}

// IsDly reports whether a line is a month of the fixed-width file.
func IsDly(line []byte) bool {
	if len(line) < 29 || bytes.IndexByte(line[:21], ',') >= 0 || bytes.IndexByte(line[:21], ' ') >= 0 {
		return false
	}
	return digits(line[11:17]) && letter(line[0]) && letter(line[1]) && letter(line[17])
}

func letter(c byte) bool { return c >= 'A' && c <= 'Z' }

func digits(b []byte) bool {
	for _, c := range b {
		if c < '0' || c > '9' {
			return false
		}
	}
	return len(b) > 0
}

func atoi(b []byte) int {
	n := 0
	for _, c := range b {
		n = n*10 + int(c-'0')
	}
	return n
}

var (
	tmin = []byte("TMIN")
	tmax = []byte("TMAX")
)

// byYear reads ID,YYYYMMDD,ELEMENT,VALUE,M,Q,S[,HHMM].
func (p *reader) byYear(at int, line []byte) error {
	p.res.Read++
	if len(line) > 24 && line[20] == ',' && line[11] == ',' && bytes.IndexByte(line, '"') < 0 {
		if el := line[21:25]; !bytes.Equal(el, tmin) && !bytes.Equal(el, tmax) {
			p.res.Skipped++ // another quantity: eight rows of ten
			return nil
		}
	}
	if err := p.cells.Split(line, ','); err != nil {
		p.res.Reject(at, err.Error())
		return nil
	}
	c := &p.cells
	if c.Len() < 7 {
		p.res.Reject(at, fmt.Sprintf("the row has %s instead of 7 or 8", weather.Count(c.Len(), "cell")))
		return nil
	}
	date := bytes.ReplaceAll(c.Cell(1), []byte{'-'}, nil)
	if !bytes.Equal(c.Cell(2), tmin) {
		p.res.Skipped++
		v, missing, ok := number(c.Cell(3))
		if bytes.Equal(c.Cell(2), tmax) && ok && !missing && len(date) == 8 && digits(date) {
			p.maximum(c.Cell(0), atoi(date[:4]), atoi(date[4:6]), atoi(date[6:]), v/10, flag(c.Cell(4)), flag(c.Cell(5)), c.Cell(7))
		}
		return nil
	}
	if !p.station(c.Cell(0)) {
		return nil
	}
	if len(date) != 8 || !digits(date) {
		p.res.Reject(at, weather.Quote(string(c.Raw(1)))+" is not a date like 20251014")
		return nil
	}
	v, missing, ok := number(c.Cell(3))
	switch {
	case missing:
		p.res.Missing++
		return nil
	case !ok || v != float64(int(v)):
		p.res.Reject(at, weather.Quote(string(c.Raw(3)))+" is not a value in tenths of a degree")
		return nil
	}
	p.value(at, atoi(date[:4]), atoi(date[4:6]), atoi(date[6:]), v/10, flag(c.Cell(4)), flag(c.Cell(5)), c.Cell(7))
	return nil
}

// dly reads a month: id 1-11, year 12-15, month 16-17, element 18-21, then 31
// groups of a value of five characters and three flags.
func (p *reader) dly(at int, line []byte) error {
	if !IsDly(line) {
		p.res.Read++
		p.res.Reject(at, "not a month of the fixed-width file")
		return nil
	}
	if !bytes.Equal(line[17:21], tmin) {
		p.res.Read++
		p.res.Skipped++
		if bytes.Equal(line[17:21], tmax) {
			p.dlyMaxima(line)
		}
		return nil
	}
	p.res.Read++
	if !p.station(line[:11]) {
		return nil
	}
	p.res.Read-- // from here on each day counts as a row
	y, m := atoi(line[11:15]), atoi(line[15:17])
	for d := 1; d <= 31; d++ {
		from := 21 + (d-1)*8
		if from+5 > len(line) {
			break
		}
		cell := rows.Trim(line[from : from+5])
		if !rows.RealDay(y, m, d) {
			continue // padding of short months
		}
		p.res.Read++
		v, missing, ok := number(cell)
		switch {
		case missing:
			p.res.Missing++
			continue
		case !ok || v != float64(int(v)):
			p.res.Reject(at, fmt.Sprintf("day %d: %s is not a value in tenths of a degree", d, weather.Quote(string(cell))))
			continue
		}
		var mflag, qflag byte
		if from+7 <= len(line) {
			mflag, qflag = line[from+5], line[from+6]
		}
		p.value(at, y, m, d, v/10, mflag, qflag, nil)
	}
	return nil
}

// dlyMaxima keeps a month of maxima.
func (p *reader) dlyMaxima(line []byte) {
	y, m := atoi(line[11:15]), atoi(line[15:17])
	for d := 1; d <= 31 && 21+(d-1)*8+7 <= len(line); d++ {
		from := 21 + (d-1)*8
		if v, missing, ok := number(rows.Trim(line[from : from+5])); ok && !missing {
			p.maximum(line[:11], y, m, d, v/10, line[from+5], line[from+6], nil)
		}
	}
}

// number reads a value in the file's unit. Only -9999 and 9999 mean "no value"
// here: -99 is -9.9 °C in tenths.
func number(cell []byte) (v float64, missing, ok bool) {
	if rows.MissingWord(cell) {
		return 0, true, true
	}
	v, ok = rows.Number(cell, '.')
	return v, ok && (v == -9999 || v == 9999), ok
}

// access reads the CSV with one column a quantity.
func (p *reader) access(first []byte) error {
	header, err := rows.Split(first, ',')
	if err != nil {
		return table.Refuse(p.lines.Num(), err.Error(), "")
	}
	cols := table.Columns(header)
	st, date, low := table.At(cols, "station"), table.At(cols, "date"), table.At(cols, "tmin")
	attr, name := table.At(cols, "tminattributes"), table.At(cols, "name")
	high, highAttr := table.At(cols, "tmax"), table.At(cols, "tmaxattributes")
	lat, lon := table.At(cols, "latitude"), table.At(cols, "longitude")
	if date < 0 || low < 0 || st < 0 {
		return table.Refuse(p.lines.Num(), "the header does not name STATION, DATE and TMIN", "check that this is a GHCN-Daily file")
	}
	// Orders from the archive's web form have the same column names, in the unit
	// the customer chose; only the archive's own files put DATE second.
	scale, fahrenheit := 10.0, false
	if attr < 0 || date != st+1 {
		switch p.opt.Unit {
		case "C":
			scale = 1
		case "F":
			scale, fahrenheit = 1, true
		default:
			return table.Refuse(p.lines.Num(), "the file does not say whether TMIN is in °C or °F", "say which with the unit C or F")
		}
		p.res.Unit = map[bool]string{false: "degrees Celsius, as you said", true: "degrees Fahrenheit, as you said"}[fahrenheit]
	}
	return table.Each(p.lines, p.res, func(at int, line []byte) error {
		if err := p.cells.Split(line, ','); err != nil {
			p.res.Read++
			p.res.Reject(at, err.Error())
			return nil
		}
		if p.cells.Blank(0) {
			return nil
		}
		p.res.Read++
		if !p.station(p.cells.Cell(st)) {
			return nil
		}
		if p.name == "" {
			p.name = string(p.cells.Cell(name))
		}
		if p.place == (weather.Place{}) {
			p.place = table.Place(p.cells.Cell(lat), p.cells.Cell(lon))
		}
		toC := func(v float64) float64 {
			if v /= scale; fahrenheit {
				v = weather.FtoC(v)
			}
			return v
		}
		if v, missing, ok := number(p.cells.Cell(high)); high >= 0 && ok && !missing {
			if s, ok := rows.ParseStamp(p.cells.Cell(date)); ok && s.HasDate && !s.InNumbers {
				mflag, qflag, obs := attributes(p.cells.Cell(highAttr))
				p.maximum(p.cells.Cell(st), s.Y, s.M, s.D, toC(v), mflag, qflag, obs)
			}
		}
		v, missing, ok := number(p.cells.Cell(low))
		switch {
		case missing:
			p.res.Missing++
			return nil
		case !ok:
			p.res.Reject(at, weather.Quote(string(p.cells.Cell(low)))+" is not a temperature")
			return nil
		case scale == 10 && v != float64(int(v)):
			return table.Refuse(at, weather.Quote(string(p.cells.Cell(low)))+" is not in tenths of a degree, so the file is not the archive's own", "say the unit C or F and write the columns as time and temperature")
		}
		s, ok := rows.ParseStamp(p.cells.Cell(date))
		if !ok || !s.HasDate || s.InNumbers {
			p.res.Reject(at, weather.Quote(string(p.cells.Cell(date)))+" is not a date like 2025-10-14")
			return nil
		}
		mflag, qflag, obs := attributes(p.cells.Cell(attr))
		p.value(at, s.Y, s.M, s.D, toC(v), mflag, qflag, obs)
		return nil
	})
}

// attributes takes apart "M,Q,S[,HHMM]".
func attributes(cell []byte) (mflag, qflag byte, obs []byte) {
	parts := bytes.Split(cell, []byte{','})
	if len(parts) < 2 {
		return 0, 0, nil
	}
	if len(parts) >= 4 {
		obs = parts[3]
	}
	return flag(parts[0]), flag(parts[1]), obs
}

// Sniff says why a file that begins with head is GHCN-Daily, "" if it is not.
func Sniff(head []byte) string {
	line, _, _ := bytes.Cut(head, []byte{'\n'})
	line = bytes.TrimSuffix(line, []byte{'\r'})
	if len(line) > 4096 {
		return ""
	}
	switch {
	case IsDly(line):
		return "its first line is a month of the fixed-width station file"
	case IsByYear(line):
		return "its first line has an 11-character station, a day and an element"
	case isByYearHeader(line):
		return "its header begins with ID, date and ELEMENT"
	}
	cells, err := rows.Split(bytes.Clone(line), ',')
	if err != nil {
		return ""
	}
	cols := table.Columns(cells)
	if table.At(cols, "station") >= 0 && table.At(cols, "date") >= 0 && table.At(cols, "tmin") >= 0 && table.At(cols, "element") < 0 {
		return "its header names STATION, DATE and TMIN"
	}
	return ""
}
