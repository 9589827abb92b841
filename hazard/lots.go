package hazard

import (
	"math"
	"slices"
	"time"

	"rimegate/fields"
)

// store is one lot of stored feed on the day asked.
type store struct {
	h      *fields.History
	book   *Rulebook
	x      fields.Date
	moment time.Time
	id     string
	facts  fields.LotFacts
	labs   []fields.Fact
	inc    []fields.Fact
	vets   []fields.Fact

	cut           fields.Date
	ground        []*ground // each line of each paddock it came from, on the day it was made
	species       []*plant
	unsaid        bool // species unknown or not said
	unknownOrigin bool
	drinks        []source // of the farm's herds
	suspicion     Suspicion
	byFrost       bool // suspect by frost alone: tall growth that met nothing else
}

// foldLot merges the lot's entries field by field.
func foldLot(fs []fields.Fact) fields.LotFacts {
	var out fields.LotFacts
	for _, f := range fs {
		b, ok := f.Body.(*fields.LotFacts)
		if !ok {
			continue
		}
		if out.Lot == "" {
			out = *b
			continue
		}
		if b.LotKind != "" {
			out.LotKind = b.LotKind
		}
		if b.MadeOn > out.MadeOn { // the later day is the longer wait
			out.MadeOn = b.MadeOn
		}
		if len(b.From) > 0 {
			for _, p := range b.From {
				if !in(out.From, p) {
					out.From = append(append([]string{}, out.From...), p)
				}
			}
		}
		if b.CutOn != fields.NoDate {
			out.CutOn = b.CutOn
		}
		for _, s := range b.Species {
			if !in(out.Species, s) {
				out.Species = append(append([]string{}, out.Species...), s)
			}
		}
		if b.Bales != nil {
			out.Bales = b.Bales
		}
		if b.Tonnes != nil {
			out.Tonnes = b.Tonnes
		}
		if b.DMPct != nil {
			out.DMPct = b.DMPct
		}
		if b.Seller != "" {
			out.Seller = b.Seller
		}
	}
	return out
}

func newStore(h *fields.History, book *Rulebook, moment time.Time, id string) *store {
	s := &store{h: h, book: book, x: h.On, moment: moment, id: id}
	fs := h.OfLot(id)
	s.facts = foldLot(fs)
	for _, f := range fs {
		switch b := f.Body.(type) {
		case *fields.Lab:
			if b.Lot == id {
				s.labs = append(s.labs, f)
			}
		case *fields.Incident:
			s.inc = append(s.inc, f)
		case *fields.Vet:
			s.vets = append(s.vets, f)
		}
	}
	s.cut = s.cutDay()
	known := map[string]*plant{}
	add := func(p plant) {
		if _, ok := known[p.name]; !ok {
			q := p
			known[p.name] = &q
			s.species = append(s.species, &q)
		}
	}
	for _, p := range s.facts.From {
		if h.Paddock(p) == nil {
			s.unknownOrigin = true
			continue
		}
		for _, line := range h.Lines(p) {
			days := []fields.Date{s.facts.MadeOn}
			if s.cut < s.facts.MadeOn { // what was cut is the stand of the cut day
				days = append(days, s.cut)
			}
			var made *ground
			for _, d := range days {
				g := newGround(h, book, moment, line, d)
				g.began = g.stand.start
				if made == nil {
					made = g
				} else {
					g.later = made
				}
				made.began = min(made.began, g.stand.start)
				s.ground = append(s.ground, g)
				if g.stand.unlisted {
					s.unsaid = true
				}
				for i := range g.stand.plants {
					add(g.stand.plants[i])
				}
			}
		}
	}
	for _, name := range s.facts.Species {
		p := plant{name: speciesNameIn(book, name)}
		p.row = book.Species[p.name]
		add(p)
	}
	if len(s.facts.From) == 0 || s.facts.LotKind == "bought" {
		s.unknownOrigin = true
	}
	if len(s.species) == 0 {
		s.unsaid = true
	}
	s.suspicion, s.byFrost = s.suspect()
	return s
}

