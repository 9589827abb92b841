package judge

import (
	"sort"

	"rimegate/fields"
	"rimegate/hazard"
)

const noEnd = hazard.NoEnd

func hold(l hazard.Line, through, event date) reason {
	return reason{line: l, flag: hazard.Hold, through: through, event: event}
}

func caution(l hazard.Line) reason { return reason{line: l, flag: hazard.Caution} }

// short reports whether growth is below the minimum. Three millimetres are
// given: 24 in is 60.96 cm (§2.7, §5.5).
func (s *stand) short(cm float64) bool { return cm < s.height-0.3 }

// measured is a shortest growth that counts.
type measured struct {
	d     date
	cm    float64
	alive bool // no walk of the date found everything killed and it too short
}

// heights are the measurements by x, one per date (the smallest). A walk that
// found everything killed measures only growth that is too short (§6.6).
func (s *stand) heights() []measured {
	var out []measured
	for _, w := range s.l.walks("stand", s.x) {
		if w.ShortestCM == nil || *w.ShortestCM > 450 || (w.Killed == "all" || w.old) && !s.short(*w.ShortestCM) {
			continue
		}
		alive := w.Killed != "all"
		found := false
		for i := range out {
			if out[i].d == w.d {
				out[i].cm = min(out[i].cm, *w.ShortestCM)
				out[i].alive = out[i].alive && alive
				found = true
			}
		}
		if !found {
			out = append(out, measured{w.d, *w.ShortestCM, alive})
		}
	}
	return out
}

// measures reports whether a height of day d can speak of every cyanogenic
// plant: each was known by then, found on or before d or sown before it (§6.6).
func (s *stand) measures(d date) bool {
	rs := s.records()
	for _, p := range s.plants {
		if !p.cyanogenic() || p.row != nil && !p.unknown() && p.row.Height < 0 {
			continue // it has no height to measure
		}
		known, again := false, false
		for _, r := range rs { // found again in the present stand: that is when it was first seen
			again = again || r.p.id == p.id && r.d >= s.fresh
		}
		for _, r := range rs {
			if r.p.id != p.id || r.d < s.fresh && (again || !s.lingers(r, rs)) {
				continue
			}
			if r.sown && r.d >= d {
				return false // it was sown again, and is short
			}
			known = known || r.d <= d
		}
		if !known {
			return false
		}
	}
	return true
}

// lastHeight is the last measurement dated by d and later than every one of
// the dates (§6.6).
func (s *stand) lastHeight(d date, later ...date) (measured, bool) {
	var last measured
	found := false
	for _, m := range s.heights() {
		ok := m.d <= d && s.measures(m.d)
		for _, x := range later {
			ok = ok && m.d > x
		}
		if ok && (!found || m.d > last.d) {
			last, found = m, true
		}
	}
	return last, found
}

// lastShoots is the last recorded height of shoots: on one date the smallest
// above 0 beats none (§7.2).
func (s *stand) lastShoots() (cm float64, on date, said bool) {
	for _, w := range s.l.walks("stand", s.x) {
		if w.ShootsCM == nil || *w.ShootsCM > 450 || w.d < s.gone || w.d < s.start || w.old && !s.short(*w.ShootsCM) {
			continue
		}
		v := *w.ShootsCM
		switch {
		case !said || w.d > on:
			cm, on, said = v, w.d, true
		case w.d == on && v > 0 && (cm == 0 || v < cm):
			cm = v
		}
	}
	return cm, on, said
}

// lastWilted is what the last walk that spoke of wilting said; true wins (§7.2).
func (s *stand) lastWilted() (wilted bool, on date) {
	said := false
	for _, w := range s.l.walks("stand", s.x) {
		if w.Wilted == nil || w.d < s.gone || w.d < s.start {
			continue
		}
		if !said || w.d > on {
			wilted, on, said = *w.Wilted, w.d, true
		} else if w.d == on {
			wilted = wilted || *w.Wilted
		}
	}
	return wilted, on
}

// events are the dates of damage of a kind by x.
func (l *land) events(kind fields.Kind, x date) []date {
	all, ok := l.happened[kind]
	if !ok {
		for _, f := range l.facts {
			if f.kind == kind {
				all = append(all, f.d)
			}
		}
		l.happened[kind] = all
	}
	n := sort.Search(len(all), func(i int) bool { return all[i] > x })
	return all[:n:n]
}

