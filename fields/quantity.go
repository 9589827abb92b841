package fields

import (
	"errors"
	"fmt"
	"math"
	"slices"
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

// named is a unit as printed, the words it is typed in, and its factor.
func named(printed, words string, factor float64) unit {
	return unit{printed: printed, words: strings.Fields(words), factor: factor}
}

const (
	celsius    = "c °c degc celsius"
	fahrenheit = "f °f degf fahrenheit"
	inch       = "in inch inches \" ”"
	foot       = "ft foot feet"
	pound      = "lb lbs pound pounds"
	tonne      = "t tonne tonnes"
)

// Measures, with the unit they have inside.
var (
	// Temperature in °C.
	Temperature = &Measure{"a temperature", "°C", "-3C or 26F", []unit{
		named("°C", celsius, 1), {"°F", strings.Fields(fahrenheit), 1 / 1.8, 32},
	}, -90, 60, 1}
	// Difference of temperature in °C, such as a paddock's offset.
	Difference = &Measure{"a difference of temperature", "°C", "-2C or -3.6F", []unit{
		named("°C", celsius, 1), named("°F", fahrenheit, 1/1.8),
	}, -50, 50, 1}
	// Height of plants, stubble or shoots in cm.
	Height = &Measure{"a height", "cm", "61cm or 24in", []unit{
		named("cm", "cm", 1), named("in", inch, cmPerInch), named("ft", foot, cmPerFoot), named("mm", "mm", 0.1), named("m", "m", 100),
	}, 0, 1000, 1}
	// Elevation above the sea, or a thermometer's height above ground, in m.
	Elevation = &Measure{"a height in the land", "m", "610m or 2000ft", []unit{
		named("m", "m", 1), named("ft", foot, cmPerFoot/100), named("cm", "cm", 0.01),
	}, -500, 9000, 1}
	// RainDepth in mm.
	RainDepth = &Measure{"a depth of rain", "mm", "12mm or 0.5in", []unit{
		named("mm", "mm", 1), named("in", inch, cmPerInch*10), named("cm", "cm", 10),
	}, 0, 2000, 2}
	// Area in ha.
	Area = &Measure{"an area", "ha", "24ha or 60ac", []unit{
		named("ha", "ha hectare hectares", 1), named("ac", "ac acre acres", haPerAcre),
	}, 0, 1e6, 1}
	// Weight of animals or feed in kg.
	Weight = &Measure{"a weight", "kg", "600kg or 1320lb", []unit{
		named("kg", "kg", 1), named("lb", pound, kgPerLb), named("t", tonne, 1000),
	}, 0, 1e8, 1}
	// Tonnage of a lot of feed in t (1,000 kg).
	Tonnage = &Measure{"a weight of feed", "t", "45t or 99000lb", []unit{
		named("t", tonne, 1), named("lb", pound, kgPerLb/1000), named("kg", "kg", 0.001),
	}, 0, 1e6, 2}
	// PerArea, of nitrogen or standing feed, in kg/ha.
	PerArea = &Measure{"a weight for an area", "kg/ha", "56kg/ha or 50lb/ac", []unit{
		named("kg/ha", "kg/ha", 1), named("lb/ac", "lb/ac lbs/ac lb/acre lbs/acre", kgPerLb/haPerAcre),
	}, 0, 100000, 1}
	// Percentage, 0 to 100 %.
	Percentage = &Measure{"a percentage", "%", "86%", []unit{named("%", "% percent pct", 1)}, 0, 100, 2}
	// Hours of a night.
	Hours = &Measure{"a number of hours", "h", "3h", []unit{named("h", "h hr hrs hour hours", 1)}, 0, 25, 2}
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
	n, err := number(num)
	switch at := slices.IndexFunc(m.units, func(u unit) bool { return slices.Contains(u.words, word) }); {
	case errors.Is(err, errComma):
		return 0, fmt.Errorf("%q %w, like %s", s, err, m.Example)
	case err != nil:
		return 0, fmt.Errorf("%q is not %s; type it with its unit, like %s", s, m.Name, m.Example)
	case word == "" && n == 0 && m != Temperature && m.lo <= 0:
		return 0, nil // nothing is nothing in every unit, temperatures apart
	case word == "":
		return 0, fmt.Errorf("%q has no unit; %s", s, m.withUnits(num))
	case at >= 0:
		u := m.units[at]
		v := (n - u.zero) * u.factor
		if v < m.lo || v > m.hi {
			return 0, fmt.Errorf("%q cannot be; %s lies between %s and %s", s, m.Name, m.Both(m.lo), m.Both(m.hi))
		}
		// Typed decimal fractions come back as typed: 26 °F is -3.33333 °C, not
		// -3.333333333333333, and 24 in is 60.96 cm; and there is no negative zero.
		return round(v, 5) + 0, nil
	case word == "ton", word == "tons":
		return 0, fmt.Errorf("%q: a ton is 1,000 kg in one country and 907 kg in another; type t for 1,000 kg, or the weight in lb", s)
	}
	return 0, fmt.Errorf("%q: %q is no unit of %s; type it like %s", s, word, m.Name, m.Example)
}

// withUnits spells out a bare number's readings: "type -3C or -3F".
func (m *Measure) withUnits(num string) string {
	var ways []string
	for _, u := range m.units[:min(2, len(m.units))] {
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

// Typed is an inside value as it can be typed so that the same comes back: in the unit
// of a system where that is exact, else in that of the other, else with every decimal.
func (m *Measure) Typed(v float64, system string) string {
	for _, s := range []string{m.In(v, system), m.in(v, 0), m.in(v, min(1, len(m.units)-1))} {
		if back, err := m.Parse(s); err == nil && back == v {
			return s
		}
	}
	return strconv.FormatFloat(v, 'f', -1, 64) + " " + m.units[0].printed
}

func (m *Measure) in(v float64, i int) string {
	u := m.units[i]
	return Rounded(v/u.factor+u.zero, m.places) + " " + u.printed
}

// Rounded prints v with at most so many decimals.
func Rounded(v float64, places int) string {
	return strconv.FormatFloat(round(v, places)+0, 'f', -1, 64)
}

func round(v float64, places int) float64 {
	p := math.Pow(10, float64(places))
	return math.Round(v*p) / p
}
