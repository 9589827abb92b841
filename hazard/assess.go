package hazard

import (
	"cmp"
	"runtime"
	"slices"
	"time"

	"rimegate/fields"
)

// Assess answers for every standing paddock and every lot of the history that is not
// used up, for all uses and classes, on the history's day and at its moment. A history
// without a moment is asked at the end of its day.
func Assess(h *fields.History, book *Rulebook) *Assessment {
	return assess(newTeam(h, book, h.Standing(), nil), h.LotsLeft(), PaddockUses, Classes)
}

// Naming is the assessment with the answers for lots that are asked about by name, which
// may be used up (§11.11).
func (a *Assessment) Naming(ids ...string) *Assessment {
	b := *a
	for _, id := range ids {
		if slices.ContainsFunc(b.Lots, func(l LotAnswer) bool { return l.Lot == id }) {
			continue
		}
		if l, ok := AssessLot(a.History, a.Book, id); ok {
			b.Lots = append(b.Lots[:len(b.Lots):len(b.Lots)], l)
		}
		if f, gone := a.History.UsedUp(id); gone {
			b.Notices = append(b.Notices[:len(b.Notices):len(b.Notices)],
				Notice{Kind: NoticeUsedUp, Lot: id, Entry: f.ID, By: f.Signer(), Because: f.Note, On: f.Date})
		}
	}
	return &b
}

// Asked is a history with the rules that hold on its day.
type Asked struct {
	*fields.History
	Book *Rulebook
}

// AssessDays answers as Assess does, on several days in order, for some uses of the paddocks
// and classes and for no lot; how far their evidence reaches and the reasons are left out.
func AssessDays(days []Asked, uses []Use, classes []Class) []*Assessment {
	out := make([]*Assessment, len(days))
	var t *team
	for i, d := range days {
		t = newTeam(d.History, d.Book, d.History.Standing(), t)
		out[i] = assess(t, nil, uses, classes)
		for _, p := range out[i].Paddocks {
			for j := range p.Verdicts {
				v := &p.Verdicts[j]
				v.cannotBe = v.CannotBe()
				for k := range v.Hazards {
					v.Hazards[k].Reasons = nil
				}
			}
		}
	}
	return out
}

// Paddock is the answer for a paddock, nil if it does not stand.
func (a *Assessment) Paddock(id string) *PaddockAnswer {
	i, _ := slices.BinarySearchFunc(a.Paddocks, id, func(p PaddockAnswer, id string) int {
		return fields.CompareNames(p.Paddock.ID, id)
	})
	if i < len(a.Paddocks) && a.Paddocks[i].Paddock.ID == id {
		return &a.Paddocks[i]
	}
	return nil
}

// Asker answers for one paddock as AssessPaddock does, for some classes, again and again on
// any days and with what is supposed. One goroutine asks it.
type Asker struct {
	Classes []Class
	last    *reader
}

// Assess is AssessPaddock for some uses.
func (k *Asker) Assess(h *fields.History, book *Rulebook, id string, uses ...Use) (PaddockAnswer, bool) {
	p := h.Paddock(id)
	if p == nil {
		return PaddockAnswer{}, false
	}
	k.last = newReader(h, book, k.last)
	return k.last.assess(p, uses, k.Classes), true
}

func assess(t *team, ids []string, uses []Use, classes []Class) *Assessment {
	h, standing, drinks := t.h, t.standing, lotSources(t.h)
	a := &Assessment{
		History: h, Book: t.book, Notices: notices(h, t.book),
		Paddocks: make([]PaddockAnswer, len(standing)), Lots: make([]LotAnswer, len(ids)),
	}
	t.each(len(standing), func(i int) string { return standing[i].ID }, func(r *reader, i int) {
		a.Paddocks[i] = r.assess(standing[i], uses, classes)
	})
	var sick []*lot
	if len(ids) > 0 {
		sick = sickLots(h)
	}
	origin := func(i int) string { return cmp.Or(append(h.LotOf(ids[i]).From, "")...) }
	t.each(len(ids), origin, func(r *reader, i int) { a.Lots[i] = r.lot(ids[i], drinks).assess(sick) })
	for i := range a.Paddocks {
		a.Data = oldest(a.Data, a.Paddocks[i].Data, i == 0)
	}
	return a
}

// turn is how many paddocks EachPaddock holds the answers of at a time, for each processor.
const turn = leastShare

