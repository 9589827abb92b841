package hazard

import (
	"math"
	"slices"

	"rimegate/fields"
)

// Molar masses, g/mol, from the standard atomic weights N 14.007, O 15.999,
// K 39.098, Na 22.990 (IUPAC, abridged), by form: of one mole of nitrogen.
var molarMass = map[fields.Form]float64{
	fields.FormN:     14.007,
	fields.FormNO3:   14.007 + 3*15.999,
	fields.FormKNO3:  39.098 + 14.007 + 3*15.999,
	fields.FormNaNO3: 22.990 + 14.007 + 3*15.999,
}

// ConvertNitrate converts a concentration of one form of nitrate to another by
// atomic weights (§9.1); NaN for an unknown form.
func ConvertNitrate(v float64, from, to fields.Form) float64 {
	a, b := molarMass[from], molarMass[to]
	if a == 0 || b == 0 {
		return math.NaN()
	}
	return v * b / a
}

// NitrateDM returns a value of the result as ppm of its own form on dry
// matter; ok is false for an as-fed figure without dry matter.
func NitrateDM(l *fields.Lab, v float64) (ppm float64, ok bool) {
	ppm = v * perPPM(l.Unit)
	if l.Basis == fields.BasisDM {
		return ppm, true
	}
	if l.DMPct == nil {
		return 0, false
	}
	return ppm / (*l.DMPct / 100), true
}

// edgeSlack turns a value on a band's edge toward the worse band (§2.7).
const edgeSlack = 1e-9

// stress is what can raise nitrate, with the rule of its wait and its entry ("" for a
// night).
type stress struct {
	Stress
	wait RuleKey
	id   string
}

// stressWaits are the waits of stresses; no wait is the rule 0.
var stressWaits = map[StressKind]RuleKey{
	StressFrost: NitrateFrostWait, StressHail: NitrateHailWait, StressTrampled: NitrateTrampledWait,
	StressSprayed: NitrateSprayWait, StressRain: NitrateRainWait,
}

// growth is the standing or swathed growth a nitrate answer is about.
type growth struct {
	*ground
	upTo    fields.Date // stresses after it do not count (a swath's cut date)
	walked  fields.Date // the last day on which a walk of the stand speaks of it
	dead    fields.Date // since when it has nothing alive, NoDate if something may live
	gathers gathering
	dry     drought
	events  []stress
	open    []fields.Date // light nights of a hardy stand that no walk has borne
}

func (w *growth) nothing() bool { return w.dead != fields.NoDate }

func (w *growth) accumulates() bool { return w.gathers.accumulates() }

// growth is what stands on the day upTo or, with cut, what was cut on that day, with the
// frosts from a day on.
func (g *ground) growth(upTo, cut, since fields.Date) *growth {
	w := &growth{ground: g, upTo: upTo, walked: upTo, dead: g.nothingFrom(upTo), dry: g.droughtOf(upTo)}
	if cut != fields.NoDate {
		w.walked = min(upTo, cut)
	}
	w.gathers = g.gather(g.seasonOf(upTo, cut), w.walked)
	if w.accumulates() { // other listed stands take no stress from frost
		for d := max(g.stand.start, g.nightsFrom, since); d <= upTo; d++ {
			w.frost(d)
		}
	}
	for _, f := range fields.UpTo(g.Harm, upTo) {
		w.add(harms[f.Kind()].stress, f.Date, f.ID)
	}
	for _, f := range fields.UpTo(g.Droughts, upTo) {
		kind := StressDrought
		if f.State == fields.DroughtEnd {
			kind = StressRain
		}
		w.add(kind, f.Date, f.ID)
	}
	w.dose(g.doseSeason(upTo, cut))
	return w
}

func (w *growth) add(kind StressKind, on fields.Date, id string) {
	s := stress{Stress{Kind: kind, On: on}, stressWaits[kind], id}
	if s.wait != 0 {
		s.Ends = on.Add(w.book.Days(s.wait))
	}
	w.events = append(w.events, s)
}

