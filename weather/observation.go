package weather

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"rimegate/fields"
)

// Observation is one reading of a thermometer at one instant.
type Observation struct {
	At      time.Time
	TempC   float64 // air temperature in °C; only if HasTemp
	HasTemp bool
	Below   bool     // known to be below zero, without a number
	DewC    *float64 // dew point in °C
	WindMS  *float64 // wind speed in m/s
}

// Spell is the lowest temperature of a stretch of time, where a report gives a
// minimum and not a reading: the 6-hour and 24-hour groups of a METAR, the
// minimum of the last 24 hours, the low of an interval of a logger.
type Spell struct {
	From, To time.Time
	MinC     float64
	Below    bool   // known to be below zero, without a number
	What     string // such as "6-hour minimum"
}

// Failed is a reading that failed the checks of its source.
type Failed struct {
	At    time.Time
	TempC float64
}

// NightLow is what one source says of one night.
type NightLow struct {
	Night fields.Date
	LowC  *float64 // lowest temperature read in °C; nil if only the sign is known
	Below bool     // known to be below zero by a sign without a number
	// Covers says that the source read the whole night: with false a low still
	// counts as evidence of frost, but a mild one does not show that there was none.
	Covers         bool
	Part           bool          // a daily minimum of part of its 24 hours
	Spans          []fields.Span // the parts that were read, of a night not covered; nil if not known
	HoursBelow0    *float64      // hours at or below 0 °C; nil if not known
	HoursBelowKill *float64      // hours at or below -2.2 °C (28 °F); nil if not known
	Rebuilt        *Rebuilt      // hours worked out from daily extremes; nil if none. Never beside measured ones
	Source         string
	Uncertain      string // why the low may belong to another night, or why it is partial
}

// Reject is a row that could not be used, and why.
type Reject struct {
	Line int
	What string
}

// MaxRejects is how many rejected rows a Result spells out.
const MaxRejects = 20

// Result is what a reader found. Every row read is in exactly one count:
// Read = Kept + Rejected + Missing + Doubled + Skipped.
type Result struct {
	Format  string
	Station string // name in the file, if any; cleaned for printing
	Unit    string // as decided, in words

	Read     int // rows (or reports) with anything in them
	Kept     int // rows whose value was used
	Rejected int // rows refused, with a reason
	Missing  int // rows that say themselves that the value is missing
	Doubled  int // rows that repeat an earlier one exactly
	Skipped  int // rows about another station or another quantity
	Hot      int // of the rejected, those that are too warm for °C and would do in °F

	Rejects      []Reject // the first MaxRejects
	Observations []Observation
	Spells       []Spell
	Failed       []Failed
	Nights       []NightLow        // of formats that give daily minima, or of ReadNights
	Forecasts    []fields.Forecast // of formats that give forecasts
	Notes        []string          // what was decided on the way, for a person to read
	WindUnread   string            // a wind column that was not read, since its name says no unit
}

// InFahrenheit reports whether the values of the file are in °F; if each says its own
// unit, whether all of them are.
func (r *Result) InFahrenheit() bool { return strings.HasPrefix(r.Unit, "degrees Fahrenheit") }

// Reject counts a rejected row and keeps the reason of the first ones.
func (r *Result) Reject(line int, what string) {
	r.Rejected++
	if len(r.Rejects) < MaxRejects {
		r.Rejects = append(r.Rejects, Reject{line, what})
	}
}

// Note adds a note unless it was said already.
func (r *Result) Note(s string) {
	if !slices.Contains(r.Notes, s) {
		r.Notes = append(r.Notes, s)
	}
}

