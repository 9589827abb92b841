package weather

import (
	"cmp"
	"math"
	"slices"

	"rimegate/fields"
)

// Daily is the minimum that a source gives for a date. Such a minimum is of 24
// hours, and which 24 hours decides which night it belongs to.
type Daily struct {
	Day   fields.Date
	MinC  float64
	HasC  bool
	Below bool // known to be below zero, without a number
	// EndHour is when the 24 hours end, in hours of local time after the
	// midnight that begins Day: 7 for an observer who reads and resets at 07:00,
	// 24 for a calendar day, 22 for a day from 22:00 to 22:00. EndUnknown: not said.
	EndHour float64
	Lagged  bool // the source doubts the date itself
	Partial bool // of part of its 24 hours only
	Rough   bool // estimated by its source
	Note    string
}

// EndUnknown is the EndHour of a minimum whose 24 hours are not said.
const EndUnknown = -1

// nearFrostC is where a wrongly placed low could matter: plants can freeze
// while a thermometer in a screen reads up to 36 °F. The United States National
// Weather Service speaks of frost at 33-36 °F: NWS Blacksburg, "The frost/freeze
// program", Fall 2007,
// http://www.erh.noaa.gov/er/rnk/Newsletter/Fall%202007/frost_freeze_program.htm
const nearFrostC = 2.2

// DailyLows gathers daily minima of one station, in any order.
type DailyLows struct {
	days      []dayLow
	maxes     []dayMax
	doubled   int
	conflicts int
}

// dayLow is the minimum of a date; mixed if sources disagreed about it.
type dayLow struct {
	Daily
	mixed bool
}

// dayMax is the maximum that a source gives for a date.
type dayMax struct {
	day    fields.Date
	c, end float64
	bad    bool // two sources of one day disagree
}

func (d dayLow) date() fields.Date { return d.Day }
func (m dayMax) date() fields.Date { return m.day }

type dated interface{ date() fields.Date }

// settle puts values in order of date and merges those of one date, in the order they
// came in.
func settle[T dated](all []T, merge func(into *T, v T)) []T {
	slices.SortStableFunc(all, func(a, b T) int { return cmp.Compare(a.date(), b.date()) })
	out := all[:0]
	for _, v := range all {
		if k := len(out) - 1; k >= 0 && out[k].date() == v.date() {
			merge(&out[k], v)
		} else {
			out = append(out, v)
		}
	}
	return out
}

// of finds the value of a date in settled ones, nil if there is none.
func of[T dated](all []T, day fields.Date) *T {
	i, ok := slices.BinarySearchFunc(all, day, func(v T, day fields.Date) int { return cmp.Compare(v.date(), day) })
	if !ok {
		return nil
	}
	return &all[i]
}

// Add puts a daily minimum in. Of two for one date the colder counts; repeats
// are counted.
func (l *DailyLows) Add(d Daily) { l.days = append(l.days, dayLow{Daily: d}) }

func (l *DailyLows) merge(was *dayLow, d dayLow) {
	if was.Daily == d.Daily {
		l.doubled++
		return
	}
	l.conflicts++
	was.mixed = true
	below, end := was.Below || d.Below, was.EndHour
	if !was.HasC || d.HasC && d.MinC < was.MinC {
		was.Daily = d.Daily
	}
	was.Below = below
	if end != d.EndHour {
		was.EndHour = EndUnknown
	}
}

// AddMax puts the maximum of a date in: °C, and when its 24 hours end, as in
// Daily. It serves the reconstruction alone and no night rests on it. Give only
// values that the source does not doubt.
func (l *DailyLows) AddMax(day fields.Date, c, endHour float64) {
	l.maxes = append(l.maxes, dayMax{day: day, c: c, end: endHour})
}

// Reset forgets everything.
func (l *DailyLows) Reset() { *l = DailyLows{} }

// ResetLows forgets the minima and keeps the maxima, for files whose maxima are
// told apart by station otherwise.
func (l *DailyLows) ResetLows() { *l = DailyLows{maxes: l.maxes} }

