package weather

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"rimegate/fields"
	"rimegate/fields/lazy"
)

// Place is where a thermometer stands, in degrees, north and east positive.
type Place struct{ Lat, Lon float64 }

// valid reports whether the place can be on Earth and is not the 0, 0 of a form
// left empty.
func (p *Place) valid() bool {
	return p != nil && math.Abs(p.Lat) <= 90 && math.Abs(p.Lon) <= 180 && (p.Lat != 0 || p.Lon != 0)
}

func (p *Place) words() string {
	side := func(v float64, plus, minus string) string {
		if v < 0 {
			plus = minus
		}
		return strconv.FormatFloat(math.Abs(v), 'f', 2, 64) + " " + plus
	}
	return side(p.Lat, "N", "S") + " " + side(p.Lon, "E", "W")
}

// Rebuilt is how long a night was cold as worked out from the extremes of its days. It
// is no measurement: it never stands for measured hours, and nothing is decided by it.
type Rebuilt struct {
	Below0, BelowKill float64 // hours at or below 0 and -2.2 °C
}

// What a reconstruction is worth, measured on the nights of testdata with extremes
// of hourly readings: see TestLinvillAgainstNights. Official daily lows are colder
// than hourly ones, by 0.6 °C on average at Kamloops (January to June 2016,
// Environment and Climate Change Canada), and a degree makes two hours.
const (
	// ReconstructedP90 is the error in hours that nine of ten reconstructed
	// hours-below stayed within, on first- and last-frost type nights (our own
	// measurement; no publication scores hours below a threshold).
	ReconstructedP90 = 3.0
	// ReconstructedP90All is the same over all nights that cross the threshold,
	// winter nights and those of moving air included (6.2 where the evening's curve
	// starts from the low of the night and not from that of the morning before).
	ReconstructedP90All = 7.0
)

// Words says the hours with their error, for the source of a reading. FindRebuilt
// reads them back.
func (r Rebuilt) Words() string {
	return fmt.Sprintf("hours reconstructed from daily extremes, not measured: %.1f at or below 0 °C, %.1f at or below -2.2 °C, give or take %.0f h by a first or last frost, %.0f h in steady cold, rather too many than too few",
		r.Below0, r.BelowKill, ReconstructedP90, ReconstructedP90All)
}

var rebuiltWords = lazy.Regexp(`hours reconstructed from daily extremes, not measured: (\d{1,2}\.\d) at or below 0 °C, (\d{1,2}\.\d) at or below -2\.2 °C`)

// FindRebuilt finds reconstructed hours in the source of a reading.
func FindRebuilt(source string) (Rebuilt, bool) {
	m := rebuiltWords().FindStringSubmatch(source)
	if m == nil {
		return Rebuilt{}, false
	}
	h0, _ := strconv.ParseFloat(m[1], 64)
	hk, _ := strconv.ParseFloat(m[2], 64)
	return Rebuilt{h0, hk}, true
}

// clean reports whether the low of a date is a plain number of known hours.
func (l *DailyLows) clean(day fields.Date) (Daily, bool) {
	d := of(l.days, day)
	if d == nil {
		return Daily{}, false
	}
	return d.Daily, d.HasC && !d.Below && !d.Lagged && !d.Partial && !d.Rough && !d.mixed && d.Note == ""
}

func (l *DailyLows) max(day fields.Date, end float64) (float64, bool) {
	m := of(l.maxes, day)
	if m == nil {
		return 0, false
	}
	return m.c, !m.bad && m.end == end
}

