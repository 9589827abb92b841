package board

import (
	"math"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/fields/forage"
	"rimegate/hazard"
)

// Units is the system of units a farm reads: Metric or US. Inside, everything
// is metric; the unit always stands beside the number.
type Units string

// Systems of units.
const (
	Metric Units = "metric"
	US     Units = "us"
)

// UnitsOf returns the farm's units, Metric unless it said otherwise.
func UnitsOf(h *fields.History) Units {
	if h != nil && h.Farm.Units == string(US) {
		return US
	}
	return Metric
}

// in prints an inside value of measure m in the farm's unit.
func (u Units) in(m *fields.Measure, v float64) string { return m.In(v, string(u)) }

// temp prints a temperature in °C in both units, the farm's first: too many
// people have read one for the other.
func (u Units) temp(c float64) string { return u.both(fields.Temperature, c) }

func (u Units) both(m *fields.Measure, v float64) string {
	if u == US {
		return m.In(v, string(US)) + " (" + m.In(v, string(Metric)) + ")"
	}
	return m.Both(v)
}

// lowIn is temp of a low held against a line: in °F a whole number, to the nearest,
// but never on the other side of the line, nor of freezing.
func (u Units) lowIn(c, line float64) string {
	if u != US {
		return u.temp(c)
	}
	f := math.Round(c*1.8 + 32)
	if c > 0 {
		f = max(f, 33)
	}
	if c <= line {
		f = min(f, ceil(line*1.8+32))
	}
	return number(f, 0) + " °F (" + fields.Temperature.In(c, string(Metric)) + ")"
}

// line is temp of a line at which it freezes or may freeze: in °F the next whole
// number up.
func (u Units) line(c float64) string {
	if u != US {
		return u.temp(c)
	}
	return number(ceil(c*1.8+32), 0) + " °F (" + fields.Temperature.In(c, string(Metric)) + ")"
}

// height prints a height in cm held against a minimum: in inches a whole number,
// to the nearest, but never on the other side of the minimum as atLeast prints it.
func (u Units) height(cm, minimum float64) string {
	least := u.atLeast(minimum)
	if u != US {
		v := u.in(fields.Height, cm)
		if v == least && cm != minimum {
			return exact(cm) + " cm"
		}
		return v
	}
	in := math.Round(cm / 2.54)
	if cm < minimum-hazard.HeightSlack {
		in = min(in, leastInches(minimum)-1)
	} else {
		in = max(in, leastInches(minimum))
	}
	return number(in, 0) + " in"
}

// leastInches are the fewest whole inches that meet a minimum height in cm.
func leastInches(cm float64) float64 { return ceil((cm - hazard.HeightSlack) / 2.54) }

// atLeast prints a minimum height in cm, in inches the least whole one that passes: 61 cm
// is 24.02 in, and 24 in meet it by the slack of heights.
func (u Units) atLeast(cm float64) string {
	if u != US {
		return u.in(fields.Height, cm)
	}
	return number(leastInches(cm), 0) + " in"
}

// cutAt prints the greatest height of a cut for a sample: whole inches for who
// measures in them, since 4 inches pass for 10 cm.
func (u Units) cutAt(cm float64) string {
	if u != US {
		return u.in(fields.Height, cm)
	}
	return number(cm/2.54, 0) + " in"
}

// ceil rounds up, past the noise of binary fractions.
func ceil(v float64) float64 { return math.Ceil(v - 1e-9) }

func exact(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// number prints v with at most places decimals and commas between thousands.
func number(v float64, places int) string {
	p := math.Pow(10, float64(places))
	return grouped(exact(math.Round(v*p) / p))
}

// grouped puts commas between the thousands of a printed number.
func grouped(s string) string {
	sign := ""
	if strings.HasPrefix(s, "-") {
		sign, s = "-", s[1:]
	}
	whole, frac, _ := strings.Cut(s, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if frac != "" {
		whole += "." + frac
	}
	if whole == "0" {
		sign = ""
	}
	return sign + whole
}

// ppm prints a concentration; small ones keep a decimal.
func ppm(v float64) string {
	if math.Abs(v) < 10 {
		return number(v, 1)
	}
	return number(v, 0)
}

// ppmAgainst prints a concentration and the line it was held against: both in full
// where rounding would make them read the same though they differ.
func ppmAgainst(v, limit float64) (value, line string) {
	value, line = ppm(v), ppm(limit)
	if value == line && v != limit {
		return exact(v), exact(limit)
	}
	return value, line
}

// UseWords are the uses as a sentence wants them: "to graze".
func useWords(u hazard.Use) string {
	return [...]string{"to graze", "to green-chop", "to swath-graze", "to cut for hay", "to cut for silage", "to feed"}[u]
}

// aumMeans is the definition of an animal unit month that aum counts by.
const aumMeans = "an AUM is 780 lb of dry matter, a 1,000 lb cow for 30 days: NRCS, via eXtension, Animal units"

// aum prints kg of dry matter as animal unit months, rounded down to a tenth.
func aum(kgDM float64) string {
	const rounding = 1e-9
	return number(math.Floor(kgDM/(forage.UnitDay*30)*10+rounding)/10, 1)
}
