package ration

import (
	"errors"
	"math/big"
)

// A small linear programme solved exactly: coefficients are integers, pivots
// keep integers (each entry is a determinant, so the division by the previous
// pivot leaves no rest), and Bland's rule ends every run. Rations have a dozen
// feeds at most, and there "infeasible by 1e-9" would be a wrong answer to a
// person; here it cannot happen. Floating-point solvers are used in the tests,
// to be compared with.

type relation int8

const (
	atMost relation = iota
	atLeast
	equals
)

// row is one limit: coef . x (relation) rhs.
type row struct {
	coef []*big.Int
	rel  relation
	rhs  *big.Int
}

// program minimises its objectives in order, each among the optima of those
// before it, over x >= 0.
type program struct {
	n          int
	rows       []row
	objectives [][]*big.Int
}

var (
	errInfeasible = errors.New("ration: no mixture meets every limit")
	errUnbounded  = errors.New("ration: nothing limits the mixture")
	errCertify    = errors.New("ration: the solution did not pass its own check")
)

// solve returns the optimum as exact fractions, certified by its dual.
func (p *program) solve() ([]*big.Rat, error) {
	t := newTableau(p)
	if err := t.minimise(t.phase1); err != nil {
		return nil, err
	}
	if t.cost[t.phase1][t.width-1].Sign() != 0 { // minus the sum of what is missing
		return nil, errInfeasible
	}
	t.bar(t.phase1)
	for j := range t.barred {
		if t.artificial[j] {
			t.barred[j] = true
		}
	}
	for k := range p.objectives {
		if err := t.minimise(k); err != nil {
			return nil, err
		}
		t.bar(k)
	}
	x := t.solution()
	if !p.certify(t, x) {
		return nil, errCertify
	}
	return x, nil
}

// tableau holds rows and cost rows times the common denominator det.
type tableau struct {
	p          *program
	width      int // columns: n, one slack for each inequality, one artificial where needed, right-hand side
	a          [][]*big.Int
	cost       [][]*big.Int // one for each objective, then phase 1
	phase1     int
	det        *big.Int
	basis      []int
	unit       []int // for each row the column that was its unit vector
	sign       []int // -1 where the row was turned round to make its right-hand side positive
	artificial []bool
	barred     []bool
	t1, t2     *big.Int
}

func newTableau(p *program) *tableau {
	m := len(p.rows)
	slacks := 0
	for _, r := range p.rows {
		if r.rel != equals {
			slacks++
		}
	}
	t := &tableau{p: p, det: big.NewInt(1), t1: new(big.Int), t2: new(big.Int)}
	cols := p.n + slacks + m // at most one artificial a row
	t.width = cols + 1
	t.artificial = make([]bool, cols)
	t.barred = make([]bool, cols)
	next, art := p.n, p.n+slacks
	for _, r := range p.rows {
		line := zeros(t.width)
		s := 1
		if r.rhs.Sign() < 0 {
			s = -1
		}
		for j, c := range r.coef {
			line[j].Mul(c, big.NewInt(int64(s)))
		}
		line[cols].Mul(r.rhs, big.NewInt(int64(s)))
		unit := -1
		if r.rel != equals {
			v := int64(s)
			if r.rel == atLeast {
				v = -v
			}
			line[next].SetInt64(v)
			if v > 0 {
				unit = next
			}
			next++
		}
		if unit < 0 {
			line[art].SetInt64(1)
			t.artificial[art] = true
			unit = art
			art++
		}
		t.a = append(t.a, line)
		t.basis = append(t.basis, unit)
		t.unit = append(t.unit, unit)
		t.sign = append(t.sign, s)
	}
	for j := art; j < cols; j++ {
		t.barred[j] = true // columns no row needed
	}
	for _, o := range p.objectives {
		line := zeros(t.width)
		for j, c := range o {
			line[j].Set(c)
		}
		t.cost = append(t.cost, line)
	}
	// Phase 1: the sum of the artificials, written without the basic ones.
	line := zeros(t.width)
	for i, u := range t.unit {
		if !t.artificial[u] {
			continue
		}
		for j := range line {
			if j != u {
				line[j].Sub(line[j], t.a[i][j])
			}
		}
	}
	for j, isArt := range t.artificial { // a basic artificial costs nothing more
		if isArt {
			line[j].SetInt64(0)
		}
	}
	t.phase1 = len(t.cost)
	t.cost = append(t.cost, line)
	return t
}

func zeros(n int) []*big.Int {
	out := make([]*big.Int, n)
	store := make([]big.Int, n)
	for i := range out {
		out[i] = &store[i]
	}
	return out
}

// minimise runs the simplex method on cost row k with Bland's rule: the first
// column that helps enters, of several rows that limit it the one whose basic
// variable comes first leaves. That cannot cycle.
func (t *tableau) minimise(k int) error {
	rhs := t.width - 1
	for {
		in := -1
		for j := 0; j < rhs; j++ {
			if !t.barred[j] && t.cost[k][j].Sign() < 0 {
				in = j
				break
			}
		}
		if in < 0 {
			return nil
		}
		out := -1
		for i := range t.a {
			if t.a[i][in].Sign() <= 0 {
				continue
			}
			if out < 0 {
				out = i
				continue
			}
			// a[i].rhs / a[i].in  against  a[out].rhs / a[out].in
			c := t.t1.Mul(t.a[i][rhs], t.a[out][in]).Cmp(t.t2.Mul(t.a[out][rhs], t.a[i][in]))
			if c < 0 || c == 0 && t.basis[i] < t.basis[out] {
				out = i
			}
		}
		if out < 0 {
			return errUnbounded
		}
		t.pivot(out, in)
	}
}

