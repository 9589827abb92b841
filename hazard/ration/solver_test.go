package ration

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
)

func p64(v float64) *float64 { return &v }

// randomProblem makes a ration with n feeds, some limits missing, some in each
// other's way; about a third of them have no answer.
func randomProblem(r *rand.Rand, n int) Problem {
	p := Problem{
		Intake: Range{Low: 8 + 4*r.Float64(), High: 12 + 4*r.Float64()}, CeilingPPMN: 400 + 1200*r.Float64(),
		Head: float64(10 + r.IntN(200)), Aim: Aim(r.IntN(2)),
	}
	if r.IntN(2) == 0 {
		p.Water = Water{Litres: 40 + 40*r.Float64(), NMgL: 60 * r.Float64(), Tested: true}
	}
	if r.IntN(2) == 0 {
		p.Days = 1 + r.IntN(120)
	}
	if r.IntN(3) == 0 {
		p.MinTDNPct = p64(45 + 15*r.Float64())
	}
	if r.IntN(3) == 0 {
		p.MinProteinPct = p64(6 + 8*r.Float64())
	}
	for i := 0; i < n; i++ {
		f := Feed{
			Name: fmt.Sprint("feed ", i), DMPct: 25 + 65*r.Float64(),
			PPMN: math.Round(100 * math.Exp(4*r.Float64())), CostPerTonne: p64(math.Round(30 + 200*r.Float64())),
			TDNPct: p64(40 + 35*r.Float64()), ProteinPct: p64(4 + 14*r.Float64()),
		}
		if r.IntN(3) == 0 {
			f.OnHandKg = p64(1000 + 200000*r.Float64())
		}
		if r.IntN(4) == 0 {
			f.MaxShare = p64(100 * r.Float64())
		}
		p.Feeds = append(p.Feeds, f)
	}
	return p
}

// program is what the solver gets for a problem.
type program struct {
	n          int
	rows       []row
	objectives [][]int64
}

func (p *program) solve() ([]*big.Rat, error) { return solve(p.n, p.rows, p.objectives...) }

func (p *Problem) program() *program {
	rows := []row{p.whole()}
	for _, l := range p.limits() {
		r := l.row
		r.coef = append(slices.Clone(r.coef), make([]int64, len(p.Feeds)-len(r.coef))...)
		rows = append(rows, r)
	}
	return &program{len(p.Feeds), rows, p.objectives()}
}

func exactly(c []int64, x []*big.Rat) *big.Rat {
	sum := new(big.Rat)
	for j, v := range c {
		sum.Add(sum, new(big.Rat).Mul(new(big.Rat).SetInt64(v), x[j]))
	}
	return sum
}

func value(c []int64, x []*big.Rat) float64 {
	f, _ := exactly(c, x).Float64()
	return f
}

// floats is a programme in floating point, rows scaled to their largest
// coefficient.
type floats struct {
	coef [][]float64
	rhs  []float64
	rel  []relation
	cost []float64 // first objective over its largest coefficient
}

func (p *program) floats() floats {
	var f floats
	for _, r := range p.rows {
		size := max(1, math.Abs(float64(r.rhs)))
		for _, c := range r.coef {
			size = max(size, math.Abs(float64(c)))
		}
		var line []float64
		for _, c := range r.coef {
			line = append(line, float64(c)/size)
		}
		f.coef, f.rhs, f.rel = append(f.coef, line), append(f.rhs, float64(r.rhs)/size), append(f.rel, r.rel)
	}
	size := objectiveSize(p)
	for _, c := range p.objectives[0] {
		f.cost = append(f.cost, float64(c)/size)
	}
	return f
}

// fits reports x within every row, up to slack.
func (f *floats) fits(x []float64, slack float64) bool {
	for i, line := range f.coef {
		d := -f.rhs[i]
		for j, c := range line {
			d += c * x[j]
		}
		if f.rel[i] == atMost && d > slack || f.rel[i] == atLeast && d < -slack || f.rel[i] == equals && math.Abs(d) > slack {
			return false
		}
	}
	return true
}

