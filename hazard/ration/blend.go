package ration

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"rimegate/hazard"
)

// Blend is a mixture that meets every limit of its problem.
type Blend struct {
	Parts []BlendPart // in the order of the feeds
	Diet              // a head's day at both ends of intake, water included
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
	x, err := p.mix(limits)
	if errors.Is(err, errInfeasible) {
		return nil, p.explain(limits)
	}
	if err != nil {
		return nil, err
	}
	b := p.answer(x)
	for i := range limits {
		if limits[i].against(x) == 0 {
			b.Binding = append(b.Binding, limits[i].Bound)
		}
	}
	if worst := b.Worst(); worst > p.CeilingPPMN {
		return nil, fmt.Errorf("ration: the mixture came out at %s ppm, above its line of %s; it is not given",
			number(worst, 1), number(p.CeilingPPMN, 1))
	}
	b.StepUp = p.stepUp(b)
	b.Notes = p.notes(b)
	return b, nil
}

// mix returns the best shares within the limits and further rows.
func (p *Problem) mix(limits []limit, more ...row) ([]*big.Rat, error) {
	rows := []row{p.whole()}
	for i := range limits {
		rows = append(rows, limits[i].row)
	}
	return solve(len(p.Feeds), append(rows, more...), p.objectives()...)
}

func (p *Problem) answer(x []*big.Rat) *Blend {
	b := &Blend{problem: *p}
	headDays := math.Inf(1)
	for i := range p.Feeds {
		f := &p.Feeds[i]
		s, _ := x[i].Float64()
		part := BlendPart{
			Feed: f.Name, Risky: p.risky(f), SharePct: s * 100,
			KgDM: p.Intake.Times(s), LastsDays: math.Inf(1),
		}
		part.KgAsFed.Low, part.AsFedOK = AsFed(part.KgDM.Low, f.DMPct)
		part.KgAsFed.High, _ = AsFed(part.KgDM.High, f.DMPct)
		if kg, ok := f.onHandDM(); ok && s > 0 {
			days := kg / part.KgDM.High
			headDays = min(headDays, days)
			if p.Head > 0 {
				part.LastsDays = days / p.Head
			}
		}
		if part.Risky {
			b.RiskyShare += part.SharePct
		}
		b.Parts = append(b.Parts, part)
	}
	b.TDNPct, _ = p.mean(b, func(f *Feed) (float64, bool) { return valueOf(f.TDNPct) })
	b.ProteinPct, _ = p.mean(b, func(f *Feed) (float64, bool) { return valueOf(f.ProteinPct) })
	cost, known := p.mean(b, (*Feed).costDM)
	b.CostLow, b.CostHigh, b.CostKnown = cost*p.Intake.Low, cost*p.Intake.High, known
	if !math.IsInf(headDays, 1) {
		b.HeadDays, b.HeadDaysKnown = int(math.Floor(headDays*(1+edge))), true
	}
	ppm, _ := p.mean(b, func(f *Feed) (float64, bool) { return f.PPMN, true })
	b.Diet = DietOf(ppm, p.Intake, p.Water)
	return b
}

// mean is what a kg of the mixture holds of something; 0 unless every feed's is known.
func (p *Problem) mean(b *Blend, of func(*Feed) (float64, bool)) (sum float64, known bool) {
	for i := range p.Feeds {
		v, ok := of(&p.Feeds[i])
		if !ok {
			return 0, false
		}
		sum += b.Parts[i].SharePct / 100 * v
	}
	return sum, true
}

func valueOf(v *float64) (float64, bool) {
	if v == nil {
		return 0, false
	}
	return *v, true
}

// notes are the sentences that go with the mixture.
func (p *Problem) notes(b *Blend) []Note {
	out := []Note{
		{"Mix it: ground together or in a mixer wagon. Two feeds side by side are no blend: an animal may eat the hot one alone.", source("manitoba")},
		{"Rolling hot and mild hay out apart does not work either; timid animals are left with one of them.", source("csu-golden-plains-2020")},
		{"The flags of the lots stay what they were: a blend clears no lot for feeding by itself.", hazard.Source{}},
	}
	if len(b.StepUp) > 0 {
		out = append(out,
			Note{"Adaptation never clears a lot; it only makes a good blend safer.", source("lee-beauchemin-2014")},
			Note{"After a few days off the risky feed begin the steps again from the first.", source("manitoba")})
	}
	if !p.Water.Tested {
		out = append(out, Note{"The water is not tested: nothing was added for it. Have it tested; nitrate of feed and water adds up.", source("sd-water")})
	}
	for i := range p.Feeds {
		if p.Feeds[i].OnHandKg == nil && b.Parts[i].SharePct > 0 {
			out = append(out, Note{"The amount on hand of " + quoted(p.Feeds[i].Name) + " was not said: how long it lasts is not known.", hazard.Source{}})
		}
	}
	return out
}

