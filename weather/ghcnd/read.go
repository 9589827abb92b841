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
	"fmt"
	"io"
	"strings"

	"rimegate/fields"
	"rimegate/fields/lazy"
	"rimegate/weather"
	"rimegate/weather/internal/table"
)

// Format is GHCN-Daily. Its sink is not fed: the format gives a minimum a day, and the
// days of one station fit in memory whatever the file's length.
var Format = table.Format{
	Key: "ghcnd", Name: "GHCN-Daily", Unit: "degrees Celsius (tenths in the file, by the format)",
	Own: "the format is in tenths of a degree Celsius", Sniff: sniff, Read: stream,
}

type reader struct {
	*table.File
	days  weather.DailyLows
	split bool // some rows had no observation time
	place weather.Place
	maxID string // station of the maxima

	toC      func(float64) float64 // from the file's unit
	inTenths bool                  // of °C, in whole numbers
}

func stream(f *table.File) (*weather.Result, error) {
	first, err := f.Head()
	if err == io.EOF {
		return nil, table.Refuse(1, "there is no row of data", "check that the whole file was saved")
	}
	if err != nil {
		return nil, err
	}
	p := &reader{File: f, toC: tenths, inTenths: true}
	var res *weather.Result
	switch {
	case isMonth().MatchString(first):
		f.Again(first)
		res, err = f.Finish(f.Each(p.month))
	case isByYearHeader(first):
		res, err = f.Rows(',', p.byYear)
	case isByYear().MatchString(first):
		f.Again(first)
		res, err = f.Rows(',', p.byYear)
	default:
		res, err = p.access(first)
	}
	if err != nil {
		return nil, err
	}
	if p.split {
		res.Note("rows without a time of observation: a low may be from the evening of its date")
	}
	if p.maxID != "" && !strings.EqualFold(p.maxID, p.Station()) {
		p.days.ForgetMaxes()
	}
	p.days.Into(res, &p.place, f.Opt)
	return res, nil
}

// take takes or skips a row by its station.
func (p *reader) take(id string) bool {
	return p.Take(id, func() {
		p.days.ResetLows()
		p.place = weather.Place{}
		p.split = false
	})
}

// flags are what a file says beside a value: the flags of its measurement and
// quality ("" for none), and when it was observed.
type flags struct{ measured, failed, hour string }

// attributes takes apart "M,Q,S[,HHMM]".
func attributes(cell string) flags {
	parts := append(strings.Split(cell, ","), "", "", "")
	return flags{strings.TrimSpace(parts[0]), strings.TrimSpace(parts[1]), strings.TrimSpace(parts[3])}
}

// number reads a value in the file's unit. Only -9999 and 9999 mean "no value"
// here: -99 is -9.9 °C in tenths.
func number(cell string) (v float64, missing, ok bool) {
	if table.MissingWord(cell) {
		return 0, true, true
	}
	v, ok = table.Number(cell)
	return v, v == -9999 || v == 9999, ok
}

func tenths(v float64) float64 { return v / 10 }

// minimum stores the cell of a minimum. where is said before what is wrong with it.
func (p *reader) minimum(where, date, cell string, f flags) {
	v, missing, ok := number(cell)
	c := p.toC(v)
	s, dated := table.ParseStamp(date)
	switch {
	case missing:
		p.Res.Missing++
	case !ok || p.inTenths && v != float64(int(v)):
		what := " is not a temperature"
		if p.inTenths {
			what = " is not a value in tenths of a degree"
		}
		p.Reject(where + weather.Quote(cell) + what)
	case !dated || !s.HasDate || s.InNumbers:
		p.Reject(where + weather.Quote(date) + " is not a date like 20251014 or 2025-10-14")
	case !weather.Possible(c):
		p.Reject(fmt.Sprintf("%s%.1f °C is no possible air temperature", where, c))
	case f.failed != "":
		p.Doubted(where, c, f.failed)
	default:
		day, end := f.dayOf(s.Day)
		p.split = p.split || end == weather.EndUnknown
		p.Res.Kept++
		p.days.Add(weather.Daily{Day: day, MinC: c, HasC: true, EndHour: end, Lagged: f.measured == "L", Rough: f.measured != "" && f.measured != "H"})
	}
}

// maximum keeps the cell of a maximum for the hours reconstructed from daily extremes;
// what is doubted or unreadable is passed over. Rows of TMAX count as rows about
// something else: no night rests on them.
func (p *reader) maximum(id, date, cell string, f flags) {
	v, missing, ok := number(cell)
	c := p.toC(v)
	if missing || !ok || f.failed != "" || f.measured != "" && f.measured != "H" || !weather.Possible(c) {
		return
	}
	s, ok := table.ParseStamp(date)
	if !ok || !s.HasDate || s.InNumbers {
		return
	}
	if p.maxID == "" && (p.Opt.Station == "" || strings.EqualFold(id, strings.TrimSpace(p.Opt.Station))) {
		p.maxID = id
	}
	if day, end := f.dayOf(s.Day); end != weather.EndUnknown && id == p.maxID {
		p.days.AddMax(day, c, end)
	}
}

