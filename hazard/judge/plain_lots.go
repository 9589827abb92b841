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
	incident bool // in a paddock it came from, between sowing and making, or open in its window
	stress   bool // any, since the sowing or last cut
}

// look works out what no class changes.
func (t *lot) look() {
	t.ps, t.said = t.plants()
	t.suspect = t.unknownOrigin() || !t.said
	for _, p := range t.ps {
		t.suspect = t.suspect || p.unknown() || p.habit() == hazard.HabitFlax
	}
	for _, l := range t.lands() {
		t.suspect = t.suspect || t.suspectStand(l)
		t.incident = t.incident || t.met(l)
		t.stress = t.stress || t.stressed(l)
	}
}

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
		out.LotKind, out.MadeOn = b.LotKind, b.MadeOn
		if len(b.From) > 0 {
			out.From = b.From
		}
		if b.CutOn != fields.NoDate {
			out.CutOn = b.CutOn
		}
		if b.Bales != nil {
			out.Bales = b.Bales
		}
		if b.Species != nil {
			out.Species = b.Species
		}
	}
	return out
}

// cutOf is the day the lot was cut in a line of land; NoDate if nobody said.
func (t *lot) cutOf(l *land) date {
	if t.CutOn != fields.NoDate {
		return t.CutOn
	}
	var named, other date
	for _, f := range l.upTo(t.MadeOn) {
		b, ok := f.e.Body.(*fields.Cut)
		if !ok || b.Use == "green-chop" {
			continue
		}
		if b.Lot == t.Lot {
			named = max(named, f.d)
		}
		other = max(other, f.d)
	}
	if named != fields.NoDate {
		return named
	}
	return other
}

// cutOrMade is the cut day; where nobody said, the day the lot was made.
func (t *lot) cutOrMade(l *land) date {
	if c := t.cutOf(l); c != fields.NoDate {
		return c
	}
	return t.MadeOn
}

// lands are the lines of the paddocks the lot came from.
func (t *lot) lands() []*land {
	var out []*land
	for _, p := range t.From {
		out = append(out, t.v.linesOf(p)...)
	}
	return out
}

func (t *lot) unknownOrigin() bool { return len(t.From) == 0 || t.LotKind == "bought" }

// stands are the stand on the day the lot was made and on the day it was cut:
// what was sown or first found in between is not known to be in the lot.
func (t *lot) stands(l *land) []*stand {
	out := []*stand{l.standOn(t.MadeOn)}
	if cut := t.cutOf(l); cut != fields.NoDate {
		out = append(out, l.standOn(cut))
	}
	return out
}

// began is the start of the growth the lot was made of: of the older stand
// where one was sown between the cut and the making.
func (t *lot) began(l *land) date {
	var start date
	for i, s := range t.stands(l) {
		if i == 0 || s.start < start {
			start = s.start
		}
	}
	return start
}

// plants are what the lot holds; said is false where nobody knows.
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

// suspectStand: from 14 days before the cut to the day it was made, the stand
// or swath met something.
func (t *lot) suspectStand(l *land) bool {
	cut := t.cutOf(l)
	if cut == fields.NoDate {
		cut = t.MadeOn
	}
	if t.met(l) {
		return true
	}
	start := t.began(l)
	var tallest float64 // the lot is held to the tallest minimum it may hold
	for _, s := range t.stands(l) {
		tallest = max(tallest, s.height)
	}
	short := func(s *stand, cm float64) bool {
		return (&stand{height: max(tallest, s.height)}).short(cm)
	}
	for d := max(cut-14, start); d <= t.MadeOn; d++ {
		s := l.standAs(d, t.MadeOn)
		nt := l.night(d)
		if nt.trigger || nt.possible || nt.unread() {
			return true
		}
		if s.dayEnd != fields.NoDate && d <= s.dayEnd {
			return true
		}
		for _, st := range l.droughts("start", d) {
			if l.closing(st, d) == fields.NoDate {
				return true
			}
		}
		for _, e := range l.droughts("end", d) {
			if d <= e+date(l.rule(hazard.DroughtWait)) {
				return true
			}
		}
		for _, k := range []fields.Kind{fields.KindHail, fields.KindTrampled, fields.KindSprayed} {
			for _, e := range l.events(k, d) {
				if e == d {
					return true
				}
			}
		}
		if wilted, _ := s.lastWilted(); wilted {
			return true
		}
		if cm, _, said := s.lastShoots(); said && cm > 0 && short(s, cm) {
			return true
		}
		if s.lowSaid(d, max(tallest, s.height)) {
			return true
		}
		for _, p := range s.plants {
			if p.unknown() {
				return true
			}
		}
	}
	return false
}

