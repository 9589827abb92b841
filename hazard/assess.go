package hazard

import (
	"slices"
	"time"

	"rimegate/fields"
)

// Assess answers for every standing paddock and every lot of the history, for
// all uses and classes, on the history's day and at its moment. A history
// without a moment is asked at the end of its day.
func Assess(h *fields.History, book *Rulebook) *Assessment {
	a := &Assessment{History: h, Book: book, Notices: notices(h, book)}
	moment := Moment(h)
	for _, p := range h.Standing() {
		a.Paddocks = append(a.Paddocks, assessPaddock(h, book, moment, p))
	}
	drinks := lotSources(h)
	stores := make([]*store, 0)
	for _, id := range h.Lots() {
		stores = append(stores, newStore(h, book, moment, id))
		stores[len(stores)-1].drinks = drinks
	}
	for _, s := range stores {
		a.Lots = append(a.Lots, assessLot(s, stores))
	}
	for i := range a.Paddocks {
		a.Data = oldest(a.Data, a.Paddocks[i].Data, i == 0)
	}
	return a
}

// AssessPaddock answers for one paddock; the rest of the farm is not looked at.
func AssessPaddock(h *fields.History, book *Rulebook, id string) (PaddockAnswer, bool) {
	p := h.Paddock(id)
	if p == nil {
		return PaddockAnswer{}, false
	}
	return assessPaddock(h, book, Moment(h), p), true
}

// Moment is the instant at which the history is asked.
func Moment(h *fields.History) time.Time {
	if h.KnownAt.IsZero() {
		return h.On.At(23, 59, h.Loc)
	}
	return h.KnownAt
}

func oldest(a, b DataThrough, first bool) DataThrough {
	if first {
		return b
	}
	return DataThrough{min(a.Night, b.Night), min(a.Walk, b.Walk), min(a.Lab, b.Lab)}
}

func assessPaddock(h *fields.History, book *Rulebook, moment time.Time, p *fields.Paddock) PaddockAnswer {
	var grounds []*ground
	for _, line := range h.Lines(p.ID) {
		grounds = append(grounds, newGround(h, book, moment, line, h.On))
	}
	out := PaddockAnswer{Paddock: p}
	var bloat fields.Date
	for i, g := range grounds {
		for _, s := range g.stays {
			if s.Out == fields.NoDate && !slices.ContainsFunc(out.Inside, func(o fields.Stay) bool { return o.Herd == s.Herd && o.InID == s.InID }) {
				out.Inside = append(out.Inside, s)
			}
		}
		for _, n := range g.listed() {
			if !in(out.Species, n) {
				out.Species = append(out.Species, n)
			}
		}
		bloat = max(bloat, g.bloatAfter())
		out.Data = oldest(out.Data, g.dataThrough(), i == 0)
	}
	out.Stand = grounds[0].state()
	for _, g := range grounds {
		for _, f := range g.walks {
			if g.green(f.Body.(*fields.Walk)) {
				out.Stand.Green = max(out.Stand.Green, f.Date)
			}
		}
	}
	for _, u := range PaddockUses {
		per := make([]lineAnswers, len(grounds))
		for i, g := range grounds {
			if u == SwathGraze {
				g = g.swathGround()
			}
			per[i] = lineAnswers{g, g.prussicFor(u), g.nitrateFor(u)}
		}
		for _, c := range Classes {
			v := verdictOf(u, c, per)
			if u == Graze || u == GreenChop {
				v.Bloat = bloat
			}
			out.Verdicts = append(out.Verdicts, v)
		}
	}
	return out
}

// lineAnswers are the answers of one line of land for one use, as far as they
// do not depend on the class.
type lineAnswers struct {
	g       *ground
	prussic []Reason
	nitrate func(Class) ([]Reason, float64)
}

