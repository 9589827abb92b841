package judge

import (
	"math"

	"rimegate/fields"
	"rimegate/hazard"
)

// lot is a stored lot with its merged facts.
type lot struct {
	fields.LotFacts
	v     *view
	facts []fact // entries that name the lot

	ps       []plant // what it holds
	said     bool    // somebody knows what it holds
	suspect  bool
	frosty   bool // suspect by frost alone
	incident bool // in a paddock it came from, between sowing and making, or open in its window
	stress   bool // any, since the sowing or last cut
}

// look works out what no class changes.
func (t *lot) look() {
	t.ps, t.said = t.plants()
	cold, other := false, t.unknownOrigin() || !t.said
	for _, p := range t.ps {
		other = other || p.unknown() || p.habit() == hazard.HabitFlax
	}
	tall := t.knownTall()
	for _, l := range t.lands() {
		c, o := t.met14(l)
		cold, other = cold || c, other || o
		cyan := l.standAs(t.cutOrMade(), t.MadeOn).cyan
		for _, s := range t.stands(l) {
			cyan = cyan || s.cyan
		}
		if cyan { // else it may have brought no prussic acid
			tall = tall && t.tallEnough(l) && !t.choppedEarly(l)
		}
		t.incident = t.incident || t.met(l)
		t.stress = t.stress || t.stressed(l)
	}
	t.suspect = cold || other
	t.frosty = cold && !other && tall
}

// §11.1.
func (v *view) lot(id string) *lot {
	out := &lot{v: v}
	out.Lot = id
	var entries []fact
	for _, f := range v.facts {
		if f.e.Lot() == id {
			out.facts = append(out.facts, f)
		}
		if b, ok := f.e.Body.(*fields.LotFacts); ok && b.Lot == id {
			entries = append(entries, f)
		}
	}
	for len(entries) > 0 { // by date, then id
		first := 0
		for i, f := range entries {
			g := entries[first]
			if f.d < g.d || f.d == g.d && f.e.ID < g.e.ID {
				first = i
			}
		}
		b := entries[first].e.Body.(*fields.LotFacts)
		entries = append(append([]fact{}, entries[:first]...), entries[first+1:]...)
		out.MadeOn = max(out.MadeOn, b.MadeOn)
		order := map[fields.LotKind]int{"hay": 1, "silage": 2, "baleage": 3, "bought": 4}
		if order[b.LotKind] > order[out.LotKind] { // of several the one that asks for most
			out.LotKind = b.LotKind
		}
		for _, p := range b.From { // what it came from and holds adds up
			if !has(out.From, p) {
				out.From = append(out.From, p)
			}
		}
		if b.CutOn != fields.NoDate {
			out.CutOn = b.CutOn
		}
		most := b.Bales // the most that was said of bales with the day made, if none says more with a later one
		for _, f := range out.facts {
			if o, ok := f.e.Body.(*fields.LotFacts); ok && most != nil && o.Bales != nil && (o.MadeOn > b.MadeOn || o.MadeOn == b.MadeOn && *o.Bales > *most) {
				most = nil
			}
		}
		if most != nil {
			out.Bales = most
		}
		for _, name := range b.Species {
			if !has(out.Species, name) {
				out.Species = append(out.Species, name)
			}
		}
		if b.DMPct != nil {
			out.DMPct = b.DMPct
		}
	}
	for _, f := range out.facts { // a cut that names it says where it came from
		if b, ok := f.e.Body.(*fields.Cut); ok && !has(out.From, b.Paddock) {
			out.From = append(out.From, b.Paddock)
		}
	}
	return out
}

// cutDay is the day the lot was cut; NoDate if nobody said. Of several paddocks
// the earliest (§11.1).
func (t *lot) cutDay() date {
	if t.CutOn != fields.NoDate {
		return min(t.CutOn, t.MadeOn)
	}
	var named, other date
	earlier := func(d *date, c date) {
		if c != fields.NoDate && (*d == fields.NoDate || c < *d) {
			*d = c
		}
	}
	for _, l := range t.lands() {
		var last date
		for _, f := range l.upTo(t.MadeOn) {
			b, ok := f.e.Body.(*fields.Cut)
			if !ok || b.Use == "green-chop" {
				continue
			}
			if b.Lot == t.Lot {
				earlier(&named, f.d) // two cuts in one lot: the window of the first
			}
			last = max(last, f.d)
		}
		earlier(&other, last)
	}
	if named != fields.NoDate {
		return named
	}
	return other
}

