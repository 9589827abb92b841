package fields

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Measure is a kind of quantity that people type with a unit and the journal
// keeps in one inside unit. A bare number is always refused: -2 is a frost in
// one country and a record in another.
type Measure struct {
	Name    string // as it stands in sentences: "a temperature"
	Inside  string // unit of the journal, as printed
	Example string // what to type
	units   []unit // the first is the metric one, the second the US one printed beside it
	lo, hi  float64
	places  int // decimals printed at most
}

type unit struct {
	printed string
	words   []string // as typed, lower case, without spaces
	// inside value = (typed - zero) * factor
	factor, zero float64
}

// Conversion factors. The inch, pound and acre are exact by definition: NIST
// Special Publication 811, "Guide for the Use of the International System of
// Units (SI)", 2008 edition, appendix B.8,
// https://www.nist.gov/pml/special-publication-811. The acre there is 4 046.873
// m2 (survey foot); the international acre used here, 4 840 square yards of
// 0.9144 m, differs from it by 4 parts in a million.
const (
	cmPerInch = 2.54
	cmPerFoot = 30.48
	kgPerLb   = 0.45359237
	haPerAcre = 0.40468564224
)

// Measures, with the unit they have inside.
var (
	// Temperature in °C.
	Temperature = &Measure{
		Name: "a temperature", Inside: "°C", Example: "-3C or 26F", lo: -90, hi: 60, places: 1,
		units: []unit{
			{"°C", []string{"c", "°c", "degc", "celsius"}, 1, 0},
			{"°F", []string{"f", "°f", "degf", "fahrenheit"}, 1 / 1.8, 32},
		},
	}
	// Difference of temperature in °C, such as a paddock's offset.
	Difference = &Measure{
		Name: "a difference of temperature", Inside: "°C", Example: "-2C or -3.6F", lo: -50, hi: 50, places: 1,
		units: []unit{
			{"°C", []string{"c", "°c", "degc", "celsius"}, 1, 0},
			{"°F", []string{"f", "°f", "degf", "fahrenheit"}, 1 / 1.8, 0},
		},
	}
	// Height of plants, stubble or shoots in cm.
	Height = &Measure{
		Name: "a height", Inside: "cm", Example: "61cm or 24in", lo: 0, hi: 1000, places: 1,
		units: []unit{
			{"cm", []string{"cm"}, 1, 0},
			{"in", []string{"in", "inch", "inches", "\"", "”"}, cmPerInch, 0},
			{"ft", []string{"ft", "foot", "feet"}, cmPerFoot, 0},
			{"mm", []string{"mm"}, 0.1, 0},
			{"m", []string{"m"}, 100, 0},
		},
	}
	// Elevation above the sea, or a thermometer's height above ground, in m.
	Elevation = &Measure{
		Name: "a height in the land", Inside: "m", Example: "610m or 2000ft", lo: -500, hi: 9000, places: 1,
		units: []unit{
			{"m", []string{"m"}, 1, 0},
			{"ft", []string{"ft", "foot", "feet"}, cmPerFoot / 100, 0},
			{"cm", []string{"cm"}, 0.01, 0},
		},
	}
	// RainDepth in mm.
	RainDepth = &Measure{
		Name: "a depth of rain", Inside: "mm", Example: "12mm or 0.5in", lo: 0, hi: 2000, places: 2,
		units: []unit{
			{"mm", []string{"mm"}, 1, 0},
			{"in", []string{"in", "inch", "inches", "\"", "”"}, cmPerInch * 10, 0},
			{"cm", []string{"cm"}, 10, 0},
		},
	}
	// Area in ha.
	Area = &Measure{
		Name: "an area", Inside: "ha", Example: "24ha or 60ac", lo: 0, hi: 1e6, places: 1,
		units: []unit{
			{"ha", []string{"ha", "hectare", "hectares"}, 1, 0},
			{"ac", []string{"ac", "acre", "acres"}, haPerAcre, 0},
		},
	}
	// Weight of animals or feed in kg.
	Weight = &Measure{
		Name: "a weight", Inside: "kg", Example: "600kg or 1320lb", lo: 0, hi: 1e8, places: 1,
		units: []unit{
			{"kg", []string{"kg"}, 1, 0},
			{"lb", []string{"lb", "lbs", "pound", "pounds"}, kgPerLb, 0},
			{"t", []string{"t", "tonne", "tonnes"}, 1000, 0},
		},
	}
	// Tonnage of a lot of feed in t (1,000 kg).
	Tonnage = &Measure{
		Name: "a weight of feed", Inside: "t", Example: "45t or 99000lb", lo: 0, hi: 1e6, places: 2,
		units: []unit{
			{"t", []string{"t", "tonne", "tonnes"}, 1, 0},
			{"lb", []string{"lb", "lbs", "pound", "pounds"}, kgPerLb / 1000, 0},
			{"kg", []string{"kg"}, 0.001, 0},
		},
	}
	// PerArea, of nitrogen or standing feed, in kg/ha.
	PerArea = &Measure{
		Name: "a weight for an area", Inside: "kg/ha", Example: "56kg/ha or 50lb/ac", lo: 0, hi: 100000, places: 1,
		units: []unit{
			{"kg/ha", []string{"kg/ha"}, 1, 0},
			{"lb/ac", []string{"lb/ac", "lbs/ac", "lb/acre", "lbs/acre"}, kgPerLb / haPerAcre, 0},
		},
	}
	// Percentage, 0 to 100 %.
	Percentage = &Measure{
		Name: "a percentage", Inside: "%", Example: "86%", lo: 0, hi: 100, places: 2,
		units: []unit{{"%", []string{"%", "percent", "pct"}, 1, 0}},
	}
	// Hours of a night.
	Hours = &Measure{
		Name: "a number of hours", Inside: "h", Example: "3h", lo: 0, hi: 25, places: 2,
		units: []unit{{"h", []string{"h", "hr", "hrs", "hour", "hours"}, 1, 0}},
	}
)

