package judge

import (
	"rimegate/fields"
	"rimegate/hazard"
)

// Standard atomic weights, abridged to five figures (CIAAW).
const (
	weightN  = 14.007
	weightO  = 15.999
	weightK  = 39.098
	weightNa = 22.990
)

// perN is how much one part of nitrogen weighs in a form.
func perN(form string) float64 {
	nitrate := weightN + 3*weightO
	switch form {
	case "NO3":
		return nitrate / weightN
	case "KNO3":
		return (weightK + nitrate) / weightN
	case "NaNO3":
		return (weightNa + nitrate) / weightN
	}
	return 1
}

func (l *land) nitrates(x date) []result {
	return labs(l.facts, "nitrate", x, func(b *fields.Lab) bool { return has(l.ids, b.Paddock) })
}

// ppmN is the highest value as ppm NO3-N on dry matter; known is false where
// the dry matter of an as-fed result was not said.
func (r result) ppmN() (v float64, known bool) {
	v = highest(r.Lab) / perN(r.Form)
	if r.Basis == "dm" {
		return v, true
	}
	if r.DMPct != nil {
		return v / (*r.DMPct / 100), true
	}
	return v, false
}

type judged struct {
	flag  hazard.Flag
	share float64
}

// judge holds a value against every table of the rulebook, and takes the worst
// flag and the smallest share. A one-line table says nothing of classes it has
// no row for.
func (v *view) judge(ppmN float64, class hazard.Class) judged {
	out := judged{hazard.Clear, 100}
	for _, t := range v.book.Tables {
		bands := t.Rows[class]
		value := ppmN * perN(t.Form)
		for i, b := range bands {
			if i < len(bands)-1 && value >= b.UpTo*edge {
				continue
			}
			f := hazard.Clear
			share := b.MaxShare
			if b.Caution || b.MaxShare < 100 {
				f = hazard.Caution
			}
			if b.DoNot || b.MaxShare == 0 {
				f, share = hazard.Hold, 0
			}
			out.flag = max(out.flag, f)
			out.share = min(out.share, share)
			break
		}
	}
	return out
}

// worst is what a result says for a class by itself.
func (r result) worst(v *view, class hazard.Class) judged { return r.with(v, class, 0) }

// with is what a result says for a class when water adds to it: ppm NO3-N on
// the dry matter eaten.
func (r result) with(v *view, class hazard.Class, water float64) judged {
	ppm, known := r.ppmN()
	j := v.judge(ppm+water, class)
	if !known {
		j.flag = max(j.flag, hazard.Caution)
	}
	return j
}

func atLeast(v *float64, n float64) bool { return v != nil && *v >= n }

// proper: a laboratory sampling with enough stems and spots, its cut height
// said and low enough.
func (l *land) proper(r result) bool {
	_, known := r.ppmN()
	const slack = 0.2 // cm: 4 in is 10.16
	return known && r.Method == "lab" &&
		atLeast(r.Stems, l.value(hazard.NitrateSampleStems)) && atLeast(r.Spots, l.value(hazard.NitrateSampleSpots)) &&
		r.CutCM != nil && *r.CutCM <= l.value(hazard.NitrateSampleCutCM)+slack
}

// stress is something that raises nitrate; until is the last day of its wait,
// NoDate where it has none.
type stress struct {
	kind  string
	d     date
	until date
}

func (p plant) gathers(perennialFed bool) bool {
	if p.row == nil {
		return true
	}
	switch p.row.Nitrate {
	case hazard.NitrateYes, hazard.NitrateBrassica, hazard.NitrateUnknown:
		return true
	}
	return p.row.PerennialGrass && perennialFed
}

// fedThisSeason reports nitrogen in the last 365 days.
func (s *stand) fedThisSeason() bool {
	for _, d := range s.l.events(fields.KindNitrogen, s.x) {
		if d >= s.x-365 {
			return true
		}
	}
	return false
}

func (s *stand) accumulating() bool {
	for _, p := range s.plants {
		if p.gathers(s.fedThisSeason()) {
			return true
		}
	}
	return false
}

// quiet is the day from which nothing has been alive: everything is confirmed
// dead, and the last walk since the base that said what is alive said nothing.
// Without cyanogenic plants the kill walk speaks for all: a clean walk that
// names nothing alive says so of the whole stand. A walk says nothing of what
// was seen after it or sown on its day or later. The earliest such walk counts.
//
// The kill of the cyanogenic plants alone is not enough: else one more such
// plant could turn a stand that nobody found dead into one with nothing alive.
func (s *stand) quiet() (date, bool) {
	if !s.dead || !s.deadAll {
		return fields.NoDate, false
	}
	var lastAlive date
	var none []date
	for _, w := range s.l.walks("stand", s.x) {
		if w.d < s.baseAll {
			continue
		}
		if len(w.Alive) > 0 {
			lastAlive = max(lastAlive, w.d)
		} else if w.Alive != nil {
			none = append(none, w.d)
		}
	}
	if !s.cyan {
		none = append(none, s.cleanAll...)
	}
	var from date
	for _, d := range none {
		if d >= s.baseAll && d > lastAlive && s.speaksOf(d, true) && (from == fields.NoDate || d < from) {
			from = d
		}
	}
	return from, from != fields.NoDate
}

