package weather

import (
	"fmt"
	"math"
	"slices"
	"time"

	"rimegate/fields"
)

// Pair is one night read both at a station and in a paddock, lows in °C.
type Pair struct {
	Night              fields.Date
	StationC, PaddockC float64
}

// Offset is how much colder a paddock is than a station on radiation nights.
type Offset struct {
	N int
	// MedianC is the middle difference paddock minus station, °C; LowC and HighC
	// hold the true middle with at least 95 % confidence (Level says how much).
	MedianC, LowC, HighC float64
	Level                float64
	// Slope is by how many degrees the paddock falls for each degree at the
	// station, with its 95 % interval. Near 1, one offset does for all nights.
	Slope, SlopeLow, SlopeHigh float64
	Intercept                  float64 // of the same line, °C
}

// MinPairs is the fewest nights that an interval of 95 % can rest on: with five
// even the whole range holds the middle with 94 % only.
const MinPairs = 6

// maxPairs bounds the work, which grows with the square; the latest nights count.
const maxPairs = 600

// FitOffset learns an offset from nights read in both places, of the radiation type
// only: windy or cloudy nights would hide the difference. One wrong night in five moves
// it little. The middle difference has the interval of the sign test, by ranks. The slope is
// that of H. Theil and P. K. Sen: the middle of the slopes between all pairs of
// nights, with Sen's interval. P. K. Sen, "Estimates of the regression coefficient
// based on Kendall's tau", Journal of the American Statistical Association
// 63:1379-1389, 1968 (from memory).
func FitOffset(pairs []Pair) (Offset, error) {
	use := make([]Pair, 0, len(pairs))
	for _, p := range pairs {
		if Possible(p.StationC) && Possible(p.PaddockC) {
			use = append(use, p)
		}
	}
	slices.SortStableFunc(use, func(a, b Pair) int { return int(a.Night) - int(b.Night) })
	if len(use) > maxPairs {
		use = use[len(use)-maxPairs:]
	}
	if len(use) < MinPairs {
		return Offset{}, fields.Problem{
			Field: "nights",
			What:  fmt.Sprintf("%s read both at the station and in the paddock; an offset needs at least %d of the calm, clear kind", Count(len(use), "night"), MinPairs),
		}
	}
	o := Offset{N: len(use)}
	diff := make([]float64, len(use))
	for i, p := range use {
		diff[i] = p.PaddockC - p.StationC
	}
	o.MedianC = middle(diff)
	k, level := signRanks(len(diff))
	o.LowC, o.HighC, o.Level = diff[k], diff[len(diff)-1-k], level
	o.theilSen(use)
	return o, nil
}

// signRanks returns how many values to leave off at each end of n sorted ones so
// that the rest holds the middle with at least 95 %, and the exact level.
func signRanks(n int) (k int, level float64) {
	p := math.Pow(0.5, float64(n)) // of k heads in n tosses
	below := p
	for {
		p *= float64(n-k) / float64(k+1)
		if k+1 > (n-1)/2 || 1-2*(below+p) < 0.95 {
			return k, 1 - 2*below
		}
		below += p
		k++
	}
}

func (o *Offset) theilSen(use []Pair) {
	var slopes, rest []float64
	for i, p := range use {
		for _, q := range use[:i] {
			if dx := p.StationC - q.StationC; dx != 0 {
				slopes = append(slopes, (p.PaddockC-q.PaddockC)/dx)
			}
		}
	}
	if len(slopes) == 0 { // the station read the same every night
		o.Slope, o.SlopeLow, o.SlopeHigh, o.Intercept = 1, math.Inf(-1), math.Inf(1), o.MedianC
		return
	}
	o.Slope = middle(slopes)
	n, m := float64(len(use)), float64(len(slopes))
	c := 1.96 * math.Sqrt(n*(n-1)*(2*n+5)/18)
	lo, hi := int(math.Floor((m-c)/2)), int(math.Ceil((m+c)/2))-1
	o.SlopeLow, o.SlopeHigh = slopes[max(lo, 0)], slopes[min(max(hi, 0), len(slopes)-1)]
	for _, p := range use {
		rest = append(rest, p.PaddockC-o.Slope*p.StationC)
	}
	o.Intercept = middle(rest)
}

// middle sorts the values and returns their median.
func middle(v []float64) float64 {
	slices.Sort(v)
	return (v[(len(v)-1)/2] + v[len(v)/2]) / 2
}

// At returns the difference paddock minus station that the line gives for a low at
// the station, in °C.
func (o Offset) At(stationC float64) float64 { return o.Intercept + (o.Slope-1)*stationC }

// Cautious returns the offset to set for a paddock, °C: the cold end of the
// interval, and never above 0, since a paddock is not taken for warmer than its
// station.
func (o Offset) Cautious() float64 { return min(o.LowC, 0) }

// Pairs joins the nights of a station and of a paddock, both read throughout, that
// are of the radiation type by the given function; nil takes all.
func Pairs(station, paddock []NightLow, radiation func(fields.Date) bool) []Pair {
	at := map[fields.Date]float64{}
	for _, n := range station {
		if n.Covers && n.LowC != nil {
			at[n.Night] = *n.LowC
		}
	}
	var out []Pair
	for _, n := range paddock {
		s, ok := at[n.Night]
		if ok && n.Covers && n.LowC != nil && (radiation == nil || radiation(n.Night)) {
			out = append(out, Pair{n.Night, s, *n.LowC})
		}
	}
	return out
}

// calmMS is the wind below which a night can cool by radiation alone: Snyder and de
// Melo-Abreu, Frost Protection, FAO Environment and Natural Resources Series 10,
// 2005, ch. 5, http://www.fao.org/3/y7223e/y7223e0b.htm
const calmMS = 2.0

// RadiationNight says whether a night was of the calm, clear kind: mean wind below
// 2 m/s from sunset to sunrise and the low within three hours of sunrise, with a
// fall of 10 °C or more from the afternoon where the wind was not measured (the last
// two are ours). known is false if the readings do not tell. Observations may be of
// any length and order.
func RadiationNight(obs []Observation, sunset, sunrise time.Time) (radiation, known bool) {
	var wind, winds, temps float64
	low, high := math.Inf(1), math.Inf(-1)
	var lowAt time.Time
	for _, o := range obs {
		if o.At.Before(sunset.Add(-5*time.Hour)) || o.At.After(sunrise.Add(3*time.Hour)) {
			continue
		}
		evening := o.At.Before(sunset)
		if o.HasTemp {
			temps++
			if o.TempC < low {
				low, lowAt = o.TempC, o.At
			}
			if evening {
				high = max(high, o.TempC)
			}
		}
		if o.WindMS != nil && !evening && !o.At.After(sunrise) {
			wind += *o.WindMS
			winds++
		}
	}
	enough := sunrise.Sub(sunset).Hours() / 2
	atDawn := lowAt.Sub(sunrise).Abs() <= 3*time.Hour
	switch {
	case temps < enough:
		return false, false
	case winds >= enough:
		return atDawn && wind/winds < calmMS, true
	}
	return atDawn && high-low >= 10, !math.IsInf(high, -1)
}
