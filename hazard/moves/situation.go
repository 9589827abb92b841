package moves

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/fields/forage"
	"rimegate/hazard"
	"rimegate/hazard/ration"
)

// Settings say how the feed may be used.
type Settings struct {
	UtilisationPct float64 // share of the standing feed that is eaten; 0: forage.DefaultUtilisation
	LeaveCM        float64 // stubble to leave; 0: none kept
}

// Mob is a herd, or several that stand together and move as one.
type Mob struct {
	Herds   []string
	Head    float64
	Classes []hazard.Class
	PerDay  forage.Range // kg dry matter a day, both ends of intake
	How     []string     // whose figures the ends are, one a herd
	Why     string       // not known what it eats: what is missing
	In      string       // paddock it stands in, "" if nobody said
}

// Known reports whether it is known what the mob eats.
func (m *Mob) Known() bool { return m.Why == "" }

// Ground is a paddock and its feed.
type Ground struct {
	ID, Name string
	Feed     forage.Standing
	UsableKg float64 // kg dry matter that may be eaten
	Why      string  // the feed is not known: what is missing
	Taken    string  // who stands there whom the plan cannot move, "" if nobody
	Notes    []string
}

// Stand is what one mob has in one paddock.
type Stand struct {
	Days, AtMost int           // days the feed lasts, rounded down: at the high end of intake, and at the low
	Flags        []hazard.Flag // by day: the worst over the mob's classes, to graze
}

// ClearFor returns for how many days in a row from today it is clear.
func (s *Stand) ClearFor() int {
	for i, f := range s.Flags {
		if f != hazard.Clear {
			return i
		}
	}
	return len(s.Flags)
}

// Situation is where herds can stand on the coming days.
type Situation struct {
	Days    []fields.Date
	Set     Settings
	Mobs    []Mob
	Grounds []Ground
	Stands  [][]Stand // by mob, then ground
	Plan    Plan      // at the high end of intake: the one to go by
	Low     Plan      // at the low end

	closed map[[3]int]bool // days that turned out not clear once the plan was played through
}

// Weigh works the situation out from assessments of consecutive days, the
// first today's. Feed that was not measured and herds whose demand is not known
// are said, never guessed, and take no part in the plan.
func Weigh(days []*hazard.Assessment, set Settings) *Situation {
	s := &Situation{Set: set, closed: map[[3]int]bool{}}
	for _, a := range days {
		s.Days = append(s.Days, a.History.On)
	}
	today := days[0]
	h := today.History
	demands := map[string]forage.Demand{}
	for _, g := range h.Herds {
		demands[g.HerdFacts.Herd] = DemandOf(g)
	}
	s.mobs(h, demands)
	demand := func(herd string) forage.Demand {
		if d, ok := demands[herd]; ok {
			return d
		}
		return forage.Demand{Herd: herd, Why: fmt.Sprintf("the herd %q is not set up", herd)}
	}
	for i := range today.Paddocks {
		s.ground(h, &today.Paddocks[i], demand)
	}
	for m := range s.Mobs {
		row := make([]Stand, len(s.Grounds))
		for q := range s.Grounds {
			row[q] = s.stand(&s.Mobs[m], &s.Grounds[q], days)
		}
		s.Stands = append(s.Stands, row)
	}
	s.Replan()
	return s
}

// DemandOf returns what a herd eats, from its own figures or the ends of the
// published intakes of its classes.
func DemandOf(g *fields.Herd) forage.Demand {
	var per *forage.Range
	how := ""
	if g.WeightKg != nil {
		for _, c := range ClassesOf(g) {
			r, err := ration.Intake(c, *g.WeightKg)
			if err != nil {
				continue
			}
			_, low, high := ration.IntakePct(c)
			if per == nil {
				per = &forage.Range{Low: math.Inf(1)}
			}
			if r.Low < per.Low {
				per.Low = r.Low
				how = fmt.Sprintf("from %v %% of body weight (%s, %s)", low.Low, low.Kind, low.Source.Publisher)
			}
			if r.High > per.High {
				per.High = r.High
				how = strings.SplitN(how, " to ", 2)[0] + fmt.Sprintf(" to %v %% (%s, %s)", high.High, high.Kind, high.Source.Publisher)
			}
		}
	}
	return forage.HerdDemand(&g.HerdFacts, per, how)
}

