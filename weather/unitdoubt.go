package weather

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"rimegate/fields"
)

// UnitDoubt is what lows say that fit the other unit better than their own.
type UnitDoubt struct {
	Nights []NightLow // those in doubt
	Of     int        // of so many with a number
	// TooWarm: they are read as °C and fit °F, so that frosts may hide in them. Else
	// they are read as °F, say, and are colder than the season allows.
	TooWarm bool
}

// Limits of the test for the wrong unit; all of them are ours. TestDoubtUnitOnPublished
// says what they are worth.
const (
	doubtHot    = 12.0 // °C above what the season has
	doubtOff    = 15.0 // °C below it
	doubtFit    = 0.8  // of that, as far off at most is a frost in °F: the first come early
	doubtWarmC  = 16.0 // a mild winter has lows that far off too, but none so warm ...
	doubtMost   = 0.8  // ... nor nearly all of them
	doubtShare  = 0.2  // of the lows, or a run of doubtNights; of fewer nights one is enough
	doubtNights = 3
	doubtOne    = 25.0 // of a single night among many
	doubtBeside = 12.0 // of a single night that another thermometer read too
)

// usualLows is between what the nights of a day of the year lie as a rule, in °C:
// a hard inland climate and a mild one, at a latitude. Each is a mean and a swing,
// warmest in the last week of July (January south of the equator). Ours, drawn by eye
// through the monthly mean lows of towns from San Antonio to Fort Nelson (from
// memory); it serves to tell degrees Fahrenheit from Celsius and nothing else.
func usualLows(d fields.Date, lat float64) (hard, mild float64) {
	peak := fields.MakeDate(d.Year(), 7, 25)
	if lat < 0 {
		peak = fields.MakeDate(d.Year(), 1, 23)
	}
	a := math.Min(math.Abs(lat), 60) - 30
	turn := math.Cos(2 * math.Pi * float64(d.Sub(peak)) / 365.25)
	return 14 - 0.85*a + (8.5+0.3*a)*turn, max(14-0.85*a+(8.5+0.3*a)*turn, 14-0.4*a+8.5*turn)
}

// defaultLat stands for a farm that does not say where it lies.
const defaultLat = 42

// DoubtUnit looks for lows that fit the other unit of temperature better than the one
// they were read in: warm ones that were °F and read as °C, cold ones that were °C and
// read as °F. fahrenheit is the unit they were read in; at is the farm's place, nil if
// not known; beside gives what another thermometer of the farm read of a night, and may
// be nil. ok is false if the lows raise no doubt.
func DoubtUnit(nights []NightLow, fahrenheit bool, at *Place, beside func(fields.Date) (float64, bool)) (doubt UnitDoubt, ok bool) {
	lat := float64(defaultLat)
	if at.valid() {
		lat = at.Lat
	}
	doubt.TooWarm = !fahrenheit
	run, longest, sure := 0, 0, false
	for i := range nights {
		n := &nights[i]
		if n.LowC == nil || !n.readAt(5) {
			continue
		}
		doubt.Of++
		from, known := 0.0, false
		if beside != nil {
			from, known = beside(n.Night)
		}
		to := from
		if !known {
			from, to = usualLows(n.Night, lat)
		}
		off, odd := fitsOther(*n.LowC, from, to, doubt.TooWarm, known)
		if !odd {
			run = 0
			continue
		}
		doubt.Nights = append(doubt.Nights, *n)
		if known || fahrenheit || *n.LowC >= doubtWarmC {
			run++
			longest = max(longest, run)
			sure = sure || known || off >= doubtOne
		}
	}
	odd := len(doubt.Nights)
	part := float64(odd) / float64(max(1, doubt.Of))
	ok = sure || longest >= doubtNights || part >= doubtMost && odd >= doubtNights ||
		longest > 0 && (part >= doubtShare || doubt.Of < doubtNights)
	return doubt, ok
}

// fitsOther reports whether a low is too far outside of what is usual, or known from
// another thermometer, by how much, and whether it would do in the other unit.
func fitsOther(low, from, to float64, warm, known bool) (off float64, odd bool) {
	limit, fit, other := doubtOff, 0.5, low*9/5+32 // had it been °C
	off = from - low
	if warm { // had the number been °F
		limit, fit, other, off = doubtHot, doubtFit, FtoC(low), low-to
	}
	if known {
		limit = doubtBeside
	}
	return off, off >= limit && max(from-other, other-to) <= off*fit
}

// readAt reports whether the night was read at an hour of the morning, or nothing is
// known of when: the lowest of an evening or an afternoon is no night's low.
func (n *NightLow) readAt(hour int) bool {
	if n.Covers || len(n.Spans) == 0 {
		return true
	}
	for _, s := range n.Spans {
		at := n.Night.At(hour, 0, s.From.Location())
		if !s.From.After(at) && !s.To.Before(at) {
			return true
		}
	}
	return false
}

// Words says what is odd about the lows, in one sentence without its end.
func (d UnitDoubt) Words() string {
	list := slices.Clone(d.Nights)
	if d.TooWarm {
		slices.SortStableFunc(list, func(a, b NightLow) int { return cmp.Compare(*b.LowC, *a.LowC) })
	}
	var was, would []string
	for _, n := range list[:min(3, len(list))] {
		c := *n.LowC
		if !d.TooWarm {
			c = c*9/5 + 32
		}
		was, would = append(was, short(c)), append(would, short(FtoC(c)))
	}
	unit, kind, fit := "°C", "warm", "°F well ("+strings.Join(would, ", ")+" °C)"
	if !d.TooWarm {
		unit, kind, fit = "°F", "cold", "°C well"
	}
	first := " in the night of " + d.Nights[0].Night.Words()
	if len(d.Nights) > 1 {
		first = ", first" + first
	}
	return fmt.Sprintf("%s of %d (%s %s%s) would be far too %s for the season, and fit %s",
		Count(len(d.Nights), "low"), d.Of, strings.Join(was, ", "), unit, first, kind, fit)
}

func short(v float64) string {
	return fmt.Sprintf("%g", math.Round(v*10)/10)
}