// Steps toward a blend. Manitoba gives one to two weeks of adaptation (source
// manitoba); three weeks in steps of one are ours, on the cautious side of it.
const (
	stepDays  = 7
	stepCount = 4 // a quarter, a half, three quarters, all of the risky share
)

// Step is a part of the way to a blend.
type Step struct {
	FromDay, ToDay int       // the first day of feeding is day 1; ToDay 0: from then on
	Shares         []float64 // percent of dry matter, in the order of the feeds
	RiskyShare     float64
	WorstPPMN      float64 // diet with water, the worse end of intake
}

// stepUp lists a quarter, half and three quarters of the risky share for a week
// each, then the blend. Each step is a blend of its own that meets the ceiling,
// the shares and the floors; one that cannot be had keeps the step before it.
func (p *Problem) stepUp(b *Blend) []Step {
	if b.RiskyShare == 0 {
		return nil
	}
	q := *p
	q.Days = 0 // the steps' own needs are small; amounts are kept for the blend
	q.Aim = MostRisky
	var out []Step
	for k := 1; k <= stepCount; k++ {
		a := b
		if k < stepCount {
			share := b.RiskyShare / 100 * float64(k) / stepCount
			few := row{make([]int64, len(p.Feeds)), atMost, fixed(share, bitsShare, math.Floor)}
			for i := range b.Parts {
				if b.Parts[i].Risky {
					few.coef[i] = oneShare
				}
			}
			x, err := q.mix(q.limits(), few)
			if err != nil {
				continue
			}
			a = q.answer(x)
		}
		s := Step{RiskyShare: a.RiskyShare, WorstPPMN: a.Worst()}
		for i := range a.Parts {
			s.Shares = append(s.Shares, a.Parts[i].SharePct)
		}
		s.FromDay, s.ToDay = 1+len(out)*stepDays, (len(out)+1)*stepDays
		out = append(out, s)
	}
	out[len(out)-1].ToDay = 0
	return out
}

// Words says one step in words: the days and the shares.
func (s Step) Words(feeds []BlendPart) string {
	days := fmt.Sprintf("days %d to %d", s.FromDay, s.ToDay)
	if s.ToDay == 0 {
		days = fmt.Sprintf("from day %d", s.FromDay)
	}
	var parts []string
	for i, v := range s.Shares {
		if v > 0 {
			parts = append(parts, feeds[i].Feed+" "+number(v, 1)+" %")
		}
	}
	return days + ": " + strings.Join(parts, ", ") + " of the dry matter"
}

// LoadPart is one feed of a mixer load.
type LoadPart struct {
	Feed    string
	KgAsFed float64
}

// Load is a day's mixture for a number of head in weights that can be weighed.
type Load struct {
	Parts   []LoadPart
	KgFed   float64
	PerHead DietEnd // of one head's part, water included
}

// Load returns a day's mixture for head animals that eat kgDM of dry matter
// each, rounded to whole steps of stepKg as fed: risky feeds down, the others
// up, until the load holds its ceiling. Every feed's dry matter must be known.
func (b *Blend) Load(head, kgDM, stepKg float64) (*Load, error) {
	p := &b.problem
	if !within(&head, math.SmallestNonzeroFloat64, 1e300) || !within(&stepKg, math.SmallestNonzeroFloat64, 1e300) {
		return nil, errors.New("a load needs the number of head and the step of the scale, like 5kg")
	}
	if !within(&kgDM, p.Intake.Low*(1-edge), p.Intake.High*(1+edge)) {
		return nil, fmt.Errorf("this mixture was worked out for %s to %s kg of dry matter a head, not for %s; work it out anew",
			number(p.Intake.Low, 2), number(p.Intake.High, 2), number(kgDM, 2))
	}
	l := &Load{}
	mildest := -1
	for i := range b.Parts {
		part := &b.Parts[i]
		kg, _ := AsFed(part.SharePct/100*kgDM*head, p.Feeds[i].DMPct)
		switch {
		case part.SharePct <= 0:
			kg = 0
		case !part.AsFedOK:
			return nil, fmt.Errorf("the dry matter of %s is not known, so it cannot be weighed; type it, like 88 %%", quoted(part.Feed))
		case part.Risky:
			kg = math.Floor(kg/stepKg*(1+edge)) * stepKg
		default:
			kg = math.Ceil(kg/stepKg*(1-edge)) * stepKg
		}
		if kg > 0 && (mildest < 0 || p.Feeds[i].PPMN < p.Feeds[mildest].PPMN) {
			mildest = i
		}
		l.Parts = append(l.Parts, LoadPart{part.Feed, kg})
	}
	for range 10000 {
		var parts []Part
		l.KgFed = 0
		for i, q := range l.Parts {
			dm, _ := DryMatter(q.KgAsFed, p.Feeds[i].DMPct)
			parts = append(parts, Part{dm / head, p.Feeds[i].PPMN})
			l.KgFed += q.KgAsFed
		}
		if l.PerHead = Sum(parts, p.Water); l.PerHead.PPMN <= p.CeilingPPMN*(1-belowLine/2) {
			return l, nil
		}
		if mildest < 0 {
			break
		}
		l.Parts[mildest].KgAsFed += stepKg
	}
	return nil, fmt.Errorf("in steps of %s kg this load cannot be kept below the line; use a finer scale or mix for more head", number(stepKg, 2))
}