// §7.2.
func (l *land) droughts(state fields.DroughtState, x date) []date {
	var out []date
	for _, f := range l.upTo(x) {
		if b, ok := f.e.Body.(*fields.Drought); ok && b.State == state {
			out = append(out, f.d)
		}
	}
	return out
}

// closing is the first end later than a start, NoDate if the drought runs (§7.2).
func (l *land) closing(start, x date) date {
	var end date
	for _, e := range l.droughts("end", x) {
		if e > start && (end == fields.NoDate || e < end) {
			end = e
		}
	}
	return end
}

// inDrought reports whether d lies on or between a start and its end (§7.2).
func (l *land) inDrought(d, x date) bool {
	for _, s := range l.droughts("start", x) {
		e := l.closing(s, x)
		if s <= d && (e == fields.NoDate || d <= e) {
			return true
		}
	}
	return false
}

// damage lines: hail, trampling, spray; drought and the rain that ended it.
// They look at events dated by d and answer for day s.x (§7.2).
func (s *stand) weather(d date) []reason {
	var out []reason
	l := s.l
	for _, k := range []struct {
		kind fields.Kind
		rule hazard.RuleKey
		line hazard.Line
	}{
		{fields.KindHail, hazard.HailWait, hazard.LineHail},
		{fields.KindTrampled, hazard.TrampledWait, hazard.LineTrampled},
		{fields.KindSprayed, hazard.SprayWait, hazard.LineSprayed},
	} {
		events := l.events(k.kind, d)
		if k.kind == fields.KindSprayed {
			events = append(events, s.sprayedOff(d)...)
		}
		for _, e := range events {
			if end := e + date(l.rule(k.rule)); s.x <= end {
				out = append(out, hold(k.line, end, e))
			}
		}
	}
	for _, st := range l.droughts("start", d) {
		if l.closing(st, d) == fields.NoDate {
			out = append(out, hold(hazard.LineDrought, noEnd, st))
		}
	}
	for _, e := range l.droughts("end", d) {
		if end := e + date(l.rule(hazard.DroughtWait)); s.x <= end {
			out = append(out, hold(hazard.LineRainWait, end, e))
		}
	}
	return out
}

// sprayedOff are the days by d of new stands whose old one was ended by spraying (§7.2).
func (s *stand) sprayedOff(d date) []date {
	var out []date
	for _, f := range s.l.upTo(d) {
		if b, ok := f.e.Body.(*fields.Sown); ok && yes(b.NewStand) && b.Ended == "sprayed" {
			out = append(out, f.d)
		}
	}
	return out
}

// heightLines are the lines about the shortest growth of a live stand (§7.2).
func (s *stand) heightLines(use hazard.Use) []reason {
	if s.height == 0 || s.dead || use == hazard.Graze && s.grazeGrace() || use == hazard.GreenChop && s.chopGrace() {
		return nil
	}
	m, ok := s.lastHeight(s.x, s.begins, s.cut, s.out)
	switch {
	case !ok:
		return []reason{hold(hazard.LineNeverMeasured, noEnd, fields.NoDate)}
	case s.short(m.cm):
		// Were a height of a walk that found all killed softened by a may-graze,
		// a lower one would help: at or above the minimum it does not count.
		event := fields.NoDate
		if m.alive {
			event = m.d
		}
		return []reason{hold(hazard.LineTooShort, noEnd, event)}
	case s.x.Sub(m.d) > s.l.rule(hazard.HeightLife):
		return []reason{caution(hazard.LineOldHeight)}
	}
	return nil
}

// grazeGrace: stock inside for no more than the grace rest on the measurement
// before turn-in, if it passed and was within its life (§7.5).
func (s *stand) grazeGrace() bool {
	in, inside := s.l.turnIn(s.x)
	if !inside || s.x.Sub(in) > s.l.rule(hazard.HeightGrace) || s.cut >= in || s.out >= in {
		return false
	}
	m, ok := s.lastHeight(in, s.begins, s.cut, s.out)
	return ok && in.Sub(m.d) <= s.l.rule(hazard.HeightLife) && !s.short(m.cm)
}

