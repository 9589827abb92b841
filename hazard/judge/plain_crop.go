package judge

import (
	"math"
	"sort"

	"rimegate/fields"
	"rimegate/hazard"
)

// crop is the growth whose nitrate is judged: what stands on a day, or what
// stood until it was cut.
type crop struct {
	s       *stand
	from    date // first day of its season
	cut     date // when it was cut; a later walk speaks of the stubble
	gathers []plant
	weedy   bool // weeds in perennial sod: never clear without a sampling
	hardy   bool // every plant that gathers is
}

// crop is the growth of day s.x: of what stands there, or, with a cut date, of
// what was cut then (§9.3, §9.13).
func (s *stand) crop(cut date) crop {
	last := s.lastCut(cut)
	c := crop{s: s, cut: cut, from: max(s.anew, last, s.x-365)}
	low := c.lowGathers()
	sod := s.sod()
	for _, p := range s.plants {
		switch p.nitrate() {
		case hazard.NitrateNo:
			continue
		case hazard.NitrateLow:
			if !low {
				continue
			}
		default:
			if !sod || !s.weed(p) {
				break
			}
			if s.namedAbsent(p) {
				continue
			}
			if p.nitrate() == hazard.NitrateBrassica {
				break
			}
			extent := s.extent(p, max(last, s.x-365))
			if extent == "common" || c.thirsty() {
				break
			}
			c.weedy = c.weedy || extent != "trace"
			continue
		}
		c.gathers = append(c.gathers, p)
	}
	c.hardy = hardy(c.gathers)
	return c
}

// §9.6.
func hardy(ps []plant) bool {
	for _, p := range ps {
		if p.row == nil || !p.row.Hardy {
			return false
		}
	}
	return len(ps) > 0
}

// §9.3.
func (c crop) accumulating() bool { return len(c.gathers) > 0 }

// §5.6.
func (p plant) nitrate() hazard.NitrateHabit {
	if p.row == nil {
		return hazard.NitrateUnknown
	}
	return p.row.Nitrate
}

// lastCut is the last cut by day s.x, chops apart; for a growth that was cut
// itself, the last before that (§9.3).
func (s *stand) lastCut(cut date) date {
	if cut == fields.NoDate {
		return s.cutOther
	}
	var last date
	for _, f := range s.l.upTo(s.x) {
		if b, ok := f.e.Body.(*fields.Cut); ok && b.Use != "green-chop" && f.d < cut {
			last = max(last, f.d)
		}
	}
	return last
}

// dose is the nitrogen of one date, kg N/ha; of an unstated rate more than any.
type dose struct {
	d  date
	kg float64
}

// doses are those dated from and to, in order (§9.4).
func (l *land) doses(from, to date) []dose {
	sum := map[date]float64{}
	for _, f := range l.upTo(to) {
		if b, ok := f.e.Body.(*fields.Nitrogen); ok && f.d >= from {
			if b.KgNHa == nil {
				sum[f.d] = math.Inf(1)
			} else {
				sum[f.d] += *b.KgNHa
			}
		}
	}
	var out []dose
	for d, kg := range sum {
		out = append(out, dose{d, kg})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].d < out[j].d })
	return out
}

// lowGathers reports whether plants that gather little gather much this season:
// by one large dose, by all together, by less under stress, or because a grass
// was sown within the year (§9.4).
func (c crop) lowGathers() bool {
	const slack = 0.3 // kg N/ha: 60 lb N an acre is 67.25 (§2.7)
	s := c.s
	total := 0.0
	ds := s.l.doses(c.from, s.x)
	for _, d := range ds {
		if d.kg > s.l.value(hazard.NitrateLowDose)+slack {
			return true
		}
		total += d.kg
	}
	switch {
	case total > s.l.value(hazard.NitrateLowTotal)+slack:
		return true
	case total >= s.l.value(hazard.NitrateLowStressed)*edge && c.strained():
		return true
	}
	return len(ds) > 0 && s.grass() && s.sownSince(s.x-date(s.l.rule(hazard.NitrateNewSward)))
}

// grass reports a perennial grass in the stand (§9.4).
func (s *stand) grass() bool {
	for _, p := range s.plants {
		if p.row != nil && p.row.PerennialGrass {
			return true
		}
	}
	return false
}

// §9.4.
func (s *stand) sownSince(d date) bool {
	for _, e := range s.l.events(fields.KindSown, s.x) {
		if e >= d {
			return true
		}
	}
	return false
}

