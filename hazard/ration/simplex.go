package ration

import (
	"errors"
	"math/big"
)

// A small linear programme solved exactly: pivots keep integers (each entry is a
// determinant, so the division by the previous pivot leaves no rest), and Bland's
// rule ends every run. Rations have a dozen feeds at most, and there "infeasible
// by 1e-9" would be a wrong answer to a person; here it cannot happen.
// Floating-point solvers are used in the tests, to be compared with.

// relation is the sign of a row's slack.
type relation int64

const (
	atMost  relation = 1
	atLeast relation = -1
	equals  relation = 0
)

// row is one limit: coef . x (relation) rhs; columns beyond coef count 0.
type row struct {
	coef []int64
	rel  relation
	rhs  int64
}

var (
	errInfeasible = errors.New("ration: no mixture meets every limit")
	errUnbounded  = errors.New("ration: nothing limits the mixture")
	errCheck      = errors.New("ration: the solution did not pass its own check")
)

// solve minimises the objectives in order, each among the optima of those before
// it, over n columns x >= 0. The optimum is exact and held against every row.
func solve(n int, rows []row, objectives ...[]int64) ([]*big.Rat, error) {
	t := newTableau(n, rows, objectives)
	missing := len(objectives)
	if err := t.minimise(missing); err != nil {
		return nil, err
	}
	if t.cost[missing][t.rhs].Sign() != 0 { // minus the sum of what is missing
		return nil, errInfeasible
	}
	t.bar(missing)
	for j := n + len(rows); j < t.rhs; j++ {
		t.barred[j] = true
	}
	for k := range objectives {
		if err := t.minimise(k); err != nil {
			return nil, err
		}
		t.bar(k)
	}
	x := make([]*big.Rat, n)
	for j := range x {
		x[j] = new(big.Rat)
	}
	for i, b := range t.basis {
		if b < n && x[b].SetFrac(t.a[i][t.rhs], t.det).Sign() < 0 {
			return nil, errCheck
		}
	}
	for i := range rows {
		if c := rows[i].against(x); c != 0 && c != -int(rows[i].rel) {
			return nil, errCheck
		}
	}
	return x, nil
}

// against is the sign of coef . x - rhs.
func (r *row) against(x []*big.Rat) int {
	sum, term := new(big.Rat), new(big.Rat)
	for j, c := range r.coef {
		sum.Add(sum, term.Mul(term.SetInt64(c), x[j]))
	}
	return sum.Cmp(term.SetInt64(r.rhs))
}

// tableau holds rows and cost rows times the common denominator det. Its columns
// are x, a slack a row, an artificial a row, and the right-hand side.
type tableau struct {
	a, cost [][]*big.Int // the last cost row is the sum of the artificials
	rhs     int
	det     *big.Int
	basis   []int
	barred  []bool
	t1, t2  big.Int
}

func newTableau(n int, rows []row, objectives [][]int64) *tableau {
	m := len(rows)
	t := &tableau{rhs: n + 2*m, det: big.NewInt(1)}
	t.barred = make([]bool, t.rhs)
	for _, o := range objectives {
		t.cost = append(t.cost, t.line(o, 1))
	}
	missing := t.line(nil, 1)
	for i, r := range rows {
		sign := int64(1) // rows are turned round to make their right-hand sides positive
		if r.rhs < 0 {
			sign = -1
		}
		line := t.line(r.coef, sign)
		line[t.rhs].SetInt64(sign * r.rhs)
		slack, basic := sign*int64(r.rel), n+i
		line[n+i].SetInt64(slack)
		if slack <= 0 {
			for j := range line {
				missing[j].Sub(missing[j], line[j])
			}
			basic = n + m + i
			line[basic].SetInt64(1)
		}
		t.a, t.basis = append(t.a, line), append(t.basis, basic)
	}
	t.cost = append(t.cost, missing)
	return t
}

func (t *tableau) line(coef []int64, sign int64) []*big.Int {
	out, store := make([]*big.Int, t.rhs+1), make([]big.Int, t.rhs+1)
	for j := range out {
		out[j] = &store[j]
	}
	for j, c := range coef {
		out[j].SetInt64(sign * c)
	}
	return out
}

// minimise runs the simplex method on cost row k with Bland's rule: the first
// column that helps enters, of several rows that limit it the one whose basic
// variable comes first leaves. That cannot cycle.
func (t *tableau) minimise(k int) error {
	for {
		in := 0
		for in < t.rhs && (t.barred[in] || t.cost[k][in].Sign() >= 0) {
			in++
		}
		if in == t.rhs {
			return nil
		}
		out := -1
		for i, r := range t.a {
			if r[in].Sign() <= 0 {
				continue
			}
			if out < 0 {
				out = i
				continue
			}
			// r.rhs / r.in  against  a[out].rhs / a[out].in
			c := t.t1.Mul(r[t.rhs], t.a[out][in]).Cmp(t.t2.Mul(t.a[out][t.rhs], r[in]))
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
	piv, entry := new(big.Int).Set(pr[in]), new(big.Int)
	for i, r := range append(t.a[:len(t.a):len(t.a)], t.cost...) {
		if i == out {
			continue
		}
		entry.Set(r[in])
		for j := range r {
			t.t1.Mul(r[j], piv)
			if entry.Sign() != 0 && pr[j].Sign() != 0 {
				t.t2.Mul(entry, pr[j])
				t.t1.Sub(&t.t1, &t.t2)
			}
			r[j].Quo(&t.t1, t.det)
		}
	}
	t.det.Set(piv)
	t.basis[out] = in
}

// bar keeps out of the basis every column that would make cost row k worse.
func (t *tableau) bar(k int) {
	for j := range t.barred {
		t.barred[j] = t.barred[j] || t.cost[k][j].Sign() > 0
	}
}
