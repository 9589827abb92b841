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
	"strings"

	"rimegate/fields"
	"rimegate/weather"
	"rimegate/weather/internal/rows"
)

// Name is the name of the format.
const Name = "plain CSV"

// Options tells what the file itself does not say.
type Options = weather.Options

const (
	maxPreamble  = 40        // lines before the header
	maxUndecided = 1_200_000 // rows kept back while the order of day and month is open
)

// Read reads a whole table. Errors are fields.Problem: the file is refused as a
// whole and nothing of it counts.
func Read(r io.Reader, opt Options) (*weather.Result, error) {
	return weather.Collect(func(s weather.Sink) (*weather.Result, error) { return Stream(r, opt, s) })
}

// Stream reads a table row by row into the sink. Rows that give a night or a
// date without a time are returned as Nights of the Result.
func Stream(r io.Reader, opt Options, sink weather.Sink) (*weather.Result, error) {
	if err := opt.Check(); err != nil {
		return nil, err
	}
	p := &reader{
		lines: rows.NewLines(r), opt: opt, sink: sink,
		res:  &weather.Result{Format: Name},
		pick: rows.NewPick(opt.Station),
	}
	if err := p.header(); err != nil {
		return nil, err
	}
	if err := p.body(); err != nil {
		return nil, err
	}
	return p.finish()
}

type reader struct {
	lines *rows.Lines
	opt   Options
	sink  weather.Sink
	res   *weather.Result
	pick  *rows.Pick
	clock *rows.Clock
	when  rows.Stamp
	// clockOpen: neither header nor options say what stamps without a zone are.
	clockOpen bool
	codes     []code // numbers that stand for "no value", as met

	col    columns
	sep    byte
	mark   byte // decimal mark
	cells  rows.Row
	unit   string            // of the whole file; "" if each value says its own
	units  map[string]bool   // units met in a unit column or behind values
	order  rows.Order        // of dates in numbers
	was    dateShape         // what the dates in numbers allow so far
	held   []heldRow         // rows that wait for the order
	heldBy []beside          // of the held rows, if dew point or wind are wanted
	unfit  int               // values of dew point or wind that cannot be so
	days   weather.DailyLows // rows with a date only
	nights weather.DailyLows // rows with a night
	alone  bool              // some row has a date without a time and a plain temperature
	timed  bool              // some row has a time
}

// heldRow is a row whose date waits to be settled, packed small because there
// can be a million of them.
type heldRow struct {
	c       float64
	line    int32
	sec     int32
	off     int32
	year    int16
	a, b    uint8
	cDigits uint8
	zone    rows.ZoneKind
	hasTime bool
	below   bool
	abbr    [5]byte
}

func hold(line int, s *rows.Stamp, c float64, below bool) heldRow {
	return heldRow{
		c: c, line: int32(line), sec: int32(s.Sec), off: int32(s.Off), year: int16(s.C),
		a: uint8(s.A), b: uint8(s.B), cDigits: uint8(s.CDigits), zone: s.Zone,
		hasTime: s.HasTime, below: below, abbr: s.Abbr,
	}
}

func (h *heldRow) stamp() rows.Stamp {
	return rows.Stamp{
		HasDate: true, InNumbers: true, A: int(h.a), B: int(h.b), C: int(h.year), CDigits: int(h.cDigits),
		HasTime: h.hasTime, Sec: int(h.sec), Zone: h.zone, Off: int(h.off), Abbr: h.abbr,
	}
}

func refuse(line int, what, do string) error {
	return fields.Problem{Line: line, What: what, Type: do}
}

func clockProblem(what, do string) error {
	return fields.Problem{Field: "clock", What: what, Type: do}
}

