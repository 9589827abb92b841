package plaincsv

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rimegate/fields/lazy"
	"rimegate/weather"
	"rimegate/weather/internal/table"
)

// marks is what may stand around a temperature: a sign for "less than", a degree sign
// in any encoding or the word, and a unit.
var marks = lazy.Regexp(`(?s)^(<?)[ \t]*(.*?)[ \t]*(?:(?:[^\x00-\x7f]| |(?i:degrees|deg))*([cCfF]))?$`)

// temperature reads the temperature of a row in °C; one that is missing or cannot be so
// is counted, and not ok. The error is for a file that does not say its unit.
func (p *reader) temperature(row table.Row) (c float64, below, ok bool, err error) {
	raw := row.Cell(p.col.temp)
	if table.MissingWord(raw) {
		p.Res.Missing++
		return 0, false, false, nil
	}
	reject := func(why string) (float64, bool, bool, error) {
		p.Reject(weather.Quote(raw) + why)
		return 0, false, false, nil
	}
	less, own, beside := "", "", ""
	v, ok := p.number(raw) // mostly it is a number and nothing else
	if !ok {
		m := marks().FindStringSubmatch(raw)
		less, own = m[1], strings.ToUpper(m[3])
		if v, ok = p.number(m[2]); !ok {
			return reject(" is not a temperature")
		}
	}
	if table.MissingNumber(v) {
		p.code(v)
		p.Res.Missing++
		return 0, false, false, nil
	}
	if p.col.unit >= 0 {
		beside = unitWord(row.Cell(p.col.unit))
	}
	unit := p.unit
	for _, said := range []string{own, beside} {
		if said != "" && unit != "" && said != unit {
			return reject(" is marked as " + unitName(said) + " in a column read as " + unitName(unit))
		}
		if said != "" {
			unit = said
		}
	}
	switch {
	case unit != "":
	case p.col.unit >= 0:
		p.Reject(fmt.Sprintf("the unit %s is neither C nor F", weather.Quote(row.Cell(p.col.unit))))
		return 0, false, false, nil
	default:
		return 0, false, false, table.Refuse(p.Num, fmt.Sprintf("the file does not say whether %s in the column %s is in °C or °F", weather.Quote(raw), weather.Quote(p.col.tempName)),
			"say which with the unit C or F, or name the column temp_c or temp_f")
	}
	if p.unit == "" && !strings.Contains(p.said, unit) {
		p.said += unit
	}
	if c = v; unit == "F" {
		c = weather.FtoC(v)
	}
	switch {
	case !weather.Possible(c):
		p.tooHot(c, v, own)
		return reject(" in " + unitName(unit) + " is no possible air temperature")
	case less != "" && c > 0:
		return reject(" does not say whether it froze")
	}
	return c, less != "" && c == 0, true, nil // less than anything lower: at most that
}

// tooHot counts what cannot be °C and would do in °F, where the value itself says no
// unit. A number that a sensor shows whenever it fails counts once.
func (p *reader) tooHot(c, v float64, own string) {
	if c > 0 && own == "" && v != p.hot && weather.Possible(weather.FtoC(v)) {
		p.hot = v
		p.Res.Hot++
	}
}

// code counts a number that stands for "no value".
func (p *reader) code(v float64) {
	i := slices.IndexFunc(p.codes, func(k code) bool { return k.v == v })
	if i < 0 {
		i = len(p.codes)
		p.codes = append(p.codes, code{v: v})
	}
	p.codes[i].n++
}

// number reads a number. In files parted by semicolons or tabs the decimal mark
// may be a comma.
func (p *reader) number(text string) (float64, bool) {
	v, ok := table.Number(text)
	if !ok && (p.sep == ';' || p.sep == '\t') && !strings.Contains(text, ".") {
		v, ok = table.Number(strings.Replace(text, ",", ".", 1))
	}
	return v, ok
}