// cutDay is the day the lot was cut: as said, else the first cut of its paddocks
// that names it, else their last cut (chops apart, the earliest of several paddocks),
// else the day it was made.
func (s *store) cutDay() fields.Date {
	if s.facts.CutOn != fields.NoDate {
		return s.facts.CutOn
	}
	var named, cut fields.Date
	earliest := func(d *fields.Date, c fields.Date) {
		if c != fields.NoDate && (*d == fields.NoDate || c < *d) {
			*d = c
		}
	}
	for _, p := range s.facts.From {
		for _, line := range s.h.Lines(p) {
			var last fields.Date
			for _, f := range s.h.LineFacts(line) {
				if c, ok := f.Body.(*fields.Cut); ok && c.Use != "green-chop" && f.Date <= s.facts.MadeOn {
					last = f.Date
					if c.Lot == s.id {
						earliest(&named, f.Date)
					}
				}
			}
			earliest(&cut, last)
		}
	}
	switch {
	case named != fields.NoDate:
		return named
	case cut != fields.NoDate:
		return cut
	}
	return s.facts.MadeOn
}

func speciesNameIn(b *Rulebook, written string) string {
	if sp := b.Find(written); sp != nil {
		return sp.ID
	}
	return SpeciesKey(written)
}

func (s *store) any(is func(*plant) bool) *plant {
	for _, p := range s.species {
		if is(p) {
			return p
		}
	}
	return nil
}

func (s *store) unknownSpecies() bool {
	return s.unsaid || s.any((*plant).unknown) != nil
}

func (s *store) hasP() bool {
	return s.unsaid || s.any(func(p *plant) bool { return p.habit().Cyanogenic() }) != nil
}

// suspect says why the lot may carry prussic acid into store, and whether by frost
// alone.
func (s *store) suspect() (why Suspicion, byFrost bool) {
	if s.unknownOrigin {
		return Suspicion{Line: LineUnlisted}, false
	}
	if s.unknownSpecies() {
		return Suspicion{Line: LineUnknown}, false
	}
	if s.any(func(p *plant) bool { return p.habit() == HabitFlax }) != nil {
		return Suspicion{Line: LineFlax}, false
	}
	tallest := 0.0 // the lot is held to the tallest minimum it may hold
	for _, g := range s.ground {
		tallest = max(tallest, g.stand.minHeight)
	}
	for _, p := range s.species {
		if p.row != nil && p.row.Height >= 0 && p.habit().Cyanogenic() {
			tallest = max(tallest, s.book.V[p.row.Height])
		}
	}
	worst, tall := Suspicion{}, s.knownTall()
	for _, g := range s.ground {
		if g.x < s.facts.MadeOn && !g.stand.hasP() {
			continue // nothing that was cut then could make prussic acid
		}
		frost, other := s.met(g, tallest)
		if other.Line != LineNone {
			return other, false
		}
		if worst.Line == LineNone {
			worst = frost
		}
		tall = tall && (!g.stand.hasP() || s.tallWhenFrosted(g, tallest))
	}
	return worst, worst.Line != LineNone && tall
}

// knownTall reports that no plant of the lot is capped for its habit, and that
// each that needs a height grew, as far as known, where the lot comes from.
func (s *store) knownTall() bool {
	return s.any(func(p *plant) bool {
		grew := slices.ContainsFunc(s.ground, func(g *ground) bool { return slices.Contains(g.listed(), p.name) })
		return p.capped() || p.row != nil && p.row.Height >= 0 && !grew
	}) == nil
}

// suspectDays is how far before the cut a lot's stand is looked at.
const suspectDays = 14

