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
	words   string // as typed, lower case, without spaces in a word
	area    string // for a weight of something for an area: the words of areas
	of      string // and what it is a weight of, "" if anything
	// inside value = (typed - zero) * factor
	factor, zero float64
}

// Conversion factors. The inch, pound, acre, short ton (2,000 lb) and both gallons
// are exact by definition: NIST Special Publication 811, "Guide for the Use of the
// International System of Units (SI)", 2008 edition, appendix B.8,
// https://www.nist.gov/pml/special-publication-811. The acre there is 4 046.873
// m2 (survey foot); the international acre used here, 4 840 square yards of
// 0.9144 m, differs from it by 4 parts in a million.
const (
	cmPerInch = 2.54
	cmPerFoot = 30.48
	kgPerLb   = 0.45359237
	haPerAcre = 0.40468564224

	kgPerShortTon = 2000 * kgPerLb
	litresPerUS   = 3.785411784 // gallon of the United States
	litresPerImp  = 4.54609     // imperial gallon, of Canada and Britain
)

// named is a unit as printed, the words it is typed in, and its factor.
func named(printed, words string, factor float64) unit {
	return unit{printed: printed, words: words, factor: factor}
}

// per is a weight of something for an area.
func per(printed, words, area, of string, factor float64) unit {
	return unit{printed: printed, words: words, area: area, of: of, factor: factor}
}

const (
	celsius    = "c °c degc degreesc celsius"
	fahrenheit = "f °f degf degreesf fahrenheit"
	centimetre = "cm centimetre centimetres centimeter centimeters"
	millimetre = "mm millimetre millimetres millimeter millimeters"
	metre      = "m metre metres meter meters"
	inch       = "in inch inches \" ” ″"
	foot       = "ft foot feet ' ’ ′"
	kilogram   = "kg kgs kilo kilos kilogram kilograms"
	pound      = "lb lbs pound pounds"
	tonne      = "t tonne tonnes metricton metrictons"
	shortTon   = "shortton shorttons uston ustons"
	hectare    = "ha hectare hectares"
	acre       = "ac acre acres"
	litre      = "l litre litres liter liters"
	usGallon   = "usgal usgallon usgallons"
	impGallon  = "impgal impgallon impgallons imperialgal imperialgallon imperialgallons"
)

// doubtful are words that name one unit in the United States and another elsewhere.
// A farm with US units means the first; any other is asked.
var doubtful = []struct {
	words, us, asks string
}{
	{
		"ton tons", "shorttons",
		"a ton is 2,000 lb in the United States and 1,000 kg elsewhere; type %[2]s short tons or %[2]s tonnes",
	},
	{
		"gal gals gallon gallons", "usgal",
		"a gallon is 3.785 L in the United States and 4.546 L in Canada; type %[2]s US gal or %[2]s imp gal",
	},
}

// called reports whether the unit is typed as the word.
func (u *unit) called(word string) bool {
	if u.area == "" {
		return slices.Contains(strings.Fields(u.words), word)
	}
	for _, w := range strings.Fields(u.words) {
		for _, a := range strings.Fields(u.area) {
			for _, between := range []string{"/", "per"} {
				if word == w+between+a || u.of != "" && (word == w+u.of+between+a || word == w+"of"+u.of+between+a) {
					return true
				}
			}
		}
	}
	return false
}

