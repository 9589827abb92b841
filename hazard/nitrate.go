package hazard

import (
	"math"
	"slices"

	"rimegate/fields"
)

// Molar masses, g/mol, from the standard atomic weights N 14.007, O 15.999,
// K 39.098, Na 22.990 (IUPAC, abridged).
const (
	molN     = 14.007
	molNO3   = 14.007 + 3*15.999
	molKNO3  = 39.098 + molNO3
	molNaNO3 = 22.990 + molNO3
)

// molarMass returns g of the form per mole of nitrogen, 0 for an unknown form.
func molarMass(form fields.Form) float64 {
	switch form {
	case "NO3-N":
		return molN
	case "NO3":
		return molNO3
	case "KNO3":
		return molKNO3
	case "NaNO3":
		return molNaNO3
	}
	return 0
}

// ConvertNitrate converts a concentration of one form of nitrate to another by
// atomic weights. Forms are NO3-N, NO3, KNO3 and NaNO3; NaN for any other.
func ConvertNitrate(v float64, from, to fields.Form) float64 {
	a, b := molarMass(from), molarMass(to)
	if a == 0 || b == 0 {
		return math.NaN()
	}
	return v * b / a
}

// NitrateDM returns a value of the result as ppm of its own form on dry
// matter; ok is false for an as-fed figure without dry matter.
func NitrateDM(l *fields.Lab, v float64) (ppm float64, ok bool) {
	ppm = v * perPPM(l.Unit)
	if l.Basis == "dm" {
		return ppm, true
	}
	if l.DMPct == nil {
		return 0, false
	}
	return ppm / (*l.DMPct / 100), true
}

func highest(vs []float64) float64 {
	m := math.Inf(-1)
	for _, v := range vs {
		m = max(m, v)
	}
	return m
}

// edgeSlack turns a value on a band's edge toward the worse band.
const edgeSlack = 1e-9

type stress struct {
	kind StressKind
	date fields.Date
	id   string
}

// growth is the standing or swathed growth a nitrate answer is about.
type growth struct {
	g       *ground
	upTo    fields.Date // stresses after it do not count (a swath's cut date)
	kill    kill
	nothing bool        // confirmed dead with nothing alive
	from    fields.Date // since when
	walked  fields.Date // the last day on which a walk of the stand speaks of it
	gathers gathering
	accum   bool
	events  []stress
	open    []fields.Date // light nights of a hardy stand that no walk has borne
}

// growth is what stands on the day upTo or, with cut, what was cut on that day.
func (g *ground) growth(upTo, cut fields.Date) growth {
	w := growth{g: g, upTo: upTo, walked: upTo, kill: g.findKillAll(upTo)}
	if cut != fields.NoDate {
		w.walked = min(upTo, cut)
	}
	w.from = g.nothingFrom(w.kill, upTo)
	w.nothing = w.from != fields.NoDate
	w.gathers = g.gather(g.seasonOf(upTo, cut), w.walked)
	w.accum = w.gathers.accumulates()
	if w.accum { // other listed stands take no stress from frost
		for d := max(g.stand.start, g.nightsFrom); d <= upTo; d++ {
			w.frost(d)
		}
	}
	w.events = append(w.events, g.stresses(w, g.doseSeason(upTo, cut))...)
	return w
}

// frost takes the night of d in, if it froze something that lived.
func (w *growth) frost(d fields.Date) {
	if !w.g.isTrigger(d) || w.nothing && d > w.from {
		return
	}
	switch w.g.frostOf(d, w.gathers.hardy, w.walked) {
	case frostHard:
		w.events = append(w.events, stress{StressFrost, d, ""})
	case frostOpen:
		w.open = append(w.open, d)
	}
}

// growthNow is the growth that stands on the day asked, with a frost already
// seen in the night that follows.
func (g *ground) growthNow() growth {
	w := g.growth(g.x, fields.NoDate)
	if w.accum && !w.nothing {
		w.frost(g.x + 1)
	}
	return w
}

