package hazard

import (
	"slices"

	"rimegate/fields"
)

// clean: killed all, dry, no shoots, weeds checked, and nothing of the
// cyanogenic species named alive.
func (g *ground) clean(w *fields.Walk) bool {
	return w.Killed == "all" && yes(w.Dry) && w.ShootsCM != nil && *w.ShootsCM == 0 && yes(w.WeedsChecked) && !g.green(w)
}

// green: the walk found growth.
func (g *ground) green(w *fields.Walk) bool {
	if w.Killed == "part" || w.Killed == "none" {
		return true
	}
	if w.ShootsCM != nil && *w.ShootsCM > 0 {
		return true
	}
	if w.ShortestCM != nil && w.Killed != "all" {
		return true
	}
	for _, name := range w.Alive {
		if sp := g.book.Find(name); sp == nil || sp.Habit.Cyanogenic() {
			return true
		}
	}
	return false
}

// kill is the confirmation that a stand is dead.
type kill struct {
	confirmed bool
	base      fields.Date
	lastClean fields.Date
	first     fields.Date // first clean walk that counts
	entries   []string
}

// countsForStand reports whether a walk of date d belongs to the present
// stand. On land never sown every walk does.
func (s *stand) countsForStand(d fields.Date) bool {
	return s.neverSown || s.start == fields.NoDate || d >= s.start
}

// findKill looks for a confirmed kill among the walks dated upTo or earlier.
// The stand's start limits none of them: an earlier piece of bad news moves
// that start and must not let a clean walk in. What was sown or seen does.
func (g *ground) findKill(upTo fields.Date) kill {
	s := &g.stand
	if s.hasP() {
		return g.findKillSince(upTo, s.lastPSown, s.lastPSeen)
	}
	return g.findKillAll(upTo)
}

// findKillAll looks for a confirmed kill of every plant of the stand: no clean
// walk speaks of what was seen after it or sown on its day or later. Asked of
// the cyanogenic plants alone, one more such plant could turn a stand that
// nobody found dead into one with nothing alive.
func (g *ground) findKillAll(upTo fields.Date) kill {
	var sown, seen fields.Date
	for _, f := range g.sown {
		sown = max(sown, f.Date)
	}
	for _, f := range g.seen {
		seen = max(seen, f.Date)
	}
	for _, f := range g.walks { // found alive after the day the stand is judged for
		if f.Date > upTo && len(f.Body.(*fields.Walk).Alive) > 0 {
			seen = max(seen, f.Date)
		}
	}
	return g.findKillSince(upTo, sown, seen)
}

// findKillSince looks for a confirmed kill among the clean walks dated later
// than the last sowing and on or after the last sighting given.
func (g *ground) findKillSince(upTo, lastSown, lastSeen fields.Date) kill {
	after := fields.NoDate // the last green walk
	for _, f := range g.walks {
		if f.Date <= upTo && g.green(f.Body.(*fields.Walk)) {
			after = max(after, f.Date)
		}
	}
	var k kill
	apart := g.book.Days(FrostKillWalkAfter)
	for _, f := range g.walks {
		w := f.Body.(*fields.Walk)
		if f.Date > upTo || f.Date <= after || f.Date <= lastSown || f.Date < lastSeen || !g.clean(w) {
			continue
		}
		k.entries = append(k.entries, f.ID)
		if k.first == fields.NoDate {
			k.first = f.Date
		}
		k.lastClean = f.Date
		if !k.confirmed {
			quiet := true
			for d := f.Date.Add(1 - apart); d <= f.Date; d++ {
				quiet = quiet && !g.isTrigger(d)
			}
			if quiet {
				k.confirmed, k.base = true, f.Date
			}
		}
	}
	if k.first != fields.NoDate && k.lastClean.Sub(k.first) >= apart {
		if !k.confirmed || k.first < k.base {
			k.confirmed, k.base = true, k.first
		}
	}
	if k.confirmed && upTo.Sub(k.lastClean) > killLapses {
		k.confirmed, k.base = false, fields.NoDate
	}
	return k
}

// killLapses is how many days the last clean walk bears out that a stand is
// dead. Ours, no source: it carries a stand killed in September through a
// northern winter and lets no stand be dead through the next season's growth,
// of roots and seeds, because nobody wrote down that it turned green.
const killLapses = 180

// heightSlack, cm, lets a height typed in whole inches meet its line: 24 in is
// 60.96 cm and 18 in 45.72, where the lines are written 61 and 46.
const heightSlack = 0.3