// header finds the first line that names a time and a temperature.
func (p *reader) header() error {
	var seen columns
	seenLine := 0
	for tries := 0; tries < maxPreamble; {
		line, err := p.lines.Next()
		switch {
		case err == io.EOF:
			return p.noHeader(seen, seenLine)
		case errors.Is(err, rows.ErrLong):
			return refuse(p.lines.Num(), "the line is longer than a table's line can be", "check that this is a text table")
		case err != nil:
			return refuse(p.lines.Num()+1, "the file could not be read to its end: "+weather.Clean(err.Error(), 80), "")
		}
		if p.lines.Num() == 1 && rows.UTF16(line) {
			return refuse(1, "the file is saved as UTF-16", "save it as CSV UTF-8 and bring it in again")
		}
		if rows.HasNUL(line) {
			return refuse(p.lines.Num(), "the file holds NUL bytes, so it is not a text table", "save it as CSV UTF-8 and bring it in again")
		}
		if len(rows.Trim(line)) == 0 {
			continue
		}
		tries++
		best := -1
		for _, sep := range []byte{'\t', ';', ',', '|'} {
			cells, err := rows.Split(append([]byte{}, line...), sep)
			if err != nil {
				continue
			}
			c := readHeader(cells)
			if c.usable() && c.n > best && c.n > 1 {
				best = c.n
				p.col, p.sep = c, sep
			}
			if seenLine == 0 && (c.temp >= 0 || c.timed()) && c.n > 1 {
				seen, seenLine = c, p.lines.Num()
			}
		}
		if best > 0 {
			return p.decide()
		}
	}
	return p.noHeader(seen, seenLine)
}

func (p *reader) noHeader(seen columns, line int) error {
	const do = "the first line must name the columns, such as night,low_c or time,temp_f"
	switch {
	case line > 0 && seen.temp >= 0:
		return refuse(line, "there is a temperature column, "+weather.Quote(seen.tempName)+", but none called night, date or time", do)
	case line > 0:
		return refuse(line, "there is a time column, but none called temp, temperature, low or min", do)
	case p.lines.Num() == 0:
		return refuse(0, "the file is empty", do)
	}
	return refuse(1, "no line names a time column and a temperature column", do)
}

// decide settles everything that the header and the options settle.
func (p *reader) decide() error {
	c := &p.col
	p.mark = '.'
	if p.sep == ';' || p.sep == '\t' {
		p.mark = 0 // found out value by value
	}
	mode, off, loc := rows.ModeLocal, 0, p.opt.Loc
	switch {
	case c.utc:
		mode = rows.ModeOffset
	case c.offset != nil:
		mode, off = rows.ModeOffset, *c.offset
	case !c.local:
		p.clockOpen = p.opt.Clock == ""
	}
	switch p.opt.Clock {
	case "":
	case "utc":
		mode, off = rows.ModeOffset, 0
	case "standard":
		mode = rows.ModeStandard
	case "local":
		mode = rows.ModeLocal
	default:
		var err error
		if loc, err = fields.LoadZone(p.opt.Clock); err != nil {
			return err
		}
		mode = rows.ModeLocal
	}
	if p.opt.Clock != "" && (c.utc || c.offset != nil) {
		p.res.Note("the header says how the times lie to UTC; they are read as " + p.opt.Clock + " because you said so")
	}
	p.clock = rows.NewClock(loc, mode, off)
	switch p.opt.DateOrder {
	case "dmy":
		p.order = rows.DMY
	case "mdy":
		p.order = rows.MDY
	case "ymd":
		p.order = rows.YMD
	}
	p.units = map[string]bool{}
	line := p.lines.Num()
	switch {
	case p.opt.Unit != "":
		p.unit = p.opt.Unit
		p.res.Unit = name(p.unit) + ", as you said"
		if c.tempUnit != "" && c.tempUnit != p.unit {
			p.res.Note(fmt.Sprintf("the header %s says %s; read as %s because you said so", weather.Quote(c.tempName), name(c.tempUnit), name(p.unit)))
		}
	case c.tempUnit != "":
		p.unit = c.tempUnit
		p.res.Unit = name(p.unit) + ", by the header " + weather.Quote(c.tempName)
	case c.wrongUnit != "":
		return refuse(line, "the column "+weather.Quote(c.tempName)+" is in kelvin", "give the values in °C or °F")
	}
	if len(c.others) > 0 {
		list := make([]string, 0, 4)
		for i, o := range c.others {
			if i == 4 {
				list = append(list, "...")
				break
			}
			list = append(list, weather.Quote(o))
		}
		p.res.Note(fmt.Sprintf("read the column %s; not used: %s", weather.Quote(c.tempName), strings.Join(list, ", ")))
	}
	p.settleBesides()
	switch {
	case mode == rows.ModeOffset && off == 0:
		p.res.Note("times without a zone are read as UTC")
	case mode == rows.ModeOffset:
		p.res.Note("times are read at the offset from UTC that the header gives")
	case mode == rows.ModeStandard:
		p.res.Note("times without a zone are read as standard time of " + loc.String() + " all year")
	case !p.clockOpen && (c.stamp >= 0 || c.clock >= 0 || c.hour >= 0):
		p.res.Note("times without a zone are read as local time of " + loc.String())
	}
	return nil
}

