// Package plaincsv reads temperatures from a table whose first line names its
// columns: a night, a date or a time, and a temperature with its unit. It is
// for the files of loggers, notebooks and spreadsheets. What the file leaves
// open (unit, order of day and month, which of several stations) is asked for
// and never guessed from the values.
package plaincsv

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/weather"
	"rimegate/weather/internal/table"
)

// Format is the plain table. Rows that give a night or a date without a time are
// returned as Nights of the Result.
var Format = table.Format{Key: "plaincsv", Name: "plain CSV", Sniff: func([]byte) string {
	return "no mark of a published format, so it is read as a plain table"
}, Read: stream}

const (
	maxPreamble  = 40      // lines before the header
	maxUndecided = 300_000 // rows kept back while the order of day and month is open
)

type reader struct {
	*table.File
	col   columns
	sep   byte
	clock *table.Clock
	// clockOpen: neither header nor options say what stamps without a zone are.
	clockOpen bool
	codes     []code // numbers that stand for "no value", as met
	unit      string // of the whole file; "" if each value says its own
	said      string // the units that the values say, of C and F

	order  table.Order       // of dates in numbers
	was    dateShape         // what the dates in numbers allow so far
	held   []reading         // rows that wait for the order
	hot    float64           // the last that was too warm for °C
	unfit  int               // values of dew point or wind that cannot be so
	days   weather.DailyLows // rows with a date only
	nights weather.DailyLows // rows with a night
	alone  bool              // some row has a date without a time and a plain temperature
	timed  bool              // some row has a time
}

// reading is what a row says. Its date may still be open.
type reading struct {
	line      int
	when      table.Stamp
	c         float64
	below     bool     // below 0 °C, without a number
	dew, wind *float64 // °C and m/s; nil if not known
}

// code is a number that stands for "no value", and how often it does.
type code struct {
	v float64
	n int
}

func stream(f *table.File) (*weather.Result, error) {
	p := &reader{File: f}
	f.End = p.end
	if err := p.header(); err != nil {
		return nil, err
	}
	if err := p.decide(); err != nil {
		return nil, err
	}
	res, err := p.Rows(p.sep, p.row)
	if err != nil {
		return nil, err
	}
	p.notes()
	p.nights.Into(res, nil, f.Opt)
	p.days.Into(res, nil, f.Opt)
	return res, nil
}

// header finds the first line that names a time and a temperature.
func (p *reader) header() error {
	const do = "the first line must name the columns, such as night,low_c or time,temp_f"
	var seen columns // of the first line that names one of the two
	seenLine := 0
	for range maxPreamble {
		line, err := p.Head()
		if err == io.EOF {
			break
		}
		var empty fields.Problem
		if errors.As(err, &empty) && p.Num == 0 {
			empty.Type = do
			return empty
		}
		if err != nil {
			return err
		}
		for _, sep := range []byte("\t;,|") {
			cells, err := p.Split(line, sep)
			if err != nil || len(cells) < 2 {
				continue
			}
			c := readHeader(cells)
			if c.temp >= 0 && c.timed() && c.n > p.col.n {
				p.col, p.sep = c, sep
			}
			if seenLine == 0 && (c.temp >= 0 || c.timed()) {
				seen, seenLine = c, p.Num
			}
		}
		if p.col.n > 0 {
			return nil
		}
	}
	switch {
	case seenLine > 0 && seen.temp >= 0:
		return table.Refuse(seenLine, "there is a temperature column, "+weather.Quote(seen.tempName)+", but none called night, date or time", do)
	case seenLine > 0:
		return table.Refuse(seenLine, "there is a time column, but none called temp, temperature, low or min", do)
	}
	return table.Refuse(1, "no line names a time column and a temperature column", do)
}

