package weather

import (
	"cmp"
	"math"
	"slices"
	"time"

	"rimegate/fields"
	"rimegate/weather/internal/civil"
)

// What makes a night covered. The numbers are ours: no publication gives them.
//
// The lowest temperature of a frost night comes between sunset and an hour or
// so after sunrise, so the part that must be read is 18:00 to 09:00. Hourly
// stations now and then drop one report, which leaves two hours between
// readings; a straight line across two hours keeps the low within some tenths
// of a degree, across four it does not. At the ends one hour is enough of a
// margin: by 19:00 it is seldom the coldest hour, and a reading at 08:00 mostly
// has the sunrise behind it. Where it has not, and the farm says where it lies,
// the night is read until the sun is up (coverage.go).
const (
	MaxGap    = 2*time.Hour + 5*time.Minute // the five minutes let reports wander round the hour
	darkFrom  = 18                          // hour of the evening before
	darkTo    = 9                           // hour of the morning
	endMargin = time.Hour
)

// point is a reading inside a night, or a known sign without a number.
type point struct {
	t    int64 // seconds since 1970
	c    float64
	kind pointKind
}

type pointKind uint8

const (
	value pointKind = iota
	belowSign
)

// signC stands for a known sign when hours at or below 0 °C are counted: a METAR
// writes M00 for -0.5 to 0 °C (WMO-No. 306), and this is its middle.
const signC = -0.25

func comparePoints(a, b point) int {
	switch {
	case a.t < b.t:
		return -1
	case a.t > b.t:
		return 1
	case a.c < b.c:
		return -1
	case a.c > b.c:
		return 1
	}
	return cmp.Compare(a.kind, b.kind)
}

// openNight holds the readings of a night that may still get more.
type openNight struct {
	pts     []point
	spells  []Spell
	thinned bool
}

// Nights gathers observations, in any order, into nights. A file in order of
// time, either way, needs memory for a few nights only; one in no order at all
// is worked out exactly up to some hundred thousand readings, and beyond that in
// pieces, which is said. The zero value is not usable; call NewNights.
type Nights struct {
	loc    *time.Location
	farm   *Place // for sunrise; nil if not known
	zone   civil.Zone
	open   byDate[openNight]
	closed []NightLow
	done   byDate[doneNight]
	points int
	budget int

	cur                *openNight // night of the last observation
	curDate            fields.Date
	curSpan            nightSpan
	foreign            []Spell // that reach into more than one night
	spare              [][]point
	block              []point // that the nights' readings are cut from
	nums               []nightNums
	doubled, conflicts int
	pieces             int
}

// doneNight is what stays of a closed night.
type doneNight struct {
	at          int // index in closed plus one, 0 if the night said nothing
	read        bool
	first, last point // if read
}

const (
	defaultBudget  = 1 << 17 // points held at once, about 3 MB
	maxPerNight    = 1 << 17 // a reading a second is 90,000 in the longest night
	maxNightSpells = 4096
	maxForeign     = 1 << 18
)

// NewNights returns an empty gatherer for a farm's zone and place (nil if not known).
func NewNights(loc *time.Location, farm *Place) *Nights {
	n := &Nights{loc: loc, farm: farm, budget: defaultBudget}
	n.Reset()
	return n
}

// Reset forgets everything gathered.
func (n *Nights) Reset() {
	*n = Nights{loc: n.loc, farm: n.farm, zone: civil.New(n.loc), budget: n.budget}
}

// Sink returns a sink that feeds the gatherer.
func (n *Nights) Sink() Sink {
	return Sink{TempOnly: true, Observe: n.Add, Temp: n.addTemp, Spell: n.AddSpell, Reset: n.Reset}
}

// Add puts one observation into its night. Observations that say neither a
// temperature nor "below zero" are ignored.
func (n *Nights) Add(o Observation) {
	p := point{t: o.At.Unix(), c: o.TempC}
	if !o.HasTemp {
		if o.BelowZero == nil || !*o.BelowZero {
			return
		}
		p.c, p.kind = signC, belowSign
	}
	n.add(p)
}

func (n *Nights) addTemp(at int64, c float64) { n.add(point{t: at, c: c}) }