func name(unit string) string {
	if unit == "F" {
		return "degrees Fahrenheit"
	}
	return "degrees Celsius"
}

func (p *reader) body() error {
	for {
		line, err := p.lines.Next()
		switch {
		case err == io.EOF:
			return nil
		case errors.Is(err, rows.ErrLong):
			p.res.Read++
			p.res.Reject(p.lines.Num(), "the line is too long")
			continue
		case err != nil:
			return refuse(p.lines.Num()+1, "the file could not be read to its end: "+weather.Clean(err.Error(), 80), "")
		}
		if len(line) == 0 {
			continue
		}
		if err := p.row(line); err != nil {
			return err
		}
	}
}

// row reads one row. It returns an error only where the whole file falls.
func (p *reader) row(line []byte) error {
	at := p.lines.Num()
	if p.lines.HasNUL(line) {
		p.res.Read++
		p.res.Reject(at, "the line holds NUL bytes")
		return nil
	}
	if err := p.cells.Split(line, p.sep); err != nil {
		p.res.Read++
		p.res.Reject(at, err.Error())
		return nil
	}
	if p.cells.Blank(0) {
		return nil
	}
	p.res.Read++
	if st := p.cell(p.col.station); p.col.station >= 0 {
		keep, forget := p.pick.Take(st)
		if forget {
			p.forget()
		}
		if !keep {
			p.res.Skipped++
			return nil
		}
	}
	if p.cells.Len() > p.col.n && !p.cells.Blank(p.col.n) {
		p.res.Reject(at, fmt.Sprintf("the row has %d cells, the header %d; a number with a decimal comma needs semicolons between the cells", p.cells.Len(), p.col.n))
		return nil
	}
	if p.col.temp >= p.cells.Len() {
		p.res.Reject(at, fmt.Sprintf("the row has %s, the temperature stands in cell %d", weather.Count(p.cells.Len(), "cell"), p.col.temp+1))
		return nil
	}
	s := &p.when
	why := p.stamp(s)
	if why == "" && s.InNumbers {
		p.was.add(s, at) // a row without a value still tells the order of its date
		if p.order == rows.Unsettled {
			if p.order = p.was.settled(); p.order != rows.Unsettled {
				p.release()
			}
		}
	}
	if p.clockOpen && why == "" && s.HasTime && s.Zone == rows.ZoneNone && (p.col.zoneCol < 0 || len(p.cell(p.col.zoneCol)) == 0) {
		return clockProblem("the times of the file do not say their zone",
			"say what the thermometer's clock shows: local, standard (no summer time), utc or a zone such as America/Denver")
	}
	c, below, state, err := p.temperature(at)
	switch {
	case err != nil:
		return err
	case state == missing:
		p.res.Missing++
		return nil
	case state == bad:
		return nil
	case why != "":
		p.res.Reject(at, why)
		return nil
	}
	if s.InNumbers && p.order == rows.Unsettled {
		if len(p.held) >= maxUndecided {
			return p.openOrder()
		}
		p.held = append(p.held, hold(at, s, c, below))
		if !p.sink.TempOnly {
			p.heldBy = append(p.heldBy, p.readBeside(c))
		}
		return nil
	}
	var by beside
	if !p.sink.TempOnly {
		by = p.readBeside(c)
	}
	p.take(at, s, c, below, by)
	return nil
}

// forget drops what was kept of another station.
func (p *reader) forget() {
	p.res.Skipped += p.res.Kept + p.res.Rejected + p.res.Missing + len(p.held)
	p.res.Kept, p.res.Rejected, p.res.Missing, p.res.Rejects = 0, 0, 0, nil
	p.held, p.heldBy, p.unfit, p.codes = nil, nil, 0, nil
	p.days.Reset()
	p.nights.Reset()
	p.sink.Forget()
}

func (p *reader) release() {
	held, heldBy := p.held, p.heldBy
	p.held, p.heldBy = nil, nil
	for i := range held {
		h := &held[i]
		s := h.stamp()
		var by beside
		if heldBy != nil {
			by = heldBy[i]
		}
		p.take(int(h.line), &s, h.c, h.below, by)
	}
}

func (p *reader) cell(i int) []byte { return p.cells.Cell(i) }

type tempState uint8

const (
	good tempState = iota
	missing
	bad // rejected already
)

