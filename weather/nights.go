// Package weather turns thermometer readings into nights: the low of each
// night, whether the night was read throughout, and how long it was cold. It
// also holds the arithmetic around a frost: hours below a threshold from daily
// extremes, sun times, dew point, tonight's minimum, the offset between a
// station and a paddock, and the odds of the first frost.
//
// Temperatures are in degrees Celsius, wind in metres per second, durations in
// hours. A night of D runs from 12:00 on D-1 up to 12:00 on D, farm time.
//
// The package reads no files, no clock and no network. The readers of published
// formats live in the sub-packages; package formats names and detects them.
package weather

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"rimegate/fields"
)

// What makes a night covered; the numbers are ours. The low of a frost night comes
// between sunset and an hour or so after sunrise. Hourly stations now and then drop one
// report: a straight line across two hours keeps the low within some tenths of a degree,
// across four it does not. By 19:00 it is seldom the coldest hour, and a reading at 08:00
// mostly has the sunrise behind it; where not, and the farm says where it lies, the night
// is read until the sun is up (coverage.go).
const (
	MaxGap     = 2*time.Hour + 5*time.Minute // the five minutes let reports wander round the hour
	darkFrom   = 18                          // hour of the evening before
	darkTo     = 9                           // hour of the morning
	endMargin  = 3600                        // seconds
	gapSeconds = int64(MaxGap / time.Second)
)

// point is a reading inside a night, or a known sign without a number.
type point struct {
	t    int64 // seconds since 1970
	c    float64
	sign uint8 // 1: known to be below zero, without a number
}

// signC stands for a known sign when hours at or below 0 °C are counted: a METAR
// writes M00 for -0.5 to 0 °C (WMO-No. 306), and this is its middle.
const signC = -0.25

func comparePoints(a, b point) int {
	if a.t != b.t {
		return cmp.Compare(a.t, b.t)
	}
	return cmp.Or(cmp.Compare(a.c, b.c), cmp.Compare(a.sign, b.sign))
}

// maxReadings is how many readings and minima a gatherer takes: ten million are a
// reading a minute for nineteen years.
const maxReadings = 10_000_000

// Nights gathers observations, in any order, into nights. The zero value is not
// usable; call NewNights.
type Nights struct {
	loc    *time.Location
	farm   *Place // for sunrise; nil if not known
	nights map[fields.Date]*openNight

	cur                *openNight // night of the last observation, from noon to noon
	from, to           int64
	foreign            []Spell // that reach into more than one night
	held               int
	doubled, conflicts int // readings that repeat another, and times with several

	// Used for one night after the other.
	read []stretch
	line []point
}

type openNight struct {
	pts    []point
	spells []Spell
	failed []Failed // near frost
}

// NewNights returns an empty gatherer for a farm's zone and place (nil if not known).
func NewNights(loc *time.Location, farm *Place) *Nights {
	n := &Nights{loc: loc, farm: farm}
	n.Reset()
	return n
}

// Reset forgets everything gathered.
func (n *Nights) Reset() {
	*n = Nights{loc: n.loc, farm: n.farm, nights: map[fields.Date]*openNight{}}
}

// Sink returns a sink that feeds the gatherer.
func (n *Nights) Sink() Sink {
	return Sink{TempOnly: true, Observe: n.Add, Spell: n.AddSpell, Failed: n.AddFailed, Reset: n.Reset}
}

// Add puts one observation into its night. Observations that say neither a
// temperature nor "below zero" are ignored.
func (n *Nights) Add(o Observation) {
	switch {
	case o.HasTemp:
		n.add(point{t: o.At.Unix(), c: o.TempC})
	case o.Below:
		n.add(point{o.At.Unix(), signC, 1})
	}
}

func (n *Nights) add(p point) {
	if n.held++; n.held > maxReadings {
		return
	}
	if n.cur == nil || p.t < n.from || p.t >= n.to {
		d := fields.NightOf(time.Unix(p.t, 0), n.loc)
		start, end := fields.NightSpan(d, n.loc)
		n.cur, n.from, n.to = n.night(d), start.Unix(), end.Unix()
	}
	n.cur.pts = append(n.cur.pts, p)
}

func (n *Nights) night(d fields.Date) *openNight {
	o := n.nights[d]
	if o == nil {
		o = &openNight{pts: make([]point, 0, 26)}
		n.nights[d] = o
	}
	return o
}

// AddSpell puts a minimum over a stretch of time into its night. One that reaches
// into more than one night counts only if the readings of those nights do not
// explain it, and then for the night whose dark part it overlaps most.
func (n *Nights) AddSpell(s Spell) {
	if n.held++; n.held > maxReadings || !s.To.After(s.From) {
		return
	}
	if d, last := s.nights(n.loc); d == last {
		o := n.night(d)
		o.spells = append(o.spells, s)
	} else {
		n.foreign = append(n.foreign, s)
	}
}

