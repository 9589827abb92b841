// Package eccc reads the bulk CSV of Environment and Climate Change Canada's
// historical climate data, hourly and daily.
//
// Hourly stamps are Local Standard Time all year. The daily minimum is that of
// the climate day, 06:00 to 06:00 UTC since 1 July 1961 (Zaknic-Catovic and
// Gough, "A comparison of climatological observing windows and their impact on
// detecting daily temperature extrema", Theoretical and Applied Climatology,
// 2018, doi 10.1007/s00704-017-2068-y): in British Columbia it begins at 22:00 of
// the evening before.
//
// Columns and flags: climate.weather.gc.ca bulk data, as described by
// https://siang.ca/2017/11/30/Weather.html and the table of flags of the R package
// weathercan, https://github.com/ropensci/weathercan . Columns are matched by name.
// Data: Contains information licensed under the Open Government Licence - Canada.
package eccc

import (
	"bytes"
	"fmt"
	"io"
	"time"

	"rimegate/fields"
	"rimegate/weather"
	"rimegate/weather/internal/rows"
	"rimegate/weather/internal/table"
)

// Names of the two formats.
const (
	HourlyName = "ECCC hourly"
	DailyName  = "ECCC daily"
)

// Options tells what the file itself does not say.
type Options = weather.Options

// Read reads a whole file, hourly or daily by its header.
func Read(r io.Reader, opt Options) (*weather.Result, error) {
	return weather.Collect(func(s weather.Sink) (*weather.Result, error) { return Stream(r, opt, s) })
}

type columns struct {
	name, id, stamp              int
	temp, tempFlag               int
	dew, dewFlag, wind, windFlag int
	low, lowFlag                 int
	high, highFlag               int
	lat, lon                     int
	hourly, utc                  bool
	width                        int
}

func readHeader(line []byte) (columns, bool) {
	cells, err := rows.Split(bytes.Clone(line), ',')
	if err != nil || len(cells) < 4 {
		return columns{}, false
	}
	m := table.Columns(cells)
	at := func(keys ...string) int { return table.At(m, keys...) }
	c := columns{
		name: at("stationname"), id: at("climateid"), stamp: at("datetimelst", "datetime", "datetimeutc"),
		temp: at("tempc"), tempFlag: at("tempflag"),
		dew: at("dewpointtempc"), dewFlag: at("dewpointtempflag"),
		wind: at("windspdkmh"), windFlag: at("windspdflag"),
		low: at("mintempc"), lowFlag: at("mintempflag"), high: at("maxtempc"), highFlag: at("maxtempflag"),
		lat: at("latitudey", "latitude"), lon: at("longitudex", "longitude"), width: len(cells),
	}
	c.utc = c.stamp >= 0 && table.Key(cells[c.stamp]) == "datetimeutc"
	c.hourly = c.temp >= 0 && c.low < 0
	return c, c.stamp >= 0 && (c.temp >= 0 || c.low >= 0)
}

const maxPreamble = 60

// Stream reads a file row by row into the sink; the nights of a daily file are
// returned in the Result.
func Stream(r io.Reader, opt Options, sink weather.Sink) (*weather.Result, error) {
	if err := opt.Check(); err != nil {
		return nil, err
	}
	lines := rows.NewLines(r)
	p := &reader{sink: sink, pick: rows.NewPick(opt.Station), opt: opt, loc: opt.Loc, res: &weather.Result{Unit: "degrees Celsius, by the header"}}
	found := false
	for i := 0; i < maxPreamble && !found; i++ {
		line, err := table.FirstLine(lines)
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, err
		}
		p.preamble(line)
		p.col, found = readHeader(line)
	}
	if !found {
		return nil, table.Refuse(max(1, lines.Num()), "no line names Date/Time and Temp (°C) or Min Temp (°C)", "save the English bulk file of hourly or daily data")
	}
	p.res.Format = DailyName
	if p.col.hourly {
		p.res.Format = HourlyName
		mode := rows.ModeStandard
		if p.col.utc {
			mode = rows.ModeOffset
		} else {
			p.res.Note("times are Local Standard Time all year, read in the farm's zone without summer time")
		}
		p.clock = rows.NewClock(opt.Loc, mode, 0)
	}
	if opt.Unit != "" && opt.Unit != "C" {
		p.res.Note("the unit you gave was not used: the header says °C")
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
	if p.name != "" {
		p.res.Station = weather.Clean(p.name, 60)
	} else {
		p.res.Station = weather.Clean(p.pick.Name(), 60)
	}
	for _, n := range []struct {
		count int
		words string
	}{
		{p.estimated, " marked as estimated and kept"},
		{p.below, " below zero without a number: frost is known, how hard is not"},
		{p.above, " above zero without a number, not taken as a reading"},
		{p.incomplete, " from an incomplete day: it can show a frost, not a mild night"},
	} {
		if n.count > 0 {
			p.res.Note(weather.Count(n.count, "temperature") + n.words)
		}
	}
	if !p.col.hourly {
		p.res.Note("a daily low is of the 24 hours from 06:00 to 06:00 UTC, which end in the late evening or early night")
		p.days.IntoAt(p.res, DailyName, &p.place, opt)
	}
	return p.res, nil
}