// temperature reads the temperature cell in °C. The error is for a file that
// does not say its unit.
func (p *reader) temperature(at int) (c float64, below bool, st tempState, err error) {
	cell := p.cell(p.col.temp)
	// Mostly it is a number and nothing else, in a column whose unit is known.
	if p.unit != "" && p.col.unit < 0 {
		if v, ok := rows.Number(cell, '.'); ok {
			c, below, st = p.celsius(at, cell, v, p.unit, false)
			return c, below, st, nil
		}
	}
	return p.marked(at, cell)
}

// marked reads a temperature with what may stand around it: a sign for "less
// than", a unit behind it or beside it, a decimal comma, a word for no value.
func (p *reader) marked(at int, cell []byte) (c float64, below bool, st tempState, err error) {
	if rows.MissingWord(cell) {
		return 0, false, missing, nil
	}
	raw := cell
	if cell[0] == '<' {
		below = true
		cell = rows.Trim(cell[1:])
	}
	body, own := unitBehind(cell)
	v, ok := p.number(body)
	if !ok {
		p.res.Reject(at, weather.Quote(string(raw))+" is not a temperature")
		return 0, false, bad, nil
	}
	if rows.MissingNumber(v) {
		p.code(v)
		return 0, false, missing, nil
	}
	beside := ""
	if p.col.unit >= 0 {
		beside = unitWord(p.cell(p.col.unit))
	}
	unit := p.unit
	if own != "" || beside != "" {
		for _, said := range []string{own, beside} {
			if said == "" || said == unit {
				continue
			}
			if unit != "" {
				p.res.Reject(at, fmt.Sprintf("%s is marked as %s in a column read as %s", weather.Quote(string(raw)), name(said), name(unit)))
				return 0, false, bad, nil
			}
			unit = said
		}
	}
	if unit == "" {
		if p.col.unit >= 0 {
			p.res.Reject(at, fmt.Sprintf("the unit %s is neither C nor F", weather.Quote(string(p.cell(p.col.unit)))))
			return 0, false, bad, nil
		}
		return 0, false, bad, refuse(at, fmt.Sprintf("the file does not say whether %s in the column %s is in °C or °F", weather.Quote(string(raw)), weather.Quote(p.col.tempName)),
			"say which with the unit C or F, or name the column temp_c or temp_f")
	}
	if p.unit == "" {
		p.units[unit] = true
	}
	c, below, st = p.celsius(at, raw, v, unit, below)
	return c, below, st, nil
}

// celsius converts and judges a value v that stands as raw in the file.
func (p *reader) celsius(at int, raw []byte, v float64, unit string, less bool) (c float64, below bool, st tempState) {
	if rows.MissingNumber(v) {
		p.code(v)
		return 0, false, missing
	}
	c = v
	if unit == "F" {
		c = weather.FtoC(v)
	}
	if !weather.Possible(c) {
		p.res.Reject(at, fmt.Sprintf("%s in %s is no possible air temperature", weather.Quote(string(raw)), name(unit)))
		return 0, false, bad
	}
	if less && c > 0 {
		p.res.Reject(at, weather.Quote(string(raw))+" does not say whether it froze")
		return 0, false, bad
	}
	return c, less && c == 0, good // anything lower is a number: at most that
}

// code is a number that stands for "no value", and how often it does.
type code struct {
	v float64
	n int
}

func (p *reader) code(v float64) {
	for i := range p.codes {
		if p.codes[i].v == v {
			p.codes[i].n++
			return
		}
	}
	p.codes = append(p.codes, code{v, 1})
}

// number reads a number. In files parted by semicolons or tabs the decimal mark
// may be a comma.
func (p *reader) number(b []byte) (float64, bool) {
	if p.mark == '.' {
		return rows.Number(b, '.')
	}
	if v, ok := rows.Number(b, '.'); ok {
		return v, true
	}
	return rows.Number(b, ',')
}

// unitBehind parts a value from a unit written behind it: 28F, -2.2 °C.
func unitBehind(b []byte) (body []byte, unit string) {
	if len(b) == 0 {
		return b, ""
	}
	switch b[len(b)-1] {
	case 'C', 'c':
		unit = "C"
	case 'F', 'f':
		unit = "F"
	default:
		return b, ""
	}
	b = rows.Trim(b[:len(b)-1])
	for len(b) > 0 && (b[len(b)-1] >= 0x80 || b[len(b)-1] == ' ') { // a degree sign in any encoding
		b = b[:len(b)-1]
	}
	s := strings.ToLower(string(b))
	for _, deg := range []string{"deg", "degrees"} {
		if strings.HasSuffix(s, deg) {
			b = rows.Trim(b[:len(b)-len(deg)])
		}
	}
	return b, unit
}