// dayOf says when the 24 hours of a value end, and of which date they are.
func (f flags) dayOf(day fields.Date) (of fields.Date, end float64) {
	end, ok := obsHour(f.hour)
	switch {
	case ok && end <= 4: // read in the small hours: the day before, in all but name
		return day - 1, end + 24
	case ok:
		return day, end
	case f.measured == "H": // from hourly readings of the calendar day
		return day, 24
	}
	return day, weather.EndUnknown
}

// obsHour reads an observation time, HHMM. 0000 is the midnight at either end of
// the day and so says nothing.
func obsHour(s string) (float64, bool) {
	v, ok := table.Whole(s)
	h, m := v/100, v%100
	if !ok || len(s) < 3 || len(s) > 4 || m > 59 || h > 24 || h == 24 && m > 0 || v == 0 {
		return 0, false
	}
	return float64(h) + float64(m)/60, true
}

// isByYear tells a row of the by-year or by-station CSV: an 11-character id, a day
// of eight digits and a four-letter element.
var isByYear = lazy.Regexp(`^[^,]{11},\d{8},[^,]{4},[^,]*,`)

func isByYearHeader(line string) bool {
	cells := strings.Split(line, ",")
	return len(cells) >= 5 && table.Key(cells[0]) == "id" && table.Key(cells[2]) == "element"
}

// byYear reads ID,YYYYMMDD,ELEMENT,VALUE,M,Q,S[,HHMM].
func (p *reader) byYear(row table.Row) error {
	if len(row) < 7 {
		p.Reject(fmt.Sprintf("the row has %s instead of 7 or 8", weather.Count(len(row), "cell")))
		return nil
	}
	f := flags{row.Cell(4), row.Cell(5), row.Cell(7)}
	switch element := row.Cell(2); {
	case element != "TMIN": // another quantity: nine rows of ten
		p.Res.Skipped++
		if element == "TMAX" {
			p.maximum(row.Cell(0), row.Cell(1), row.Cell(3), f)
		}
	case p.take(row.Cell(0)):
		p.minimum("", row.Cell(1), row.Cell(3), f)
	}
	return nil
}

// isMonth tells a month of the fixed-width file.
var isMonth = lazy.Regexp(`^[A-Z]{2}[[:alnum:]_-]{9}\d{6}[A-Z][[:alnum:]]{3}.{8}`)

// month reads a month: id 1-11, year 12-15, month 16-17, element 18-21, then 31
// groups of a value of five characters and three flags. Of minima each day counts as
// a row, of all else the month.
func (p *reader) month(line string) error {
	if line == "" {
		return nil
	}
	p.Res.Read++
	if !isMonth().MatchString(line) {
		p.Reject("not a month of the fixed-width file")
		return nil
	}
	id, element := line[:11], line[17:21]
	switch element {
	case "TMIN":
		if !p.take(id) {
			return nil
		}
		p.Res.Read--
	case "TMAX":
		p.Res.Skipped++
	default:
		p.Res.Skipped++
		return nil
	}
	for d := 1; d <= 31 && 18+d*8 <= len(line); d++ {
		cell, rest := strings.TrimSpace(line[13+d*8:18+d*8]), line[18+d*8:]+"  "
		date := fmt.Sprintf("%s%02d", line[11:17], d)
		if _, ok := table.ParseStamp(date); !ok {
			continue // padding of short months
		}
		f := flags{measured: strings.TrimSpace(rest[:1]), failed: strings.TrimSpace(rest[1:2])}
		if element == "TMAX" {
			p.maximum(id, date, cell, f)
			continue
		}
		p.Res.Read++
		if _, missing, _ := number(cell); !missing && len(line) < 21+d*8 {
			p.Reject(fmt.Sprintf("day %d: the line ends before it says how the value was checked", d))
			continue
		}
		p.minimum(fmt.Sprintf("day %d: ", d), date, cell, f)
	}
	return nil
}