// Every mixture in steps of a fiftieth is tried: none that meets the limits may
// be better than the answer, and none may meet them where there is none.
func TestSolverAgainstExhaustiveGrid(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	const steps = 50
	solved, none, beaten := 0, 0, 0
	for k := 0; k < 250; k++ {
		p := randomProblem(r, 2+r.IntN(3))
		prog := p.program()
		x, err := prog.solve()
		if err != nil && !errors.Is(err, errInfeasible) {
			t.Fatal(k, err)
		}
		best := math.Inf(1)
		if err == nil {
			solved++
			best = value(prog.objectives[0], x) / objectiveSize(prog)
		} else {
			none++
		}
		f := prog.floats()
		grid := make([]float64, prog.n)
		var try func(i, left int)
		try = func(i, left int) {
			if i == prog.n-1 {
				grid[i] = float64(left) / steps
				if !f.fits(grid, 1e-13) {
					return
				}
				v := 0.0
				for j, c := range f.cost {
					v += c * grid[j]
				}
				if v < best-1e-9 {
					beaten++
					t.Errorf("problem %d: grid point %v gives %g, the solver %g (error %v)", k, grid, v, best, err)
				}
				return
			}
			for m := 0; m <= left; m++ {
				grid[i] = float64(m) / steps
				try(i+1, left-m)
			}
		}
		try(0, steps)
		if beaten > 3 {
			t.FailNow()
		}
	}
	t.Logf("%d problems solved, %d without an answer", solved, none)
	if solved < 50 || none < 30 {
		t.Errorf("the random problems are lopsided: %d solved, %d not", solved, none)
	}
}

// The floating-point simplex of gonum on the same problems. Where it gives up
// for numerical reasons the problem is only counted.
func TestSolverAgainstGonum(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	agreed, gaveUp := 0, 0
	for k := 0; k < 300; k++ {
		p := randomProblem(r, 2+r.IntN(6))
		prog := p.program()
		x, err := prog.solve()
		f, gerr := gonumSolve(prog)
		switch {
		case errors.Is(gerr, lp.ErrInfeasible):
			if err == nil {
				t.Errorf("problem %d: gonum finds no answer, the solver %v", k, x)
			}
			agreed++
		case gerr != nil:
			gaveUp++
		case err != nil:
			t.Errorf("problem %d: gonum %g, the solver %v", k, f, err)
		default:
			size := objectiveSize(prog)
			if v := value(prog.objectives[0], x); math.Abs(v-f) > 1e-7*size {
				t.Errorf("problem %d: gonum %g, the solver %g", k, f, v)
			}
			agreed++
		}
	}
	t.Logf("agreed on %d, gonum gave up on %d", agreed, gaveUp)
	if agreed < 150 {
		t.Errorf("only %d problems could be compared", agreed)
	}
}

// gonumSolve brings the programme into gonum's standard form, rows scaled.
func gonumSolve(p *program) (f float64, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("panic: %v", r)
		}
	}()
	slacks := 0
	for _, r := range p.rows {
		if r.rel != equals {
			slacks++
		}
	}
	q := p.floats()
	m, n := len(p.rows), p.n+slacks
	a := mat.NewDense(m, n, nil)
	c := make([]float64, n)
	copy(c, q.cost)
	s := p.n
	for i, line := range q.coef {
		for j, v := range line {
			a.Set(i, j, v)
		}
		switch q.rel[i] {
		case atMost:
			a.Set(i, s, 1)
			s++
		case atLeast:
			a.Set(i, s, -1)
			s++
		}
	}
	f, _, err = lp.Simplex(c, a, q.rhs, 1e-10, nil)
	return f * objectiveSize(p), err
}

// GLPK's own solver, where it is installed, on the same problems.
func TestSolverAgainstGLPK(t *testing.T) {
	glpsol, err := exec.LookPath("glpsol")
	if err != nil {
		t.Skip("glpsol (GLPK) is not installed: the comparison with it is left out")
	}
	r := rand.New(rand.NewPCG(13, 17))
	dir := t.TempDir()
	solved, none := 0, 0
	for k := 0; k < 60; k++ {
		p := randomProblem(r, 2+r.IntN(9))
		prog := p.program()
		x, err := prog.solve()
		f, feasible := glpkSolve(t, glpsol, dir, prog)
		if feasible != (err == nil) {
			t.Errorf("problem %d: GLPK feasible %v, the solver %v", k, feasible, err)
			continue
		}
		if !feasible {
			none++
			continue
		}
		solved++
		size := objectiveSize(prog)
		if v := value(prog.objectives[0], x) / size; math.Abs(v-f) > 1e-7 {
			t.Errorf("problem %d: GLPK %.12g, the solver %.12g", k, f, v)
		}
	}
	t.Logf("GLPK agreed on %d mixtures and %d problems without one", solved, none)
	if solved < 15 || none < 8 {
		t.Errorf("lopsided problems: %d and %d", solved, none)
	}
}

func objectiveSize(p *program) float64 {
	size := 1.0
	for _, v := range p.objectives[0] {
		size = max(size, math.Abs(float64(v)))
	}
	return size
}

