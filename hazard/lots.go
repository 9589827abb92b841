package hazard

import (
	"math"
	"slices"

	"rimegate/fields"
)

// lot is one lot of stored feed on the day asked.
type lot struct {
	*reader
	fields.Lot // as described, with what was said of it
	x          fields.Date
	cut        fields.Date
	origins    []origin
	holds      plants
	unsaid     bool // species unknown or not said
	unknown    bool // of unknown origin
	drinks     []source
	suspicion  Suspicion
	byFrost    bool // suspect by frost alone: tall growth that met nothing else
}

// origin is one line of a paddock a lot came from, read for the day it was made and for
// the day it was cut, the same where that is no earlier.
type origin struct{ made, cut *ground }

// crop is an origin's ground as read for one of these days, with the start of the stand
// that was cut as that day tells it.
type crop struct {
	*ground
	of    *origin
	began fields.Date
}

// crops are the grounds of all origins, each once.
func (s *lot) crops() (out []crop) {
	for i := range s.origins {
		o := &s.origins[i]
		out = append(out, crop{o.made, o, min(o.made.stand.start, o.cut.stand.start)})
		if o.cut != o.made {
			out = append(out, crop{o.cut, o, o.cut.stand.start})
		}
	}
	return out
}

// lot reads a lot (§11.1): what stood on the cut day and on the day made, and what it
// is said to hold.
func (r *reader) lot(id string, drinks []source) *lot {
	h := r.h
	s := &lot{reader: r, Lot: h.LotOf(id), x: h.On, drinks: drinks}
	s.Bales = s.MostBales
	s.cut = s.cutDay()
	s.unknown = len(s.From) == 0 || s.LotKind == fields.LotBought
	add := func(p plant) {
		if !s.holds.have(p.name) {
			s.holds = append(s.holds, p)
		}
	}
	for _, p := range s.From {
		s.unknown = s.unknown || h.Paddock(p) == nil
	}
	for _, line := range s.land() {
		made := r.on(line, s.MadeOn)
		o := origin{made, made}
		if s.cut < s.MadeOn { // what was cut is the stand of the cut day
			o.cut = r.on(line, s.cut)
		}
		s.origins = append(s.origins, o)
	}
	for _, g := range s.crops() {
		s.unsaid = s.unsaid || g.stand.unlisted
		for _, p := range g.stand.plants {
			add(p)
		}
	}
	for _, name := range s.Species {
		id := r.book.nameOf(name)
		add(plant{name: id, row: r.book.Species[id]})
	}
	s.unsaid = s.unsaid || len(s.holds) == 0
	s.suspicion, s.byFrost = s.suspect()
	return s
}

// land are the lines of the paddocks the lot came from, of those that were split or joined
// away by the day it was made the lines of all that they had become.
func (s *lot) land() (lines [][]string) {
	for _, p := range s.From {
		if s.h.Paddock(p) == nil {
			continue
		}
		for _, q := range s.h.Became(p, s.MadeOn) {
			lines = append(lines, s.h.Lines(q)...)
		}
	}
	return lines
}

// cutDay is the day the lot was cut: as said, else the first cut of its paddocks
// that names it, else their last cut (chops apart, the earliest of several paddocks),
// else the day it was made.
func (s *lot) cutDay() fields.Date {
	named, cut := NoEnd, NoEnd
	for _, line := range s.land() {
		last := NoEnd
		for _, f := range fields.UpTo(s.h.Land(line).Cuts, s.MadeOn) {
			if f.Use == fields.CutGreenChop {
				continue
			}
			last = f.Date
			if f.Cut.Lot == s.Lot.Lot {
				named = min(named, f.Date)
			}
		}
		cut = min(cut, last)
	}
	for _, d := range []fields.Date{s.CutOn, named, cut} {
		if d != fields.NoDate && d != NoEnd {
			return min(d, s.MadeOn)
		}
	}
	return s.MadeOn
}

