package ration

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strings"
)

// Infeasible says that no mixture meets every limit, which of them is in the
// way, and by how much.
type Infeasible struct {
	// Alone lists the limits of which one, moved as far as said, would be enough
	// while all others stay. What it would take is a fact, not an advice: the
	// nitrate line is not to be moved.
	Alone []Shortfall
	// Together is the smallest set of moves, each counted against its own limit,
	// when no single one is enough (and as a check when one is).
	Together []Shortfall
	// MostDays is how many days the amounts on hand allow when the days asked
	// are too many; -1 when days are not what is in the way.
	MostDays int
}

// Shortfall is one limit and what it would have to be.
type Shortfall struct {
	Bound
	Is    float64 // the limit as it stands
	Needs float64 // what it would have to be
	Unit  string
	Text  string
}

func (e *Infeasible) Error() string {
	t := "no mixture of these feeds meets every limit"
	list := e.Alone
	if len(list) == 0 {
		list = e.Together
	}
	var parts []string
	for _, s := range list {
		parts = append(parts, s.Text)
	}
	join := "; or "
	if len(e.Alone) == 0 {
		join = "; and "
	}
	if len(parts) > 0 {
		t += ": " + strings.Join(parts, join)
	}
	if e.MostDays > 0 {
		t += fmt.Sprintf("; with what is on hand a mixture lasts %d days", e.MostDays)
	}
	return t
}

// explain works out what is in the way. First each limit by itself gives way
// while all others hold; then all may give way and the smallest total is found,
// each measured against the size of its own limit.
func (p *Problem) explain(limits []limit) error {
	e := &Infeasible{MostDays: -1}
	n := len(p.Feeds)
	for k := range limits {
		rows := []row{whole(n, 1)}
		for i := range limits {
			slot := -1
			if i == k {
				slot = 0
			}
			rows = append(rows, widen(limits[i].row, n, 1, slot, big.NewInt(1)))
		}
		least := zeros(n + 1)
		least[n].SetInt64(1)
		x, err := (&program{n + 1, rows, [][]*big.Int{least}}).solve()
		if err == nil {
			e.Alone = append(e.Alone, p.shortfall(&limits[k], x[n]))
		}
	}
	m := len(limits)
	rows := []row{whole(n, m)}
	cost := zeros(n + m)
	sizes := make([]*big.Int, m)
	for i := range limits {
		size := new(big.Int).Abs(limits[i].row.rhs)
		if limits[i].kind == LimitNitrate { // water may have left nothing of it
			size = fixed(p.CeilingPPMN, bitsPPM, math.Floor)
		}
		if size.Sign() == 0 { // a share of 0 or a feed that is not there: against the whole ration
			size = new(big.Int).Lsh(big.NewInt(1), bitsShare)
		}
		sizes[i] = size
		rows = append(rows, widen(limits[i].row, n, m, i, size))
		cost[n+i].SetInt64(1)
	}
	x, err := (&program{n + m, rows, [][]*big.Int{cost}}).solve()
	if err != nil {
		return errors.Join(errCertify, err)
	}
	for i := range limits {
		if x[n+i].Sign() > 0 {
			by := new(big.Rat).Mul(x[n+i], new(big.Rat).SetInt(sizes[i]))
			e.Together = append(e.Together, p.shortfall(&limits[i], by))
		}
	}
	for i := range limits {
		if limits[i].kind == LimitAmount {
			if days, limited, err := MostDays(*p); err == nil && limited && days < p.Days {
				e.MostDays = days
			}
			break
		}
	}
	return e
}

// widen adds extra columns to a row; column slot (if not negative) lets the
// limit give way by size.
func widen(r row, n, extra, slot int, size *big.Int) row {
	out := row{zeros(n + extra), r.rel, r.rhs}
	for j := range r.coef {
		out.coef[j].Set(r.coef[j])
	}
	if slot >= 0 {
		out.coef[n+slot].Set(size)
		if r.rel == atMost {
			out.coef[n+slot].Neg(size)
		}
	}
	return out
}

