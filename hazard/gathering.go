package hazard

import (
	"slices"

	"rimegate/fields"
)

// season is the growth's own stretch of time: since the stand was sown anew or
// last cut, chops apart, and at most the last 365 days. Its first day counts.
type season struct{ from, to fields.Date }

const seasonDays = 365

// seasonOf is the season of what stands on the day upTo or, with cut, of what
// was cut on that day.
func (g *ground) seasonOf(upTo, cut fields.Date) season {
	last := upTo
	if cut != fields.NoDate {
		last = cut - 1 // the growth before the cut, not after it
	}
	whole := g.lastCut(func(c *fields.Cut) bool { return c.Use != "green-chop" }, last)
	return season{max(whole, g.stand.anew, upTo.Add(-seasonDays)), upTo}
}

// doseSeason is the season whose nitrogen is a stress: of what was cut, no sowing
// after the cut starts it.
func (g *ground) doseSeason(upTo, cut fields.Date) season {
	s := g.seasonOf(upTo, cut)
	if cut != fields.NoDate && g.stand.anew > cut {
		s.from = max(g.lastCut(func(c *fields.Cut) bool { return c.Use != "green-chop" }, cut-1), upTo.Add(-seasonDays))
	}
	return s
}

func (s season) holds(d fields.Date) bool { return d >= s.from && d <= s.to }

// gathering says which plants make a stand accumulate nitrate, and why.
type gathering struct {
	plants []*plant
	hardy  bool     // all of them are hardy: light frosts need not harm them
	sod    bool     // it is perennial sod
	weedy  []string // weeds that leave perennial sod open to doubt
	trace  []string // weeds scattered so thin in perennial sod that they do not count
	// fertilised is the last dose of the season, where nitrogen alone makes plants
	// of habit low accumulate; NoDate otherwise.
	fertilised fields.Date
}

func (a *gathering) accumulates() bool { return len(a.plants) > 0 }

// gather weighs the stand's plants, its weeds and its nitrogen over a season; walks
// later than walked are of the stubble.
func (g *ground) gather(s season, walked fields.Date) gathering {
	a := gathering{sod: g.isSod(s.to)}
	dry := g.weedsStressed(s.to)
	for i := range g.stand.plants {
		p := &g.stand.plants[i]
		habit := p.nitrate()
		weed := a.sod && !p.sown
		if habit == NitrateLow || habit == NitrateNo || weed && g.weedGone(p, walked) {
			continue
		}
		switch extent := g.extentOf(p, s); {
		case !weed || habit == NitrateBrassica || extent == "common" || dry:
			a.plants = append(a.plants, p)
		case extent == "trace":
			a.trace = append(a.trace, p.name)
		default:
			a.weedy = append(a.weedy, p.name)
		}
	}
	if d, ok := g.lowsGather(s); ok {
		a.fertilised = d
		for i := range g.stand.plants {
			if p := &g.stand.plants[i]; p.nitrate() == NitrateLow {
				a.plants = append(a.plants, p)
			}
		}
	}
	a.hardy = a.accumulates() && !slices.ContainsFunc(a.plants, func(p *plant) bool { return p.row == nil || !p.row.Hardy })
	return a
}

// nitrate is the plant's habit; what the table does not know is unknown.
func (p *plant) nitrate() NitrateHabit {
	if p.row == nil {
		return NitrateUnknown
	}
	return p.row.Nitrate
}

// isSod reports perennial sod: a perennial grass or legume that gathers little is
// listed, and it was never sown, or every sowing of the stand was of perennials only
// and is 12 months old on the day given.
func (g *ground) isSod(d fields.Date) bool {
	if g.stand.any(func(p *plant) bool {
		return p.nitrate() == NitrateLow && p.row.Perennial && (p.row.PerennialGrass || p.row.Legume)
	}) == nil {
		return false
	}
	for _, f := range g.sown {
		if f.Date < g.stand.newStand {
			continue
		}
		b := f.Body.(*fields.Sown)
		if len(b.Species) == 0 || d.Sub(f.Date) < seasonDays {
			return false
		}
		for _, sp := range b.Species {
			if row := g.book.Find(sp.Species); row == nil || !row.Perennial {
				return false
			}
		}
	}
	return true
}

