// Package eccc reads the bulk CSV of Environment and Climate Change Canada's
// historical climate data, hourly and daily.
//
// Hourly stamps are Local Standard Time all year, or UTC where the header says so. The daily minimum is that of
// the climate day, 06:00 to 06:00 UTC since 1 July 1961 (Zaknic-Catovic and
// Gough, "A comparison of climatological observing windows and their impact on
// detecting daily temperature extrema", Theoretical and Applied Climatology,
// 2018, doi 10.1007/s00704-017-2068-y): in British Columbia it begins at 22:00 of
// the evening before.
//
// Columns and flags: climate.weather.gc.ca bulk data, as described by
// https://siang.ca/2017/11/30/Weather.html and the table of flags of the R package
// weathercan, https://github.com/ropensci/weathercan . Columns are matched by name. The
// French files have their own names, the same letters of flags beside each value, and
// decimal commas (names of the daily file from memory).
// Data: Contains information licensed under the Open Government Licence - Canada.
package eccc

import (
	"fmt"
	"strings"

	"rimegate/weather"
	"rimegate/weather/internal/table"
)

// Format is the bulk CSV, hourly or daily.
var Format = table.Format{
	Key: "eccc", Name: "ECCC daily", Unit: "degrees Celsius, by the header", Own: "the header says °C", Sniff: sniff, Read: stream,
}

// columns says where in a row the things are; -1 for nowhere. value is the
// temperature of an hourly file, the minimum of a daily one.
type columns struct {
	name, id, stamp int
	value, flag     int
	dew, wind       int
	high, highFlag  int
	lat, lon, width int
	hourly, flagged bool
	utc, french     bool
}

func readHeader(cells table.Row) (columns, bool) {
	m := table.Header(cells)
	c := columns{
		name: m.At("stationname", "nomdelastation"), id: m.At("climateid", "stationname", "idclimatologique", "nomdelastation"),
		stamp: m.At("datetimelst", "datetimeutc", "datetime", "dateheurehnl", "dateheureutc", "dateheure"),
		value: m.At("mintempc", "tempminc"), flag: m.At("mintempflag"),
		dew: m.At("dewpointtempc", "pointderosec"), wind: m.At("windspdkmh", "vitduventkmh"),
		high: m.At("maxtempc", "tempmaxc"), highFlag: m.At("maxtempflag"),
		lat: m.At("latitudey", "latitude"), lon: m.At("longitudex", "longitude"), width: len(cells),
	}
	if c.hourly = c.value < 0; c.hourly {
		c.value, c.flag = m.At("tempc"), m.At("tempflag")
	}
	stamp := table.Key(cells.Cell(c.stamp))
	if c.french = strings.HasPrefix(stamp, "dateheure"); c.french {
		c.flag, c.highFlag = frenchFlag(cells, c.value), frenchFlag(cells, c.high)
	}
	c.utc, c.flagged = strings.HasSuffix(stamp, "utc"), c.flag >= 0
	return c, len(cells) >= 4 && c.stamp >= 0 && c.value >= 0 && (c.flagged || !c.french)
}

// frenchFlag is the place of the flag of a value, the next column; -1 for none.
func frenchFlag(cells table.Row, value int) int {
	if value < 0 || !strings.Contains(table.Key(cells.Cell(value+1)), "indicateur") {
		return -1
	}
	return value + 1
}

// decimals turns the decimal commas of a row into points.
func (c *columns) decimals(row table.Row) {
	for _, i := range []int{c.value, c.high, c.dew, c.wind, c.lat, c.lon} {
		if i >= 0 && i < len(row) {
			row[i] = strings.Replace(row[i], ",", ".", 1)
		}
	}
}

const maxPreamble = 60

type reader struct {
	*table.File
	col   columns
	place weather.Place
	clock *table.Clock
	days  weather.DailyLows
	flags map[string]int // temperatures by their flags
}

// remarks are what is said of temperatures with a flag.
var remarks = []struct{ flag, words string }{
	{"E", " marked as estimated and kept"},
	{"Y", " below zero without a number: frost is known, how hard is not"},
	{"N", " above zero without a number, not taken as a reading"},
	{"^", " from an incomplete day: it can show a frost, not a mild night"},
}