// frost takes the night of d in, if it froze something that lived (§9.6).
func (w *growth) frost(d fields.Date) {
	if !w.isTrigger(d) || w.nothing() && d > w.dead {
		return
	}
	switch w.frostOf(d, w.gathers.hardy, w.walked) {
	case frostHard:
		w.add(StressFrost, d, "")
	case frostOpen:
		w.open = append(w.open, d)
	}
}

// dose takes in the nitrogen of a season at or after which its total reaches the flag
// rate; a rate not stated reaches it alone (§9.7).
func (w *growth) dose(s season) {
	doses := fields.Between(w.Nitrogen, s.from, s.to)
	sum := 0.0
	for i, f := range doses {
		if f.KgNHa == nil {
			sum = math.Inf(1)
		} else {
			sum += *f.KgNHa
		}
		if i+1 < len(doses) && doses[i+1].Date == f.Date {
			continue // all of one date count together
		}
		for _, o := range fields.Between(doses, f.Date, f.Date) {
			if sum >= w.book.V[NitrateNitrogenFlag]*(1-edgeSlack) {
				w.add(StressNitrogen, o.Date, o.ID)
			}
		}
	}
}

// openAsFrost counts the open nights as frosts: to whoever cuts or stores, a light
// night that no walk has borne is one.
func (w *growth) openAsFrost() {
	for _, d := range w.open {
		w.add(StressFrost, d, "")
	}
}

// growthNow is the growth that stands on the day asked, with a frost already
// seen in the night that follows.
func (g *ground) growthNow() growth {
	if g.now == nil {
		g.now = g.growth(g.x, fields.NoDate, g.frostsFrom())
		if g.now.accumulates() && !g.now.nothing() {
			g.now.frost(g.x + 1)
		}
	}
	w := *g.now
	w.events = slices.Clip(w.events)
	return w
}

// frostsFrom is the first day of which a frost bears on an answer: one whose wait may run
// or have ended lately, or that is later than the last proper sampling.
func (g *ground) frostsFrom() fields.Date {
	from := g.x.Add(-g.book.Days(NitrateFrostWait) - g.book.Days(NitrateAfterWait))
	if proper, _ := g.results(); proper != nil {
		from = min(from, proper.Date)
	}
	return from
}

// nothingFrom returns the day from which nothing on the stand lived (§6.7), NoDate if
// something may: the earliest walk since the base that recorded nothing alive,
// not before any sighting, 28 days or more after any sowing (what is drilled into a
// dead stand is not up yet), with no walk of that day or later naming something alive.
// Without P a clean walk is such a record. More bad news only moves the day later.
func (g *ground) nothingFrom(upTo fields.Date) fields.Date {
	k := g.findKillAll(upTo)
	if !k.confirmed || k.base <= g.stand.newStand { // an old stand's kill says nothing of what was sown since
		return fields.NoDate
	}
	from := max(k.base, lastDate(g.Seen))
	if sown := lastDate(fields.UpTo(g.Sown, upTo)); sown != fields.NoDate {
		from = max(from, sown.Add(g.book.Days(NitrateDeadAfterSown)))
	}
	for _, f := range fields.UpTo(g.Walks, upTo) {
		if len(f.Alive) > 0 {
			from = max(from, f.Date+1)
		}
	}
	for _, f := range fields.Between(g.Walks, from, upTo) {
		if len(f.Alive) == 0 && (f.Alive != nil || !g.stand.hasP() &&
			g.clean(f.Walk)) { // without P the kill walk speaks of the whole stand
			return f.Date
		}
	}
	return fields.NoDate
}

// waits reports a stress whose wait runs on the day asked or ended at most some days
// before it. A stand with nothing alive has no frost waits.
func (w *growth) waits(s *stress, after int) bool {
	return s.Ends != fields.NoDate && w.x <= s.Ends.Add(after) && !(s.Kind == StressFrost && w.nothing())
}

// running are the waits that run on the day asked.
func (w *growth) running() []stress {
	var out []stress
	for i := range w.events {
		if w.waits(&w.events[i], 0) {
			out = append(out, w.events[i])
		}
	}
	if w.dry.running() {
		out = append(out, stress{Stress{StressDrought, w.dry.newest.Date, NoEnd}, NitrateRainWait, w.dry.first.ID})
	}
	return out
}