// nothingFrom returns the day from which nothing on the stand lived, NoDate if
// something may: the earliest walk since the base that recorded nothing alive,
// not before any sighting, 28 days or more after any sowing (what is drilled into a
// dead stand is not up yet), with no walk of that day or later naming something alive. Without P a clean walk is such a record. More
// bad news only moves the day later.
func (g *ground) nothingFrom(k kill, upTo fields.Date) fields.Date {
	if !k.confirmed || k.base <= g.stand.newStand { // an old stand's kill says nothing of what was sown since
		return fields.NoDate
	}
	var sown, seen, alive fields.Date
	for _, f := range g.sown {
		if f.Date <= upTo {
			sown = max(sown, f.Date)
		}
	}
	for _, f := range g.seen {
		seen = max(seen, f.Date)
	}
	for _, f := range g.walks {
		if w := f.Body.(*fields.Walk); len(w.Alive) > 0 && f.Date <= upTo {
			alive = max(alive, f.Date)
		}
	}
	for _, f := range g.walks {
		w := f.Body.(*fields.Walk)
		// Without P the kill walk speaks of the whole stand.
		none := w.Alive != nil && len(w.Alive) == 0 || !g.stand.hasP() && g.clean(w) && len(w.Alive) == 0
		if none && f.Date >= k.base && f.Date <= upTo && f.Date >= seen && (sown == fields.NoDate || f.Date >= sown.Add(g.book.Days(NitrateDeadAfterSown))) && f.Date > alive {
			return f.Date
		}
	}
	return fields.NoDate
}

// stresses lists every stress of the growth but its frosts.
func (g *ground) stresses(w growth, doses season) []stress {
	var out []stress
	for _, f := range g.harm {
		k := StressHail
		switch f.Kind() {
		case fields.KindTrampled:
			k = StressTrampled
		case fields.KindSprayed:
			k = StressSprayed
		}
		if f.Date <= w.upTo {
			out = append(out, stress{k, f.Date, f.ID})
		}
	}
	for _, f := range g.drought {
		if f.Date > w.upTo {
			continue
		}
		k := StressDrought
		if f.Body.(*fields.Drought).State == "end" {
			k = StressRain
		}
		out = append(out, stress{k, f.Date, f.ID})
	}
	for _, f := range g.nitrogenStress(doses) {
		out = append(out, stress{StressNitrogen, f.Date, f.ID})
	}
	return out
}

// nitrogenStress returns the applications of a season at or after which its total
// reaches the flag rate; a rate not stated reaches it alone.
func (g *ground) nitrogenStress(s season) []fields.Fact {
	var out []fields.Fact
	for _, f := range g.nitrogen {
		if !s.holds(f.Date) {
			continue
		}
		sum := 0.0
		for _, o := range g.nitrogen {
			if !s.holds(o.Date) || o.Date > f.Date {
				continue
			}
			if rate := o.Body.(*fields.Nitrogen).KgNHa; rate != nil {
				sum += *rate
			} else {
				sum = math.Inf(1)
			}
		}
		if sum >= g.book.V[NitrateNitrogenFlag]*(1-edgeSlack) {
			out = append(out, f)
		}
	}
	return out
}

// nitrateWait is one running wait.
type nitrateWait struct {
	kind    StressKind
	on      fields.Date
	through fields.Date // NoEnd while a drought runs
	key     RuleKey
	id      string
}

var nitrateWaits = map[StressKind]RuleKey{
	StressFrost: NitrateFrostWait, StressHail: NitrateHailWait, StressTrampled: NitrateTrampledWait,
	StressSprayed: NitrateSprayWait, StressRain: NitrateRainWait,
}