// AddFailed puts a reading that failed its source's checks into its night, if it is from
// the hours that must be read. It counts for no low; but a cold one that nothing refutes
// must not pass for a gap in a mild night.
func (n *Nights) AddFailed(f Failed) {
	if n.held++; n.held > maxReadings || f.TempC > nearFrostC {
		return
	}
	d := fields.NightOf(f.At, n.loc)
	if from, to := darkPart(d, n.loc); f.At.Unix() >= from && f.At.Unix() <= to {
		o := n.night(d)
		o.failed = append(o.failed, f)
	}
}

// refuteGap is how near good readings must lie on both sides of a failed one to refute it.
// Ours: a frost does not come and go in half an hour.
const refuteGap = 30 * 60

// unrefuted is a failed reading colder than the night's low that neither good readings
// close by nor a minimum of its time refute; nil for none.
func (o *openNight) unrefuted(low float64) *Failed {
	for i := range o.failed {
		f := &o.failed[i]
		t := f.At.Unix()
		k, same := slices.BinarySearchFunc(o.pts, t, func(p point, t int64) int { return cmp.Compare(p.t, t) })
		between := same || k > 0 && k < len(o.pts) && t-o.pts[k-1].t <= refuteGap && o.pts[k].t-t <= refuteGap
		if f.TempC < low && !between && !slices.ContainsFunc(o.spells, func(s Spell) bool { return !f.At.Before(s.From) && !f.At.After(s.To) }) {
			return f
		}
	}
	return nil
}

// nights are the first and last night that the spell reaches into.
func (s *Spell) nights(loc *time.Location) (first, last fields.Date) {
	return fields.NightOf(s.From, loc), fields.NightOf(s.To.Add(-time.Second), loc)
}

// NightOfSpan returns the night whose hours from 18:00 to 09:00 a stretch of time
// overlaps most.
func NightOfSpan(from, to time.Time, loc *time.Location) fields.Date {
	s := Spell{From: from, To: to}
	first, last := s.nights(loc)
	best, most := first, int64(-1)
	for d := first; d <= last && d <= first+3; d++ {
		a, b := darkPart(d, loc)
		if o := min(b, to.Unix()) - max(a, from.Unix()); o > most {
			best, most = d, o
		}
	}
	return best
}

// darkPart is the part of a night that must be read, in seconds since 1970.
func darkPart(d fields.Date, loc *time.Location) (from, to int64) {
	return (d - 1).At(darkFrom, 0, loc).Unix(), d.At(darkTo, 0, loc).Unix()
}

// Lows returns the nights in order of date, each with the given source: those of
// which a low or a frost is known. A night covers only if its readings leave no gap
// longer than two hours from 18:00 to 09:00, the first no later than 19:00 and the
// last no earlier than 08:00 nor before sunrise at the farm's place; a low of a
// partial night still counts as evidence of frost, and the parts that were read are
// told. Nor does a night without frost cover if a cold reading in it failed its source's
// checks and nothing refutes that. Hours are given for covered nights alone. The gatherer is empty afterwards.
func (n *Nights) Lows(source string) []NightLow {
	dates := slices.Sorted(maps.Keys(n.nights))
	for _, d := range dates {
		n.sort(n.nights[d])
	}
	out := make([]NightLow, 0, len(dates))
	for _, d := range dates {
		if low, ok := n.judge(d, n.nights[d]); ok {
			out = append(out, low)
		}
	}
	out = n.settleForeign(out)
	for i := range out {
		out[i].Source = source
	}
	n.nights, n.foreign, n.cur, n.held = map[fields.Date]*openNight{}, nil, nil, 0
	return out
}

// sort puts the readings of a night in order and drops those that repeat another.
func (n *Nights) sort(o *openNight) {
	slices.SortFunc(o.pts, comparePoints)
	pts := o.pts[:0]
	for _, p := range o.pts {
		if k := len(pts); k > 0 && pts[k-1].t == p.t {
			if pts[k-1] == p {
				n.doubled++
				continue
			}
			n.conflicts++
		}
		pts = append(pts, p)
	}
	o.pts = pts
}

// cold takes in what is known of a low: a number, +Inf for none, and whether it was
// below zero. A number above zero says nothing beside a frost.
func (l *NightLow) cold(low float64, below bool) {
	l.LowC, l.Below = nil, below
	if !math.IsInf(low, 1) && (!below || low <= 0) {
		l.LowC = &low
	}
}