// proper: a laboratory sampling with enough stems and spots, its cut height
// said and low enough (§9.8).
func (b *Rulebook) proper(l *fields.Lab) bool {
	_, known := NitrateDM(l, 0)
	return known && l.Analyte == fields.AnalyteNitrate && l.Method == fields.MethodLab &&
		atLeast(l.Stems, b.V[NitrateSampleStems]) && atLeast(l.Spots, b.V[NitrateSampleSpots]) &&
		l.CutCM != nil && *l.CutCM <= b.V[NitrateSampleCutCM]+cutSlack
}

// cutSlack, cm, lets a cut typed as 4 in (10.16 cm) meet the 10 cm line (§2.7).
const cutSlack = 0.2

func atLeast(v *float64, want float64) bool { return v != nil && *v >= want }

// nitrateResults returns the last of some results that can clear (nil for none) and
// those that count beside it: all of its date or later, or all of them.
func nitrateResults(
	labs []fields.LabFact, clears func(fields.LabFact) bool,
) (last *fields.LabFact, counting []fields.LabFact) {
	for i := range labs {
		if labs[i].Analyte == fields.AnalyteNitrate && clears(labs[i]) {
			last = &labs[i]
		}
	}
	for _, f := range labs {
		if f.Analyte == fields.AnalyteNitrate && (last == nil || f.Date >= last.Date) {
			counting = append(counting, f)
		}
	}
	return last, counting
}

// results are the nitrate results that bear on the stand.
func (g *ground) results() (proper *fields.LabFact, counting []fields.LabFact) {
	return nitrateResults(fields.Between(g.Labs, g.stand.start, g.x), func(f fields.LabFact) bool {
		return f.Date > g.stand.sownFirst && f.Lab.Lot == "" && g.book.proper(f.Lab)
	})
}

// worstOf is the worst of some results for a class, with the smallest share of all.
func (b *Rulebook) worstOf(fs []fields.LabFact, c Class, waterPPM float64) (worst NitrateSays, at fields.LabFact) {
	share := 100.0
	for _, f := range fs {
		a := b.labAnswer(f.Lab, c, waterPPM)
		share = min(share, a.MaxShare)
		if at.Lab == nil || a.Flag > worst.Flag || a.Flag == worst.Flag && f.Date > at.Date {
			worst, at = a, f
		}
	}
	worst.MaxShare = share
	return worst, at
}

// nitrateFor prepares the nitrate answers for one use (§9.11 to §9.14; swath and chop by
// §9.13): what does not depend on the class is worked out once.
func (g *ground) nitrateFor(u Use) func(c Class) (rs []Reason, share float64) {
	always := func(rs []Reason) func(Class) ([]Reason, float64) {
		return func(Class) ([]Reason, float64) { return rs, -1 }
	}
	var w growth
	var sw *swath
	switch u {
	case CutHay, CutSilage:
		return always(g.nitrateCut())
	case SwathGraze:
		found, ok := g.findSwath()
		if !ok {
			return always(say(LineNoSwath, Reason{On: found.cut}))
		}
		w, sw = *g.growth(found.cut, found.cut, g.frostsFrom()), &found
	default:
		w = g.growthNow()
	}
	s := w.sampled(sw)
	return func(c Class) ([]Reason, float64) {
		rs, share := w.answer(c, sw, &s)
		return withWorse(rs, g.book.waterLines(g.sources(), c)), share
	}
}

// tender are the classes judged as pregnant cattle (§2.3).
func tender(c Class) bool { return c == BredCattle || c == YoungCattle || c == Sheep || c == Goats }

// sampled is what the samplings and stresses of a growth are to every class.
type sampled struct {
	proper   *fields.LabFact
	counting []fields.LabFact
	running  []stress
	state    sampleState
	life     int
}

func (w *growth) sampled(sw *swath) (s sampled) {
	s.proper, s.counting = w.results()
	s.running = w.running()
	s.state, s.life = w.sampleState(s.proper, sw)
	return s
}

// clears reports a proper sampling that is clear for a class; of one date every one must be.
func (s *sampled) clears(b *Rulebook, c Class, waterPPM float64) bool {
	return s.proper != nil && !slices.ContainsFunc(s.counting, func(o fields.LabFact) bool {
		return o.Date == s.proper.Date && b.proper(o.Lab) && b.labAnswer(o.Lab, c, waterPPM).Flag != Clear
	})
}

