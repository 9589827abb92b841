package plaincsv

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"rimegate/weather/internal/rows"
)

// columns says where in a row the things are; -1 for nowhere.
type columns struct {
	night, stamp, date, clock, hour int
	year, month, day                int
	temp                            int
	unit, station, zoneCol          int
	n                               int // cells of the header

	low       bool   // the temperature column is a minimum
	tempUnit  string // "C" or "F" if the header says so
	tempName  string
	wrongUnit string // a unit that is neither, such as K
	utc       bool   // the stamps are said to be UTC
	offset    *int   // the stamps are said to be at this offset, seconds east
	local     bool   // the stamps are said to be local time
	others    []string
	besides
}

// words cuts a header name into lower-case words: letters and digits, parted at
// signs, at capitals inside a word and around the degree sign.
func words(name string) []string {
	var out []string
	var w strings.Builder
	end := func() {
		if w.Len() > 0 {
			out = append(out, w.String())
			w.Reset()
		}
	}
	lower := false
	for i := 0; i < len(name); {
		r, n := utf8.DecodeRuneInString(name[i:])
		i += n
		switch {
		case r < 0x80 && (unicode.IsLetter(r) || unicode.IsDigit(r)):
			if unicode.IsUpper(r) && lower {
				end()
			}
			lower = unicode.IsLower(r)
			w.WriteRune(unicode.ToLower(r))
		case r == '\u2103': // the single sign for degrees Celsius
			end()
			out = append(out, "c")
		case r == '\u2109':
			end()
			out = append(out, "f")
		default:
			end()
			lower = false
		}
	}
	end()
	return out
}

func has(ws []string, any ...string) bool {
	for _, w := range ws {
		for _, a := range any {
			if w == a {
				return true
			}
		}
	}
	return false
}

// unitOf finds the unit in the words of a name, also where it is joined on, as
// in tempf. other is a unit that is neither C nor F.
func unitOf(ws []string) (unit, other string) {
	for _, w := range ws {
		switch w {
		case "c", "celsius", "centigrade", "degc", "celcius":
			return "C", ""
		case "f", "fahrenheit", "degf", "farenheit":
			return "F", ""
		case "k", "kelvin", "degk":
			return "", "K"
		}
	}
	for _, w := range ws {
		for _, stem := range []string{"temperature", "temp", "low", "min", "tmin", "minimum", "tair", "mintemp", "lowtemp", "airtemp", "tempmin", "templow", "tempair"} {
			switch w {
			case stem + "c":
				return "C", ""
			case stem + "f":
				return "F", ""
			}
		}
	}
	return "", ""
}

// kindOfTemp says whether a name is of an air temperature column: 0 no, 1 a
// temperature, 2 a minimum.
func kindOfTemp(ws []string) int {
	if has(ws, "dew", "dewpoint", "dewp", "td", "wet", "wetbulb", "soil", "water", "feels", "chill", "windchill", "heat", "index",
		"max", "maximum", "high", "tmax", "hi", "maxtemp", "mean", "avg", "average", "tavg", "tmean", "flag", "quality", "qc", "qual", "code",
		"indoor", "inside", "battery", "setpoint", "alarm", "time", "date", "humidity", "rh", "normal", "departure", "measurement",
		"source", "attributes", "count", "std", "sd", "range", "unit", "units") {
		return 0
	}
	temp, low := false, false
	for i, w := range ws {
		if w == "in" && (i+1 == len(ws) || !has(ws[i+1:i+2], "degrees", "deg", "degree", "celsius", "fahrenheit", "c", "f", "degc", "degf")) {
			return 0 // indoors, and not "in degrees"
		}
		base := strings.TrimRight(w, "0123456789")
		for _, u := range []string{base, strings.TrimSuffix(base, "c"), strings.TrimSuffix(base, "f")} {
			switch u {
			case "temp", "temperature", "tair", "airtemp", "tempair", "temps", "outtemp", "tempout", "outdoortemp":
				temp = true
			case "low", "lo", "min", "minimum", "tmin", "lowest", "mintemp", "tempmin", "lowtemp", "templow":
				low = true
			}
		}
		if w == "t" || w == "ta" {
			temp = true
		}
	}
	switch {
	case low:
		return 2
	case temp:
		return 1
	}
	return 0
}

