// Package moves plans where herds stand on the coming days: never in a paddock
// that is not CLEAR for all their classes on that day, never two herds in one
// paddock, never beyond the feed that was measured. It decides no flag; it only
// reads them.
package moves

import (
	"math/bits"
	"slices"
)

// Nowhere is the place of a herd that stands in no paddock of the plan: it must
// be fed, or stand where the plan has no say.
const Nowhere = -1

// Problem is what a plan is made of: herds, paddocks and days as numbers.
type Problem struct {
	Days int
	// Open tells whether a herd may stand in a paddock on a day (0 is today).
	Open func(herd, day, paddock int) bool
	// Lasts is how many whole days a paddock feeds a herd, rounded down.
	Lasts    [][]int // by herd, then paddock
	In       []int   // where each herd stands before the first day, or Nowhere
	Paddocks int
}

// Plan is where each herd stands on each day.
type Plan struct {
	Place [][]int // by herd, then day; Nowhere for a day without feed
	Gaps  int     // herd-days Nowhere
	Moves int     // times a herd goes into a paddock
	// Proved says that no plan has fewer gaps, nor as few gaps and fewer moves.
	// It is false only where the search gave up at its limit.
	Proved bool
}

// DefaultLimit is how many states are looked at before the search gives up.
const DefaultLimit = 200_000

// MaxDays is the most days of a plan.
const MaxDays = 60

// Best finds the plan with the fewest days without feed and, among those, the
// fewest moves; of equal ones one that uses feed sooner: what is clear today is surer
// than what shall be clear then. A paddock is used at most once, by one herd, for days in a row:
// once stock have come out it must be looked at anew before any go in, so a
// plan cannot count on it again.
//
// The search is exact: dynamic programming over days. A state is the day, where each
// herd stands, how many days its paddock still feeds it, and which paddocks are used up.
// Herds that want none of the same paddocks are planned apart. After limit states it
// stops branching, takes the first choice that offers itself (stay; else the paddock that
// lasts longest), and says so in Proved. Equal inputs give equal plans.
func Best(p *Problem, limit int) Plan {
	out := Plan{Place: make([][]int, len(p.In)), Proved: true}
	if p.Days > MaxDays {
		panic("moves: more days than a plan can have")
	}
	ways := p.ways()
	for _, group := range apart(ways) {
		s := newSolver(p, group, ways, limit)
		s.solve(&out)
	}
	return out
}

// ways are what the paddocks offer each herd. A paddock another herd stands in is no
// choice: it would have to be looked at after that herd has come out.
func (p *Problem) ways() [][]way {
	out := make([][]way, len(p.In))
	never := make([]int, p.Days+1)
	for h := range p.In {
		for q := range p.Paddocks {
			w := way{run: never, stay: never, lasts: p.Lasts[h][q]}
			usable := w.lasts >= 1 && (p.In[h] == q || !slices.Contains(p.In, q))
			if usable {
				w.run, w.stay = make([]int, p.Days+1), make([]int, p.Days+1)
			}
			for d := p.Days - 1; d >= 0 && usable; d-- {
				if p.Open(h, d, q) {
					w.run[d] = w.run[d+1] + 1
					w.open |= 1 << d
				}
				w.stay[d] = max(w.stay[d+1], min(w.run[d], w.lasts))
			}
			out[h] = append(out[h], w)
		}
	}
	return out
}

// apart divides the herds into groups that share no paddock any of them could use.
func apart(ways [][]way) (groups [][]int) {
	for h := range ways {
		own := []int{h}
		groups = slices.DeleteFunc(groups, func(g []int) bool {
			shared := slices.ContainsFunc(g, func(o int) bool {
				for q := range ways[h] {
					if ways[h][q].open != 0 && ways[o][q].open != 0 {
						return true
					}
				}
				return false
			})
			if shared {
				own = append(g, own...)
			}
			return shared
		})
		slices.Sort(own)
		groups = append(groups, own)
	}
	return groups
}

type solver struct {
	p        *Problem
	herds    []int
	paddocks []int   // those any of the herds could use
	way      [][]way // by herd of the group and paddock
	memo     map[string]choice
	left     int
	gaveUp   bool
}

// way is what a paddock offers a herd.
type way struct {
	run   []int  // by day: days in a row it is open from that day on
	stay  []int  // by day: the longest stay that begins on that day or later
	open  uint64 // the days it is open, a bit each
	lasts int
}

// choice is the best end of a state: its cost and the first day's places.
type choice struct {
	cost  int
	place []int8
}

// Costs are gaps and moves in one number; no plan has more moves than a gap weighs.
const gap = 1 << 20

// maxPaddocks is how many paddocks one group of herds may choose from.
const maxPaddocks = 60

func newSolver(p *Problem, herds []int, ways [][]way, limit int) *solver {
	s := &solver{p: p, herds: herds, way: make([][]way, len(herds)), memo: map[string]choice{}, left: limit}
	for q := range p.Paddocks {
		if !slices.ContainsFunc(herds, func(h int) bool { return ways[h][q].open != 0 }) {
			continue
		}
		if len(s.paddocks) == maxPaddocks {
			s.gaveUp = true
			break
		}
		s.paddocks = append(s.paddocks, q)
		for i, h := range herds {
			s.way[i] = append(s.way[i], ways[h][q])
		}
	}
	return s
}