// access reads the CSV with one column a quantity.
func (p *reader) access(first string) (*weather.Result, error) {
	header, err := p.Split(first, ',')
	if err != nil {
		return nil, table.Refuse(p.Num, err.Error(), "")
	}
	cols := table.Header(header)
	st, at, low, high := cols.At("station"), cols.At("date"), cols.At("tmin"), cols.At("tmax")
	lowFlags, highFlags, name := cols.At("tminattributes"), cols.At("tmaxattributes"), cols.At("name")
	lat, lon := cols.At("latitude"), cols.At("longitude")
	if at < 0 || low < 0 || st < 0 {
		return nil, table.Refuse(p.Num, "the header does not name STATION, DATE and TMIN", "check that this is a GHCN-Daily file")
	}
	// The archive's own files and its data service put DATE second and have attributes.
	// The files, and the service unless it is told otherwise, give tenths of °C; it gives
	// whole °F or °C with a decimal for the asking, and nothing else in the file says which.
	// Orders from the web form have the names elsewhere, in the unit the customer chose.
	shape := lowFlags >= 0 && at == st+1
	p.inTenths = shape && p.Opt.Unit != "F"
	switch {
	case p.Opt.Unit == "F":
		p.Res.Unit = "degrees Fahrenheit, as you said"
		p.toC = weather.FtoC
	case shape: // to be seen
	case p.Opt.Unit == "C":
		p.inCelsius()
	default:
		return nil, table.Refuse(p.Num, "the file does not say whether TMIN is in °C or °F", "say which with the unit C or F")
	}
	first = "" // value in whole tenths or with a decimal
	notF := false
	res, err := p.Rows(',', func(row table.Row) error {
		if !p.take(row.Cell(st)) {
			return nil
		}
		if p.Name == "" {
			p.Name = row.Cell(name)
		}
		if p.place == (weather.Place{}) {
			p.place = row.Place(lat, lon)
		}
		cell, highCell := row.Cell(low), row.Cell(high)
		v, missing, ok := number(cell)
		if ok && !missing && first == "" {
			if first = cell; p.inTenths && p.Opt.Unit == "C" && strings.Contains(first, ".") {
				p.inCelsius()
			}
		}
		if ok && p.inTenths && v != float64(int(v)) {
			return table.Refuse(p.Num, weather.Quote(cell)+" is not in tenths of a degree, so the file is not the archive's own", "say the unit C or F")
		}
		lowOf, highOf := attributes(row.Cell(lowFlags)), attributes(row.Cell(highFlags))
		notF = notF || shape && provesTenths(cell, highCell, lowOf, highOf)
		p.maximum(row.Cell(st), row.Cell(at), highCell, highOf)
		p.minimum("", row.Cell(at), cell, lowOf)
		return nil
	})
	switch {
	case err != nil || !shape || res.Kept == 0:
		return res, err
	case p.Opt.Unit == "" && !notF:
		return nil, table.Refuse(0, "no value shows whether TMIN is in tenths of °C, as in the archive's own files, or in °F", "say the unit: C for tenths, F for °F")
	case p.Opt.Unit == "F" && notF:
		return nil, table.Refuse(0, "TMIN and TMAX are in tenths of °C and cannot be in °F", "leave out the unit")
	}
	return res, nil
}

func (p *reader) inCelsius() {
	p.inTenths = false
	p.Res.Unit = "degrees Celsius, as you said"
	p.toC = func(v float64) float64 { return v }
}

// What no air temperature in °F is, and tenths of °C often are: MADIS holds -60 to 130 °F
// to be valid ("Meteorological surface quality control checks",
// https://madis.ncep.noaa.gov/madis_sfc_qc_notes.shtml ). A day's high and low 90 °F apart
// are beyond any farm's; 9 °C are any clear day's. That number is ours.
const (
	coldestF = -60
	hottestF = 130
	rangeF   = 90
)

// provesTenths reports whether the minimum and maximum of a day cannot be in °F.
func provesTenths(low, high string, lowOf, highOf flags) bool {
	a, missing1, ok1 := number(low)
	b, missing2, ok2 := number(high)
	ok1 = ok1 && !missing1 && lowOf.failed == ""
	ok2 = ok2 && !missing2 && highOf.failed == ""
	return ok1 && (a < coldestF || a > hottestF) || ok2 && (b < coldestF || b > hottestF) || ok1 && ok2 && b-a > rangeF
}

// sniff says why a file that begins with head is GHCN-Daily, "" if it is not.
func sniff(head []byte) string {
	line := table.Lines(head, 1)[0]
	cols := table.Header(strings.Split(line, ","))
	switch {
	case isMonth().MatchString(line):
		return "its first line is a month of the fixed-width station file"
	case isByYear().MatchString(line):
		return "its first line has an 11-character station, a day and an element"
	case isByYearHeader(line):
		return "its header begins with ID, date and ELEMENT"
	case min(cols.At("station"), cols.At("date"), cols.At("tmin")) >= 0 && cols.At("element") < 0:
		return "its header names STATION, DATE and TMIN"
	}
	return ""
}
