package hazard

import (
	"time"

	"rimegate/fields"
)

// ground is one line of a paddock's land on the day asked: its facts sorted by
// kind, ready for the lines of the answer tables. It is built once per line
// and day and then only read.
type ground struct {
	h      *fields.History
	book   *Rulebook
	line   []string
	x      fields.Date // the day asked
	moment time.Time
	today  fields.Date // local date of the moment
	// began is, for a lot, the start of the stand that was cut.
	began fields.Date
	// later is, for the cut day of a lot, the same line on the day it was made.
	later *ground
	// listedBy is the last day on which a walk may name a species absent.
	listedBy fields.Date
	// foundAlive are walks later than x whose living plants count as seen: what
	// was found alive while a lot was made grew there before.
	foundAlive []fields.Fact
	facts      []fields.Fact

	sown      []fields.Fact
	seen      []fields.Fact
	walks     []fields.Fact // of the stand
	swathWalk []fields.Fact
	cuts      []fields.Fact
	stays     []fields.Stay
	frosts    []fields.Fact
	damage    []fields.Fact // walks that name a damage_night
	noFrost   []fields.Fact
	own       []fields.Fact // readings of the paddock itself
	forecasts []fields.Fact // of the paddock itself
	drought   []fields.Fact
	harm      []fields.Fact // hail, trampled, sprayed
	nitrogen  []fields.Fact
	labs      []fields.Fact
	water     []fields.Fact // of the paddock
	lots      []fields.Fact
	incidents []fields.Fact
	vets      []fields.Fact

	nightsFrom fields.Date
	nights     []night

	stand stand
	kill  kill
	clock clock

	drinks       []source // see sources
	sourcesFound bool
}

// newGround reads the line as it stands on day x, with what the history knows:
// facts dated later than x are left out, sightings and tomorrow's forecasts
// apart.
func newGround(h *fields.History, book *Rulebook, moment time.Time, line []string, x fields.Date) *ground {
	return newGroundListed(h, book, moment, line, x, x)
}

// newGroundListed is newGround with the species list as walks dated listedBy
// or earlier left it: a swath holds what grew on its cut day, whatever a later
// walk found gone from the stubble.
func newGroundListed(h *fields.History, book *Rulebook, moment time.Time, line []string, x, listedBy fields.Date) *ground {
	return newGroundKnowing(h, book, moment, line, x, listedBy, x)
}

// newGroundKnowing is newGroundListed with what walks up to aliveBy found alive.
func newGroundKnowing(h *fields.History, book *Rulebook, moment time.Time, line []string, x, listedBy, aliveBy fields.Date) *ground {
	g := &ground{h: h, book: book, line: line, x: x, listedBy: listedBy, moment: moment, today: fields.DateOf(moment, h.Loc)}
	for _, f := range h.LineFacts(line) {
		if w, ok := f.Body.(*fields.Walk); ok && f.Date > x && f.Date <= aliveBy && len(w.Alive) > 0 {
			g.foundAlive = append(g.foundAlive, f)
		}
		if k := f.Kind(); f.Date <= x || k == fields.KindSeen || k == fields.KindForecast && f.Date == x+1 || h.OfTonight(f, x) {
			g.facts = append(g.facts, f)
		} else if w, ok := f.Body.(*fields.Walk); ok && w.DamageNight != fields.NoDate && w.DamageNight <= x {
			g.damage = append(g.damage, f) // a frost found later had fallen all the same
		}
	}
	for _, f := range g.facts {
		switch b := f.Body.(type) {
		case *fields.Sown:
			g.sown = append(g.sown, f)
		case *fields.Seen:
			g.seen = append(g.seen, f)
		case *fields.Walk:
			if b.Part == "swath" {
				g.swathWalk = append(g.swathWalk, f)
			} else {
				g.walks = append(g.walks, f)
			}
			if b.DamageNight != fields.NoDate {
				g.damage = append(g.damage, f)
			}
		case *fields.Cut:
			g.cuts = append(g.cuts, f)
		case *fields.Frost:
			g.frosts = append(g.frosts, f)
		case *fields.NoFrost:
			g.noFrost = append(g.noFrost, f)
		case *fields.Reading:
			g.own = append(g.own, f)
		case *fields.Forecast:
			g.forecasts = append(g.forecasts, f)
		case *fields.Drought:
			g.drought = append(g.drought, f)
		case *fields.Hail, *fields.Trampled, *fields.Sprayed:
			g.harm = append(g.harm, f)
		case *fields.Nitrogen:
			g.nitrogen = append(g.nitrogen, f)
		case *fields.Lab:
			if b.Lot == "" {
				g.labs = append(g.labs, f)
			}
		case *fields.Water:
			g.water = append(g.water, f)
		case *fields.LotFacts:
			g.lots = append(g.lots, f)
		case *fields.Incident:
			if b.Paddock != "" {
				g.incidents = append(g.incidents, f)
			}
		case *fields.Vet:
			if b.Paddock != "" {
				g.vets = append(g.vets, f)
			}
		}
	}
	for _, p := range line {
		for _, s := range h.StaysOf(p) {
			if s.In > x {
				continue
			}
			if s.Out > x {
				s.Out, s.SwathLeft = fields.NoDate, nil
			}
			g.stays = append(g.stays, s)
		}
	}
	g.stand = g.findStand()
	g.readNights()
	g.kill = g.findKill(g.x)
	g.clock = g.runClock(g.x, g.kill)
	return g
}