// unitWord reads the cell of a unit column: "C", "F", or "" for none of the two.
func unitWord(cell string) string {
	ws := words(cell)
	if unit := unitOf(ws); len(ws) <= 3 && unit != "K" {
		return unit
	}
	return ""
}

// dewSlackC lets a dew point stand above its temperature by the rounding of
// both to whole degrees Fahrenheit.
const dewSlackC = 0.6

// beside reads dew point and wind of a row. What cannot be so is left out and counted.
func (p *reader) beside(row table.Row, x *reading) {
	value := func(at int, convert func(float64) float64, low, high float64) *float64 {
		cell := row.Cell(at)
		if at < 0 || table.MissingWord(cell) {
			return nil
		}
		v, ok := p.number(cell)
		if ok && table.MissingNumber(v) {
			return nil
		}
		if v = convert(v); !ok || v < low || v > high {
			p.unfit++
			return nil
		}
		return &v
	}
	toC := func(v float64) float64 { return v }
	if p.col.dewUnit == "F" {
		toC = weather.FtoC
	}
	toMS := func(v float64) float64 { return v * p.col.toMS }
	x.dew = value(p.col.dew, toC, weather.MinPossibleC, min(weather.MaxPossibleC, x.c+dewSlackC))
	x.wind = value(p.col.wind, toMS, 0, table.MaxWindMS)
}

// stamp reads when the row is of. why is empty if it is known.
func (p *reader) stamp(row table.Row) (s table.Stamp, why string) {
	c := &p.col
	switch {
	case c.night >= 0:
		s, why = parse(row.Cell(c.night), "date")
		if why == "" && !s.HasDate {
			why = "the night has no date"
		}
		s.HasTime = false
		return s, why
	case c.stamp >= 0:
		s, why = parse(row.Cell(c.stamp), "date and time")
	case c.year >= 0:
		s, why = p.dated(row, row.Cell(c.year)+"-"+row.Cell(c.month)+"-"+row.Cell(c.day))
	case c.date >= 0:
		s, why = p.dated(row, row.Cell(c.date))
	default:
		s, why = parse(row.Cell(c.clock), "date and time")
	}
	if why == "" && !s.HasDate {
		why = "the time has no date with it"
	}
	zone := row.Cell(c.zoneCol)
	if why != "" || zone == "" || !s.HasTime || s.Zoned || s.Abbr != "" || zone == p.Opt.Loc.String() || strings.EqualFold(zone, "local") {
		return s, why
	}
	if !s.Zone(zone) {
		why = "the zone " + weather.Quote(zone) + " is not understood; use UTC, an offset such as -06:00, or the farm's own"
	}
	return s, why
}

// parse reads a stamp of a kind, such as "date".
func parse(text, kind string) (s table.Stamp, why string) {
	s, ok := table.ParseStamp(text)
	switch {
	case text == "":
		why = "the " + kind + " is empty"
	case !ok:
		why = weather.Quote(text) + " is not a " + kind
	}
	return s, why
}

// dated reads a date, and the time of day beside it if there is one.
func (p *reader) dated(row table.Row, date string) (s table.Stamp, why string) {
	s, why = parse(date, "date")
	text := row.Cell(p.col.clock)
	if p.col.clock < 0 && p.col.hour >= 0 && !s.HasTime {
		text = row.Cell(p.col.hour)
		if h, ok := table.Whole(text); ok {
			text = strconv.Itoa(h) + ":00"
		}
	} else if p.col.clock < 0 {
		return s, why
	}
	if why != "" {
		return s, why
	}
	t, why := parse(text, "time of day")
	switch {
	case t.HasDate && t.HasTime: // the date once more
		return t, why
	case why == "" && !t.HasTime:
		why = weather.Quote(text) + " is not a time of day"
	}
	s.HasTime, s.Sec, s.Zoned, s.Off, s.Abbr = t.HasTime, t.Sec, t.Zoned, t.Off, t.Abbr
	return s, why
}