// met looks for anything, from the window's first day to the making, that makes
// stored feed of this ground suspect: frost and nights that may have been one,
// and apart from those anything else. Each day is read as it stood, with what
// was then sown, walked and cut: what a later walk found gone or dead, or a
// later sowing unsaid, had been there. What was found alive later too.
func (s *store) met(g *ground, tallest float64) (frost, other Suspicion) {
	from, made := max(s.cut.Add(-suspectDays), g.began), s.facts.MadeOn
	if on, ok := g.incidentBy(from, made); ok {
		return frost, Suspicion{LineIncident, on}
	}
	as := g
	for d := made; d >= from; d-- {
		if d < as.x && as.changedAfter(d) {
			as = newGroundKnowing(s.h, s.book, s.moment, g.line, d, d, made)
		}
		if l, on := as.harmedOn(d, tallest); l != LineNone {
			return frost, Suspicion{l, on}
		}
		if l, on := as.frostedOn(d); l != LineNone && frost.Line == LineNone {
			frost = Suspicion{l, on}
		}
	}
	for _, f := range g.drought {
		if f.Body.(*fields.Drought).State == "end" && f.Date <= made && f.Date.Add(g.book.Days(DroughtWait)) >= from {
			return frost, Suspicion{LineRainWait, f.Date}
		}
	}
	for _, f := range g.harm {
		if f.Date >= from && f.Date <= made {
			why := map[fields.Kind]Line{fields.KindHail: LineHail, fields.KindTrampled: LineTrampled, fields.KindSprayed: LineSprayed}[f.Kind()]
			return frost, Suspicion{why, f.Date}
		}
	}
	for _, f := range g.swathWalk {
		if f.Date >= from && f.Date <= made && yes(f.Body.(*fields.Walk).Wilted) {
			return frost, Suspicion{LineWilted, f.Date}
		}
	}
	return frost, Suspicion{}
}

// tallWhenFrosted reports ground whose growth met frost as tall growth: the last
// height by the cut day is young enough and at or above the minimum, and of silage
// no clock night is later than 3 days before the cut.
func (s *store) tallWhenFrosted(g *ground, tallest float64) bool {
	as := g
	if s.cut < g.x {
		as = newGroundKnowing(s.h, s.book, s.moment, g.line, s.cut, s.cut, s.facts.MadeOn)
	}
	after := as.lastCut(func(*fields.Cut) bool { return true }, s.cut-1)
	for _, o := range as.stays {
		after = max(after, o.Out)
	}
	m, ok := as.lastMeasured(after, s.cut)
	if !ok || s.cut.Sub(m.date) > s.book.Days(LotHeightLife) || short(m.cm, max(tallest, as.stand.minHeight)) {
		return false
	}
	if s.facts.LotKind == "hay" {
		return true
	}
	wilted := s.cut.Add(-s.book.Days(LotChopAfterFrost)) // frosted growth stands this long before it is chopped
	for _, n := range append(slices.Clone(g.clock.all), as.clock.all...) {
		if n > wilted && n <= s.facts.MadeOn {
			return false
		}
	}
	wait := s.book.Days(FrostWait)
	for d := wilted + 1; d <= s.facts.MadeOn; d++ {
		inClock := d > s.cut && as.clock.last != fields.NoDate && d <= as.clock.last.Add(wait) // in the swath it runs on
		if g.isTrigger(d) || inClock && g.nightUnread(d) {
			return false
		}
	}
	return true
}

// changedAfter reports an entry later than d that may change how the stand of d
// is read: a sowing, a walk, a cut.
func (g *ground) changedAfter(d fields.Date) bool {
	for _, fs := range [][]fields.Fact{g.sown, g.walks, g.swathWalk, g.cuts} {
		if n := len(fs); n > 0 && fs[n-1].Date > d {
			return true
		}
	}
	return false
}

// frostedOn is a frost clock, or a night that may have been frost, that ran on one
// day of a ground read for that day or a later one.
func (g *ground) frostedOn(d fields.Date) (Line, fields.Date) {
	wait := g.book.Days(FrostWait)
	for _, n := range g.clock.all {
		if n <= d && n.Add(wait) >= d {
			return LineClock, n
		}
	}
	if n := g.at(d); n != nil && n.trigger { // whatever the paddock's own list says of P
		return LineClock, d
	} else if n != nil && n.possible {
		return LinePossible, d
	}
	if g.nightUnread(d) {
		return LineUnreadNights, d
	}
	return LineNone, fields.NoDate
}