// readHeader looks for the columns in the cells of a line.
func readHeader(cells [][]byte) columns {
	c := columns{
		night: -1, stamp: -1, date: -1, clock: -1, hour: -1, year: -1, month: -1, day: -1,
		temp: -1, unit: -1, station: -1, zoneCol: -1, n: len(cells), besides: none,
	}
	rank := 0
	for i, cell := range cells {
		name := strings.TrimSpace(string(cell))
		ws := words(name)
		if len(ws) == 0 || len(name) > 200 {
			continue
		}
		if k := kindOfTemp(ws); k > 0 {
			unit, other := unitOf(ws)
			r := k * 2 // a minimum before a temperature, one with a unit before one without
			if unit != "" {
				r++
			}
			if r > rank {
				if c.temp >= 0 {
					c.others = append(c.others, c.tempName)
				}
				rank, c.temp, c.low, c.tempUnit, c.tempName, c.wrongUnit = r, i, k == 2, unit, name, other
			} else {
				c.others = append(c.others, name)
			}
			continue
		}
		c.readName(i, name, ws)
		c.readTimeName(i, name, ws)
	}
	if c.year < 0 || c.month < 0 || c.day < 0 {
		if c.date < 0 {
			c.date = c.day
		}
		c.year, c.month, c.day = -1, -1, -1
	}
	return c
}

func (c *columns) readTimeName(i int, name string, ws []string) {
	set := func(at *int) bool {
		if *at < 0 {
			*at = i
			return true
		}
		return false
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
	case len(ws) == 1 && has(ws, "year", "yyyy"):
		set(&c.year)
	case len(ws) == 1 && has(ws, "month", "mm"):
		set(&c.month)
	case len(ws) == 1 && has(ws, "day", "dd"):
		set(&c.day)
	case has(ws, "timestamp", "datetime", "stamp", "valid", "observed"), has(ws, "date", "day") && has(ws, "time", "hour"), has(ws, "time") && has(ws, "hour"), has(ws, "datetimeutc", "timestamputc"):
		// A stamp that says its zone goes before one that does not.
		zoned := c.zone(name, ws, false)
		if c.stamp < 0 || zoned && !c.utc && c.offset == nil {
			c.stamp, c.local = i, false
			c.zone(name, ws, true)
		}
	case has(ws, "date", "day", "dateutc"):
		if set(&c.date) {
			c.zone(name, ws, true)
		}
	case has(ws, "time", "timeutc", "clock", "utc", "gmt", "localtime"):
		if set(&c.clock) {
			c.zone(name, ws, true)
		}
	case has(ws, "hour", "hr", "hh"):
		if set(&c.hour) {
			c.zone(name, ws, true)
		}
	}
}

// zone reads UTC, GMT-06:00 and the like in a header name.
func (c *columns) zone(name string, ws []string, store bool) bool {
	if store && has(ws, "local", "localtime") {
		c.local = true
	}
	upper := strings.ToUpper(name)
	for _, mark := range []string{"GMT", "UTC"} {
		i := strings.Index(upper, mark)
		if i < 0 {
			continue
		}
		rest := strings.TrimLeft(upper[i+3:], " ")
		if len(rest) > 1 && (rest[0] == '+' || rest[0] == '-') {
			end := 1
			for end < len(rest) && (rest[end] >= '0' && rest[end] <= '9' || rest[end] == ':') {
				end++
			}
			if off, ok := rows.ParseOffset([]byte(rest[:end])); ok {
				if store {
					c.offset = &off
				}
				return true
			}
		}
		if has(ws, "local") {
			return false
		}
		if store {
			c.utc = true
		}
		return true
	}
	if has(ws, "z", "zulu") {
		if store {
			c.utc = true
		}
		return true
	}
	return false
}

// usable reports whether the columns say when and how cold.
func (c *columns) usable() bool {
	return c.temp >= 0 && c.timed()
}

func (c *columns) timed() bool {
	return c.night >= 0 || c.stamp >= 0 || c.date >= 0 || c.clock >= 0 || c.year >= 0
}