// Options tells a reader what the file itself does not say. The zero value is
// not usable: Loc is required.
type Options struct {
	Loc *time.Location // the farm's zone; local stamps are read in it
	// Unit is "C" or "F" and overrides what the file says; "" lets the file say.
	Unit string
	// Station picks one station of a file, by name or id; "" takes the only one.
	Station string
	// Clock says what the stamps without a zone are: "local" farm time with its
	// summer time, "standard" the zone's standard time all year, "utc", or the IANA
	// name of another zone. With "" a file that leaves it open is refused.
	Clock string
	// DateOrder settles dates in numbers alone: "dmy", "mdy" or "ymd".
	DateOrder string
	// Place is where the station stands, for files that do not say it: sunrise and
	// sunset serve the hours reconstructed from daily extremes. May be nil.
	Place *Place
	// Farm is where the farm lies: a night is read until its sunrise there. May be nil.
	Farm *Place
	// Month is the month of the first report, YYYY-MM in UTC, of formats whose reports
	// carry the day alone, such as METAR.
	Month string
	// Received is when the file was, for forecasts that do not say when they were made.
	Received time.Time
}

// Check returns a plain error for options that cannot be used.
func (o Options) Check() error {
	zone := true
	if !slices.Contains([]string{"", "local", "standard", "utc"}, o.Clock) {
		_, err := fields.LoadZone(o.Clock)
		zone = err == nil
	}
	_, err := time.Parse("2006-01", o.Month)
	for _, c := range []struct {
		ok                      bool
		field, typed, is, write string
	}{
		{o.Loc != nil, "zone", "", "the farm's time zone is not set", "set it first, such as America/Regina"},
		{slices.Contains([]string{"", "C", "F"}, o.Unit), "unit", o.Unit, " is not a unit of temperature", "type C or F"},
		{zone, "clock", o.Clock, " is not a clock", "type local, standard, utc or a zone such as America/Denver"},
		{err == nil || o.Month == "", "month", o.Month, " is not a month", "type year and month in numbers, like 2026-10"},
		{
			slices.Contains([]string{"", "dmy", "mdy", "ymd"}, o.DateOrder), "date order", o.DateOrder,
			" is not an order of day, month and year", "type dmy, mdy or ymd",
		},
	} {
		if !c.ok {
			if c.typed != "" {
				c.is = Quote(c.typed) + c.is
			}
			return fields.Problem{Field: c.field, What: c.is, Type: c.write}
		}
	}
	return nil
}

// Sink receives what a reader finds, row by row, so that a file of any length
// needs no memory of its own.
type Sink struct {
	// TempOnly says that dew point and wind are not wanted, which saves their
	// reading.
	TempOnly bool
	Observe  func(Observation)
	Spell    func(Spell)
	Failed   func(Failed)
	Reset    func() // forget everything so far: the rows were of another station
}

// Limits of what an air temperature on Earth can be, in °C. The coldest and
// hottest accepted records are -89.2 °C and 56.7 °C (World Meteorological
// Organization, World Weather and Climate Extremes Archive,
// https://wmo.asu.edu/ ; figures from memory). The journal's own bounds are the
// same.
const (
	MinPossibleC = -90
	MaxPossibleC = 60
)

// Possible reports whether c can be an air temperature in °C.
func Possible(c float64) bool { return c >= MinPossibleC && c <= MaxPossibleC }

// FtoC converts degrees Fahrenheit to Celsius, rounded to a ten-thousandth so
// that 37.94 °F is 3.3 °C and not a hair below.
func FtoC(f float64) float64 { return math.Round((f-32)*5/9*1e4) / 1e4 }

// Count writes a number with its noun: "1 row", "3 rows".
func Count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}

// Clean makes text from a file fit to print: no control or invisible
// characters, single spaces, at most n runes.
func Clean(s string, n int) string {
	var b strings.Builder
	space, count := false, 0
	for _, r := range strings.ToValidUTF8(s, "?") {
		if unicode.IsSpace(r) || !unicode.IsPrint(r) {
			space = b.Len() > 0
			continue
		}
		if count >= n {
			b.WriteString("...")
			break
		}
		if space {
			b.WriteByte(' ')
			space = false
			count++
		}
		b.WriteRune(r)
		count++
	}
	return b.String()
}

// Quote cleans text from a file and puts it in quotation marks for a message.
func Quote(s string) string { return `"` + Clean(s, 40) + `"` }
