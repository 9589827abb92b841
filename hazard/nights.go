package hazard

import (
	"math"
	"slices"
	"time"

	"rimegate/fields"
	"rimegate/weather"
)

// NightFacts is what the engine knows of one night on a line of land.
type NightFacts struct {
	HasLow   bool
	Trigger  bool    // it froze
	Possible bool    // it may have frozen among the plants, no in-paddock statement considered
	Covered  bool    // a covering reading or a statement
	Watched  bool    // inside the frost watch
	LowC     float64 // lowest plant-level figure, °C, offset included
}

// NightRow is one night of a paddock for lists; of land with several pasts the worst of them.
type NightRow struct {
	NightFacts
	Night   fields.Date
	Unread  bool // it has come, and nothing is known of it
	Entries []string
}

// night is a night with what bears on the plants besides.
type night struct {
	NightFacts
	inPaddock  bool // a no-frost statement by a thermometer in the paddock
	person     bool // somebody logged a frost
	lowUnsaid  bool // a person's frost or "below zero" gave no low
	read       bool // covered by readings, not by a statement
	numberless bool // a reading said "not below zero" without a number
	hasPlant   bool
	plant      float64 // lowest figure at plant height, °C, the drop from a screen taken off
}

// maybe reports a possible night that no thermometer in the paddock speaks against (§4.4).
func (n *night) maybe() bool { return n != nil && n.Possible && !n.Trigger && !n.inPaddock }

// NightRows returns the nights of a paddock from one day through another, in
// order; nights after the day asked are left out.
func NightRows(h *fields.History, book *Rulebook, id string, from, to fields.Date) []NightRow {
	if h.Paddock(id) == nil || to < from {
		return nil
	}
	var out []NightRow
	r := newReader(h, book, nil)
	for i, line := range h.Lines(id) {
		g := r.on(line, h.On)
		for d := from; d <= min(to, h.On); d++ {
			var r NightRow
			if n := g.at(d); n != nil {
				r.NightFacts = n.NightFacts
			}
			r.Night, r.Watched, r.Unread, r.Entries = d, h.Watched(d), g.unread(d), g.nightEntries(d)
			if i == 0 {
				out = append(out, r)
				continue
			}
			out[d.Sub(from)].join(r)
		}
	}
	return out
}

// join makes of the row the worse of two pasts.
func (r *NightRow) join(x NightRow) {
	if x.HasLow {
		r.note(x.LowC)
	}
	r.Trigger = r.Trigger || x.Trigger
	r.Possible = r.Possible || x.Possible
	r.Covered = r.Covered && x.Covered
	r.Unread = r.Unread || x.Unread
	r.Entries = unite(r.Entries, x.Entries)
}

func (n *NightFacts) note(low float64) {
	if !n.HasLow || low < n.LowC {
		n.HasLow, n.LowC = true, low
	}
}

// possibleSlack lets a reading printed in whole °F meet its line: 36 °F is
// 2.22 °C and 40 °F is 4.44 °C, where the lines are written 2.2 and 4.4.
const possibleSlack = 0.05

// lowSensor is the height, m, at or below which a thermometer reads the frost
// of the plants themselves, so that no possible line is needed.
const lowSensor = 0.3

// findNights finds the first night that can matter to the day asked; what is known of
// each night is read when it is asked for.
func (g *ground) findNights() {
	from := g.x
	consider := func(days ...fields.Date) {
		for _, d := range days {
			if d != fields.NoDate {
				from = min(from, d)
			}
		}
	}
	consider(firstDate(g.Frosts), firstDate(g.NoFrosts), firstDate(g.Readings), firstDate(g.Walks), firstDate(g.SwathWalks))
	for _, f := range g.Damage {
		consider(f.DamageNight)
	}
	if len(g.Labs) > 0 { // a result's own night is asked about
		consider(g.Labs[0].Date - 1)
	}
	g.stations = g.h.StationsOf(g.line)
	for _, id := range g.stations {
		consider(firstDate(g.h.OfStation(id)))
	}
	// Without a start every known night counts; with one, nights before it bear
	// on nothing but results and lots of an earlier stand.
	if s := g.stand.start; s != fields.NoDate {
		consider(s)
		known := from
		from = min(s, g.x)
		consider(firstDate(g.Labs), firstDate(g.Lots), firstDate(g.Cuts), firstDate(g.Vets))
		from = max(known, from-60)
	}
	g.nightsFrom = from
	g.nights = make([]*nightPage, pageOf(g.lastNight())-pageOf(from)+1)
}

