package plaincsv

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"rimegate/weather"
	"rimegate/weather/internal/table"
)

type tempState uint8

const (
	good tempState = iota
	missing
	bad // rejected already
)

// marks is what may stand around a temperature: a sign for "less than", a degree sign
// in any encoding or the word, and a unit.
var marks = regexp.MustCompile(`(?s)^(<?)[ \t]*(.*?)[ \t]*(?:(?:[^\x00-\x7f]| |(?i:degrees|deg))*([cCfF]))?$`)

// temperature reads the temperature of a row in °C. The error is for a file that does
// not say its unit.
func (p *reader) temperature(row table.Row) (c float64, below bool, st tempState, err error) {
	raw := row.Cell(p.col.temp)
	if table.MissingWord(raw) {
		return 0, false, missing, nil
	}
	reject := func(why string) (float64, bool, tempState, error) {
		p.Reject(weather.Quote(raw) + why)
		return 0, false, bad, nil
	}
	less, own, beside := "", "", ""
	v, ok := p.number(raw) // mostly it is a number and nothing else
	if !ok {
		m := marks.FindStringSubmatch(raw)
		less, own = m[1], strings.ToUpper(m[3])
		if v, ok = p.number(m[2]); !ok {
			return reject(" is not a temperature")
		}
	}
	if table.MissingNumber(v) {
		p.code(v)
		return 0, false, missing, nil
	}
	if p.col.unit >= 0 {
		beside = unitWord(row.Cell(p.col.unit))
	}
	unit := p.unit
	for _, said := range []string{own, beside} {
		if said != "" && unit != "" && said != unit {
			return reject(" is marked as " + name(said) + " in a column read as " + name(unit))
		}
		if said != "" {
			unit = said
		}
	}
	switch {
	case unit != "":
	case p.col.unit >= 0:
		p.Reject(fmt.Sprintf("the unit %s is neither C nor F", weather.Quote(row.Cell(p.col.unit))))
		return 0, false, bad, nil
	default:
		return 0, false, bad, table.Refuse(p.Num, fmt.Sprintf("the file does not say whether %s in the column %s is in °C or °F", weather.Quote(raw), weather.Quote(p.col.tempName)),
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
		return reject(" in " + name(unit) + " is no possible air temperature")
	case less != "" && c > 0:
		return reject(" does not say whether it froze")
	}
	return c, less != "" && c == 0, good, nil // less than anything lower: at most that
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

// dew reads the dew point of a row whose temperature is c, both in °C.
func (p *reader) dew(row table.Row, c float64) *float64 {
	return p.beside(row, p.col.dew, func(v float64) (float64, bool) {
		if p.col.dewUnit == "F" {
			v = weather.FtoC(v)
		}
		return v, weather.Possible(v) && v <= c+dewSlackC
	})
}

// wind reads the wind of a row in m/s.
func (p *reader) wind(row table.Row) *float64 {
	return p.beside(row, p.col.wind, func(v float64) (float64, bool) {
		v *= p.col.toMS
		return v, v >= 0 && v < table.MaxWindMS
	})
}

// beside reads a value beside the temperature. What cannot be so is left out and
// counted.
func (p *reader) beside(row table.Row, at int, convert func(float64) (float64, bool)) *float64 {
	cell := row.Cell(at)
	if table.MissingWord(cell) {
		return nil
	}
	v, ok := p.number(cell)
	if ok && table.MissingNumber(v) {
		return nil
	}
	if ok {
		v, ok = convert(v)
	}
	if !ok {
		p.unfit++
		return nil
	}
	return &v
}

// stamp reads when the row is of. why is empty if it is known.
func (p *reader) stamp(row table.Row) (s table.Stamp, why string) {
	c := &p.col
	read := func(at int, what string) (s table.Stamp, why string) {
		cell := row.Cell(at)
		s, ok := table.ParseStamp(cell)
		switch {
		case cell == "":
			why = "the " + what + " is empty"
		case !ok:
			why = weather.Quote(cell) + " is not a " + what
		}
		return s, why
	}
	switch {
	case c.night >= 0:
		s, why = read(c.night, "date")
		if why == "" && !s.HasDate {
			why = "the night has no date"
		}
		s.HasTime = false
		return s, why
	case c.stamp >= 0:
		s, why = read(c.stamp, "date and time")
	case c.year >= 0:
		s, why = p.threeParts(row)
	case c.date >= 0:
		s, why = read(c.date, "date")
	default:
		s, why = read(c.clock, "date and time")
	}
	if why == "" && c.stamp < 0 && max(c.date, c.year) >= 0 {
		switch {
		case c.clock >= 0:
			var t table.Stamp
			if t, why = read(c.clock, "time of day"); why == "" {
				why = addTime(&s, t, row.Cell(c.clock), "a time of day")
			}
		case c.hour >= 0 && !s.HasTime:
			cell := row.Cell(c.hour)
			t, ok := table.ParseStamp(cell)
			if h, whole := table.Whole(cell); whole && h <= 24 {
				t = table.Stamp{HasTime: true, Sec: h * 3600}
			} else if !ok || t.HasDate {
				t = table.Stamp{}
			}
			why = addTime(&s, t, cell, "an hour")
		}
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

// addTime adds the time of day that stands in a cell of its own, perhaps with the date
// once more.
func addTime(s *table.Stamp, t table.Stamp, cell, what string) (why string) {
	switch {
	case !t.HasTime:
		return weather.Quote(cell) + " is not " + what
	case t.HasDate:
		*s = t
	default:
		s.HasTime, s.Sec, s.Zoned, s.Off, s.Abbr = true, t.Sec, t.Zoned, t.Off, t.Abbr
	}
	return ""
}

// threeParts reads a date from columns of year, month and day.
func (p *reader) threeParts(row table.Row) (s table.Stamp, why string) {
	var n [3]int
	for i, at := range []int{p.col.year, p.col.month, p.col.day} {
		var ok bool
		if n[i], ok = table.Whole(row.Cell(at)); !ok {
			return s, weather.Quote(row.Cell(at)) + " is not a part of a date"
		}
	}
	day, ok := table.Day(n[0], n[1], n[2])
	if !ok {
		return s, fmt.Sprintf("there is no day %d-%02d-%02d", n[0], n[1], n[2])
	}
	return table.Stamp{HasDate: true, Day: day}, ""
}