// cutOrMade is the cut day; where nobody said, the day the lot was made (§11.1).
func (t *lot) cutOrMade() date {
	if c := t.cutDay(); c != fields.NoDate {
		return c
	}
	return t.MadeOn
}

// lands are the lines of the paddocks the lot came from, of those that were gone by the day
// it was made the lines of what they had become.
func (t *lot) lands() []*land {
	var out []*land
	for _, p := range t.From {
		for _, id := range t.v.became(p, fact{}, t.MadeOn) {
			out = append(out, t.v.linesOf(id)...)
		}
	}
	return out
}

// §11.1.
func (t *lot) unknownOrigin() bool { return len(t.From) == 0 || t.LotKind == "bought" }

// stands are the stand on the day the lot was made and on the day it was cut:
// what was sown or first found in between is not known to be in the lot (§11.1).
func (t *lot) stands(l *land) []*stand {
	out := []*stand{l.standOn(t.MadeOn)}
	if cut := t.cutDay(); cut != fields.NoDate {
		out = append(out, l.standOn(cut))
	}
	return out
}

// began is the start of the growth the lot was made of: of the older stand
// where one was sown between the cut and the making (§11.3).
func (t *lot) began(l *land) date {
	var start date
	for i, s := range t.stands(l) {
		if i == 0 || s.start < start {
			start = s.start
		}
	}
	return start
}

// plants are what the lot holds; said is false where nobody knows (§11.1).
func (t *lot) plants() (ps []plant, said bool) {
	said = len(t.Species) > 0 || len(t.From) > 0
	for _, name := range t.Species {
		ps = append(ps, t.v.plant(name))
	}
	for _, l := range t.lands() {
		for _, s := range t.stands(l) {
			if s.unlisted {
				said = false
			}
			ps = append(ps, s.plants...)
		}
	}
	return ps, said
}

// tallest is the tallest minimum of what the lot may hold: it is held to it (§11.3).
func (t *lot) tallest() float64 {
	var cm float64
	for _, p := range t.ps {
		if p.row != nil && p.row.Height >= 0 {
			cm = max(cm, t.v.book.V[p.row.Height])
		}
	}
	for _, l := range t.lands() {
		for _, s := range t.stands(l) {
			cm = max(cm, s.height)
		}
	}
	return cm
}

// met14: from 14 days before the cut to the day it was made, the stand or swath
// met cold (a frost clock, a possible or unread night) or something else (§11.3).
func (t *lot) met14(l *land) (cold, other bool) {
	cut := t.cutOrMade()
	other = t.met(l)
	start, tallest := t.began(l), t.tallest()
	short := func(s *stand, cm float64) bool {
		return (&stand{height: max(tallest, s.height)}).short(cm)
	}
	for d := max(cut-14, start); d <= t.MadeOn; d++ {
		s := l.standAs(d, t.MadeOn)
		nt := l.night(d)
		cold = cold || nt.trigger || nt.possible || nt.unread() || s.dayEnd != fields.NoDate && d <= s.dayEnd
		other = other || l.inDrought(d, d)
		for _, e := range l.droughts("end", d) {
			other = other || d <= e+date(l.rule(hazard.DroughtWait))
		}
		for _, k := range []fields.Kind{fields.KindHail, fields.KindTrampled, fields.KindSprayed} {
			for _, e := range l.events(k, d) {
				other = other || e == d
			}
		}
		wilted, _ := s.lastWilted()
		cm, _, said := s.lastShoots()
		other = other || wilted || said && cm > 0 && short(s, cm) || s.lowSaid(d, max(tallest, s.height))
		for _, p := range s.plants {
			other = other || p.unknown()
		}
	}
	return cold, other
}

