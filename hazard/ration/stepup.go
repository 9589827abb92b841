package ration

import (
	"fmt"
	"math"
	"math/big"
)

// Steps toward a blend. Manitoba gives one to two weeks of adaptation
// (srcManitoba); three weeks in steps of one are ours, on the cautious side of
// it.
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
	full := new(big.Rat)
	for i := range b.Parts {
		if b.Parts[i].Risky {
			full.Add(full, new(big.Rat).SetFloat64(b.Parts[i].SharePct/100))
		}
	}
	if full.Sign() == 0 {
		return nil
	}
	q := *p
	q.Days = 0 // the steps' own needs are small; amounts are kept for the blend
	q.Aim = MostRisky
	var out []Step
	for k := 1; k < stepCount; k++ {
		part := new(big.Rat).Mul(full, big.NewRat(int64(k), stepCount))
		share, _ := part.Float64()
		rows := rowsOf(q.limits(), len(p.Feeds))
		few := row{zeros(len(p.Feeds)), atMost, fixed(share, bitsShare, math.Floor)}
		for i := range b.Parts {
			if b.Parts[i].Risky {
				few.coef[i].Lsh(big.NewInt(1), bitsShare)
			}
		}
		x, err := (&program{len(p.Feeds), append(rows, few), q.objectives()}).solve()
		if err != nil {
			continue
		}
		a := q.answer(x)
		out = append(out, Step{RiskyShare: a.RiskyShare, WorstPPMN: max(a.Low.PPMN, a.High.PPMN), Shares: sharesOf(a)})
	}
	out = append(out, Step{RiskyShare: b.RiskyShare, WorstPPMN: max(b.Low.PPMN, b.High.PPMN), Shares: sharesOf(b)})
	for i := range out {
		out[i].FromDay, out[i].ToDay = 1+i*stepDays, (i+1)*stepDays
	}
	out[len(out)-1].ToDay = 0
	return out
}

func sharesOf(b *Blend) []float64 {
	out := make([]float64, len(b.Parts))
	for i := range b.Parts {
		out[i] = b.Parts[i].SharePct
	}
	return out
}

// Words says one step in words: the days and the shares.
func (s Step) Words(feeds []BlendPart) string {
	days := fmt.Sprintf("days %d to %d", s.FromDay, s.ToDay)
	if s.ToDay == 0 {
		days = fmt.Sprintf("from day %d", s.FromDay)
	}
	t := days + ":"
	for i, v := range s.Shares {
		if v <= 0 {
			continue
		}
		if t[len(t)-1] == '%' {
			t += ","
		}
		t += " " + feeds[i].Feed + " " + number(v, 1) + " %"
	}
	return t + " of the dry matter"
}