func verdictOf(u Use, c Class, per []lineAnswers) Verdict {
	v := Verdict{Use: u, Class: c}
	for i := range v.Hazards {
		v.Hazards[i] = HazardAnswer{Hazard: Hazard(i), MaxShare: -1}
	}
	for _, l := range per {
		vet, soft := l.g.veterinary(u, c)
		prussic := l.prussic
		if c == Horses && u != CutHay && u != CutSilage {
			prussic = withWorse(prussic, l.g.horseLine())
		}
		nitrate, share := l.nitrate(c)
		add(&v.Hazards[PrussicAcid], soften(prussic, soft))
		add(&v.Hazards[Nitrate], soften(nitrate, soft))
		add(&v.Hazards[Veterinary], vet)
		if share >= 0 && (v.Hazards[Nitrate].MaxShare < 0 || share < v.Hazards[Nitrate].MaxShare) {
			v.Hazards[Nitrate].MaxShare = share
		}
	}
	v.close()
	return v
}

// withWorse adds answers; a clear answer does not stand beside a worse one.
func withWorse(rs, more []Reason) []Reason {
	if len(more) == 0 {
		return rs
	}
	out := make([]Reason, 0, len(rs)+len(more))
	for _, r := range rs {
		if r.Flag != Clear {
			out = append(out, r)
		}
	}
	return append(out, more...)
}

// add takes the answers of one line of land into a hazard's answer.
func add(a *HazardAnswer, rs []Reason) {
	for _, r := range rs {
		dup := false
		for i := range a.Reasons {
			o := &a.Reasons[i]
			if o.Line == r.Line && o.Flag == r.Flag && o.Through == r.Through && o.On == r.On && o.Species == r.Species && slices.Equal(o.Entries, r.Entries) {
				dup = true
			}
		}
		if !dup {
			a.Reasons = append(a.Reasons, r)
		}
	}
}

// close derives flags, through-dates and needs from the reasons: the worst of
// the answers holds, and of the holds the latest.
func (v *Verdict) close() {
	for i := range v.Hazards {
		h := &v.Hazards[i]
		for _, r := range h.Reasons {
			if r.Flag == Unknown {
				panic("hazard: an answer that was never decided")
			}
			h.Flag = max(h.Flag, r.Flag)
			if r.Flag == Hold {
				h.Through = max(h.Through, r.Through)
			}
		}
		if h.Hazard == Nitrate && h.Flag == Hold {
			h.MaxShare = 0 // a hold allows no share
		}
		if h.Flag > Clear { // what is clear is no reason for worse
			h.Reasons = slices.DeleteFunc(h.Reasons, func(r Reason) bool { return r.Flag == Clear })
		}
		slices.SortStableFunc(h.Reasons, func(a, b Reason) int {
			if a.Flag != b.Flag {
				return int(b.Flag) - int(a.Flag)
			}
			switch {
			case a.Through > b.Through:
				return -1
			case a.Through < b.Through:
				return 1
			}
			return 0
		})
		v.Flag = max(v.Flag, h.Flag)
		if h.Flag == Hold {
			v.Through = max(v.Through, h.Through)
		}
	}
	for i := range v.Hazards {
		for _, r := range v.Hazards[i].Reasons {
			if r.Flag == v.Flag {
				v.Need = max(v.Need, r.Need)
			}
		}
	}
}

func (g *ground) state() StandState {
	s := StandState{
		Start: g.stand.start, Unlisted: g.stand.unlisted, Dead: g.kill.confirmed, Base: g.kill.base,
		LastClock: g.clock.last, ClockEnd: g.clock.end(g.book.Days(FrostWait)), MinHeight: g.stand.minHeight, HasP: g.stand.hasP(),
	}
	if m, ok := g.lastMeasured(g.lastReset(), g.x); ok {
		s.LastHeight, s.HeightOn = m.cm, m.date
	}
	return s
}

// bloatAfter is the last frost of the days after which frosted alfalfa and clover
// bloat, where they stand.
func (g *ground) bloatAfter() fields.Date {
	if g.stand.any(func(p *plant) bool { return p.row != nil && p.row.Bloat }) == nil {
		return fields.NoDate
	}
	for d := g.x; d >= g.x.Add(-g.book.Days(BloatAfterFrost)); d-- {
		if g.isTrigger(d) {
			return d
		}
	}
	return fields.NoDate
}