// waits returns the waits that run on day x or, with after > 0, that ended at
// most that many days before it.
func (w *growth) waits(x fields.Date, after int) []nitrateWait {
	var out []nitrateWait
	for _, s := range w.events {
		key, ok := nitrateWaits[s.kind]
		if !ok || s.kind == StressFrost && w.nothing {
			continue // a stand dead with nothing alive ends its frost waits
		}
		through := s.date.Add(w.g.book.Days(key))
		if x <= through.Add(after) {
			out = append(out, nitrateWait{s.kind, s.date, through, key, s.id})
		}
	}
	if start, _, id, _ := w.g.droughtState(w.upTo); start != fields.NoDate {
		last := start
		for _, s := range w.events {
			if s.kind == StressDrought && s.date >= start {
				last = max(last, s.date)
			}
		}
		out = append(out, nitrateWait{StressDrought, last, NoEnd, NitrateRainWait, id})
	}
	return out
}

// proper: a laboratory sampling with enough stems and spots, its cut height
// said and low enough.
func (g *ground) proper(l *fields.Lab) bool {
	if l.Analyte != "nitrate" || l.Method != "lab" {
		return false
	}
	if _, ok := NitrateDM(l, 0); !ok {
		return false
	}
	return atLeast(l.Stems, g.book.V[NitrateSampleStems]) && atLeast(l.Spots, g.book.V[NitrateSampleSpots]) &&
		l.CutCM != nil && *l.CutCM <= g.book.V[NitrateSampleCutCM]+cutSlack
}

// cutSlack, cm, lets a cut typed as 4 in (10.16 cm) meet the 10 cm line.
const cutSlack = 0.2

func atLeast(v *float64, want float64) bool { return v != nil && *v >= want }

// results are the nitrate results that bear on the stand: the latest proper
// sampling (nil if none) and all that count against it.
func (g *ground) results() (proper *fields.Fact, against []fields.Fact) {
	for i := range g.labs {
		f := &g.labs[i]
		if f.Body.(*fields.Lab).Analyte == "nitrate" && g.proper(f.Body.(*fields.Lab)) && g.ofStand(f.Date) && f.Date > g.stand.sownFirst {
			proper = f // the latest: facts come in order of date
		}
	}
	for _, f := range g.labs {
		if f.Body.(*fields.Lab).Analyte != "nitrate" || !g.ofStand(f.Date) {
			continue
		}
		if proper == nil || f.Date >= proper.Date {
			against = append(against, f)
		}
	}
	return proper, against
}

func (g *ground) ofStand(d fields.Date) bool {
	return g.stand.neverSown || g.stand.start == fields.NoDate || d >= g.stand.start
}

// worstResult is the worst of the results for a class.
func (g *ground) worstResult(fs []fields.Fact, c Class, waterPPM float64) (NitrateSays, fields.Fact) {
	var worst NitrateSays
	var at fields.Fact
	share := 100.0
	for _, f := range fs {
		a := g.book.labAnswer(f.Body.(*fields.Lab), c, waterPPM)
		share = min(share, a.MaxShare)
		if at.Entry == nil || a.Flag > worst.Flag || a.Flag == worst.Flag && f.Date > at.Date {
			worst, at = a, f
		}
	}
	worst.MaxShare = share
	return worst, at
}

// nitrateFor prepares the nitrate answers for one use: what does not depend on
// the class is worked out once, the rest when a class is asked.
func (g *ground) nitrateFor(u Use) func(c Class) (rs []Reason, share float64) {
	always := func(rs []Reason) func(Class) ([]Reason, float64) {
		return func(Class) ([]Reason, float64) { return rs, -1 }
	}
	switch u {
	case CutHay, CutSilage:
		return always(g.nitrateCut())
	case SwathGraze:
		w, ok := g.findSwath()
		if !ok {
			return always([]Reason{{Line: LineNoSwath, Rule: "use.no-swath", Flag: Hold, Through: NoEnd, Need: NeedDecision, On: w.cut, undated: true}})
		}
		lying := g.growth(w.cut, w.cut)
		return g.withWater(func(c Class) ([]Reason, float64) { return g.nitrateStanding(c, lying, &w) })
	}
	standing := g.growthNow()
	return g.withWater(func(c Class) ([]Reason, float64) { return g.nitrateStanding(c, standing, nil) })
}