// Measures, with the unit they have inside.
var (
	// Temperature in °C.
	Temperature = &Measure{"a temperature", "°C", "-3C or 26F", []unit{
		named("°C", celsius, 1), {printed: "°F", words: fahrenheit, factor: 1 / 1.8, zero: 32},
	}, -90, 60, 1}
	// Difference of temperature in °C, such as a paddock's offset.
	Difference = &Measure{"a difference of temperature", "°C", "-2C or -3.6F", []unit{
		named("°C", celsius, 1), named("°F", fahrenheit, 1/1.8),
	}, -50, 50, 1}
	// Height of plants, stubble or shoots in cm.
	Height = &Measure{"a height", "cm", "61cm or 24in", []unit{
		named("cm", centimetre, 1), named("in", inch, cmPerInch), named("ft", foot, cmPerFoot),
		named("mm", millimetre, 0.1), named("m", metre, 100),
	}, 0, 1000, 1}
	// Elevation above the sea in m.
	Elevation = &Measure{"a height above the sea", "m", "610m or 2000ft", []unit{
		named("m", metre, 1), named("ft", foot, cmPerFoot/100), named("cm", centimetre, 0.01),
		named("in", inch, cmPerInch/100),
	}, -500, 9000, 1}
	// AboveGround is a thermometer's height above the ground in m.
	AboveGround = &Measure{"a height above the ground", "m", "1.5m or 5ft", []unit{
		named("m", metre, 1), named("ft", foot, cmPerFoot/100), named("cm", centimetre, 0.01),
		named("in", inch, cmPerInch/100),
	}, 0, 100, 1}
	// RainDepth in mm.
	RainDepth = &Measure{"a depth of rain", "mm", "12mm or 0.5in", []unit{
		named("mm", millimetre, 1), named("in", inch, cmPerInch*10), named("cm", centimetre, 10),
	}, 0, 2000, 2}
	// Area in ha.
	Area = &Measure{"an area", "ha", "24ha or 60ac", []unit{
		named("ha", hectare, 1), named("ac", acre, haPerAcre),
	}, 0, 1e6, 1}
	// Weight of animals or feed in kg.
	Weight = &Measure{"a weight", "kg", "600kg or 1320lb", []unit{
		named("kg", kilogram, 1), named("lb", pound, kgPerLb), named("t", tonne, 1000),
		named("short tons", shortTon, kgPerShortTon),
	}, 0, 1e8, 1}
	// Tonnage of a lot of feed in t (1,000 kg).
	Tonnage = &Measure{"a weight of feed", "t", "45t or 50 short tons", []unit{
		named("t", tonne, 1), named("short tons", shortTon, kgPerShortTon/1000), named("lb", pound, kgPerLb/1000),
		named("kg", kilogram, 0.001),
	}, 0, 1e6, 2}
	// PerArea, of standing feed, in kg/ha.
	PerArea = &Measure{"a weight for an area", "kg/ha", "2500kg/ha or 2200lb/ac", []unit{
		per("kg/ha", kilogram, hectare, "", 1), per("lb/ac", pound, acre, "", kgPerLb/haPerAcre),
		per("t/ha", tonne, hectare, "", 1000),
	}, 0, 100000, 1}
	// NitrogenRate, of nitrogen for an area, in kg N/ha.
	NitrogenRate = &Measure{"a rate of nitrogen", "kg/ha", "56kg/ha or 50lb/ac", []unit{
		per("kg/ha", kilogram, hectare, "n", 1), per("lb/ac", pound, acre, "n", kgPerLb/haPerAcre),
	}, 0, 100000, 1}
	// Drink is what a head drinks in a day, in L.
	Drink = &Measure{"what a head drinks in a day", "L", "60L or 16 US gal", []unit{
		named("L", litre, 1), named("US gal", usGallon, litresPerUS), named("imp gal", impGallon, litresPerImp),
	}, 0.5, 300, 1}
	// Percentage, 0 to 100 %.
	Percentage = &Measure{"a percentage", "%", "86%", []unit{named("%", "% percent pct", 1)}, 0, 100, 2}
	// Hours of a night.
	Hours = &Measure{"a number of hours", "h", "3h", []unit{named("h", "h hr hrs hour hours", 1)}, 0, 25, 2}
)

// Parse reads a quantity as a person types it, such as "-3C", "29.5 F" or
// "24in", and returns it in the measure's inside unit. Tons and gallons, of which
// there are two, are asked about. Errors are one plain sentence that says what to
// type.
func (m *Measure) Parse(s string) (float64, error) { return m.ParseIn(s, "") }

// ParseIn is Parse on a farm with a system of units: with "us" a ton is the short
// ton and a gallon that of the United States, but T, which is written for both a
// ton and a tonne there, is asked about.
func (m *Measure) ParseIn(s, system string) (float64, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	t = strings.NewReplacer("−", "-", "–", "-", "\u00a0", "", "\u202f", "", "\u2009", "", "º", "°").Replace(t)
	i := 0
	for i < len(t) && (t[i] >= '0' && t[i] <= '9' || t[i] == '.' || t[i] == ',' || i == 0 && (t[i] == '-' || t[i] == '+')) {
		i++
	}
	num, word := t[:i], strings.NewReplacer(" ", "", ".", "").Replace(t[i:])
	n, err := number(num)
	word, asks := m.meant(word, strings.HasSuffix(s, "T"), system)
	switch at := slices.IndexFunc(m.units, func(u unit) bool { return u.called(word) }); {
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
	case asks != "":
		return 0, fmt.Errorf("%q: "+asks, s, num)
	}
	return 0, fmt.Errorf("%q: %q is no unit of %s; type it like %s", s, word, m.Name, m.Example)
}

// meant is the word of a unit that a doubtful word means, or what must be asked.
func (m *Measure) meant(word string, capital bool, system string) (as, asks string) {
	has := func(w string) bool {
		return slices.ContainsFunc(m.units, func(u unit) bool { return u.called(w) })
	}
	if word == "t" && capital && system == "us" && has("shorttons") {
		return "T", "T stands for tons of 2,000 lb and for tonnes of 1,000 kg; type %[2]s short tons or %[2]s tonnes"
	}
	for _, d := range doubtful {
		switch {
		case !slices.Contains(strings.Fields(d.words), word) || !has(d.us):
		case system == "us":
			return d.us, ""
		default:
			return word, d.asks
		}
	}
	return word, ""
}

// withUnits spells out a bare number's readings: "type -3C or -3F".
func (m *Measure) withUnits(num string) string {
	var ways []string
	for _, u := range m.units[:min(2, len(m.units))] {
		unit := strings.TrimPrefix(u.printed, "°")
		if strings.Contains(unit, " ") {
			unit = " " + unit
		}
		ways = append(ways, num+unit)
	}
	return "type " + strings.Join(ways, " or ")
}

// Measures are the measures by the words that tables of fields have for them.
var Measures = map[string]*Measure{
	"temperature": Temperature, "difference": Difference, "height": Height, "elevation": Elevation,
	"aboveground": AboveGround, "rain": RainDepth, "area": Area, "weight": Weight, "tonnage": Tonnage,
	"perarea": PerArea, "percentage": Percentage, "hours": Hours, "nitrogen": NitrogenRate, "drink": Drink,
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
