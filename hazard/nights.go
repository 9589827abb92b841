package hazard

import (
	"time"

	"rimegate/fields"
	"rimegate/weather"
)

// night is what is known of one night on one line of land.
type night struct {
	trigger   bool
	possible  bool // and no in-paddock statement against it
	covered   bool // a covering reading or a statement
	watched   bool
	hasLow    bool
	low       float64 // lowest plant-level figure, °C, offset included
	inPaddock bool    // a no-frost statement by a thermometer in the paddock

	person     bool // somebody logged a frost
	lowUnsaid  bool // a person's frost or "below zero" gave no low
	read       bool // covered by readings, not by a statement
	numberless bool // a reading said "not below zero" without a number
	hasPlant   bool
	plant      float64 // lowest figure at plant height, °C, the drop from a screen taken off
}

// possibleSlack lets a reading printed in whole °F meet its line: 36 °F is
// 2.22 °C and 40 °F is 4.44 °C, where the lines are written 2.2 and 4.4.
const possibleSlack = 0.05

// lowSensor is the height, m, at or below which a thermometer reads the frost
// of the plants themselves, so that no possible line is needed.
const lowSensor = 0.3

// readNights fills the table of nights from the first night that can matter to
// the day asked.
func (g *ground) readNights() {
	from := g.x
	consider := func(d fields.Date) {
		if d != fields.NoDate {
			from = min(from, d)
		}
	}
	consider(firstDate(g.Frosts))
	consider(firstDate(g.NoFrosts))
	consider(firstDate(g.Readings))
	consider(firstDate(g.Walks))
	consider(firstDate(g.SwathWalks))
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
		other := min(s, g.x)
		for _, d := range []fields.Date{firstDate(g.Labs), firstDate(g.Lots), firstDate(g.Cuts), firstDate(g.Vets)} {
			if d != fields.NoDate {
				other = min(other, d)
			}
		}
		from = max(from, other-60)
	}
	g.nightsFrom = from
	g.nights = make([]night, max(g.x.Sub(from)+2, 2)) // tonight too: a frost may have been seen in it already
	for i := range g.nights {
		g.nights[i].watched = g.h.Watched(from.Add(i))
	}
	g.takeFrosts()
	g.takeReadings()
	g.takeStatements()
}

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
	i := d.Sub(g.nightsFrom)
	if i < 0 || i >= len(g.nights) {
		return nil
	}
	return &g.nights[i]
}

func (g *ground) isTrigger(d fields.Date) bool { n := g.at(d); return n != nil && n.trigger }

// lastTrigger is the last trigger night from a day to another, NoDate for none.
func (g *ground) lastTrigger(from, to fields.Date) fields.Date {
	for d := to; d >= max(from, g.nightsFrom); d-- {
		if g.isTrigger(d) {
			return d
		}
	}
	return fields.NoDate
}

// takeFrosts puts people's frosts and walked damage onto the nights (§4.3).
func (g *ground) takeFrosts() {
	for _, f := range g.Frosts {
		if n := g.at(f.Date); n != nil {
			n.trigger, n.person = true, true
			if f.LowC != nil {
				n.note(*f.LowC)
			} else {
				n.lowUnsaid = true
			}
		}
	}
	for _, f := range g.Damage {
		if n := g.at(f.DamageNight); n != nil {
			n.trigger = true
		}
	}
}

func (n *night) note(low float64) {
	if !n.hasLow || low < n.low {
		n.hasLow, n.low = true, low
	}
}

// takeReadings puts readings onto the nights (§4.1) and says which were read (§4.2).
func (g *ground) takeReadings() {
	own := map[fields.Date][]fields.Span{} // parts of nights that the paddock's own thermometer read
	for _, f := range g.Readings {
		n := g.at(f.Date)
		if n == nil {
			continue
		}
		s := g.h.NightSetting(g.line, f.Date)
		var c coverage
		g.weigh(n, f, thermometer{lowLying: s.LowLying, inPaddock: true}, &c)
		n.read = n.read || c.whole
		if len(c.parts) > 0 {
			own[f.Date] = append(own[f.Date], c.parts...)
		}
	}
	for d, parts := range own {
		if n := g.at(d); !n.read {
			n.read = weather.Covered(d, parts, g.h.Loc, g.place())
		}
	}
	if len(g.stations) > 0 {
		for i := range g.nights {
			g.takeStations(&g.nights[i], g.nightsFrom.Add(i), own)
		}
	}
	for i := range g.nights {
		g.nights[i].covered = g.nights[i].read
	}
}

