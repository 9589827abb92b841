package ration

import (
	"math"
	"math/big"
)

// Limit is what a mixture is held to.
type Limit uint8

// Limits.
const (
	LimitNitrate    Limit = iota // the ceiling of the whole diet
	LimitEnergy                  // least TDN
	LimitProtein                 // least protein
	LimitAmount                  // a feed's amount on hand for the days
	LimitShare                   // a feed's largest share
	LimitLeastShare              // a feed's least share
)

var limitWords = [...]string{"nitrate", "energy", "protein", "amount", "largest share", "least share"}

func (l Limit) String() string { return limitWords[l] }

// Coefficients are fixed-point numbers: nitrate in 1/1024 ppm, percentages in
// 1/2^20, shares in 1/2^40. Nitrate is rounded to the strict side, everything
// else to the lenient one: a mixture must not fail on the last bit of 88.3 %.
const (
	bitsPPM   = 10
	bitsPct   = 20
	bitsShare = 40
)

// limit is one row of the programme with its meaning.
type limit struct {
	kind Limit
	feed int // -1: the whole ration
	row  row
	unit float64 // what one whole unit of the row's right-hand side is in fixed point
}

func fixed(v float64, bits uint, round func(float64) float64) *big.Int {
	i, _ := new(big.Float).SetFloat64(round(math.Ldexp(v, int(bits)))).Int(nil)
	return i
}

// limits lists the rows that hold the shares x (they sum to 1).
func (p *Problem) limits() []limit {
	n := len(p.Feeds)
	var out []limit
	add := func(kind Limit, feed int, bits uint, rel relation, rhs *big.Int, coef func(i int) *big.Int) {
		l := limit{kind, feed, row{zeros(n), rel, rhs}, math.Ldexp(1, int(bits))}
		for i := range l.row.coef {
			l.row.coef[i].Set(coef(i))
		}
		out = append(out, l)
	}
	only := func(feed int, bits uint) func(int) *big.Int {
		return func(i int) *big.Int {
			if i == feed {
				return new(big.Int).Lsh(big.NewInt(1), bits)
			}
			return new(big.Int)
		}
	}
	add(LimitNitrate, -1, bitsPPM, atMost, fixed(p.feedCeiling(), bitsPPM, math.Floor),
		func(i int) *big.Int { return fixed(p.Feeds[i].PPMN, bitsPPM, math.Ceil) })
	floor := func(kind Limit, least *float64, of func(*Feed) *float64) {
		if least == nil || *least <= 0 {
			return
		}
		rhs := fixed(*least, bitsPct, math.Floor)
		rhs.Sub(rhs, big.NewInt(1))
		add(kind, -1, bitsPct, atLeast, rhs, func(i int) *big.Int { return fixed(*of(&p.Feeds[i]), bitsPct, math.Round) })
	}
	floor(LimitEnergy, p.MinTDNPct, func(f *Feed) *float64 { return f.TDNPct })
	floor(LimitProtein, p.MinProteinPct, func(f *Feed) *float64 { return f.ProteinPct })
	for i := range p.Feeds {
		f := &p.Feeds[i]
		if kg, ok := f.onHandDM(); ok && p.Days > 0 {
			if u := kg / p.eatenDM(); u < 1 {
				add(LimitAmount, i, bitsShare, atMost, fixed(u, bitsShare, math.Ceil), only(i, bitsShare))
			}
		}
		if f.MaxShare != nil && *f.MaxShare < 100 {
			add(LimitShare, i, bitsShare, atMost, fixed(*f.MaxShare/100, bitsShare, math.Ceil), only(i, bitsShare))
		}
		if f.MinShare != nil && *f.MinShare > 0 {
			add(LimitLeastShare, i, bitsShare, atLeast, fixed(*f.MinShare/100, bitsShare, math.Floor), only(i, bitsShare))
		}
	}
	return out
}

// eatenDM is the dry matter the herd eats in the days asked, at the high end of
// intake, kg.
func (p *Problem) eatenDM() float64 { return p.Intake.High * p.Head * float64(p.Days) }

// whole is the row that makes the shares one ration; extra columns stay out.
func whole(n, extra int) row {
	r := row{zeros(n + extra), equals, big.NewInt(1)}
	for i := 0; i < n; i++ {
		r.coef[i].SetInt64(1)
	}
	return r
}

// objectives, in order: the aim, then the smallest share of the hottest feeds,
// then the least nitrate.
func (p *Problem) objectives() [][]*big.Int {
	n := len(p.Feeds)
	hot := p.hottest()
	share := zeros(n)
	for i := range share {
		if hot[i] {
			share[i].SetInt64(1)
		}
	}
	nitrate := zeros(n)
	for i := range nitrate {
		nitrate[i].Set(fixed(p.Feeds[i].PPMN, bitsPPM, math.Ceil))
	}
	if p.Aim == MostRisky {
		most := zeros(n)
		for i := range most {
			most[i].Neg(share[i])
		}
		return [][]*big.Int{most, nitrate, p.costs()}
	}
	return [][]*big.Int{p.costs(), share, nitrate}
}

// costs are the feeds' costs of dry matter to 40 binary digits; nothing when
// one of them is not known.
func (p *Problem) costs() []*big.Int {
	out := zeros(len(p.Feeds))
	most := 0.0
	for i := range p.Feeds {
		f := &p.Feeds[i]
		if f.CostPerTonne == nil || !(f.DMPct > 0) {
			return zeros(len(p.Feeds))
		}
		most = max(most, math.Abs(f.costDM()))
	}
	if most == 0 {
		return out
	}
	_, exp := math.Frexp(most)
	for i := range out {
		v, _ := new(big.Float).SetFloat64(math.Round(math.Ldexp(p.Feeds[i].costDM(), 40-exp))).Int(nil)
		out[i].Set(v)
	}
	return out
}