// decide settles everything that the header and the options settle.
func (p *reader) decide() error {
	p.order = map[string]table.Order{"dmy": table.DMY, "mdy": table.MDY, "ymd": table.YMD}[p.Opt.DateOrder]
	clock, err := p.decideClock()
	if err != nil {
		return err
	}
	c := &p.col
	switch {
	case p.Opt.Unit != "":
		p.unit = p.Opt.Unit
		p.Res.Unit = unitName(p.unit) + ", as you said"
		if c.tempUnit != "" && c.tempUnit != p.unit {
			p.Res.Note(fmt.Sprintf("the header %s says %s; read as %s because you said so", weather.Quote(c.tempName), unitName(c.tempUnit), unitName(p.unit)))
		}
	case c.tempUnit != "":
		p.unit = c.tempUnit
		p.Res.Unit = unitName(p.unit) + ", by the header " + weather.Quote(c.tempName)
	case c.kelvin:
		return table.Refuse(p.Num, "the column "+weather.Quote(c.tempName)+" is in kelvin", "give the values in °C or °F")
	}
	if len(c.others) > 0 {
		var list []string
		for _, o := range c.others[:min(len(c.others), 4)] {
			list = append(list, weather.Quote(o))
		}
		if len(c.others) > 4 {
			list = append(list, "...")
		}
		p.Res.Note(fmt.Sprintf("read the column %s; not used: %s", weather.Quote(c.tempName), strings.Join(list, ", ")))
	}
	p.decideBeside()
	if clock != "" {
		p.Res.Note(clock)
	}
	return nil
}

// decideClock makes the clock of stamps without a zone and returns what is said of it.
func (p *reader) decideClock() (note string, err error) {
	c := &p.col
	mode, off, loc := table.ModeLocal, 0, p.Opt.Loc
	byHeader := c.offset != nil
	switch p.Opt.Clock {
	case "":
		if p.clockOpen = !byHeader && !c.local; byHeader {
			mode, off = table.ModeOffset, *c.offset
		}
	case "utc":
		mode, off = table.ModeOffset, 0
	case "standard":
		mode = table.ModeStandard
	case "local":
	default:
		if loc, err = fields.LoadZone(p.Opt.Clock); err != nil {
			return "", err
		}
	}
	if p.Opt.Clock != "" && byHeader {
		p.Res.Note("the header says how the times lie to UTC; they are read as " + p.Opt.Clock + " because you said so")
	}
	p.clock = table.NewClock(loc, mode, off)
	switch {
	case mode == table.ModeOffset && off == 0:
		return "times without a zone are read as UTC", nil
	case mode == table.ModeOffset:
		return "times are read at the offset from UTC that the header gives", nil
	case mode == table.ModeStandard:
		return "times without a zone are read as standard time of " + loc.String() + " all year", nil
	case !p.clockOpen && max(c.stamp, c.clock, c.hour) >= 0:
		return "times without a zone are read as local time of " + loc.String(), nil
	}
	return "", nil
}

// decideBeside says which columns of dew point and wind are read. One whose name does
// not say its unit is not used.
func (p *reader) decideBeside() {
	c := &p.col
	if p.Sink.TempOnly {
		c.dew, c.wind = -1, -1
		return
	}
	if c.dewUnit == "" {
		c.dewUnit = p.Opt.Unit
	}
	if c.dew >= 0 && c.dewUnit != "C" && c.dewUnit != "F" {
		p.Res.Note("the column " + weather.Quote(c.dewName) + " does not say whether it is in °C or °F, so the dew point is not used")
		c.dew = -1
	}
	if c.wind >= 0 && c.toMS == 0 {
		p.Res.Note("the column " + weather.Quote(c.windName) + " does not say m/s, km/h, mph or knots, so the wind is not used")
		p.Res.WindUnread = c.windName
		c.wind = -1
	}
}

func unitName(unit string) string {
	if unit == "F" {
		return "degrees Fahrenheit"
	}
	return "degrees Celsius"
}

// row reads one row. It returns an error only where the whole file falls.
func (p *reader) row(row table.Row) error {
	col := &p.col
	if col.station >= 0 && !p.Take(row.Cell(col.station), p.forget) {
		return nil
	}
	if len(row) > col.n && !row.Blank(col.n) {
		p.Reject(fmt.Sprintf("the row has %d cells, the header %d; a number with a decimal comma needs semicolons between the cells", len(row), col.n))
		return nil
	}
	if col.temp >= len(row) {
		p.Reject(fmt.Sprintf("the row has %s, the temperature stands in cell %d", weather.Count(len(row), "cell"), col.temp+1))
		return nil
	}
	s, why := p.stamp(row)
	if why == "" && s.InNumbers {
		p.was.add(&s, p.Num) // a row without a value still tells the order of its date
		if p.order == table.Unsettled {
			if p.order = p.was.settled(); p.order != table.Unsettled {
				p.release()
			}
		}
	}
	if p.clockOpen && why == "" && s.HasTime && !s.Zoned && s.Abbr == "" && row.Cell(col.zoneCol) == "" {
		return fields.Problem{
			Field: "clock", What: "the times of the file do not say their zone",
			Type: "say what the thermometer's clock shows: local, standard (no summer time), utc or a zone such as America/Denver",
		}
	}
	c, below, ok, err := p.temperature(row)
	switch {
	case err != nil || !ok:
		return err
	case why != "":
		p.Reject(why)
		return nil
	}
	x := reading{line: p.Num, when: s, c: c, below: below}
	if max(col.dew, col.wind) >= 0 {
		p.beside(row, &x)
	}
	if !s.InNumbers || p.order != table.Unsettled {
		p.take(x)
		return nil
	}
	if len(p.held) >= maxUndecided {
		return p.openOrder()
	}
	p.held = append(p.held, x)
	return nil
}