// chopGrace: for some days from the first chop after a measurement that passed
// within its life (§8.1).
func (s *stand) chopGrace() bool {
	var chops []date
	for _, f := range s.l.upTo(s.x) {
		if b, ok := f.e.Body.(*fields.Cut); ok && b.Use == "green-chop" {
			chops = append(chops, f.d)
		}
	}
	for _, c := range chops {
		if s.x.Sub(c) > s.l.rule(hazard.HeightGrace) || s.cutOther >= c || s.out >= c {
			continue
		}
		var before date // the last chop before this one
		for _, c2 := range chops {
			if c2 < c {
				before = max(before, c2)
			}
		}
		m, ok := s.lastHeight(c, s.begins, s.cutOther, s.out, before)
		if ok && c.Sub(m.d) <= s.l.rule(hazard.HeightLife) && !s.short(m.cm) {
			return true
		}
	}
	return false
}

// outgrown reports whether a walk dated d or later found the stand whole, and
// no other walk of its date said otherwise (§7.3).
func (s *stand) outgrown(d date) bool {
	ws := s.l.walks("stand", s.x)
	lowShoots := func(w walk) bool { return *w.ShootsCM > 0 && (s.height == 0 || s.short(*w.ShootsCM)) }
	for _, w := range ws {
		if w.d < d || w.FrostDamage != "none" || w.ShootsCM == nil || *w.ShootsCM > 450 || lowShoots(w) {
			continue
		}
		if s.height > 0 && (w.ShortestCM == nil || *w.ShortestCM > 450 || s.short(*w.ShortestCM) || w.Killed == "all") {
			continue
		}
		whole := true
		for _, o := range ws {
			if o.d == w.d && (frosted(o) || o.ShootsCM != nil && lowShoots(o) || o.ShortestCM != nil && s.short(*o.ShortestCM)) {
				whole = false
			}
		}
		if whole {
			return true
		}
	}
	return false
}

// frosted: the walk found frost damage.
func frosted(w walk) bool {
	return w.FrostDamage == "tips" || w.FrostDamage == "part" || w.FrostDamage == "all"
}

// damaged: it found frost damage, or a stand killed in part or whole (§6.3).
func damaged(w walk) bool { return frosted(w) || w.Killed == "part" || w.Killed == "all" }

// unhurt are the dates by x on which a walk found no frost damage and no other
// walk found some (§6.3).
func (s *stand) unhurt() []date {
	var out []date
	ws := s.l.walks("stand", s.x)
	for _, w := range ws {
		if w.FrostDamage != "none" {
			continue
		}
		hurt := false
		for _, o := range ws {
			hurt = hurt || o.d == w.d && frosted(o)
		}
		if !hurt {
			out = append(out, w.d)
		}
	}
	return out
}

// unhurtSince reports such a date on d or later (§6.3).
func (s *stand) unhurtSince(d date) bool {
	for _, u := range s.unhurt() {
		if u >= d {
			return true
		}
	}
	return false
}

// possibleStanding reports a possible night that nothing has lifted yet (§4.4).
func (s *stand) possibleStanding() bool {
	wait := date(s.l.rule(hazard.FrostWait))
	for n := s.x - wait; n <= s.x+1; n++ {
		if n < s.from() {
			continue
		}
		nt := s.l.tonight(s.x)
		if n <= s.x {
			nt = s.l.night(n)
		}
		if !nt.possible || nt.signed {
			continue
		}
		if !s.unhurtSince(n + date(s.l.rule(hazard.FrostKillWalkAfter))) {
			return true
		}
	}
	return false
}

// weedsCheckedSince reports a weeds-checked walk of the stand on d or later,
// later than the sowing (§5.9).
func (s *stand) weedsCheckedSince(d date) bool {
	for _, w := range s.l.walks("stand", s.x) {
		if w.d >= d && w.d > s.begins && yes(w.WeedsChecked) {
			return true
		}
	}
	return false
}

// listLines are the caps that rest on the list of plants alone (§7.1, §7.2).
func (s *stand) listLines(class hazard.Class) []reason {
	var out []reason
	if s.unlisted {
		out = append(out, caution(hazard.LineUnlisted))
	}
	checked := false // before an overseeding, too
	for _, w := range s.l.walks("stand", s.x) {
		checked = checked || w.d >= s.x-365 && yes(w.WeedsChecked)
	}
	if s.always() && !checked {
		out = append(out, caution(hazard.LineNeverChecked))
	}
	for _, p := range s.plants {
		if p.unknown() {
			out = append(out, caution(hazard.LineUnknown))
		}
		if p.row != nil && p.row.NotListed && !s.weedsCheckedSince(s.x-365) {
			out = append(out, caution(hazard.LineNotListedHCN))
		}
		if class == hazard.Horses && horsesOff(p) {
			out = append(out, hold(hazard.LineHorses, noEnd, fields.NoDate))
		}
	}
	return out
}