// nightsRead is how many nights are read at once. A journal holds decades, and an answer
// asks about a season of them.
const (
	pageBits   = 5
	nightsRead = 1 << pageBits
)

// nightPage is what is known of as many nights, the first a multiple of them.
type nightPage [nightsRead]night

func pageOf(d fields.Date) int { return int(d >> pageBits) }

// readNights reads the nights of one page. A page of nights that were over on the day
// asked is the same on any such day, statements apart.
func (g *ground) readNights(page int) *nightPage {
	from := fields.Date(page) << pageBits
	to := min(from+nightsRead-1, g.lastNight())
	share := to <= g.x
	p := g.shared[page]
	if !share || p == nil {
		p = new(nightPage)
		for d := from; d <= to; d++ {
			p[d-from].Watched = g.h.Watched(d)
		}
		g.takeFrosts(p, from, to)
		g.takeReadings(p, from, to)
	}
	if share {
		g.shared[page] = p
		if slices.ContainsFunc(g.NoFrosts, func(f fields.NoFrostFact) bool { return f.From <= to && f.To >= from }) {
			own := *p
			p = &own
		}
	}
	g.takeStatements(p, from, to)
	g.nights[page-pageOf(g.nightsFrom)] = p
	return p
}

// lastNight is the last night of which something can be known: tonight, for a frost may
// have been seen in it already.
func (g *ground) lastNight() fields.Date { return max(g.x, g.nightsFrom) + 1 }

// firstDate is the date of the first of some facts, NoDate for none.
func firstDate[F fields.Dated](fs []F) fields.Date {
	if len(fs) == 0 {
		return fields.NoDate
	}
	return fs[0].When()
}

// lastDate is the date of the last of some facts, NoDate for none.
func lastDate[F fields.Dated](fs []F) fields.Date {
	if len(fs) == 0 {
		return fields.NoDate
	}
	return fs[len(fs)-1].When()
}

// at returns the night of d, or nil outside the table.
func (g *ground) at(d fields.Date) *night {
	if d < g.nightsFrom || d > g.lastNight() {
		return nil
	}
	page := pageOf(d)
	p := g.nights[page-pageOf(g.nightsFrom)]
	if p == nil {
		p = g.readNights(page)
	}
	return p.at(d)
}

func (p *nightPage) at(d fields.Date) *night { return &p[d&(nightsRead-1)] }

func (g *ground) isTrigger(d fields.Date) bool { n := g.at(d); return n != nil && n.Trigger }

// lastTrigger is the last trigger night from a day to another, NoDate for none.
func (g *ground) lastTrigger(from, to fields.Date) fields.Date {
	for d := to; d >= max(from, g.nightsFrom); d-- {
		if g.isTrigger(d) {
			return d
		}
	}
	return fields.NoDate
}

// takeFrosts puts people's frosts and walked damage onto some nights (§4.3).
func (g *ground) takeFrosts(p *nightPage, from, to fields.Date) {
	for _, f := range fields.Between(g.Frosts, from, to) {
		n := p.at(f.Date)
		n.Trigger, n.person = true, true
		if f.LowC != nil {
			n.note(*f.LowC)
		} else {
			n.lowUnsaid = true
		}
	}
	for _, f := range g.Damage {
		if d := f.DamageNight; from <= d && d <= to {
			p.at(d).Trigger = true
		}
	}
}