// extremes are the daily extremes around the night of day, if it is sure which they are.
// A morning observer reads the low of the night and the high of the afternoon before it
// at one go. Where days end at midnight or late in the evening, the low of a date is of
// its morning if the next date's is higher: had it been falling at the end of the date,
// the next low would be as low. An observer of the afternoon can have read its own low.
func (l *DailyLows) extremes(day fields.Date) (x Extremes, ok bool) {
	d, ok0 := l.clean(day)
	before, ok1 := l.clean(day - 1)
	if !ok0 || !ok1 || before.EndHour != d.EndHour {
		return x, false
	}
	x.MinC, x.NextMinC = before.MinC, d.MinC
	var ok2, ok3 bool
	switch e := d.EndHour; {
	case e > 4 && e <= 12:
		x.MaxC, ok2 = l.max(day, e)
		x.NextMaxC, ok3 = l.max(day+1, e)
	case e > 18:
		next, sure := l.clean(day + 1)
		if !sure || next.EndHour != e || next.MinC <= d.MinC {
			return x, false
		}
		x.MaxC, ok2 = l.max(day-1, e)
		x.NextMaxC, ok3 = l.max(day, e)
	}
	return x, ok2 && ok3
}

// sun puts sunrise and sunset around the night of day into x, in hours whose 12 is
// the noon that begins the night.
func (x *Extremes) sun(day fields.Date, at *Place, loc *time.Location) bool {
	noon, _ := fields.NightSpan(day, loc)
	rise, set, ok := Sun(day-1, at.Lat, at.Lon, loc)
	next, _, ok2 := Sun(day, at.Lat, at.Lon, loc)
	x.Rise, x.Set, x.NextRise = 12+rise.Sub(noon).Hours(), 12+set.Sub(noon).Hours(), next.Sub(noon).Hours()-12
	return ok && ok2
}

// rebuild adds reconstructed hours to the frosty nights that are covered, and
// notes what was done. at may be nil: then it is said what is wanting.
func (l *DailyLows) rebuild(res *Result, nights []NightLow, at *Place, byFile bool, loc *time.Location) {
	if len(l.maxes) == 0 {
		return
	}
	done, could, frosts := 0, 0, 0
	for i := range nights {
		n := &nights[i]
		if n.LowC == nil || !AtOrBelow(*n.LowC, FreezingC) {
			continue
		}
		frosts++
		x, ok := l.extremes(n.Night)
		if !ok || !n.Covers {
			continue
		}
		could++
		if at.valid() && x.sun(n.Night, at, loc) {
			n.Rebuilt = x.hours()
		}
		if n.Rebuilt != nil {
			done++
		}
	}
	switch {
	case frosts == 0:
	case could > 0 && !at.valid():
		res.Note("how long it froze on " + Count(could, "night") + " could be worked out from the daily highs and lows if the place of the station were known")
	case done == 0:
		res.Note("how long it froze cannot be worked out from these daily highs and lows: " + lacking)
	default:
		who, left := "as the station or farm is set", ""
		if byFile {
			who = "as the file says"
		}
		if frosts > done {
			left = "; " + Count(frosts-done, "frosty night") + " without: " + lacking
		}
		res.Note(fmt.Sprintf("hours at or below 0 and -2.2 °C reconstructed, not measured, for %s, from the daily highs and lows by Linvill's curve, sunrise and sunset at %s %s%s",
			Count(done, "night"), at.words(), who, left))
		res.Note(fmt.Sprintf("such hours are off by no more than about %.0f h on nine of ten nights of a first or last frost, about %.0f h in steady cold; %s. They confirm no kill and change no flag",
			ReconstructedP90, ReconstructedP90All, officialRunLong))
	}
}

// hours are those of the curve, nil if the extremes are not of one night.
func (x *Extremes) hours() *Rebuilt {
	h0, ok0 := LinvillHours(*x, FreezingC+Tolerance)
	hk, okk := LinvillHours(*x, KillC+Tolerance)
	if !ok0 || !okk {
		return nil
	}
	return &Rebuilt{math.Round(h0*10) / 10, math.Round(hk*10) / 10}
}

// officialRunLong was measured by reading the daily and the hourly file of Kamloops
// A, January to June 2016 (Environment and Climate Change Canada), with this
// package: 19 nights that froze by the hourly one, nine of ten within 6 h at 0 °C
// and 9 h at -2.2 °C.
const officialRunLong = "official daily lows are colder than hourly readings, so they tell too many (at Kamloops by 1.3 h at 0 °C and 2.5 h at -2.2 °C on average)"

const lacking = "a high or low beside them is missing, or the low may be of another night"