// unknownPlants reports an unknown plant, or plants not said.
func (s *lot) unknownPlants() bool { return s.unsaid || s.holds.any((*plant).unknown) != nil }

func (s *lot) hasP() bool { return s.unsaid || s.holds.hasP() }

// suspect says why the lot may carry prussic acid into store, and whether by frost
// alone (§11.3, §11.4).
func (s *lot) suspect() (why Suspicion, byFrost bool) {
	switch {
	case s.unknown:
		return Suspicion{Line: LineUnlisted}, false
	case s.unknownPlants():
		return Suspicion{Line: LineUnknown}, false
	case s.holds.any(func(p *plant) bool { return p.habit() == HabitFlax }) != nil:
		return Suspicion{Line: LineFlax}, false
	}
	tallest := 0.0 // the lot is held to the tallest minimum it may hold
	for i := range s.holds {
		tallest = max(tallest, s.book.minimumOf(&s.holds[i]))
	}
	tall := s.knownTall()
	for _, g := range s.crops() {
		if g.x < s.MadeOn && !g.stand.hasP() {
			continue // nothing that was cut then could make prussic acid
		}
		frost, other := s.met(g, tallest)
		if other.Line != LineNone {
			return other, false
		}
		if why.Line == LineNone {
			why = frost
		}
		tall = tall && (!g.stand.hasP() || s.tallWhenFrosted(g.ground, tallest))
	}
	return why, why.Line != LineNone && tall
}

// knownTall reports that no plant of the lot is capped for its habit, and that
// each that needs a height grew, as far as known, where the lot comes from.
func (s *lot) knownTall() bool {
	return s.holds.any(func(p *plant) bool {
		return p.capped() || p.row != nil && p.row.Height >= 0 && !slices.ContainsFunc(s.origins, func(o origin) bool {
			return o.made.stand.have(p.name) || o.cut.stand.have(p.name)
		})
	}) == nil
}

// suspectDays is how far before the cut a lot's stand is looked at.
const suspectDays = 14

// met looks for anything, from the window's first day to the making, that makes
// stored feed of this ground suspect: frost and nights that may have been one,
// and apart from those anything else. Each day is read as it stood, with what
// was then sown, walked and cut: what a later walk found gone or dead, or a
// later sowing unsaid, had been there. What was found alive later too.
func (s *lot) met(g crop, tallest float64) (frost, other Suspicion) {
	from, made := max(s.cut.Add(-suspectDays), g.began), s.MadeOn
	if on := g.incidentBy(from, made); on != fields.NoDate {
		return frost, Suspicion{LineIncident, on}
	}
	as, wait := g.ground, s.book.Days(FrostWait)
	clock := as.clock.nights(as, from.Add(-wait), made)
	for d := made; d >= from; d-- {
		if d < as.x && as.changedAfter(d) {
			as = s.ground(g.line, reading{d, d, made, d})
			clock = as.clock.nights(as, from.Add(-wait), made)
		}
		if other = as.harmedOn(d, tallest); other.Line != LineNone {
			return frost, other
		}
		if frost.Line == LineNone {
			frost = as.frostedOn(d, clock)
		}
	}
	for _, f := range fields.Between(g.Droughts, from.Add(-g.book.Days(DroughtWait)), made) {
		if f.State == fields.DroughtEnd {
			return frost, Suspicion{LineRainWait, f.Date}
		}
	}
	if harm := fields.Between(g.Harm, from, made); len(harm) > 0 {
		return frost, Suspicion{harms[harm[0].Kind()].line, harm[0].Date}
	}
	for _, f := range fields.Between(g.SwathWalks, from, made) {
		if yes(f.Wilted) {
			return frost, Suspicion{LineWilted, f.Date}
		}
	}
	return frost, Suspicion{}
}