// forget drops what was kept of another station.
func (p *reader) forget() {
	p.Res.Skipped += len(p.held)
	p.held, p.unfit, p.codes = nil, 0, nil
	p.days.Reset()
	p.nights.Reset()
}

// release takes the rows that waited for the order of day and month.
func (p *reader) release() {
	held := p.held
	p.held = nil
	for _, x := range held {
		p.take(x)
	}
}

const loneNote = "a temperature with a date but no time; the night's low may be lower"

// take stores a row whose date is settled or will be now.
func (p *reader) take(x reading) {
	s := &x.when
	if s.InNumbers && !s.Settle(p.order) {
		p.Res.Reject(x.line, fmt.Sprintf("there is no day %s read as %s", weather.Quote(parts(s)), orderWords[p.order]))
		return
	}
	if s.Day == fields.NoDate { // the first day of the count
		p.Res.Reject(x.line, "the date 1 January 1970 is a clock that was never set")
		return
	}
	if s.HasTime {
		at, why := p.clock.Instant(s)
		if why != "" {
			p.Res.Reject(x.line, why)
			return
		}
		p.timed = true
		p.Res.Kept++
		p.Sink.Observe(weather.Observation{At: at, TempC: x.c, HasTemp: !x.below, Below: x.below, DewC: x.dew, WindMS: x.wind})
		return
	}
	p.Res.Kept++
	d := weather.Daily{Day: s.Day, MinC: x.c, HasC: !x.below, Below: x.below, EndHour: weather.EndUnknown}
	switch {
	case p.col.night >= 0:
		d.EndHour = 12
		p.nights.Add(d)
		return
	case !p.col.low:
		d.Partial, d.Note, p.alone = true, loneNote, true
	}
	p.days.Add(d)
}

// notes says what was decided on the way.
func (p *reader) notes() {
	res, col := p.Res, &p.col
	note := func(when bool, words string) {
		if when {
			res.Note(words)
		}
	}
	if p.was.met {
		switch {
		case p.Opt.DateOrder != "":
			res.Note("dates are read as " + orderWords[p.order] + ", as you said")
		case p.was.proof == "":
			res.Note("every date in numbers is the same read either way")
		default:
			res.Note(fmt.Sprintf("dates are read as %s: line %d has %s", orderWords[p.order], p.was.proofLine, p.was.proof))
		}
	}
	if res.Unit == "" && p.said != "" {
		var list []string
		for u := range strings.SplitSeq(p.said, "") {
			list = append(list, unitName(u))
		}
		slices.Sort(list)
		res.Unit = strings.Join(list, " and ") + ", as each row says"
	}
	note(p.clock.Twice > 0, weather.Count(p.clock.Twice, "time")+" in the hour that autumn shows twice, told apart by the order of the rows")
	note(p.clock.Skipped > 0, weather.Count(p.clock.Skipped, "time")+" in the hour that spring skips: the thermometer's clock seems to keep standard time; if it does, say that the clock is standard")
	note(p.alone, "the column "+weather.Quote(col.tempName)+" has a date but no time and is not called low or min; such a row can show a frost but not a mild night")
	note(!p.alone && p.days.Len() > 0, "lows with a date are put to the night that ends on that date; name the column night if that is what it is")
	for _, k := range p.codes {
		res.Note(fmt.Sprintf("%v is a code for \"no value\", not a temperature: %s passed over", k.v, weather.Count(k.n, "row")))
	}
	note(p.days.Len() > 0 && p.timed, "some rows have a time and some only a date")
	var beside []string
	if col.dew >= 0 {
		beside = append(beside, "the dew point in "+weather.Quote(col.dewName))
	}
	if col.wind >= 0 {
		beside = append(beside, "the wind in "+weather.Quote(col.windName))
	}
	note(beside != nil, "read "+strings.Join(beside, " and "))
	note(p.unfit > 0, weather.Count(p.unfit, "value")+" of dew point or wind cannot be so and were left out")
}
