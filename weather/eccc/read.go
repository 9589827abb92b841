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
	"strings"

	"rimegate/weather"
	"rimegate/weather/internal/table"
)

// Names of the two formats.
const (
	HourlyName = "ECCC hourly"
	DailyName  = "ECCC daily"
)

// columns says where in a row the things are; -1 for nowhere. value is the
// temperature of an hourly file, the minimum of a daily one.
type columns struct {
	name, id, stamp      int
	value, flag          int
	dew, wind            int
	high, highFlag       int
	lat, lon, width      int
	hourly, flagged, utc bool
}

func readHeader(cells table.Row) (columns, bool) {
	m := table.Header(cells)
	c := columns{
		name: m.At("stationname"), id: m.At("climateid", "stationname"), stamp: m.At("datetimelst", "datetime", "datetimeutc"),
		value: m.At("mintempc"), flag: m.At("mintempflag"),
		dew: m.At("dewpointtempc"), wind: m.At("windspdkmh"),
		high: m.At("maxtempc"), highFlag: m.At("maxtempflag"),
		lat: m.At("latitudey", "latitude"), lon: m.At("longitudex", "longitude"), width: len(cells),
		utc: m.At("datetimelst", "datetime") < 0, flagged: m.At("tempflag", "mintempflag") >= 0,
	}
	if c.hourly = c.value < 0; c.hourly {
		c.value, c.flag = m.At("tempc"), m.At("tempflag")
	}
	return c, len(cells) >= 4 && c.stamp >= 0 && c.value >= 0
}

const maxPreamble = 60

type reader struct {
	*table.File
	col   columns
	place weather.Place
	clock *table.Clock
	days  weather.DailyLows

	estimated, below, above, incomplete int
}

// Stream reads a file row by row into the sink; the nights of a daily file are
// returned in the Result.
func Stream(r io.Reader, opt weather.Options, sink weather.Sink) (*weather.Result, error) {
	f, err := table.Open(r, DailyName, "degrees Celsius, by the header", opt, sink)
	if err != nil {
		return nil, err
	}
	p := &reader{File: f}
	if err := p.header(); err != nil {
		return nil, err
	}
	if p.col.hourly {
		f.Res.Format = HourlyName
		mode := table.ModeOffset
		if !p.col.utc {
			mode = table.ModeStandard
			f.Res.Note("times are Local Standard Time all year, read in the farm's zone without summer time")
		}
		p.clock = table.NewClock(opt.Loc, mode, 0)
	}
	if opt.Unit != "" && opt.Unit != "C" {
		f.Res.Note("the unit you gave was not used: the header says °C")
	}
	if err := f.Rows(',', p.row); err != nil {
		return nil, err
	}
	if err := f.Finish(); err != nil {
		return nil, err
	}
	if f.Res.Station = weather.Clean(f.Name, 60); f.Name == "" {
		f.Res.Station = weather.Clean(f.Station(), 60)
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
			f.Res.Note(weather.Count(n.count, "temperature") + n.words)
		}
	}
	if !p.col.hourly {
		f.Res.Note("a daily low is of the 24 hours from 06:00 to 06:00 UTC, which end in the late evening or early night")
		p.days.IntoAt(f.Res, DailyName, &p.place, opt)
	}
	return f.Res, nil
}

// header finds the line with the names. Older files have lines above it, one of them
// with the station's name.
func (p *reader) header() error {
	for range maxPreamble {
		line, err := p.Head()
		if err == io.EOF {
			break
		}
		if err != nil {
			return err
		}
		cells, err := p.Split(line, ',')
		if err != nil {
			continue
		}
		if len(cells) == 2 && table.Key(cells[0]) == "stationname" {
			p.Name = cells.Cell(1)
		}
		var found bool
		if p.col, found = readHeader(cells); found {
			return nil
		}
	}
	return table.Refuse(max(1, p.Num), "no line names Date/Time and Temp (°C) or Min Temp (°C)", "save the English bulk file of hourly or daily data")
}