// knownTall: no plant of the lot is capped for its habit or unknown, and each
// that needs a height grew, as far as known, where the lot comes from (§11.4).
func (t *lot) knownTall() bool {
	grew := map[string]bool{}
	for _, l := range t.lands() {
		for _, s := range t.stands(l) {
			for _, p := range s.plants {
				grew[p.id] = true
			}
		}
	}
	for _, p := range t.ps {
		if p.unknown() || p.habit() == hazard.HabitAlways || p.row.GreenCap || p.row.Height >= 0 && !grew[p.id] {
			return false
		}
	}
	return true
}

// tallEnough: the last height on or before the cut day, of a day on which every
// plant with a minimum height was known, is at most 14 days old and reaches the
// minimum (§11.4).
func (t *lot) tallEnough(l *land) bool {
	poisonous := false // where nothing that was cut makes prussic acid no height is asked
	for _, s := range t.stands(l) {
		for _, p := range s.plants {
			poisonous = poisonous || p.cyanogenic()
		}
	}
	if !poisonous {
		return true
	}
	cut := t.cutOrMade()
	s := l.standAs(cut, t.MadeOn)
	var before date // the last cut before, chops too
	for _, f := range l.upTo(cut - 1) {
		if _, ok := f.e.Body.(*fields.Cut); ok {
			before = max(before, f.d)
		}
	}
	m, ok := s.lastHeight(cut, s.begins, before, s.out)
	return ok && cut.Sub(m.d) <= l.rule(hazard.LotHeightLife) && !(&stand{height: t.tallest()}).short(m.cm)
}

// choppedEarly: of silage and baleage, a clock night later than some days
// before the cut, or after it (§11.4).
func (t *lot) choppedEarly(l *land) bool {
	if t.LotKind != "silage" && t.LotKind != "baleage" {
		return false
	}
	cut := t.cutOrMade()
	last := cut - date(l.rule(hazard.LotChopAfterFrost))
	for n := last + 1; n <= t.MadeOn; n++ {
		if l.night(n).trigger {
			return true
		}
	}
	s := l.standAs(cut, t.MadeOn)
	end, clock := s.dayClock()
	_, clock = l.runClock(cut+1, t.MadeOn, end, clock)
	if _, standing := l.standAs(t.MadeOn, t.MadeOn).dayClock(); standing > clock {
		clock = standing
	}
	return clock != fields.NoDate && clock > last
}

// lowSaid: the last height said of the growth by day d was too short, whatever
// was seen or sown among it since (§11.3).
func (s *stand) lowSaid(d date, height float64) bool {
	of := &stand{height: height}
	last, low := date(0), false
	for _, w := range s.l.walks("stand", d) {
		if w.ShortestCM == nil || *w.ShortestCM > 450 || w.d < s.start || w.d <= max(s.begins, s.cut, s.out) {
			continue
		}
		bad := of.short(*w.ShortestCM)
		switch {
		case (w.Killed == "all" || w.old) && !bad:
		case w.d > last:
			last, low = w.d, bad
		case w.d == last:
			low = low || bad
		}
	}
	return low
}

// met: animals went down since the growth began, or earlier and that was open
// for some class and use on a day of the window (§11.9).
func (t *lot) met(l *land) bool {
	start := t.began(l)
	care := l.care(t.MadeOn)
	for _, i := range care.incidents {
		if start == fields.NoDate || i >= start {
			return true
		}
		for d := max(t.cutOrMade()-14, start); d <= t.MadeOn; d++ {
			for _, class := range hazard.Classes {
				for _, use := range hazard.PaddockUses {
					if i <= d && !care.closed(i, d, use, class) {
						return true
					}
				}
			}
		}
	}
	return false
}

// enough: bales cored and cores as the sampling plan asks (§11.8).
func (t *lot) enough(r result) bool {
	ask := t.v.book.V[hazard.NitrateSampleBales]
	if r.d < t.MadeOn { // some of it was not made yet
		return false
	}
	if t.LotKind == "silage" {
		return atLeast(r.Cores, ask)
	}
	if !atLeast(t.Bales, 1) {
		return false // of an unknown number nobody can say
	}
	ask = max(ask, math.Ceil(*t.Bales*t.v.book.V[hazard.NitrateSampleBalesPct]/100-1e-9))
	ask = min(ask, *t.Bales)
	return atLeast(r.BalesCored, ask) && atLeast(r.Cores, ask)
}