func (n *Nights) add(p point) {
	if n.cur == nil || p.t < n.curSpan.start || p.t >= n.curSpan.end {
		n.turn(p.t)
	}
	n.push(n.cur, p)
	if n.points > n.budget {
		n.shrink(n.curDate)
	}
}

func (n *Nights) push(o *openNight, p point) {
	if len(o.pts) >= maxPerNight {
		before := len(o.pts)
		n.thin(o)
		n.points -= before - len(o.pts)
	}
	o.pts = append(o.pts, p)
	n.points++
}

// turn makes the night of an instant the current one.
func (n *Nights) turn(t int64) {
	d := n.nightOf(t)
	n.cur, n.curDate, n.curSpan = n.night(d), d, n.span(d)
}

func (n *Nights) night(d fields.Date) *openNight {
	o := n.open.put(d)
	if o.pts == nil {
		o.pts = n.room()
	}
	return o
}

const blockPoints = 340 // 8 KB

// room returns space for the readings of a night: as many as the night before had
// and a few, cut from a block that serves many nights.
func (n *Nights) room() []point {
	if k := len(n.spare); k > 0 {
		pts := n.spare[k-1]
		n.spare = n.spare[:k-1]
		return pts
	}
	want := 28
	if n.cur != nil {
		want = min(len(n.cur.pts)+4, 128)
	}
	if len(n.block) < want {
		n.block = make([]point, blockPoints)
	}
	pts := n.block[:0:want]
	n.block = n.block[want:]
	return pts
}

// AddSpell puts a minimum over a stretch of time into its night. One that reaches
// into more than one night counts only if the readings of those nights do not
// explain it, and then for the night whose dark part it overlaps most.
func (n *Nights) AddSpell(s Spell) {
	if !s.To.After(s.From) {
		return
	}
	d, foreign := nightOfSpell(s, n.loc)
	if foreign {
		if len(n.foreign) >= maxForeign {
			n.foreign = thinSpells(n.foreign)
		}
		n.foreign = append(n.foreign, s)
		return
	}
	o := n.night(d)
	if len(o.spells) >= maxNightSpells {
		o.spells = thinSpells(o.spells)
	}
	o.spells = append(o.spells, s)
	n.points += 3
	if n.points > n.budget {
		n.shrink(d)
	}
}

// nightOfSpell returns the night whose 18:00 to 09:00 the spell overlaps most,
// and whether the spell reaches beyond that night.
func nightOfSpell(s Spell, loc *time.Location) (fields.Date, bool) {
	last := s.To.Add(-time.Second)
	first := fields.NightOf(s.From, loc)
	best, bestOverlap := first, time.Duration(-1)
	for d := first; d <= fields.NightOf(last, loc) && d <= first+3; d++ {
		from, to := darkPart(d, loc)
		if s.From.After(from) {
			from = s.From
		}
		if s.To.Before(to) {
			to = s.To
		}
		if o := to.Sub(from); o > bestOverlap {
			best, bestOverlap = d, o
		}
	}
	return best, first != fields.NightOf(last, loc)
}

// NightOfSpan returns the night whose hours from 18:00 to 09:00 a stretch of time
// overlaps most.
func NightOfSpan(from, to time.Time, loc *time.Location) fields.Date {
	d, _ := nightOfSpell(Spell{From: from, To: to}, loc)
	return d
}

func darkPart(d fields.Date, loc *time.Location) (from, to time.Time) {
	return (d - 1).At(darkFrom, 0, loc), d.At(darkTo, 0, loc)
}

// thin makes room in a night that is read more often than once a second.
func (n *Nights) thin(o *openNight) {
	slices.SortFunc(o.pts, comparePoints)
	out := o.pts[:0]
	for _, p := range o.pts {
		if k := len(out); k > 0 {
			q := out[k-1]
			if q == p {
				n.doubled++
				continue
			}
			if q.t/60 == p.t/60 && q.kind == p.kind {
				o.thinned = true
				if p.c < q.c {
					out[k-1] = p
				}
				continue
			}
		}
		out = append(out, p)
	}
	o.pts = out
}