func unitWord(b []byte) string {
	ws := words(string(b))
	if len(ws) == 0 || len(ws) > 3 {
		return ""
	}
	u, _ := unitOf(ws)
	return u
}

// read parses a cell as a stamp.
func (p *reader) read(s *rows.Stamp, i int, what string) string {
	b := p.cell(i)
	if len(b) == 0 {
		return "the " + what + " is empty"
	}
	if !s.Parse(b) {
		return weather.Quote(string(b)) + " is not a " + what
	}
	return ""
}

// stamp reads when the row is of. why is empty if it is known.
func (p *reader) stamp(s *rows.Stamp) (why string) {
	c := &p.col
	switch {
	case c.night >= 0:
		if why = p.read(s, c.night, "date"); why != "" {
			return why
		}
		if !s.HasDate {
			return "the night has no date"
		}
		s.HasTime = false
		return ""
	case c.stamp >= 0:
		why = p.read(s, c.stamp, "date and time")
	case c.year >= 0:
		why = p.threeParts(s)
	case c.date >= 0:
		why = p.read(s, c.date, "date")
	default:
		why = p.read(s, c.clock, "date and time")
	}
	if why != "" {
		return why
	}
	if c.stamp < 0 && (c.date >= 0 || c.year >= 0) {
		if why = p.timeBeside(s); why != "" {
			return why
		}
	}
	if !s.HasDate {
		return "the time has no date with it"
	}
	if c.zoneCol >= 0 && s.HasTime && s.Zone == rows.ZoneNone {
		z := p.cell(c.zoneCol)
		if len(z) == 0 || string(z) == p.opt.Loc.String() || strings.EqualFold(string(z), "local") {
			return ""
		}
		var ok bool
		if *s, ok = s.WithZone(z); !ok {
			return "the zone " + weather.Quote(string(z)) + " is not understood; use UTC, an offset such as -06:00, or the farm's own"
		}
	}
	return ""
}

// threeParts reads a date from columns of year, month and day.
func (p *reader) threeParts(s *rows.Stamp) string {
	var n [3]int
	for i, k := range []int{p.col.year, p.col.month, p.col.day} {
		v, ok := rows.Number(p.cell(k), '.')
		if !ok || v != float64(int(v)) {
			return weather.Quote(string(p.cell(k))) + " is not a part of a date"
		}
		n[i] = int(v)
	}
	if !rows.RealDay(n[0], n[1], n[2]) {
		return fmt.Sprintf("there is no day %d-%02d-%02d", n[0], n[1], n[2])
	}
	*s = rows.Stamp{HasDate: true, Y: n[0], M: n[1], D: n[2]}
	return ""
}

// timeBeside adds the time of day that stands in a column of its own.
func (p *reader) timeBeside(s *rows.Stamp) string {
	c := &p.col
	switch {
	case c.clock >= 0:
		var t rows.Stamp
		why := p.read(&t, c.clock, "time of day")
		switch {
		case why != "":
			return why
		case t.HasDate && t.HasTime:
			*s = t
		case t.HasTime:
			s.HasTime, s.Sec, s.Zone, s.Off, s.Abbr = true, t.Sec, t.Zone, t.Off, t.Abbr
		default:
			return weather.Quote(string(p.cell(c.clock))) + " is not a time of day"
		}
	case c.hour >= 0 && !s.HasTime:
		b := p.cell(c.hour)
		h, ok := rows.Number(b, '.')
		if ok && h == float64(int(h)) && h >= 0 && h <= 24 {
			s.HasTime, s.Sec = true, int(h)*3600
		} else if t, ok := rows.ParseStamp(b); ok && t.HasTime && !t.HasDate {
			s.HasTime, s.Sec = true, t.Sec
		} else {
			return weather.Quote(string(b)) + " is not an hour"
		}
	}
	return ""
}