// harmedOn is what else was wrong on one day, heights held to at least the
// minimum given.
func (g *ground) harmedOn(d fields.Date, tallest float64) (Line, fields.Date) {
	low := max(tallest, g.stand.minHeight)
	if g.inDrought(d) {
		return LineDrought, d
	}
	if on, wilted, _ := g.lastWilted(d); wilted {
		return LineWilted, on
	}
	if on, cm, _, ok := g.lastShoots(d); ok && cm > 0 && short(cm, low) {
		return LineShoots, on
	}
	if on, cm, ok := g.lastHeightSaid(d, low); ok && short(cm, low) {
		return LineTooShort, on
	}
	return LineNone, fields.NoDate
}

// lastHeightSaid is the last height recorded upTo or earlier since the last cut,
// graze-out or new stand, the shortest of its date, whatever was seen or sown
// among it since: for grazing that voids a height, but what was short was short.
func (g *ground) lastHeightSaid(upTo fields.Date, low float64) (date fields.Date, cm float64, ok bool) {
	after := max(g.resetBy(upTo), g.stand.newStand, g.stand.sownFirst)
	for _, f := range g.walks {
		w := f.Body.(*fields.Walk)
		if w.ShortestCM == nil || f.Date <= after || f.Date > upTo || !g.stand.countsForStand(f.Date) {
			continue
		}
		if w.Killed == "all" && !short(*w.ShortestCM, low) {
			continue
		}
		if !ok || f.Date > date || *w.ShortestCM < cm {
			date, cm, ok = f.Date, *w.ShortestCM, true
		}
	}
	return date, cm, ok
}

// incidentBy returns an incident of the growth the lot was made of, whatever a
// veterinarian said later, or an older one still open on a day from..made.
func (g *ground) incidentBy(from, made fields.Date) (fields.Date, bool) {
	for _, f := range g.incidents {
		if f.Date > made {
			continue
		}
		if g.began == fields.NoDate || f.Date >= g.began || g.openOn(f.Date, max(from, g.began)) {
			return f.Date, true
		}
	}
	return fields.NoDate, false
}

// openOn reports whether an incident was open on a day for any class and use
// of a paddock.
func (g *ground) openOn(incident, day fields.Date) bool {
	if incident > day {
		return true
	}
	for _, c := range Classes {
		for _, u := range PaddockUses {
			closed := false
			for _, f := range g.vets {
				b := f.Body.(*fields.Vet)
				closed = closed || b.Advice == "may-graze" && f.Date > incident && f.Date <= day && vetSpeaksOf(b, u, c)
			}
			if !closed {
				return true
			}
		}
	}
	return false
}

// enough reports a laboratory result with the bales and cores asked for.
func (s *store) enough(l *fields.Lab) bool {
	if l.Method != "lab" {
		return false
	}
	need := s.balesNeeded()
	if s.facts.LotKind == "silage" {
		return atLeast(l.Cores, s.book.V[NitrateSampleBales])
	}
	if s.facts.Bales == nil { // of a lot of unknown size nobody can say what is enough
		return false
	}
	return atLeast(l.BalesCored, need) && atLeast(l.Cores, need)
}

// balesNeeded is the larger of 20 bales or 20 % of the lot, but never more
// bales than it has.
func (s *store) balesNeeded() float64 {
	need := s.book.V[NitrateSampleBales]
	if s.facts.Bales == nil {
		return need
	}
	n := *s.facts.Bales
	return min(max(need, math.Ceil(n*s.book.V[NitrateSampleBalesPct]/100)), max(n, 1))
}