// Infeasible says that no mixture meets every limit, which of them is in the
// way, and by how much.
type Infeasible struct {
	// Limits are what is in the way. Each says that one of them, moved as far as said,
	// would be enough while all others stay; else all of them have to move, and they are
	// the smallest such set, each counted against its own limit. What it would take is a
	// fact, not an advice: the nitrate line is not to be moved.
	Limits []Shortfall
	Each   bool
	// MostDays is how many days the amounts on hand allow when the days asked
	// are too many; -1 when days are not what is in the way.
	MostDays int
}

// Shortfall is one limit and what it would have to be.
type Shortfall struct {
	Bound
	Is    float64 // the limit as it stands: ppm NO3-N, percent, or kg as fed
	Needs float64 // what it would have to be
	Text  string
}

func (e *Infeasible) Error() string {
	join := "; and "
	if e.Each {
		join = "; or "
	}
	var parts []string
	for _, s := range e.Limits {
		parts = append(parts, s.Text)
	}
	t := "no mixture of these feeds meets every limit: " + strings.Join(parts, join)
	if e.MostDays > 0 {
		t += fmt.Sprintf("; with what is on hand a mixture lasts %d days", e.MostDays)
	}
	return t
}

// explain works out what is in the way. First each limit by itself gives way
// while all others hold; then all may give way and the smallest total is found,
// each measured against the size of its own limit.
func (p *Problem) explain(limits []limit) (err error) {
	e := &Infeasible{MostDays: -1}
	all := make([]int, len(limits))
	amounts := false
	for i := range limits {
		all[i] = i
		amounts = amounts || limits[i].Limit == LimitAmount
		if alone, err := p.give(limits, []int{i}); err == nil {
			e.Limits = append(e.Limits, alone...)
		}
	}
	if e.Each = len(e.Limits) > 0; !e.Each {
		if e.Limits, err = p.give(limits, all); err != nil {
			return errors.Join(errCheck, err)
		}
	}
	if amounts {
		if days, limited, err := p.mostDays(); err == nil && limited && days < p.Days {
			e.MostDays = days
		}
	}
	return e
}

// give lets some limits give way, as little as will do in all, and says by how much.
func (p *Problem) give(limits []limit, may []int) ([]Shortfall, error) {
	n := len(p.Feeds)
	rows, cost := []row{p.whole()}, make([]int64, n+len(may))
	for i := range limits {
		r := limits[i].row
		if k := slices.Index(may, i); k >= 0 {
			r.coef = append(slices.Clone(r.coef), make([]int64, n+k+1-len(r.coef))...)
			r.coef[n+k] = -int64(r.rel) * limits[i].size
			cost[n+k] = 1
		}
		rows = append(rows, r)
	}
	x, err := solve(len(cost), rows, cost)
	if err != nil {
		return nil, err
	}
	var out []Shortfall
	for k, i := range may {
		if l := &limits[i]; x[n+k].Sign() > 0 {
			by, _ := x[n+k].Float64()
			s := Shortfall{Bound: l.Bound, Is: l.is}
			s.Needs, s.Text = l.moved(by * float64(l.size) / l.unit)
			out = append(out, s)
		}
	}
	return out, nil
}

// mostDays returns for how many days, rounded down, the amounts on hand can make
// a mixture that meets every other limit at the high end of intake; limited is
// false when no amount stands in the way. The mixture may not be the one Solve
// gives for fewer days.
func (p *Problem) mostDays() (days int, limited bool, err error) {
	n := len(p.Feeds)
	q := *p
	q.Days = 0
	var rows []row
	for _, l := range q.limits() { // each limit times the days: (coef - rhs) . y against 0
		r := row{make([]int64, n), l.rel, 0}
		copy(r.coef, l.coef)
		for j := range r.coef {
			r.coef[j] -= l.rhs
		}
		rows = append(rows, r)
	}
	for i := range p.Feeds {
		if kg, ok := p.Feeds[i].onHandDM(); ok {
			r := row{make([]int64, n), atMost, fixed(min(kg/(p.Intake.High*p.Head), oneShare), bitsPct, math.Ceil)}
			r.coef[i] = 1 << bitsPct
			rows = append(rows, r)
		}
	}
	y, err := solve(n, rows, p.each(func(*Feed) int64 { return -1 }))
	if errors.Is(err, errUnbounded) {
		return 0, false, nil
	}
	if err != nil {
		return 0, false, err
	}
	sum := new(big.Rat)
	for _, v := range y {
		sum.Add(sum, v)
	}
	v, _ := sum.Float64()
	return int(math.Floor(v + 1e-6)), true, nil
}