func thinSpells(list []Spell) []Spell {
	slices.SortFunc(list, func(a, b Spell) int {
		return cmp.Or(a.From.Compare(b.From), a.To.Compare(b.To), cmp.Compare(a.MinC, b.MinC))
	})
	return slices.CompactFunc(list, func(a, b Spell) bool {
		return a.From.Equal(b.From) && a.To.Equal(b.To) && a.Below == b.Below
	})
}

// shrink closes the nights farthest from d until half the budget is free.
func (n *Nights) shrink(d fields.Date) {
	dates := n.open.dates()
	far := func(x fields.Date) int { return max(x.Sub(d), d.Sub(x)) }
	slices.SortFunc(dates, func(a, b fields.Date) int { return cmp.Or(cmp.Compare(far(b), far(a)), cmp.Compare(a, b)) })
	for _, x := range dates {
		if n.points <= n.budget/2 || far(x) <= 1 {
			break
		}
		n.close(x)
	}
}

func (n *Nights) close(d fields.Date) {
	o := n.open.at(d)
	if o == n.cur {
		n.cur = nil
	}
	n.points -= len(o.pts) + 3*len(o.spells)
	low, ok := n.judge(d, o)
	done := n.done.put(d)
	if len(o.pts) > 0 {
		done.read, done.first, done.last = true, o.pts[0], lastOf(o.pts)
	}
	if cap(o.pts) <= 512 && len(n.spare) < 64 {
		n.spare = append(n.spare, o.pts[:0])
	}
	n.open.drop(d)
	switch {
	case !ok:
	case done.at > 0:
		n.pieces++
		n.closed[done.at-1] = n.joinPieces(n.closed[done.at-1], low)
	default:
		n.closed = append(n.closed, low)
		done.at = len(n.closed)
	}
}

// joinPieces merges two parts of a night that were closed apart.
func (n *Nights) joinPieces(a, b NightLow) NightLow {
	out := NightLow{Night: a.Night, Covers: a.Covers || b.Covers, LowC: a.LowC}
	if !out.Covers {
		out.Spans = slices.Concat(a.Spans, b.Spans)
		if out.Covers = Covered(a.Night, out.Spans, n.loc, n.farm); out.Covers {
			out.Spans = nil
		}
	}
	if b.LowC != nil && (a.LowC == nil || *b.LowC < *a.LowC) {
		out.LowC = b.LowC
	}
	if a.BelowZero != nil || b.BelowZero != nil {
		yes := true
		out.BelowZero = &yes
		if out.LowC != nil && *out.LowC > 0 {
			out.LowC = nil
		}
	}
	if !out.Covers {
		out.Uncertain = "readings of this night are scattered through the file"
	}
	return out
}