func stream(f *table.File) (*weather.Result, error) {
	p := &reader{File: f, clock: table.NewClock(f.Opt.Loc, table.ModeStandard, 0), flags: map[string]int{}}
	err := f.Header(maxPreamble, ',', "no line names Date/Time and Temp (°C) or Min Temp (°C)", "save the bulk file of hourly or daily data, English or French",
		func(cells table.Row) (found bool) {
			if key := table.Key(cells[0]); len(cells) == 2 && (key == "stationname" || key == "nomdelastation") { // older files have lines above the header
				p.Name = cells.Cell(1)
			}
			p.col, found = readHeader(cells)
			return found
		})
	if err != nil {
		return nil, err
	}
	if p.col.hourly {
		f.Res.Format = "ECCC hourly"
		if p.col.utc {
			p.clock = table.NewClock(f.Opt.Loc, table.ModeOffset, 0)
		} else {
			f.Res.Note("times are Local Standard Time all year, read in the farm's zone without summer time")
		}
	}
	res, err := f.Rows(',', p.row)
	if err != nil {
		return nil, err
	}
	if f.Name != "" {
		res.Station = weather.Clean(f.Name, 60)
	}
	for _, x := range remarks {
		if n := p.flags[x.flag]; n > 0 && (x.flag != "^" || !p.col.hourly) {
			res.Note(weather.Count(n, "temperature") + x.words)
		}
	}
	if !p.col.hourly {
		res.Note("a daily low is of the 24 hours from 06:00 to 06:00 UTC, which end in the late evening or early night")
		p.days.Into(res, &p.place, f.Opt)
	}
	return res, nil
}

func (p *reader) row(row table.Row) error {
	col := &p.col
	if col.french {
		col.decimals(row)
	}
	if col.id >= 0 && !p.Take(row.Cell(col.id), p.forget) {
		return nil
	}
	if p.Name == "" {
		p.Name = row.Cell(col.name)
	}
	stamp, dated := table.ParseStamp(row.Cell(col.stamp))
	dated = dated && stamp.HasDate && !stamp.InNumbers
	end := 0.0 // of the climate day
	if !col.hourly && dated {
		y, _, _ := stamp.Day.Civil()
		end = 30 + float64(table.StandardOffset(p.Opt.Loc, y))/3600
		p.highest(row, &stamp, end)
	}
	if len(row) <= col.value {
		p.Reject(fmt.Sprintf("the row has %s instead of %d", weather.Count(len(row), "cell"), col.width))
		return nil
	}
	c, sign, flag := 0.0, false, row.Cell(col.flag)
	switch flag {
	case "M":
		p.Res.Missing++
		return nil
	case "Y", "N": // known to be below or above zero, no number
		sign = true
	default:
		var ok bool
		if c, ok = p.Temp(row.Cell(col.value)); !ok {
			return nil
		}
	}
	if !dated || col.hourly && !stamp.HasTime {
		p.Reject(weather.Quote(row.Cell(col.stamp)) + " is not a date and time like 2016-01-01 05:00")
		return nil
	}
	if strings.Contains("EYN^", flag) && flag != "" {
		p.flags[flag]++
	}
	switch {
	case col.hourly:
		return p.hour(row, &stamp, c, flag)
	case flag == "N":
		p.Res.Missing++
		return nil
	}
	d := weather.Daily{Day: stamp.Day, MinC: c, HasC: !sign, Below: sign, EndHour: end}
	if d.Rough = !sign && flag != ""; flag == "^" {
		d.Partial, d.Rough, d.Note = true, false, "the day is incomplete"
	}
	p.Res.Kept++
	p.days.Add(d)
	return nil
}

// highest keeps the place of the station and the day's maximum, for the hours
// reconstructed from daily extremes. A maximum with any flag is passed over.
func (p *reader) highest(row table.Row, stamp *table.Stamp, end float64) {
	if p.place == (weather.Place{}) {
		p.place = row.Place(p.col.lat, p.col.lon)
	}
	if c := row.DegreesC(p.col.high); c != nil && row.Cell(p.col.highFlag) == "" {
		p.days.AddMax(stamp.Day, *c, end)
	}
}

// hour hands on an hourly reading, or its sign where it has no number.
func (p *reader) hour(row table.Row, stamp *table.Stamp, c float64, flag string) error {
	at, why := p.clock.Instant(stamp)
	if why != "" {
		p.Reject(why)
		return nil
	}
	o := weather.Observation{At: at, TempC: c, HasTemp: flag != "Y" && flag != "N", Below: flag == "Y"}
	if !p.Sink.TempOnly {
		o.DewC, o.WindMS = row.DegreesC(p.col.dew), row.WindMS(p.col.wind, 1/3.6)
	}
	p.Res.Kept++
	if o.HasTemp || o.Below || o.DewC != nil || o.WindMS != nil {
		p.Sink.Observe(o)
	}
	return nil
}

func (p *reader) forget() {
	clear(p.flags)
	p.place = weather.Place{}
	p.days.Reset()
}

// sniff says why a file that begins with head is of this source, "" if it is
// not.
func sniff(head []byte) string {
	for _, line := range table.Lines(head, maxPreamble) {
		c, ok := readHeader(strings.Split(line, ","))
		switch {
		case !ok || !c.flagged:
		case c.french:
			return "its header names Date/Heure, Temp (°C) or Temp min. (°C), and Indicateur"
		case c.hourly:
			return "its header names Date/Time, Temp (°C) and Temp Flag"
		default:
			return "its header names Date/Time, Min Temp (°C) and Min Temp Flag"
		}
	}
	return ""
}