func in(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

func yes(b *bool) bool { return b != nil && *b }
func no(b *bool) bool  { return b != nil && !*b }

// resets are the days from which a height must be measured anew: cuts, chops
// included, and graze-outs.
func (g *ground) lastReset() fields.Date { return g.resetBy(g.x) }

func (g *ground) resetBy(upTo fields.Date) fields.Date {
	last := g.lastCut(func(*fields.Cut) bool { return true }, upTo)
	for _, s := range g.stays {
		if s.Out <= upTo {
			last = max(last, s.Out)
		}
	}
	return last
}

// growthEnded is the last day on which the growth of the whole paddock was
// taken: a cut, or stock going out that left it grazed off. A chop takes a
// strip, and stock taken out because of a frost or a result leave the poison
// standing: our own "move out now" must not lift what it rests on.
func (g *ground) growthEnded(upTo fields.Date) fields.Date {
	last := g.lastCut(func(c *fields.Cut) bool { return c.Use != "green-chop" }, upTo)
	for _, f := range g.facts {
		b, ok := f.Body.(*fields.Grazed)
		if ok && f.Date <= upTo && b.State == "out" && b.LeftCM != nil && *b.LeftCM <= GrazedOffCM {
			last = max(last, f.Date)
		}
	}
	return last
}

// GrazedOffCM, cm, is the most that stock leave of growth that counts as grazed
// off: 8 in. Extension advice is to leave 6 to 8 in of stubble for regrowth
// (common practice, no source). Left unsaid is not grazed off.
const GrazedOffCM = 8 * 2.54

func (g *ground) lastCut(ok func(*fields.Cut) bool, upTo fields.Date) fields.Date {
	for i := len(g.cuts) - 1; i >= 0; i-- {
		if g.cuts[i].Date <= upTo && ok(g.cuts[i].Body.(*fields.Cut)) {
			return g.cuts[i].Date
		}
	}
	return fields.NoDate
}

// resetAfter reports a cut or graze-out dated later than d and at or before upTo.
func (g *ground) resetAfter(d, upTo fields.Date) bool {
	for _, c := range g.cuts {
		if c.Date > d && c.Date <= upTo {
			return true
		}
	}
	for _, s := range g.stays {
		if s.Out > d && s.Out <= upTo {
			return true
		}
	}
	return false
}

// swathGround is the ground as it bears on a swath: itself, unless a walk
// after the cut named a species absent.
func (g *ground) swathGround() *ground {
	w, ok := g.findSwath()
	if !ok {
		return g
	}
	for _, f := range g.walks {
		if f.Date > w.cut && len(f.Body.(*fields.Walk).Absent) > 0 {
			return newGroundListed(g.h, g.book, g.moment, g.line, g.x, w.cut)
		}
	}
	return g
}