// ClassesOf returns the herd's classes; all classes where nobody said any, so
// that the worst answer holds.
func ClassesOf(g *fields.Herd) []hazard.Class {
	var out []hazard.Class
	for _, w := range g.Classes {
		if c, ok := hazard.ParseClass(w); ok {
			out = append(out, c)
		}
	}
	if len(out) == 0 {
		return hazard.Classes
	}
	return out
}

func (s *Situation) mobs(h *fields.History, demands map[string]forage.Demand) {
	at := map[string]int{}
	for _, g := range h.Herds {
		id := g.HerdFacts.Herd
		if g.Head != nil && *g.Head == 0 {
			continue // none left
		}
		m, together := at[g.In]
		if g.In == "" || !together {
			m = len(s.Mobs)
			s.Mobs = append(s.Mobs, Mob{In: g.In})
			if g.In != "" {
				at[g.In] = m
			}
		}
		mob, d := &s.Mobs[m], demands[id]
		mob.Herds = append(mob.Herds, id)
		for _, c := range ClassesOf(g) {
			if !slices.Contains(mob.Classes, c) {
				mob.Classes = append(mob.Classes, c)
			}
		}
		slices.Sort(mob.Classes)
		if !d.Known {
			if mob.Why == "" {
				mob.Why = d.Why
			}
			continue
		}
		mob.Head += d.Head
		mob.PerDay.Low += d.PerDay.Low
		mob.PerDay.High += d.PerDay.High
		mob.How = append(mob.How, d.How)
	}
}

func (s *Situation) ground(h *fields.History, p *hazard.PaddockAnswer, demand func(string) forage.Demand) {
	g := Ground{ID: p.Paddock.ID, Name: p.Paddock.Name, Feed: forage.StandingFeed(h, p.Paddock.ID, demand)}
	b := forage.HeadDays(g.Feed, forage.Grazing{UtilisationPct: s.Set.UtilisationPct, LeaveCM: s.Set.LeaveCM, HeightCM: p.Stand.LastHeight}, forage.Range{Low: 1, High: 1})
	g.UsableKg, g.Why, g.Notes = b.UsableKg, b.Why, b.Notes
	for _, stay := range p.Inside {
		known := slices.ContainsFunc(s.Mobs, func(m Mob) bool { return m.Known() && slices.Contains(m.Herds, stay.Herd) })
		if !known {
			g.Taken = stay.Herd
			if g.Taken == "" {
				g.Taken = "stock nobody named"
			}
		}
	}
	s.Grounds = append(s.Grounds, g)
}

func (s *Situation) stand(m *Mob, g *Ground, days []*hazard.Assessment) Stand {
	var st Stand
	if m.Known() && g.Why == "" {
		st.Days, st.AtMost = whole(g.UsableKg/m.PerDay.High), whole(g.UsableKg/m.PerDay.Low)
	}
	for _, a := range days {
		worst := hazard.Hold // a paddock that does not stand that day is none to go to
		for i := range a.Paddocks {
			if p := &a.Paddocks[i]; p.Paddock.ID == g.ID {
				worst = hazard.Clear
				for _, c := range m.Classes {
					v := p.Verdict(hazard.Graze, c)
					if v == nil || v.Flag == hazard.Unknown {
						worst = hazard.Hold
						break
					}
					worst = max(worst, v.Flag)
				}
			}
		}
		st.Flags = append(st.Flags, worst)
	}
	return st
}

func whole(v float64) int {
	if !(v > 0) {
		return 0
	}
	return int(math.Min(math.Floor(v*(1+1e-12)), 1e6))
}

// planned are the mobs that take part in the plan.
func (s *Situation) planned() []int {
	var out []int
	for i := range s.Mobs {
		if s.Mobs[i].Known() {
			out = append(out, i)
		}
	}
	return out
}

// Replan works the plans out anew, without the days closed since.
func (s *Situation) Replan() {
	s.Plan = s.best(func(st *Stand) int { return st.Days })
	s.Low = s.best(func(st *Stand) int { return st.AtMost })
}

