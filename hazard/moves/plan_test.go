package moves

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"
)

// brute tries every plan of a small problem, a day and a herd at a time, and
// returns the fewest gaps and, with those, the fewest moves. It knows nothing of
// states, groups or orders.
func brute(p *Problem) (gaps, moves int) {
	gaps, moves = 1<<30, 1<<30
	at := append([]int{}, p.In...)
	eaten := make([]int, len(p.In))
	spent := make([]bool, p.Paddocks)
	for _, q := range p.In {
		if q != Nowhere {
			spent[q] = true
		}
	}
	var walk func(day, herd, g, m int)
	walk = func(day, herd, g, m int) {
		if day == p.Days {
			if g < gaps || g == gaps && m < moves {
				gaps, moves = g, m
			}
			return
		}
		if herd == len(p.In) {
			walk(day+1, 0, g, m)
			return
		}
		was, ate := at[herd], eaten[herd]
		for to := Nowhere; to < p.Paddocks; to++ {
			switch {
			case to == Nowhere:
				at[herd], eaten[herd] = Nowhere, 0
				walk(day, herd+1, g+1, m)
			case !p.Open(herd, day, to):
				continue
			case to == was && ate < p.Lasts[herd][to]:
				eaten[herd] = ate + 1
				walk(day, herd+1, g, m)
			case to != was && !spent[to] && p.Lasts[herd][to] > 0:
				spent[to], at[herd], eaten[herd] = true, to, 1
				walk(day, herd+1, g, m+1)
				spent[to] = false
			}
			at[herd], eaten[herd] = was, ate
		}
	}
	walk(0, 0, 0, 0)
	return gaps, moves
}

func draw(t *rapid.T, herds, paddocks, days int) *Problem {
	p := &Problem{Days: rapid.IntRange(1, days).Draw(t, "days"), Paddocks: rapid.IntRange(1, paddocks).Draw(t, "paddocks")}
	n := rapid.IntRange(1, herds).Draw(t, "herds")
	open := map[[3]int]bool{}
	taken := map[int]bool{}
	for h := range n {
		p.Lasts = append(p.Lasts, nil)
		in := rapid.IntRange(-1, p.Paddocks-1).Draw(t, "in")
		if taken[in] {
			in = Nowhere
		}
		taken[in] = in != Nowhere
		p.In = append(p.In, in)
		for q := range p.Paddocks {
			p.Lasts[h] = append(p.Lasts[h], rapid.IntRange(0, days).Draw(t, "lasts"))
			for d := range p.Days {
				open[[3]int{h, d, q}] = rapid.IntRange(0, 9).Draw(t, "open") < 6
			}
		}
	}
	p.Open = func(h, d, q int) bool { return open[[3]int{h, d, q}] }
	return p
}

// check holds a plan against every rule, by itself.
func check(p *Problem, plan Plan) error {
	gaps, moves := 0, 0
	user := map[int]int{}
	for h := range p.In {
		if len(plan.Place[h]) != p.Days {
			return fmt.Errorf("herd %d has %d days", h, len(plan.Place[h]))
		}
		was, ate := p.In[h], 0
		left := map[int]bool{}
		for d, to := range plan.Place[h] {
			if to != was {
				if to != Nowhere {
					moves++
				}
				left[was] = true
				ate = 0
			}
			was = to
			if to == Nowhere {
				gaps++
				continue
			}
			ate++
			if !p.Open(h, d, to) {
				return fmt.Errorf("herd %d stands in %d on day %d, which is not open to it", h, to, d)
			}
			if ate > p.Lasts[h][to] {
				return fmt.Errorf("herd %d eats %d days in %d", h, ate, to)
			}
			if left[to] {
				return fmt.Errorf("herd %d goes back into %d", h, to)
			}
			if o, ok := user[to]; ok && o != h {
				return fmt.Errorf("herds %d and %d both use %d", h, o, to)
			}
			user[to] = h
		}
	}
	if gaps != plan.Gaps || moves != plan.Moves {
		return fmt.Errorf("it counts %d gaps and %d moves, there are %d and %d", plan.Gaps, plan.Moves, gaps, moves)
	}
	return nil
}

// On small farms no plan at all is better: every one is tried.
func TestBestIsBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := draw(t, 2, 3, 4)
		plan := Best(p, DefaultLimit)
		if err := check(p, plan); err != nil {
			t.Fatal(err)
		}
		gaps, moves := brute(p)
		if !plan.Proved || plan.Gaps != gaps || plan.Moves != moves {
			t.Fatalf("%d gaps and %d moves (proved %v); every plan tried: %d and %d", plan.Gaps, plan.Moves, plan.Proved, gaps, moves)
		}
	})
}

// Of plans with as many gaps and moves the one that uses feed sooner is taken.
func TestFeedIsUsedSooner(t *testing.T) {
	p := &Problem{
		Days: 5, Paddocks: 2, In: []int{Nowhere}, Lasts: [][]int{{2, 1}},
		Open: func(_, d, q int) bool { return q == 0 || d >= 3 },
	}
	if got := fmt.Sprint(Best(p, DefaultLimit).Place); got != "[[0 0 -1 1 -1]]" {
		t.Error(got)
	}
}

// Larger farms, and a search that gives up early: the rules hold all the same,
// and giving up is said.
func TestNoRuleIsBroken(t *testing.T) {
	gaveUp := 0
	rapid.Check(t, func(t *rapid.T) {
		p := draw(t, 3, 7, 12)
		full := Best(p, 20_000)
		if err := check(p, full); err != nil {
			t.Fatal(err)
		}
		early := Best(p, 5)
		if err := check(p, early); err != nil {
			t.Fatal(err)
		}
		if early.Proved && full.Proved && (early.Gaps != full.Gaps || early.Moves != full.Moves) {
			t.Fatalf("called proved: %d gaps and %d moves, but there are %d and %d", early.Gaps, early.Moves, full.Gaps, full.Moves)
		}
		if full.Proved && (early.Gaps < full.Gaps || early.Gaps == full.Gaps && early.Moves < full.Moves) {
			t.Fatalf("giving up found a better plan")
		}
		if !early.Proved {
			gaveUp++
		}
	})
	if gaveUp == 0 {
		t.Error("the search never gave up at 5 states; the limit is not looked at")
	}
}

func BenchmarkBest(b *testing.B) {
	p := &Problem{Days: 28, Paddocks: 8, In: []int{0, 1, Nowhere}}
	for h := range 3 {
		p.Lasts = append(p.Lasts, nil)
		for q := range 8 {
			p.Lasts[h] = append(p.Lasts[h], 3+(5*h+3*q)%9)
		}
	}
	p.Open = func(h, d, q int) bool { return (d+q*3+h)%11 > 2 }
	plan := Best(p, DefaultLimit)
	b.ReportMetric(float64(plan.Gaps), "gaps")
	if !plan.Proved {
		b.Log("the search gave up")
	}
	for b.Loop() {
		Best(p, DefaultLimit)
	}
}