// withWater adds what the stock drink to what they eat.
func (g *ground) withWater(feed func(Class) ([]Reason, float64)) func(Class) ([]Reason, float64) {
	return func(c Class) ([]Reason, float64) {
		rs, share := feed(c)
		return withWorse(rs, g.book.waterLines(g.sources(), c)), share
	}
}

// tender are the classes judged as pregnant cattle.
func tender(c Class) bool { return c == BredCattle || c == YoungCattle || c == Sheep || c == Goats }

func (g *ground) nitrateStanding(c Class, w growth, sw *swath) (rs []Reason, share float64) {
	share = -1
	water := g.book.waterPPM(g.sources(), c)
	proper, against := g.results()
	clearing := false // the proper sampling itself is clear for the class
	speaksAgainst := false
	if len(against) > 0 {
		a, f := g.worstResult(against, c, water)
		if proper != nil {
			share = a.MaxShare
			clearing = true
			for _, o := range against { // of one date every proper sampling must be clear
				if l := o.Body.(*fields.Lab); o.Date == proper.Date && g.proper(l) {
					clearing = clearing && g.book.labAnswer(l, c, water).Flag == Clear
				}
			}
		}
		speaksAgainst = a.Flag != Clear
		if a.Flag != Clear {
			rs = append(rs, resultReason(LineNitrateTable, a, f))
		}
	}
	if g.stand.unlisted {
		return append(rs, Reason{Line: LineUnlisted, Rule: "species.unlisted", Flag: Caution, Need: NeedEvidence}), share
	}
	running := w.waits(g.x, 0)
	state, limit := g.sampleState(proper, &w, sw)
	if proper != nil && clearing && state == sampleClears {
		if len(running) > 0 {
			rs = append(rs, g.waitReason(LineNitrateInsideWait, running, Caution))
		}
		rs = append(rs, w.openLine(nil)...)
		if sw == nil && w.accum && !w.nothing {
			rs = append(rs, g.nightsSince(proper.Date, w.gathers.hardy)...)
		}
		if len(rs) == 0 {
			a, f := g.worstResult(against, c, water)
			rs = append(rs, resultReason(LineNitrateClears, a, f))
		}
		return rs, share
	}
	if !w.accum {
		return append(rs, g.lowStand(&w, running, !speaksAgainst)...), share
	}
	untested := Reason{Line: LineNitrateUntested, Rule: g.rule(NitrateStandingLife), Flag: Caution, Need: NeedEvidence, Plants: g.listed(), Dosed: w.gathers.fertilised}
	if proper != nil {
		untested.On, untested.Entries = proper.Date, []string{proper.ID}
		switch state {
		case sampleOvertaken, sampleOpen:
			untested.Line = LineNitrateOvertaken
		case sampleAged:
			untested.Line, untested.Days = LineNitrateAged, limit
		}
	}
	if len(running) > 0 && tender(c) && !(clearing && !speaksAgainst && g.overtakenByFrostAlone(proper, &w, sw, running)) {
		return append(rs, g.waitReason(LineNitrateWait, running, Hold)), share
	}
	if len(running) > 0 {
		rs = append(rs, g.waitReason(LineNitrateInsideWait, running, Caution))
	}
	rs = append(rs, w.openLine(proper)...)
	if clearing && state == sampleOpen {
		return rs, share // the walk that bears those nights is all that is missing
	}
	return append(rs, untested), share
}

