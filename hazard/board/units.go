package board

import (
	"math"
	"strconv"
	"strings"

	"rimegate/fields"
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

// against prints a value and the limit it was held against. If rounding would
// make both read the same though they differ, or turn their order round, both
// are printed in full in the inside unit.
func (u Units) against(m *fields.Measure, v, limit float64) (value, line string) {
	value, line = u.in(m, v), u.in(m, limit)
	if value == line && v != limit {
		return exact(v) + " " + m.Inside, exact(limit) + " " + m.Inside
	}
	return value, line
}

// atLeast prints a minimum height in cm, rounded up to what a person can
// measure and pass with: 61 cm is 24.02 in, and 24 in would fall short.
func (u Units) atLeast(cm float64) string {
	if u != US {
		return u.in(fields.Height, cm)
	}
	const step = 0.1 // in
	v := math.Ceil(cm/2.54/step-1e-9) * step
	return number(v, 1) + " in"
}

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

// ppmAgainst is Units.against for concentrations, which have one unit only.
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
