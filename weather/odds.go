package weather

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"rimegate/fields"
)

// Season is one autumn of a station's record. Days are counted from 1 July, which
// is day 0, so that a season that runs past the new year is in one piece.
type Season struct {
	Year    int
	Outcome Outcome
	// Day is the day of the first low at or below the trigger (Frost), or the last
	// day up to which the record shows none (Cut).
	Day int
}

// Outcome says how a season ended, as far as the record goes.
type Outcome uint8

// Outcomes of a season.
const (
	Cut     Outcome = iota // the record breaks off before any frost
	Frost                  // the first frost is known
	NoFrost                // the record is complete and shows none
)

// Limits of a season's record. A season counts as complete with at least 140 of
// the 153 nights from August to December; numbers ours.
const (
	seasonFirst   = 31 // 1 August
	seasonNights  = 153
	seasonNeeded  = 140
	seasonLongGap = 7 // nights in a row whose absence breaks the record off
)

// SeasonDay returns the day of a date, counted from 1 July of its season, and the
// season's year.
func SeasonDay(d fields.Date) (year, day int) {
	y, m, _ := d.Civil()
	if m < 7 {
		y--
	}
	return y, d.Sub(fields.MakeDate(y, 7, 1))
}

// SeasonDate is the inverse of SeasonDay.
func SeasonDate(year, day int) fields.Date { return fields.MakeDate(year, 7, 1).Add(day) }

// SeasonsOf finds the first night at or below a trigger (°C) of every season of a
// record. Only nights from 1 August on count. A partial night can show a frost and
// never its absence; where too many nights are missing before the first frost, the
// season is cut there and not taken for one without frost. A few missing nights are
// borne, so a first frost may have come some nights before the one found.
func SeasonsOf(nights []NightLow, trigger float64) []Season {
	type state struct{ frost, read bool }
	byYear := map[int]map[int]state{}
	for _, n := range nights {
		y, day := SeasonDay(n.Night)
		if byYear[y] == nil {
			byYear[y] = map[int]state{}
		}
		s := byYear[y][day]
		byYear[y][day] = state{s.frost || n.reached(trigger), s.read || n.Covers}
	}
	var out []Season
	for _, y := range slices.Sorted(maps.Keys(byYear)) {
		s := Season{Year: y, Outcome: NoFrost, Day: seasonFirst + seasonNights - 1}
		missing, run := 0, 0
		for day := seasonFirst; day < seasonFirst+seasonNights && s.Outcome == NoFrost; day++ {
			n := byYear[y][day]
			if n.read {
				run = 0
			} else {
				missing++
				run++
			}
			switch {
			case n.frost:
				s.Outcome, s.Day = Frost, day
			case run > seasonLongGap || missing > seasonNights-seasonNeeded:
				s.Outcome, s.Day = Cut, day-run
			}
		}
		if s.Outcome != Cut || s.Day >= seasonFirst { // else nothing is known of this season
			out = append(out, s)
		}
	}
	return out
}

// reached reports whether the night came down to a line in °C.
func (l *NightLow) reached(line float64) bool {
	return l.LowC != nil && AtOrBelow(*l.LowC, line) || l.Below && line >= 0
}

// Odds are the odds of the first frost of a season at one station.
type Odds struct {
	Frosts, Cuts, None int
	Mean, SD           float64 // of the fitted normal, day of season and days
	Never              float64 // share of complete seasons without frost
	days               []float64
	seasons            []Season
}

// MinSeasons is the fewest seasons with a known first frost that odds are given
// from; ours.
const MinSeasons = 8

// FitOdds fits a normal to the dates of the first frost by maximum likelihood.
// Seasons that break off count as later than the day they break off; complete
// seasons without frost make the share that never has one.
//
// H. C. S. Thom and R. H. Shaw, "Climatological analysis of freeze data for Iowa",
// Monthly Weather Review 86:251-257, 1958 (from memory); the season's frame and the
// fit of a normal to dates: Vestal, Monthly Weather Review 99:650, 1971,
// https://journals.ametsoc.org/abstract/journals/mwre/99/8/1520-0493_1971_099_0650_falool_2_3_co_2.xml .
// Cut seasons are taken in by the expectation-maximisation algorithm; the spread of
// maximum likelihood is then widened by sqrt(n/(n-1)), as for a sample.
func FitOdds(seasons []Season) (Odds, error) {
	o := Odds{seasons: slices.Clone(seasons)}
	var cuts []float64
	for _, s := range seasons {
		switch s.Outcome {
		case Frost:
			o.days = append(o.days, float64(s.Day))
		case NoFrost:
			o.None++
		case Cut:
			cuts = append(cuts, float64(s.Day))
		}
	}
	o.Frosts, o.Cuts = len(o.days), len(cuts)
	if o.Frosts < MinSeasons {
		return Odds{}, fields.Problem{
			Field: "record",
			What:  fmt.Sprintf("%s with a known first frost; odds need at least %d", Count(o.Frosts, "season"), MinSeasons),
			Type:  "bring in a longer record of the station",
		}
	}
	slices.Sort(o.days)
	n := float64(o.Frosts)
	o.Never = float64(o.None) / (float64(o.None) + n)
	o.Mean, o.SD = censoredNormal(o.days, cuts)
	o.SD *= math.Sqrt(n / (n - 1))
	return o, nil
}

