package hazard

import (
	"slices"

	"rimegate/fields"
)

// clean: killed all, dry, no shoots, weeds checked, and not green (§6.2).
func (g *ground) clean(w *fields.Walk) bool {
	return w.Killed == fields.KilledAll && yes(w.Dry) && w.ShootsCM != nil && *w.ShootsCM == 0 &&
		yes(w.WeedsChecked) && !g.green(w)
}

// green: the walk found growth (§6.2).
func (g *ground) green(w *fields.Walk) bool {
	return w.Killed == fields.KilledPart || w.Killed == fields.KilledNone || w.ShootsCM != nil && *w.ShootsCM > 0 ||
		w.ShortestCM != nil && w.Killed != fields.KilledAll ||
		slices.ContainsFunc(w.Alive, func(name string) bool {
			sp := g.book.Find(name)
			return sp == nil || sp.Habit.Cyanogenic()
		})
}

// kill is the confirmation that a stand is dead.
type kill struct {
	confirmed bool
	base      fields.Date
	first     fields.Date // first clean walk that counts
	lastClean fields.Date
	entries   []string
}

// settled reports clean walks so far apart that the last one lives longer (§7.4).
func settled(first, last fields.Date) bool { return last.Sub(first) >= 14 }

// findKill looks for a confirmed kill among the walks dated upTo or earlier (§6.4).
// The stand's start limits none of them: an earlier piece of bad news moves
// that start and must not let a clean walk in. What was sown or seen does.
func (g *ground) findKill(upTo fields.Date) kill {
	if s := &g.stand; s.hasP() {
		return g.findKillSince(upTo, s.lastPSown, s.lastPSeen)
	}
	return g.findKillAll(upTo)
}

// findKillAll looks for a confirmed kill of every plant of the stand: no clean
// walk speaks of what was seen after it or sown on its day or later. Asked of
// the cyanogenic plants alone, one more such plant could turn a stand that
// nobody found dead into one with nothing alive.
func (g *ground) findKillAll(upTo fields.Date) kill {
	seen := lastDate(g.Seen)
	for _, f := range g.Walks { // found alive after the day the stand is judged for
		if f.Date > upTo && len(f.Alive) > 0 {
			seen = max(seen, f.Date)
		}
	}
	return g.findKillSince(upTo, lastDate(g.Sown), seen)
}

// findKillSince looks for a confirmed kill among the clean walks dated later
// than the last sowing and on or after the last sighting given.
func (g *ground) findKillSince(upTo, lastSown, lastSeen fields.Date) kill {
	from := max(lastSown+1, lastSeen)
	for _, f := range fields.UpTo(g.Walks, upTo) {
		if g.green(f.Walk) {
			from = max(from, f.Date+1)
		}
	}
	var k kill
	apart := g.book.Days(FrostKillWalkAfter)
	for _, f := range fields.Between(g.Walks, from, upTo) {
		if !g.clean(f.Walk) {
			continue
		}
		k.entries = append(k.entries, f.ID)
		if k.first == fields.NoDate {
			k.first = f.Date
		}
		k.lastClean = f.Date
		if !k.confirmed && g.lastTrigger(f.Date.Add(1-apart), f.Date) == fields.NoDate {
			k.confirmed, k.base = true, f.Date
		}
	}
	if k.first != fields.NoDate && k.lastClean.Sub(k.first) >= apart {
		k.confirmed, k.base = true, k.first
	}
	if k.confirmed && upTo.Sub(k.lastClean) > killLapses {
		k.confirmed, k.base = false, fields.NoDate
	}
	return k
}

// killLapses is how many days the last clean walk bears out that a stand is dead
// (§6.5). Ours, no source: it carries a stand killed in September through a
// northern winter and lets no stand be dead through the next season's growth,
// of roots and seeds, because nobody wrote down that it turned green.
const killLapses = 180

// HeightSlack, cm, lets a height typed in whole inches meet its line (§2.7): 24 in is
// 60.96 cm and 18 in 45.72, where the lines are written 61 and 46.
const HeightSlack = 0.3

// TallestCM, cm, is the most that a shortest growth or shoots are believed (§6.6; ours, no
// source): the tallest forage sorghums reach it with their heads, and what stock or a bar is
// asked about is far shorter. More is a slip of the unit.
const TallestCM = 450

// believed is a height that is said and that growth can have.
func believed(cm *float64) bool { return cm != nil && *cm <= TallestCM }

// short reports a height below the minimum.
func short(cm, low float64) bool { return cm < low-HeightSlack }

// height is one recorded shortest growth.
type height struct {
	date fields.Date
	cm   float64
	id   string
	dead bool // a figure of a stand walked all dead: no green height
}

// lastMeasured returns the last height dated later than after and at or before
// upTo that speaks of each plant with a minimum (§6.6).
func (g *ground) lastMeasured(after, upTo fields.Date) (m height, ok bool) {
	return g.lastHeight(max(after, g.stand.firstTall-1, g.stand.lastTallSown), upTo, g.stand.minHeight)
}