// takeStations weighs what the paddock's stations read of one night. Of several,
// each must have read it, what the paddock's own thermometer read added.
func (g *ground) takeStations(n *night, d fields.Date, own map[fields.Date][]fields.Span) {
	s := g.h.NightSetting(g.line, d)
	read := len(s.Stations) > 0
	for _, id := range s.Stations {
		height, said := g.h.StationHeight(id, d)
		t := thermometer{offset: s.OffsetC, lowLying: s.LowLying, low: said && height <= lowSensor}
		var c coverage
		for _, f := range g.h.ReadingsOf(id, d) {
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
	line := g.book.V[FrostPossible]
	if t.lowLying {
		line = g.book.V[FrostPossibleLow]
	}
	n.trigger = n.trigger || g.book.froze(b.Reading, t.offset)
	n.lowUnsaid = n.lowUnsaid || yes(b.BelowZero) && b.LowC == nil
	switch {
	case b.LowC != nil:
		low := *b.LowC + t.offset
		n.note(low)
		if low > g.book.V[FrostTrigger] && !t.low && min(*b.LowC, low) <= line+possibleSlack {
			n.possible = true
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
			n.possible = true
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

// takeStatements covers nights that somebody signed for (§4.7).
func (g *ground) takeStatements() {
	for _, f := range g.NoFrosts {
		last := min(f.To, fields.DateOf(f.Recorded, g.h.Loc)) // signed for nights already over
		for d := max(f.From, g.nightsFrom); d <= last && d <= g.x; d++ {
			n := g.at(d)
			n.covered = true
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
	return n.watched && !n.trigger && !n.covered
}

// ClockHour is the farm hour of its date from which an unread night can
// restart a clock; until then "last night is not in yet".
const ClockHour = 10

func (g *ground) unreadForClock(d fields.Date) bool {
	return g.unread(d) && !g.moment.Before(d.At(ClockHour, 0, g.h.Loc))
}

// nightEntries returns the ids of the entries that speak of the night of d.
func (g *ground) nightEntries(d fields.Date) []string {
	var ids []string
	for _, f := range g.Frosts {
		if f.Date == d {
			ids = append(ids, f.ID)
		}
	}
	for _, f := range g.Damage {
		if f.DamageNight == d {
			ids = append(ids, f.ID)
		}
	}
	for _, f := range g.Readings {
		if f.Date == d {
			ids = append(ids, f.ID)
		}
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
	all     []fields.Date // every clock night, in order
	unreads []fields.Date // those of them that were unread
}

// end returns the last day of the clock's hold, NoDate if no clock ever ran.
func (c *clock) end(wait int) fields.Date {
	if c.last == fields.NoDate {
		return fields.NoDate
	}
	return c.last.Add(wait)
}

func (c *clock) step(g *ground, d fields.Date, wait int) {
	switch {
	case g.isTrigger(d):
		c.last, c.trigger, c.unread = d, d, nil
		c.all = append(c.all, d)
	case c.last != fields.NoDate && d <= c.last.Add(wait) && g.unreadForClock(d):
		c.last = d
		c.unread = append(c.unread, d)
		c.unreads = append(c.unreads, d)
		c.all = append(c.all, d)
	}
}

// runClock goes through the nights from the stand's start up to the base of a
// confirmed kill, else up to upTo; of the day asked, a frost already seen in the
// night that follows too.
func (g *ground) runClock(upTo fields.Date, k kill) clock {
	var c clock
	if !g.stand.hasP() {
		return c
	}
	from := max(g.stand.start, g.nightsFrom)
	end := upTo
	switch {
	case k.confirmed:
		end = min(end, k.base)
	case upTo == g.x:
		end++
	}
	wait := g.book.Days(FrostWait)
	for d := from; d <= end; d++ {
		c.step(g, d, wait)
	}
	return c
}

// forecast returns the lowest forecast that bears on night n (§4.8) and the entries
// it came from. Counted are those issued since 24 hours before the earlier of
// the moment and 18:00 on the day before.
func (g *ground) forecast(n fields.Date) (low float64, ids []string, ok bool) {
	ref := (n - 1).At(18, 0, g.h.Loc)
	if g.moment.Before(ref) {
		ref = g.moment
	}
	since := ref.Add(-24 * time.Hour)
	take := func(f fields.ForecastFact, offset float64) {
		if f.Date != n || f.Issued.Before(since) || f.LowC == nil {
			return
		}
		if v := *f.LowC + offset; !ok || v < low {
			low, ok = v, true
		}
		ids = append(ids, f.ID)
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
	return low, ids, ok
}