// takeReadings puts readings onto some nights (§4.1) and says which were read (§4.2).
func (g *ground) takeReadings(p *nightPage, from, to fields.Date) {
	setting := g.h.NightSettings(g.line)
	var own map[fields.Date][]fields.Span // parts of nights that the paddock's own thermometer read
	for _, f := range fields.Between(g.Readings, from, to) {
		n := p.at(f.Date)
		s := setting(f.Date)
		var c coverage
		g.weigh(n, f, thermometer{lowLying: s.LowLying, inPaddock: true}, &c)
		n.read = n.read || c.whole
		if len(c.parts) > 0 {
			if own == nil {
				own = map[fields.Date][]fields.Span{}
			}
			own[f.Date] = append(own[f.Date], c.parts...)
		}
	}
	for d, parts := range own {
		if n := p.at(d); !n.read {
			n.read = weather.Covered(d, parts, g.h.Loc, g.place())
		}
	}
	read := make([]stationReadings, len(g.stations))
	for i, id := range g.stations {
		read[i] = stationReadings{id: id, next: g.h.StationReadings(id, from, to)}
	}
	for d := from; d <= to; d++ {
		for i := range read {
			read[i].turn(d)
		}
		n := p.at(d)
		if len(g.stations) > 0 {
			g.takeStations(n, d, setting(d), read, own)
		}
		n.Covered = n.read
	}
}

// stationReadings are a station's readings of one night and of those that follow.
type stationReadings struct {
	id        string
	now, next []fields.ReadingFact
}

// turn goes on to the night of d.
func (s *stationReadings) turn(d fields.Date) {
	n := 0
	for n < len(s.next) && s.next[n].Date <= d {
		n++
	}
	s.now, s.next = s.next[:n], s.next[n:]
}

// takeStations weighs what the paddock's stations read of one night. Of several,
// each must have read it, what the paddock's own thermometer read added.
func (g *ground) takeStations(n *night, d fields.Date, s fields.NightSetting, of []stationReadings, own map[fields.Date][]fields.Span) {
	read := len(s.Stations) > 0
	for _, id := range s.Stations {
		height, said := g.h.StationHeight(id, d)
		t := thermometer{offset: s.OffsetC, lowLying: s.LowLying, low: said && height <= lowSensor}
		var c coverage
		at := slices.IndexFunc(of, func(r stationReadings) bool { return r.id == id })
		for _, f := range of[at].now {
			if d > g.x && !g.h.OfTonight(f.Fact, g.x) {
				continue
			}
			g.weigh(n, f, t, &c)
		}
		if !c.whole && len(c.parts) > 0 {
			c.whole = weather.Covered(d, append(c.parts, own[d]...), g.h.Loc, g.place())
		}
		read = read && c.whole
	}
	n.read = n.read || read
}

// place is where the farm lies, nil if nobody said.
func (g *ground) place() *weather.Place {
	if g.h.Farm.Lat == nil || g.h.Farm.Lon == nil {
		return nil
	}
	return &weather.Place{Lat: *g.h.Farm.Lat, Lon: *g.h.Farm.Lon}
}

// thermometer is how a reading bears on the plants of a paddock.
type thermometer struct {
	offset    float64
	lowLying  bool // the paddock lies low
	low       bool // a station at lowSensor or lower
	inPaddock bool // the paddock's own, at plant height
}

// coverage is how much of a night was read.
type coverage struct {
	whole bool
	parts []fields.Span
}

// weigh puts one reading onto a night and notes how much of it was read. A
// reading written down before the night's own morning cannot cover it; a part
// speaks up to the moment it was written down.
func (g *ground) weigh(n *night, b fields.ReadingFact, t thermometer, c *coverage) {
	line := g.book.V[possibleRule(t.lowLying)]
	froze := g.book.froze(b.Reading, t.offset)
	n.Trigger = n.Trigger || froze
	n.lowUnsaid = n.lowUnsaid || froze && b.LowC == nil
	switch {
	case b.LowC != nil:
		low := *b.LowC + t.offset
		n.note(low)
		if low > g.book.V[FrostTrigger] && !t.low && min(*b.LowC, low) <= line+possibleSlack {
			n.Possible = true
		}
		if !t.low && !t.inPaddock {
			low -= g.book.V[NitrateFrostScreenDrop]
		}
		if !n.hasPlant || low < n.plant {
			n.hasPlant, n.plant = true, low
		}
	case no(b.BelowZero):
		// "Not below zero" leaves open whether it was below the possible line.
		n.numberless = true
		if !t.low {
			n.Possible = true
		}
	}
	whole := yes(b.Covers) || b.Covers == nil && len(b.Spans) == 0
	c.whole = c.whole || whole && fields.DateOf(b.Recorded, g.h.Loc) >= b.Date
	for _, s := range b.Spans {
		if s.To.After(b.Recorded) {
			s.To = b.Recorded
		}
		if s.From.Before(s.To) {
			c.parts = append(c.parts, s)
		}
	}
}

