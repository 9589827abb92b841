package hazard

import (
	"math"
	"slices"

	"rimegate/fields"
)

// hcnOf reads the highest value of an HCN result, ppm on dry matter and as is; NaN
// where one is not known.
func hcnOf(l *fields.Lab) (dm, asIs float64) {
	most := slices.Max(l.Numbers()) * perPPM(l.Unit)
	part := math.NaN()
	if l.DMPct != nil {
		part = *l.DMPct / 100
	}
	if l.Basis == fields.BasisDM { // the same sample must not look better for being reported dry
		return most, most * part
	}
	return most / part, most
}

// perPPM is how many ppm one of the unit is.
func perPPM(unit fields.Unit) float64 {
	switch unit {
	case fields.UnitGKg:
		return 1000
	case fields.UnitPercent:
		return 10000
	}
	return 1 // ppm and mg/kg
}

// screening reports a result that can only worsen: a strip or quick test, or a
// sample that dried before it was read, whose gas had gone.
func screening(l *fields.Lab) bool {
	return l.Method != fields.MethodLab || l.SampleState == fields.SampleDried
}

// hcnFlag is what one result says by itself (§7.6); Clear means below every line.
func (b *Rulebook) hcnFlag(l *fields.Lab) (Flag, RuleKey) {
	dm, asIs := hcnOf(l)
	switch {
	case dm >= b.V[HCNHoldDM]:
		return Hold, HCNHoldDM
	case asIs >= b.V[HCNHoldAsIs]:
		return Hold, HCNHoldAsIs
	case dm >= b.V[HCNCautionDM]:
		return Caution, HCNCautionDM
	case math.IsNaN(dm): // as fed without dry matter: never better than caution
		return Caution, HCNHoldAsIs
	}
	return Clear, HCNCautionDM
}

// hcnReason is the answer of one HCN result; ok is false where nothing speaks against.
func (b *Rulebook) hcnReason(f fields.LabFact) (r Reason, ok bool) {
	flag, key := b.hcnFlag(f.Lab)
	dm, asIs := hcnOf(f.Lab)
	r = Reason{
		Line: LineHCNCaution, Rule: key.String(), Flag: flag, Need: NeedEvidence, On: f.Date,
		Figure: measured(HCNDry, dm, b.V[key]), Entries: []string{f.ID},
	}
	if key == HCNHoldAsIs {
		r.Figure = measured(HCNAsIs, asIs, b.V[key])
	}
	switch {
	case flag == Hold:
		r.Line, r.Through, r.Need = LineHCNHold, NoEnd, NeedDecision
	case flag == Caution && math.IsNaN(dm), flag == Clear && screening(f.Lab):
		r.Line, r.Flag = LineHCNUnfit, Caution
	}
	return r, r.Flag != Clear
}

// lowHCN reports a result that may lift: laboratory, sealed or frozen, below the
// caution line.
func (b *Rulebook) lowHCN(l *fields.Lab) bool {
	if l.Analyte != fields.AnalyteHCN || l.Method != fields.MethodLab || l.SampleState != fields.SampleSealed &&
		l.SampleState != fields.SampleFrozen {
		return false
	}
	flag, _ := b.hcnFlag(l)
	return flag == Clear
}

// lowHCN reports a result that may lift and is not of a trigger night, a damage day
// or a drought.
func (g *ground) lowHCN(f fields.LabFact) bool {
	return f.Lab.Lot == "" && g.book.lowHCN(f.Lab) && !g.isTrigger(f.Date) && !g.inDrought(f.Date) &&
		len(fields.Between(g.Harm, f.Date, f.Date)) == 0
}

// inDrought reports whether d lies on or between a drought's start and its
// end, or after a start without one.
func (g *ground) inDrought(d fields.Date) bool {
	now, before := g.droughtOf(d), g.droughtOf(d-1)
	return now.running() || before.running()
}

// hcnLines answer for HCN results that still stand (§7.6): each until a cut or
// graze-out of a later date up to the day given, or a later result that may lift.
func (g *ground) hcnLines(upTo fields.Date) []Reason {
	var rs []Reason
	for _, f := range g.Labs {
		if f.Analyte != fields.AnalyteHCN {
			continue
		}
		r, against := g.book.hcnReason(f)
		low := r.Line == LineHCNUnfit && r.Of == HCNDry // below every line: it may be of something green
		if against && g.growthEnded(upTo) <= f.Date && !g.replaced(f.Date) && !g.liftedHCN(f.Date) && !(low &&
			g.deadOn(f.Date)) {
			rs = append(rs, r)
		}
	}
	return rs
}

// replaced reports that what grew on day d is gone: tilled under or
// winter-killed before a new stand, or of an old stand of which nothing is left.
func (g *ground) replaced(d fields.Date) bool {
	return d < g.stand.gone || d < g.stand.newStand && d < g.stand.start
}

func (g *ground) liftedHCN(after fields.Date) bool {
	return slices.ContainsFunc(fields.Between(g.Labs, after+1, g.x), g.lowHCN)
}

// deadOn reports whether all of the stand, as judged on the day asked, was dead
// on d: else the sample may be of something green.
func (g *ground) deadOn(d fields.Date) bool {
	k := g.findKillAll(g.x)
	return k.confirmed && k.base <= d
}
