package ration

import (
	"errors"
	"fmt"
	"math"
	"math/big"

	"rimegate/hazard"
)

// Blend is a mixture that meets every limit of its problem.
type Blend struct {
	Parts []BlendPart // in the order of the feeds
	// Low and High are a head's day at both ends of intake, water included.
	Low, High DietEnd
	// RiskyShare is the share of the feeds that could not be the whole ration,
	// percent of dry matter.
	RiskyShare float64
	TDNPct     float64 // of the mixture; 0 unless every feed's is known
	ProteinPct float64
	// CostLow and CostHigh are a head's day at both ends of intake, in the money
	// of the feeds' costs; CostKnown says that every feed had one.
	CostLow, CostHigh float64
	CostKnown         bool
	// HeadDays is how many days of one head the amounts on hand make of this
	// mixture at the high end of intake, rounded down; HeadDaysKnown is false
	// when no amount was said.
	HeadDays      int
	HeadDaysKnown bool
	Binding       []Bound // limits the mixture stands right at
	StepUp        []Step  // how to get there; empty when nothing risky is in it
	Notes         []Note

	problem Problem
}

// BlendPart is one feed of a mixture.
type BlendPart struct {
	Feed      string
	Risky     bool
	SharePct  float64 // percent of dry matter
	KgDM      Range   // a head a day
	KgAsFed   Range   // a head a day; 0 when AsFedOK is false
	AsFedOK   bool    // the feed's dry matter is known
	LastsDays float64 // for the whole herd at the high end; +Inf without a limit or herd
}

// Bound is a limit and the feed it is about ("" for the whole ration).
type Bound struct {
	Limit Limit
	Feed  string
}

// Note is a sentence that goes with every blend, with the publication it comes
// from; notes without one are ours.
type Note struct {
	Text   string
	Source hazard.Source
}

// Solve finds the mixture. The error is *Infeasible when no mixture meets every
// limit, and otherwise names each fault of the problem. Equally good mixtures
// are told apart by the smallest share of risky feeds, then by the least
// nitrate. The answer is checked against every limit before it is returned.
func Solve(p Problem) (*Blend, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	limits := p.limits()
	x, err := (&program{len(p.Feeds), rowsOf(limits, len(p.Feeds)), p.objectives()}).solve()
	if errors.Is(err, errInfeasible) {
		return nil, p.explain(limits)
	}
	if err != nil {
		return nil, err
	}
	b := p.answer(x)
	for _, l := range limits {
		if l.at(x) {
			b.Binding = append(b.Binding, Bound{l.kind, p.feedName(l.feed)})
		}
	}
	if worst := max(b.Low.PPMN, b.High.PPMN); worst > p.CeilingPPMN {
		return nil, fmt.Errorf("ration: the mixture came out at %s ppm, above its line of %s; it is not given",
			number(worst, 1), number(p.CeilingPPMN, 1))
	}
	b.StepUp = p.stepUp(b)
	b.Notes = p.notes(b)
	return b, nil
}

func rowsOf(ls []limit, n int) []row {
	out := []row{whole(n, 0)}
	for _, l := range ls {
		out = append(out, l.row)
	}
	return out
}

// at reports that x stands right at the limit.
func (l *limit) at(x []*big.Rat) bool {
	sum, term := new(big.Rat), new(big.Rat)
	for j, c := range l.row.coef {
		sum.Add(sum, term.Mul(term.SetInt(c), x[j]))
	}
	return sum.Cmp(term.SetInt(l.row.rhs)) == 0
}

func (p *Problem) feedName(i int) string {
	if i < 0 {
		return ""
	}
	return p.Feeds[i].Name
}

func (p *Problem) answer(x []*big.Rat) *Blend {
	b := &Blend{problem: *p, CostKnown: true}
	tdn, protein, allTDN, allProtein := 0.0, 0.0, true, true
	ppm, cost := 0.0, 0.0
	headDays := math.Inf(1)
	for i := range p.Feeds {
		f := &p.Feeds[i]
		s, _ := x[i].Float64()
		part := BlendPart{
			Feed: f.Name, Risky: p.risky(f), SharePct: s * 100,
			KgDM: Range{s * p.Intake.Low, s * p.Intake.High}, LastsDays: math.Inf(1),
		}
		if kg, ok := AsFed(part.KgDM.Low, f.DMPct); ok {
			part.AsFedOK = true
			part.KgAsFed.Low = kg
			part.KgAsFed.High, _ = AsFed(part.KgDM.High, f.DMPct)
		}
		if kg, ok := f.onHandDM(); ok && s > 0 {
			days := kg / part.KgDM.High
			headDays = min(headDays, days)
			if p.Head > 0 {
				part.LastsDays = days / p.Head
			}
		}
		if part.Risky {
			b.RiskyShare += s * 100
		}
		ppm += s * f.PPMN
		cost += s * f.costOr(&b.CostKnown)
		tdn += s * valueOr(f.TDNPct, &allTDN)
		protein += s * valueOr(f.ProteinPct, &allProtein)
		b.Parts = append(b.Parts, part)
	}
	if allTDN {
		b.TDNPct = tdn
	}
	if allProtein {
		b.ProteinPct = protein
	}
	if b.CostKnown {
		b.CostLow, b.CostHigh = cost*p.Intake.Low, cost*p.Intake.High
	}
	if !math.IsInf(headDays, 1) {
		b.HeadDays, b.HeadDaysKnown = int(math.Floor(headDays*(1+edge))), true
	}
	d := DietOf(ppm, p.Intake, p.Water)
	b.Low, b.High = d.Low, d.High
	return b
}

