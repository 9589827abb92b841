package plaincsv

import (
	"slices"
	"strings"

	"rimegate/fields/lazy"
	"rimegate/weather/internal/table"
)

// columns says where in a row the things are; -1 for nowhere.
type columns struct {
	night, stamp, date, clock, hour int
	year, month, day                int
	temp                            int
	unit, station, zoneCol          int
	dew, wind                       int
	n                               int // cells of the header

	low      bool   // the temperature column is a minimum
	tempUnit string // "C" or "F" if the header says so
	tempName string
	kelvin   bool
	offset   *int // the stamps are said to be at this offset, seconds east
	local    bool // the stamps are said to be local time
	others   []string
	dewName  string
	dewUnit  string // "C", "F", "" if the name does not say
	windName string
	toMS     float64 // from the wind's unit to m/s, 0 if the name does not say
}

var (
	hump    = lazy.Regexp(`([a-z])([A-Z])`)
	degrees = strings.NewReplacer("\u2103", " c ", "\u2109", " f ") // the single signs for degrees Celsius and Fahrenheit
)

// words cuts a header name into lower-case words: letters and digits, parted at
// signs, at capitals inside a word and around the degree sign.
func words(name string) []string {
	name = strings.ToLower(hump().ReplaceAllString(degrees.Replace(name), "$1 $2"))
	return strings.FieldsFunc(name, func(r rune) bool { return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9') })
}

func has(ws []string, any ...string) bool {
	return slices.ContainsFunc(ws, func(w string) bool { return slices.Contains(any, w) })
}

// Words for an air temperature, and whether they are of a minimum.
var tempWords = map[string]bool{
	"temp": false, "temperature": false, "tair": false, "airtemp": false, "tempair": false, "temps": false,
	"outtemp": false, "tempout": false, "outdoortemp": false, "t": false, "ta": false,
	"low": true, "lo": true, "min": true, "minimum": true, "tmin": true, "lowest": true,
	"mintemp": true, "tempmin": true, "lowtemp": true, "templow": true,
}

// tempWord reads a word for an air temperature, to which its unit may be joined, as
// in tempf.
func tempWord(w string) (low, ok bool, unit string) {
	low, ok = tempWords[strings.TrimRight(w, "0123456789")]
	if stem := w[:len(w)-1]; !ok && len(stem) > 2 && (strings.HasSuffix(w, "c") || strings.HasSuffix(w, "f")) {
		low, ok = tempWords[stem]
		unit = strings.ToUpper(w[len(w)-1:])
	}
	return low, ok, unit
}

// unitOf finds the unit in the words of a name: "C", "F", "K" for kelvin, "" for none.
func unitOf(ws []string) string {
	for _, w := range ws {
		switch w {
		case "c", "celsius", "centigrade", "degc", "celcius", "dewpointc":
			return "C"
		case "f", "fahrenheit", "degf", "farenheit", "dewpointf":
			return "F"
		case "k", "kelvin", "degk":
			return "K"
		}
	}
	for _, w := range ws {
		if _, ok, unit := tempWord(w); ok && unit != "" {
			return unit
		}
	}
	return ""
}

// kindOfTemp says whether a name is of an air temperature column: 0 no, 1 a
// temperature, 2 a minimum.
func kindOfTemp(ws []string) (kind int) {
	if has(ws, "dew", "dewpoint", "dewp", "td", "wet", "wetbulb", "soil", "water", "feels", "chill", "windchill", "heat", "index",
		"max", "maximum", "high", "tmax", "hi", "maxtemp", "mean", "avg", "average", "tavg", "tmean", "flag", "quality", "qc", "qual", "code",
		"indoor", "inside", "battery", "setpoint", "alarm", "time", "date", "humidity", "rh", "normal", "departure", "measurement",
		"source", "attributes", "count", "std", "sd", "range", "unit", "units") {
		return 0
	}
	for i, w := range ws {
		if w == "in" && !has(ws[i+1:min(i+2, len(ws))], "degrees", "deg", "degree", "celsius", "fahrenheit", "c", "f", "degc", "degf") {
			return 0 // indoors, and not "in degrees"
		}
		if low, ok, _ := tempWord(w); low {
			kind = 2
		} else if ok {
			kind = max(kind, 1)
		}
	}
	return kind
}

// readHeader looks for the columns in the cells of a line.
func readHeader(cells table.Row) columns {
	c := columns{
		night: -1, stamp: -1, date: -1, clock: -1, hour: -1, year: -1, month: -1, day: -1,
		temp: -1, unit: -1, station: -1, zoneCol: -1, dew: -1, wind: -1, n: len(cells),
	}
	best := 0
	for i, cell := range cells {
		name := strings.TrimSpace(cell)
		ws := words(name)
		if len(ws) == 0 || len(name) > 200 {
			continue
		}
		kind := kindOfTemp(ws)
		if kind == 0 {
			c.readBeside(i, name, ws)
			c.readTime(i, name, ws)
			continue
		}
		unit := unitOf(ws)
		rank := kind * 2 // a minimum before a temperature, one with a unit before one without
		if unit == "C" || unit == "F" {
			rank++
		}
		if rank <= best {
			c.others = append(c.others, name)
			continue
		}
		if c.temp >= 0 {
			c.others = append(c.others, c.tempName)
		}
		best, c.temp, c.low, c.tempName = rank, i, kind == 2, name
		if c.tempUnit, c.kelvin = unit, unit == "K"; c.kelvin {
			c.tempUnit = ""
		}
	}
	if min(c.year, c.month, c.day) < 0 {
		if c.date < 0 {
			c.date = c.day
		}
		c.year, c.month, c.day = -1, -1, -1
	}
	return c
}

// readTime takes up a column that says when, where or in what unit.
func (c *columns) readTime(i int, name string, ws []string) {
	set := func(at *int) bool {
		if *at >= 0 {
			return false
		}
		*at = i
		return true
	}
	timed := func(at *int) {
		if set(at) && c.stamp < 0 { // beside a stamp it is not read
			c.zone(name, ws)
		}
	}
	one := ""
	if len(ws) == 1 {
		one = ws[0]
	}
	switch {
	case has(ws, "unit", "units", "uom"):
		set(&c.unit)
	case has(ws, "night"):
		set(&c.night)
	case has(ws, "station", "site", "sensor", "logger", "location", "device", "paddock") && !has(ws, "latitude", "longitude", "lat", "lon", "elevation", "type", "operator", "id"):
		set(&c.station)
	case has(ws, "zone", "timezone", "tz"):
		set(&c.zoneCol)
	case has(ws, "sunrise", "sunset", "received", "uploaded", "created", "updated", "max", "high", "humidity", "wind", "rain", "dew", "flag"):
	case one == "year" || one == "yyyy":
		set(&c.year)
	case one == "month" || one == "mm":
		set(&c.month)
	case one == "day" || one == "dd":
		set(&c.day)
	case has(ws, "timestamp", "datetime", "stamp", "valid", "observed", "datetimeutc", "timestamputc"), has(ws, "date", "day") && has(ws, "time", "hour"), has(ws, "time") && has(ws, "hour"):
		// A stamp that says its zone goes before one that does not.
		var said columns
		if zoned := said.zone(name, ws); c.stamp < 0 || zoned && c.offset == nil {
			c.stamp, c.offset, c.local = i, said.offset, said.local
		}
	case has(ws, "date", "day", "dateutc"):
		timed(&c.date)
	case has(ws, "time", "timeutc", "clock", "utc", "gmt", "localtime"):
		timed(&c.clock)
	case has(ws, "hour", "hr", "hh"):
		timed(&c.hour)
	}
}

var offsetForm = lazy.Regexp(`(?i)(?:GMT|UTC) *([-+][0-9:]+)`)

// zone reads UTC, GMT-06:00 and the like in a header name, and reports whether it says
// how the times lie to UTC.
func (c *columns) zone(name string, ws []string) bool {
	c.local = c.local || has(ws, "local", "localtime")
	if m := offsetForm().FindStringSubmatch(name); m != nil {
		if off, ok := table.ParseOffset(m[1]); ok {
			c.offset = &off
			return true
		}
	}
	upper := strings.ToUpper(name)
	named := (strings.Contains(upper, "GMT") || strings.Contains(upper, "UTC")) && !has(ws, "local")
	if named || has(ws, "z", "zulu") {
		c.offset = new(int)
		return true
	}
	return false
}

// readBeside takes up a column of dew point or wind speed, which only some questions
// need.
func (c *columns) readBeside(i int, name string, ws []string) {
	if has(ws, "flag", "quality", "qc", "code", "max", "high", "min", "low", "avg", "chill", "gust", "gusts", "peak", "dir", "direction", "run", "time", "date", "depression") {
		return
	}
	switch {
	case c.dew < 0 && has(ws, "dew", "dewpoint", "dewp", "dewpt", "td", "dewpointc", "dewpointf"):
		c.dew, c.dewName, c.dewUnit = i, name, unitOf(ws)
	case c.wind < 0 && has(ws, "wind", "windspeed", "windspd", "wspd"):
		c.wind, c.windName, c.toMS = i, name, metresPerSecond(ws)
	}
}

// metresPerSecond finds the unit of a speed in the words of a name.
func metresPerSecond(ws []string) float64 {
	said := " " + strings.Join(ws, " ") + " "
	for _, u := range []struct {
		words string
		ms    float64
	}{
		{"ms,mps,m s", 1},
		{"kmh,kph,kmph,km h,km hr", 1 / 3.6},
		{"mph,mi h,mi hr", 0.44704},
		{"kt,kts,kn,knot,knots", 1852.0 / 3600},
	} {
		for w := range strings.SplitSeq(u.words, ",") {
			if strings.Contains(said, " "+w+" ") {
				return u.ms
			}
		}
	}
	return 0
}

// timed reports whether the columns say when.
func (c *columns) timed() bool {
	return max(c.night, c.stamp, c.date, c.clock, c.year) >= 0
}