// shortfall puts a limit that must give way by so much into words. by is in
// the fixed point of the limit's row.
func (p *Problem) shortfall(l *limit, by *big.Rat) Shortfall {
	v, _ := by.Float64()
	v /= l.unit
	s := Shortfall{Bound: Bound{l.kind, p.feedName(l.feed)}}
	name := quoted(s.Feed)
	switch l.kind {
	case LimitNitrate:
		s.Is, s.Unit = p.CeilingPPMN, "ppm NO3-N"
		s.Needs = p.feedCeiling() + v + p.waterPPM()
		s.Text = fmt.Sprintf("the least nitrate these feeds can make is %s ppm NO3-N with the water, and it must stay below %s",
			number(s.Needs, 1), number(s.Is, 1))
		if p.feedCeiling() <= 0 {
			s.Text += " (the water alone is too much)"
		}
	case LimitEnergy, LimitProtein:
		least, what := p.MinTDNPct, "energy (TDN)"
		if l.kind == LimitProtein {
			least, what = p.MinProteinPct, "protein"
		}
		s.Is, s.Needs, s.Unit = *least, *least-v, "%"
		s.Text = fmt.Sprintf("the most %s the other limits leave is %s %%, and %s %% are asked for", what, number(s.Needs, 2), number(s.Is, 2))
	case LimitAmount:
		f := &p.Feeds[l.feed]
		s.Is, s.Unit = *f.OnHandKg, "kg as fed"
		more, _ := AsFed(v*p.eatenDM(), f.DMPct)
		s.Needs = s.Is + more
		s.Text = fmt.Sprintf("%s kg more of %s would be needed for %d days", number(math.Ceil(more), 0), name, p.Days)
	case LimitShare:
		f := &p.Feeds[l.feed]
		s.Is, s.Needs, s.Unit = *f.MaxShare, *f.MaxShare+v*100, "%"
		why := f.MaxShareWhy
		if why != "" {
			why = " (" + why + ")"
		}
		s.Text = fmt.Sprintf("%s may be %s %% of the dry matter at most%s, and the other limits need %s %%", name, number(s.Is, 1), why, number(s.Needs, 1))
	case LimitLeastShare:
		f := &p.Feeds[l.feed]
		s.Is, s.Needs, s.Unit = *f.MinShare, *f.MinShare-v*100, "%"
		s.Text = fmt.Sprintf("%s shall be %s %% of the dry matter at least, and the other limits leave %s %%", name, number(s.Is, 1), number(s.Needs, 1))
	}
	return s
}

// MostDays returns for how many days, rounded down, the amounts on hand can
// make a mixture that meets every other limit at the high end of intake;
// limited is false when no amount stands in the way. The mixture may not be
// the one Solve gives for fewer days.
func MostDays(p Problem) (days int, limited bool, err error) {
	if err := p.check(); err != nil {
		return 0, false, err
	}
	if !(p.Head > 0) {
		return 0, false, errors.New("how many days the feed lasts depends on the head; type how many animals eat")
	}
	n := len(p.Feeds)
	q := p
	q.Days = 0
	var rows []row
	for _, l := range q.limits() { // each limit times the days: (coef - rhs) . y against 0
		r := row{zeros(n), l.row.rel, new(big.Int)}
		for j := range r.coef {
			r.coef[j].Sub(l.row.coef[j], l.row.rhs)
		}
		rows = append(rows, r)
	}
	most := zeros(n)
	for i := range p.Feeds {
		most[i].SetInt64(-1)
		if kg, ok := p.Feeds[i].onHandDM(); ok {
			r := row{zeros(n), atMost, fixed(min(kg/(p.Intake.High*p.Head), math.Ldexp(1, 40)), bitsPct, math.Ceil)}
			r.coef[i].Lsh(big.NewInt(1), bitsPct)
			rows = append(rows, r)
		}
	}
	y, err := (&program{n, rows, [][]*big.Int{most}}).solve()
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