// Close takes a paddock away from a mob on one day of the plan: played through,
// it was not clear.
func (s *Situation) Close(mob, day, ground int) { s.closed[[3]int{mob, day, ground}] = true }

func (s *Situation) best(lasts func(*Stand) int) Plan {
	mobs := s.planned()
	p := &Problem{Days: len(s.Days), Paddocks: len(s.Grounds)}
	p.Open = func(h, d, q int) bool {
		m := mobs[h]
		return s.Grounds[q].Taken == "" && s.Stands[m][q].Flags[d] == hazard.Clear && !s.closed[[3]int{m, d, q}]
	}
	for _, m := range mobs {
		in := Nowhere
		row := make([]int, len(s.Grounds))
		for q := range s.Grounds {
			row[q] = lasts(&s.Stands[m][q])
			if s.Grounds[q].ID == s.Mobs[m].In {
				in = q
			}
		}
		p.Lasts, p.In = append(p.Lasts, row), append(p.In, in)
	}
	small := Best(p, DefaultLimit)
	out := Plan{Place: make([][]int, len(s.Mobs)), Gaps: small.Gaps, Moves: small.Moves, Proved: small.Proved}
	for i, m := range mobs {
		out.Place[m] = small.Place[i]
	}
	return out
}

// Stretch is days in a row in one place.
type Stretch struct {
	From, To fields.Date
	Ground   int // index of the ground, or Nowhere
}

// Stretches are the days of one mob in a plan; none if it takes no part.
func (s *Situation) Stretches(p *Plan, mob int) []Stretch {
	var out []Stretch
	for d, q := range p.Place[mob] {
		if n := len(out); n > 0 && out[n-1].Ground == q {
			out[n-1].To = s.Days[d]
			continue
		}
		out = append(out, Stretch{s.Days[d], s.Days[d], q})
	}
	return out
}

// Gap returns the days of a mob without feed in a plan and what it would eat on
// them, kg dry matter at perDay.
func (s *Situation) Gap(p *Plan, mob int, perDay float64) (days int, kg float64) {
	for _, q := range p.Place[mob] {
		if q == Nowhere {
			days++
		}
	}
	return days, float64(days) * perDay
}

// Feed is how much feed a mob has behind each flag today.
type Feed struct {
	Kg               map[hazard.Flag]float64
	HeadDays, AtMost map[hazard.Flag]int // at the high and at the low end of intake, rounded down
	Unknown          []int               // grounds whose feed nobody measured
}

// FeedOf sums the feed of the farm by today's flag for the mob. Where another
// mob stands is counted too: it is the farm's feed, not a promise.
func (s *Situation) FeedOf(mob int) Feed {
	f := Feed{Kg: map[hazard.Flag]float64{}, HeadDays: map[hazard.Flag]int{}, AtMost: map[hazard.Flag]int{}}
	m := &s.Mobs[mob]
	for q := range s.Grounds {
		g := &s.Grounds[q]
		if g.Why != "" {
			f.Unknown = append(f.Unknown, q)
			continue
		}
		flag := s.Stands[mob][q].Flags[0]
		f.Kg[flag] += g.UsableKg
	}
	if m.Known() && m.Head > 0 {
		for flag, kg := range f.Kg {
			f.HeadDays[flag] = whole(kg * m.Head / m.PerDay.High)
			f.AtMost[flag] = whole(kg * m.Head / m.PerDay.Low)
		}
	}
	return f
}

// Awaited are the grounds that are not clear for the mob today and have feed for
// it, those with the most first, at most n; none for a mob whose plan has no
// gap. Equal ones stay in order.
func (s *Situation) Awaited(mob, n int) []int {
	if gap, _ := s.Gap(&s.Plan, mob, 0); gap == 0 {
		return nil
	}
	var out []int
	for q := range s.Grounds {
		if st := &s.Stands[mob][q]; st.Flags[0] != hazard.Clear && st.Days > 0 && s.Grounds[q].Taken == "" {
			out = append(out, q)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int { return s.Stands[mob][b].Days - s.Stands[mob][a].Days })
	return out[:min(n, len(out))]
}