// tallWhenFrosted reports ground whose growth met frost as tall growth (§11.4): the last
// height by the cut day is young enough and at or above the minimum, and of silage
// no clock night is later than 3 days before the cut.
func (s *lot) tallWhenFrosted(g *ground, tallest float64) bool {
	as := g
	if s.cut < g.x {
		as = s.ground(g.line, reading{s.cut, s.cut, s.MadeOn, s.cut})
	}
	after := as.lastCut(s.cut-1, true)
	for _, o := range as.stays {
		after = max(after, o.Out)
	}
	m, ok := as.lastMeasured(after, s.cut)
	if !ok || s.cut.Sub(m.date) > s.book.Days(LotHeightLife) || short(m.cm, max(tallest, as.stand.minHeight)) {
		return false
	}
	if s.LotKind == fields.LotHay {
		return true
	}
	wilted := s.cut.Add(-s.book.Days(LotChopAfterFrost)) // frosted growth stands this long before it is chopped
	runs := as.clock.end(s.book.Days(FrostWait))         // in the swath the clock runs on
	clock := slices.Concat(g.clock.nights(g, wilted+1, s.MadeOn), as.clock.nights(as, wilted+1, s.MadeOn))
	for d := wilted + 1; d <= s.MadeOn; d++ {
		if g.isTrigger(d) || d > s.cut && d <= runs && g.nightUnread(d) || slices.Contains(clock, d) {
			return false
		}
	}
	return true
}

// changedAfter reports an entry later than d that may change how the stand of d
// is read: a sowing, a walk, a cut.
func (g *ground) changedAfter(d fields.Date) bool {
	return max(lastDate(g.Sown), lastDate(g.Walks), lastDate(g.SwathWalks), lastDate(g.Cuts)) > d
}

// frostedOn is a frost clock, or a night that may have been frost, that ran on one
// day of a ground read for that day or a later one, whose clock nights are given.
func (g *ground) frostedOn(d fields.Date, clock []fields.Date) Suspicion {
	wait := g.book.Days(FrostWait)
	for _, n := range clock {
		if n <= d && n.Add(wait) >= d {
			return Suspicion{LineClock, n}
		}
	}
	switch n := g.at(d); {
	case n != nil && n.Trigger: // whatever the paddock's own list says of P
		return Suspicion{LineClock, d}
	case n != nil && n.Possible:
		return Suspicion{LinePossible, d}
	case g.nightUnread(d):
		return Suspicion{LineUnreadNights, d}
	}
	return Suspicion{}
}

// harmedOn is what else was wrong on one day, heights held to at least the minimum
// given. What was short was short, whatever was seen or sown among it since.
func (g *ground) harmedOn(d fields.Date, tallest float64) Suspicion {
	low := max(tallest, g.stand.minHeight)
	if g.inDrought(d) {
		return Suspicion{LineDrought, d}
	}
	if f, wilted := g.lastWilted(d); wilted {
		return Suspicion{LineWilted, f.Date}
	}
	if f, some := g.lastShoots(d); some && short(*f.ShootsCM, low) {
		return Suspicion{LineShoots, f.Date}
	}
	if m, ok := g.lastHeight(g.resetBy(d), d, low); ok && short(m.cm, low) {
		return Suspicion{LineTooShort, m.date}
	}
	return Suspicion{}
}

// incidentBy returns an incident of the growth the lot was made of (§11.9), whatever a
// veterinarian said later, or an older one still open, for any class and use of a paddock,
// on a day from..made; NoDate for none.
func (g *crop) incidentBy(from, made fields.Date) fields.Date {
	for _, f := range fields.UpTo(g.Incidents, made) {
		if f.Date >= g.began {
			return f.Date
		}
		for _, c := range Classes {
			for _, u := range PaddockUses {
				if !said(g.Vets, fields.AdviceMayGraze, u, c, f.Date+1, max(from, g.began)) {
					return f.Date
				}
			}
		}
	}
	return fields.NoDate
}