// counting returns the latest result with enough bales and cores (nil if none)
// and every result that counts: it and all dated on or after it.
func (s *store) counting(analyte fields.Analyte) (latest *fields.Fact, fs []fields.Fact) {
	for i := range s.labs {
		l := s.labs[i].Body.(*fields.Lab)
		if l.Analyte == analyte && s.enough(l) && s.fit(l) {
			latest = &s.labs[i]
		}
	}
	for _, f := range s.labs {
		if f.Body.(*fields.Lab).Analyte == analyte && (latest == nil || f.Date >= latest.Date) {
			fs = append(fs, f)
		}
	}
	return latest, fs
}

// fit reports a result in a form that can clear: HCN from a sealed or frozen
// sample, since the gas leaves a drying one.
func (s *store) fit(l *fields.Lab) bool {
	if l.Analyte == "hcn" {
		return l.SampleState == "sealed" || l.SampleState == "frozen"
	}
	_, ok := NitrateDM(l, 0)
	return ok
}

func (s *store) prussic() []Reason {
	if !s.hasP() {
		rs := s.hcn()
		if s.unknownOrigin && !s.lowHCN() { // the list is a seller's word
			return append(rs, s.suspectReason(Suspicion{Line: LineUnlisted}))
		}
		// Animals went down on that ground: its list may be wrong.
		for _, g := range s.ground {
			if on, ok := g.incidentBy(s.cut.Add(-suspectDays), s.facts.MadeOn); ok && !s.lowHCN() {
				rs = append(rs, s.suspectReason(Suspicion{LineIncident, on}))
				break
			}
		}
		if len(rs) > 0 {
			return rs
		}
		return []Reason{{Line: LineNoP, Rule: "species.none", Flag: Clear, Plants: s.names()}}
	}
	rs := s.hcn()
	if r, ok := s.storeWait(); ok {
		rs = append(rs, r)
	}
	if s.suspicion.Line != LineNone && !s.byFrost && !s.lowHCN() {
		rs = append(rs, s.suspectReason(s.suspicion))
	}
	if len(rs) == 0 {
		key, _ := s.cureKey()
		r := Reason{Line: LineLotClear, Rule: key.String(), Flag: Clear, On: s.facts.MadeOn, Plants: s.names()}
		if s.byFrost {
			r.Why = s.suspicion
		}
		rs = append(rs, r)
	}
	return rs
}

func (s *store) suspectReason(why Suspicion) Reason {
	return Reason{Line: LineSuspect, Rule: HayCure.String(), Flag: Caution, Need: NeedEvidence, Why: why, Bales: s.balesNeeded()}
}

// lastLowHCN is the day of the lot's last HCN result that lifts: laboratory,
// sealed or frozen, enough bales and cores, below the caution line.
func (s *store) lastLowHCN() (day fields.Date, ok bool) {
	for _, f := range s.labs {
		l := f.Body.(*fields.Lab)
		if l.Analyte != "hcn" || !s.enough(l) || !s.fit(l) {
			continue
		}
		if flag, _ := s.book.hcnFlag(l); flag == Clear {
			day, ok = f.Date, true
		}
	}
	return day, ok
}

func (s *store) lowHCN() bool { _, ok := s.lastLowHCN(); return ok }

func (s *store) names() []string {
	var out []string
	for _, p := range s.species {
		out = append(out, p.name)
	}
	return out
}

// cureKey is the wait that runs from the day the lot was made. Bought feed
// whose dryness nobody stated waits as silage does, the longer wait.
func (s *store) cureKey() (RuleKey, Line) {
	switch s.facts.LotKind {
	case "hay":
		return HayCure, LineCure
	case "bought":
		if s.facts.DMPct != nil && *s.facts.DMPct >= dryHay {
			return HayCure, LineCure
		}
	}
	if s.suspicion.Line != LineNone {
		return SilageWaitSuspect, LineEnsile
	}
	return SilageWait, LineEnsile
}

// cureDays is how long it runs. A farm that waits longer for every silage waits
// longer for suspect silage too.
func (s *store) cureDays() int {
	key, _ := s.cureKey()
	if key == SilageWaitSuspect {
		return max(s.book.Days(key), s.book.Days(SilageWait))
	}
	return s.book.Days(key)
}