func (t *lot) labs(analyte fields.Analyte) []result {
	return labs(t.facts, analyte, t.v.on, func(b *fields.Lab) bool { return b.Lot == t.Lot })
}

// prussic answers for feeding the lot (§11.2, §11.5, §11.6).
func (t *lot) prussic(class hazard.Class) []reason {
	var out []reason
	v := t.v
	cyan, horses := !t.said, !t.said
	for _, p := range t.ps {
		cyan = cyan || p.cyanogenic()
		horses = horses || horsesOff(p)
	}
	if class == hazard.Horses && horses {
		out = append(out, hold(hazard.LineHorses, noEnd, fields.NoDate))
	}
	if cyan {
		wait := v.book.Days(hazard.SilageWait)
		if t.suspect { // whatever met stress never waits for less
			wait = max(wait, v.book.Days(hazard.SilageWaitSuspect))
		}
		cure, ensile := t.MadeOn.Add(v.book.Days(hazard.HayCure)), t.MadeOn.Add(wait)
		if (t.LotKind == "hay" || t.LotKind == "bought") && v.on <= cure {
			out = append(out, hold(hazard.LineCure, cure, fields.NoDate))
		}
		// Bought feed is dry hay only where it was said to be that dry.
		dry := t.LotKind == "hay" || t.LotKind == "bought" && t.DMPct != nil && *t.DMPct >= 80
		if !dry && v.on <= ensile {
			out = append(out, hold(hazard.LineEnsile, ensile, fields.NoDate))
		}
	}
	rs := t.labs("hcn")
	var proper date // latest low laboratory result with enough bales and cores
	for _, r := range rs {
		if lowLab(v.book, r) && t.enough(r) {
			proper = max(proper, r.d)
		}
	}
	for _, r := range rs {
		if r.d < proper {
			continue
		}
		f, _ := level(v.book, r.Lab)
		switch {
		case f == hazard.Hold:
			out = append(out, hold(hazard.LineHCNHold, noEnd, r.d))
		case f == hazard.Caution:
			out = append(out, caution(hazard.LineHCNCaution))
		case r.Method != "lab" || r.SampleState == "dried":
			out = append(out, caution(hazard.LineHCNUnfit))
		}
	}
	if (cyan && t.suspect && !t.frosty || t.incident || t.unknownOrigin()) && proper == fields.NoDate {
		out = append(out, caution(hazard.LineSuspect))
	}
	return out
}

// stressed reports whether any stress fell on the growth the lot was made of:
// since its sowing or the cut before (§11.7).
func (t *lot) stressed(l *land) bool {
	cut := t.cutDay()
	for _, s := range t.stands(l) {
		if t.stressedAs(l, s, cut) {
			return true
		}
	}
	return false
}

// §11.7.
func (t *lot) stressedAs(l *land, s *stand, cut date) bool {
	since := s.start
	for _, f := range l.upTo(t.MadeOn) {
		if b, ok := f.e.Body.(*fields.Cut); ok && b.Use != "green-chop" && (cut == fields.NoDate || f.d < cut) {
			since = max(since, f.d)
		}
	}
	dead, quiet := l.standOn(t.MadeOn).quiet()
	for _, st := range s.crop(cut).stresses(t.MadeOn) {
		if (st.kind == "frost" || st.kind == "open") && quiet && st.d > dead && st.d > s.x {
			continue // it fell on what was dead by then, as the lot's own day knew it
		}
		if st.d >= since || st.until == noEnd {
			return true
		}
	}
	for _, d := range l.droughts("start", t.MadeOn) { // began before, ended since
		if e := l.closing(d, t.MadeOn); e == fields.NoDate || e >= since {
			return true
		}
	}
	return false
}