// answer is the nitrate answer for a class (§9.11, §9.12), of a swath if there is one,
// and the share of the ration that a proper sampling allows, -1 without one.
func (w *growth) answer(c Class, sw *swath, s *sampled) (rs []Reason, share float64) {
	water := w.book.waterPPM(w.sources(), c)
	proper, running, state := s.proper, s.running, s.state
	worst, at := w.book.worstOf(s.counting, c, water)
	share = -1
	if proper != nil {
		share = worst.MaxShare
	}
	against := worst.Flag > Clear
	if against {
		rs = append(rs, resultReason(LineNitrateTable, worst, at))
	}
	if w.stand.unlisted {
		return append(rs, say(LineUnlisted, Reason{})...), share
	}
	clearing := s.clears(w.book, c, water)
	holds := len(running) > 0 && tender(c) && w.accumulates()
	switch {
	case clearing && state == sampleClears && !(against && holds):
		rs = join(rs, w.waitLine(LineNitrateInsideWait, running))
		rs = join(rs, w.openLine(nil))
		if sw == nil {
			rs = join(rs, w.nightsSince(proper.Date))
		}
		if len(rs) == 0 {
			rs = append(rs, resultReason(LineNitrateClears, worst, at))
		}
	case !w.accumulates():
		rs = join(rs, w.lowStand(running, !against))
	case holds && !(clearing && !against && w.frostAlone(proper, sw, running)):
		rs = join(rs, w.waitLine(LineNitrateWait, running))
	default:
		rs = join(rs, w.waitLine(LineNitrateInsideWait, running))
		rs = join(rs, w.openLine(proper))
		if !clearing || state != sampleOpen { // else the walk that bears those nights is all that is missing
			rs = join(rs, w.untested(proper, state, s.life))
		}
	}
	return rs, share
}

// join adds answers; where there are none yet nothing is copied.
func join(rs, more []Reason) []Reason {
	if len(rs) == 0 {
		return more
	}
	return append(rs, more...)
}

// untested says what the last proper sampling lacks.
func (w *growth) untested(proper *fields.LabFact, state sampleState, life int) []Reason {
	line, r := LineNitrateUntested, Reason{Plants: w.stand.names(), Dosed: w.gathers.fertilised}
	if proper != nil {
		r.On, r.Entries = proper.Date, []string{proper.ID}
	}
	switch state {
	case sampleOvertaken, sampleOpen:
		line = LineNitrateOvertaken
	case sampleAged:
		line, r.Days = LineNitrateAged, life
	}
	return say(line, r)
}

// openLine names the light nights of a hardy stand that no walk has borne yet:
// caution until their frost wait would have ended, and for as long as they
// overtake a sample.
func (w *growth) openLine(sample *fields.LabFact) []Reason {
	var nights []fields.Date
	for _, d := range w.open {
		if w.x <= d.Add(w.book.Days(NitrateFrostWait)) || sample != nil && d >= sample.Date {
			nights = append(nights, d)
		}
	}
	if len(nights) == 0 {
		return nil
	}
	last := nights[len(nights)-1]
	return say(LineNitrateOpen, Reason{
		On: last, Nights: nights, WalkOn: last.Add(w.book.Days(FrostKillWalkAfter)), Plants: w.stand.names(),
		Entries: w.nightEntries(last),
	})
}

func resultReason(line Line, a NitrateSays, f fields.LabFact) Reason {
	r := Reason{Rule: "nitrate.tables", Flag: a.Flag, On: f.Date, Entries: []string{f.ID}, Nitrate: &a}
	if a.Flag != Clear {
		r.Need = NeedDecision
	}
	return say(line, r)[0]
}

