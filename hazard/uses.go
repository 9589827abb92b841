package hazard

import (
	"slices"

	"rimegate/fields"
)

// prussicFor answers for one use of the standing or cut growth on this line of
// land, horses apart.
func (g *ground) prussicFor(u Use) []Reason {
	switch u {
	case Graze:
		return g.prussicGraze()
	case GreenChop:
		return g.prussicChop()
	case SwathGraze:
		return g.prussicSwath()
	case CutHay:
		return g.prussicCut(false)
	case CutSilage:
		return g.prussicCut(true)
	}
	return nil
}

// prussicChop is grazing, except that its height lines may rest on the
// measurement before the first chop, and that a frost which fell on the living
// stand caps it until another cut.
func (g *ground) prussicChop() []Reason {
	rs := g.prussicGraze()
	if !g.stand.hasP() {
		return rs
	}
	keep := rs[:0:0]
	for _, r := range rs {
		switch r.Line {
		case LineNeverMeasured, LineTooShort, LineOldHeight, LineAllPassed:
			continue
		}
		keep = append(keep, r)
	}
	rs = append(keep, g.heightLines(g.chopGrace())...)
	since := max(g.lastCut(func(c *fields.Cut) bool { return c.Use != "green-chop" }, g.x), g.stand.start, g.nightsFrom)
	end := g.x + 1
	if g.kill.confirmed {
		end = min(g.x, g.kill.base)
	}
	var frost fields.Date
	for d := since; d <= end; d++ {
		if g.isTrigger(d) {
			frost = d
		}
	}
	if frost != fields.NoDate {
		rs = append(rs, Reason{Line: LineChopFrosted, Rule: "chop.frosted", Flag: Caution, Need: NeedDecision, On: frost, Entries: g.nightEntries(frost)})
	}
	if len(rs) == 0 {
		rs = append(rs, Reason{Line: LineAllPassed, Rule: "prussic.all", Flag: Clear, Plants: g.listed(), On: g.clock.last, Proof: g.clearRestsOn()})
	}
	return rs
}

// chopGrace: for 7 days from the first chop after a measurement that passed
// within its life, the height lines rest on that measurement.
func (g *ground) chopGrace() bool {
	life := g.book.Days(HeightLife)
	for _, c := range g.cuts {
		if c.Body.(*fields.Cut).Use != "green-chop" || g.x.Sub(c.Date) > g.book.Days(HeightGrace) {
			continue
		}
		before := fields.NoDate // last cut or graze-out before this chop
		other := false
		for _, o := range g.cuts {
			if o.Date < c.Date {
				before = max(before, o.Date)
			}
			if o.Date >= c.Date && o.Body.(*fields.Cut).Use != "green-chop" {
				other = true
			}
		}
		for _, s := range g.stays {
			if s.Out != fields.NoDate && s.Out < c.Date {
				before = max(before, s.Out)
			}
			if s.Out >= c.Date {
				other = true
			}
		}
		if other {
			continue
		}
		if m, ok := g.lastMeasured(before, c.Date); ok && c.Date.Sub(m.date) <= life && !short(m.cm, g.stand.minHeight) {
			return true
		}
	}
	return false
}

// swath is a cut crop lying in rows.
type swath struct {
	cut      fields.Date
	cutID    string
	base     fields.Date // dry base, NoDate while there is none
	firstDry fields.Date
	lastDry  fields.Date
	clock    clock
}

// findSwath looks for a swath that still lies there.
func (g *ground) findSwath() (swath, bool) { return g.findSwathUnder(false) }

// findSwathUnder is findSwath, or with sown what lies there if nothing had been
// sown since: a sowing must not take a clock away that ends a may-graze.
func (g *ground) findSwathUnder(sown bool) (swath, bool) {
	var w swath
	for _, c := range g.cuts {
		if c.Body.(*fields.Cut).Use == "swath" {
			w.cut, w.cutID = c.Date, c.ID
		}
	}
	if w.cut == fields.NoDate {
		return w, false
	}
	for _, f := range g.lots {
		if f.Date >= w.cut {
			return w, false
		}
	}
	for _, s := range g.stays {
		if s.Out != fields.NoDate && s.Out >= w.cut && !yes(s.SwathLeft) {
			return w, false
		}
	}
	for _, f := range g.sown {
		if f.Date > w.cut && !sown { // nobody sows where a swath lies
			return w, false
		}
	}
	g.swathDryness(&w)
	g.swathClock(&w)
	return w, true
}