// dryHay is the dry matter, percent, from which bought feed counts as hay:
// hay is baled at 18-20 % moisture (Univ. Kentucky, A. Probst, Woodford Sun,
// 24 Oct 2018).
const dryHay = 80

func (s *store) storeWait() (Reason, bool) {
	key, line := s.cureKey()
	days := s.cureDays()
	through := s.facts.MadeOn.Add(days)
	if s.x > through {
		return Reason{}, false
	}
	// A vet's may-graze speaks of what happened, not of a cure not yet over.
	return Reason{Line: line, Rule: key.String(), Flag: Hold, Through: through, Need: NeedTime, On: s.facts.MadeOn, Days: days, undated: true}, true
}

// hcn answers for the lot's own HCN results: each stands until a later one that
// lifts.
func (s *store) hcn() []Reason {
	lifted, _ := s.lastLowHCN()
	var worst Reason
	for _, f := range s.labs {
		l := f.Body.(*fields.Lab)
		if l.Analyte != "hcn" || f.Date < lifted {
			continue
		}
		flag, key := s.book.hcnFlag(l)
		line := LineHCNCaution
		if flag == Hold {
			line = LineHCNHold
		} else if flag == Caution && !hcnOf(l).hasDM || flag == Clear && screening(l) {
			flag, line = Caution, LineHCNUnfit
		}
		if flag == Clear || flag < worst.Flag {
			continue
		}
		worst = s.book.hcnReason(line, flag, key, f)
	}
	if worst.Flag == Unknown {
		return nil
	}
	return []Reason{worst}
}

func (s *store) horses() []Reason {
	p := s.any(func(p *plant) bool { return p.unknown() || p.row.Sorghum || p.row.HorsesOff })
	name := ""
	switch {
	case p != nil:
		name = p.name
	case s.unsaid:
		name = unknownPlant
	default:
		return nil
	}
	return []Reason{{Line: LineHorses, Rule: "species.horses", Flag: Hold, Through: NoEnd, Need: NeedDecision, Species: name, undated: true}}
}

// nitrate answers for the lot: never clear without its own result.
func (s *store) nitrate(c Class) (rs []Reason, share float64) {
	share = -1
	latest, fs := s.counting("nitrate")
	if len(fs) > 0 {
		worst, at, spread := s.worstLot(fs, c)
		if latest != nil {
			share = worst.MaxShare
		}
		switch {
		case worst.Flag != Clear:
			rs = append(rs, resultReason(LineNitrateLotTable, worst, at))
		case spread.Flag == Hold && latest != nil:
			spread.Composite = worst.Value
			r := resultReason(LineNitrateLotSpread, spread, at)
			r.Rule, r.Flag, r.Through, r.Need = NitrateBaleSpread.String(), Caution, fields.NoDate, NeedEvidence
			rs = append(rs, r)
		case latest != nil:
			rs = append(rs, resultReason(LineNitrateClears, worst, at))
		}
	}
	if latest == nil {
		r := Reason{Line: LineNitrateLotUntested, Rule: "nitrate.tables", Flag: Caution, Need: NeedEvidence, Bales: s.balesNeeded()}
		if len(fs) > 0 {
			r.Line, r.Entries = LineNitrateLotThin, []string{fs[len(fs)-1].ID}
		}
		if why, stress := s.graveUntested(c); why != UntestedPlain && tender(c) {
			r.Flag, r.Through, r.Untested, r.Stress, r.undated = Hold, NoEnd, why, stress, true
		}
		rs = append(rs, r)
	}
	return withWorse(rs, s.book.waterLines(s.drinks, c)), share
}

