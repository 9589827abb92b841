package table

import (
	"strconv"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/fields/lazy"
)

// Stamp is a date, a time of day or both, as written.
type Stamp struct {
	HasDate bool
	Day     fields.Date
	// InNumbers: the date is A/B/C with the year last or, in two digits, perhaps
	// first; Day is not set until Settle.
	InNumbers bool
	A, B, C   int
	CDigits   int

	HasTime bool
	Sec     int    // seconds after midnight; 86400 is the midnight that ends the day
	Zoned   bool   // Off counts
	Off     int    // seconds east of Greenwich
	Abbr    string // letters of a zone
}

// Wall returns the seconds from 1970 on that a clock of the stamp's zone shows.
func (s *Stamp) Wall() int64 { return int64(s.Day)*86400 + int64(s.Sec) }

// Exact reports whether the stamp has a settled date, a time and no letters of a zone.
func (s *Stamp) Exact() bool { return s.HasDate && s.HasTime && !s.InNumbers && s.Abbr == "" }

// UTC returns the instant of an exact stamp; one without a zone is in UTC.
func (s *Stamp) UTC() time.Time { return time.Unix(s.Wall()-int64(s.Off), 0).UTC() }

// Order is an order of day, month and year.
type Order uint8

// Orders of dates in numbers.
const (
	Unsettled Order = iota
	DMY
	MDY
	YMD
)

// Settle sets the date of a stamp in numbers by an order, and reports whether
// that gives a real day.
func (s *Stamp) Settle(o Order) (ok bool) {
	switch {
	case o == DMY:
		s.Day, ok = Day(century(s.C, s.CDigits), s.B, s.A)
	case o == MDY:
		s.Day, ok = Day(century(s.C, s.CDigits), s.A, s.B)
	case o == YMD && s.CDigits == 2:
		s.Day, ok = Day(century(s.A, 2), s.B, s.C)
	}
	return ok
}

func century(y, digits int) int {
	switch {
	case digits > 2:
		return y
	case y < 70:
		return 2000 + y
	}
	return 1900 + y
}

// Day returns a date of the years 1900 to 2200; ok is false if there is none such.
func Day(y, m, d int) (day fields.Date, ok bool) {
	if y < 1900 || y > 2200 || m < 1 || m > 12 || d < 1 || d > 31 {
		return 0, false
	}
	day = fields.MakeDate(y, time.Month(m), d)
	_, month, _ := day.Civil()
	return day, int(month) == m
}

// ParseStamp reads a date, or a date and a time, or a time of day alone, with an
// optional zone: 2026-10-06, 2026-10-06T05:00Z, 2026/10/06 5:00, 06/10/26 05:00
// AM, 6-Oct-2026 05:00, Oct 6, 2026, Tue 06-Oct-2026, 20261006, 20261006T0500,
// 05:00:30, 5:00 PM. ok is false for anything else; a date that does not exist is
// not ok unless it is in numbers whose order is open.
func ParseStamp(text string) (s Stamp, ok bool) {
	text = trim(text)
	if s, ok = parseISO(text); ok {
		return s, true
	}
	return parseForms(text)
}

// parseForms is ParseStamp for stamps of every form.
func parseForms(text string) (s Stamp, ok bool) {
	if len(text) > 48 || text == "" {
		return s, false
	}
	m := dateForm().FindStringSubmatch(text)
	if m == nil {
		return s, strings.ContainsAny(text, ":mM") && s.time(text)
	}
	if s, ok = parseDate(m); !ok {
		return s, false
	}
	rest := m[len(m)-1]
	if rest == "" {
		return s, true
	}
	if !strings.ContainsRune("Tt \t,_;", rune(rest[0])) {
		return s, false
	}
	rest = trim(rest[1:])
	return s, rest == "" || s.time(rest)
}

// parseISO reads the commonest stamps, such as 2026-10-06 05:00, 20261006 or
// 2026-10-06T05:00:30Z; what it does not know is left to the longer way.
func parseISO(text string) (s Stamp, ok bool) {
	if s, ok = parseMinute(text); ok {
		return s, true
	}
	layout := "2006-01-02T15:04:05"
	switch {
	case len(text) == 8 && text[2] >= '0' && text[2] <= '9':
		layout = "20060102"
	case len(text) < 10 || text[4] != '-':
		return s, false
	case len(text) == 10:
		layout = layout[:10]
	case len(text) < 16 || text[13] != ':':
		return s, false
	case text[10] == ' ':
		layout = "2006-01-02 15:04:05"
	}
	if len(text) == 16 || len(text) > 16 && text[16] != ':' {
		layout = layout[:16]
	}
	zoned := len(text) > len(layout)
	if zoned {
		layout += "Z07:00"
	}
	t, err := time.Parse(layout, text)
	if err != nil || t.Year() < 1900 || t.Year() > 2200 {
		return s, false
	}
	_, off := t.Zone()
	h, m, sec := t.Clock()
	sec += h*3600 + m*60
	day := fields.Date((t.Unix() + int64(off-sec)) / 86400)
	return Stamp{HasDate: true, Day: day, HasTime: len(layout) > 10, Sec: sec, Zoned: zoned, Off: off}, off >= -maxOffset && off <= maxOffset
}

