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
	"bytes"
	"fmt"
	"io"
	"time"

	"rimegate/weather"
	"rimegate/weather/internal/rows"
	"rimegate/weather/internal/table"
)

// Name is the name of the format.
const Name = "GHCNh"

// Options tells what the file itself does not say.
type Options = weather.Options

// Read reads a whole file.
func Read(r io.Reader, opt Options) (*weather.Result, error) {
	return weather.Collect(func(s weather.Sink) (*weather.Result, error) { return Stream(r, opt, s) })
}

type columns struct {
	station, name, date             int
	year, month, day, hour, minute  int
	temp, tempQC, tempSource        int
	dew, dewQC, dewSource           int
	wind, windQC, windSource, width int
}

func readHeader(line []byte) (columns, bool) {
	cells, err := rows.Split(bytes.Clone(line), '|')
	if err != nil || len(cells) < 4 {
		return columns{}, false
	}
	m := table.Columns(cells)
	at := func(keys ...string) int { return table.At(m, keys...) }
	c := columns{
		station: at("station", "stationid"), name: at("stationname", "name"), date: at("date"),
		year: at("year"), month: at("month"), day: at("day"), hour: at("hour"), minute: at("minute"),
		temp: at("temperature"), tempQC: at("temperaturequalitycode"), tempSource: at("temperaturesourcecode"),
		dew: at("dewpointtemperature"), dewQC: at("dewpointtemperaturequalitycode"), dewSource: at("dewpointtemperaturesourcecode"),
		wind: at("windspeed"), windQC: at("windspeedqualitycode"), windSource: at("windspeedsourcecode"),
		width: len(cells),
	}
	apart := c.year >= 0 && c.month >= 0 && c.day >= 0 && c.hour >= 0
	return c, c.temp >= 0 && (c.date >= 0 || apart)
}

// Stream reads a file row by row into the sink.
func Stream(r io.Reader, opt Options, sink weather.Sink) (*weather.Result, error) {
	if err := opt.Check(); err != nil {
		return nil, err
	}
	lines := rows.NewLines(r)
	first, err := table.FirstLine(lines)
	if err != nil && err != io.EOF {
		return nil, err
	}
	col, ok := readHeader(first)
	if !ok {
		return nil, table.Refuse(max(1, lines.Num()), "the header does not name temperature and a date, parted by |", "check that this is a GHCNh .psv file")
	}
	p := &reader{
		col: col, sink: sink, pick: rows.NewPick(opt.Station),
		res: &weather.Result{Format: Name, Unit: "degrees Celsius, by the format"},
	}
	if opt.Unit != "" {
		p.res.Note("the unit you gave was not used: the format is in degrees Celsius")
	}
	if err := table.Each(lines, p.res, p.row); err != nil {
		return nil, err
	}
	if what := p.pick.Problem(weather.Quote, p.name); what != "" {
		return nil, table.Refuse(0, what, "say which one to read")
	}
	if err := table.Finish(p.res, lines.Num()); err != nil {
		return nil, err
	}
	p.res.Station = weather.Clean(p.pick.Name()+" "+p.name, 60)
	p.bad.Note(p.res)
	return p.res, nil
}

type reader struct {
	col   columns
	res   *weather.Result
	sink  weather.Sink
	pick  *rows.Pick
	cells rows.Row
	name  string
	bad   table.Flagged
	stamp rows.Stamp
}