// extentOf is the largest extent said of a plant since the last cut, at most 365
// days back, "" if none was said.
func (g *ground) extentOf(p *plant, s season) fields.Extent {
	var most fields.Extent
	for _, f := range g.seen {
		b := f.Body.(*fields.Seen)
		if f.Date >= s.from && extentRank[b.Extent] > extentRank[most] && g.names(b.Species, p.name) {
			most = b.Extent
		}
	}
	return most
}

var extentRank = map[fields.Extent]int{fields.ExtentTrace: 1, fields.ExtentPatches: 2, fields.ExtentCommon: 3}

// weedGone reports a weed without prussic acid that a weeds-checked walk later
// than its last sighting names absent.
func (g *ground) weedGone(p *plant, walked fields.Date) bool {
	if p.habit().Cyanogenic() {
		return false
	}
	for _, f := range g.walks {
		if w := f.Body.(*fields.Walk); f.Date > p.last && f.Date <= walked && yes(w.WeedsChecked) && g.names(w.Absent, p.name) {
			return true
		}
	}
	return false
}

// weedsStressed reports a drought, its rain wait or a spray wait on day d.
func (g *ground) weedsStressed(d fields.Date) bool {
	start, end, _, _ := g.droughtState(d)
	if start != fields.NoDate || end != fields.NoDate && d <= end.Add(g.book.Days(NitrateRainWait)) {
		return true
	}
	for _, f := range g.harm {
		if f.Kind() == fields.KindSprayed && f.Date <= d && d <= f.Date.Add(g.book.Days(NitrateSprayWait)) {
			return true
		}
	}
	return false
}

// nitrogenSlack, kg/ha, lets a rate typed in whole lb/ac meet its line: 60 lb/ac
// is 67.25 kg/ha and 100 lb/ac 112.09, where the lines are written 67 and 112.
const nitrogenSlack = 0.3

// lowsGather reports whether this season's nitrogen makes plants of habit low
// accumulate, and its last dose.
func (g *ground) lowsGather(s season) (last fields.Date, ok bool) {
	if g.stand.any(func(p *plant) bool { return p.nitrate() == NitrateLow }) == nil {
		return fields.NoDate, false
	}
	total, dose, unstated := 0.0, 0.0, false
	for _, f := range g.nitrogen {
		if !s.holds(f.Date) {
			continue
		}
		b := f.Body.(*fields.Nitrogen)
		if f.Date != last {
			dose = 0
		}
		last = f.Date
		if b.KgNHa == nil {
			unstated = true // counts as above every rate
			continue
		}
		dose += *b.KgNHa
		total += *b.KgNHa
		ok = ok || dose > g.book.V[NitrateLowDose]+nitrogenSlack
	}
	switch {
	case last == fields.NoDate:
		return last, false
	case unstated, total > g.book.V[NitrateLowTotal]+nitrogenSlack:
		ok = true
	case total >= g.book.V[NitrateLowStressed]*(1-edgeSlack) && g.stressedIn(s):
		ok = true
	case g.hasPerennialGrass() && g.sownSince(s.to.Add(-g.book.Days(NitrateNewSward)), s.to):
		ok = true
	}
	return last, ok
}

func (g *ground) hasPerennialGrass() bool {
	return g.stand.any(func(p *plant) bool { return p.row != nil && p.row.PerennialGrass }) != nil
}

// sownSince reports any sowing, overseeding included, from a day to another.
func (g *ground) sownSince(from, to fields.Date) bool {
	return slices.ContainsFunc(g.sown, func(f fields.Fact) bool { return f.Date >= from && f.Date <= to })
}

