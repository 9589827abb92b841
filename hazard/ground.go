package hazard

import (
	"slices"
	"strings"
	"time"

	"rimegate/fields"
)

// reader reads a history for one answer. It remembers what it read, for one line of land
// may be asked about on many days: one goroutine uses it.
type reader struct {
	h      *fields.History
	book   *Rulebook
	moment time.Time
	today  fields.Date // local date of the moment

	as      []int                         // see asClass, by place in Classes
	names   map[string]string             // see nameOf, of names as written
	lines   map[string]map[int]*nightPage // nights of each line, by page
	grounds map[groundKey]*ground
}

// newReader makes a reader. What another read of nights that were over it keeps, where nothing
// else is known of them and no other rule holds; that one reads no more.
func newReader(h *fields.History, book *Rulebook, before *reader) *reader {
	m := Moment(h)
	r := &reader{
		h: h, book: book, moment: m, today: fields.DateOf(m, h.Loc),
		lines: map[string]map[int]*nightPage{}, grounds: map[groundKey]*ground{},
	}
	if before != nil && before.book.V == book.V && before.h.SameNights(h) {
		r.lines = before.lines
	}
	if before != nil && before.book == book {
		r.as, r.names = before.as, before.names
		return r
	}
	r.names = map[string]string{}
	for _, c := range Classes {
		r.as = append(r.as, book.asClass(c))
	}
	return r
}

// nameOf is the rulebook's, which is asked of the same few names again and again.
func (r *reader) nameOf(written string) string {
	name, known := r.names[written]
	if !known {
		name = r.book.nameOf(written)
		r.names[written] = name
	}
	return name
}

type groundKey struct {
	line string
	reading
}

// ground is one line of a paddock's land on the day asked (§3.10), ready for the lines of
// the answer tables. It is built once per line and day; its nights are read when asked for.
type ground struct {
	*reader
	fields.Land // as known on the day asked
	line        []string
	x           fields.Date // the day asked
	listedBy    fields.Date // last day on which a walk may name a species absent
	// foundAlive are walks later than x whose living plants count as seen: what
	// was found alive while a lot was made grew there before.
	foundAlive []fields.WalkFact
	stays      []fields.Stay

	stations   []string // that its paddocks ever named
	nightsFrom fields.Date
	nights     []*nightPage       // from the page of nightsFrom; nil until asked for
	shared     map[int]*nightPage // pages that are the same on every day they may be asked on

	stand stand
	kill  kill
	clock clock
	now   *growth // see growthNow

	drinks       []source // see sources
	sourcesFound bool
}

// reading is how the record of a line is read: as it stands on day x, with the
// species list as walks dated listedBy or earlier left it (a swath holds what grew
// on its cut day, whatever a later walk found gone), what walks up to aliveBy
// found alive and what was sown by sownBy.
type reading struct{ x, listedBy, aliveBy, sownBy fields.Date }

// on reads the line as it stands on day x (§3.8).
func (r *reader) on(line []string, x fields.Date) *ground { return r.ground(line, reading{x, x, x, x}) }

func (r *reader) ground(line []string, as reading) *ground {
	key := groundKey{strings.Join(line, "\x00"), as}
	if g := r.grounds[key]; g != nil {
		return g
	}
	if r.lines[key.line] == nil {
		r.lines[key.line] = map[int]*nightPage{}
	}
	g := r.read(line, as, r.lines[key.line])
	r.grounds[key] = g
	return g
}

func (rd *reader) read(line []string, r reading, shared map[int]*nightPage) *ground {
	h := rd.h
	g := &ground{reader: rd, Land: *h.Land(line), line: line, x: r.x, listedBy: r.listedBy, shared: shared}
	if r.x < h.On {
		g.rewind(r)
	}
	g.Sown = fields.UpTo(g.Sown, r.sownBy)
	for _, p := range line {
		for _, s := range h.StaysOf(p) {
			if s.In > r.x {
				continue
			}
			if s.Out > r.x {
				s.Out, s.SwathLeft = fields.NoDate, nil
			}
			g.stays = append(g.stays, s)
		}
	}
	g.stand = g.findStand()
	g.findNights()
	g.kill = g.findKill(g.x)
	g.clock = g.runClock(g.x, g.kill)
	return g
}

