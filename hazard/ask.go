package hazard

import "rimegate/fields"

// Unexplained reports whether damage that a walk of the paddock found on a day is
// explained by no trigger night, on one line of its land, since that was last known
// to be unharmed.
func Unexplained(h *fields.History, book *Rulebook, paddock string, day fields.Date) bool {
	for _, line := range h.Lines(paddock) {
		g := newGround(h, book, Moment(h), line, day)
		explained := false
		for d := max(g.unharmed()+1, g.nightsFrom); d <= day; d++ {
			explained = explained || g.isTrigger(d)
		}
		if !explained {
			return true
		}
	}
	return false
}

// HarmSince reports whether anything of a kind (hail, spray, drought) was said of
// the paddock up to a day since a line of its land was last known to be unharmed.
func HarmSince(h *fields.History, book *Rulebook, paddock string, kind fields.Kind, day fields.Date) bool {
	for _, line := range h.Lines(paddock) {
		g := newGround(h, book, Moment(h), line, day)
		for _, f := range g.facts {
			if f.Kind() == kind && f.Date > g.unharmed() && f.Date <= day {
				return true
			}
		}
	}
	return false
}

// unharmed is the last day before the day asked on which the stand was known to
// have no damage: a walk that said so, or the day it was sown (anew).
func (g *ground) unharmed() fields.Date {
	since := fields.NoDate
	for i, f := range g.sown {
		if f.Date < g.x && (i == 0 || yes(f.Body.(*fields.Sown).NewStand)) {
			since = max(since, f.Date)
		}
	}
	for _, f := range g.walks {
		if w := f.Body.(*fields.Walk); f.Date < g.x && w.FrostDamage == "none" && !w.FoundDamage() {
			since = max(since, f.Date)
		}
	}
	return since
}

// LastGreen is the last walk of the paddock that found growth, NoDate if none did.
func LastGreen(h *fields.History, book *Rulebook, paddock string) fields.Date {
	last := fields.NoDate
	for _, line := range h.Lines(paddock) {
		g := newGround(h, book, Moment(h), line, h.On)
		for _, f := range g.walks {
			if g.green(f.Body.(*fields.Walk)) {
				last = max(last, f.Date)
			}
		}
	}
	return last
}