// rising reports whether every point is later than the one before it.
func rising(pts []point) bool {
	for i := 1; i < len(pts); i++ {
		if pts[i].t <= pts[i-1].t {
			return false
		}
	}
	return true
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

// nightNums are the numbers of a night that its NightLow points to.
type nightNums struct{ low, h0, hk float64 }

// numbers returns a new one, many of which share a piece of memory.
func (n *Nights) numbers() *nightNums {
	if len(n.nums) == 0 {
		n.nums = make([]nightNums, 64)
	}
	num := &n.nums[0]
	n.nums = n.nums[1:]
	return num
}

// judge works out one night.
func (n *Nights) judge(d fields.Date, o *openNight) (NightLow, bool) {
	if !rising(o.pts) { // mostly a file is in order and repeats nothing
		n.sort(o)
	}
	pts := o.pts

	low, below, signs := math.Inf(1), false, false
	for _, p := range pts {
		switch p.kind {
		case value:
			low = min(low, p.c)
		case belowSign:
			below, signs = true, true
		}
	}
	for _, s := range o.spells {
		if s.Below {
			below = true
		} else {
			low = min(low, s.MinC)
		}
	}
	out := NightLow{Night: d}
	num := n.numbers()
	num.low = low
	if !math.IsInf(low, 1) && (!below || low <= 0) {
		out.LowC = &num.low
	}
	if below {
		yes := true
		out.BelowZero = &yes
	}
	if out.LowC == nil && !below {
		return out, false
	}

	span := n.span(d)
	gap, read := n.covered(d, &span, pts, nil)
	byPoints := gap.covered()
	if !byPoints && len(o.spells) > 0 {
		gap, read = n.covered(d, &span, pts, o.spells)
	}
	if out.Covers = gap.covered(); !out.Covers {
		out.Uncertain = gap.why()
		if read == nil {
			read = stretches(pts, 0)
		}
		out.Spans = spansOf(read, n.loc)
	}
	if byPoints && !o.thinned {
		cold := low
		if signs {
			cold = min(low, signC)
		}
		if AtOrBelow(cold, FreezingC) {
			num.h0 = n.hours(d, pts, FreezingC, &span)
		}
		out.HoursBelow0 = &num.h0
		if !signs {
			if AtOrBelow(cold, KillC) {
				num.hk = n.hours(d, pts, KillC, &span)
			}
			out.HoursBelowKill = &num.hk
		}
	}
	return out, true
}

// hours are the hours of a night at or below a threshold, with the lines to the
// last reading before its noon and the first after it, so that winter days below
// zero are not cut short.
func (n *Nights) hours(d fields.Date, pts []point, threshold float64, span *nightSpan) float64 {
	from, to := span.start, span.end
	h, _ := hoursBelow(pts, threshold, from, to)
	th := threshold + Tolerance
	if before, ok := n.endOf(d-1, true); ok && pts[0].t-before.t <= int64(MaxGap/time.Second) {
		x, _ := segment(before, pts[0], th, from, to)
		h += x
	}
	last := lastOf(pts)
	if after, ok := n.endOf(d+1, false); ok && after.t-last.t <= int64(MaxGap/time.Second) {
		x, _ := segment(last, after, th, from, to)
		h += x
	}
	return h
}

// lastOf returns the last of sorted points, the coldest of several at its moment.
func lastOf(pts []point) point {
	k := len(pts) - 1
	for k > 0 && pts[k-1].t == pts[k].t {
		k--
	}
	return pts[k]
}

// endOf returns the first or last reading of a night, open or closed.
func (n *Nights) endOf(d fields.Date, last bool) (point, bool) {
	if o := n.open.at(d); o != nil && len(o.pts) > 0 {
		got := o.pts[0]
		for _, p := range o.pts[1:] {
			if p.t == got.t && comparePoints(p, got) < 0 || p.t != got.t && (p.t > got.t) == last {
				got = p
			}
		}
		return got, got.kind == value
	}
	e := n.done.at(d)
	if e == nil || !e.read {
		return point{}, false
	}
	got := e.first
	if last {
		got = e.last
	}
	return got, got.kind == value
}

// covered looks for a gap in what readings and spells read of the dark part of the
// night. all is what they read, in order; nil if there are no spells, since the
// readings then say it themselves.
func (n *Nights) covered(d fields.Date, span *nightSpan, pts []point, spells []Spell) (g gapFinder, all []stretch) {
	g = gapFinder{night: d, loc: n.loc, at: n.farm, from: span.darkFrom, to: span.darkTo}
	if len(spells) == 0 {
		for _, p := range pts {
			g.add(p.t, p.t)
		}
		return g, nil
	}
	all = stretches(pts, len(spells))
	const slack = 10 * time.Minute // reports are made some minutes before the hour
	start, end := time.Unix(span.start, 0).Add(-slack), time.Unix(span.end, 0).Add(slack)
	for _, s := range spells {
		if !s.From.Before(start) && !s.To.After(end) {
			all = append(all, stretch{s.From.Unix(), s.To.Unix()})
		}
	}
	slices.SortFunc(all, compareStretches)
	for _, s := range all {
		g.add(s.from, s.to)
	}
	return g, all
}

// stretches are the moments of readings, with room for more.
func stretches(pts []point, more int) []stretch {
	out := make([]stretch, 0, len(pts)+more)
	for _, p := range pts {
		out = append(out, stretch{p.t, p.t})
	}
	return out
}

// lowOf returns the low of a closed night, nil if it has none.
func (n *Nights) lowOf(d fields.Date) *NightLow {
	done := n.done.at(d)
	if done == nil || done.at == 0 {
		return nil
	}
	return &n.closed[done.at-1]
}

// settleForeign gives the minima that reach into more than one night to a night,
// where the readings of those nights are not as cold.
func (n *Nights) settleForeign() {
	for _, s := range n.foreign {
		explained := false
		for d, last := fields.NightOf(s.From, n.loc), fields.NightOf(s.To.Add(-time.Second), n.loc); d <= last; d++ {
			low := n.lowOf(d)
			if low == nil {
				continue
			}
			if low.LowC != nil && !s.Below && *low.LowC <= s.MinC || s.Below && (low.BelowZero != nil || low.LowC != nil && *low.LowC < 0) {
				explained = true
				break
			}
		}
		if explained {
			continue
		}
		d, _ := nightOfSpell(s, n.loc)
		low := n.lowOf(d)
		if low == nil {
			n.closed = append(n.closed, NightLow{Night: d})
			n.done.put(d).at = len(n.closed)
			low = n.lowOf(d)
		}
		if s.Below {
			yes := true
			low.BelowZero = &yes
			if low.LowC != nil && *low.LowC > 0 {
				low.LowC = nil
			}
		} else {
			c := s.MinC
			low.LowC = &c
		}
		const why = "a reported minimum reaches into another night"
		if low.Uncertain == "" {
			low.Uncertain = why
		}
	}
	n.foreign = nil
}

// Lows closes every night and returns them in order of date, each with the
// given source. The gatherer is empty afterwards.
func (n *Nights) Lows(source string) []NightLow {
	n.closed = slices.Grow(n.closed, n.open.n)
	for d := range n.open.all() {
		n.close(d)
	}
	n.settleForeign()
	out := n.closed
	n.closed, n.done = nil, byDate[doneNight]{}
	slices.SortFunc(out, func(a, b NightLow) int { return cmp.Compare(a.Night, b.Night) })
	for i := range out {
		out[i].Source = source
	}
	return out
}

// NightsOf turns observations, in any order, into nights from noon to noon of
// the farm's zone. A night covers only if its readings leave no gap longer than
// two hours from 18:00 to 09:00, the first no later than 19:00 and the last no
// earlier than 08:00 nor before sunrise at the farm's place (nil: not known); a low
// of a partial night still counts as evidence of frost, and the parts that were read
// are told. Hours are given for covered nights alone.
func NightsOf(obs []Observation, loc *time.Location, farm *Place) []NightLow {
	return NightsFrom(obs, nil, loc, farm)
}

// NightsFrom is NightsOf with reported minima over stretches of time.
func NightsFrom(obs []Observation, spells []Spell, loc *time.Location, farm *Place) []NightLow {
	if !slices.IsSortedFunc(obs, func(a, b Observation) int { return a.At.Compare(b.At) }) {
		obs = slices.Clone(obs)
		slices.SortStableFunc(obs, func(a, b Observation) int { return a.At.Compare(b.At) })
	}
	n := NewNights(loc, farm)
	n.budget = math.MaxInt
	for _, s := range spells {
		n.AddSpell(s)
	}
	for _, o := range obs {
		n.Add(o)
	}
	return n.Lows("")
}

// CollectNights runs a streaming reader and keeps nights instead of
// observations, so that a file of any length is read in little memory.
func CollectNights(opt Options, stream func(Sink) (*Result, error)) (*Result, error) {
	n := NewNights(opt.Loc, opt.Farm)
	res, err := stream(n.Sink())
	if err != nil {
		return nil, err
	}
	lows := n.Lows(res.Format)
	res.Doubled += n.doubled
	res.Kept -= n.doubled
	if n.pieces > 0 {
		res.Note("the rows are in no order of time and too many to sort; " + Count(n.pieces, "night") + " put together from pieces, without hours")
	}
	noteRepeats(res, n.conflicts)
	switch {
	case len(res.Nights) == 0:
		res.Nights = lows
	case len(lows) > 0:
		res.Nights = append(res.Nights, lows...)
		slices.SortStableFunc(res.Nights, func(a, b NightLow) int { return cmp.Compare(a.Night, b.Night) })
	}
	return res, nil
}
