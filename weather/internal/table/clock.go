package table

import (
	"math"
	"time"
)

// Clock turns local stamps into instants. It remembers the last instant, so that
// the hour that autumn shows twice is told apart by the order of the rows.
type Clock struct {
	loc  *time.Location
	mode Mode
	off  int64 // for ModeOffset, and of the year for ModeStandard
	year int

	// The stretch between two changes of the zone that was asked about last, in
	// seconds since 1970, and its offset: files ask of the same one over and over.
	from, to, offset int64

	prev     int64
	havePrev bool
	falling  bool // the rows run from new to old

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
	return &Clock{loc: loc, mode: mode, off: int64(offset)}
}

// Instant returns the instant of a stamp with date and time. why is not empty if the
// stamp's zone is not understood.
func (c *Clock) Instant(s *Stamp) (at time.Time, why string) {
	naive := s.Wall()
	t, open := naive-int64(s.Off), false
	switch {
	case s.Abbr != "":
		off, ok := c.abbr(s)
		if !ok {
			return time.Time{}, "the zone " + s.Abbr + " is not one of the farm's"
		}
		t = naive - int64(off)
	case s.Zoned:
	case c.mode == ModeLocal:
		t, open = c.local(naive)
	default:
		if y, _, _ := s.Day.Civil(); c.mode == ModeStandard && y != c.year {
			c.year, c.off = y, int64(StandardOffset(c.loc, y))
		}
		t = naive - c.off
	}
	if c.havePrev && t != c.prev && !open {
		c.falling = t < c.prev
	}
	c.prev, c.havePrev = t, true
	return time.Unix(t, 0).UTC(), ""
}

// local reads a clock with summer time. open says that the stamp was of two
// instants.
func (c *Clock) local(naive int64) (t int64, open bool) {
	about := naive - c.offsetAt(naive)
	before, after := c.offsetAt(about-86400), c.offsetAt(about+86400)
	if before == after {
		return naive - before, false
	}
	// A day of change: the offset before it and the one after it both offer a
	// reading of the stamp.
	early, late := naive-max(before, after), naive-min(before, after)
	okEarly := c.offsetAt(early) == max(before, after)
	okLate := c.offsetAt(late) == min(before, after)
	switch {
	case okEarly && okLate:
		c.Twice++
		// Forwards the first pass may be over; backwards the second may not be yet.
		if c.havePrev && (!c.falling && c.prev >= early && c.prev < late || c.falling && c.prev > late) {
			return late, true
		}
		return early, true
	case okEarly:
		return early, false
	case okLate:
		return late, false
	}
	c.Skipped++
	return naive - before, false // what a clock that was not put forward shows
}

// offsetAt returns the seconds east of Greenwich at an instant.
func (c *Clock) offsetAt(t int64) int64 {
	if t >= c.from && t < c.to {
		return c.offset
	}
	at := time.Unix(t, 0).In(c.loc)
	_, off := at.Zone()
	c.offset, c.from, c.to = int64(off), math.MinInt64, math.MaxInt64
	start, end := at.ZoneBounds()
	if !start.IsZero() {
		c.from = start.Unix()
	}
	if !end.IsZero() {
		c.to = end.Unix()
	}
	return c.offset
}

// abbr returns the offset of a zone's letters, if they are the farm's that year.
func (c *Clock) abbr(s *Stamp) (int, bool) {
	y, _, _ := s.Day.Civil()
	for _, m := range []time.Month{time.January, time.July} {
		name, off := time.Date(y, m, 1, 12, 0, 0, 0, c.loc).Zone()
		if name == s.Abbr {
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