// glpkSolve writes the programme in CPLEX LP format, rows scaled, and reads
// the solution glpsol writes.
func glpkSolve(t *testing.T, glpsol, dir string, p *program) (f float64, feasible bool) {
	t.Helper()
	var b bytes.Buffer
	q := p.floats()
	line := func(c []float64) {
		for j, v := range c {
			fmt.Fprintf(&b, " %+.17g x%d", v, j)
		}
	}
	b.WriteString("Minimize\n obj:")
	line(q.cost)
	b.WriteString("\nSubject To\n")
	for i := range q.coef {
		fmt.Fprintf(&b, " r%d:", i)
		line(q.coef[i])
		fmt.Fprintf(&b, " %s %.17g\n", map[relation]string{atMost: "<=", atLeast: ">=", equals: "="}[q.rel[i]], q.rhs[i])
	}
	b.WriteString("End\n")
	in, out := filepath.Join(dir, "p.lp"), filepath.Join(dir, "p.txt")
	if err := os.WriteFile(in, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	if msg, err := exec.Command(glpsol, "--lp", in, "-w", out).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, msg)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	sc := bufio.NewScanner(bytes.NewReader(text))
	for sc.Scan() { // "s bas rows columns primal dual value"
		w := strings.Fields(sc.Text())
		if len(w) == 7 && w[0] == "s" {
			f, err := strconv.ParseFloat(w[6], 64)
			if err != nil {
				t.Fatal(err)
			}
			return f, w[4] == "f"
		}
	}
	t.Fatalf("no solution line in %s", text)
	return 0, false
}

// Among mixtures of one cost the smallest risky share is taken, among those the
// least nitrate: the objectives in turn, each as a problem of its own.
func TestTiesAreBrokenInOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(59, 61))
	broken := 0
	for k := 0; k < 120; k++ {
		p := randomProblem(r, 3+r.IntN(4))
		p.Aim = LeastCost
		for i := range p.Feeds { // two prices only, so that many mixtures cost the same
			p.Feeds[i].DMPct, p.Feeds[i].CostPerTonne = 80, p64(float64(50+50*r.IntN(2)))
		}
		prog := p.program()
		x, err := prog.solve()
		if err != nil {
			continue
		}
		rows := append([]row(nil), prog.rows...)
		for i, o := range prog.objectives {
			one := &program{prog.n, rows, [][]int64{o}}
			y, err := one.solve()
			if err != nil {
				t.Fatal(k, i, err)
			}
			// The rows keep the objectives before this one to whole units of their
			// fixed point, 30 binary digits of a cost.
			if got, want := value(o, x), value(o, y); got < want || got-want > 1e-6*max(1, math.Abs(want)) {
				t.Errorf("problem %d: objective %d is %g, could be %g", k, i, got, want)
			}
			if i == 0 && value(prog.objectives[1], x) < value(prog.objectives[1], y) {
				broken++ // the first objective alone would have taken more
			}
			best, rest := new(big.Int), new(big.Int)
			v := exactly(o, x)
			if best.DivMod(v.Num(), v.Denom(), rest); rest.Sign() > 0 {
				best.Add(best, big.NewInt(1))
			}
			rows = append(rows, row{o, atMost, best.Int64()})
		}
	}
	t.Logf("%d ties were broken", broken)
	if broken < 3 {
		t.Errorf("only %d ties were broken", broken)
	}
}

// A row said twice leaves a basic artificial at zero, and a column that cannot
// be used tempts the objective.
func TestSolverWithRedundantRows(t *testing.T) {
	i := func(v ...int64) []int64 { return v }
	p := &program{3, []row{
		{i(1, 1, 1), equals, 1},
		{i(2, 2, 2), equals, 2},
		{i(0, 0, 1), atMost, 0},
		{i(0, 0, -1), atLeast, 0},
		{i(0, 0, 5), equals, 0},
	}, [][]int64{i(3, 2, -100)}}
	x, err := p.solve()
	if err != nil {
		t.Fatal(err)
	}
	if value(p.objectives[0], x) != 2 {
		t.Errorf("x = %v", x)
	}
}

// Beale's example cycles under the textbook rule; Bland's ends. Optimum -1/20
// (Beale, Cycling in the dual simplex algorithm, Naval Research Logistics
// Quarterly 2, 1955; the form with this optimum is the common one, here from
// memory and checked by its dual).
func TestSolverDoesNotCycle(t *testing.T) {
	i := func(v ...int64) []int64 { return v }
	p := &program{4, []row{
		{i(25, -6000, -4, 900), atMost, 0},
		{i(50, -9000, -2, 300), atMost, 0},
		{i(0, 0, 1, 0), atMost, 1},
	}, [][]int64{i(-75, 15000, -2, 600)}}
	x, err := p.solve()
	if err != nil {
		t.Fatal(err)
	}
	if v := value(p.objectives[0], x); v != -5 {
		t.Errorf("optimum %g, want -5 (x = %v)", v, x)
	}
}