// rewind leaves out what is dated later than the day read, sightings and what was
// known of the following night apart.
func (g *ground) rewind(r reading) {
	l, x := &g.Land, r.x
	for _, fs := range [][]fields.WalkFact{l.Walks, l.SwathWalks} {
		for _, f := range fs {
			if f.Date > x && f.Date <= r.aliveBy && len(f.Alive) > 0 {
				g.foundAlive = append(g.foundAlive, f)
			}
		}
	}
	// A frost that was found later had fallen all the same.
	l.Damage = slices.DeleteFunc(slices.Clone(l.Damage), func(f fields.WalkFact) bool { return f.Date > x && f.DamageNight > x })
	l.Walks = fields.UpTo(l.Walks, x)
	l.SwathWalks = fields.UpTo(l.SwathWalks, x)
	l.Cuts = fields.UpTo(l.Cuts, x)
	l.Grazed = fields.UpTo(l.Grazed, x)
	l.NoFrosts = fields.UpTo(l.NoFrosts, x)
	l.Droughts = fields.UpTo(l.Droughts, x)
	l.Harm = fields.UpTo(l.Harm, x)
	l.Nitrogen = fields.UpTo(l.Nitrogen, x)
	l.Labs = fields.UpTo(l.Labs, x)
	l.Water = fields.UpTo(l.Water, x)
	l.Lots = fields.UpTo(l.Lots, x)
	l.Incidents = fields.UpTo(l.Incidents, x)
	l.Vets = fields.UpTo(l.Vets, x)
	l.Frosts = slices.DeleteFunc(slices.Clone(l.Frosts), func(f fields.FrostFact) bool {
		return f.Date > x && !g.h.OfTonight(f.Fact, x)
	})
	l.Readings = slices.DeleteFunc(slices.Clone(l.Readings), func(f fields.ReadingFact) bool {
		return f.Date > x && !g.h.OfTonight(f.Fact, x)
	})
	l.Forecasts = fields.UpTo(l.Forecasts, x+1)
}

func yes(b *bool) bool { return b != nil && *b }
func no(b *bool) bool  { return b != nil && !*b }

// lastReset is the last cut, chop or graze-out: heights are measured anew (§5.8).
func (g *ground) lastReset() fields.Date { return g.resetBy(g.x) }

func (g *ground) resetBy(upTo fields.Date) fields.Date {
	last := g.lastCut(upTo, true)
	for _, s := range g.stays {
		if s.Out <= upTo {
			last = max(last, s.Out)
		}
	}
	return last
}

// growthEnded is the last day on which the growth of the whole paddock was
// taken (§5.8): a cut, or stock going out that left it grazed off. A chop takes a
// strip, and stock taken out because of a frost or a result leave the poison
// standing: our own "move out now" must not lift what it rests on.
func (g *ground) growthEnded(upTo fields.Date) fields.Date {
	last := g.lastCut(upTo, false)
	for _, f := range fields.UpTo(g.Grazed, upTo) {
		if f.State == fields.MoveOut && f.LeftCM != nil && *f.LeftCM <= GrazedOffCM {
			last = max(last, f.Date)
		}
	}
	return last
}

// GrazedOffCM, cm, is the most that stock leave of growth that counts as grazed
// off: 8 in. Extension advice is to leave 6 to 8 in of stubble for regrowth
// (common practice, no source). Left unsaid is not grazed off.
const GrazedOffCM = 8 * 2.54

// lastCut is the last cut up to a day, chops counted or not; NoDate for none.
func (g *ground) lastCut(upTo fields.Date, chops bool) fields.Date {
	cuts := fields.UpTo(g.Cuts, upTo)
	for i := len(cuts) - 1; i >= 0; i-- {
		if chops || cuts[i].Use != fields.CutGreenChop {
			return cuts[i].Date
		}
	}
	return fields.NoDate
}

// swathGround is the ground as it bears on a swath: itself, unless a walk
// after the cut named a species absent (§8.3).
func (g *ground) swathGround() *ground {
	w, ok := g.findSwath()
	if ok && slices.ContainsFunc(g.Walks, func(f fields.WalkFact) bool { return f.Date > w.cut && len(f.Absent) > 0 }) {
		return g.ground(g.line, reading{g.x, w.cut, g.x, g.x})
	}
	return g
}
