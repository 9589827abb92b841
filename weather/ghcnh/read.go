// Package ghcnh reads GHCNh, the hourly archive of the United States National
// Centers for Environmental Information (NCEI): pipe-separated text with a
// header, times in UTC, temperatures in °C. Two generations of headers are about,
// one with a DATE and one with year, month, day, hour and minute apart; columns
// are matched by name whatever their case.
//
// Format: NCEI, Global Historical Climatology Network - Hourly,
// https://www.ncei.noaa.gov/oa/global-historical-climatology-network/ ; the quality
// codes (below) were read in a third party's summary of its documentation. Data:
// public domain in the United States.
package ghcnh

import (
	"fmt"
	"strings"
	"time"

	"rimegate/weather"
	"rimegate/weather/internal/table"
)

// Format is GHCNh.
var Format = table.Format{
	Key: "ghcnh", Name: "GHCNh", Unit: "degrees Celsius, by the format", Own: "the format is in degrees Celsius", Sniff: sniff, Read: stream,
}

// columns says where in a row the things are; -1 for nowhere.
type columns struct {
	station, name, date            int
	year, month, day, hour, minute int
	temp, dew, wind                quantity
	width                          int
}

// quantity is a value with the code and source by which it is judged.
type quantity struct{ value, qc, source int }

func readHeader(cells table.Row) (columns, bool) {
	m := table.Header(cells)
	quantityOf := func(key string) quantity {
		return quantity{m.At(key), m.At(key + "qualitycode"), m.At(key + "sourcecode")}
	}
	c := columns{
		station: m.At("station", "stationid"), name: m.At("stationname", "name"), date: m.At("date"),
		year: m.At("year"), month: m.At("month"), day: m.At("day"), hour: m.At("hour"), minute: m.At("minute"),
		temp: quantityOf("temperature"), dew: quantityOf("dewpointtemperature"), wind: quantityOf("windspeed"),
		width: len(cells),
	}
	return c, len(cells) >= 4 && c.temp.value >= 0 && (c.date >= 0 || min(c.year, c.month, c.day, c.hour) >= 0)
}

type reader struct {
	*table.File
	col columns
}

func stream(f *table.File) (*weather.Result, error) {
	p := &reader{File: f}
	f.Bare = true // remarks have what the report had
	err := f.Header(1, '|', "the header does not name temperature and a date, parted by |", "check that this is a GHCNh .psv file",
		func(cells table.Row) (found bool) {
			p.col, found = readHeader(cells)
			return found
		})
	if err != nil {
		return nil, err
	}
	return f.Rows('|', p.row)
}

func (p *reader) row(row table.Row) error {
	col := &p.col
	if len(row) <= max(col.temp.value, col.temp.qc) { // also one cut off in the middle of a number
		p.Reject(fmt.Sprintf("the row has %s instead of %d", weather.Count(len(row), "cell"), col.width))
		return nil
	}
	if col.station >= 0 && !p.Take(row.Cell(col.station), func() {}) {
		return nil
	}
	if p.Name == "" {
		p.Name = row.Cell(col.name)
	}
	c, ok := p.Temp(row.Cell(col.temp.value))
	if !ok {
		return nil
	}
	at, ok := col.instant(row)
	switch {
	case !col.temp.usable(row):
		p.Doubted("", c, row.Cell(col.temp.qc))
		if ok {
			p.Doubt(at, c)
		}
	case !ok:
		p.Reject("the row has no date and time that exist")
	default:
		o := weather.Observation{At: at, TempC: c, HasTemp: true}
		if !p.Sink.TempOnly && col.dew.usable(row) {
			o.DewC = row.DegreesC(col.dew.value)
		}
		if !p.Sink.TempOnly && col.wind.usable(row) {
			o.WindMS = row.WindMS(col.wind.value, 1)
		}
		p.Res.Kept++
		p.Sink.Observe(o)
	}
	return nil
}

// instant reads when a row is of.
func (c *columns) instant(row table.Row) (time.Time, bool) {
	if c.date >= 0 {
		s, ok := table.ParseStamp(row.Cell(c.date))
		if ok = ok && s.Exact(); ok || c.year < 0 {
			return s.UTC(), ok
		}
	}
	var n [5]int
	for i, at := range []int{c.year, c.month, c.day, c.hour, c.minute} {
		var ok bool
		if n[i], ok = table.Whole(row.Cell(at)); !ok && (i < 4 || at >= 0) {
			return time.Time{}, false
		}
	}
	day, ok := table.Day(n[0], n[1], n[2])
	s := table.Stamp{Day: day, Sec: n[3]*3600 + n[4]*60}
	return s.UTC(), ok && n[3] <= 23 && n[4] <= 59
}

// usable reports whether a value passed its source's checks. Sources 313 to 348
// carry the older archive's codes: digits, of which 2, 3, 6 and 7 are suspect or
// wrong, and letters of editors who accepted or replaced a value. All other
// letters name a check that failed.
func (q quantity) usable(row table.Row) bool {
	switch qc := row.Cell(q.qc); qc {
	case "", "0", "1", "4", "5", "9":
		return true
	case "A", "C", "I", "M", "P", "R", "U":
		n, ok := table.Number(row.Cell(q.source))
		return ok && n >= 313 && n <= 348
	}
	return false
}

// sniff says why a file that begins with head is GHCNh, "" if it is not.
func sniff(head []byte) string {
	c, ok := readHeader(strings.Split(table.Lines(head, 1)[0], "|"))
	if !ok || c.width < 7 || c.station < 0 && c.temp.qc < 0 {
		return ""
	}
	return "its header is parted by | and names temperature and " + map[bool]string{true: "DATE", false: "Year to Minute"}[c.date >= 0]
}