// openLine names the light nights of a hardy stand that no walk has borne yet:
// caution until their frost wait would have ended, and for as long as they
// overtake a sample.
func (w *growth) openLine(sample *fields.Fact) []Reason {
	g := w.g
	var nights []fields.Date
	for _, d := range w.open {
		if g.x <= d.Add(g.book.Days(NitrateFrostWait)) || sample != nil && d >= sample.Date {
			nights = append(nights, d)
		}
	}
	if len(nights) == 0 {
		return nil
	}
	last := nights[len(nights)-1]
	return []Reason{{
		Line: LineNitrateOpen, Rule: "night.light", Flag: Caution, Need: NeedEvidence, On: last, Nights: nights,
		WalkOn: last.Add(g.book.Days(FrostKillWalkAfter)), Plants: g.listed(), Entries: g.nightEntries(last),
	}}
}

func resultReason(line Line, a NitrateSays, f fields.Fact) Reason {
	r := Reason{Line: line, Rule: "nitrate.tables", Flag: a.Flag, On: f.Date, Entries: []string{f.ID}, Nitrate: &a}
	switch a.Flag {
	case Hold:
		r.Through, r.Need = NoEnd, NeedDecision
	case Caution:
		r.Need = NeedDecision
	}
	return r
}

// waitReason names the latest of the running waits.
func (g *ground) waitReason(line Line, ws []nitrateWait, flag Flag) Reason {
	last := ws[0]
	on := ws[0].on
	for _, w := range ws {
		on = max(on, w.on)
		if w.through > last.through || w.through == last.through && w.on > last.on {
			last = w
		}
	}
	r := Reason{Line: line, Rule: last.key.String(), Flag: flag, Need: NeedTime, On: on, Days: g.book.Days(last.key), Stress: Stress{last.kind, last.on, last.through}}
	if last.id != "" {
		r.Entries = []string{last.id}
	} else {
		r.Entries = g.nightEntries(last.on)
	}
	if last.through == NoEnd {
		r.Need = NeedDecision
	}
	if flag == Hold {
		r.Through = last.through
	}
	return r
}

type sampleStateKind uint8

const (
	sampleNone sampleStateKind = iota
	sampleClears
	sampleOvertaken // a stress, cut or graze-out of the same or a later date
	sampleOpen      // overtaken by open light nights and nothing else
	sampleAged
)

// sampleState says whether the latest proper sampling still speaks for the
// growth, and within how many days it would have to lie.
func (g *ground) sampleState(p *fields.Fact, w *growth, sw *swath) (sampleStateKind, int) {
	if p == nil {
		return sampleNone, 0
	}
	if sw != nil {
		// Stock eat the leaves and leave the stems, in a swath too.
		if p.Date < sw.cut || g.grazedOutSince(p.Date) {
			return sampleOvertaken, 0
		}
	} else if g.resetAfter(p.Date-1, g.x) {
		return sampleOvertaken, 0
	}
	for _, f := range g.sown {
		if f.Date >= p.Date {
			return sampleOvertaken, 0 // what was sown since was not in the bag
		}
	}
	for _, s := range w.events {
		if s.date >= p.Date {
			return sampleOvertaken, 0
		}
	}
	if g.hasPerennialGrass() && g.dosedIn(p.Date, w.upTo) {
		return sampleOvertaken, 0
	}
	life := g.sampleLife(p.Date, w, sw)
	switch {
	case life >= 0 && g.x.Sub(p.Date) > life:
		return sampleAged, life
	case len(w.open) > 0 && w.open[len(w.open)-1] >= p.Date:
		return sampleOpen, life
	}
	return sampleClears, life
}

// dosedIn reports nitrogen of any rate from a day to another.
func (g *ground) dosedIn(from, to fields.Date) bool {
	return slices.ContainsFunc(g.nitrogen, func(f fields.Fact) bool { return f.Date >= from && f.Date <= to })
}

func (g *ground) grazedOutSince(d fields.Date) bool {
	for _, s := range g.stays {
		if s.Out != fields.NoDate && s.Out >= d {
			return true
		}
	}
	return false
}

