package rows

import (
	"bytes"
	"time"

	"rimegate/weather/internal/civil"
)

// Clock turns local stamps into instants. It remembers the last day's offset,
// so that a long file costs no zone look-up per row, and the last instant, so
// that the hour that autumn shows twice is told apart by the order of the rows.
type Clock struct {
	loc  *time.Location
	zone civil.Zone
	mode Mode
	off  int // for ModeOffset

	year    int // of yearOff, 0 for none
	yearOff int // standard time of that year

	day      int64 // days since 1970 of the cached day
	cached   bool
	uniform  bool
	dayOff   int
	prev     int64
	havePrev bool
	falling  bool // the rows run from new to old
	open     bool // the stamp at hand was of two instants

	Twice   int // stamps in an hour that comes twice
	Skipped int // stamps in an hour that spring skips
}

// Mode says what clock stamps without a zone follow.
type Mode uint8

// Clocks of stamps without a zone.
const (
	ModeLocal    Mode = iota // the zone with its summer time
	ModeStandard             // the zone's standard time all year
	ModeOffset               // a fixed offset
)

// NewClock returns a clock for a zone. offset is used by ModeOffset, in seconds
// east of Greenwich.
func NewClock(loc *time.Location, mode Mode, offset int) *Clock {
	return &Clock{loc: loc, zone: civil.New(loc), mode: mode, off: offset}
}

// Days returns the days from 1970-01-01 to a date.
func Days(y, m, d int) int64 {
	// Count from 1 March, so that the leap day comes last.
	if m <= 2 {
		y--
		m += 12
	}
	return int64(365*y+y/4-y/100+y/400+(153*(m-3)+2)/5+d-1) - 719468
}

// Unix returns the instant of a stamp with date and time in seconds since 1970.
// why is not empty if the stamp's zone is not understood.
func (c *Clock) Unix(s *Stamp) (t int64, why string) {
	day := Days(s.Y, s.M, s.D)
	naive := day*86400 + int64(s.Sec)
	switch {
	case s.Zone == ZoneOffset:
		t = naive - int64(s.Off)
	case s.Zone == ZoneAbbr:
		off, ok := c.abbr(s)
		if !ok {
			return 0, "the zone " + string(bytes.TrimRight(s.Abbr[:], "\x00")) + " is not one of the farm's"
		}
		t = naive - int64(off)
	case c.mode == ModeOffset:
		t = naive - int64(c.off)
	case c.mode == ModeStandard:
		if s.Y != c.year {
			c.year, c.yearOff = s.Y, StandardOffset(c.loc, s.Y)
		}
		t = naive - int64(c.yearOff)
	default:
		t = c.local(day, naive)
	}
	if c.havePrev && t != c.prev && !c.open {
		c.falling = t < c.prev
	}
	c.open = false
	c.prev, c.havePrev = t, true
	return t, ""
}

func (c *Clock) offsetAt(t int64) int {
	_, off := time.Unix(t, 0).In(c.loc).Zone()
	return off
}

func (c *Clock) local(day, naive int64) int64 {
	if !c.cached || day != c.day {
		c.cached, c.day = true, day
		off, steady := c.zone.Steady(day)
		if steady {
			c.uniform, c.dayOff = true, int(off)
			return naive - off
		}
		guess := int64(c.offsetAt(day * 86400))
		c.dayOff = c.offsetAt(day*86400 - guess - 3600)
		c.uniform = c.dayOff == c.offsetAt(day*86400+86400-guess+3600)
	}
	if c.uniform {
		return naive - int64(c.dayOff)
	}
	// A day of change: the offset before it and the one after it both offer a
	// reading of the stamp.
	before := c.offsetAt(naive - 86400 - int64(c.dayOff))
	after := c.offsetAt(naive + 86400 - int64(c.dayOff))
	early, late := naive-int64(max(before, after)), naive-int64(min(before, after))
	okEarly := c.offsetAt(early) == max(before, after)
	okLate := c.offsetAt(late) == min(before, after)
	switch {
	case okEarly && okLate && early != late:
		c.Twice++
		c.open = true
		switch {
		case !c.havePrev:
		case !c.falling && c.prev >= early && c.prev < late: // the first pass is over
			return late
		case c.falling && c.prev > late: // the second pass is not over yet
			return late
		}
		return early
	case okEarly:
		return early
	case okLate:
		return late
	}
	c.Skipped++
	return naive - int64(before) // what a clock that was not put forward shows
}

func (c *Clock) abbr(s *Stamp) (int, bool) {
	want := string(bytes.TrimRight(s.Abbr[:], "\x00"))
	for _, m := range []time.Month{time.January, time.July} {
		name, off := time.Date(s.Y, m, 1, 12, 0, 0, 0, c.loc).Zone()
		if name == want {
			return off, true
		}
	}
	return 0, false
}

// StandardOffset returns a zone's offset outside summer time in a year, in
// seconds east of Greenwich.
func StandardOffset(loc *time.Location, year int) int {
	_, jan := time.Date(year, 1, 1, 12, 0, 0, 0, loc).Zone()
	_, jul := time.Date(year, 7, 1, 12, 0, 0, 0, loc).Zone()
	return min(jan, jul)
}