// enough reports a laboratory result with the bales and cores asked for (§11.8).
func (s *lot) enough(l *fields.Lab) bool {
	switch {
	case l.Method != fields.MethodLab, l.SampledOn < s.MadeOn: // of what was made later it says nothing
		return false
	case s.LotKind == fields.LotSilage:
		return atLeast(l.Cores, s.book.V[NitrateSampleBales])
	}
	// Of a lot of unknown size, or of no bale, nobody can say what is enough.
	return atLeast(s.Bales, 1) && atLeast(l.BalesCored, s.balesNeeded()) && atLeast(l.Cores, s.balesNeeded())
}

// balesNeeded is the larger of 20 bales or 20 % of the lot, but never more
// bales than it has.
func (s *lot) balesNeeded() float64 {
	need := s.book.V[NitrateSampleBales]
	if !atLeast(s.Bales, 1) {
		return need
	}
	n := *s.Bales
	return min(max(need, math.Ceil(n*s.book.V[NitrateSampleBalesPct]/100)), n)
}

// toCore says in an answer what a sample takes.
func (s *lot) toCore(r Reason) Reason {
	if r.Pile = s.LotKind == fields.LotSilage; !r.Pile {
		r.Bales = s.balesNeeded()
	}
	return r
}

// prussic answers for the prussic acid of the lot (§11.2), horses apart.
func (s *lot) prussic() []Reason {
	rs := s.hcn()
	if s.hasP() {
		rs = append(rs, s.curing()...)
		rule, _ := s.cure()
		clear := Reason{Rule: rule.String(), On: s.MadeOn, Plants: s.holds.names()}
		if s.byFrost {
			clear.Why = s.suspicion
		} else {
			rs = append(rs, s.suspectLine(s.suspicion)...)
		}
		return orClear(rs, LineLotClear, clear)
	}
	why := Suspicion{Line: LineUnlisted} // the list is a seller's word
	if !s.unknown {
		why = s.incident() // animals went down on that ground: its list may be wrong
	}
	rs = append(rs, s.suspectLine(why)...)
	return orClear(rs, LineNoP, Reason{Plants: s.holds.names()})
}

func (s *lot) incident() Suspicion {
	for _, g := range s.crops() {
		if on := g.incidentBy(s.cut.Add(-suspectDays), s.MadeOn); on != fields.NoDate {
			return Suspicion{LineIncident, on}
		}
	}
	return Suspicion{}
}

// suspectLine is caution until an HCN result of the lot clears it.
func (s *lot) suspectLine(why Suspicion) []Reason {
	if why.Line == LineNone || s.lastLowHCN() != fields.NoDate {
		return nil
	}
	return say(LineSuspect, s.toCore(Reason{Why: why}))
}

// lastLowHCN is the day of the lot's last HCN result that lifts (§11.5), NoDate for none.
func (s *lot) lastLowHCN() fields.Date {
	var day fields.Date
	for _, f := range s.Labs {
		if s.book.lowHCN(f.Lab) && s.enough(f.Lab) {
			day = f.Date
		}
	}
	return day
}

// cure is the rule of the wait that runs from the day the lot was made, and its days.
// Bought feed whose dryness nobody stated waits as silage does, the longer wait. A farm
// that waits longer for every silage waits longer for suspect silage too.
func (s *lot) cure() (RuleKey, int) {
	switch {
	case s.LotKind == fields.LotHay, s.LotKind == fields.LotBought && s.DMPct != nil && *s.DMPct >= dryHay:
		return HayCure, s.book.Days(HayCure)
	case s.suspicion.Line != LineNone:
		return SilageWaitSuspect, max(s.book.Days(SilageWaitSuspect), s.book.Days(SilageWait))
	}
	return SilageWait, s.book.Days(SilageWait)
}

// dryHay is the dry matter, percent, from which bought feed counts as hay:
// hay is baled at 18-20 % moisture (Univ. Kentucky, A. Probst, Woodford Sun,
// 24 Oct 2018).
const dryHay = 80