// EachPaddock answers as Assess does for the standing paddocks whose id is wanted, and
// holds few of the answers at a time. Render is given the assessment without any paddock's or
// lot's answer but that one, on any processor; take gets what it made of them in order of
// id, and ends it all with its error.
func EachPaddock[T any](h *fields.History, book *Rulebook, wanted func(id string) bool,
	render func(*Assessment) T, take func(T) error,
) error {
	whole := Assessment{History: h, Book: book, Notices: notices(h, book)}
	standing, n := h.Standing(), 0
	err := inTurns(h, book, standing, func(r *reader, p *fields.Paddock) DataThrough { return r.dataThrough(p) },
		func(d DataThrough) error {
			whole.Data = oldest(whole.Data, d, n == 0)
			n++
			return nil
		})
	if err != nil {
		return err
	}
	standing = slices.DeleteFunc(slices.Clone(standing), func(p *fields.Paddock) bool { return !wanted(p.ID) })
	return inTurns(h, book, standing, func(r *reader, p *fields.Paddock) T {
		one := whole
		one.Paddocks = []PaddockAnswer{r.assess(p, PaddockUses, Classes)}
		return render(&one)
	}, take)
}

// inTurns does something with each paddock on all processors, and gives what comes of it
// on in order. What was read of a paddock is forgotten with its turn.
func inTurns[T any](h *fields.History, book *Rulebook, ps []*fields.Paddock,
	do func(*reader, *fields.Paddock) T, take func(T) error,
) error {
	for ps := range slices.Chunk(ps, turn*runtime.GOMAXPROCS(0)) {
		out := make([]T, len(ps))
		newTeam(h, book, ps, nil).each(len(ps), func(i int) string { return ps[i].ID }, func(r *reader, i int) {
			out[i] = do(r, ps[i])
		})
		for _, x := range out {
			if err := take(x); err != nil {
				return err
			}
		}
	}
	return nil
}

// AssessPaddock answers for one paddock, for all uses or, without how far its evidence
// reaches, for some; the rest of the farm is not looked at.
func AssessPaddock(h *fields.History, book *Rulebook, id string, uses ...Use) (PaddockAnswer, bool) {
	if len(uses) == 0 {
		uses = PaddockUses
	}
	return (&Asker{Classes: Classes}).Assess(h, book, id, uses...)
}

// AssessLot answers for one lot, used up or not. Of the rest of the farm only the lots on
// which something fell sick are looked at.
func AssessLot(h *fields.History, book *Rulebook, id string) (LotAnswer, bool) {
	if h.LotOf(id).Lot == "" {
		return LotAnswer{}, false
	}
	return newReader(h, book, nil).lot(id, lotSources(h)).assess(sickLots(h)), true
}