// dataThrough says how far the evidence of this line reaches.
func (g *ground) dataThrough() DataThrough {
	var d DataThrough
	for n := g.x; n >= g.nightsFrom; n-- {
		if at := g.at(n); at.trigger || at.covered {
			d.Night = n
			break
		}
	}
	for _, fs := range [][]fields.Fact{g.walks, g.swathWalk} {
		for _, f := range fs {
			d.Walk = max(d.Walk, f.Date)
		}
	}
	for _, f := range g.labs {
		d.Lab = max(d.Lab, f.Date)
	}
	return d
}

func assessLot(s *store, all []*store) LotAnswer {
	out := LotAnswer{Lot: s.id, Facts: s.facts}
	out.Suspect, out.ByFrostAlone = s.suspicion.Line != LineNone, s.byFrost
	for i, g := range s.ground {
		if g.x == s.facts.MadeOn {
			out.Data = oldest(out.Data, g.dataThrough(), i == 0)
		}
	}
	out.Data.Lab = fields.NoDate
	for _, l := range s.labs {
		out.Data.Lab = max(out.Data.Lab, l.Date)
	}
	if s.facts.LotKind == "silage" || s.facts.LotKind == "baleage" {
		if through := s.facts.MadeOn.Add(SiloGasDays); s.x <= through {
			out.SiloGasThrough = through
		}
	}
	prussic := s.prussic()
	for _, c := range Classes {
		v := Verdict{Use: Feed, Class: c}
		for i := range v.Hazards {
			v.Hazards[i] = HazardAnswer{Hazard: Hazard(i), MaxShare: -1}
		}
		p := prussic
		if c == Horses {
			p = withWorse(p, s.horses())
		}
		nitrate, share := s.nitrate(c)
		vet, soft := s.veterinary(c, all)
		add(&v.Hazards[PrussicAcid], soften(p, soft))
		add(&v.Hazards[Nitrate], soften(nitrate, soft))
		add(&v.Hazards[Veterinary], vet)
		v.Hazards[Nitrate].MaxShare = share
		v.close()
		v.FeedFrom = s.facts.MadeOn
		if s.hasP() {
			v.FeedFrom = s.facts.MadeOn.Add(s.cureDays() + 1)
		}
		out.Verdicts = append(out.Verdicts, v)
	}
	return out
}

// SiloGasDays is how long silo gas (nitrogen dioxide) endangers people after
// ensiling: three weeks, the span safety notices give (common practice, no
// source read).
const SiloGasDays = 21

// veterinary answers for the lot: its own incidents and those of every lot of
// the same paddocks and cut date. A may-graze of a sister lot frees that one
// only.
func (s *store) veterinary(c Class, all []*store) ([]Reason, []mayGraze) {
	incidents := append([]fields.Fact{}, s.inc...)
	of := map[string]string{}
	for _, o := range all {
		if o == s || !sameFeed(s, o) {
			continue
		}
		for _, f := range o.inc {
			incidents = append(incidents, f)
			of[f.ID] = o.id
		}
	}
	rs, soft := vetAnswer(incidents, s.vets, Feed, c, s.x, func(from fields.Date) bool { return s.endsMayGraze(from, c, incidents) })
	for i := range rs {
		if rs[i].Line == LineIncident && of[rs[i].Entries[0]] != "" {
			rs[i].Line, rs[i].Lot = LineLotIncident, of[rs[i].Entries[0]]
		}
	}
	return rs, soft
}

func (s *store) endsMayGraze(from fields.Date, c Class, incidents []fields.Fact) bool {
	for _, f := range incidents {
		if f.Date >= from {
			return true
		}
	}
	for _, f := range s.labs {
		l := f.Body.(*fields.Lab)
		if f.Date < from {
			continue
		}
		if l.Analyte == "hcn" {
			if flag, _ := s.book.hcnFlag(l); flag != Clear || screening(l) {
				return true
			}
		} else if s.book.labAnswer(l, c, 0).Flag != Clear {
			return true
		}
	}
	for _, f := range s.vets {
		b := f.Body.(*fields.Vet)
		if f.Date >= from && b.Advice == "keep-off" && vetSpeaksOf(b, Feed, c) {
			return true
		}
	}
	return false
}