func (p *reader) row(row table.Row) error {
	col := &p.col
	if col.id >= 0 && !p.Take(row.Cell(col.id), p.forget) {
		return nil
	}
	if p.Name == "" {
		p.Name = row.Cell(col.name)
	}
	stamp, dated := table.ParseStamp(row.Cell(col.stamp))
	dated = dated && stamp.HasDate && !stamp.InNumbers
	end := 0.0
	if !col.hourly && dated {
		y, _, _ := stamp.Day.Civil()
		end = 30 + float64(table.StandardOffset(p.Opt.Loc, y))/3600
		p.highest(row, &stamp, end)
	}
	if len(row) <= col.value {
		p.Reject(fmt.Sprintf("the row has %s instead of %d", weather.Count(len(row), "cell"), col.width))
		return nil
	}
	c, state := p.temperature(row.Cell(col.value), row.Cell(col.flag))
	switch {
	case state == missing:
		p.Res.Missing++
	case state == bad:
	case !dated || col.hourly && !stamp.HasTime:
		p.Reject(weather.Quote(row.Cell(col.stamp)) + " is not a date and time like 2016-01-01 05:00")
	case col.hourly:
		p.hour(row, &stamp, c, state)
	case state == above:
		p.above++
		p.Res.Missing++
	default:
		p.day(row, weather.Daily{Day: stamp.Day, MinC: c, EndHour: end}, state)
	}
	return nil
}

// day keeps a daily minimum.
func (p *reader) day(row table.Row, d weather.Daily, state tempState) {
	d.HasC, d.Below = state != below, state == below
	d.Rough = state == good && row.Cell(p.col.flag) != ""
	if d.Below {
		p.below++
	}
	if state == partial {
		p.incomplete++
		d.Partial, d.Note = true, "the day is incomplete"
	}
	p.Res.Kept++
	p.days.Add(d)
}

// highest keeps the place of the station and the day's maximum, for the hours
// reconstructed from daily extremes. A maximum with any flag is passed over.
func (p *reader) highest(row table.Row, stamp *table.Stamp, end float64) {
	if p.place == (weather.Place{}) {
		p.place = row.Place(p.col.lat, p.col.lon)
	}
	c := row.Between(p.col.high, 1, weather.MinPossibleC, weather.MaxPossibleC)
	if c != nil && row.Cell(p.col.highFlag) == "" {
		p.days.AddMax(stamp.Day, *c, end)
	}
}

// hour hands on an hourly reading.
func (p *reader) hour(row table.Row, stamp *table.Stamp, c float64, state tempState) {
	at, why := p.clock.Instant(stamp)
	if why != "" {
		p.Reject(why)
		return
	}
	o := weather.Observation{At: at, TempC: c, HasTemp: state == good || state == partial}
	if sign := state == below; !o.HasTemp {
		o.BelowZero = &sign
		if sign {
			p.below++
		} else {
			p.above++
		}
	}
	if !p.Sink.TempOnly {
		o.DewC, o.WindMS = row.DewC(p.col.dew), row.WindMS(p.col.wind, 1/3.6)
	}
	p.Res.Kept++
	p.Sink.Emit(o)
}

func (p *reader) forget() {
	p.estimated, p.below, p.above, p.incomplete = 0, 0, 0, 0
	p.place = weather.Place{}
	p.days.Reset()
}

type tempState uint8

const (
	good tempState = iota
	missing
	bad     // rejected already
	below   // known to be below zero, no number
	above   // known to be above zero, no number
	partial // of an incomplete day
)

// temperature reads a cell with its flag.
func (p *reader) temperature(cell, flag string) (c float64, st tempState) {
	switch flag {
	case "M":
		return 0, missing
	case "Y":
		return 0, below
	case "N":
		return 0, above
	case "^":
		st = partial
	}
	c, none, ok := table.Value(cell)
	switch {
	case none:
		return 0, missing
	case !ok:
		p.Reject(weather.Quote(cell) + " is not a temperature")
		return 0, bad
	case !weather.Possible(c):
		p.Reject(weather.Quote(cell) + " °C is no possible air temperature")
		return 0, bad
	case flag == "E":
		p.estimated++
	}
	return c, st
}

// Sniff says why a file that begins with head is of this source, "" if it is
// not.
func Sniff(head []byte) string {
	for i := 0; i < maxPreamble && len(head) > 0; i++ {
		var line []byte
		line, head, _ = bytes.Cut(head, []byte{'\n'})
		c, ok := readHeader(strings.Split(string(line), ","))
		switch {
		case !ok || !c.flagged:
		case c.hourly:
			return "its header names Date/Time, Temp (°C) and Temp Flag"
		default:
			return "its header names Date/Time, Min Temp (°C) and Min Temp Flag"
		}
	}
	return ""
}
