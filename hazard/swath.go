package hazard

import (
	"slices"

	"rimegate/fields"
)

// swath is a cut crop lying in rows.
type swath struct {
	cut      fields.Date
	cutID    string
	base     fields.Date // dry base, NoDate while there is none
	firstDry fields.Date
	lastDry  fields.Date
	clock    clock
}

// findSwath looks for a swath that still lies there (§8.2): nobody sows where one lies.
func (g *ground) findSwath() (swath, bool) {
	w, ok := g.findSwathUnder()
	return w, ok && lastDate(g.Sown) <= w.cut
}

// findSwathUnder is findSwath as if nothing had been sown since: a sowing must not take
// a clock away that ends a may-graze.
func (g *ground) findSwathUnder() (swath, bool) {
	var w swath
	for _, c := range g.Cuts {
		if c.Use == fields.CutSwath {
			w.cut, w.cutID = c.Date, c.ID
		}
	}
	if w.cut == fields.NoDate || lastDate(g.Lots) >= w.cut ||
		slices.ContainsFunc(g.stays, func(s fields.Stay) bool { return s.Out >= w.cut && !yes(s.SwathLeft) }) {
		return w, false
	}
	g.swathDryness(&w)
	if lastDate(g.Sown) > w.cut {
		g = g.ground(g.line, reading{g.x, w.cut, g.x, w.cut})
	}
	g.swathClock(&w)
	return w, true
}

// swathDryness: the dry base is the first of two swath walks at least 2 days
// apart that found it dry, no later swath walk having found it not dry (§8.3).
func (g *ground) swathDryness(w *swath) {
	walks := fields.Between(g.SwathWalks, w.cut+1, g.x)
	var wet fields.Date
	for _, f := range walks {
		if no(f.Dry) {
			wet = f.Date
		}
	}
	for _, f := range walks {
		if f.Date > wet && yes(f.Dry) {
			if w.firstDry == fields.NoDate {
				w.firstDry = f.Date
			}
			w.lastDry = f.Date
		}
	}
	if w.firstDry != fields.NoDate && w.lastDry.Sub(w.firstDry) >= g.book.Days(FrostKillWalkAfter) {
		w.base = w.firstDry
	}
}

// swathClock carries the stand's clock of the cut date on: later trigger
// nights restart it, unread nights only while it runs, up to the dry base.
func (g *ground) swathClock(w *swath) {
	w.clock = g.runClock(w.cut, g.findKill(w.cut))
	if !g.stand.hasP() {
		return
	}
	end := g.x + 1
	if w.base != fields.NoDate {
		end = min(g.x, w.base)
	}
	w.clock.carry(g, max(w.cut+1, g.nightsFrom), end)
}

// prussicSwath answers for grazing the swath (§8.3); the cut that laid it down ends no
// HCN result.
func (g *ground) prussicSwath() []Reason {
	w, ok := g.findSwath()
	if !ok {
		return say(LineNoSwath, Reason{On: w.cut})
	}
	rs := g.anyPlantLines(w.cut - 1)
	if !g.stand.hasP() {
		return orClear(rs, LineNoP, Reason{Plants: g.stand.names()})
	}
	rs = slices.Concat(
		rs, g.clockLine(&w.clock, LineSwathClock, FrostWait), g.shootsLine(), g.droughtLines(w.cut), g.harmLines(w.cut),
		g.wiltedLine(w.cut), g.flaxLines(),
	)
	if w.base == fields.NoDate {
		rs = append(rs, say(LineSwathNotDry, Reason{On: w.cut, Proof: w.firstDry, Entries: []string{w.cutID}})...)
		// A walk later than the cut is of the stubble.
		rs = append(rs, g.possibleLine(slices.Concat(g.SwathWalks, fields.UpTo(g.Walks, w.cut)))...)
		rs = append(rs, g.unreadLine()...)
		rs = append(rs, g.forecastLines(true)...)
	} else {
		rs = append(rs, g.oldWalkLine(LineSwathOldWalk, g.walkLife(w.firstDry, w.lastDry), w.lastDry, nil)...)
	}
	if !g.kill.confirmed || g.kill.lastClean <= w.cut {
		rs = append(rs, say(LineSwathStubble, Reason{On: w.cut, Entries: []string{w.cutID}})...)
	}
	return orClear(rs, LineAllPassed, Reason{Plants: g.stand.names(), On: w.clock.last, Proof: w.lastDry})
}