// stressedIn reports a drought, rain wait, hail, trampling or spray on any day of
// the season.
func (g *ground) stressedIn(s season) bool {
	if slices.ContainsFunc(g.harm, func(f fields.Fact) bool { return s.holds(f.Date) }) {
		return true
	}
	for i, f := range g.drought {
		if f.Date > s.to {
			break
		}
		if f.Body.(*fields.Drought).State == "end" {
			if f.Date.Add(g.book.Days(NitrateRainWait)) >= s.from {
				return true
			}
			continue
		}
		ended := slices.ContainsFunc(g.drought[i:], func(e fields.Fact) bool {
			return e.Body.(*fields.Drought).State == "end" && e.Date > f.Date && e.Date < s.from
		})
		if !ended {
			return true
		}
	}
	return false
}

// frostKind is what a trigger night does to the nitrate of a stand.
type frostKind uint8

const (
	frostBorne frostKind = iota // it never counted
	frostOpen                   // light, and no walk has borne it yet
	frostHard                   // a stress
)

// frostOf weighs a trigger night for a stand; where a plant that accumulates is
// not hardy every one is a stress. A walk later than walked finds no damage on the
// stubble and says nothing of what was cut.
func (g *ground) frostOf(d fields.Date, hardy bool, walked fields.Date) frostKind {
	n := g.at(d)
	switch {
	case !hardy, n.lowUnsaid, n.hasLow && n.low <= g.book.V[NitrateFrostHard]+edgeSlack, g.damageSince(d):
		return frostHard
	case g.undamagedIn(d.Add(g.book.Days(FrostKillWalkAfter)), walked), g.borneBefore(d, walked):
		return frostBorne
	}
	return frostOpen
}

// damageSince reports damage of the night of d, or any frost damage, or killed
// part or all, walked on or after it.
func (g *ground) damageSince(d fields.Date) bool {
	return slices.ContainsFunc(g.damage, func(f fields.Fact) bool { return f.Body.(*fields.Walk).DamageNight == d }) ||
		slices.ContainsFunc(g.walks, func(f fields.Fact) bool { return f.Date >= d && damaged(f.Body.(*fields.Walk)) })
}

// damaged reports a walk that found frost damage, or part or all killed.
func damaged(w *fields.Walk) bool { return frosted(w) || w.Killed == "part" || w.Killed == "all" }

// frosted reports a walk that found frost damage.
func frosted(w *fields.Walk) bool {
	return w.FrostDamage == "tips" || w.FrostDamage == "part" || w.FrostDamage == "all"
}

// undamagedIn reports a walk, from a day to another, that found no frost damage.
func (g *ground) undamagedIn(from, to fields.Date) bool {
	return slices.ContainsFunc(g.walks, func(f fields.Fact) bool {
		return f.Date >= from && f.Date <= to && g.undamaged(f)
	})
}

// undamaged reports a walk that found no frost damage on a day on which no other
// walk found some.
func (g *ground) undamaged(f fields.Fact) bool {
	return f.Body.(*fields.Walk).FrostDamage == "none" && !slices.ContainsFunc(g.walks, func(o fields.Fact) bool {
		return o.Date == f.Date && frosted(o.Body.(*fields.Walk))
	})
}

// borneBefore reports a walk of the days before the night of d that found no frost
// damage and bears it: its low at plant height is known from covering readings
// and above the line, and nobody logged a frost. Damage found after that walk, before
// the night or since, ends it.
func (g *ground) borneBefore(d, walked fields.Date) bool {
	n := g.at(d)
	if n.person || !n.read || n.numberless || !n.hasPlant || n.plant <= g.book.V[NitrateFrostBorne] {
		return false
	}
	from := d.Add(-g.book.Days(NitrateFrostBorneDays))
	for _, f := range g.walks {
		if f.Date >= from && damaged(f.Body.(*fields.Walk)) {
			from = f.Date + 1
		}
	}
	return g.undamagedIn(from, min(d-1, walked))
}
