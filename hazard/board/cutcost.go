package board

import (
	"slices"

	"rimegate/fields"
	"rimegate/hazard"
)

// CutCost says what a cut for silage on a bad day costs: the wait that a lot
// made of it that day would carry, and what the lot would be then. The answers
// are the engine's: on is asked on the day of the cut with such a lot in the
// record, later asks the same of another day. "" where the day costs nothing.
func CutCost(on *hazard.Assessment, lot, paddock string, later func(fields.Date) *hazard.Assessment) string {
	l := lotOf(on, lot)
	if l == nil {
		return ""
	}
	out := ""
	switch held := heldOn(on, paddock); {
	case l.Suspect && l.ByFrostAlone:
		out = "THE FEED OF THIS CUT IS SUSPECT, by frost alone."
	case l.Suspect:
		out = "THE FEED OF THIS CUT IS SUSPECT."
	case held:
		out = "It was cut on a hold day; its feed is not suspect."
	default:
		return ""
	}
	classes := FarmClasses(on.History)
	v := worstOf(l.Verdict, classes)
	if v == nil || v.Hazards[hazard.PrussicAcid].Flag != hazard.Hold {
		return ""
	}
	// What the day of the cut decides is the wait for prussic acid.
	wait := hazard.Verdict{Use: v.Use, Class: v.Class, Flag: hazard.Hold, Through: v.Hazards[hazard.PrussicAcid].Through}
	wait.Hazards[hazard.PrussicAcid] = v.Hazards[hazard.PrussicAcid]
	text := func(a *hazard.Assessment, v *hazard.Verdict) string {
		s := newSpeaker(a, UnitsOf(on.History))
		if r := worstReason(v); r != nil {
			return s.verdictWords(v) + ". " + s.short(r, hazard.Feed)
		}
		return s.verdictWords(v) + "."
	}
	out += " Ensiled or wrapped that day it is " + text(on, &wait)
	if end, dated := wait.ThroughDate(); dated {
		then := later(end + 1)
		if l := lotOf(then, lot); l != nil {
			if v := worstOf(l.Verdict, classes); v != nil {
				out += " From " + (end + 1).Beside(on.History.On) + " it is " + text(then, v)
			}
		}
	}
	return out
}

// heldOn reports a paddock on hold to graze or to be cut for silage.
func heldOn(a *hazard.Assessment, id string) bool {
	p := a.Paddock(id)
	if p == nil {
		return false
	}
	classes := FarmClasses(a.History)
	return slices.ContainsFunc(p.Verdicts, func(v hazard.Verdict) bool {
		cut := v.Use == hazard.Graze || v.Use == hazard.CutSilage
		return cut && v.Flag == hazard.Hold && hasClass(classes, v.Class) && !v.CannotBe()
	})
}