// curing holds through the wait. A vet's may-graze speaks of what happened, not of a
// cure not yet over.
func (s *lot) curing() []Reason {
	rule, days := s.cure()
	if s.x > s.MadeOn.Add(days) {
		return nil
	}
	line := LineEnsile
	if rule == HayCure {
		line = LineCure
	}
	return say(line, Reason{
		Rule: rule.String(), Through: s.MadeOn.Add(days), On: s.MadeOn, Days: days,
		Damp: s.LotKind == fields.LotBought && s.DMPct == nil,
	})
}

// hcn answers for the lot's own HCN results (§11.5): each stands until a later one that
// lifts, the worst and newest decides.
func (s *lot) hcn() []Reason {
	var worst []Reason
	for _, f := range s.Labs {
		if f.Analyte != fields.AnalyteHCN || f.Date < s.lastLowHCN() {
			continue
		}
		if r, against := s.book.hcnReason(f); against && (worst == nil || r.Flag >= worst[0].Flag) {
			worst = []Reason{r}
		}
	}
	return worst
}

// horses are held off plants that harm them, and off what nobody named (§11.6).
func (s *lot) horses() []Reason {
	holds := s.holds
	if s.unsaid {
		holds = append(holds[:len(holds):len(holds)], plant{name: unknownPlant})
	}
	return holds.horseLine()
}

// nitrate answers for the lot (§11.7): never clear without its own result.
func (s *lot) nitrate(c Class) (rs []Reason, share float64) {
	share = -1
	latest, counting := nitrateResults(s.Labs, func(f fields.LabFact) bool {
		_, known := NitrateDM(f.Lab, 0)
		return known && s.enough(f.Lab)
	})
	water := s.book.waterPPM(s.drinks, c)
	if worst, at := s.book.worstOf(counting, c, water); at.Lab != nil {
		if latest != nil {
			share = worst.MaxShare
		}
		switch bale := s.worstBale(counting, c, water); {
		case worst.Flag != Clear:
			rs = append(rs, resultReason(LineNitrateLotTable, worst, at))
		case latest == nil:
		case bale.Flag == Hold:
			bale.Composite = worst.Value
			r := resultReason(LineNitrateLotSpread, bale, at)
			r.Rule, r.Flag, r.Through, r.Need = NitrateBaleSpread.String(), Caution, fields.NoDate, NeedEvidence
			rs = append(rs, r)
		default:
			rs = append(rs, resultReason(LineNitrateClears, worst, at))
		}
	}
	if latest == nil {
		line, r := LineNitrateLotUntested, s.toCore(Reason{Flag: Caution})
		if len(counting) > 0 {
			line, r.Entries = LineNitrateLotThin, []string{counting[len(counting)-1].ID}
		}
		if tender(c) {
			if r.Untested, r.Stress = s.heldUntested(c); r.Untested != UntestedPlain {
				r.Flag = Hold
			}
		}
		rs = append(rs, say(line, r)...)
	}
	return withWorse(rs, s.book.waterLines(s.drinks, c)), share
}

// worstBale is the worst that the tables say of the bales behind the composites: of 2.26
// times the value, the highest bale over the mean of one field, with the worst water of
// the class.
func (s *lot) worstBale(fs []fields.LabFact, c Class, water float64) NitrateSays {
	worst := NitrateSays{Flag: Clear, MaxShare: 100}
	for _, f := range fs {
		if ppm, ok := NitrateDM(f.Lab, slices.Max(f.Numbers())); ok && composite(f.Lab) {
			a := s.book.JudgeNitrate(ConvertNitrate(ppm, f.Form, fields.FormN)*s.book.V[NitrateBaleSpread]+water, c)
			if a.Flag > worst.Flag || a.MaxShare < worst.MaxShare {
				worst = a
			}
		}
	}
	return worst
}

// composite reports a result that is not one bale's own for each of its values.
func composite(l *fields.Lab) bool {
	return l.BalesCored == nil || *l.BalesCored != float64(len(l.Values))
}