// waitLine names the latest of the running waits: a hold, or inside a wait caution.
func (w *growth) waitLine(line Line, waits []stress) []Reason {
	if len(waits) == 0 {
		return nil
	}
	last, on := waits[0], waits[0].On
	for _, s := range waits {
		on = max(on, s.On)
		if s.Ends > last.Ends || s.Ends == last.Ends && s.On > last.On {
			last = s
		}
	}
	r := Reason{
		Rule: last.wait.String(), Flag: Caution, Need: NeedTime, On: on, Days: w.book.Days(last.wait), Stress: last.Stress,
		Entries: w.stressEntries(last),
	}
	if last.Ends == NoEnd {
		r.Need = NeedDecision
	}
	if line == LineNitrateWait {
		r.Flag, r.Through = Hold, last.Ends
	}
	return say(line, r)
}

func (g *ground) stressEntries(s stress) []string {
	if s.id == "" {
		return g.nightEntries(s.On)
	}
	return []string{s.id}
}

type sampleState uint8

const (
	sampleNone sampleState = iota
	sampleClears
	sampleOvertaken // a stress, cut or graze-out of the same or a later date
	sampleOpen      // overtaken by open light nights and nothing else
	sampleAged
)

// sampleState says whether the latest proper sampling still speaks for the
// growth (§9.9, §9.10), and within how many days it would have to lie.
func (w *growth) sampleState(p *fields.LabFact, sw *swath) (sampleState, int) {
	if p == nil {
		return sampleNone, 0
	}
	if w.changed(p, sw) || w.stressedSince(p, true) || w.hasPerennialGrass() && w.dosedIn(p.Date) {
		return sampleOvertaken, 0
	}
	life := w.sampleLife(p.Date, sw)
	switch {
	case life >= 0 && w.x.Sub(p.Date) > life:
		return sampleAged, life
	case len(w.open) > 0 && w.open[len(w.open)-1] >= p.Date:
		return sampleOpen, life
	}
	return sampleClears, life
}

// stressedSince reports a frost, or any other stress, on the day of a sample or later.
func (w *growth) stressedSince(p *fields.LabFact, frost bool) bool {
	return slices.ContainsFunc(w.events, func(s stress) bool { return s.On >= p.Date && (s.Kind == StressFrost) == frost })
}

// changed reports whether anything but frost and nitrogen of any rate came over the
// growth on the day of a sample or later: it was taken, something was sown that was not
// in the bag, or a stress. Stock eat the leaves and leave the stems, in a swath too.
func (w *growth) changed(p *fields.LabFact, sw *swath) bool {
	taken := w.resetBy(w.x) >= p.Date
	if sw != nil {
		taken = p.Date < sw.cut || slices.ContainsFunc(w.stays, func(s fields.Stay) bool { return s.Out >= p.Date })
	}
	return taken || lastDate(w.Sown) >= p.Date || w.stressedSince(p, false)
}

// dosedIn reports nitrogen of any rate from a day on.
func (w *growth) dosedIn(from fields.Date) bool {
	return len(fields.Between(w.Nitrogen, from, w.upTo)) > 0
}

// sampleLife returns the life in days of a proper sampling, -1 for no ageing (§9.9).
// Without a walk that signs the stand free of stress it keeps the shorter life: were it
// none, a frost long past could make an answer better.
func (w *growth) sampleLife(d fields.Date, sw *swath) int {
	if sw != nil && sw.base != fields.NoDate || sw == nil && w.nothing() && d >= w.dead {
		return -1
	}
	short := w.book.Days(NitrateStandingLifeInWait)
	after := w.book.Days(NitrateAfterWait)
	if w.dry.running() || slices.ContainsFunc(w.events, func(s stress) bool { return w.waits(&s, after) }) || !w.stressFree() ||
		w.dosedIn(w.x.Add(-w.book.Days(NitrateFresh))) {
		return short
	}
	return max(short, w.book.Days(NitrateStandingLife))
}

// nightsSince keeps a clear sample at caution for unread or possible nights
// since it, until a walk at least 2 days later finds no frost damage.
func (w *growth) nightsSince(d fields.Date) []Reason {
	if !w.accumulates() || w.nothing() {
		return nil
	}
	apart := w.book.Days(FrostKillWalkAfter)
	var nights, maybe []fields.Date
	for n := d; n <= w.x; n++ {
		possible := w.at(n).maybe() && !(w.gathers.hardy && w.borneBefore(n, w.x))
		if (possible || w.unread(n)) && !w.undamagedIn(n.Add(apart), w.x) {
			nights = append(nights, n)
			if !w.unread(n) {
				maybe = append(maybe, n)
			}
		}
	}
	if len(nights) == 0 {
		return nil
	}
	return say(LineNitrateNights, Reason{On: nights[len(nights)-1], Proof: d, Nights: nights, Maybe: maybe})
}