// lastHeight returns the last height of the present stand dated later than after and at
// or before upTo; the shortest of one date counts. A stand walked all dead has no green
// height: such a figure counts only if it is below the minimum given.
func (g *ground) lastHeight(after, upTo fields.Date, low float64) (m height, ok bool) {
	s := &g.stand
	for _, f := range fields.Between(g.Walks, max(after+1, s.newStand+1, s.sownFirst+1, s.start), upTo) {
		dead := f.Killed == fields.KilledAll
		if !believed(f.ShortestCM) || (dead || f.OldName) && !short(*f.ShortestCM, low) {
			continue
		}
		if !ok || f.Date > m.date {
			m, ok = height{f.Date, *f.ShortestCM, f.ID, dead}, true
			continue
		}
		if *f.ShortestCM < m.cm {
			m.cm, m.id = *f.ShortestCM, f.ID
		}
		m.dead = m.dead || dead // of one date the worse: what no word softens
	}
	return m, ok
}

// lastSaid is the last of some walks that said a thing (§6.1), of one date the worse (§2.6).
func lastSaid(
	ws []fields.WalkFact, said func(fields.WalkFact) bool, worse func(a, b *fields.Walk) bool,
) (last fields.WalkFact, ok bool) {
	for _, f := range ws {
		if said(f) && (!ok || f.Date > last.Date || worse(f.Walk, last.Walk)) {
			last, ok = f, true
		}
	}
	return last, ok
}

// grown are the walks up to a day of growth that was not tilled under or winter-killed.
func (g *ground) grown(upTo fields.Date) []fields.WalkFact {
	return fields.Between(g.Walks, max(g.stand.gone, g.stand.start), upTo)
}

// lastShoots returns the last walk up to a day that recorded shoots, if it found some;
// of one date, shoots over none and the shortest of them.
func (g *ground) lastShoots(upTo fields.Date) (fields.WalkFact, bool) {
	f, ok := lastSaid(g.grown(upTo),
		func(w fields.WalkFact) bool {
			return believed(w.ShootsCM) && !(w.OldName && !short(*w.ShootsCM, g.stand.minHeight))
		},
		func(a, b *fields.Walk) bool {
			return *a.ShootsCM > 0 && (*b.ShootsCM == 0 || *a.ShootsCM < *b.ShootsCM)
		})
	return f, ok && *f.ShootsCM > 0
}

// lastWilted returns the last walk up to a day that recorded wilting, if it found it.
func (g *ground) lastWilted(upTo fields.Date) (fields.WalkFact, bool) {
	f, ok := lastSaid(g.grown(upTo), func(w fields.WalkFact) bool { return w.Wilted != nil },
		func(a, _ *fields.Walk) bool { return *a.Wilted })
	return f, ok && *f.Wilted
}

// lastNotDry is the last walk that said whether the stand was dry, if it said no.
func (g *ground) lastNotDry() (fields.WalkFact, bool) {
	f, ok := lastSaid(fields.Between(g.Walks, g.stand.start, g.x), func(w fields.WalkFact) bool { return w.Dry != nil },
		func(a, b *fields.Walk) bool { return !*a.Dry && *b.Dry })
	return f, ok && !*f.Dry
}

// stressFree reports that the last walk that said so signs the stand free of stress,
// within 7 days (§9.9).
func (g *ground) stressFree() bool {
	f, ok := lastSaid(fields.Between(g.Walks, g.stand.start, g.x), func(w fields.WalkFact) bool { return w.StressFree != nil },
		func(a, _ *fields.Walk) bool { return !*a.StressFree })
	return ok && *f.StressFree && g.x.Sub(f.Date) <= 7
}

// outgrown reports a walk, dated on or after d, that found the growth whole
// again: no frost damage, no short shoots, minimum height (§7.3).
func (g *ground) outgrown(d fields.Date) bool {
	low := g.stand.minHeight
	return slices.ContainsFunc(fields.Between(g.Walks, d, g.x), func(f fields.WalkFact) bool {
		return g.undamaged(f) && believed(f.ShootsCM) && (low == 0 || believed(f.ShortestCM) && f.Killed != fields.KilledAll) &&
			!slices.ContainsFunc(fields.Between(g.Walks, f.Date, f.Date), func(o fields.WalkFact) bool { // of one date the worse
				return o.ShootsCM != nil && *o.ShootsCM != 0 && (low == 0 || short(*o.ShootsCM, low)) ||
					o.ShortestCM != nil && short(*o.ShortestCM, low)
			})
	})
}

// undamaged reports a walk that found no frost damage on a day on which no other
// walk found some (§6.3).
func (g *ground) undamaged(f fields.WalkFact) bool {
	return f.FrostDamage == fields.DamageNone &&
		!slices.ContainsFunc(fields.Between(g.Walks, f.Date, f.Date), func(o fields.WalkFact) bool { return o.Frosted() })
}

// undamagedIn reports a walk, from a day to another, that found no frost damage.
func (g *ground) undamagedIn(from, to fields.Date) bool {
	return slices.ContainsFunc(fields.Between(g.Walks, from, to), g.undamaged)
}

// weedsOfStand is weedsChecked of walks later than the sowing that started the
// stand (§5.9): what helps must be later than what it helps with.
func (g *ground) weedsOfStand(from fields.Date) bool {
	return g.weedsChecked(max(from, g.stand.sownFirst+1))
}

// weedsChecked reports a weeds-checked walk of a day or later.
func (g *ground) weedsChecked(from fields.Date) bool {
	return slices.ContainsFunc(fields.Between(g.Walks, from, g.x), func(f fields.WalkFact) bool {
		return yes(f.WeedsChecked)
	})
}