func valueOr(v *float64, all *bool) float64 {
	if v == nil {
		*all = false
		return 0
	}
	return *v
}

func (f *Feed) costOr(all *bool) float64 {
	if f.CostPerTonne == nil || !(f.DMPct > 0) {
		*all = false
		return 0
	}
	return f.costDM()
}

// notes are the sentences that go with the mixture.
func (p *Problem) notes(b *Blend) []Note {
	out := []Note{
		{"Mix it: ground together or in a mixer wagon. Two feeds side by side are no blend: an animal may eat the hot one alone.", srcManitoba},
		{"Rolling hot and mild hay out apart does not work either; timid animals are left with one of them.", srcCSUBlend},
		{"The flags of the lots stay what they were: a blend clears no lot for feeding by itself.", hazard.Source{}},
	}
	if len(b.StepUp) > 0 {
		out = append(out,
			Note{"Adaptation never clears a lot; it only makes a good blend safer.", srcLee},
			Note{"After a few days off the risky feed begin the steps again from the first.", srcManitoba})
	}
	if !p.Water.Tested {
		out = append(out, Note{"The water is not tested: nothing was added for it. Have it tested; nitrate of feed and water adds up.", srcSDWater})
	}
	for i := range p.Feeds {
		if p.Feeds[i].OnHandKg == nil && b.Parts[i].SharePct > 0 {
			out = append(out, Note{"The amount on hand of " + quoted(p.Feeds[i].Name) + " was not said: how long it lasts is not known.", hazard.Source{}})
		}
	}
	return out
}

// LoadPart is one feed of a mixer load.
type LoadPart struct {
	Feed    string
	KgAsFed float64
}

// Load is a day's mixture for a number of head in weights that can be weighed.
type Load struct {
	Parts   []LoadPart
	KgDM    float64
	KgFed   float64
	PerHead DietEnd // of one head's part, water included
}

// Load returns a day's mixture for head animals that eat kgDM of dry matter
// each, rounded to whole steps of stepKg as fed: risky feeds down, the others
// up, until the load holds its ceiling. Every feed's dry matter must be known.
func (b *Blend) Load(head, kgDM, stepKg float64) (*Load, error) {
	p := &b.problem
	if !(head > 0) || !(stepKg > 0) || math.IsInf(head, 0) || math.IsInf(stepKg, 0) {
		return nil, errors.New("a load needs the number of head and the step of the scale, like 5kg")
	}
	if kgDM < p.Intake.Low*(1-edge) || kgDM > p.Intake.High*(1+edge) || math.IsNaN(kgDM) {
		return nil, fmt.Errorf("this mixture was worked out for %s to %s kg of dry matter a head, not for %s; work it out anew",
			number(p.Intake.Low, 2), number(p.Intake.High, 2), number(kgDM, 2))
	}
	l := &Load{}
	mildest := -1
	for i := range b.Parts {
		part := &b.Parts[i]
		if !part.AsFedOK && part.SharePct > 0 {
			return nil, fmt.Errorf("the dry matter of %s is not known, so it cannot be weighed; type it, like 88 %%", quoted(part.Feed))
		}
		kg := 0.0
		if part.SharePct > 0 {
			kg, _ = AsFed(part.SharePct/100*kgDM*head, p.Feeds[i].DMPct)
		}
		if part.Risky {
			kg = math.Floor(kg/stepKg*(1+edge)) * stepKg
		} else {
			kg = math.Ceil(kg/stepKg*(1-edge)) * stepKg
		}
		if kg > 0 && (mildest < 0 || p.Feeds[i].PPMN < p.Feeds[mildest].PPMN) {
			mildest = i
		}
		l.Parts = append(l.Parts, LoadPart{part.Feed, kg})
	}
	const tries = 10000
	for n := 0; n < tries; n++ {
		l.sum(p, head)
		if l.PerHead.PPMN <= p.CeilingPPMN*(1-belowLine/2) {
			return l, nil
		}
		if mildest < 0 {
			break
		}
		l.Parts[mildest].KgAsFed += stepKg
	}
	return nil, fmt.Errorf("in steps of %s kg this load cannot be kept below the line; use a finer scale or mix for more head", number(stepKg, 2))
}

func (l *Load) sum(p *Problem, head float64) {
	var parts []Part
	l.KgDM, l.KgFed = 0, 0
	for i, q := range l.Parts {
		dm, _ := DryMatter(q.KgAsFed, p.Feeds[i].DMPct)
		l.KgDM += dm
		l.KgFed += q.KgAsFed
		parts = append(parts, Part{dm / head, p.Feeds[i].PPMN})
	}
	l.PerHead = Sum(parts, p.Water)
}