// swathDryness: the dry base is the first of two swath walks at least 2 days
// apart that found it dry, no later swath walk having found it not dry.
func (g *ground) swathDryness(w *swath) {
	var wet fields.Date
	for _, f := range g.swathWalk {
		if f.Date > w.cut && no(f.Body.(*fields.Walk).Dry) {
			wet = max(wet, f.Date)
		}
	}
	for _, f := range g.swathWalk {
		if f.Date <= w.cut || f.Date <= wet || !yes(f.Body.(*fields.Walk).Dry) {
			continue
		}
		if w.firstDry == fields.NoDate {
			w.firstDry = f.Date
		}
		w.lastDry = f.Date
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
	wait := g.book.Days(FrostWait)
	for d := max(w.cut+1, g.nightsFrom); d <= end; d++ {
		w.clock.step(g, d, wait)
	}
}

func (g *ground) prussicSwath() []Reason {
	w, ok := g.findSwath()
	if !ok {
		return []Reason{{Line: LineNoSwath, Rule: "use.no-swath", Flag: Hold, Through: NoEnd, Need: NeedDecision, On: w.cut, undated: true}}
	}
	rs := g.alwaysLinesOfSwath(&w)
	if !g.stand.hasP() {
		if len(rs) == 0 {
			rs = append(rs, Reason{Line: LineNoP, Rule: "species.none", Flag: Clear, Plants: g.listed()})
		}
		return rs
	}
	rs = append(rs, g.clockLine(&w.clock, LineSwathClock)...)
	rs = append(rs, g.shootsLine()...)
	rs = append(rs, g.droughtLines(w.cut, false)...)
	rs = append(rs, g.harmLines(w.cut)...)
	rs = append(rs, g.wiltedLine(w.cut)...)
	rs = append(rs, g.flaxLines()...)
	if w.base == fields.NoDate {
		rs = append(rs, Reason{Line: LineSwathNotDry, Rule: "swath.dry", Flag: Caution, Need: NeedEvidence, On: w.cut, Proof: w.firstDry, Entries: []string{w.cutID}})
		rs = append(rs, g.possibleLine(g.walksOfSwath(w.cut))...)
		rs = append(rs, g.unreadLine()...)
		rs = append(rs, g.forecastLines(true)...)
	} else {
		key := WalkLife
		if w.lastDry.Sub(w.firstDry) >= settledApart {
			key = WalkLifeSettled
		}
		if life := g.book.Days(key); g.x.Sub(w.lastDry) > life {
			rs = append(rs, Reason{Line: LineSwathOldWalk, Rule: g.rule(key), Flag: Caution, Need: NeedEvidence, On: w.lastDry, Days: life})
		}
	}
	if !g.kill.confirmed || g.kill.lastClean <= w.cut {
		rs = append(rs, Reason{Line: LineSwathStubble, Rule: "swath.stubble", Flag: Caution, Need: NeedEvidence, On: w.cut, Entries: []string{w.cutID}})
	}
	if len(rs) == 0 {
		rs = append(rs, Reason{Line: LineAllPassed, Rule: "prussic.all", Flag: Clear, Plants: g.listed(), On: w.clock.last, Proof: w.lastDry})
	}
	return rs
}

// walksOfSwath are the walks that speak of what lies there: of the swath, and of the
// stand up to the cut. A later one walks the stubble.
func (g *ground) walksOfSwath(cut fields.Date) []fields.Fact {
	out := slices.Clone(g.swathWalk)
	for _, f := range g.walks {
		if f.Date <= cut {
			out = append(out, f)
		}
	}
	return out
}

// alwaysLinesOfSwath are the lines that do not depend on P, the HCN results
// of the growth that lies in the swath among them: the cut that laid it down
// ends none of them.
func (g *ground) alwaysLinesOfSwath(w *swath) []Reason {
	var rs []Reason
	for _, r := range g.alwaysLines() {
		switch r.Line {
		case LineHCNHold, LineHCNCaution, LineHCNUnfit:
			continue
		}
		rs = append(rs, r)
	}
	return append(rs, g.hcnLines(g.labs, w.cut-1)...)
}

// prussicCut answers whether the stand may be cut; feeding is a separate
// question.
func (g *ground) prussicCut(silage bool) []Reason {
	if r, gone := g.noCrop(); gone {
		return []Reason{r}
	}
	var rs []Reason
	if g.stand.unlisted {
		rs = append(rs, Reason{Line: LineUnlisted, Rule: "species.unlisted", Flag: Caution, Need: NeedEvidence})
	}
	if p := g.stand.any((*plant).unknown); p != nil {
		rs = append(rs, Reason{Line: LineCutUnknown, Rule: "species.unknown", Flag: Caution, Need: NeedEvidence, Species: p.name})
	}
	if silage {
		if r, ok := g.wait(LineChopWait, ChopWait, g.clock.last, NeedTime, g.nightEntries(g.clock.trigger)...); ok {
			r.Frost, r.Nights = g.clock.trigger, g.clock.unread
			rs = append(rs, r)
		}
	}
	if len(rs) == 0 {
		rs = append(rs, Reason{Line: LineCutClear, Rule: "cut.clear", Flag: Clear, Plants: g.listed()})
	}
	return rs
}

// noCrop: from a cut, chops apart, until a later walk with a shortest growth
// above 0 there is nothing to cut.
func (g *ground) noCrop() (Reason, bool) {
	cut := g.lastCut(func(c *fields.Cut) bool { return c.Use != "green-chop" }, g.x)
	if cut == fields.NoDate {
		return Reason{}, false
	}
	for _, f := range g.walks {
		w := f.Body.(*fields.Walk)
		if f.Date > cut && w.ShortestCM != nil && *w.ShortestCM > 0 {
			return Reason{}, false
		}
	}
	return Reason{Line: LineNoCrop, Rule: "use.no-crop", Flag: Hold, Through: NoEnd, Need: NeedEvidence, On: cut, undated: true}, true
}
