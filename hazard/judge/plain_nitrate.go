package judge

import (
	"strings"

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

// perN is how much one part of nitrogen weighs in a form (§9.1).
func perN(form fields.Form) float64 {
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

// §9.1.
func (l *land) nitrates(x date) []result {
	return labs(l.facts, "nitrate", x, func(b *fields.Lab) bool { return has(l.ids, b.Paddock) })
}

// ppmN is the highest value as ppm NO3-N on dry matter; known is false where
// the dry matter of an as-fed result was not said (§9.1).
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
// no row for (§9.2).
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

// worst is what a result says for a class by itself (§9.2).
func (r result) worst(v *view, class hazard.Class) judged { return r.with(v, class, 0) }

// with is what a result says for a class when water adds to it: ppm NO3-N on
// the dry matter eaten (§10.3).
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
// said and low enough (§9.8).
func (l *land) proper(r result) bool {
	_, known := r.ppmN()
	const slack = 0.2 // cm: 4 in is 10.16
	return known && r.Method == "lab" &&
		atLeast(r.Stems, l.value(hazard.NitrateSampleStems)) && atLeast(r.Spots, l.value(hazard.NitrateSampleSpots)) &&
		r.CutCM != nil && *r.CutCM <= l.value(hazard.NitrateSampleCutCM)+slack
}

// quiet is the day from which nothing has been alive: everything is confirmed
// dead, and the last walk since the base that said what is alive said nothing.
// Without cyanogenic plants the kill walk speaks for all: a clean walk that
// names nothing alive says so of the whole stand. A walk says nothing of what
// was seen after it or sown on its day or later, nor of what was sown less than
// 28 days before. The earliest such walk counts.
//
// The kill of the cyanogenic plants alone is not enough: else one more such
// plant could turn a stand that nobody found dead into one with nothing alive (§6.7).
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
	sown := latest(s.l.events(fields.KindSown, s.x))
	var from date
	for _, d := range none {
		up := sown == fields.NoDate || d.Sub(sown) >= s.l.rule(hazard.NitrateDeadAfterSown)
		if up && d >= s.baseAll && d > lastAlive && s.speaksOf(d, true) && (from == fields.NoDate || d < from) {
			from = d
		}
	}
	return from, from != fields.NoDate
}

func (s *stand) nothingAlive() bool { _, ok := s.quiet(); return ok }

// proper: later, too, than the sowing the stand began with (§9.8, §5.9).
func (s *stand) proper(r result) bool { return r.d > s.begins && r.Lot == "" && s.l.proper(r) }

// results are the nitrate results of the stand since its start; of a swath,
// since the start of the stand it was cut from (§9.11).
func (s *stand) results(w *swath) []result {
	grew := s
	if w != nil {
		grew = w.before
	}
	var out []result
	for _, r := range s.l.nitrates(s.x) {
		if r.d >= grew.start {
			out = append(out, r)
		}
	}
	return out
}

// against are the results that count against the stand: the latest proper
// samplings and every other dated on or after them (§9.11).
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

// nitrate answers for one use and class of the stand (§9.11).
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

// §2.3.
func sensitive(c hazard.Class) bool { return c != hazard.OpenCattle && c != hazard.Horses }

// latestProper is the date of the latest proper sampling and what its values
// say for a class (§9.11).
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
		k := r.with(s.l.v, class, s.drunk(class))
		j.flag, j.share = max(j.flag, k.flag), min(j.share, k.share)
	}
	return at, j, at != fields.NoDate
}