// §7.2.
func horsesOff(p plant) bool { return p.unknown() || p.row.Sorghum || p.row.HorsesOff }

// §7.7.
func (s *stand) flax(plants []plant) []reason {
	for _, p := range plants {
		if p.habit() != hazard.HabitFlax {
			continue
		}
		if !s.dead {
			return []reason{hold(hazard.LineFlax, noEnd, fields.NoDate)}
		}
		for _, r := range s.l.hcn(s.x) {
			if r.d >= s.base && s.l.lifting(r, s.x) {
				return nil
			}
		}
		return []reason{caution(hazard.LineFlaxTest)}
	}
	return nil
}

// shootsLine: last recorded shoots short, no kill confirmed (§7.2).
func (s *stand) shootsLine() []reason {
	if cm, on, said := s.lastShoots(); said && cm > 0 && s.short(cm) && !s.dead {
		return []reason{hold(hazard.LineShoots, noEnd, on)}
	}
	return nil
}

// settled is how long a walk holds, given the walks behind it (§7.4).
func (l *land) settled(ds []date) int {
	for _, a := range ds {
		for _, b := range ds {
			if b >= a+14 {
				return l.rule(hazard.WalkLifeSettled)
			}
		}
	}
	return l.rule(hazard.WalkLife)
}

// walkLife is how long a clean walk of the dead stand holds (§7.4).
func (s *stand) walkLife() int {
	life := s.l.settled(s.clean)
	for _, p := range s.plants { // sorghums, and what counts as sudangrass
		if p.row != nil && p.row.Perennial && (p.row.Sorghum || p.habit() == hazard.HabitPerennial) {
			life = min(life, s.l.rule(hazard.WalkLifePerennial))
		}
	}
	return life
}

// prussicStanding answers for graze and green-chop (§7.2, §8.1).
func (s *stand) prussicStanding(use hazard.Use, class hazard.Class) []reason {
	l := s.l
	out := s.listLines(class)
	out = append(out, s.hcnLines(fields.NoDate)...)
	if !s.cyan {
		return out
	}
	if s.clockEnd != fields.NoDate && s.x <= s.clockEnd {
		out = append(out, hold(hazard.LineClock, s.clockEnd, s.lastClock))
	}
	if dry := l.rule(hazard.FrostDryWait); s.dead && dry > 0 && s.x <= s.base.Add(dry) {
		out = append(out, hold(hazard.LineDryWait, s.base.Add(dry), s.base))
	}
	out = append(out, s.shootsLine()...)
	out = append(out, s.heightLines(use)...)
	out = append(out, s.weather(s.x)...)
	if rain := latest(l.droughts("end", s.x)); rain != fields.NoDate && !s.dead && s.height > 0 {
		tall := false
		for _, m := range s.heights() {
			if m.d > rain && m.d > s.begins && !s.short(m.cm) {
				tall = true
			}
		}
		if !tall {
			out = append(out, hold(hazard.LineRainHeight, noEnd, rain))
		}
	}
	if wilted, on := s.lastWilted(); wilted {
		out = append(out, hold(hazard.LineWilted, noEnd, on))
	}
	out = append(out, s.flax(s.plants)...)
	if s.dead {
		if s.x.Sub(latest(s.clean)) > s.walkLife() {
			out = append(out, caution(hazard.LineOldWalk))
		}
		if s.wetAgain() {
			out = append(out, caution(hazard.LineNotDry))
		}
	} else {
		out = append(out, s.liveCautions()...)
	}
	if use == hazard.GreenChop {
		to := s.x
		if s.dead {
			to = s.base
		}
		frosted := !s.dead && s.x+1 >= s.from() && l.tonight(s.x).trigger
		for n := max(s.from(), s.cutOther); n <= to; n++ {
			frosted = frosted || l.night(n).trigger
		}
		if frosted {
			out = append(out, caution(hazard.LineChopFrosted))
		}
	}
	return out
}