// takeStatements covers those of some nights that somebody signed for (§4.7).
func (g *ground) takeStatements(p *nightPage, from, to fields.Date) {
	for _, f := range g.NoFrosts {
		if f.From > to || f.To < from {
			continue
		}
		last := min(f.To, fields.DateOf(f.Recorded, g.h.Loc), to, g.x) // signed for nights already over
		for d := max(f.From, from); d <= last; d++ {
			n := p.at(d)
			n.Covered = true
			if f.Basis == "thermometer-in-paddock" {
				n.inPaddock = true
			}
		}
	}
}

// unread reports whether the night of d has come and nothing is known of it (§4.5):
// inside the frost watch, no covering reading, frost or statement.
func (g *ground) unread(d fields.Date) bool {
	return (g.stand.start == fields.NoDate || d >= g.stand.start) && g.nightUnread(d)
}

// nightUnread is unread, whatever stand grew there.
func (g *ground) nightUnread(d fields.Date) bool {
	if d > g.x || d > g.today {
		return false
	}
	n := g.at(d)
	if n == nil {
		return g.h.Watched(d)
	}
	return n.Watched && !n.Trigger && !n.Covered
}

// ClockHour is the farm hour of its date from which an unread night can
// restart a clock; until then "last night is not in yet".
const ClockHour = 10

func (g *ground) unreadForClock(d fields.Date) bool {
	return g.unread(d) && (d < g.today || !g.moment.Before(d.At(ClockHour, 0, g.h.Loc)))
}

// nightEntries returns the ids of the entries that speak of the night of d.
func (g *ground) nightEntries(d fields.Date) []string {
	var ids []string
	for _, f := range fields.Between(g.Frosts, d, d) {
		ids = append(ids, f.ID)
	}
	for _, f := range g.Damage {
		if f.DamageNight == d {
			ids = append(ids, f.ID)
		}
	}
	for _, f := range fields.Between(g.Readings, d, d) {
		ids = append(ids, f.ID)
	}
	for _, id := range g.h.NightSetting(g.line, d).Stations {
		for _, f := range g.h.ReadingsOf(id, d) {
			ids = append(ids, f.ID)
		}
	}
	return ids
}

// clock is the frost clock of a stand or swath (§4.9).
type clock struct {
	last    fields.Date   // last clock night, NoDate if none
	trigger fields.Date   // last trigger night that set it
	unread  []fields.Date // unread nights that set it after that trigger
	from    fields.Date   // the first night it may run in, and the last
	to      fields.Date
}

// end returns the last day of the clock's hold, NoDate if no clock ever ran.
func (c *clock) end(wait int) fields.Date {
	if c.last == fields.NoDate {
		return fields.NoDate
	}
	return c.last.Add(wait)
}

// lastUnread is the last unread night that set it, NoDate for none since its last trigger.
func (c *clock) lastUnread() fields.Date {
	if n := len(c.unread); n > 0 {
		return c.unread[n-1]
	}
	return fields.NoDate
}

// carry goes through the nights from a day to another. Each trigger night sets the clock
// whatever was before, so what comes before the last one is passed over.
func (c *clock) carry(g *ground, from, to fields.Date) {
	if c.from == fields.NoDate {
		c.from = from
	}
	c.to = max(c.to, to)
	if last := g.lastTrigger(from, to); last != fields.NoDate {
		from, c.last = last, last
	}
	for wait := g.book.Days(FrostWait); from <= to && from <= c.end(wait); from++ {
		c.step(g, from, wait)
	}
}

