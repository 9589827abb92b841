package hazard

import (
	"rimegate/fields"
)

// hcnValue is an HCN result in ppm: on dry matter, as is, or both.
type hcnValue struct {
	dm, asIs       float64
	hasDM, hasAsIs bool
}

// hcnOf reads the highest value of an HCN result.
func hcnOf(l *fields.Lab) hcnValue {
	var most float64
	for _, v := range l.Numbers() {
		most = max(most, v)
	}
	most *= perPPM(l.Unit)
	if l.Basis == "dm" {
		v := hcnValue{dm: most, hasDM: true}
		if l.DMPct != nil { // the same sample must not look better for being reported dry
			v.asIs, v.hasAsIs = most*(*l.DMPct/100), true
		}
		return v
	}
	v := hcnValue{asIs: most, hasAsIs: true}
	if l.DMPct != nil {
		v.dm, v.hasDM = most/(*l.DMPct/100), true
	}
	return v
}

// perPPM is how many ppm one of the unit is.
func perPPM(unit fields.Unit) float64 {
	switch unit {
	case "g/kg":
		return 1000
	case "%":
		return 10000
	}
	return 1 // ppm and mg/kg
}

// screening reports a result that can only worsen: a strip or quick test, or a
// sample that dried before it was read, whose gas had gone.
func screening(l *fields.Lab) bool { return l.Method != "lab" || l.SampleState == "dried" }

// hcnFlag is what one result says by itself; Clear means below every line.
func (b *Rulebook) hcnFlag(l *fields.Lab) (Flag, RuleKey) {
	v := hcnOf(l)
	switch {
	case v.hasDM && v.dm >= b.V[HCNHoldDM]:
		return Hold, HCNHoldDM
	case v.hasAsIs && v.asIs >= b.V[HCNHoldAsIs]:
		return Hold, HCNHoldAsIs
	case v.hasDM && v.dm >= b.V[HCNCautionDM]:
		return Caution, HCNCautionDM
	case !v.hasDM: // as fed without dry matter: never better than caution
		return Caution, HCNHoldAsIs
	}
	return Clear, HCNCautionDM
}

// lowHCN reports a result that may lift: laboratory, sealed or frozen, below
// the caution line, not of a trigger night, a damage day or a drought.
func (g *ground) lowHCN(f fields.Fact) bool {
	l := f.Body.(*fields.Lab)
	if l.Analyte != "hcn" || l.Method != "lab" || l.SampleState != "sealed" && l.SampleState != "frozen" {
		return false
	}
	if flag, _ := g.book.hcnFlag(l); flag != Clear {
		return false
	}
	if g.isTrigger(f.Date) || g.inDrought(f.Date) {
		return false
	}
	for _, h := range g.harm {
		if h.Date == f.Date {
			return false
		}
	}
	return true
}

// inDrought reports whether d lies on or between a drought's start and its
// end, or after a start without one.
func (g *ground) inDrought(d fields.Date) bool {
	for _, s := range g.drought {
		if s.Body.(*fields.Drought).State != "start" || s.Date > d {
			continue
		}
		open := true
		for _, e := range g.drought {
			if e.Body.(*fields.Drought).State == "end" && e.Date > s.Date && e.Date < d {
				open = false
			}
		}
		if open {
			return true
		}
	}
	return false
}

// hcnLines answer for HCN results that still stand: each until a cut or
// graze-out of a later date up to the day given, or a later result that may lift.
func (g *ground) hcnLines(labs []fields.Fact, upTo fields.Date) []Reason {
	var rs []Reason
	for _, f := range labs {
		l := f.Body.(*fields.Lab)
		if l.Analyte != "hcn" {
			continue
		}
		flag, key := g.book.hcnFlag(l)
		line := LineHCNCaution
		switch {
		case flag == Hold:
			line = LineHCNHold
		case flag == Caution && !hcnOf(l).hasDM:
			line = LineHCNUnfit
		case flag == Clear:
			if !screening(l) || g.deadOn(f.Date) {
				continue
			}
			flag, line = Caution, LineHCNUnfit
		}
		if g.growthEnded(upTo) > f.Date || g.replaced(f.Date) || g.liftedHCN(labs, f.Date) {
			continue
		}
		rs = append(rs, g.book.hcnReason(line, flag, key, f))
	}
	return rs
}

// hcnReason is the answer of one HCN result.
func (b *Rulebook) hcnReason(line Line, flag Flag, key RuleKey, f fields.Fact) Reason {
	v := hcnOf(f.Body.(*fields.Lab))
	r := Reason{Line: line, Rule: key.String(), Flag: flag, Need: NeedEvidence, On: f.Date, Figure: measured(HCNDry, v.dm, b.V[key]), Entries: []string{f.ID}}
	if key == HCNHoldAsIs {
		r.Figure = measured(HCNAsIs, v.asIs, b.V[key])
	}
	if flag == Hold {
		r.Through, r.Need = NoEnd, NeedDecision
	}
	return r
}

// replaced reports that what grew on day d is gone: tilled under or
// winter-killed before a new stand, or of an old stand of which nothing is left.
func (g *ground) replaced(d fields.Date) bool {
	return d < g.stand.gone || d < g.stand.newStand && d < g.stand.start
}

func (g *ground) liftedHCN(labs []fields.Fact, after fields.Date) bool {
	for _, f := range labs {
		if f.Date > after && g.lowHCN(f) {
			return true
		}
	}
	return false
}

// deadOn reports whether all of the stand, as judged on the day asked, was dead
// on d: else the sample may be of something green.
func (g *ground) deadOn(d fields.Date) bool {
	k := g.findKillAll(g.x)
	return k.confirmed && k.base <= d
}