// strained: a drought, a rain wait, hail, trampling or spray on a day of this
// season (§9.4).
func (c crop) strained() bool {
	l, x := c.s.l, c.s.x
	for _, k := range []fields.Kind{fields.KindHail, fields.KindTrampled, fields.KindSprayed} {
		if latest(l.events(k, x)) >= c.from {
			return true
		}
	}
	for _, st := range l.droughts("start", x) {
		if e := l.closing(st, x); e == fields.NoDate || e >= c.from {
			return true
		}
	}
	for _, e := range l.droughts("end", x) {
		if e+date(l.rule(hazard.NitrateRainWait)) >= c.from {
			return true
		}
	}
	return false
}

// thirsty: a drought, its rain wait or a spray wait runs (§9.5).
func (c crop) thirsty() bool {
	l, x := c.s.l, c.s.x
	if l.inDrought(x, x) {
		return true
	}
	for _, e := range l.droughts("end", x) {
		if x <= e+date(l.rule(hazard.NitrateRainWait)) {
			return true
		}
	}
	for _, e := range l.events(fields.KindSprayed, x) {
		if x <= e+date(l.rule(hazard.NitrateSprayWait)) {
			return true
		}
	}
	return false
}

// turf reports a perennial grass or legume that is no weed itself (§9.5).
func (s *stand) turf() bool {
	for _, p := range s.plants {
		if p.row != nil && p.row.Perennial && (p.row.PerennialGrass || p.row.Legume) && p.nitrate() == hazard.NitrateLow {
			return true
		}
	}
	return false
}

// sod reports perennial sod: a perennial grass or legume, on land never sown or
// sown with perennials alone, all of them a year ago (§9.5).
func (s *stand) sod() bool {
	if !s.turf() {
		return false
	}
	for _, f := range s.l.upTo(s.x) {
		b, ok := f.e.Body.(*fields.Sown)
		if !ok || f.d < s.fresh {
			continue
		}
		if len(b.Species) == 0 || s.x.Sub(f.d) < 365 {
			return false
		}
		for _, sp := range b.Species {
			if p := s.l.v.plant(sp.Species); p.row == nil || !p.row.Perennial {
				return false
			}
		}
	}
	return true
}

// weed reports a plant that was found and never sown in this stand (§9.5).
func (s *stand) weed(p plant) bool {
	rs := s.records()
	for _, r := range rs {
		if r.sown && r.p.id == p.id && (r.d >= s.fresh || p.cyanogenic() && s.lingers(r, rs)) {
			return false
		}
	}
	return true
}

// extent is the largest extent said of a plant on d or later, "" for not said (§9.5).
func (s *stand) extent(p plant, d date) fields.Extent {
	words := []fields.Extent{"", fields.ExtentTrace, fields.ExtentPatches, fields.ExtentCommon}
	most := 0
	for _, f := range s.l.facts {
		b, ok := f.e.Body.(*fields.Seen)
		if !ok || f.d < d {
			continue
		}
		for _, name := range b.Species {
			if s.l.v.plant(name).id != p.id {
				continue
			}
			for i, word := range words {
				if b.Extent == word {
					most = max(most, i)
				}
			}
		}
	}
	return words[most]
}

// namedAbsent reports a weed without prussic acid that a weeds-checked walk later
// than its last sighting names absent (§9.5).
func (s *stand) namedAbsent(p plant) bool {
	if p.cyanogenic() {
		return false
	}
	var last date
	for _, r := range s.records() {
		if r.p.id == p.id {
			last = max(last, r.d)
		}
	}
	for _, w := range s.l.walks("stand", s.x) {
		if !yes(w.WeedsChecked) || w.d <= last {
			continue
		}
		for _, name := range w.Absent {
			if s.l.v.plant(name).id == p.id {
				return true
			}
		}
	}
	return false
}

// stress is something that raises nitrate; until is the last day of its wait,
// NoDate where it has none. An open night is none: it overtakes samples and
// cautions through a day.
type stress struct {
	kind  string // frost, open, hail, trampled, sprayed, drought, rain, nitrogen
	d     date
	until date
	open  date // of an open night the last day of its caution
}