func (s *stand) nothingAlive() bool { _, ok := s.quiet(); return ok }

// nitrogenStress are the applications at or after which the total since the
// sowing or last cut reaches the flag rate.
func (s *stand) nitrogenStress() []date {
	var out []date
	apps := s.l.events(fields.KindNitrogen, s.x)
	for _, a := range apps {
		from := s.begins
		for _, f := range s.l.upTo(a - 1) {
			if b, ok := f.e.Body.(*fields.Cut); ok && b.Use != "green-chop" {
				from = max(from, f.d)
			}
		}
		total := 0.0
		for _, f := range s.l.upTo(a) {
			if b, ok := f.e.Body.(*fields.Nitrogen); ok && f.d >= from {
				total += *b.KgNHa
			}
		}
		if total >= s.l.value(hazard.NitrateNitrogenFlag)*edge {
			out = append(out, a)
		}
	}
	return out
}

// stresses of the stand by day d, with their waits. Frost is a stress only to
// an accumulating stand that was not dead with nothing alive.
func (s *stand) stresses(d date, frostCounts bool) []stress {
	l := s.l
	var out []stress
	if frostCounts {
		to := d
		from, quiet := s.quiet()
		if quiet {
			to = min(to, from)
		}
		for n := s.from(); n <= to; n++ {
			if !l.night(n).trigger {
				continue
			}
			st := stress{"frost", n, n + date(l.rule(hazard.NitrateFrostWait))}
			if quiet {
				st.until = fields.NoDate
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
		for _, e := range l.events(k.kind, d) {
			out = append(out, stress{string(k.kind), e, e + date(l.rule(k.rule))})
		}
	}
	for _, e := range l.droughts("start", d) {
		st := stress{"drought", e, fields.NoDate}
		if l.closing(e, d) == fields.NoDate {
			st.until = noEnd
		}
		out = append(out, st)
	}
	for _, e := range l.droughts("end", d) {
		out = append(out, stress{"rain", e, e + date(l.rule(hazard.NitrateRainWait))})
	}
	for _, e := range s.nitrogenStress() {
		if e <= d {
			out = append(out, stress{"nitrogen", e, fields.NoDate})
		}
	}
	return out
}

// frostTonight is a frost met by the end of the day in the night that follows.
func (s *stand) frostTonight() []stress {
	if _, quiet := s.quiet(); quiet || !s.l.tonight(s.x).trigger {
		return nil
	}
	return []stress{{"frost", s.x + 1, s.x + 1 + date(s.l.rule(hazard.NitrateFrostWait))}}
}

// waits are the stresses whose wait runs on day x.
func waits(ss []stress, x date) []stress {
	var out []stress
	for _, s := range ss {
		if s.until != fields.NoDate && x <= s.until {
			out = append(out, s)
		}
	}
	return out
}

// proper: later, too, than the sowing the stand began with.
func (s *stand) proper(r result) bool { return r.d > s.begins && s.l.proper(r) }

// results are the nitrate results of the stand since its start; of a swath,
// since the start of the stand it was cut from.
func (s *stand) results(w *swath) []result {
	grew := s
	if w != nil {
		grew = w.before
	}
	var out []result
	for _, r := range s.l.nitrates(s.x) {
		if !grew.sown || r.d >= grew.start {
			out = append(out, r)
		}
	}
	return out
}

// against are the results that count against the stand: the latest proper
// samplings and every other dated on or after them.
func (s *stand) against(w *swath) []result {
	rs := s.results(w)
	var last date
	for _, r := range rs {
		if s.proper(r) {
			last = max(last, r.d)
		}
	}
	var out []result
	for _, r := range rs {
		if r.d >= last {
			out = append(out, r)
		}
	}
	return out
}

// nitrate answers for one use and class of the stand.
func (s *stand) nitrate(use hazard.Use, class hazard.Class) []reason {
	switch use {
	case hazard.CutHay, hazard.CutSilage:
		return s.nitrateCut()
	case hazard.SwathGraze:
		w, lies := s.swath()
		if !lies {
			return []reason{hold(hazard.LineNoSwath, noEnd, fields.NoDate)}
		}
		return s.nitrateFor(class, &w)
	}
	return s.nitrateFor(class, nil)
}

func sensitive(c hazard.Class) bool { return c != hazard.OpenCattle && c != hazard.Horses }

// latestProper is the date of the latest proper sampling and what its values
// say for a class.
func (s *stand) latestProper(class hazard.Class, w *swath) (date, judged, bool) {
	var at date
	j := judged{hazard.Clear, 100}
	for _, r := range s.results(w) {
		if !s.proper(r) || r.d < at {
			continue
		}
		if r.d > at {
			at, j = r.d, judged{hazard.Clear, 100}
		}
		k := r.with(s.l.v, class, s.drunk())
		j.flag, j.share = max(j.flag, k.flag), min(j.share, k.share)
	}
	return at, j, at != fields.NoDate
}

// clears reports whether a sampling of day d, whose values are clear, clears
// the stand given its stresses; capped is set inside a wait.
func (s *stand) clears(d date, ss []stress, w *swath, anyAge bool) (ok, capped bool) {
	if d <= s.begins {
		return false, false
	}
	for _, x := range s.l.events(fields.KindSown, s.x) {
		if x >= d && w == nil {
			return false, false
		}
	}
	for _, st := range ss {
		if st.d >= d {
			return false, false
		}
	}
	for _, f := range s.l.upTo(s.x) {
		if _, isCut := f.e.Body.(*fields.Cut); isCut && f.d >= d && (w == nil || f.d < w.cut) {
			return false, false
		}
	}
	if w != nil && d < w.cut {
		return false, false
	}
	for _, o := range s.l.grazeOuts(s.x) {
		if o >= d {
			return false, false
		}
	}
	running := waits(ss, s.x)
	near := false
	for _, st := range ss {
		if st.until != fields.NoDate && (st.until == noEnd || s.x <= st.until+date(s.l.rule(hazard.NitrateAfterWait))) {
			near = true
		}
	}
	life := s.l.rule(hazard.NitrateStandingLifeInWait)
	if !near && s.stressFree() {
		life = s.l.rule(hazard.NitrateStandingLife)
	}
	from, quiet := s.quiet()
	ageless := quiet && d >= from
	if w != nil {
		ageless = w.dry
	}
	if !ageless && !anyAge && s.x.Sub(d) > life {
		return false, false
	}
	return true, len(running) > 0
}

// stressFree: the last walk that said so, within 7 days, signs stress_free.
func (s *stand) stressFree() bool {
	var at date
	free, said := false, false
	for _, w := range s.l.walks("stand", s.x) {
		if w.StressFree == nil {
			continue
		}
		if !said || w.d > at {
			at, free, said = w.d, *w.StressFree, true
		} else if w.d == at {
			free = free && *w.StressFree
		}
	}
	return free && s.x.Sub(at) <= 7
}

// openNights reports an unread or possible night since d that no walk has
// answered.
func (s *stand) openNights(d date) bool {
	for n := d; n <= s.x; n++ {
		nt := s.l.night(n)
		if !(nt.unread() || nt.possible && !nt.signed) {
			continue
		}
		answered := false
		for _, w := range s.l.walks("stand", s.x) {
			if w.d >= n+date(s.l.rule(hazard.FrostKillWalkAfter)) && w.FrostDamage == "none" {
				answered = true
			}
		}
		if !answered {
			return true
		}
	}
	return false
}

func (s *stand) nitrateFor(class hazard.Class, w *swath) []reason {
	out := s.waterLines()
	_, _, sampled := s.latestProper(class, w)
	for _, r := range s.against(w) {
		j := r.with(s.l.v, class, s.drunk())
		rs := reason{line: hazard.LineNitrateTable, flag: j.flag, share: j.share, shared: sampled}
		if j.flag == hazard.Hold {
			rs.through, rs.event = noEnd, r.d
		}
		if j.flag != hazard.Clear || s.proper(r) {
			out = append(out, rs)
		}
	}
	if s.unlisted {
		return append(out, caution(hazard.LineUnlisted))
	}
	grows, to := s, s.x // the stand that took the stresses, and until when
	if w != nil {
		grows, to = w.before, w.cut
	}
	acc := s.accumulating() || grows.accumulating()
	ss := grows.stresses(to, acc)
	if w == nil && acc {
		ss = append(ss, s.frostTonight()...)
	}
	d, j, found := s.latestProper(class, w)
	if found && j.flag == hazard.Clear {
		if ok, capped := s.clears(d, ss, w, false); ok {
			if capped {
				out = append(out, caution(hazard.LineNitrateInsideWait))
			}
			if w == nil && acc && !s.nothingAlive() && s.openNights(d) {
				out = append(out, caution(hazard.LineNitrateNights))
			}
			return append(out, reason{line: hazard.LineNitrateClears, flag: hazard.Clear})
		}
	}
	running := waits(ss, s.x)
	if !acc {
		if len(running) > 0 {
			return append(out, caution(hazard.LineNitrateInsideWait))
		}
		if s.lowIsClear() {
			return append(out, reason{line: hazard.LineNitrateLow, flag: hazard.Clear})
		}
		return append(out, caution(hazard.LineNitrateLowUnsure))
	}
	if sensitive(class) && len(running) > 0 {
		bad := false
		for _, st := range running { // other waits hold a sample that frosts overtook
			bad = bad || st.kind != "frost"
		}
		for _, r := range s.against(w) { // nor would it have cleared beside a bad one
			bad = bad || r.with(s.l.v, class, s.drunk()).flag != hazard.Clear
		}
		if found && !bad && j.flag == hazard.Clear && s.x.Sub(d) <= s.l.rule(hazard.NitrateStandingLife) {
			var kept []stress
			for _, st := range ss {
				if st.kind != "frost" || st.d < d {
					kept = append(kept, st)
				}
			}
			if ok, _ := s.clears(d, kept, w, true); ok {
				return append(out, caution(hazard.LineNitrateOvertaken))
			}
		}
		for _, st := range running {
			line := hazard.LineNitrateWait
			if st.kind == "drought" {
				line = hazard.LineNitrateDrought
			}
			out = append(out, hold(line, st.until, st.d))
		}
		return out
	}
	return append(out, caution(hazard.LineNitrateUntested))
}

// lowIsClear: a stand that gathers little is clear with no nitrogen this
// season and weeds checked within 28 days, none of them gathering.
func (s *stand) lowIsClear() bool {
	if s.fedThisSeason() {
		return false
	}
	checked := false
	for _, w := range s.l.walks("stand", s.x) {
		if w.d < max(s.x-28, s.begins) {
			continue
		}
		checked = checked || yes(w.WeedsChecked)
		for _, name := range w.Alive {
			if s.l.v.plant(name).gathers(false) {
				return false
			}
		}
	}
	return checked
}

// nitrateCut answers for cut-hay and cut-silage: the same for every class.
func (s *stand) nitrateCut() []reason {
	var out []reason
	if s.unlisted {
		out = append(out, caution(hazard.LineUnlisted))
	} else {
		ss := s.stresses(s.x, s.accumulating())
		if s.accumulating() {
			ss = append(ss, s.frostTonight()...)
		}
		for _, st := range waits(ss, s.x) {
			switch {
			case (st.kind == "frost" || st.kind == "hail") && s.x <= st.d+1:
				out = append(out, reason{line: hazard.LineNitrateCutNow, flag: hazard.Clear})
			case st.kind == "frost" || st.kind == "hail":
				out = append(out, caution(hazard.LineNitratePeak))
			default:
				out = append(out, caution(hazard.LineNitrateCutRain))
			}
		}
	}
	for _, class := range hazard.Classes {
		for _, r := range s.against(nil) {
			if r.worst(s.l.v, class).flag == hazard.Hold {
				return append(out, caution(hazard.LineNitrateCutBar))
			}
		}
	}
	return out
}

// water is the worst tested water of the land, mg NO3-N per litre: of each source the latest result counts (of one date the highest), of
// the sources that the paddock or a herd standing in it drinks from the worst.
func (s *stand) water() (mgN float64) {
	open, _ := s.l.v.stays(s.x)
	drinks := func(b *fields.Water) bool {
		for _, p := range b.Paddocks {
			if has(s.l.ids, p) {
				return true
			}
		}
		for _, st := range open {
			if has(s.l.ids, st.paddock) && has(b.Herds, st.herd) {
				return true
			}
		}
		return false
	}
	type latest struct {
		d date
		v float64
	}
	sources := map[string]latest{}
	for _, f := range s.l.v.facts {
		b, ok := f.e.Body.(*fields.Water)
		if !ok || f.d > s.x || !drinks(b) {
			continue
		}
		v := *b.Value / perN(b.Form)
		if old, ok := sources[b.Source]; !ok || f.d > old.d || f.d == old.d && v > old.v {
			sources[b.Source] = latest{f.d, v}
		}
	}
	for _, l := range sources {
		mgN = max(mgN, l.v)
	}
	return mgN
}

// drunk is what the tested water adds to the feed: ppm NO3-N of its dry matter.
func (s *stand) drunk() float64 {
	return s.water() * s.l.value(hazard.NitrateWaterLitres)
}

// waterLines answer for the water alone. No word about grazing softens them.
func (s *stand) waterLines() []reason {
	mgN := s.water()
	switch {
	case mgN >= s.l.value(hazard.NitrateWaterHold)*edge:
		return []reason{hold(hazard.LineWater, noEnd, fields.NoDate)}
	case mgN >= s.l.value(hazard.NitrateWaterCaution)*edge:
		return []reason{caution(hazard.LineWater)}
	}
	return nil
}