// sickLots are the lots with an incident, used up or not: it bears on others of the same
// paddocks and cut day (§11.9), for which no more of them need be read than that day.
func sickLots(h *fields.History) (lots []*lot) {
	for _, id := range h.Lots() {
		if s := (&lot{reader: &reader{h: h}, Lot: h.LotOf(id)}); len(s.Incidents) > 0 {
			s.cut = s.cutDay()
			lots = append(lots, s)
		}
	}
	return lots
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

func (r *reader) assess(p *fields.Paddock, uses []Use, classes []Class) PaddockAnswer {
	var grounds []*ground
	for _, line := range r.h.Lines(p.ID) {
		grounds = append(grounds, r.on(line, r.h.On))
	}
	out := PaddockAnswer{Paddock: p}
	var bloat fields.Date
	for _, g := range grounds {
		for _, s := range g.stays {
			if s.Out == fields.NoDate &&
				!slices.ContainsFunc(out.Inside, func(o fields.Stay) bool { return o.Herd == s.Herd && o.InID == s.InID }) {
				out.Inside = append(out.Inside, s)
			}
		}
		out.Species = unite(out.Species, g.stand.names())
		bloat = max(bloat, g.bloatAfter())
	}
	if len(uses) == len(PaddockUses) {
		out.Data = r.dataThrough(p)
	}
	out.Stand = grounds[0].state()
	out.Verdicts = make([]Verdict, 0, len(uses)*len(classes))
	for _, u := range uses {
		per := make([]lineAnswers, len(grounds))
		for i, g := range grounds {
			if u == SwathGraze {
				g = g.swathGround()
			}
			per[i] = lineAnswers{g, g.prussicFor(u), g.nitrateFor(u)}
		}
		first := len(out.Verdicts)
		for _, c := range classes {
			alike := slices.IndexFunc(out.Verdicts[first:], func(v Verdict) bool { return r.as[v.Class] == r.as[c] })
			if alike >= 0 && !classesDiffer(per) {
				v := out.Verdicts[first+alike]
				v.Class = c
				out.Verdicts = append(out.Verdicts, v)
				continue
			}
			v := verdictOf(u, c, per)
			if u == Graze || u == GreenChop {
				v.Bloat = bloat
			}
			out.Verdicts = append(out.Verdicts, v)
		}
	}
	if r.book.Later != nil {
		last(out.Verdicts, newReader(r.h, r.book.Later, nil).assess(p, uses, classes).Verdicts, r.book.LaterFrom)
	}
	return out
}

// last has holds that run on when the farm's own shorter wait is over, from a day on, end as
// they do then (§13.5).
func last(now, later []Verdict, from fields.Date) {
	for i := range now {
		v := &now[i]
		for j := range v.Hazards {
			h, then := &v.Hazards[j], &later[i].Hazards[j]
			if h.Flag == Hold && then.Flag == Hold && h.Through >= from-1 && then.Through > h.Through {
				*h = *then
			}
		}
		v.close()
		if v.FeedFrom >= from {
			v.FeedFrom = max(v.FeedFrom, later[i].FeedFrom)
		}
	}
}

// asClass is the place in Classes of the first class that is judged as c is (§2.3), its own
// where the tables have other rows for it.
func (b *Rulebook) asClass(c Class) int {
	return slices.IndexFunc(Classes, func(o Class) bool {
		return o == c || c != Horses && o != Horses && tender(o) == tender(c) &&
			!slices.ContainsFunc(b.Tables, func(t NitrateTableData) bool { return !slices.Equal(t.Rows[o], t.Rows[c]) })
	})
}

// classesDiffer reports lines of land of which something speaks that knows of single classes.
func classesDiffer(per []lineAnswers) bool {
	return slices.ContainsFunc(per, func(l lineAnswers) bool { return len(l.g.Incidents)+len(l.g.Vets)+len(l.g.sources()) > 0 })
}

// lineAnswers are the answers of one line of land for one use, as far as they
// do not depend on the class.
type lineAnswers struct {
	g       *ground
	prussic []Reason
	nitrate func(Class) ([]Reason, float64)
}

func verdictOf(u Use, c Class, per []lineAnswers) Verdict {
	v := newVerdict(u, c)
	for _, l := range per {
		g := l.g
		vet, soft := veterinary(g.Incidents, g.Vets, u, c, g.x, func(from fields.Date) bool { return g.endsMayGraze(from, u, c) })
		prussic := l.prussic
		if c == Horses && u != CutHay && u != CutSilage {
			prussic = withWorse(prussic, g.stand.horseLine())
		}
		nitrate, share := l.nitrate(c)
		v.add(prussic, nitrate, vet, soft, share)
	}
	v.close()
	return v
}

func newVerdict(u Use, c Class) Verdict {
	v := Verdict{Use: u, Class: c}
	for i := range v.Hazards {
		v.Hazards[i] = HazardAnswer{Hazard: Hazard(i), MaxShare: -1}
	}
	return v
}

// add takes the answers of one line of land, or of a lot, into the verdict.
func (v *Verdict) add(prussic, nitrate, vet []Reason, soft []mayGraze, share float64) {
	v.Hazards[PrussicAcid].add(soften(prussic, soft))
	v.Hazards[Nitrate].add(soften(nitrate, soft))
	v.Hazards[Veterinary].add(vet)
	if n := &v.Hazards[Nitrate]; share >= 0 && (n.MaxShare < 0 || share < n.MaxShare) {
		n.MaxShare = share
	}
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

// add takes answers in, each once. The first may be shared with other classes: close copies
// what it changes.
func (a *HazardAnswer) add(rs []Reason) {
	if len(a.Reasons) == 0 {
		n := 0
		for n < len(rs) && !says(rs[:n], &rs[n]) {
			n++
		}
		a.Reasons, rs = rs[:n:n], rs[n:]
	}
	for i := range rs {
		if !says(a.Reasons, &rs[i]) {
			a.Reasons = append(a.Reasons, rs[i])
		}
	}
}

func says(rs []Reason, r *Reason) bool {
	for i := range rs {
		o := &rs[i]
		if o.Line == r.Line && o.Flag == r.Flag && o.Through == r.Through && o.On == r.On && o.Species == r.Species &&
			slices.Equal(o.Entries, r.Entries) {
			return true
		}
	}
	return false
}

// close derives flags, through-dates and needs from the reasons: the worst of
// the answers holds, and of the holds the latest.
func (v *Verdict) close() {
	for i := range v.Hazards {
		h := &v.Hazards[i]
		for j := range h.Reasons {
			r := &h.Reasons[j]
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
		h.Reasons = worstFirst(h.Reasons, h.Flag)
		v.Flag = max(v.Flag, h.Flag)
		if h.Flag == Hold {
			v.Through = max(v.Through, h.Through)
		}
	}
	for i := range v.Hazards {
		for j := range v.Hazards[i].Reasons {
			if r := &v.Hazards[i].Reasons[j]; r.Flag == v.Flag {
				v.Need = max(v.Need, r.Need)
			}
		}
	}
}

// worstFirst puts the reasons of a flag in order, without the clear ones of a worse flag:
// what is clear is no reason for worse. The list it is given may be another answer's too.
func worstFirst(rs []Reason, flag Flag) []Reason {
	behind := func(a, b *Reason) int {
		return cmp.Or(cmp.Compare(b.Flag, a.Flag), cmp.Compare(b.Through, a.Through))
	}
	sound := true
	for i := range rs {
		sound = sound && (flag == Clear || rs[i].Flag != Clear) && (i == 0 || behind(&rs[i-1], &rs[i]) <= 0)
	}
	if sound {
		return rs
	}
	rs = slices.DeleteFunc(slices.Clone(rs), func(r Reason) bool { return flag > Clear && r.Flag == Clear })
	slices.SortStableFunc(rs, func(a, b Reason) int { return behind(&a, &b) })
	return rs
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
// bloat, where they stand (§9.15).
func (g *ground) bloatAfter() fields.Date {
	if g.stand.any(func(p *plant) bool { return p.row != nil && p.row.Bloat }) == nil {
		return fields.NoDate
	}
	return g.lastTrigger(g.x.Add(-g.book.Days(BloatAfterFrost)), g.x)
}

// dataThrough says how far the evidence of all lines of a paddock reaches.
func (r *reader) dataThrough(p *fields.Paddock) (d DataThrough) {
	for i, line := range r.h.Lines(p.ID) {
		d = oldest(d, r.on(line, r.h.On).dataThrough(), i == 0)
	}
	return d
}

// dataThrough says how far the evidence of this line reaches.
func (g *ground) dataThrough() DataThrough {
	var d DataThrough
	for n := g.x; n >= g.nightsFrom; n-- {
		if at := g.at(n); at.Trigger || at.Covered {
			d.Night = n
			break
		}
	}
	d.Walk, d.Lab = max(lastDate(g.Walks), lastDate(g.SwathWalks)), lastDate(g.Labs)
	return d
}

func (s *lot) assess(sick []*lot) LotAnswer {
	out := LotAnswer{Lot: s.Lot.Lot, Facts: s.LotFacts, Suspect: s.suspicion.Line != LineNone, ByFrostAlone: s.byFrost}
	for i, o := range s.origins {
		out.Data = oldest(out.Data, o.made.dataThrough(), i == 0)
	}
	out.Data.Lab = lastDate(s.Labs)
	if s.LotKind == fields.LotSilage || s.LotKind == fields.LotBaleage {
		if through := s.MadeOn.Add(SiloGasDays); s.x <= through {
			out.SiloGasThrough = through
		}
	}
	prussic := s.prussic()
	for _, c := range Classes {
		v := newVerdict(Feed, c)
		p := prussic
		if c == Horses {
			p = withWorse(p, s.horses())
		}
		nitrate, share := s.nitrate(c)
		vet, soft := s.veterinary(c, sick)
		v.add(p, nitrate, vet, soft, share)
		v.close()
		v.FeedFrom = s.MadeOn
		if s.hasP() {
			_, days := s.cure()
			v.FeedFrom = s.MadeOn.Add(days + 1)
		}
		out.Verdicts = append(out.Verdicts, v)
	}
	if s.book.Later != nil {
		last(out.Verdicts, newReader(s.h, s.book.Later, nil).lot(s.Lot.Lot, s.drinks).assess(sick).Verdicts, s.book.LaterFrom)
	}
	return out
}

// SiloGasDays is how long silo gas (nitrogen dioxide) endangers people after
// ensiling (§11.10): three weeks, the span safety notices give (common practice, no
// source read).
const SiloGasDays = 21