// nitrate answers for feeding the lot (§11.7).
func (t *lot) nitrate(class hazard.Class) []reason {
	v := t.v
	mgN := v.herdWater(class)
	out := v.waterLines(mgN)
	water := mgN * v.book.V[hazard.NitrateWaterLitres]
	rs := t.labs("nitrate")
	var proper date
	for _, r := range rs {
		if r.Method != "lab" {
			continue
		}
		if _, known := r.ppmN(); known && t.enough(r) {
			proper = max(proper, r.d)
		}
	}
	for _, r := range rs {
		if r.d < proper {
			continue
		}
		j := r.with(v, class, water)
		re := reason{line: hazard.LineNitrateLotTable, flag: j.flag, share: j.share, shared: proper != fields.NoDate}
		if j.flag == hazard.Hold {
			re.through, re.event = noEnd, r.d
		}
		out = append(out, re)
		// Bales that were not cored one by one may hold more than they do together.
		single := r.BalesCored != nil && *r.BalesCored == float64(len(r.Values))
		if ppm, known := r.ppmN(); !single && known &&
			v.judge(ppm*v.book.V[hazard.NitrateBaleSpread]+water, class).flag == hazard.Hold {
			out = append(out, caution(hazard.LineNitrateLotSpread))
		}
		if proper == fields.NoDate && r.Method == "lab" {
			out = append(out, caution(hazard.LineNitrateLotThin))
		}
	}
	if proper != fields.NoDate {
		return out
	}
	bad := t.unknownOrigin() || !t.said || t.stress
	for _, p := range t.ps {
		bad = bad || p.row == nil || p.unknown() || p.row.Nitrate == hazard.NitrateBrassica
	}
	for _, l := range t.lands() {
		for _, s := range t.stands(l) {
			for _, r := range s.against(nil) {
				bad = bad || r.worst(v, class).flag != hazard.Clear
			}
		}
	}
	if bad && sensitive(class) {
		return append(out, hold(hazard.LineNitrateLotUntested, noEnd, fields.NoDate))
	}
	return append(out, caution(hazard.LineNitrateLotUntested))
}

// care is the lot's veterinary side; incidents of its sisters (a paddock shared,
// same cut) are its own (§11.9).
func (t *lot) care() (own, all care) {
	for _, f := range t.facts {
		switch b := f.e.Body.(type) {
		case *fields.Vet:
			if b.Lot == t.Lot {
				own.words = append(own.words, word{f.d, b})
			}
		case *fields.Incident:
			if b.Lot == t.Lot {
				own.incidents = append(own.incidents, f.d)
			}
		}
	}
	own.incidents = append(own.incidents, t.eaten()...)
	all = care{words: own.words, incidents: append([]date{}, own.incidents...)}
	for _, id := range t.v.lots() {
		if id == t.Lot {
			continue
		}
		o := t.v.lot(id)
		if !t.sister(o) {
			continue
		}
		for _, f := range o.facts {
			if b, ok := f.e.Body.(*fields.Incident); ok && b.Lot == id {
				all.incidents = append(all.incidents, f.d)
			}
		}
		all.incidents = append(all.incidents, o.eaten()...)
	}
	return own, all
}

// eaten are the days of incidents in a paddock whose animals had been fed the lot on that
// day or the day before (§11.9).
func (t *lot) eaten() (days []date) {
	for _, i := range t.v.facts {
		b, ok := i.e.Body.(*fields.Incident)
		if !ok || b.Paddock == "" || b.Lot == t.Lot {
			continue
		}
		herds := []string{b.Herd}
		if b.Herd == "" {
			herds = t.v.standing(b.Paddock, i.d)
		}
		for _, herd := range herds {
			if t.fedOn(herd, i.d-1) || t.fedOn(herd, i.d) {
				days = append(days, i.d)
			}
		}
	}
	return days
}

// fedOn: the herd was fed the lot on day d (§11.9).
func (t *lot) fedOn(herd string, d date) bool {
	for _, f := range t.facts {
		b, ok := f.e.Body.(*fields.Fed)
		if !ok || b.Herd != herd || b.From > d || b.To != fields.NoDate && b.To < d {
			continue
		}
		over := false
		for _, o := range t.v.facts { // nobody said when it ended
			n, ok := o.e.Body.(*fields.Fed)
			over = over || ok && b.To == fields.NoDate && n.Herd == herd && n.From > b.From && n.From < d && has(t.v.lots(), n.Lot)
		}
		for _, o := range t.facts {
			over = over || b.To == fields.NoDate && o.e.Kind() == fields.KindUsedUp && o.d >= b.From && o.d < d && !t.left(o.d)
		}
		if !over {
			return true
		}
	}
	return false
}

