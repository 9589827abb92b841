// Package civil answers what a zone's clock shows with whole numbers. The standard
// library looks a zone up for every instant; a file of readings asks of the same
// half-year thousands of times over.
package civil

import (
	"math"
	"time"
)

// Zone remembers the stretch between two changes of the clock that the last
// question was about. The zero value is not usable; call New.
type Zone struct {
	loc      *time.Location
	from, to int64 // the stretch in seconds since 1970, to excluded
	off      int64 // seconds east of Greenwich in it
}

// New returns a Zone that has been asked nothing yet.
func New(loc *time.Location) Zone { return Zone{loc: loc, from: 1, to: 0} }

// Location returns the zone itself.
func (z *Zone) Location() *time.Location { return z.loc }

// Offset returns the seconds east of Greenwich at an instant in seconds since 1970.
func (z *Zone) Offset(t int64) int64 {
	if t < z.from || t >= z.to {
		z.find(t)
	}
	return z.off
}

func (z *Zone) find(t int64) {
	at := time.Unix(t, 0).In(z.loc)
	_, off := at.Zone()
	z.off = int64(off)
	z.from, z.to = math.MinInt64, math.MaxInt64
	start, end := at.ZoneBounds()
	if !start.IsZero() {
		z.from = start.Unix()
	}
	if !end.IsZero() {
		z.to = end.Unix()
	}
}

const day = 86400

// Steady returns the offset that holds on a calendar day, given as days since
// 1970, and on the days beside it. ok is false near a change of the clock, where
// some local times come twice or not at all.
func (z *Zone) Steady(date int64) (off int64, ok bool) {
	t := date * day
	off = z.Offset(t)
	const margin = 3 * day
	return off, (z.from == math.MinInt64 || t-z.from > margin) && (z.to == math.MaxInt64 || z.to-t > margin)
}