// censoredNormal returns mean and standard deviation by maximum likelihood, where
// of each of the later values only a lower bound is known.
func censoredNormal(known, lowerBounds []float64) (mean, sd float64) {
	var sum, sq float64
	for _, x := range known {
		sum += x
		sq += x * x
	}
	of := func(sum, sq float64, n int) (mean, sd float64) {
		mean = sum / float64(n)
		// Dates in whole days cannot be closer together than a day says.
		return mean, max(0.5, math.Sqrt(max(0, sq/float64(n)-mean*mean)))
	}
	mean, sd = of(sum, sq, len(known))
	for range 2000 {
		s1, s2 := sum, sq
		for _, c := range lowerBounds {
			a := (c - mean) / sd
			// Inverse Mills ratio; far out in the tail it goes to a.
			h := a + 1/max(a, 1)
			if q := normalBelow(-a); q > 1e-12 {
				h = math.Exp(-a*a/2) / math.Sqrt(2*math.Pi) / q
			}
			s1 += mean + sd*h
			s2 += mean*mean + sd*sd + sd*h*(c+mean)
		}
		m, s := of(s1, s2, len(known)+len(lowerBounds))
		done := math.Abs(m-mean) < 1e-9 && math.Abs(s-sd) < 1e-9
		if mean, sd = m, s; done {
			break
		}
	}
	return mean, sd
}

// normalBelow is the standard normal distribution function, normalQuantile its inverse.
func normalBelow(x float64) float64    { return math.Erfc(-x/math.Sqrt2) / 2 }
func normalQuantile(p float64) float64 { return -math.Sqrt2 * math.Erfcinv(2*p) }

// By returns the fitted chance that the first frost comes by the end of a day of
// the season.
func (o Odds) By(day int) float64 {
	return (1 - o.Never) * normalBelow((float64(day)-o.Mean)/o.SD)
}

// Within returns the fitted chance that the first frost comes in the k days after
// a day, given that none has come by its end.
func (o Odds) Within(day, k int) float64 {
	by := o.By(day)
	switch {
	case k <= 0:
		return 0
	case by >= 1:
		return 1
	}
	return (o.By(day+k) - by) / (1 - by)
}

// EmpiricalWithin is Within counted from the record alone: of the seasons still
// without frost and still read on each day, the share whose first came then
// (Kaplan-Meier). atRisk is the number of seasons it rests on; with none it
// returns NaN.
//
// E. L. Kaplan and P. Meier, "Nonparametric estimation from incomplete
// observations", Journal of the American Statistical Association 53:457-481, 1958
// (from memory).
func (o Odds) EmpiricalWithin(day, k int) (chance float64, atRisk int) {
	left := 1.0
	for d := day + 1; d <= day+k; d++ {
		n, hit := 0, 0
		for _, s := range o.seasons {
			if s.Day >= d || s.Outcome == NoFrost {
				n++
				if s.Outcome == Frost && s.Day == d {
					hit++
				}
			}
		}
		if d == day+1 {
			atRisk = n
		}
		if n > 0 {
			left *= 1 - float64(hit)/float64(n)
		}
	}
	if atRisk == 0 {
		return math.NaN(), 0
	}
	return 1 - left, atRisk
}

// Quantile returns the day of the season by which the first frost has come with
// chance p, by the fit. ok is false if it never comes that surely.
func (o Odds) Quantile(p float64) (day float64, ok bool) {
	if p <= 0 || p >= 1-o.Never {
		return 0, false
	}
	return o.Mean + o.SD*normalQuantile(p/(1-o.Never)), true
}

// QuantileError returns the standard error of a fitted quantile in days:
// s*sqrt((1+z²/2)/n).
func (o Odds) QuantileError(p float64) float64 {
	z := normalQuantile(p)
	return o.SD * math.Sqrt((1+z*z/2)/float64(o.Frosts))
}

// EmpiricalQuantile returns the day of the season by which the share p of the known
// first frosts had come: rank i of n stands for i/(n+1), with straight lines
// between. ok is false where the record is too short to say. Midwestern Regional
// Climate Center, "Freeze date tool",
// https://mrcc.purdue.edu/mw_climate/freezeDateToolAbout.jsp
func (o Odds) EmpiricalQuantile(p float64) (day float64, ok bool) {
	r := p * float64(len(o.days)+1)
	i := int(r)
	part := r - float64(i)
	if i < 1 || i > len(o.days) || i == len(o.days) && part > 0 {
		return 0, false
	}
	next := o.days[min(i, len(o.days)-1)]
	return o.days[i-1] + part*(next-o.days[i-1]), true
}