// standing are the herds that stood on day d in a paddock, on land that it became, or on
// land that it is a part of.
func (v *view) standing(paddock string, d date) (herds []string) {
	open, outs := v.stays(v.on)
	for _, s := range append(append([]stay{}, open...), outs...) {
		if s.herd == "" || s.in > d || s.out != fields.NoDate && s.out < d || s.in == fields.NoDate && s.out != d {
			continue
		}
		for _, l := range v.linesOf(s.paddock) {
			if has(l.ids, paddock) {
				herds = append(herds, s.herd)
			}
		}
		for _, l := range v.linesOf(paddock) {
			if has(l.ids, s.paddock) {
				herds = append(herds, s.herd)
			}
		}
	}
	return herds
}

// left: an entry of the lot tells of some that is left though it was said to be used up on
// day d (§11.11).
func (t *lot) left(d date) bool {
	left := false
	for _, f := range t.facts {
		if f.e.Kind() == fields.KindUsedUp {
			continue
		}
		left = left || f.d > d
		switch b := f.e.Body.(type) {
		case *fields.Fed:
			left = left || b.To > d
		case *fields.Incident:
			left = left || f.d == d
		case *fields.Vet:
			left = left || f.d == d && b.Advice == "keep-off"
		}
	}
	return left
}

// usedUp: on an earlier day somebody said that nothing is left of the lot, and no entry
// of it tells of some that is (§11.11).
func (v *view) usedUp(id string) bool {
	for _, said := range v.facts {
		b, ok := said.e.Body.(*fields.UsedUp)
		if !ok || b.Lot != id || said.d >= v.on {
			continue
		}
		if !v.lot(id).left(said.d) {
			return true
		}
	}
	return false
}

// became is what a paddock had become by day d: itself if it stood then (§11.1). Where a split
// or join made it, the ones after that are looked at.
func (v *view) became(id string, made fact, d date) []string {
	after := func(a, b fact) bool { return b.e == nil || a.d > b.d || a.d == b.d && a.e.ID > b.e.ID }
	var next fact
	for _, f := range v.facts {
		from, into := f.reshapes()
		if f.d > d || !after(f, made) {
			continue
		}
		// Of a name that is asked about its last use counts, of what a split made its next.
		if made.e == nil && (has(from, id) || has(into, id)) && after(f, next) {
			next = f
		}
		if made.e != nil && has(from, id) && (next.e == nil || after(next, f)) {
			next = f
		}
	}
	var into []string
	if next.e != nil {
		_, into = next.reshapes()
	}
	if next.e == nil || has(into, id) {
		return []string{id}
	}
	var out []string
	for _, part := range into {
		out = append(out, v.became(part, next, d)...)
	}
	return out
}

// sister: a lot of the same cut date that shares a paddock, by either name of land that was
// reshaped (§11.9).
func (t *lot) sister(o *lot) bool {
	if t.cutOrMade() != o.cutOrMade() {
		return false
	}
	for _, p := range t.From {
		for _, q := range o.From {
			for _, ids := range append(t.v.lineIDs(p, nil), t.v.lineIDs(q, nil)...) {
				if has(ids, p) && has(ids, q) {
					return true
				}
			}
		}
	}
	return false
}

// §13.1.
func (v *view) answerLot(id string, out Answers) {
	t := v.lot(id)
	_, c := t.care()
	t.look()
	for _, class := range hazard.Classes {
		var ends []date
		for _, r := range t.labs("hcn") {
			if unfit(v.book, r) {
				ends = append(ends, r.d)
			}
		}
		for _, r := range t.labs("nitrate") {
			if r.worst(v, class).flag != hazard.Clear {
				ends = append(ends, r.d)
			}
		}
		key := Key{Place: id, Lot: true, Use: hazard.Feed, Class: class}
		key.Hazard = hazard.PrussicAcid
		put(out, key, c.soften(t.prussic(class), v.on, hazard.Feed, class, ends))
		key.Hazard = hazard.Nitrate
		put(out, key, c.soften(t.nitrate(class), v.on, hazard.Feed, class, ends))
		key.Hazard = hazard.Veterinary
		put(out, key, c.reasons(v.on, hazard.Feed, class))
	}
}