// wetAgain: the last walk since the base that said so found the dead stand not dry, of one
// date any (§7.2).
func (s *stand) wetAgain() bool {
	said := map[bool]date{}
	for _, w := range s.l.walks("stand", s.x) {
		if w.d >= s.base && w.Dry != nil {
			said[*w.Dry] = max(said[*w.Dry], w.d)
		}
	}
	return said[false] != fields.NoDate && said[false] >= said[true]
}

// liveCautions are the lines of a live stand that caution, and the forecast (§7.2).
func (s *stand) liveCautions() []reason {
	var out []reason
	l := s.l
	since := max(s.cutOther, latest(l.grazedOff(s.x))) // a chop leaves the rest standing
	outgrown := date(l.rule(hazard.FrostOutgrown))
	frosted := false
	for n := max(s.from(), since); n <= s.x; n++ {
		frosted = frosted || l.night(n).trigger
	}
	frosted = frosted || s.x+1 >= s.from() && l.tonight(s.x).trigger
	if frosted && !s.outgrown(s.lastClock+outgrown) {
		out = append(out, caution(hazard.LineFrosted))
	}
	var hurt date
	for _, w := range l.walks("stand", s.x) {
		if w.d >= s.start && w.d >= since && damaged(w) {
			hurt = max(hurt, w.d)
		}
	}
	if hurt != fields.NoDate && !s.outgrown(hurt+outgrown) {
		out = append(out, caution(hazard.LineDamaged))
	}
	for _, p := range s.plants {
		if p.habit() == hazard.HabitAlways || p.row != nil && p.row.GreenCap {
			out = append(out, caution(hazard.LineCapped))
		}
	}
	if s.possibleStanding() {
		out = append(out, caution(hazard.LinePossible))
	}
	for n := max(s.x-13, s.start); n <= s.x; n++ {
		nt := l.night(n)
		// no reading tells of a frost that somebody saw: no better than unread
		seen := nt.watched && nt.trigger && !nt.covered && s.x > s.clockEnd
		if nt.unread() || seen {
			out = append(out, caution(hazard.LineUnreadNights))
			break
		}
	}
	maybe, through := l.forecast(s.x)
	if maybe {
		out = append(out, caution(hazard.LineForecastCaution))
	}
	if through != fields.NoDate {
		out = append(out, hold(hazard.LineForecastHold, through, fields.NoDate))
	}
	return out
}

func latest(ds []date) date {
	var d date
	for _, x := range ds {
		d = max(d, x)
	}
	return d
}

// swath is what lies cut on the ground.
type swath struct {
	cut     date
	dry     bool
	dryBase date
	dryOn   []date // dry walks after the last wet one
	before  *stand // the stand on the cut date
}

// swath finds the swath that lies there, if one does (§8.2).
func (s *stand) swath() (swath, bool) { return s.swathUnder(false) }

// swathUnder is the swath that lies there, with sown whatever was sown since (§8.2).
func (s *stand) swathUnder(sown bool) (swath, bool) {
	var w swath
	for _, f := range s.l.upTo(s.x) {
		if b, ok := f.e.Body.(*fields.Cut); ok && b.Use == "swath" {
			w.cut = max(w.cut, f.d)
		}
	}
	if w.cut == fields.NoDate {
		return w, false
	}
	for _, f := range s.l.upTo(s.x) {
		if f.kind == fields.KindSown && f.d > w.cut && !sown {
			return w, false // nobody sows where a swath lies
		}
		if b, ok := f.e.Body.(*fields.LotFacts); ok && f.d >= w.cut {
			for _, p := range b.From {
				if has(s.l.ids, p) {
					return w, false
				}
			}
		}
	}
	_, outs := s.l.v.stays(s.x)
	for _, o := range outs {
		if has(s.l.ids, o.paddock) && o.out >= w.cut && !o.swathLeft {
			return w, false
		}
	}
	var wet date
	for _, k := range s.l.walks("swath", s.x) {
		if k.d > w.cut && k.Dry != nil && !*k.Dry {
			wet = max(wet, k.d)
		}
	}
	for _, k := range s.l.walks("swath", s.x) {
		if k.d > w.cut && k.d > wet && yes(k.Dry) {
			w.dryOn = append(w.dryOn, k.d)
		}
	}
	for _, a := range w.dryOn {
		for _, b := range w.dryOn {
			if b >= a+date(s.l.rule(hazard.FrostKillWalkAfter)) && (!w.dry || a < w.dryBase) {
				w.dry, w.dryBase = true, a
			}
		}
	}
	w.before = s.l.standAs(w.cut, s.know)
	return w, true
}