// lowSaid: the last height said of the growth by day d was too short, whatever
// was seen or sown among it since.
func (s *stand) lowSaid(d date, height float64) bool {
	of := &stand{height: height}
	last, low := date(0), false
	for _, w := range s.l.walks("stand", d) {
		if w.ShortestCM == nil || s.sown && w.d < s.start || w.d <= max(s.begins, s.cut, s.out) {
			continue
		}
		bad := of.short(*w.ShortestCM)
		switch {
		case w.Killed == "all" && !bad:
		case w.d > last:
			last, low = w.d, bad
		case w.d == last:
			low = low || bad
		}
	}
	return low
}

// met: animals went down since the growth began, or earlier and that was open
// for some class and use on a day of the window.
func (t *lot) met(l *land) bool {
	start := t.began(l)
	care := l.care(t.MadeOn)
	for _, i := range care.incidents {
		if start == fields.NoDate || i >= start {
			return true
		}
		for d := max(t.cutOrMade(l)-14, start); d <= t.MadeOn; d++ {
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

// enough: bales cored and cores as the sampling plan asks.
func (t *lot) enough(r result) bool {
	ask := t.v.book.V[hazard.NitrateSampleBales]
	if t.LotKind == "silage" {
		return atLeast(r.Cores, ask)
	}
	if t.Bales == nil {
		return false // of an unknown number nobody can say
	}
	ask = max(ask, math.Ceil(*t.Bales*t.v.book.V[hazard.NitrateSampleBalesPct]/100-1e-9))
	ask = min(ask, *t.Bales)
	return atLeast(r.BalesCored, ask) && atLeast(r.Cores, ask)
}

func (t *lot) labs(analyte string) []result {
	return labs(t.facts, analyte, t.v.on, func(b *fields.Lab) bool { return b.Lot == t.Lot })
}

// prussic answers for feeding the lot.
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
		cure, ensile := t.MadeOn.Add(v.book.Days(hazard.HayCure)), t.MadeOn.Add(v.book.Days(hazard.SilageWait))
		if (t.LotKind == "hay" || t.LotKind == "bought") && v.on <= cure {
			out = append(out, hold(hazard.LineCure, cure, fields.NoDate))
		}
		if t.LotKind != "hay" && v.on <= ensile {
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
	if (cyan && t.suspect || t.incident || t.unknownOrigin()) && proper == fields.NoDate {
		out = append(out, caution(hazard.LineSuspect))
	}
	return out
}

// stressed reports whether any stress fell on the growth the lot was made of:
// since its sowing or the cut before.
func (t *lot) stressed(l *land) bool {
	cut := t.cutOf(l)
	for _, s := range t.stands(l) {
		if t.stressedAs(l, s, cut) {
			return true
		}
	}
	return false
}

func (t *lot) stressedAs(l *land, s *stand, cut date) bool {
	since := s.start
	for _, f := range l.upTo(t.MadeOn) {
		if b, ok := f.e.Body.(*fields.Cut); ok && b.Use != "green-chop" && (cut == fields.NoDate || f.d < cut) {
			since = max(since, f.d)
		}
	}
	dead, quiet := l.standOn(t.MadeOn).quiet()
	for _, st := range s.stresses(t.MadeOn, s.accumulating()) {
		if st.kind == "frost" && quiet && st.d > dead && st.d > s.x {
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

// nitrate answers for feeding the lot.
func (t *lot) nitrate(class hazard.Class) []reason {
	v := t.v
	var out []reason
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
		j := r.worst(v, class)
		re := reason{line: hazard.LineNitrateLotTable, flag: j.flag, share: j.share, shared: proper != fields.NoDate}
		if j.flag == hazard.Hold {
			re.through, re.event = noEnd, r.d
		}
		out = append(out, re)
		if ppm, known := r.ppmN(); len(r.Values) == 1 && known && j.flag == hazard.Clear &&
			v.judge(ppm*v.book.V[hazard.NitrateBaleSpread], class).flag != hazard.Clear {
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

// care is the lot's veterinary side; incidents of its sisters (same paddocks,
// same cut) are its own.
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
	}
	return own, all
}

// sister: a lot of the same paddocks and cut date.
func (t *lot) sister(o *lot) bool {
	for _, p := range t.From {
		if !has(o.From, p) {
			continue
		}
		for _, l := range t.v.linesOf(p) {
			if t.cutOrMade(l) == o.cutOrMade(l) {
				return true
			}
		}
	}
	return false
}

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