// short reports a height below the minimum.
func short(cm, low float64) bool { return cm < low-heightSlack }

// measurement is one recorded shortest growth.
type measurement struct {
	date fields.Date
	cm   float64
	id   string
	dead bool // a figure of a stand walked all dead: no green height
}

// lastMeasured returns the last height dated later than after and at or before
// upTo that speaks of the present stand; the shortest of one date counts. A
// stand walked all dead has no green height, so such a figure counts only
// against it.
func (g *ground) lastMeasured(after, upTo fields.Date) (m measurement, ok bool) {
	s := &g.stand
	for _, f := range g.walks {
		w := f.Body.(*fields.Walk)
		if w.ShortestCM == nil || f.Date <= after || f.Date > upTo || !s.countsForStand(f.Date) {
			continue
		}
		if f.Date < s.firstTall || f.Date <= s.lastTallSown || f.Date <= s.newStand || f.Date <= s.sownFirst {
			continue
		}
		if w.Killed == "all" && !short(*w.ShortestCM, s.minHeight) {
			continue
		}
		dead := w.Killed == "all"
		if !ok || f.Date > m.date {
			m, ok = measurement{f.Date, *w.ShortestCM, f.ID, dead}, true
			continue
		}
		if *w.ShortestCM < m.cm {
			m.cm, m.id = *w.ShortestCM, f.ID
		}
		m.dead = m.dead || dead // of one date the worse: what no word softens
	}
	return m, ok
}

// lastShoots returns the last shoots recorded upTo or earlier; of one date,
// shoots over none and the shortest of them.
func (g *ground) lastShoots(upTo fields.Date) (date fields.Date, cm float64, id string, ok bool) {
	for _, f := range g.walks {
		w := f.Body.(*fields.Walk)
		if w.ShootsCM == nil || f.Date > upTo || f.Date < g.stand.gone || !g.stand.countsForStand(f.Date) {
			continue
		}
		v := *w.ShootsCM
		worse := v > 0 && (cm == 0 || v < cm)
		if !ok || f.Date > date || f.Date == date && worse {
			date, cm, id, ok = f.Date, v, f.ID, true
		}
	}
	return
}

// lastWilted returns the last walk dated upTo or earlier that recorded
// wilting; of one date, wilted over not.
func (g *ground) lastWilted(upTo fields.Date) (date fields.Date, wilted bool, id string) {
	for _, f := range g.walks {
		w := f.Body.(*fields.Walk)
		if w.Wilted == nil || f.Date > upTo || f.Date < g.stand.gone || !g.stand.countsForStand(f.Date) {
			continue
		}
		if f.Date > date || f.Date == date && *w.Wilted {
			date, wilted, id = f.Date, *w.Wilted, f.ID
		}
	}
	return
}

// outgrown reports a walk, dated on or after d, that found the growth whole
// again: no frost damage, no short shoots, minimum height.
func (g *ground) outgrown(d fields.Date) bool {
	low := g.stand.minHeight
	lowShoots := func(w *fields.Walk) bool {
		return w.ShootsCM != nil && *w.ShootsCM != 0 && (low == 0 || short(*w.ShootsCM, low))
	}
	for _, f := range g.walks {
		w := f.Body.(*fields.Walk)
		if f.Date < d || !g.undamaged(f) || w.ShootsCM == nil || low > 0 && (w.ShortestCM == nil || w.Killed == "all") {
			continue
		}
		if !slices.ContainsFunc(g.walks, func(o fields.Fact) bool { // of one date the worse
			w := o.Body.(*fields.Walk)
			return o.Date == f.Date && (lowShoots(w) || w.ShortestCM != nil && short(*w.ShortestCM, low))
		}) {
			return true
		}
	}
	return false
}

// weedsOfStand is weedsChecked of walks later than the sowing that started the
// stand: what helps must be later than what it helps with.
func (g *ground) weedsOfStand(from fields.Date) (fields.Date, bool) {
	if s := g.stand.sownFirst; s != fields.NoDate {
		from = max(from, s+1)
	}
	return g.weedsChecked(from)
}

// weedsChecked returns the last weeds-checked walk in from..x.
func (g *ground) weedsChecked(from fields.Date) (fields.Date, bool) {
	for i := len(g.walks) - 1; i >= 0; i-- {
		f := g.walks[i]
		if f.Date >= from && f.Date <= g.x && yes(f.Body.(*fields.Walk).WeedsChecked) {
			return f.Date, true
		}
	}
	return fields.NoDate, false
}
