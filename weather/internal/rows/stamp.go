package rows

import (
	"bytes"
	"strings"
	"time"
)

// Stamp is a date, a time of day or both, as written.
type Stamp struct {
	HasDate bool
	Y, M, D int
	// InNumbers: the date is A/B/C with the year last or, in two digits, perhaps
	// first; Y, M, D are not set until Settle.
	InNumbers bool
	A, B, C   int
	CDigits   int

	HasTime bool
	Sec     int // seconds after midnight; 86400 is the midnight that ends the day
	Zone    ZoneKind
	Off     int     // seconds east of Greenwich, for ZoneOffset
	Abbr    [5]byte // letters of a zone, for ZoneAbbr
}

// ZoneKind says what a stamp says about its zone.
type ZoneKind uint8

// Kinds of zone marks.
const (
	ZoneNone ZoneKind = iota
	ZoneOffset
	ZoneAbbr
)

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
func (s *Stamp) Settle(o Order) bool {
	switch o {
	case DMY:
		s.Y, s.M, s.D = century(s.C, s.CDigits), s.B, s.A
	case MDY:
		s.Y, s.M, s.D = century(s.C, s.CDigits), s.A, s.B
	case YMD:
		if s.CDigits > 2 {
			return false
		}
		s.Y, s.M, s.D = century(s.A, 2), s.B, s.C
	default:
		return false
	}
	return RealDay(s.Y, s.M, s.D)
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

var monthDays = [13]int{0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// RealDay reports whether a day exists, in the years 1900 to 2200.
func RealDay(y, m, d int) bool {
	if y < 1900 || y > 2200 || m < 1 || m > 12 || d < 1 {
		return false
	}
	last := monthDays[m]
	if m == 2 && (y%4 == 0 && y%100 != 0 || y%400 == 0) {
		last = 29
	}
	return d <= last
}

// ParseStamp reads a date, or a date and a time, or a time of day alone, with an
// optional zone: 2026-10-06, 2026-10-06T05:00Z, 2026/10/06 5:00, 06/10/26 05:00
// AM, 6-Oct-2026 05:00, Oct 6, 2026, Tue 06-Oct-2026, 20261006, 20261006T0500,
// 05:00:30, 5:00 PM. ok is false for anything else; a date that does not exist is
// not ok unless it is in numbers whose order is open.
func ParseStamp(b []byte) (s Stamp, ok bool) {
	ok = s.Parse(b)
	return s, ok
}

// Parse is ParseStamp into a stamp that is used again and again.
func (s *Stamp) Parse(b []byte) bool {
	b = Trim(b)
	if s.iso(b) {
		return true
	}
	var ok bool
	*s, ok = parseStamp(b)
	return ok
}

// iso reads the commonest stamps, 2026-10-06 05:00 with T or a space and perhaps
// seconds or Z, without detours. What it does not know it leaves to parseStamp.
func (s *Stamp) iso(b []byte) bool {
	if len(b) < 16 || len(b) > 20 {
		return false
	}
	h, rest := (*[16]byte)(b), b[16:]
	if h[4] != '-' || h[7] != '-' || h[13] != ':' || h[10] != ' ' && h[10] != 'T' {
		return false
	}
	y, m, d := two(h[0], h[1])*100+two(h[2], h[3]), two(h[5], h[6]), two(h[8], h[9])
	hh, mm, ss := two(h[11], h[12]), two(h[14], h[15]), 0
	zone := ZoneNone
	if len(rest) >= 3 && rest[0] == ':' {
		ss, rest = two(rest[1], rest[2]), rest[3:]
	}
	if len(rest) == 1 && rest[0] == 'Z' {
		zone, rest = ZoneOffset, nil
	}
	if len(rest) > 0 || hh < 0 || hh > 23 || mm < 0 || mm > 59 || ss < 0 || ss > 59 || !RealDay(y, m, d) {
		return false
	}
	*s = Stamp{HasDate: true, Y: y, M: m, D: d, HasTime: true, Sec: hh*3600 + mm*60 + ss, Zone: zone}
	return true
}

// two reads two digits; anything else is far below zero, also with a hundred of it
// added.
func two(a, b byte) int {
	x, y := a-'0', b-'0'
	if x > 9 || y > 9 {
		return -1 << 20
	}
	return int(x)*10 + int(y)
}

func parseStamp(b []byte) (s Stamp, ok bool) {
	if len(b) >= 10 && b[4] == '-' && b[7] == '-' {
		y, ok1 := num(b[0:4])
		m, ok2 := num(b[5:7])
		d, ok3 := num(b[8:10])
		if !ok1 || !ok2 || !ok3 || !RealDay(y, m, d) {
			return s, false
		}
		s.HasDate, s.Y, s.M, s.D = true, y, m, d
		return s.rest(b[10:])
	}
	if len(b) == 0 || len(b) > 48 {
		return s, false
	}
	if c := b[0]; c >= '0' && c <= '9' {
		return parseDigits(b)
	}
	return parseWords(b)
}

// rest reads what follows a date: nothing, or T or spaces or a comma and a time.
func (s Stamp) rest(b []byte) (Stamp, bool) {
	if len(b) == 0 {
		return s, true
	}
	switch b[0] {
	case 'T', 't', ' ', '\t', ',', '_', ';':
		b = bytes.TrimLeft(b[1:], " \t")
	default:
		return s, false
	}
	if len(b) == 0 {
		return s, true
	}
	return s.time(b)
}

func num(b []byte) (int, bool) {
	if len(b) == 0 || len(b) > 9 {
		return 0, false
	}
	n := 0
	for _, c := range b {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = n*10 + int(c-'0')
	}
	return n, true
}

func lead(b []byte) (digits, rest []byte) {
	i := 0
	for i < len(b) && b[i] >= '0' && b[i] <= '9' {
		i++
	}
	return b[:i], b[i:]
}

func letters(b []byte) (word, rest []byte) {
	i := 0
	for i < len(b) && (b[i] >= 'a' && b[i] <= 'z' || b[i] >= 'A' && b[i] <= 'Z') {
		i++
	}
	return b[:i], b[i:]
}

// parseDigits reads stamps that begin with a digit but are not ISO dates.
func parseDigits(b []byte) (s Stamp, ok bool) {
	first, rest := lead(b)
	if len(rest) > 0 && rest[0] == ':' || len(rest) > 0 && len(first) <= 2 && isMeridiem(rest) {
		return s.time(b)
	}
	if len(first) == 8 && (len(rest) == 0 || rest[0] == 'T' || rest[0] == ' ') {
		y, _ := num(first[:4])
		m, _ := num(first[4:6])
		d, _ := num(first[6:])
		if !RealDay(y, m, d) {
			return s, false
		}
		s.HasDate, s.Y, s.M, s.D = true, y, m, d
		return s.rest(rest)
	}
	if len(rest) < 2 || len(first) > 4 {
		return s, false
	}
	sep := rest[0]
	if sep != '/' && sep != '-' && sep != '.' && sep != ' ' {
		return s, false
	}
	rest = rest[1:]
	if w, after := letters(rest); len(w) > 0 {
		m, ok := month(w)
		if !ok || len(after) < 2 {
			return s, false
		}
		after = bytes.TrimLeft(after, "-/. ,")
		third, tail := lead(after)
		y, ok1 := num(third)
		d, ok2 := num(first)
		if !ok1 || !ok2 {
			return s, false
		}
		if len(first) == 4 {
			y, d = d, y
		} else {
			if len(third) != 2 && len(third) != 4 {
				return s, false
			}
			y = century(y, len(third))
		}
		if !RealDay(y, m, d) {
			return s, false
		}
		s.HasDate, s.Y, s.M, s.D = true, y, m, d
		return s.rest(tail)
	}
	if sep == ' ' {
		return s, false
	}
	second, rest := lead(rest)
	if len(second) == 0 || len(second) > 2 || len(rest) < 2 || rest[0] != sep {
		return s, false
	}
	third, rest := lead(rest[1:])
	x, _ := num(first)
	y, _ := num(second)
	z, ok3 := num(third)
	if !ok3 {
		return s, false
	}
	s.HasDate = true
	switch {
	case len(first) == 4 && len(third) <= 2:
		if !RealDay(x, y, z) {
			return s, false
		}
		s.Y, s.M, s.D = x, y, z
	case len(first) <= 2 && (len(third) == 2 || len(third) == 4):
		s.InNumbers, s.A, s.B, s.C, s.CDigits = true, x, y, z, len(third)
	default:
		return s, false
	}
	return s.rest(rest)
}

// month reads a month in letters: whole, its first three, or sept.
func month(w []byte) (int, bool) {
	for m := time.January; m <= time.December; m++ {
		if shortened(w, m.String()) || len(w) == 4 && shortened(w[:3], m.String()) && strings.EqualFold(string(w), "sept") {
			return int(m), true
		}
	}
	return 0, false
}

func weekday(w []byte) bool {
	for d := time.Sunday; d <= time.Saturday; d++ {
		if shortened(w, d.String()) {
			return true
		}
	}
	return false
}

// shortened reports whether w is a name or its first three letters.
func shortened(w []byte, name string) bool {
	return len(w) == 3 && strings.EqualFold(string(w), name[:3]) || len(w) == len(name) && strings.EqualFold(string(w), name)
}

// parseWords reads stamps that begin with a weekday or a month in letters.
func parseWords(b []byte) (s Stamp, ok bool) {
	w, rest := letters(b)
	if weekday(w) {
		rest = bytes.TrimLeft(rest, " ,.")
		if len(rest) == 0 {
			return s, false
		}
		s, ok = ParseStamp(rest)
		return s, ok && s.HasDate
	}
	m, ok := month(w)
	if !ok {
		return s, false
	}
	first, rest := lead(bytes.TrimLeft(rest, "-/. "))
	second, rest := lead(bytes.TrimLeft(rest, "-/. ,"))
	d, ok1 := num(first)
	y, ok2 := num(second)
	if !ok1 || !ok2 || len(second) != 4 || !RealDay(y, m, d) {
		return s, false
	}
	s.HasDate, s.Y, s.M, s.D = true, y, m, d
	return s.rest(rest)
}

func isMeridiem(b []byte) bool {
	b = bytes.TrimLeft(b, " ")
	return len(b) >= 2 && (b[0]|0x20 == 'a' || b[0]|0x20 == 'p') && b[1]|0x20 == 'm'
}

// time reads a time of day with an optional AM or PM and an optional zone.
func (s Stamp) time(b []byte) (Stamp, bool) {
	hh, b := lead(b)
	h, m, sec := 0, 0, 0
	ok := true
	switch {
	case len(hh) == 4 || len(hh) == 6: // 0530, 053000
		h, _ = num(hh[:2])
		m, _ = num(hh[2:4])
		if len(hh) == 6 {
			sec, _ = num(hh[4:])
		}
	case len(hh) == 1 || len(hh) == 2:
		h, _ = num(hh)
		if len(b) > 0 && b[0] == ':' {
			var mm []byte
			mm, b = lead(b[1:])
			if m, ok = num(mm); !ok || len(mm) != 2 {
				return s, false
			}
			if len(b) > 0 && b[0] == ':' {
				mm, b = lead(b[1:])
				if sec, ok = num(mm); !ok || len(mm) != 2 {
					return s, false
				}
				if len(b) > 1 && (b[0] == '.' || b[0] == ',') {
					_, b = lead(b[1:])
				}
			}
		} else if !isMeridiem(b) {
			return s, false
		}
	default:
		return s, false
	}
	b = bytes.TrimLeft(b, " ")
	if isMeridiem(b) {
		if h < 1 || h > 12 {
			return s, false
		}
		h %= 12
		if b[0]|0x20 == 'p' {
			h += 12
		}
		b = bytes.TrimLeft(b[2:], " ")
	}
	if h > 24 || m > 59 || sec > 60 || h == 24 && (m > 0 || sec > 0) {
		return s, false
	}
	s.HasTime, s.Sec = true, h*3600+m*60+min(sec, 59)
	return s.zone(b)
}

// WithZone returns the stamp with a zone that stands apart from it.
func (s Stamp) WithZone(b []byte) (Stamp, bool) { return s.zone(b) }

func (s Stamp) zone(b []byte) (Stamp, bool) {
	b = Trim(b)
	if len(b) == 0 {
		return s, true
	}
	if b[0] == '+' || b[0] == '-' {
		off, ok := ParseOffset(b)
		s.Zone, s.Off = ZoneOffset, off
		return s, ok
	}
	w, rest := letters(b)
	if len(w) == 0 || len(w) > 5 {
		return s, false
	}
	if isUTC(w) {
		s.Zone = ZoneOffset
		if len(rest) > 0 {
			off, ok := ParseOffset(rest)
			s.Off = off
			return s, ok
		}
		return s, true
	}
	if len(rest) > 0 || len(w) < 3 {
		return s, false
	}
	s.Zone = ZoneAbbr
	for i, c := range w {
		s.Abbr[i] = c &^ 0x20
	}
	return s, true
}

func isUTC(w []byte) bool {
	switch string(bytes.ToUpper(w)) {
	case "Z", "UTC", "GMT", "UT":
		return true
	}
	return false
}

// ParseOffset reads +hh, +hhmm, +hh:mm or -h from the beginning of b and wants
// nothing behind it. It returns seconds east of Greenwich.
func ParseOffset(b []byte) (int, bool) {
	if len(b) < 2 || b[0] != '+' && b[0] != '-' {
		return 0, false
	}
	neg := b[0] == '-'
	dd, rest := lead(b[1:])
	h, m := 0, 0
	switch len(dd) {
	case 1, 2:
		h, _ = num(dd)
		if len(rest) == 3 && rest[0] == ':' {
			var ok bool
			if m, ok = num(rest[1:]); !ok {
				return 0, false
			}
			rest = nil
		}
	case 4:
		h, _ = num(dd[:2])
		m, _ = num(dd[2:])
	default:
		return 0, false
	}
	if len(rest) > 0 || h > 14 || m > 59 {
		return 0, false
	}
	off := h*3600 + m*60
	if neg {
		off = -off
	}
	return off, true
}