// clears reports whether a sampling of day d, whose values are clear, clears
// the crop, which took stresses by day to; capped is set inside a wait (§9.9, §9.10).
func (s *stand) clears(d date, ss []stress, to date, w *swath, anyAge bool) (ok, capped bool) {
	if d <= s.begins {
		return false, false
	}
	for _, x := range s.l.events(fields.KindSown, s.x) {
		if x >= d { // of a swath: on the day of the cut
			return false, false
		}
	}
	for _, st := range ss {
		if st.d >= d {
			return false, false
		}
	}
	doses := s.l.doses(fields.NoDate, to)
	if s.grass() || w != nil && w.before.grass() {
		for _, x := range doses {
			if x.d >= d {
				return false, false
			}
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
	near := false
	for _, st := range ss {
		if st.until != fields.NoDate && (st.until == noEnd || s.x <= st.until+date(s.l.rule(hazard.NitrateAfterWait))) {
			near = true
		}
	}
	for _, x := range doses {
		near = near || s.x.Sub(x.d) <= s.l.rule(hazard.NitrateFresh)
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
	return true, len(waits(ss, s.x)) > 0
}

// stressFree: the last walk that said so, within 7 days, signs stress_free (§9.9).
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
// answered (§9.11).
func (c crop) openNights(d date) bool {
	s := c.s
	for n := d; n <= s.x; n++ {
		nt := s.l.night(n)
		possible := nt.possible && !nt.signed && !(c.hardy && c.borne(n, nt))
		if (nt.unread() || possible) && !s.unhurtSince(n+date(s.l.rule(hazard.FrostKillWalkAfter))) {
			return true
		}
	}
	return false
}

// §9.11.
func (s *stand) nitrateFor(class hazard.Class, w *swath) []reason {
	out := s.l.v.waterLines(s.water(class))
	_, _, sampled := s.latestProper(class, w)
	for _, r := range s.against(w) {
		j := r.with(s.l.v, class, s.drunk(class))
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
	c, to := s.crop(fields.NoDate), s.x // the crop that took the stresses, and until when
	if w != nil {
		c, to = w.before.crop(w.cut), w.cut
	}
	acc := c.accumulating()
	ss := c.stresses(to)
	if w == nil {
		ss = append(ss, c.tonight()...)
	}
	d, j, found := s.latestProper(class, w)
	running := waits(ss, s.x)
	held := acc && sensitive(class) && len(running) > 0
	speaksAgainst := false
	for _, r := range s.against(w) {
		speaksAgainst = speaksAgainst || r.with(s.l.v, class, s.drunk(class)).flag != hazard.Clear
	}
	if found && j.flag == hazard.Clear && !(held && speaksAgainst) {
		if ok, capped := s.clears(d, ss, to, w, false); ok {
			if capped {
				out = append(out, caution(hazard.LineNitrateInsideWait))
			}
			if opens(ss, s.x) {
				out = append(out, caution(hazard.LineNitrateOpen))
			}
			if w == nil && acc && !s.nothingAlive() && c.openNights(d) {
				out = append(out, caution(hazard.LineNitrateNights))
			}
			return append(out, reason{line: hazard.LineNitrateClears, flag: hazard.Clear})
		}
	}
	if !acc {
		if len(running) > 0 {
			return append(out, caution(hazard.LineNitrateInsideWait))
		}
		return append(out, s.lowLine(c, to))
	}
	if held {
		bad := speaksAgainst         // it would not have cleared beside a bad one
		for _, st := range running { // other waits hold a sample that frosts overtook
			bad = bad || st.kind != "frost"
		}
		bad = bad || len(s.l.doses(d, to)) > 0
		if found && !bad && j.flag == hazard.Clear && s.x.Sub(d) <= s.l.rule(hazard.NitrateStandingLife) {
			var kept []stress
			for _, st := range ss {
				if st.kind != "frost" && st.kind != "open" || st.d < d {
					kept = append(kept, st)
				}
			}
			if ok, _ := s.clears(d, kept, to, w, true); ok {
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

// lowLine answers for a crop that gathers little: clear with no fresh nitrogen,
// its weeds checked lately and none that matters among them (§9.12).
func (s *stand) lowLine(c crop, to date) reason {
	life := s.l.rule(hazard.NitrateWeedWalk)
	if c.s.sod() { // of a swath, as it stood when it was cut
		life = s.l.rule(hazard.NitrateWeedWalkSod)
	}
	switch {
	case c.weedy:
		return caution(hazard.LineNitrateWeedy)
	case len(s.l.doses(s.x-date(s.l.rule(hazard.NitrateFresh)), to)) > 0:
		return caution(hazard.LineNitrateFresh)
	case !s.weedsCheckedSince(s.x - date(life)):
		return caution(hazard.LineNitrateLowUnsure)
	}
	return reason{line: hazard.LineNitrateLow, flag: hazard.Clear}
}

// nitrateCut answers for cut-hay and cut-silage: the same for every class (§9.14).
func (s *stand) nitrateCut() []reason {
	var out []reason
	if s.unlisted {
		out = append(out, caution(hazard.LineUnlisted))
	} else {
		c := s.crop(fields.NoDate)
		ss := append(c.stresses(s.x), c.tonight()...)
		for i := range ss {
			if ss[i].kind == "open" { // to cutting it is a frost
				ss[i].kind, ss[i].until = "frost", ss[i].open
			}
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

// water is the worst tested water of the land for a class, mg NO3-N per litre:
// of what the paddock or a herd of the class standing in it drinks (§10.2).
func (s *stand) water(class hazard.Class) (mgN float64) {
	open, _ := s.l.v.stays(s.x)
	others := s.l.v.othersThan(class)
	return s.l.v.worstWater(s.x, func(b *fields.Water) bool {
		for _, p := range b.Paddocks {
			if has(s.l.ids, p) {
				return true
			}
		}
		for _, st := range open {
			if has(s.l.ids, st.paddock) && has(b.Herds, st.herd) && !others[st.herd] {
				return true
			}
		}
		return false
	})
}

// worstWater is the worst of the sources that any result gives to the drinkers:
// of each the latest result by x counts, of one date the highest (§10.1).
func (v *view) worstWater(x date, drinks func(*fields.Water) bool) (mgN float64) {
	type result struct {
		d date
		v float64
	}
	sources, drunk := map[string]result{}, map[string]bool{}
	for _, f := range v.facts {
		b, ok := f.e.Body.(*fields.Water)
		if !ok || f.d > x {
			continue
		}
		source := strings.ToLower(strings.Join(strings.Fields(b.Source), " "))
		drunk[source] = drunk[source] || drinks(b)
		val := *b.Value / perN(b.Form)
		if old, ok := sources[source]; !ok || f.d > old.d || f.d == old.d && val > old.v {
			sources[source] = result{f.d, val}
		}
	}
	for source, r := range sources {
		if drunk[source] {
			mgN = max(mgN, r.v)
		}
	}
	return mgN
}

// herdWater is the worst water of every herd of a class: its own sources, and
// those of the paddock it stands in (§10.2).
func (v *view) herdWater(class hazard.Class) float64 {
	open, _ := v.stays(v.on)
	others := v.othersThan(class)
	return v.worstWater(v.on, func(b *fields.Water) bool {
		for _, herd := range b.Herds {
			if !others[herd] {
				return true
			}
		}
		for _, st := range open {
			if others[st.herd] { // stock that nobody named may be of any class
				continue
			}
			for _, l := range v.linesOf(st.paddock) {
				for _, p := range b.Paddocks {
					if has(l.ids, p) {
						return true
					}
				}
			}
		}
		return false
	})
}

// othersThan are the herds known to be of other classes. A herd of which nobody
// said the class may be of any (§10.2).
func (v *view) othersThan(class hazard.Class) map[string]bool {
	others := map[string]bool{}
	for herd, classes := range v.herdClasses() {
		others[herd] = !has(classes, class.String())
	}
	return others
}

// herdClasses are the classes of each herd as said last by the day asked; a herd
// described only later may be of any (§10.2).
func (v *view) herdClasses() map[string][]string {
	if v.kept != nil {
		return v.kept
	}
	got, at := map[string][]string{}, map[string]fact{}
	for _, f := range v.settings {
		b, ok := f.e.Body.(*fields.HerdFacts)
		if !ok || len(b.Classes) == 0 || f.d > v.on {
			continue
		}
		old, had := at[b.Herd]
		better := !had || f.d > old.d || f.d == old.d && f.e.ID > old.e.ID
		if better {
			got[b.Herd], at[b.Herd] = b.Classes, f
		}
	}
	v.kept = got
	return got
}

// drunk is what the tested water adds to the feed: ppm NO3-N of its dry matter (§10.3).
func (s *stand) drunk(class hazard.Class) float64 {
	return s.water(class) * s.l.value(hazard.NitrateWaterLitres)
}

// waterLines answer for the water alone. No word about grazing softens them (§10.3).
func (v *view) waterLines(mgN float64) []reason {
	switch {
	case mgN >= v.book.V[hazard.NitrateWaterHold]*edge:
		return []reason{hold(hazard.LineWater, noEnd, fields.NoDate)}
	case mgN >= v.book.V[hazard.NitrateWaterCaution]*edge:
		return []reason{caution(hazard.LineWater)}
	}
	return nil
}
