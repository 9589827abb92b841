package moves

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"rimegate/fields"
	"rimegate/fields/forage"
	"rimegate/hazard"
	"rimegate/hazard/ration"
)

// Settings say how the feed may be used.
type Settings = forage.Grazing

// Mob is a herd, or several that stand together and move as one.
type Mob struct {
	Herds   []string
	Head    float64
	Classes []hazard.Class
	PerDay  forage.Range // kg dry matter a day, both ends of intake
	How     []string     // whose figures the ends are, one a herd
	Why     string       // not known what it eats: what is missing
	In      string       // paddock it stands in, "" if nobody said
	Water   []string     // what it drinks wherever it stands, if that makes any paddock worse for it
}

// Known reports whether it is known what the mob eats.
func (m *Mob) Known() bool { return m.Why == "" }

// Ground is a paddock and its feed.
type Ground struct {
	ID       string
	UsableKg float64 // kg dry matter that may be eaten
	Why      string  // the feed is not known: what is missing
	Taken    string  // who stands there whom the plan cannot move, "" if nobody
}

// Stand is what one mob has in one paddock.
type Stand struct {
	Days, AtMost int           // days the feed lasts, rounded down: at the high end of intake, and at the low
	Flags        []hazard.Flag // by day: the worst over the mob's classes, to graze
}

// ClearFor returns for how many days in a row from today it is clear.
func (s *Stand) ClearFor() int {
	i := slices.IndexFunc(s.Flags, func(f hazard.Flag) bool { return f != hazard.Clear })
	if i < 0 {
		return len(s.Flags)
	}
	return i
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
	demands := map[string]forage.Demand{}
	for _, g := range today.History.Herds {
		demands[g.HerdFacts.Herd] = Demand(g)
	}
	s.mobs(today.History, demands)
	for i := range today.Paddocks {
		s.ground(today.History, &today.Paddocks[i], demands)
	}
	frost := make([]*int, len(s.Grounds))
	for m := range s.Mobs {
		row := make([]Stand, len(s.Grounds))
		alike := slices.IndexFunc(s.Mobs[:m], func(o Mob) bool { return slices.Equal(o.Classes, s.Mobs[m].Classes) })
		for q := range s.Grounds {
			row[q] = lasts(&s.Mobs[m], &s.Grounds[q])
			if alike >= 0 { // of thousands of paddocks, and as many herds, each is asked of once
				row[q].Flags = s.Stands[alike][q].Flags
			} else {
				row[q].Flags = flags(s.Grounds[q].ID, s.Mobs[m].Classes, days)
				doubt(row[q].Flags, s.Grounds[q].ID, days, &frost[q])
			}
		}
		s.Stands = append(s.Stands, row)
	}
	s.Replan()
	return s
}

// Drinks takes up what the same days answer where a mob drinks its own water in every
// paddock; sources name it. Replan takes it up.
func (s *Situation) Drinks(mob int, sources []string, days []*hazard.Assessment) {
	for q := range s.Grounds {
		st := &s.Stands[mob][q]
		with := flags(s.Grounds[q].ID, s.Mobs[mob].Classes, days)
		for d, f := range st.Flags {
			if with[d] = max(with[d], f); with[d] != f {
				s.Mobs[mob].Water = sources
			}
		}
		st.Flags = with // mobs of the same classes share the old ones
	}
}

// Nameless is stock that stands somewhere and was logged without a herd.
const Nameless = "stock nobody named"

// Demand returns what a herd eats, from its own figures or the ends of the
// published intakes of its classes.
func Demand(g *fields.Herd) forage.Demand {
	pct, low, high := ration.IntakePct(ClassesOf(g)...)
	var per *forage.Range
	if g.WeightKg != nil {
		kg := pct.PercentOf(*g.WeightKg)
		per = &kg
	}
	return forage.HerdDemand(&g.HerdFacts, per, fmt.Sprintf("from %v %% of body weight (%s, %s) to %v %% (%s, %s)",
		low.Low, low.Kind, low.Source.Publisher, high.High, high.Kind, high.Source.Publisher))
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
	for _, g := range h.Herds {
		id := g.HerdFacts.Herd
		if g.Head != nil && *g.Head == 0 {
			continue // none left
		}
		m := slices.IndexFunc(s.Mobs, func(m Mob) bool { return g.In != "" && m.In == g.In })
		if m < 0 {
			m = len(s.Mobs)
			s.Mobs = append(s.Mobs, Mob{In: g.In})
		}
		mob, d := &s.Mobs[m], demands[id]
		mob.Herds = append(mob.Herds, id)
		mob.Classes = append(mob.Classes, ClassesOf(g)...)
		slices.Sort(mob.Classes)
		mob.Classes = slices.Compact(mob.Classes)
		if d.Why != "" {
			mob.Why = cmp.Or(mob.Why, d.Why)
			continue
		}
		mob.Head += d.Head
		mob.PerDay.Low += d.PerDay.Low
		mob.PerDay.High += d.PerDay.High
		mob.How = append(mob.How, d.How)
	}
}