type reader struct {
	col   columns
	res   *weather.Result
	sink  weather.Sink
	pick  *rows.Pick
	opt   Options
	loc   *time.Location
	place weather.Place
	clock *rows.Clock
	stamp rows.Stamp
	days  weather.DailyLows
	cells rows.Row
	name  string

	estimated, below, above, incomplete int
}

// preamble picks the station's name out of the lines above the header that
// older files have.
func (p *reader) preamble(line []byte) {
	cells, err := rows.Split(bytes.Clone(line), ',')
	if err == nil && len(cells) == 2 && table.Key(cells[0]) == "stationname" {
		p.name = string(rows.Trim(cells[1]))
	}
}

func (p *reader) cell(i int) []byte { return p.cells.Cell(i) }

func (p *reader) row(at int, line []byte) error {
	if err := p.cells.Split(line, ','); err != nil {
		p.res.Read++
		p.res.Reject(at, err.Error())
		return nil
	}
	if p.cells.Blank(0) {
		return nil
	}
	p.res.Read++
	id := p.col.id
	if id < 0 {
		id = p.col.name
	}
	if id >= 0 {
		keep, forget := p.take(p.cell(id))
		if forget {
			p.forget()
		}
		if !keep {
			p.res.Skipped++
			return nil
		}
	}
	if p.name == "" && p.col.name >= 0 {
		p.name = string(p.cell(p.col.name))
	}
	if !p.col.hourly {
		p.highest()
	}
	tempCol, flagCol := p.col.temp, p.col.tempFlag
	if !p.col.hourly {
		tempCol, flagCol = p.col.low, p.col.lowFlag
	}
	if p.cells.Len() <= tempCol {
		p.res.Reject(at, fmt.Sprintf("the row has %s instead of %d", weather.Count(p.cells.Len(), "cell"), p.col.width))
		return nil
	}
	c, state, why := p.temperature(p.cell(tempCol), p.cell(flagCol))
	switch state {
	case missing:
		p.res.Missing++
		return nil
	case bad:
		p.res.Reject(at, why)
		return nil
	}
	s := &p.stamp
	ok := s.Parse(p.cell(p.col.stamp))
	if !ok || !s.HasDate || s.InNumbers || p.col.hourly && !s.HasTime {
		p.res.Reject(at, weather.Quote(string(p.cell(p.col.stamp)))+" is not a date and time like 2016-01-01 05:00")
		return nil
	}
	if p.col.hourly {
		return p.hour(at, s, c, state)
	}
	day := fields.MakeDate(s.Y, time.Month(s.M), s.D)
	off := rows.StandardOffset(p.loc, s.Y)
	d := weather.Daily{Day: day, MinC: c, HasC: state != below, Below: state == below, EndHour: 30 + float64(off)/3600, Rough: state == good && len(p.cell(p.col.lowFlag)) > 0}
	if state == below {
		p.below++
	}
	if state == above {
		p.above++
		p.res.Missing++
		return nil
	}
	if state == partial {
		p.incomplete++
		d.Partial, d.Note = true, "the day is incomplete"
	}
	p.res.Kept++
	p.days.Add(d)
	return nil
}