func (p *reader) row(at int, line []byte) error {
	p.res.Read++
	if err := p.cells.Split(line, '|'); err != nil {
		p.res.Reject(at, err.Error())
		return nil
	}
	if p.cells.Len() <= p.col.temp {
		p.res.Reject(at, fmt.Sprintf("the row has %s instead of %d", weather.Count(p.cells.Len(), "cell"), p.col.width))
		return nil
	}
	if p.col.station >= 0 {
		keep, forget := p.pick.Take(p.cell(p.col.station))
		if forget {
			p.res.Skipped += p.res.Kept + p.res.Rejected + p.res.Missing
			p.res.Kept, p.res.Rejected, p.res.Missing, p.res.Rejects = 0, 0, 0, nil
			p.bad, p.name = table.Flagged{}, ""
			p.sink.Forget()
		}
		if !keep {
			p.res.Skipped++
			return nil
		}
	}
	if p.name == "" && p.col.name >= 0 {
		p.name = string(p.cell(p.col.name))
	}
	c, missing, ok := table.Number(p.cell(p.col.temp))
	switch {
	case missing:
		p.res.Missing++
		return nil
	case !ok:
		p.res.Reject(at, weather.Quote(string(p.cell(p.col.temp)))+" is not a temperature")
		return nil
	case !weather.Possible(c):
		p.res.Reject(at, fmt.Sprintf("%s °C is no possible air temperature", weather.Quote(string(p.cell(p.col.temp)))))
		return nil
	}
	if !usable(p.cell(p.col.tempQC), p.cell(p.col.tempSource)) {
		p.bad.Add(c)
		p.res.Reject(at, fmt.Sprintf("failed the source's quality check %s", weather.Quote(string(p.cell(p.col.tempQC)))))
		return nil
	}
	t, ok := p.instant()
	if !ok {
		p.res.Reject(at, "the row has no date and time that exist")
		return nil
	}
	p.res.Kept++
	if p.sink.TempOnly {
		p.sink.EmitTemp(t, c)
		return nil
	}
	o := weather.Observation{At: time.Unix(t, 0).UTC(), TempC: c, HasTemp: true}
	if v, missing, ok := table.Number(p.cell(p.col.dew)); p.col.dew >= 0 && ok && !missing && weather.Possible(v) && usable(p.cell(p.col.dewQC), p.cell(p.col.dewSource)) {
		o.DewC = &v
	}
	if v, missing, ok := table.Number(p.cell(p.col.wind)); p.col.wind >= 0 && ok && !missing && v >= 0 && v < 120 && usable(p.cell(p.col.windQC), p.cell(p.col.windSource)) {
		o.WindMS = &v
	}
	p.sink.Emit(o)
	return nil
}

func (p *reader) cell(i int) []byte { return p.cells.Cell(i) }

func (p *reader) instant() (int64, bool) {
	if p.col.date >= 0 {
		s := &p.stamp
		if s.Parse(p.cell(p.col.date)) && s.HasDate && s.HasTime && !s.InNumbers && s.Zone != rows.ZoneAbbr {
			return rows.Days(s.Y, s.M, s.D)*86400 + int64(s.Sec) - int64(s.Off), true
		}
		if p.col.year < 0 {
			return 0, false
		}
	}
	var n [5]int
	for i, c := range []int{p.col.year, p.col.month, p.col.day, p.col.hour, p.col.minute} {
		if i == 4 && c < 0 {
			break
		}
		v, ok := rows.Number(p.cell(c), '.')
		if !ok || v != float64(int(v)) || v < 0 {
			return 0, false
		}
		n[i] = int(v)
	}
	if !rows.RealDay(n[0], n[1], n[2]) || n[3] > 23 || n[4] > 59 {
		return 0, false
	}
	return rows.Days(n[0], n[1], n[2])*86400 + int64(n[3]*3600+n[4]*60), true
}

// usable reports whether a value passed its source's checks. Sources 313 to 348
// carry the older archive's codes: digits, of which 2, 3, 6 and 7 are suspect or
// wrong, and letters of editors who accepted or replaced a value. All other
// letters name a check that failed.
func usable(qc, source []byte) bool {
	if len(qc) == 0 {
		return true
	}
	if len(qc) > 1 {
		return false
	}
	switch qc[0] {
	case '0', '1', '4', '5', '9':
		return true
	case 'A', 'C', 'I', 'M', 'P', 'R', 'U':
		n, ok := rows.Number(source, '.')
		return ok && n >= 313 && n <= 348
	}
	return false
}

// Sniff says why a file that begins with head is GHCNh, "" if it is not.
func Sniff(head []byte) string {
	line, _, _ := bytes.Cut(head, []byte{'\n'})
	if bytes.Count(line, []byte{'|'}) < 6 {
		return ""
	}
	if c, ok := readHeader(bytes.TrimSuffix(line, []byte{'\r'})); ok && (c.station >= 0 || c.tempQC >= 0) {
		return "its header is parted by | and names temperature and " + map[bool]string{true: "DATE", false: "Year to Minute"}[c.date >= 0]
	}
	return ""
}