// ForgetMaxes drops the maxima: they turned out to be of another station.
func (l *DailyLows) ForgetMaxes() { l.maxes = nil }

// Len returns how many minima were put in.
func (l *DailyLows) Len() int { return len(l.days) }

// Into adds the nights to the Result with the counts of repeats, and hours
// reconstructed where maxima were given too. byFile is the place that the file gives
// for its station, nil for none; it goes before the place in the options.
func (l *DailyLows) Into(res *Result, byFile *Place, opt Options) {
	nights := l.Nights(res.Format)
	at := opt.Place
	if byFile.valid() {
		at = byFile
	}
	l.rebuild(res, nights, at, at == byFile, opt.Loc)
	res.Nights = append(res.Nights, nights...)
	res.Doubled += l.doubled
	res.Kept -= l.doubled
	noteRepeats(res, l.conflicts)
}

// Nights places each daily minimum in a night.
//
// The minimum dated D goes to the night of D in every case, since that is where
// the coldest hours before sunrise lie; what differs is the doubt.
//
//   - 24 hours that end between 04:00 and 12:00 (a morning observer) are the
//     night of D: it covers.
//   - 24 hours that end between 12:00 and 18:00 (an afternoon or evening
//     observer) hold the whole night of D too, but a low can also be from that
//     afternoon, which is the next night's: a low near frost does not cover.
//   - Calendar days, and days that end late in the evening, hold the end of the
//     night of D and the start of the next. The evening of D-1 is in the minimum
//     of D-1. The night of D is covered if that is known, and is either mild or
//     not the lower of the two. (If the temperature at the border between two
//     days is the low of the first, the second is at least as low, so the last
//     night of a run of frosts is not lost.)
//   - An unknown border is judged by the strictest of these.
func (l *DailyLows) Nights(source string) []NightLow {
	l.days = settle(l.days, l.merge)
	l.maxes = settle(l.maxes, func(was *dayMax, m dayMax) { was.bad = was.bad || *was != m })
	out := make([]NightLow, 0, len(l.days))
	for i := range l.days {
		d := &l.days[i].Daily
		if !d.known() {
			continue
		}
		n := NightLow{Night: d.Day, Part: d.Partial, Source: source}
		low := math.Inf(1)
		if d.HasC {
			low = d.MinC
		}
		n.cold(low, d.Below)
		n.Covers, n.Uncertain = l.doubt(d)
		n.Uncertain = joined(n.Uncertain, d.Note)
		out = append(out, n)
	}
	return out
}

func (d *Daily) known() bool { return d.HasC || d.Below }

// low is the low as cold as it may have been.
func (d *Daily) low() float64 {
	switch {
	case !d.HasC:
		return math.Inf(-1)
	case d.Below:
		return min(d.MinC, 0)
	}
	return d.MinC
}

func (l *DailyLows) doubt(d *Daily) (covers bool, why string) {
	near := d.low() <= nearFrostC
	switch e := d.EndHour; {
	case d.Lagged:
		return false, "the source doubts the date of this low"
	case d.Partial:
		return false, "" // the note says it
	case e > 4 && e <= 12:
		return true, ""
	case e > 12 && e <= 18:
		return !near, "read in the afternoon or evening: the low may be from that afternoon, the next night's"
	case e < 0:
		return l.doubtBorder(d, near, "the source does not say when its day ends")
	case e == 24:
		return l.doubtBorder(d, near, "low of a calendar day")
	}
	return l.doubtBorder(d, near, "low of a day that ends late in the evening or early in the night")
}

// doubtBorder doubts a low whose day ends in the night, or nobody knows when.
func (l *DailyLows) doubtBorder(d *Daily, near bool, kind string) (covers bool, why string) {
	was := of(l.days, d.Day-1)
	switch {
	case was == nil || !was.known():
		return false, kind + ": the evening before is in the day before, which is missing"
	case was.low() <= nearFrostC && was.low() < d.low():
		return false, kind + ": the evening before may have been as cold as the day before says"
	case near:
		return d.EndHour >= 0, kind + ": the low may be from the evening, the next night's"
	}
	return true, kind
}
