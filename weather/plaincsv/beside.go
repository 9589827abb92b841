package plaincsv

import (
	"fmt"

	"rimegate/weather"
	"rimegate/weather/internal/rows"
)

// besides are the columns that only some questions need: dew point and wind.
// A column whose name does not say its unit is not used.
type besides struct {
	dew, wind         int // -1 for nowhere
	dewName, windName string
	dewUnit           string  // "C", "F", "" if the name does not say
	toMS              float64 // from the wind's unit to m/s, 0 if the name does not say
}

// beside is the dew point in °C and wind in m/s of one row; nil if not known.
type beside struct{ dew, wind *float64 }

var none = besides{dew: -1, wind: -1}

// readName takes up a column of dew point or wind speed.
func (b *besides) readName(i int, name string, ws []string) {
	if has(ws, "flag", "quality", "qc", "code", "max", "high", "min", "low", "avg", "chill", "gust", "gusts", "peak", "dir", "direction", "run", "time", "date", "depression") {
		return
	}
	switch {
	case b.dew < 0 && has(ws, "dew", "dewpoint", "dewp", "dewpt", "td", "dewpointc", "dewpointf"):
		unit, _ := unitOf(ws)
		switch {
		case has(ws, "dewpointc"):
			unit = "C"
		case has(ws, "dewpointf"):
			unit = "F"
		}
		b.dew, b.dewName, b.dewUnit = i, name, unit
	case b.wind < 0 && has(ws, "wind", "windspeed", "windspd", "wspd"):
		b.wind, b.windName, b.toMS = i, name, metresPerSecond(ws)
	}
}

// metresPerSecond finds the unit of a speed in the words of a name.
func metresPerSecond(ws []string) float64 {
	for i, w := range ws {
		next := ""
		if i+1 < len(ws) {
			next = ws[i+1]
		}
		switch {
		case w == "ms" || w == "mps" || w == "m" && next == "s":
			return 1
		case w == "kmh" || w == "kph" || w == "kmph" || w == "km" && (next == "h" || next == "hr"):
			return 1 / 3.6
		case w == "mph" || w == "mi" && (next == "h" || next == "hr"):
			return 0.44704
		case w == "kt" || w == "kts" || w == "kn" || w == "knot" || w == "knots":
			return 1852.0 / 3600
		}
	}
	return 0
}

// settleBesides says which of the columns are read, once their units are known.
func (p *reader) settleBesides() {
	b := &p.col.besides
	if p.sink.TempOnly {
		*b = none
		return
	}
	if b.dew >= 0 && b.dewUnit == "" {
		if b.dewUnit = p.opt.Unit; b.dewUnit == "" {
			p.res.Note("the column " + weather.Quote(b.dewName) + " does not say whether it is in °C or °F, so the dew point is not used")
			b.dew = -1
		}
	}
	if b.wind >= 0 && b.toMS == 0 {
		p.res.Note("the column " + weather.Quote(b.windName) + " does not say m/s, km/h, mph or knots, so the wind is not used")
		p.res.WindUnread = b.windName
		b.wind = -1
	}
}

// readBeside reads dew point and wind of the row in p.cells, c being its
// temperature. What cannot be so is left out and counted.
func (p *reader) readBeside(c float64) (out beside) {
	b := &p.col.besides
	if b.dew >= 0 {
		if v, ok := p.besideNumber(b.dew); ok {
			if b.dewUnit == "F" {
				v = weather.FtoC(v)
			}
			if weather.Possible(v) && v <= c+dewSlackC {
				out.dew = &v
			} else {
				p.unfit++
			}
		}
	}
	if b.wind >= 0 {
		if v, ok := p.besideNumber(b.wind); ok {
			if v *= b.toMS; v >= 0 && v < maxWindMS {
				out.wind = &v
			} else {
				p.unfit++
			}
		}
	}
	return out
}

const (
	// dewSlackC lets a dew point stand above its temperature by the rounding of
	// both to whole degrees Fahrenheit.
	dewSlackC = 0.6
	// maxWindMS is more than any wind measured (113 m/s, World Meteorological
	// Organization, from memory).
	maxWindMS = 115
)

func (p *reader) besideNumber(i int) (float64, bool) {
	cell := p.cell(i)
	if rows.MissingWord(cell) {
		return 0, false
	}
	v, ok := p.number(cell)
	if !ok {
		p.unfit++
		return 0, false
	}
	return v, !rows.MissingNumber(v)
}

// noteBesides says what was read beside the temperature.
func (p *reader) noteBesides() {
	b := &p.col.besides
	switch {
	case b.dew >= 0 && b.wind >= 0:
		p.res.Note("read the dew point in " + weather.Quote(b.dewName) + " and the wind in " + weather.Quote(b.windName))
	case b.dew >= 0:
		p.res.Note("read the dew point in " + weather.Quote(b.dewName))
	case b.wind >= 0:
		p.res.Note("read the wind in " + weather.Quote(b.windName))
	}
	if p.unfit > 0 {
		p.res.Note(fmt.Sprintf("%s of dew point or wind cannot be so and were left out", weather.Count(p.unfit, "value")))
	}
}
