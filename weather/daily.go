package weather

import (
	"math"

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
	days      byDate[Daily]
	maxes     byDate[dayMax]
	mixed     map[fields.Date]bool // dates with different lows
	doubled   int
	conflicts int
}

// Add puts a daily minimum in. Of two for one date the colder counts; repeats
// are counted.
func (l *DailyLows) Add(d Daily) {
	day := l.days.at(d.Day)
	if day == nil {
		*l.days.put(d.Day) = d
		return
	}
	was := *day
	if was == d {
		l.doubled++
		return
	}
	l.conflicts++
	if l.mixed == nil {
		l.mixed = map[fields.Date]bool{}
	}
	l.mixed[d.Day] = true
	below := was.Below || d.Below
	if !was.HasC || d.HasC && d.MinC < was.MinC {
		was = d
	}
	was.Below = below
	if was.EndHour != d.EndHour {
		was.EndHour = EndUnknown
	}
	*day = was
}

// Reset forgets everything.
func (l *DailyLows) Reset() { *l = DailyLows{} }

// Len returns the number of dates.
func (l *DailyLows) Len() int { return l.days.n }

// Into adds the nights to the Result with the counts of repeats.
func (l *DailyLows) Into(res *Result, source string) { l.IntoAt(res, source, nil, Options{}) }

// IntoAt is Into with hours reconstructed where maxima were given too. byFile is
// the place that the file gives for its station, nil for none; it goes before the
// place in the options.
func (l *DailyLows) IntoAt(res *Result, source string, byFile *Place, opt Options) {
	nights := l.Nights(source)
	at := opt.Place
	if byFile.valid() {
		at = byFile
	}
	l.rebuild(res, nights, at, at == byFile, opt.Loc)
	if res.Nights == nil && len(nights) > 0 {
		res.Nights = nights
	} else {
		res.Nights = append(res.Nights, nights...)
	}
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
	out := make([]NightLow, 0, l.days.n)
	lows := make([]float64, 0, l.days.n) // one piece of memory for all of them
	for day, d := range l.days.all() {
		if !d.HasC && !d.Below {
			continue
		}
		n := NightLow{Night: day, Source: source}
		if d.HasC && (!d.Below || d.MinC <= 0) {
			lows = append(lows, d.MinC)
			n.LowC = &lows[len(lows)-1]
		}
		if d.Below {
			yes := true
			n.BelowZero = &yes
		}
		n.Covers, n.Uncertain = l.doubt(*d)
		n.Part = d.Partial
		if d.Note != "" {
			if n.Uncertain != "" {
				n.Uncertain += "; "
			}
			n.Uncertain += d.Note
		}
		out = append(out, n)
	}
	return out
}

func (d Daily) low() float64 {
	switch {
	case d.HasC && !d.Below:
		return d.MinC
	case d.HasC:
		return min(d.MinC, 0)
	case d.Below:
		return math.Inf(-1)
	}
	return math.NaN()
}

func (l *DailyLows) doubt(d Daily) (covers bool, why string) {
	near := d.low() <= nearFrostC
	e := d.EndHour
	switch {
	case d.Lagged:
		return false, "the source doubts the date of this low"
	case d.Partial:
		return false, "" // the note says it
	case e > 4 && e <= 12:
		return true, ""
	case e > 12 && e <= 18:
		why = "read in the afternoon or evening: the low may be from that afternoon, the next night's"
		return !near, why
	}
	kind := "low of a calendar day"
	switch {
	case e < 0:
		kind = "the source does not say when its day ends"
	case e != 24:
		kind = "low of a day that ends late in the evening or early in the night"
	}
	was := l.days.at(d.Day - 1)
	switch {
	case was == nil || !was.HasC && !was.Below:
		return false, kind + ": the evening before is in the day before, which is missing"
	case was.low() <= nearFrostC && was.low() < d.low():
		return false, kind + ": the evening before may have been as cold as the day before says"
	case e < 0 && near:
		return false, kind + ": the low may be from the evening, the next night's"
	case near:
		return true, kind + ": the low may be from the evening, the next night's"
	}
	return true, kind
}