// swathClock carries the stand's clock of the cut date on, up to the dry base (§8.3).
func (s *stand) swathClock(w swath) (end, last date) {
	to := s.x
	if w.dry {
		to = min(to, w.dryBase)
	}
	end, last = w.before.dayClock()
	end, last = s.l.runClock(w.cut+1, to, end, last)
	if !w.dry && s.l.tonight(s.x).trigger {
		end, last = s.x+1+date(s.l.rule(hazard.FrostWait)), s.x+1
	}
	return end, last
}

// dayClock is the frost clock without a frost of the night that follows.
func (s *stand) dayClock() (end, last date) {
	if s.dayEnd == fields.NoDate {
		return
	}
	return s.dayEnd, s.dayEnd - date(s.l.rule(hazard.FrostWait))
}

// prussicSwath answers for swath-graze (§8.3).
func (s *stand) prussicSwath(class hazard.Class) []reason {
	w, lies := s.swath()
	if !lies {
		return []reason{hold(hazard.LineNoSwath, noEnd, fields.NoDate)}
	}
	out := s.listLines(class)
	out = append(out, w.before.listLinesNow(class)...)
	out = append(out, s.hcnLines(w.cut)...)
	if s.cyan || w.before.cyan {
		end, last := s.swathClock(w)
		if end != fields.NoDate && s.x <= end {
			out = append(out, hold(hazard.LineSwathClock, end, last))
		}
		out = append(out, s.weather(w.cut)...)
		if wilted, on := w.before.lastWilted(); wilted {
			out = append(out, hold(hazard.LineWilted, noEnd, on))
		}
		// Held to the tallest of what was cut and what stands there now.
		low := (&stand{height: max(s.height, w.before.height)}).short
		if cm, on, said := s.lastShoots(); said && cm > 0 && low(cm) && !s.dead {
			out = append(out, hold(hazard.LineShoots, noEnd, on))
		}
		out = append(out, s.flax(append(append([]plant{}, s.plants...), w.before.plants...))...)
		stubble := false
		for _, c := range s.clean {
			stubble = stubble || s.dead && c > w.cut
		}
		if !stubble {
			out = append(out, caution(hazard.LineSwathStubble))
		}
		if !w.dry {
			out = append(out, caution(hazard.LineSwathNotDry))
		} else if s.x.Sub(latest(w.dryOn)) > s.l.settled(w.dryOn) {
			out = append(out, caution(hazard.LineSwathOldWalk))
		}
	}
	return out
}

// listLinesNow are the lines of the plants that grew when the swath was cut (§8.3).
func (s *stand) listLinesNow(class hazard.Class) []reason {
	var out []reason
	for _, p := range s.plants {
		if p.unknown() {
			out = append(out, caution(hazard.LineUnknown))
		}
		if class == hazard.Horses && horsesOff(p) {
			out = append(out, hold(hazard.LineHorses, noEnd, fields.NoDate))
		}
	}
	return out
}

// prussicCut answers for cut-hay and cut-silage (§8.4).
func (s *stand) prussicCut(use hazard.Use) []reason {
	var out []reason
	if s.cutOther != fields.NoDate && s.cutOther >= s.anew && !s.regrown() {
		out = append(out, hold(hazard.LineNoCrop, noEnd, fields.NoDate))
	}
	if s.unlisted {
		out = append(out, caution(hazard.LineUnlisted))
	}
	for _, p := range s.plants {
		if p.unknown() {
			out = append(out, caution(hazard.LineCutUnknown))
		}
	}
	if use == hazard.CutSilage && s.cyan && s.lastClock != fields.NoDate {
		if end := s.lastClock.Add(s.l.rule(hazard.ChopWait)); s.x <= end {
			out = append(out, hold(hazard.LineChopWait, end, s.lastClock))
		}
	}
	return out
}

// regrown reports a walk after the cut that found growth everywhere (§8.4).
func (s *stand) regrown() bool {
	least := map[date]float64{}
	for _, w := range s.l.walks("stand", s.x) {
		if w.d <= s.cutOther || w.ShortestCM == nil || w.old {
			continue
		}
		if cm, ok := least[w.d]; !ok || *w.ShortestCM < cm {
			least[w.d] = *w.ShortestCM
		}
	}
	for _, cm := range least {
		if cm > 0 {
			return true
		}
	}
	return false
}