func (s *Situation) ground(h *fields.History, p *hazard.PaddockAnswer, demands map[string]forage.Demand) {
	g := Ground{ID: p.Paddock.ID}
	feed := forage.StandingFeed(h, g.ID, func(herd string) forage.Demand {
		if d, ok := demands[herd]; ok {
			return d
		}
		return forage.Demand{Why: fmt.Sprintf("the herd %q is not set up", herd)}
	})
	g.UsableKg, g.Why = feed.Usable(s.Set, p.Stand.LastHeight)
	for _, stay := range p.Inside {
		if !slices.ContainsFunc(s.Mobs, func(m Mob) bool { return m.Known() && slices.Contains(m.Herds, stay.Herd) }) {
			g.Taken = cmp.Or(stay.Herd, Nameless)
		}
	}
	s.Grounds = append(s.Grounds, g)
}

// lasts is what a mob has in a ground, without its flags.
func lasts(m *Mob, g *Ground) (st Stand) {
	if m.Known() && g.Why == "" {
		st.Days, st.AtMost = whole(g.UsableKg/m.PerDay.High), whole(g.UsableKg/m.PerDay.Low)
	}
	return st
}

// flags are the worst answers for standing in a paddock over the classes, by day.
func flags(id string, classes []hazard.Class, days []*hazard.Assessment) []hazard.Flag {
	out := make([]hazard.Flag, len(days))
	for d, a := range days {
		out[d] = hazard.Hold // a paddock that does not stand that day is none to go to
		if p := a.Paddock(id); p != nil {
			out[d] = Worst(p, classes)
		}
	}
	return out
}

// doubt keeps a paddock out of the plan from the day on which a frost is forecast for it:
// the days after it answer as if none came (§4.8), and a plan must not rest on that.
// Frost is the day, once it was asked for.
func doubt(flags []hazard.Flag, id string, days []*hazard.Assessment, frost **int) {
	if slices.Min(flags) >= hazard.Caution {
		return
	}
	if *frost == nil {
		d, _ := FrostForecast(id, days)
		*frost = &d
	}
	for d := **frost; d >= 0 && d < len(flags); d++ {
		flags[d] = max(flags[d], hazard.Caution)
	}
}

// FrostForecast is the first of some days, the first today's, on which a forecast speaks
// against grazing a paddock, and the night it is of; -1 if there is none.
func FrostForecast(id string, days []*hazard.Assessment) (day int, night fields.Date) {
	last, known := fields.NoDate, days[len(days)-1].History.Facts
	for i := len(known) - 1; i >= 0 && known[i].Date >= days[0].History.On; i-- { // a forecast is dated by its night
		if known[i].Kind() == fields.KindForecast {
			last = max(last, known[i].Date)
		}
	}
	for d, a := range days {
		if a.History.On > last {
			break
		}
		p, _ := hazard.AssessPaddock(a.History, a.Book, id, hazard.Graze)
		for i := range p.Verdicts {
			for _, r := range p.Verdicts[i].Hazards[hazard.PrussicAcid].Reasons {
				if r.Line == hazard.LineForecastHold || r.Line == hazard.LineForecastCaution {
					return d, r.On
				}
			}
		}
	}
	return -1, fields.NoDate
}

// Worst is the worst answer for standing in a paddock over the classes: to graze it,
// and to graze the swath where one lies. What is not known is a hold.
func Worst(p *hazard.PaddockAnswer, classes []hazard.Class) hazard.Flag {
	worst := hazard.Clear
	for _, c := range classes {
		v, swath := p.Verdict(hazard.Graze, c), p.Verdict(hazard.SwathGraze, c)
		if v == nil || v.Flag == hazard.Unknown || swath == nil {
			return hazard.Hold
		}
		worst = max(worst, v.Flag)
		if !swath.CannotBe() {
			worst = max(worst, swath.Flag)
		}
	}
	return worst
}