// parseMinute is parseISO for 2026-10-06 05:00, of which a file may hold half a million.
func parseMinute(text string) (s Stamp, ok bool) {
	const form = "0000-00-00 00:00"
	if len(text) != len(form) {
		return s, false
	}
	var n [len(form)]int
	for i := range n {
		switch c := text[i]; {
		case form[i] == '0' && c >= '0' && c <= '9':
			n[i] = int(c - '0')
		case form[i] == '0' || c != form[i] && (c != 'T' || form[i] != ' '):
			return s, false
		}
	}
	hour, minute := n[11]*10+n[12], n[14]*10+n[15]
	s.Day, ok = Day(n[0]*1000+n[1]*100+n[2]*10+n[3], n[5]*10+n[6], n[8]*10+n[9])
	s.HasDate, s.HasTime, s.Sec = true, true, (hour*60+minute)*60
	return s, ok && hour < 24 && minute < 60
}

// dateForm takes a date off the front: after a weekday 20261006, three numbers, a
// day (or year), month in letters and year (or day), or a month, day and year.
var dateForm = lazy.Regexp(`(?i)^(?:(?:mon(?:day)?|tue(?:sday)?|wed(?:nesday)?|thu(?:rsday)?|fri(?:day)?|sat(?:urday)?|sun(?:day)?)[ ,.]+)?` +
	`(?:(\d{4})(\d\d)(\d\d)|(\d{1,4})([-/.])(\d{1,2})([-/.])(\d{1,4})|(\d{1,4})[-/. ]([a-z]+)[-/. ,]*(\d{1,4})|([a-z]+)[-/. ]*(\d{1,2})[-/. ,]*(\d{4}))(.*)$`)

// parseDate makes a date of what dateForm found.
func parseDate(m []string) (s Stamp, ok bool) {
	n := func(i int) int {
		v, _ := strconv.Atoi(m[i])
		return v
	}
	s.HasDate = true
	switch {
	case m[1] != "":
		s.Day, ok = Day(n(1), n(2), n(3))
	case m[4] != "" && m[5] != m[7]:
	case len(m[4]) == 4 && len(m[8]) <= 2:
		s.Day, ok = Day(n(4), n(6), n(8))
	case m[4] != "":
		s.InNumbers, s.A, s.B, s.C, s.CDigits = true, n(4), n(6), n(8), len(m[8])
		ok = len(m[4]) <= 2 && (len(m[8]) == 2 || len(m[8]) == 4)
	case len(m[9]) == 4:
		s.Day, ok = Day(n(9), month(m[10]), n(11))
	case m[9] != "":
		s.Day, ok = Day(century(n(11), len(m[11])), month(m[10]), n(9))
		ok = ok && (len(m[11]) == 2 || len(m[11]) == 4)
	default:
		s.Day, ok = Day(n(14), month(m[12]), n(13))
	}
	return s, ok
}

// month reads a month in letters: whole, its first three, or sept; 0 for none.
func month(word string) int {
	for m := time.January; m <= time.December; m++ {
		if strings.EqualFold(word, m.String()) || strings.EqualFold(word, m.String()[:3]) {
			return int(m)
		}
	}
	if strings.EqualFold(word, "sept") {
		return 9
	}
	return 0
}

// timeForm is 0530 or 053000, or 5:30, 05:30:15 with any fraction, or 5, and then AM
// or PM, and a zone.
var timeForm = lazy.Regexp(`(?i)^(?:(\d\d)(\d\d)(\d\d)?|(\d\d?)(?::(\d\d)(?::(\d\d)(?:[.,]\d*)?)?)?) *(?:([ap])m)? *(\D.*)?$`)

// time reads a time of day. One alone, without a date, is not written 0530.
func (s *Stamp) time(text string) bool {
	m := timeForm().FindStringSubmatch(text)
	if m == nil || m[1] != "" && !s.HasDate || m[4] != "" && m[5] == "" && m[7] == "" {
		return false
	}
	var n [3]int
	for i := range n {
		n[i], _ = strconv.Atoi(m[1+i] + m[4+i])
	}
	h := n[0]
	if m[7] != "" {
		if h < 1 || h > 12 {
			return false
		}
		if h %= 12; strings.EqualFold(m[7], "p") {
			h += 12
		}
	}
	if h > 24 || n[1] > 59 || n[2] > 60 || h == 24 && (n[1] > 0 || n[2] > 0) {
		return false
	}
	s.HasTime, s.Sec = true, h*3600+n[1]*60+min(n[2], 59)
	return m[8] == "" || s.Zone(m[8])
}

// zoneForm is letters and what may follow UTC.
var zoneForm = lazy.Regexp(`^([A-Z]{1,5})?([-+].*)?$`)

// Zone reads the zone of a time, which may stand apart from it.
func (s *Stamp) Zone(text string) (ok bool) {
	m := zoneForm().FindStringSubmatch(strings.ToUpper(trim(text)))
	if m == nil {
		return false
	}
	switch letters, off := m[1], m[2]; letters {
	case "", "Z", "UTC", "GMT", "UT":
		s.Zoned, ok = true, letters != "" && off == ""
		if !ok {
			s.Off, ok = ParseOffset(off)
		}
		return ok
	default:
		s.Abbr = letters
		return off == "" && len(letters) >= 3
	}
}

const maxOffset = 14*3600 + 59*60

// ParseOffset reads +hh, +hhmm, +hh:mm or -h. It returns seconds east of Greenwich.
func ParseOffset(text string) (sec int, ok bool) {
	if len(text) == 2 || len(text) > 2 && text[2] == ':' {
		text = text[:1] + "0" + text[1:]
	}
	for _, layout := range []string{"-07:00", "-0700", "-07"} {
		if t, err := time.Parse(layout, text); err == nil {
			_, sec = t.Zone()
			return sec, sec >= -maxOffset && sec <= maxOffset
		}
	}
	return 0, false
}