// sampleLife returns the life in days of a proper sampling, -1 for no ageing:
// 10 days inside or within 14 days after a wait or within 30 days after nitrogen,
// else 28 days if a walk of the last 7 days signs stress_free. Without that signature it keeps the shorter
// life: were it none, a frost long past could make an answer better.
func (g *ground) sampleLife(d fields.Date, w *growth, sw *swath) int {
	if sw != nil && sw.base != fields.NoDate {
		return -1
	}
	if sw == nil && w.nothing && d >= w.from {
		return -1
	}
	short := g.book.Days(NitrateStandingLifeInWait)
	if len(w.waits(g.x, g.book.Days(NitrateAfterWait))) > 0 || !g.stressFree() || g.dosedIn(g.x.Add(-g.book.Days(NitrateFresh)), w.upTo) {
		return short
	}
	return max(short, g.book.Days(NitrateStandingLife))
}

// stressFree reports that the last walk that said so signs the stand free of
// stress, within 7 days; of one date, a "no" counts.
func (g *ground) stressFree() bool {
	const within = 7
	var date fields.Date
	free := false
	for _, f := range g.walks {
		w := f.Body.(*fields.Walk)
		if w.StressFree == nil || !g.stand.countsForStand(f.Date) {
			continue
		}
		if f.Date == date {
			free = free && *w.StressFree
		} else {
			free = *w.StressFree
		}
		date = f.Date
	}
	return free && g.x.Sub(date) <= within
}

// nightsSince keeps a clear sample at caution for unread or possible nights
// since it, until a walk at least 2 days later finds no frost damage.
func (g *ground) nightsSince(d fields.Date, hardy bool) []Reason {
	apart := g.book.Days(FrostKillWalkAfter)
	var nights []fields.Date
	for n := d; n <= g.x; n++ {
		at := g.at(n)
		possible := at != nil && at.possible && !at.trigger && !at.inPaddock && !(hardy && g.borneBefore(n, g.x))
		if (possible || g.unread(n)) && !g.undamagedIn(n.Add(apart), g.x) {
			nights = append(nights, n)
		}
	}
	if len(nights) == 0 {
		return nil
	}
	return []Reason{{Line: LineNitrateNights, Rule: "night.unread", Flag: Caution, Need: NeedEvidence, On: nights[len(nights)-1], Proof: d, Nights: nights}}
}

// lowStand answers for listed stands that do not accumulate.
func (g *ground) lowStand(w *growth, running []nitrateWait, nothingAgainst bool) []Reason {
	var rs []Reason
	if len(running) > 0 {
		rs = append(rs, g.waitReason(LineNitrateInsideWait, running, Caution))
	}
	if len(w.gathers.weedy) > 0 {
		rs = append(rs, Reason{Line: LineNitrateWeedy, Rule: "nitrate.weedy", Flag: Caution, Need: NeedEvidence, Plants: w.gathers.weedy})
	}
	fresh := g.book.Days(NitrateFresh)
	for i := len(g.nitrogen) - 1; i >= 0; i-- {
		if f := g.nitrogen[i]; f.Date <= w.upTo && f.Date >= g.x.Add(-fresh) {
			rs = append(rs, Reason{
				Line: LineNitrateFresh, Rule: g.rule(NitrateFresh), Flag: Caution, Need: NeedTime, On: f.Date, Ends: f.Date.Add(fresh), Days: fresh, Entries: []string{f.ID},
			})
			break
		}
	}
	life := NitrateWeedWalk
	if w.gathers.sod {
		life = NitrateWeedWalkSod
	}
	days := g.book.Days(life)
	if _, checked := g.weedsOfStand(g.x.Add(-days)); !checked {
		rs = append(rs, Reason{Line: LineNitrateLowUnsure, Rule: g.rule(life), Flag: Caution, Need: NeedEvidence, Plants: g.listed(), Days: days})
	}
	if len(rs) == 0 && nothingAgainst {
		rs = append(rs, Reason{Line: LineNitrateLow, Rule: "nitrate.low", Flag: Clear, Plants: g.listed(), Trace: w.gathers.trace})
	}
	return rs
}