// worstLot judges the results that count, each with the worst water of the class;
// a composite must at 2.26 times its value, the highest bale over the mean of one
// field, still reach no hold. The share is that of the values themselves.
func (s *store) worstLot(fs []fields.Fact, c Class) (worst NitrateSays, at fields.Fact, spread NitrateSays) {
	share := 100.0
	water := s.book.waterPPM(s.drinks, c)
	spread = NitrateSays{Flag: Clear, MaxShare: 100}
	for _, f := range fs {
		l := f.Body.(*fields.Lab)
		a := s.book.labAnswer(l, c, water)
		share = min(share, a.MaxShare)
		if at.Entry == nil || a.Flag > worst.Flag || a.Flag == worst.Flag && f.Date > at.Date {
			worst, at = a, f
		}
		if ppm, ok := NitrateDM(l, highest(l.Numbers())); ok && composite(l) {
			high := ConvertNitrate(ppm, l.Form, "NO3-N")*s.book.V[NitrateBaleSpread] + water
			b := s.book.JudgeNitrate(high, c)
			if b.Flag > spread.Flag || b.MaxShare < spread.MaxShare {
				spread = b
			}
		}
	}
	worst.MaxShare = share
	return worst, at, spread
}

// composite reports a result that is not one bale's own for each of its values.
func composite(l *fields.Lab) bool {
	return l.BalesCored == nil || *l.BalesCored != float64(len(l.Values))
}

// graveUntested says why an untested lot is held for the tender classes.
func (s *store) graveUntested(c Class) (Untested, Stress) {
	if s.facts.LotKind == "bought" {
		return UntestedBought, Stress{}
	}
	if s.unknownSpecies() {
		return UntestedPlants, Stress{}
	}
	if s.any(func(p *plant) bool { return p.row != nil && p.row.Nitrate == NitrateBrassica }) != nil {
		return UntestedBrassica, Stress{}
	}
	if s.unknownOrigin {
		return UntestedOrigin, Stress{}
	}
	for _, g := range s.ground {
		since := s.since(g)
		w := g.growth(g.x, s.cut)
		for _, d := range w.open { // of stored feed a light night that no walk has borne is a stress
			w.events = append(w.events, stress{StressFrost, d, ""})
		}
		for _, st := range w.events {
			if st.date >= since {
				return UntestedStress, Stress{Kind: st.kind, On: st.date}
			}
		}
		if d := w.frostInSwath(); d != fields.NoDate {
			return UntestedStress, Stress{Kind: StressFrost, On: d}
		}
		if start, _, _, _ := g.droughtState(g.x); start != fields.NoDate {
			return UntestedStress, Stress{Kind: StressDrought, On: start}
		}
		if _, against := g.results(); len(against) > 0 {
			if a, _ := g.worstResult(against, c, 0); a.Flag != Clear {
				return UntestedResult, Stress{}
			}
		}
	}
	return UntestedPlain, Stress{}
}

// since is the sowing or last cut before that of the growth of g's land that
// went into the lot, the older one where the lot may hold two stands.
func (s *store) since(g *ground) fields.Date {
	made := g
	if g.later != nil {
		made = g.later
	}
	since := s.facts.MadeOn
	for _, o := range s.ground {
		if o == made || o.later == made {
			before := o.lastCut(func(c *fields.Cut) bool { return c.Use != "green-chop" }, s.cut-1)
			since = min(since, max(o.stand.start, before))
		}
	}
	return since
}

// frostInSwath is the first frost between the cut and the making on what could
// gather nitrate when it was cut, whatever was sown since; NoDate for none.
func (w *growth) frostInSwath() fields.Date {
	later := w.g.later
	if later == nil || !w.accum {
		return fields.NoDate
	}
	end := later.growth(later.x, fields.NoDate)
	for d := w.g.x + 1; d <= later.x; d++ {
		if later.isTrigger(d) && !(w.nothing && d > w.from) && !(end.nothing && d > end.from) && later.frostOf(d, w.gathers.hardy, w.g.x) != frostBorne {
			return d
		}
	}
	return fields.NoDate
}

// sameFeed reports lots of the same paddocks and cut date.
func sameFeed(a, b *store) bool {
	if a.cut != b.cut {
		return false
	}
	for _, p := range a.facts.From {
		if in(b.facts.From, p) {
			return true
		}
	}
	return false
}