// whole rounds down; a hair under a whole number from the last bits counts as that
// number.
func whole(v float64) int {
	if !(v > 0) {
		return 0
	}
	return int(math.Min(math.Floor(v*(1+1e-12)), 1e6))
}

// Replan works the plans out anew, without the days closed since.
func (s *Situation) Replan() {
	s.Plan = s.best(func(st *Stand) int { return st.Days })
	s.Low = s.best(func(st *Stand) int { return st.AtMost })
}

// Close takes a paddock away from a mob on one day of the plan: played through,
// it was not clear.
func (s *Situation) Close(mob, day, ground int) { s.closed[[3]int{mob, day, ground}] = true }

// Refuge is where a mob that must leave its ground today goes: of the grounds that are
// clear for it and free, the one with the most feed; else one whose feed nobody
// measured, else one without a day's feed, in order of name. Nowhere if there is none
// that is not ruled out.
func (s *Situation) Refuge(mob int, out func(ground int) bool) int {
	m := &s.Mobs[mob]
	rank := func(q int) int {
		switch g := &s.Grounds[q]; {
		case g.Why == "" && s.Stands[mob][q].Days > 0:
			return 0
		case g.Why != "" || !m.Known():
			return 1
		}
		return 2
	}
	var free []int
	for q, g := range s.Grounds {
		here := slices.ContainsFunc(s.Mobs, func(m Mob) bool { return m.In == g.ID })
		if s.Stands[mob][q].Flags[0] == hazard.Clear && g.Taken == "" && !here {
			free = append(free, q)
		}
	}
	slices.SortStableFunc(free, func(a, b int) int {
		most := 0
		if rank(a) == 0 {
			most = cmp.Compare(s.Grounds[b].UsableKg, s.Grounds[a].UsableKg)
		}
		return cmp.Or(cmp.Compare(rank(a), rank(b)), most)
	})
	for _, q := range free {
		if !out(q) {
			return q
		}
	}
	return Nowhere
}

// Send keeps a ground for a mob, and the mob to it on the first day of the plan;
// Replan takes it up.
func (s *Situation) Send(mob, ground int) {
	for q := range s.Grounds {
		if q != ground {
			s.Close(mob, 0, q)
		}
	}
	for m := range s.Mobs {
		for d := range s.Days {
			if m != mob {
				s.Close(m, d, ground)
			}
		}
	}
}

func (s *Situation) best(lasts func(*Stand) int) Plan {
	var mobs []int // those that take part
	p := &Problem{Days: len(s.Days), Paddocks: len(s.Grounds)}
	p.Open = func(h, d, q int) bool {
		m := mobs[h]
		return s.Grounds[q].Taken == "" && s.Stands[m][q].Flags[d] == hazard.Clear && !s.closed[[3]int{m, d, q}]
	}
	for m := range s.Mobs {
		if !s.Mobs[m].Known() {
			continue
		}
		row := make([]int, len(s.Grounds))
		for q := range s.Grounds {
			row[q] = lasts(&s.Stands[m][q])
		}
		in := slices.IndexFunc(s.Grounds, func(g Ground) bool { return g.ID == s.Mobs[m].In }) // or Nowhere
		mobs, p.Lasts, p.In = append(mobs, m), append(p.Lasts, row), append(p.In, in)
	}
	out := Best(p, DefaultLimit)
	place := make([][]int, len(s.Mobs))
	for i, m := range mobs {
		place[m] = out.Place[i]
	}
	out.Place = place
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
	HeadDays, AtMost map[hazard.Flag]int // at the high and at the low end of intake, rounded down
	Unknown          []int               // grounds whose feed nobody measured
}

// FeedOf sums the feed of the farm by today's flag for the mob. Where another
// mob stands is counted too: it is the farm's feed, not a promise.
func (s *Situation) FeedOf(mob int) Feed {
	f := Feed{HeadDays: map[hazard.Flag]int{}, AtMost: map[hazard.Flag]int{}}
	m, behind := &s.Mobs[mob], map[hazard.Flag]float64{}
	for q := range s.Grounds {
		if g := &s.Grounds[q]; g.Why != "" {
			f.Unknown = append(f.Unknown, q)
		} else {
			behind[s.Stands[mob][q].Flags[0]] += g.UsableKg
		}
	}
	for flag, kg := range behind {
		if m.Known() && m.Head > 0 {
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
