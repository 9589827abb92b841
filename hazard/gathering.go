package hazard

import (
	"slices"

	"rimegate/fields"
)

// season is the growth's own stretch of time (§9.3): since the stand was sown anew or
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
	return season{max(g.lastCut(last, false), g.stand.anew, upTo.Add(-seasonDays)), upTo}
}

// doseSeason is the season whose nitrogen is a stress: of what was cut it goes a year
// back from the cut, and to the start of the stand that was cut.
func (g *ground) doseSeason(upTo, cut fields.Date) season {
	s := g.seasonOf(upTo, cut)
	if cut != fields.NoDate {
		s.from = max(g.lastCut(cut-1, false), min(upTo, cut).Add(-seasonDays), g.stand.startedBy(cut))
	}
	return s
}

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

// gather weighs the stand's plants, its weeds and its nitrogen over a season
// (§9.3 to §9.5); walks later than walked are of the stubble.
func (g *ground) gather(s season, walked fields.Date) gathering {
	a := gathering{sod: g.isSod(s.to), fertilised: g.lowsGather(s)}
	dry := g.weedsStressed(s.to)
	for i := range g.stand.plants {
		p := &g.stand.plants[i]
		habit := p.nitrate()
		weed := a.sod && !p.sown
		switch {
		case habit == NitrateLow && a.fertilised != fields.NoDate:
			a.plants = append(a.plants, p)
		case habit == NitrateLow || habit == NitrateNo || weed && g.weedGone(p, walked):
		case !weed || habit == NitrateBrassica || dry || g.extentOf(p, s) == fields.ExtentCommon:
			a.plants = append(a.plants, p)
		case g.extentOf(p, s) == fields.ExtentTrace:
			a.trace = append(a.trace, p.name)
		default:
			a.weedy = append(a.weedy, p.name)
		}
	}
	a.hardy = a.accumulates() && !slices.ContainsFunc(a.plants, func(p *plant) bool {
		return p.row == nil || !p.row.Hardy
	})
	return a
}

// isSod reports perennial sod (§9.5): a perennial grass or legume that gathers little is
// listed, and it was never sown, or every sowing of the stand was of perennials only
// and is 12 months old on the day given.
func (g *ground) isSod(d fields.Date) bool {
	perennial := func(sp fields.SpeciesShare) bool {
		row := g.book.Find(sp.Species)
		return row != nil && row.Perennial
	}
	return g.stand.any(func(p *plant) bool {
		return p.nitrate() == NitrateLow && p.row.Perennial && (p.row.PerennialGrass || p.row.Legume)
	}) != nil && !slices.ContainsFunc(g.Sown, func(f fields.SownFact) bool {
		return f.Date >= g.stand.newStand && (len(f.Species) == 0 || d.Sub(f.Date) < seasonDays ||
			slices.ContainsFunc(f.Species, func(sp fields.SpeciesShare) bool { return !perennial(sp) }))
	})
}

var extents = []fields.Extent{"", fields.ExtentTrace, fields.ExtentPatches, fields.ExtentCommon}

// extentOf is the largest extent said of a plant since the last cut, at most 365
// days back, "" if none was said.
func (g *ground) extentOf(p *plant, s season) fields.Extent {
	most := 0
	for _, f := range g.Seen {
		if f.Date >= s.from && g.book.names(f.Species, p.name) {
			most = max(most, slices.Index(extents, f.Extent))
		}
	}
	return extents[most]
}

// weedGone reports a weed without prussic acid that a weeds-checked walk later
// than its last sighting names absent.
func (g *ground) weedGone(p *plant, walked fields.Date) bool {
	return !p.cyanogenic() && slices.ContainsFunc(fields.Between(g.Walks, p.last+1, walked), func(f fields.WalkFact) bool {
		return yes(f.WeedsChecked) && g.book.names(f.Absent, p.name)
	})
}

// weedsStressed reports a drought, its rain wait or a spray wait on day d.
func (g *ground) weedsStressed(d fields.Date) bool {
	dry := g.droughtOf(d)
	return dry.running() || dry.end.Date != fields.NoDate && d <= dry.end.Date.Add(g.book.Days(NitrateRainWait)) ||
		slices.ContainsFunc(fields.Between(g.Harm, d.Add(-g.book.Days(NitrateSprayWait)), d), func(f fields.Fact) bool { return f.Kind() == fields.KindSprayed })
}

// nitrogenSlack, kg/ha, lets a rate typed in whole lb/ac meet its line (§2.7): 60 lb/ac
// is 67.25 kg/ha and 100 lb/ac 112.09, where the lines are written 67 and 112.
const nitrogenSlack = 0.3

// lowsGather returns this season's last dose of nitrogen if it makes plants of habit low
// accumulate (§9.4), else NoDate.
func (g *ground) lowsGather(s season) fields.Date {
	doses := fields.Between(g.Nitrogen, s.from, s.to)
	if len(doses) == 0 || g.stand.any(func(p *plant) bool { return p.nitrate() == NitrateLow }) == nil {
		return fields.NoDate
	}
	total, dose, last, high := 0.0, 0.0, fields.NoDate, false
	for _, f := range doses {
		if f.Date != last { // all doses of one date are one
			dose = 0
		}
		last = f.Date
		if f.KgNHa == nil {
			high = true // a rate not stated counts as above every rate
			continue
		}
		dose += *f.KgNHa
		total += *f.KgNHa
		high = high || dose > g.book.V[NitrateLowDose]+nitrogenSlack
	}
	if high || total > g.book.V[NitrateLowTotal]+nitrogenSlack ||
		total >= g.book.V[NitrateLowStressed]*(1-edgeSlack) && g.stressedIn(s) ||
		g.hasPerennialGrass() && len(fields.Between(g.Sown, s.to.Add(-g.book.Days(NitrateNewSward)), s.to)) > 0 {
		return last
	}
	return fields.NoDate
}

func (g *ground) hasPerennialGrass() bool {
	return g.stand.any(func(p *plant) bool { return p.row != nil && p.row.PerennialGrass }) != nil
}

// stressedIn reports a drought, rain wait, hail, trampling or spray on any day of
// the season.
func (g *ground) stressedIn(s season) bool {
	rained := s.from.Add(-g.book.Days(NitrateRainWait))
	return g.inDrought(s.from) || len(fields.Between(g.Harm, s.from, s.to)) > 0 ||
		slices.ContainsFunc(fields.Between(g.Droughts, rained, s.to), func(f fields.DroughtFact) bool {
			return f.State == fields.DroughtEnd || f.Date >= s.from
		})
}

// frostKind is what a trigger night does to the nitrate of a stand (§9.6).
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
	case !hardy, n.lowUnsaid, n.HasLow && n.LowC <= g.book.V[NitrateFrostHard]+edgeSlack, g.damageSince(d):
		return frostHard
	case g.undamagedIn(d.Add(g.book.Days(FrostKillWalkAfter)), walked), g.borneBefore(d, walked):
		return frostBorne
	}
	return frostOpen
}

// damageSince reports damage of the night of d, or any damage (§6.3) walked on or after it.
func (g *ground) damageSince(d fields.Date) bool {
	return slices.ContainsFunc(g.Damage, func(f fields.WalkFact) bool { return f.DamageNight == d }) ||
		slices.ContainsFunc(fields.Between(g.Walks, d, g.x), func(f fields.WalkFact) bool { return f.FoundDamage() })
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
	for _, f := range fields.Between(g.Walks, from, g.x) {
		if f.FoundDamage() {
			from = f.Date + 1
		}
	}
	return g.undamagedIn(from, min(d-1, walked))
}
