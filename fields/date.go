package fields

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// Date is a calendar day, counted in days from 1 January 1970 in the
// proleptic Gregorian calendar. It has no clock time and no zone: the farm's
// zone decides once, when an instant becomes a date. The zero value means
// "no date said"; 1 January 1970 itself cannot be written, which costs a farm
// journal nothing.
type Date int32

// NoDate is the zero Date: nobody said when.
const NoDate Date = 0

// MakeDate returns the date of year, month and day.
func MakeDate(year int, month time.Month, day int) Date {
	return Date(time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// DateOf returns the local date of t in loc.
func DateOf(t time.Time, loc *time.Location) Date {
	y, m, d := t.In(loc).Date()
	return MakeDate(y, m, d)
}

// Civil returns year, month and day.
func (d Date) Civil() (year int, month time.Month, day int) { return d.utc().Date() }

func (d Date) utc() time.Time { return time.Unix(int64(d)*86400, 0).UTC() }

// At returns the instant of hour:minute on d in loc. In the hour that
// daylight saving skips, time.Date's rule applies.
func (d Date) At(hour, minute int, loc *time.Location) time.Time {
	y, m, day := d.Civil()
	return time.Date(y, m, day, hour, minute, 0, 0, loc)
}

// Add returns the date n days later.
func (d Date) Add(n int) Date { return d + Date(n) }

// Sub returns the days from e to d.
func (d Date) Sub(e Date) int { return int(d - e) }

// Weekday returns the day of the week.
func (d Date) Weekday() time.Weekday { return d.utc().Weekday() }

// IsZero reports whether no date was said.
func (d Date) IsZero() bool { return d == NoDate }

// String returns the ISO 8601 form, 2026-09-17, or "" for no date.
func (d Date) String() string {
	if d == NoDate {
		return ""
	}
	y, m, day := d.Civil()
	return fmt.Sprintf("%04d-%02d-%02d", y, int(m), day)
}

// Words returns the printed form, weekday and month in letters:
// "Thu 17 Sep 2026". Numeric months flip between countries; letters do not.
func (d Date) Words() string { return d.format("Mon 2 Jan 2006") }

// Short returns "Thu 17 Sep", for lists whose year is plain.
func (d Date) Short() string { return d.format("Mon 2 Jan") }

// Beside returns Short where the year is that of the day asked about, else Words.
func (d Date) Beside(on Date) string {
	if d.Year() == on.Year() {
		return d.Short()
	}
	return d.Words()
}

// Typed returns "17-Sep-2026", the form to type: one word on a command line.
func (d Date) Typed() string { return d.format("2-Jan-2006") }

func (d Date) format(layout string) string {
	if d == NoDate {
		return "no date"
	}
	return d.utc().Format(layout)
}

// MarshalText writes the ISO form.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads the ISO form only; people's forms go through ParseDate.
func (d *Date) UnmarshalText(b []byte) error {
	v, err := ParseISODate(string(b))
	if err != nil {
		return err
	}
	*d = v
	return nil
}

// ParseISODate reads 2026-09-17 and nothing else. Years run from 1900 to 2200.
func ParseISODate(s string) (Date, error) {
	if len(s) == 10 && s[4] == '-' && s[7] == '-' {
		y, e1 := digits(s[0:4])
		m, e2 := digits(s[5:7])
		d, e3 := digits(s[8:10])
		if e1 && e2 && e3 && realDay(y, m, d) {
			return MakeDate(y, time.Month(m), d), nil
		}
	}
	return NoDate, fmt.Errorf("%q is not a date; write it like 2026-09-17", s)
}

func digits(s string) (int, bool) {
	n := 0
	for i := 0; i < len(s); i++ {
		if s[i] < '0' || s[i] > '9' {
			return 0, false
		}
		n = n*10 + int(s[i]-'0')
	}
	return n, len(s) > 0
}

func realDay(y, m, d int) bool {
	if y < 1900 || y > 2200 || m < 1 || m > 12 || d < 1 || d > 31 {
		return false
	}
	t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	return t.Day() == d && t.Year() != 1970 || t.Day() == d && t.YearDay() != 1
}

var monthWords = map[string]time.Month{
	"jan": 1, "feb": 2, "mar": 3, "apr": 4, "may": 5, "jun": 6,
	"jul": 7, "aug": 8, "sep": 9, "sept": 9, "oct": 10, "nov": 11, "dec": 12,
	"january": 1, "february": 2, "march": 3, "april": 4, "june": 6, "july": 7,
	"august": 8, "september": 9, "october": 10, "november": 11, "december": 12,
}

// longAgo is the most days back that a day without its year may lie: beyond it
// a coming day, or a slip, is as likely. Ours.
const longAgo = 200

// ParseDate reads a date as a person types it, given the farm's today: today,
// yesterday, tomorrow, 2026-09-17, 17-Sep-2026, 17-Sep, "Sep 17" or
// "Thu 17 Sep 2026". Without a year it is the latest such day that is not
// after tomorrow, and is refused if that lies more than 200 days back. A date
// in numbers alone, such as 06/10/26, is refused with its readings spelled out,
// because the month's place flips between countries.
func ParseDate(s string, today Date) (Date, error) {
	d, yearless, err := parseDate(s, today)
	if err == nil && d <= NoDate {
		return NoDate, fmt.Errorf("%q is in %d: is the year right? For what is older than 1970 type 1-Jan-1971", s, d.utc().Year())
	}
	if err != nil || !yearless || today.Sub(d) <= longAgo {
		return d, err
	}
	next, _, err := parseDate(s, today.Add(365))
	if err != nil || next == d { // 29 February
		return NoDate, fmt.Errorf("%q was last %s, %d days ago; type the year too, like %s", s, d.Words(), today.Sub(d), d.Typed())
	}
	return NoDate, fmt.Errorf("%q was last %s, %d days ago, and is next %s; type the year too: %s or %s",
		s, d.Words(), today.Sub(d), next.Words(), d.Typed(), next.Typed())
}

// IsRelative reports whether s names a day by the day on which it is typed:
// today, yesterday, tomorrow, or a day without its year.
func IsRelative(s string) bool {
	a, _, err := parseDate(s, MakeDate(2001, 1, 1))
	b, _, err2 := parseDate(s, MakeDate(2101, 1, 1))
	return err != nil || err2 != nil || a != b
}

// parseDate is ParseDate without its limit; it says whether the year was left
// out.
func parseDate(s string, today Date) (d Date, yearless bool, err error) {
	t := strings.ToLower(strings.TrimSpace(s))
	switch t {
	case "":
		return NoDate, false, fmt.Errorf("no date given; type today, yesterday or one like 17-Sep-2026")
	case "today":
		return today, false, nil
	case "yesterday":
		return today - 1, false, nil
	case "tomorrow":
		return today + 1, false, nil
	}
	if d, err := ParseISODate(t); err == nil {
		return d, false, nil
	}
	parts := strings.FieldsFunc(t, func(r rune) bool { return r == ' ' || r == '-' || r == '/' || r == '.' || r == ',' })
	weekday := ""
	if len(parts) > 1 && isWeekday(parts[0]) {
		weekday, parts = parts[0], parts[1:]
	}
	d, err = parseParts(s, parts, today)
	if err == nil && weekday != "" && !strings.HasPrefix(strings.ToLower(d.Weekday().String()), weekday) {
		return NoDate, false, fmt.Errorf("%q: %s is a %s; check the day", s, d.Words(), d.Weekday())
	}
	return d, len(parts) == 2, err
}

func isWeekday(s string) bool {
	if len(s) < 3 {
		return false
	}
	for d := time.Sunday; d <= time.Saturday; d++ {
		if strings.HasPrefix(strings.ToLower(d.String()), s) {
			return true
		}
	}
	return false
}

func parseParts(s string, parts []string, today Date) (Date, error) {
	bad := fmt.Errorf("%q is not a date; type today, yesterday or one like 17-Sep-2026", s)
	if len(parts) < 2 || len(parts) > 3 {
		return NoDate, bad
	}
	month, day, letters := time.Month(0), 0, false
	for _, p := range parts[:2] {
		if m, ok := monthWords[p]; ok && !letters {
			month, letters = m, true
		} else if n, ok := digits(p); ok && len(p) <= 2 {
			day = n
		}
	}
	if !letters {
		return NoDate, numericRefusal(s, parts, bad)
	}
	if len(parts) == 3 {
		y, ok := digits(parts[2])
		if !ok || len(parts[2]) != 4 || !realDay(y, int(month), day) {
			return NoDate, bad
		}
		return MakeDate(y, month, day), nil
	}
	ty, _, _ := today.Civil()
	for y := ty + 1; y >= ty-8; y-- {
		if realDay(y, int(month), day) && MakeDate(y, month, day) <= today+1 {
			return MakeDate(y, month, day), nil
		}
	}
	return NoDate, bad
}

func numericRefusal(s string, parts []string, bad error) error {
	if len(parts) != 3 {
		return bad
	}
	var n [3]int
	for i, p := range parts {
		v, ok := digits(p)
		if !ok {
			return bad
		}
		n[i] = v
	}
	year := n[2]
	if len(parts[2]) <= 2 {
		year += 2000
	}
	var readings []Date
	add := func(y, m, d int) {
		if realDay(y, m, d) {
			if w := MakeDate(y, time.Month(m), d); !slices.Contains(readings, w) {
				readings = append(readings, w)
			}
		}
	}
	add(year, n[1], n[0])
	add(year, n[0], n[1])
	if len(parts[0]) == 4 {
		add(n[0], n[1], n[2])
	}
	switch len(readings) {
	case 0:
		return bad
	case 1:
		return fmt.Errorf("%q has the month in numbers; if you mean %s, type %s", s, readings[0].Words(), readings[0].Typed())
	}
	words := make([]string, len(readings))
	for i, d := range readings {
		words[i] = d.Words()
	}
	return fmt.Errorf("%q can be %s; type the month in letters, like %s", s, strings.Join(words, " or "), readings[0].Typed())
}

// MonthDay is a day of any year, such as 15 September.
type MonthDay struct {
	Month time.Month
	Day   int
}

// ParseMonthDay reads MM-DD.
func ParseMonthDay(s string) (MonthDay, error) {
	if len(s) == 5 && s[2] == '-' {
		m, ok1 := digits(s[:2])
		d, ok2 := digits(s[3:])
		if ok1 && ok2 && realDay(2000, m, d) {
			return MonthDay{time.Month(m), d}, nil
		}
	}
	return MonthDay{}, fmt.Errorf("%q is not a month and day; write it like 09-15", s)
}

// String returns MM-DD.
func (m MonthDay) String() string { return fmt.Sprintf("%02d-%02d", int(m.Month), m.Day) }

// MarshalText writes MM-DD.
func (m MonthDay) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads MM-DD.
func (m *MonthDay) UnmarshalText(b []byte) error {
	v, err := ParseMonthDay(string(b))
	if err != nil {
		return err
	}
	*m = v
	return nil
}

// Watch is the part of the year in which a night without a reading counts as
// unread. It may wrap the year's end.
type Watch struct {
	From MonthDay `json:"from"`
	To   MonthDay `json:"to"`
	// Record is the station record the watch was taken from, nil for none.
	Record *WatchRecord `json:"record,omitempty"`
}

// WatchRecord is what a long station record says of the first and last cold
// nights of the year, so that a watch taken from it can be judged again.
type WatchRecord struct {
	Station  string      `json:"station"`
	Seasons  int         `json:"seasons"` // whole seasons read, void ones left out
	FromYear int         `json:"from_year"`
	ToYear   int         `json:"to_year"`
	Lines    []WatchLine `json:"lines"`
}

// WatchLine says on which days of the year the record came down to a line: the
// earliest of an autumn, the latest of a spring.
type WatchLine struct {
	LineC    float64  `json:"line_c"`
	Earliest MonthDay `json:"earliest"`
	Latest   MonthDay `json:"latest"`
}

func (r *WatchRecord) problems() []string {
	var out []string
	if strings.TrimSpace(r.Station) == "" {
		out = append(out, "the record names no station")
	}
	if r.Seasons < 1 || r.FromYear < 1700 || r.ToYear > 2200 || r.ToYear-r.FromYear+1 < r.Seasons {
		out = append(out, fmt.Sprintf("a record of %d seasons from %d to %d cannot be", r.Seasons, r.FromYear, r.ToYear))
	}
	if len(r.Lines) == 0 {
		out = append(out, "the record says no line")
	}
	for _, l := range r.Lines {
		if math.IsNaN(l.LineC) || l.LineC < -30 || l.LineC > 30 || l.Earliest.Month == 0 || l.Latest.Month == 0 {
			out = append(out, "a line of the record is not whole")
		}
	}
	return out
}

// Covers reports whether d lies in the watch, ends included.
func (w Watch) Covers(d Date) bool {
	_, m, day := d.Civil()
	k := int(m)*32 + day
	from := int(w.From.Month)*32 + w.From.Day
	to := int(w.To.Month)*32 + w.To.Day
	if from <= to {
		return from <= k && k <= to
	}
	return k >= from || k <= to
}

// WholeYear reports whether the watch leaves no day of the year out.
func (w Watch) WholeYear() bool {
	for d := MakeDate(2000, 1, 1); d < MakeDate(2001, 1, 1); d++ {
		if !w.Covers(d) {
			return false
		}
	}
	return true
}

// NightOf returns the date of the night that holds the instant t: a night of D
// runs from 12:00 on D-1 up to 12:00 on D, farm time.
func NightOf(t time.Time, loc *time.Location) Date {
	l := t.In(loc)
	d := DateOf(l, loc)
	if l.Hour() >= 12 {
		return d + 1
	}
	return d
}

// NightSpan returns the instants between which the night of d lies:
// start included, end excluded. Across daylight saving it is 23 or 25 hours.
func NightSpan(d Date, loc *time.Location) (start, end time.Time) {
	return (d - 1).At(12, 0, loc), d.At(12, 0, loc)
}

// Year returns the date's year as a number; handy in season arithmetic.
func (d Date) Year() int { y, _, _ := d.Civil(); return y }