// take stores a row whose date is settled or will be now.
func (p *reader) take(at int, s *rows.Stamp, c float64, below bool, by beside) {
	if s.InNumbers && !s.Settle(p.order) {
		p.res.Reject(at, fmt.Sprintf("there is no day %s read as %s", p.numbers(s), orderWords(p.order)))
		return
	}
	if s.Y == 1970 && s.M == 1 && s.D == 1 {
		p.res.Reject(at, "the date 1 January 1970 is a clock that was never set")
		return
	}
	if s.HasTime {
		t, why := p.clock.Unix(s)
		if why != "" {
			p.res.Reject(at, why)
			return
		}
		p.res.Kept++
		p.timed = true
		if p.sink.TempOnly && !below {
			p.sink.EmitTemp(t, c)
			return
		}
		o := weather.Observation{At: unix(t), TempC: c, HasTemp: !below, DewC: by.dew, WindMS: by.wind}
		if below {
			o.TempC = 0
			o.BelowZero = yes()
		}
		p.sink.Emit(o)
		return
	}
	p.res.Kept++
	d := weather.Daily{Day: fields.MakeDate(s.Y, monthOf(s.M), s.D), MinC: c, HasC: !below, Below: below}
	if below {
		d.MinC = 0
	}
	switch {
	case p.col.night >= 0:
		d.EndHour = 12
		p.nights.Add(d)
	case p.col.low:
		d.EndHour = weather.EndUnknown
		p.days.Add(d)
	default:
		d.EndHour, d.Partial, d.Note = weather.EndUnknown, true, loneNote
		p.alone = true
		p.days.Add(d)
	}
}

const loneNote = "a temperature with a date but no time; the night's low may be lower"

func (p *reader) finish() (*weather.Result, error) {
	if what := p.pick.Problem(weather.Quote); what != "" {
		do := "say which one to read"
		if p.col.station < 0 {
			do = "leave the station's name away, or name the column station"
		}
		return nil, refuse(0, what, do)
	}
	if p.order == rows.Unsettled && len(p.held) > 0 {
		if !p.was.sameEitherWay {
			return nil, p.openOrder()
		}
		p.order = rows.DMY
		p.release()
	}
	if err := p.was.check(p.order, p.opt.DateOrder != ""); err != nil {
		return nil, err
	}
	res := p.res
	if res.Kept == 0 && res.Rejected > 0 {
		first := res.Rejects[0]
		do := fmt.Sprintf("none of the %s can be used", weather.Count(res.Read, "row"))
		return nil, refuse(first.Line, first.What, do)
	}
	if res.Read == 0 {
		return nil, refuse(p.lines.Num(), "there is no row below the header", "check that the whole file was saved")
	}
	if res.Kept == 0 && res.Missing > 0 {
		res.Note("every row says that its temperature is missing")
	}
	if p.col.station >= 0 {
		res.Station = weather.Clean(p.pick.Name(), 60)
	}
	if p.was.met && p.was.proof == "" && p.opt.DateOrder == "" {
		res.Note("every date in numbers is the same read either way")
	} else if p.was.met && p.opt.DateOrder == "" {
		res.Note(fmt.Sprintf("dates are read as %s: line %d has %s", orderWords(p.order), p.was.proofLine, p.was.proof))
	} else if p.was.met {
		res.Note("dates are read as " + orderWords(p.order) + ", as you said")
	}
	if res.Unit == "" {
		var list []string
		for _, u := range []string{"C", "F"} {
			if p.units[u] {
				list = append(list, name(u))
			}
		}
		if len(list) > 0 {
			res.Unit = strings.Join(list, " and ") + ", as each row says"
		}
	}
	if n := p.clock.Twice; n > 0 {
		res.Note(weather.Count(n, "time") + " in the hour that autumn shows twice, told apart by the order of the rows")
	}
	if n := p.clock.Skipped; n > 0 {
		res.Note(weather.Count(n, "time") + " in the hour that spring skips: the thermometer's clock seems to keep standard time; if it does, say that the clock is standard")
	}
	if p.alone {
		res.Note("the column " + weather.Quote(p.col.tempName) + " has a date but no time and is not called low or min; such a row can show a frost but not a mild night")
	} else if p.days.Len() > 0 {
		res.Note("lows with a date are put to the night that ends on that date; name the column night if that is what it is")
	}
	for _, k := range p.codes {
		res.Note(fmt.Sprintf("%v is a code for \"no value\", not a temperature: %s passed over", k.v, weather.Count(k.n, "row")))
	}
	p.mixed()
	p.noteBesides()
	p.nights.Into(res, Name)
	p.days.Into(res, Name)
	return res, nil
}

func (p *reader) mixed() {
	if p.days.Len() > 0 && p.timed {
		p.res.Note("some rows have a time and some only a date")
	}
}