// lowStand answers for listed stands that do not accumulate (§9.12).
func (w *growth) lowStand(running []stress, nothingAgainst bool) []Reason {
	rs := w.waitLine(LineNitrateInsideWait, running)
	if len(w.gathers.weedy) > 0 {
		rs = append(rs, say(LineNitrateWeedy, Reason{Plants: w.gathers.weedy})...)
	}
	fresh := w.book.Days(NitrateFresh)
	if doses := fields.Between(w.Nitrogen, w.x.Add(-fresh), w.upTo); len(doses) > 0 {
		f := doses[len(doses)-1]
		rs = append(rs, say(LineNitrateFresh, Reason{
			On: f.Date, Ends: f.Date.Add(fresh), Days: fresh, Entries: []string{f.ID},
		})...)
	}
	life := NitrateWeedWalk
	if w.gathers.sod {
		life = NitrateWeedWalkSod
	}
	days := w.book.Days(life)
	if !w.weedsOfStand(w.x.Add(-days)) {
		rs = append(rs, say(LineNitrateLowUnsure, Reason{Rule: life.String(), Plants: w.stand.names(), Days: days})...)
	}
	if len(rs) == 0 && nothingAgainst {
		rs = append(rs, say(LineNitrateLow, Reason{Plants: w.stand.names(), Trace: w.gathers.trace})...)
	}
	return rs
}

// frostAlone: a proper result of the last 28 days that would have cleared, had no frost
// come since; only frost waits may be running (§9.11).
func (w *growth) frostAlone(p *fields.LabFact, sw *swath, running []stress) bool {
	return w.x.Sub(p.Date) <= w.book.Days(NitrateStandingLife) && !w.dosedIn(p.Date) && !w.changed(p, sw) &&
		!slices.ContainsFunc(running, func(s stress) bool { return s.Kind != StressFrost })
}

// nitrateCut answers whether the stand may be cut for hay or silage (§9.14).
func (g *ground) nitrateCut() []Reason {
	w := g.growthNow()
	w.openAsFrost()
	rs := g.stand.unlistedLine()
	var cutNow fields.Date
	for _, s := range w.running() {
		r := Reason{
			Line: LineNitrateCutRain, Rule: s.wait.String(), Flag: Caution, Need: NeedTime, On: s.On,
			Days: g.book.Days(s.wait), Stress: s.Stress, Entries: unique(s.id),
		}
		switch {
		case s.Kind == StressDrought:
			r = Reason{
				Line: LineNitrateDrought, Rule: r.Rule, Flag: Caution, Need: NeedDecision, On: w.dry.first.Date,
				Began: w.dry.first.Date, Entries: r.Entries,
			}
		case s.Kind == StressFrost || s.Kind == StressHail:
			r.Line = LineNitratePeak
			if g.x.Sub(s.On) <= 1 {
				cutNow = max(cutNow, s.On)
				continue
			}
		}
		rs = newest(rs, r)
	}
	_, counting := g.results()
	for _, c := range Classes {
		if a, f := g.book.worstOf(counting, c, 0); a.Flag == Hold {
			r := resultReason(LineNitrateCutBar, a, f)
			r.Flag, r.Through = Caution, fields.NoDate
			rs = append(rs, r)
			break
		}
	}
	line := LineCutClear
	if cutNow != fields.NoDate {
		line = LineNitrateCutNow
	}
	return orClear(rs, line, Reason{On: cutNow, Plants: g.stand.names()})
}

// newest adds an answer or, of several events on one line and rule, keeps the newest:
// thirty frosts need one sentence.
func newest(rs []Reason, r Reason) []Reason {
	i := slices.IndexFunc(rs, func(o Reason) bool { return o.Line == r.Line && o.Rule == r.Rule })
	switch {
	case i < 0:
		return append(rs, r)
	case r.On > rs[i].On:
		rs[i] = r
	}
	return rs
}