// atLeast is a cost that no end of the state can be below: for each herd by
// itself, as if the others were not there.
func (s *solver) atLeast(d int, spots []spot, used uint64) int {
	cost, days := 0, s.p.Days-d
	if days == 0 {
		return 0
	}
	var stays [maxPaddocks]int
	for i, was := range spots {
		here, mask := 0, uint64(0)
		if was.at >= 0 {
			here = min(was.lasts, s.way[i][was.at].run[d])
			mask = ((1 << here) - 1) << d
		}
		n, sum := 0, here
		for q := range s.paddocks {
			if w := &s.way[i][q]; used&(1<<q) == 0 && w.stay[d] > 0 {
				stays[n] = w.stay[d]
				sum += w.stay[d]
				mask |= w.open
				n++
			}
		}
		fed := min(days, sum, bits.OnesCount64(mask>>d))
		cost += (days - fed) * gap
		// Paddocks needed beside this one to be fed for so long.
		slices.Sort(stays[:n])
		for k := n - 1; k >= 0 && here < fed; k-- {
			here += stays[k]
			cost++
		}
	}
	return cost
}

// spot is where a herd stands: an index into paddocks, or Nowhere, and
// for how many more days its feed lasts.
type spot struct{ at, lasts int }

func (s *solver) solve(out *Plan) {
	spots := make([]spot, len(s.herds))
	var used uint64
	for i, h := range s.herds {
		out.Place[h] = make([]int, 0, s.p.Days)
		spots[i] = spot{Nowhere, 0}
		if q := slices.Index(s.paddocks, s.p.In[h]); q >= 0 {
			spots[i] = spot{q, s.way[i][q].lasts}
			used |= 1 << q
		}
	}
	for d := range s.p.Days {
		c := s.best(d, spots, used)
		for i, h := range s.herds {
			to := int(c.place[i])
			place := Nowhere
			if to == Nowhere {
				out.Gaps++
			} else {
				place = s.paddocks[to]
				if to != spots[i].at {
					out.Moves++
				}
			}
			out.Place[h] = append(out.Place[h], place)
			spots[i], used = s.step(i, spots[i], to, used)
		}
	}
	out.Proved = out.Proved && !s.gaveUp
}

func (s *solver) step(i int, was spot, to int, used uint64) (spot, uint64) {
	switch to {
	case Nowhere:
		return spot{Nowhere, 0}, used
	case was.at:
		return spot{to, was.lasts - 1}, used
	}
	return spot{to, s.way[i][to].lasts - 1}, used | 1<<to
}

// best returns the best end from day d on.
func (s *solver) best(d int, spots []spot, used uint64) choice {
	if d == s.p.Days {
		return choice{}
	}
	key := s.key(d, spots, used)
	if c, ok := s.memo[key]; ok {
		return c
	}
	s.left--
	c := choice{cost: -1}
	s.try(&attempt{d, spots, make([]spot, len(spots)), make([]int8, len(spots)), &c}, 0, used, 0)
	s.memo[key] = c
	return c
}

// attempt is a day that is being planned, herd by herd.
type attempt struct {
	day        int
	spots, end []spot // where the herds stand before and after it
	place      []int8
	best       *choice
}

// try places herd i of the group and the herds after it.
func (s *solver) try(a *attempt, i int, used uint64, cost int) {
	if a.best.cost >= 0 && (cost >= a.best.cost || s.left <= 0) {
		s.gaveUp = s.gaveUp || s.left <= 0
		return
	}
	if i == len(a.spots) {
		if a.best.cost >= 0 && cost+s.atLeast(a.day+1, a.end, used) >= a.best.cost {
			return
		}
		rest := s.best(a.day+1, slices.Clone(a.end), used)
		if total := cost + rest.cost; a.best.cost < 0 || total < a.best.cost {
			*a.best = choice{total, slices.Clone(a.place)}
		}
		return
	}
	was := a.spots[i]
	put := func(to, price int) {
		a.place[i] = int8(to)
		var u uint64
		a.end[i], u = s.step(i, was, to, used)
		s.try(a, i+1, u, cost+price)
	}
	if was.at >= 0 && was.lasts > 0 && s.way[i][was.at].run[a.day] > 0 {
		put(was.at, 0)
	}
	for _, to := range s.order(i, a.day, used) {
		put(to, 1)
	}
	put(Nowhere, gap)
}

// order lists the paddocks a herd could move to on a day, the one it could stay
// in longest first.
func (s *solver) order(i, d int, used uint64) []int {
	var out []int
	stay := func(q int) int { return min(s.way[i][q].lasts, s.way[i][q].run[d]) }
	for q := range s.paddocks {
		if used&(1<<q) == 0 && stay(q) > 0 {
			out = append(out, q)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int { return stay(b) - stay(a) })
	return out
}

// key names a state. What cannot matter any more is left out of it: a used
// paddock is only worth remembering, and days of feed beyond the last day are
// alike.
func (s *solver) key(d int, spots []spot, used uint64) string {
	b := append(make([]byte, 0, 2+3*len(spots)+8), byte(d), byte(d>>8))
	for _, x := range spots {
		n := min(x.lasts, s.p.Days-d)
		b = append(b, byte(int8(x.at)), byte(n), byte(n>>8))
	}
	for ; used != 0; used &= used - 1 {
		b = append(b, byte(bits.TrailingZeros64(used)))
	}
	return string(b)
}