// overtakenByFrostAlone: a proper result of the last 28 days that would have
// cleared, had no frost come since (the caller asks that no result speaks
// against the stand). Only frost waits may be running.
func (g *ground) overtakenByFrostAlone(p *fields.Fact, w *growth, sw *swath, running []nitrateWait) bool {
	if p == nil || g.x.Sub(p.Date) > g.book.Days(NitrateStandingLife) || g.dosedIn(p.Date, w.upTo) {
		return false
	}
	for _, f := range g.sown {
		if f.Date >= p.Date {
			return false
		}
	}
	if sw != nil && (p.Date < sw.cut || g.grazedOutSince(p.Date)) || sw == nil && g.resetAfter(p.Date-1, g.x) {
		return false
	}
	for _, s := range w.events {
		if s.date >= p.Date && s.kind != StressFrost {
			return false
		}
	}
	for _, r := range running {
		if r.kind != StressFrost {
			return false
		}
	}
	return true
}

// nitrateCut answers whether the stand may be cut for hay or silage.
func (g *ground) nitrateCut() []Reason {
	var rs []Reason
	if g.stand.unlisted {
		rs = append(rs, Reason{Line: LineUnlisted, Rule: "species.unlisted", Flag: Caution, Need: NeedEvidence})
	}
	w := g.growthNow()
	cutNow := fields.NoDate
	for _, d := range w.open { // to whoever cuts, a light night that no walk has borne is a frost
		w.events = append(w.events, stress{StressFrost, d, ""})
	}
	for _, s := range w.events {
		key, ok := nitrateWaits[s.kind]
		if !ok || s.kind == StressFrost && w.nothing {
			continue
		}
		through := s.date.Add(g.book.Days(key))
		if g.x > through {
			continue
		}
		switch s.kind {
		case StressFrost, StressHail:
			if g.x.Sub(s.date) <= 1 {
				cutNow = max(cutNow, s.date)
				continue
			}
			rs = append(rs, Reason{
				Line: LineNitratePeak, Rule: key.String(), Flag: Caution, Need: NeedTime, On: s.date, Days: g.book.Days(key),
				Stress: Stress{s.kind, s.date, through}, Entries: unique(s.id),
			})
		default:
			rs = append(rs, Reason{Line: LineNitrateCutRain, Rule: key.String(), Flag: Caution, Need: NeedTime, On: s.date, Days: g.book.Days(key), Stress: Stress{s.kind, s.date, through}, Entries: unique(s.id)})
		}
	}
	if start, _, id, _ := g.droughtState(g.x); start != fields.NoDate {
		rs = append(rs, Reason{Line: LineNitrateDrought, Rule: NitrateRainWait.String(), Flag: Caution, Need: NeedDecision, On: start, Began: start, Entries: unique(id)})
	}
	if _, against := g.results(); len(against) > 0 {
		for _, c := range Classes {
			if a, f := g.worstResult(against, c, 0); a.Flag == Hold {
				r := resultReason(LineNitrateCutBar, a, f)
				r.Flag, r.Through = Caution, fields.NoDate
				rs = append(rs, r)
				break
			}
		}
	}
	rs = newestPerLine(rs)
	if len(rs) == 0 {
		r := Reason{Line: LineCutClear, Rule: "cut.clear", Flag: Clear, Plants: g.listed()}
		if cutNow != fields.NoDate {
			r.Line, r.Rule, r.On = LineNitrateCutNow, NitrateFrostWait.String(), cutNow
		}
		rs = append(rs, r)
	}
	return rs
}

// newestPerLine keeps, of several events on one line and kind, the newest:
// thirty frosts need one sentence.
func newestPerLine(rs []Reason) []Reason {
	var out []Reason
	for _, r := range rs {
		found := false
		for i := range out {
			if out[i].Line == r.Line && out[i].Rule == r.Rule {
				found = true
				if r.On > out[i].On {
					out[i] = r
				}
			}
		}
		if !found {
			out = append(out, r)
		}
	}
	return out
}