// judge works out one night; ok is false if nothing is known of it.
func (n *Nights) judge(d fields.Date, o *openNight) (out NightLow, ok bool) {
	low, signs := math.Inf(1), false
	for _, p := range o.pts {
		if p.sign == 0 {
			low = min(low, p.c)
		}
		signs = signs || p.sign != 0
	}
	below := signs
	for _, s := range o.spells {
		if !s.Below {
			low = min(low, s.MinC)
		}
		below = below || s.Below
	}
	out.Night = d
	out.cold(low, below)
	if out.LowC == nil && !below {
		return out, false
	}
	n.read = n.read[:0]
	for _, p := range o.pts {
		n.read = append(n.read, stretch{p.t, p.t})
	}
	read := join(n.read)
	gap := gapOf(d, read, n.loc, n.farm)
	byPoints := gap.kind == noGap
	if !byPoints && len(o.spells) > 0 {
		read = join(append(read, n.within(d, o.spells)...))
		gap = gapOf(d, read, n.loc, n.farm)
	}
	if out.Covers = gap.kind == noGap; !out.Covers {
		out.Uncertain, out.Spans = gap.why(n.loc), spansOf(read, n.loc)
	}
	if f := o.unrefuted(low); f != nil && !below && !AtOrBelow(low, FreezingC) {
		out.Covers, byPoints, out.Spans = false, false, nil
		out.Uncertain = fmt.Sprintf("%.1f °C at %s failed a check of its source", f.TempC, f.At.In(n.loc).Format("15:04"))
	}
	if byPoints {
		if signs {
			low = min(low, signC)
		} else {
			out.HoursBelowKill = n.hours(d, o.pts, low, KillC)
		}
		out.HoursBelow0 = n.hours(d, o.pts, low, FreezingC)
	}
	return out, true
}

// within are the spells that lie in the night.
func (n *Nights) within(d fields.Date, spells []Spell) (out []stretch) {
	const slack = 10 * time.Minute // reports are made some minutes before the hour
	start, end := fields.NightSpan(d, n.loc)
	for _, s := range spells {
		if !s.From.Before(start.Add(-slack)) && !s.To.After(end.Add(slack)) {
			out = append(out, stretch{s.From.Unix(), s.To.Unix()})
		}
	}
	return out
}

// hours are the hours of a covered night with the low at or below a threshold, with
// the lines to the last reading before its noon and the first after it, so that
// winter days below zero are not cut short.
func (n *Nights) hours(d fields.Date, pts []point, low, threshold float64) *float64 {
	h := 0.0
	if AtOrBelow(low, threshold) {
		n.line = append(append(append(n.line[:0], n.edge(d-1, true)...), pts...), n.edge(d+1, false)...)
		start, end := fields.NightSpan(d, n.loc)
		h = hoursBelow(n.line, threshold, start.Unix(), end.Unix())
	}
	return &h
}

// edge is the first or last reading of a night, the coldest of its moment; none if
// that is a sign without a number.
func (n *Nights) edge(d fields.Date, last bool) []point {
	o := n.nights[d]
	if o == nil || len(o.pts) == 0 {
		return nil
	}
	k := 0
	if last {
		for k = len(o.pts) - 1; k > 0 && o.pts[k-1].t == o.pts[k].t; {
			k--
		}
	}
	if o.pts[k].sign != 0 {
		return nil
	}
	return o.pts[k : k+1]
}

// settleForeign gives the minima that reach into more than one night to a night,
// where the readings of those nights are not as cold.
func (n *Nights) settleForeign(lows []NightLow) []NightLow {
	find := func(d fields.Date) (int, bool) {
		return slices.BinarySearchFunc(lows, d, func(l NightLow, d fields.Date) int { return cmp.Compare(l.Night, d) })
	}
	for _, s := range n.foreign {
		explained := false
		for d, last := s.nights(n.loc); d <= last && !explained; d++ {
			if i, ok := find(d); ok {
				explained = s.explainedBy(&lows[i])
			}
		}
		if explained {
			continue
		}
		d := NightOfSpan(s.From, s.To, n.loc)
		i, ok := find(d)
		if !ok {
			lows = slices.Insert(lows, i, NightLow{Night: d})
		}
		low := &lows[i]
		switch {
		case !s.Below:
			low.cold(s.MinC, low.Below)
		case low.LowC != nil:
			low.cold(*low.LowC, true)
		default:
			low.cold(math.Inf(1), true)
		}
		if low.Uncertain == "" {
			low.Uncertain = "a reported minimum reaches into another night"
		}
	}
	return lows
}

// explainedBy reports whether a night's own readings were as cold.
func (s *Spell) explainedBy(low *NightLow) bool {
	if s.Below {
		return low.Below || low.LowC != nil && *low.LowC < 0
	}
	return low.LowC != nil && *low.LowC <= s.MinC
}

// CollectNights runs a streaming reader and keeps nights instead of observations.
func CollectNights(opt Options, stream func(Sink) (*Result, error)) (*Result, error) {
	return NewNights(opt.Loc, opt.Farm).collect(stream)
}

func (n *Nights) collect(stream func(Sink) (*Result, error)) (*Result, error) {
	res, err := stream(n.Sink())
	if err != nil {
		return nil, err
	}
	if n.held > maxReadings {
		return nil, fields.Problem{What: fmt.Sprintf("the file holds more than %d readings", maxReadings), Type: "cut it into years"}
	}
	res.Nights = append(res.Nights, n.Lows(res.Format)...)
	res.Doubled += n.doubled
	res.Kept -= n.doubled
	noteRepeats(res, n.conflicts)
	slices.SortStableFunc(res.Nights, func(a, b NightLow) int { return cmp.Compare(a.Night, b.Night) })
	return res, nil
}