// pivot brings column in into the basis at row out. Every other row becomes
// (row x pivot - entry x pivot row) / previous pivot, without a rest.
func (t *tableau) pivot(out, in int) {
	pr := t.a[out]
	piv := new(big.Int).Set(pr[in])
	entry := new(big.Int)
	change := func(r []*big.Int) {
		entry.Set(r[in])
		for j := range r {
			t.t1.Mul(r[j], piv)
			if entry.Sign() != 0 && pr[j].Sign() != 0 {
				t.t2.Mul(entry, pr[j])
				t.t1.Sub(t.t1, t.t2)
			}
			r[j].Quo(t.t1, t.det)
		}
	}
	for i, r := range t.a {
		if i != out {
			change(r)
		}
	}
	for _, r := range t.cost {
		change(r)
	}
	t.det.Set(piv)
	t.basis[out] = in
}

// bar keeps out of the basis every column that would make objective k worse.
func (t *tableau) bar(k int) {
	for j := range t.barred {
		if t.cost[k][j].Sign() > 0 {
			t.barred[j] = true
		}
	}
}

func (t *tableau) solution() []*big.Rat {
	x := make([]*big.Rat, t.p.n)
	for j := range x {
		x[j] = new(big.Rat)
	}
	for i, b := range t.basis {
		if b < t.p.n {
			x[b].SetFrac(t.a[i][t.width-1], t.det)
		}
	}
	return x
}

// certify checks the answer against the programme as it was put, exactly: x
// meets every limit, and for the first objective the dual prices read from the
// tableau are feasible and give the same value, so nothing can be better.
func (p *program) certify(t *tableau, x []*big.Rat) bool {
	dot := func(c []*big.Int) *big.Rat {
		sum, term := new(big.Rat), new(big.Rat)
		for j, v := range c {
			sum.Add(sum, term.Mul(term.SetInt(v), x[j]))
		}
		return sum
	}
	for _, v := range x {
		if v.Sign() < 0 {
			return false
		}
	}
	for _, r := range p.rows {
		c := dot(r.coef).Cmp(new(big.Rat).SetInt(r.rhs))
		if r.rel == atMost && c > 0 || r.rel == atLeast && c < 0 || r.rel == equals && c != 0 {
			return false
		}
	}
	if len(p.objectives) == 0 {
		return true
	}
	y := p.prices(t, 0)
	extra := p.prices(t, t.phase1)
	// A column that phase 1 shut out may still tempt the objective. The prices
	// of phase 1, worth nothing together, may be added until it does not.
	z, z1 := p.reduced(y, p.objectives[0]), p.reduced(extra, nil)
	m := new(big.Rat)
	for j := range z {
		if z[j].Sign() < 0 {
			if z1[j].Sign() <= 0 {
				return false
			}
			need := new(big.Rat).Quo(new(big.Rat).Neg(z[j]), z1[j])
			if need.Cmp(m) > 0 {
				m = need
			}
		}
	}
	value := new(big.Rat)
	for i, r := range p.rows {
		y[i].Add(y[i], new(big.Rat).Mul(m, extra[i]))
		value.Add(value, new(big.Rat).Mul(y[i], new(big.Rat).SetInt(r.rhs)))
	}
	for _, v := range p.reduced(y, p.objectives[0]) {
		if v.Sign() < 0 {
			return false
		}
	}
	return value.Cmp(dot(p.objectives[0])) == 0
}

// prices reads the dual prices of cost row k: for each row the cost of its unit
// column (1 for an artificial in phase 1, else 0) less its reduced cost.
func (p *program) prices(t *tableau, k int) []*big.Rat {
	y := make([]*big.Rat, len(p.rows))
	for i, u := range t.unit {
		y[i] = new(big.Rat).SetFrac(t.cost[k][u], t.det)
		y[i].Neg(y[i])
		if k == t.phase1 && t.artificial[u] {
			y[i].Add(y[i], big.NewRat(1, 1))
		}
		if t.sign[i] < 0 {
			y[i].Neg(y[i])
		}
	}
	return y
}

// reduced returns, for prices y, the reduced costs of the columns (cost nil:
// nothing) and after them those of the inequalities' slacks, worked out from
// the programme as it was put.
func (p *program) reduced(y []*big.Rat, cost []*big.Int) []*big.Rat {
	var out []*big.Rat
	for j := 0; j < p.n; j++ {
		z := new(big.Rat)
		if cost != nil {
			z.SetInt(cost[j])
		}
		for i, r := range p.rows {
			z.Sub(z, new(big.Rat).Mul(y[i], new(big.Rat).SetInt(r.coef[j])))
		}
		out = append(out, z)
	}
	for i, r := range p.rows {
		switch r.rel {
		case atMost:
			out = append(out, new(big.Rat).Neg(y[i]))
		case atLeast:
			out = append(out, new(big.Rat).Set(y[i]))
		}
	}
	return out
}