// Parse reads a quantity as a person types it, such as "-3C", "29.5 F" or
// "24in", and returns it in the measure's inside unit. Errors are one plain
// sentence that says what to type.
func (m *Measure) Parse(s string) (float64, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	t = strings.NewReplacer("−", "-", "–", "-", "\u00a0", "", "\u202f", "", "\u2009", "", "º", "°").Replace(t)
	i := 0
	for i < len(t) && (t[i] >= '0' && t[i] <= '9' || t[i] == '.' || t[i] == ',' || i == 0 && (t[i] == '-' || t[i] == '+')) {
		i++
	}
	num, word := t[:i], strings.ReplaceAll(strings.TrimSpace(t[i:]), " ", "")
	if num == "" || num == "-" || num == "+" {
		return 0, fmt.Errorf("%q is not %s; type it with its unit, like %s", s, m.Name, m.Example)
	}
	n, err := number(num)
	if errors.Is(err, errComma) {
		return 0, fmt.Errorf("%q %w, like %s", s, err, m.Example)
	}
	if err != nil {
		return 0, fmt.Errorf("%q is not %s; type it with its unit, like %s", s, m.Name, m.Example)
	}
	if word == "" && n == 0 && m != Temperature && m.lo <= 0 {
		return 0, nil // nothing is nothing in every unit, temperatures apart
	}
	if word == "" {
		return 0, fmt.Errorf("%q has no unit; %s", s, m.withUnits(num))
	}
	for _, u := range m.units {
		for _, w := range u.words {
			if w != word {
				continue
			}
			v := (n - u.zero) * u.factor
			if math.IsNaN(v) || v < m.lo || v > m.hi {
				return 0, fmt.Errorf("%q cannot be; %s lies between %s and %s", s, m.Name, m.Both(m.lo), m.Both(m.hi))
			}
			if v == 0 {
				v = 0 // no negative zero in the journal
			}
			// Typed decimal fractions come back as typed: 26 °F is -3.33333 °C, not
			// -3.333333333333333, and 24 in is 60.96 cm.
			return round(v, 5), nil
		}
	}
	if word == "ton" || word == "tons" {
		return 0, fmt.Errorf("%q: a ton is 1,000 kg in one country and 907 kg in another; type t for 1,000 kg, or the weight in lb", s)
	}
	return 0, fmt.Errorf("%q: %q is no unit of %s; type it like %s", s, word, m.Name, m.Example)
}

// withUnits spells out a bare number's readings: "type -3C or -3F".
func (m *Measure) withUnits(num string) string {
	var ways []string
	for i, u := range m.units {
		if i == 2 {
			break
		}
		ways = append(ways, num+strings.TrimPrefix(u.printed, "°"))
	}
	return "type " + strings.Join(ways, " or ")
}

// Both prints an inside value in the metric and the US unit: "-3 °C (26.6 °F)".
func (m *Measure) Both(v float64) string {
	s := m.in(v, 0)
	if len(m.units) > 1 {
		s += " (" + m.in(v, 1) + ")"
	}
	return s
}

// In prints an inside value in the unit of a system, "us" or "metric" (which
// is also what "" means).
func (m *Measure) In(v float64, system string) string {
	if system == "us" && len(m.units) > 1 {
		return m.in(v, 1)
	}
	return m.in(v, 0)
}

func (m *Measure) in(v float64, i int) string {
	u := m.units[i]
	n := round(v/u.factor+u.zero, m.places)
	if n == 0 {
		n = 0
	}
	text := strconv.FormatFloat(n, 'f', -1, 64)
	if u.printed == "%" {
		return text + " %"
	}
	return text + " " + u.printed
}

func round(v float64, places int) float64 {
	p := math.Pow(10, float64(places))
	return math.Round(v*p) / p
}