// heldUntested says why an untested lot is held for a tender class.
func (s *lot) heldUntested(c Class) (why Untested, x Stress) {
	switch {
	case s.LotKind == fields.LotBought:
		return UntestedBought, x
	case s.unknownPlants():
		return UntestedPlants, x
	case s.holds.any(func(p *plant) bool { return p.nitrate() == NitrateBrassica }) != nil:
		return UntestedBrassica, x
	case s.unknown:
		return UntestedOrigin, x
	}
	for _, g := range s.crops() {
		if x = s.stressOf(g); x.Kind != NoStress {
			return UntestedStress, x
		}
		_, counting := g.results()
		if a, _ := s.book.worstOf(counting, c, 0); a.Flag > Clear {
			return UntestedResult, x
		}
	}
	return UntestedPlain, x
}

// stressOf is the first stress of what the lot was made of: since the sowing or the cut
// before its own (the older one where it may hold two stands), in the swath, or a
// drought that runs.
func (s *lot) stressOf(g crop) Stress {
	since := s.MadeOn
	for _, d := range []*ground{g.of.made, g.of.cut} {
		since = min(since, max(d.stand.start, d.lastCut(s.cut-1, false)))
	}
	w := g.growth(g.x, s.cut, since)
	w.openAsFrost()
	for _, e := range w.events {
		if e.On >= since {
			return Stress{Kind: e.Kind, On: e.On}
		}
	}
	if d := w.frostInSwath(g.of.made); d != fields.NoDate {
		return Stress{Kind: StressFrost, On: d}
	}
	if w.dry.running() {
		return Stress{Kind: StressDrought, On: w.dry.first.Date}
	}
	return Stress{}
}

// frostInSwath is the first frost between the cut and the making on what could
// gather nitrate when it was cut, whatever was sown since; NoDate for none.
func (w *growth) frostInSwath(made *ground) fields.Date {
	if made == w.ground || !w.accumulates() {
		return fields.NoDate
	}
	dead := made.nothingFrom(made.x)
	for d := w.x + 1; d <= made.x; d++ {
		if made.isTrigger(d) && !(w.nothing() && d > w.dead) && !(dead != fields.NoDate && d > dead) &&
			made.frostOf(d, w.gathers.hardy, w.x) != frostBorne {
			return d
		}
	}
	return fields.NoDate
}

// veterinary answers for the lot (§11.9): its own incidents and those of every lot of
// the same cut date that shares a paddock with it. A may-graze of a sister lot frees that one only.
func (s *lot) veterinary(c Class, sick []*lot) ([]Reason, []mayGraze) {
	incidents := slices.Clone(s.Incidents)
	of := map[string]string{}
	for _, o := range sick {
		if o.Lot.Lot == s.Lot.Lot || o.cut != s.cut ||
			!slices.ContainsFunc(s.From, func(p string) bool {
				return slices.ContainsFunc(o.From, func(q string) bool { return s.h.OneLand(p, q) })
			}) {
			continue
		}
		for _, f := range o.Incidents {
			if !slices.ContainsFunc(incidents, func(i fields.Fact) bool { return i.ID == f.ID }) {
				incidents = append(incidents, f)
				of[f.ID] = o.Lot.Lot
			}
		}
	}
	rs, soft := veterinary(incidents, s.Vets, Feed, c, s.x, func(from fields.Date) bool {
		return slices.ContainsFunc(incidents, func(f fields.Fact) bool { return f.Date >= from }) ||
			s.book.againstSince(s.Labs, from, c) || said(s.Vets, fields.AdviceKeepOff, Feed, c, from, s.x)
	})
	for i := range rs {
		r := &rs[i]
		switch {
		case r.Line != LineIncident:
		case slices.ContainsFunc(s.AtFeed, func(f fields.Fact) bool { return f.ID == r.Entries[0] }):
			r.Line = LineFedIncident
		case of[r.Entries[0]] != "":
			r.Line, r.Lot = LineLotIncident, of[r.Entries[0]]
		}
	}
	return rs, soft
}