// highest keeps the place of the station and the day's maximum, for the hours
// reconstructed from daily extremes. A maximum with any flag is passed over.
func (p *reader) highest() {
	if p.place == (weather.Place{}) {
		p.place = table.Place(p.cell(p.col.lat), p.cell(p.col.lon))
	}
	v, missing, ok := table.Number(p.cell(p.col.high))
	if !ok || missing || !weather.Possible(v) || len(p.cell(p.col.highFlag)) > 0 || !p.stamp.Parse(p.cell(p.col.stamp)) || !p.stamp.HasDate || p.stamp.InNumbers {
		return
	}
	day := fields.MakeDate(p.stamp.Y, time.Month(p.stamp.M), p.stamp.D)
	p.days.AddMax(day, v, 30+float64(rows.StandardOffset(p.loc, p.stamp.Y))/3600)
}

func (p *reader) hour(at int, s *rows.Stamp, c float64, state tempState) error {
	t, why := p.clock.Unix(s)
	if why != "" {
		p.res.Reject(at, why)
		return nil
	}
	o := weather.Observation{At: time.Unix(t, 0).UTC(), TempC: c, HasTemp: state == good || state == partial}
	if state == below || state == above {
		sign := state == below
		o.TempC, o.BelowZero = 0, &sign
		if sign {
			p.below++
		} else {
			p.above++
		}
	}
	if !p.sink.TempOnly {
		if v, missing, ok := table.Number(p.cell(p.col.dew)); p.col.dew >= 0 && ok && !missing && weather.Possible(v) {
			o.DewC = &v
		}
		if v, missing, ok := table.Number(p.cell(p.col.wind)); p.col.wind >= 0 && ok && !missing && v >= 0 && v < 400 {
			v /= 3.6
			o.WindMS = &v
		}
	}
	p.res.Kept++
	if p.sink.TempOnly && o.HasTemp {
		p.sink.EmitTemp(t, c)
	} else {
		p.sink.Emit(o)
	}
	return nil
}

func (p *reader) take(id []byte) (keep, forget bool) { return p.pick.Take(id) }

func (p *reader) forget() {
	p.res.Skipped += p.res.Kept + p.res.Rejected + p.res.Missing
	p.res.Kept, p.res.Rejected, p.res.Missing, p.res.Rejects = 0, 0, 0, nil
	p.estimated, p.below, p.above, p.incomplete = 0, 0, 0, 0
	p.name, p.place = "", weather.Place{}
	p.days.Reset()
	p.sink.Forget()
}

type tempState uint8

const (
	good tempState = iota
	missing
	bad
	below   // known to be below zero, no number
	above   // known to be above zero, no number
	partial // of an incomplete day
)

// temperature reads a cell with its flag.
func (p *reader) temperature(cell, flag []byte) (c float64, st tempState, why string) {
	if len(flag) == 1 {
		switch flag[0] {
		case 'M':
			return 0, missing, ""
		case 'Y':
			return 0, below, ""
		case 'N':
			return 0, above, ""
		}
	}
	v, isMissing, ok := table.Number(cell)
	switch {
	case isMissing:
		return 0, missing, ""
	case !ok:
		return 0, bad, weather.Quote(string(cell)) + " is not a temperature"
	case !weather.Possible(v):
		return 0, bad, weather.Quote(string(cell)) + " °C is no possible air temperature"
	}
	switch {
	case bytes.Equal(flag, []byte{'E'}):
		p.estimated++
	case bytes.Equal(flag, []byte{'^'}):
		return v, partial, ""
	}
	return v, good, ""
}

// Sniff says why a file that begins with head is of this source, "" if it is
// not.
func Sniff(head []byte) string {
	rest := head
	for i := 0; i < maxPreamble && len(rest) > 0; i++ {
		var line []byte
		line, rest, _ = bytes.Cut(rest, []byte{'\n'})
		c, ok := readHeader(bytes.TrimSuffix(line, []byte{'\r'}))
		if !ok || c.tempFlag < 0 && c.lowFlag < 0 {
			continue
		}
		if c.hourly {
			return "its header names Date/Time, Temp (°C) and Temp Flag"
		}
		return "its header names Date/Time, Min Temp (°C) and Min Temp Flag"
	}
	return ""
}