// step reports whether the night of d set the clock.
func (c *clock) step(g *ground, d fields.Date, wait int) bool {
	switch {
	case g.isTrigger(d):
		c.trigger, c.unread = d, nil
	case d <= c.end(wait) && g.unreadForClock(d):
		c.unread = append(c.unread, d)
	default:
		return false
	}
	c.last = d
	return true
}

// nights are the clock nights of the stand from a day to another, in order.
func (c *clock) nights(g *ground, from, to fields.Date) (out []fields.Date) {
	var run clock
	d := max(from, c.from)
	if t := g.lastTrigger(c.from, d); t != fields.NoDate {
		d = t
	}
	for wait := g.book.Days(FrostWait); d <= min(to, c.to); d++ {
		if run.step(g, d, wait) && d >= from {
			out = append(out, d)
		}
	}
	return out
}

// runClock goes through the nights from the stand's start up to the base of a
// confirmed kill, else up to upTo; of the day asked, a frost already seen in the
// night that follows too.
func (g *ground) runClock(upTo fields.Date, k kill) clock {
	var c clock
	if !g.stand.hasP() {
		return c
	}
	end := upTo
	switch {
	case k.confirmed:
		end = min(end, k.base)
	case upTo == g.x:
		end++
	}
	c.carry(g, max(g.stand.start, g.nightsFrom), end)
	return c
}

// possibleRule is the rule of the possible line of a paddock (§4.4).
func possibleRule(lowLying bool) RuleKey {
	if lowLying {
		return FrostPossibleLow
	}
	return FrostPossible
}

// ForecastLow is what the forecasts that bear on a night say of a paddock.
type ForecastLow struct {
	LowC     float64 // the lowest, °C, offset included
	OffsetC  float64 // the paddock's offset to its station, at or below 0
	Stations []string
	LowLying bool
	Possible float64 // the line below which plants may freeze, °C at the thermometer
	Entries  []string
}

// ForecastFor returns the lowest forecast that bears on the night of d in a paddock
// (§4.8), over the lines of its land; ok is false if none does.
func ForecastFor(h *fields.History, book *Rulebook, id string, d fields.Date) (f ForecastLow, ok bool) {
	f.LowC = math.Inf(1)
	r := newReader(h, book, nil)
	for _, line := range h.Lines(id) {
		low, ids, has := r.on(line, h.On).forecast(d)
		s := h.NightSetting(line, d)
		f.Stations = append(f.Stations, s.Stations...)
		f.OffsetC = min(f.OffsetC, s.OffsetC)
		f.LowLying = f.LowLying || s.LowLying
		f.LowC, ok = min(f.LowC, low), ok || has
		f.Entries = append(f.Entries, ids...)
	}
	f.Possible = book.V[possibleRule(f.LowLying)]
	return f, ok
}

// forecast returns the lowest forecast that bears on night n (§4.8), +Inf for none, and the
// entries it came from. Counted are those issued since 24 hours before the earlier of
// the moment and 18:00 on the day before.
func (g *ground) forecast(n fields.Date) (low float64, ids []string, ok bool) {
	since := (n - 1).At(18, 0, g.h.Loc)
	if g.moment.Before(since) {
		since = g.moment
	}
	since = since.Add(-24 * time.Hour)
	low = math.Inf(1)
	take := func(f fields.ForecastFact, offset float64) {
		if f.Date == n && !f.Issued.Before(since) && f.LowC != nil {
			low = min(low, *f.LowC+offset)
			ids = append(ids, f.ID)
		}
	}
	for _, f := range g.Forecasts {
		take(f, 0)
	}
	s := g.h.NightSetting(g.line, n)
	for _, id := range s.Stations {
		for _, f := range g.h.ForecastsOf(id, n) {
			take(f, s.OffsetC)
		}
	}
	return low, ids, len(ids) > 0
}