// What "alone" says is exact: moved so far the limit lets a mixture through,
// moved a little less it does not.
func TestShortfallsAreExact(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 29))
	checked := 0
	for k := 0; k < 400 && checked < 60; k++ {
		p := randomProblem(r, 2+r.IntN(4))
		_, err := Solve(p)
		var inf *Infeasible
		if !errors.As(err, &inf) {
			continue
		}
		limits := inf.Limits
		if !inf.Each {
			limits = nil
		}
		for _, s := range limits {
			move := func(by float64) error {
				q := p
				q.Feeds = append([]Feed(nil), p.Feeds...)
				to := s.Is + (s.Needs-s.Is)*by
				for i := range q.Feeds {
					if q.Feeds[i].Name != s.Feed {
						continue
					}
					switch s.Limit {
					case LimitAmount:
						q.Feeds[i].OnHandKg = &to
					case LimitShare:
						q.Feeds[i].MaxShare = &to
					}
				}
				switch s.Limit {
				case LimitNitrate:
					q.CeilingPPMN = to / (1 - belowLine)
				case LimitEnergy:
					q.MinTDNPct = &to
				case LimitProtein:
					q.MinProteinPct = &to
				}
				_, err := Solve(q)
				return err
			}
			if err := move(1 + 1e-4); err != nil && s.Needs*(1+1e-4) <= 100 {
				t.Errorf("problem %d: %s %s moved from %g past %g is still in the way: %v", k, s.Limit, s.Feed, s.Is, s.Needs, err)
			}
			if err := move(1 - 1e-3); err == nil && math.Abs(s.Needs-s.Is) > 1e-3 {
				t.Errorf("problem %d: %s %s need not move from %g to %g", k, s.Limit, s.Feed, s.Is, s.Needs)
			}
			checked++
		}
		if len(inf.Limits) == 0 {
			t.Errorf("problem %d: nothing is named as in the way", k)
		}
	}
	if checked < 40 {
		t.Errorf("only %d shortfalls were checked", checked)
	}
}

// The days said to be possible are possible, one more is not.
func TestMostDaysIsTheMost(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 37))
	checked := 0
	for k := 0; k < 400; k++ {
		p := randomProblem(r, 2+r.IntN(4))
		p.Days = 0
		if _, err := Solve(p); err != nil {
			continue
		}
		days, limited, err := p.mostDays()
		if err != nil {
			t.Fatal(err)
		}
		if !limited || days < 1 || days > 3000 {
			continue
		}
		p.Days = days
		if _, err := Solve(p); err != nil {
			t.Errorf("problem %d: %d days were said to be possible: %v", k, days, err)
		}
		p.Days = days + 1
		if _, err := Solve(p); err == nil {
			t.Errorf("problem %d: %d days are possible, %d were said to be the most", k, days+1, days)
		}
		checked++
	}
	t.Logf("%d checked", checked)
	if checked < 25 {
		t.Errorf("only %d problems were checked", checked)
	}
}

func BenchmarkSolve(b *testing.B) {
	r := rand.New(rand.NewPCG(41, 43))
	for _, n := range []int{2, 4, 8, 12} {
		var ps []Problem
		for len(ps) < 20 {
			p := randomProblem(r, n)
			if _, err := p.program().solve(); err == nil {
				ps = append(ps, p)
			}
		}
		exact := 0.0
		b.Run(fmt.Sprintf("exact/%d", n), func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				if _, err := ps[i%len(ps)].program().solve(); err != nil {
					b.Fatal(err)
				}
			}
			exact = float64(b.Elapsed().Nanoseconds()) / float64(b.N)
		})
		b.Run(fmt.Sprintf("gonum/%d", n), func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				_, _ = gonumSolve(ps[i%len(ps)].program())
			}
			if exact > 0 {
				b.ReportMetric(exact/(float64(b.Elapsed().Nanoseconds())/float64(b.N)), "exact/gonum")
			}
		})
	}
}

func BenchmarkInfeasible(b *testing.B) {
	r := rand.New(rand.NewPCG(47, 53))
	var ps []Problem
	for len(ps) < 10 {
		p := randomProblem(r, 8)
		var inf *Infeasible
		if _, err := Solve(p); errors.As(err, &inf) {
			ps = append(ps, p)
		}
	}
	for i := 0; b.Loop(); i++ {
		_, _ = Solve(ps[i%len(ps)])
	}
}