// frost is what a trigger night is to the crop: a stress, an open night, or
// nothing (§9.6).
func (c crop) frost(n date, nt *night) (stress, bool) {
	if !nt.trigger {
		return stress{}, false
	}
	end := n + date(c.s.l.rule(hazard.NitrateFrostWait))
	switch {
	case !c.hardy || c.hard(n, nt):
		return stress{kind: "frost", d: n, until: end}, true
	case c.borne(n, nt):
		return stress{}, false
	}
	return stress{kind: "open", d: n, open: end}, true
}

// hard: so cold, or nobody said how cold, or damage was found (§9.6).
func (c crop) hard(n date, nt *night) bool {
	if nt.low != nil && *nt.low <= c.s.l.value(hazard.NitrateFrostHard) || nt.unsaid || nt.damage {
		return true
	}
	for _, w := range c.s.l.walks("stand", c.s.know) { // of the stubble, too
		if w.d >= n && damaged(w) {
			return true
		}
	}
	return false
}

// borne: a later walk found no damage, or one of the days before did, none found
// some between, and the night was mild at the plants, as covering readings say (§9.6).
func (c crop) borne(n date, nt *night) bool {
	s := c.s
	for _, u := range s.unhurt() {
		if u >= n+date(s.l.rule(hazard.FrostKillWalkAfter)) && (c.cut == fields.NoDate || u <= c.cut) {
			return true
		}
	}
	if nt.person || !nt.counted || nt.plant == nil || *nt.plant <= s.l.value(hazard.NitrateFrostBorne) {
		return false
	}
	var hurt date
	for _, w := range s.l.walks("stand", s.know) {
		if damaged(w) {
			hurt = max(hurt, w.d)
		}
	}
	for _, u := range s.unhurt() {
		if u > hurt && u < n && n.Sub(u) <= s.l.rule(hazard.NitrateFrostBorneDays) {
			return true
		}
	}
	return false
}

// stresses of the crop by day to, with their waits. Frost is a stress only to
// an accumulating crop that was not dead with nothing alive (§9.7).
func (c crop) stresses(to date) []stress {
	s := c.s
	l := s.l
	var out []stress
	if c.accumulating() {
		till := to
		from, quiet := s.quiet()
		if quiet {
			till = min(till, from)
		}
		for n := s.from(); n <= till; n++ {
			st, counts := c.frost(n, l.night(n))
			if !counts {
				continue
			}
			if quiet { // its wait is over
				st.until, st.open = fields.NoDate, fields.NoDate
			}
			out = append(out, st)
		}
	}
	for _, k := range []struct {
		kind fields.Kind
		rule hazard.RuleKey
	}{
		{fields.KindHail, hazard.NitrateHailWait},
		{fields.KindTrampled, hazard.NitrateTrampledWait},
		{fields.KindSprayed, hazard.NitrateSprayWait},
	} {
		for _, e := range l.events(k.kind, to) {
			out = append(out, stress{kind: string(k.kind), d: e, until: e + date(l.rule(k.rule))})
		}
	}
	for _, e := range l.droughts("start", to) {
		st := stress{kind: "drought", d: e}
		if l.closing(e, to) == fields.NoDate {
			st.until = noEnd
		}
		out = append(out, st)
	}
	for _, e := range l.droughts("end", to) {
		out = append(out, stress{kind: "rain", d: e, until: e + date(l.rule(hazard.NitrateRainWait))})
	}
	total := 0.0
	for _, d := range l.doses(c.from, to) {
		if total += d.kg; total >= l.value(hazard.NitrateNitrogenFlag)*edge {
			out = append(out, stress{kind: "nitrogen", d: d.d})
		}
	}
	return out
}

// tonight is a frost met by the end of the day in the night that follows (§9.7).
func (c crop) tonight() []stress {
	if !c.accumulating() || c.s.nothingAlive() {
		return nil
	}
	if st, counts := c.frost(c.s.x+1, c.s.l.tonight(c.s.x)); counts {
		return []stress{st}
	}
	return nil
}

// waits are the stresses whose wait runs on day x (§9.7).
func waits(ss []stress, x date) []stress {
	var out []stress
	for _, s := range ss {
		if s.until != fields.NoDate && x <= s.until {
			out = append(out, s)
		}
	}
	return out
}

// opens reports an open night whose caution runs on day x (§9.6).
func opens(ss []stress, x date) bool {
	for _, s := range ss {
		if s.kind == "open" && x <= s.open {
			return true
		}
	}
	return false
}
