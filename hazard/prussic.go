package hazard

import "rimegate/fields"

// listed is the stand's species as a list for reasons.
func (g *ground) listed() []string { return g.stand.names() }

func (g *ground) rule(k RuleKey) string { return k.String() }

// wait returns a hold reason through on+days, if the day asked lies within it.
func (g *ground) wait(line Line, k RuleKey, on fields.Date, need Need, entries ...string) (Reason, bool) {
	days := g.book.Days(k)
	through := on.Add(days)
	if on == fields.NoDate || g.x > through {
		return Reason{}, false
	}
	return Reason{Line: line, Rule: g.rule(k), Flag: Hold, Through: through, Need: need, On: on, Days: days, Entries: entries}, true
}

// prussicGraze answers for grazing on this line of land, horses apart.
func (g *ground) prussicGraze() []Reason {
	var rs []Reason
	rs = append(rs, g.alwaysLines()...)
	if !g.stand.hasP() {
		if len(rs) == 0 {
			rs = append(rs, Reason{Line: LineNoP, Rule: "species.none", Flag: Clear, Plants: g.listed()})
		}
		return rs
	}
	rs = append(rs, g.clockLine(&g.clock, LineClock)...)
	rs = append(rs, g.dryWaitLine()...)
	rs = append(rs, g.shootsLine()...)
	rs = append(rs, g.heightLines(g.grazeGrace())...)
	rs = append(rs, g.droughtLines(g.x, true)...)
	rs = append(rs, g.harmLines(g.x)...)
	rs = append(rs, g.wiltedLine(g.x)...)
	rs = append(rs, g.liveLines()...)
	rs = append(rs, g.deadLine()...)
	rs = append(rs, g.flaxLines()...)
	if len(rs) == 0 {
		rs = append(rs, Reason{Line: LineAllPassed, Rule: "prussic.all", Flag: Clear, Plants: g.listed(), On: g.clock.last, Proof: g.clearRestsOn()})
	}
	return rs
}

// clearRestsOn is the walk a clear answer rests on.
func (g *ground) clearRestsOn() fields.Date {
	if g.kill.confirmed {
		return g.kill.lastClean
	}
	if m, ok := g.lastMeasured(g.lastReset(), g.x); ok {
		return m.date
	}
	return fields.NoDate
}

// alwaysLines apply whether or not a cyanogenic species is listed.
func (g *ground) alwaysLines() []Reason {
	var rs []Reason
	s := &g.stand
	if s.unlisted {
		rs = append(rs, Reason{Line: LineUnlisted, Rule: "species.unlisted", Flag: Caution, Need: NeedEvidence})
	}
	if s.always {
		if _, ok := g.weedsChecked(g.x.Add(-365)); !ok {
			rs = append(rs, Reason{Line: LineNeverChecked, Rule: "species.unchecked", Flag: Caution, Need: NeedEvidence, Days: 365})
		}
	}
	if p := s.any(func(p *plant) bool { return p.row != nil && p.row.NotListed }); p != nil {
		if _, ok := g.weedsOfStand(g.x.Add(-365)); !ok {
			rs = append(rs, Reason{Line: LineNotListedHCN, Rule: "species.not-listed", Flag: Caution, Need: NeedEvidence, Species: p.name})
		}
	}
	if p := s.any((*plant).unknown); p != nil {
		rs = append(rs, Reason{Line: LineUnknown, Rule: "species.unknown", Flag: Caution, Need: NeedEvidence, Species: p.name})
	}
	return append(rs, g.hcnLines(g.labs, g.x)...)
}

func (g *ground) clockLine(c *clock, line Line) []Reason {
	wait := g.book.Days(FrostWait)
	if c.last == fields.NoDate || g.x > c.last.Add(wait) {
		return nil
	}
	r := Reason{
		Line: line, Rule: g.rule(FrostWait), Flag: Hold, Through: c.last.Add(wait), Need: NeedTime,
		On: c.last, Frost: c.trigger, Days: wait, Nights: c.unread, Entries: g.nightEntries(c.trigger),
	}
	if len(c.unread) > 0 {
		r.Need = NeedEvidence
	}
	return []Reason{r}
}

// dryWaitLine holds through the base of the kill plus the dry wait. At its
// default, 0, it asks nothing: the wait, dryness and a fresh walk are all
// asked for elsewhere.
func (g *ground) dryWaitLine() []Reason {
	if !g.kill.confirmed || g.book.Days(FrostDryWait) == 0 {
		return nil
	}
	if r, ok := g.wait(LineDryWait, FrostDryWait, g.kill.base, NeedTime, g.kill.entries...); ok {
		return []Reason{r}
	}
	return nil
}

func (g *ground) shootsLine() []Reason {
	date, cm, id, ok := g.lastShoots(g.x)
	if !ok || cm <= 0 || !short(cm, g.stand.minHeight) || g.kill.confirmed {
		return nil
	}
	return []Reason{{
		Line: LineShoots, Rule: "shoots", Flag: Hold, Through: NoEnd, Need: NeedDecision,
		On: date, Figure: measured(HeightCM, cm, g.stand.minHeight), Entries: []string{id}, Species: g.tallest(),
	}}
}

// tallest names the species whose minimum height governs.
func (g *ground) tallest() string {
	name, most := "", 0.0
	for i := range g.stand.plants {
		p := &g.stand.plants[i]
		if h := g.minimumOf(p); p.habit().Cyanogenic() && h > most {
			name, most = p.name, h
		}
	}
	return name
}

func (g *ground) heightRule() string {
	if p := g.stand.any(func(p *plant) bool { return p.name == g.tallest() }); p != nil && p.row != nil && p.row.Height >= 0 {
		return p.row.Height.String()
	}
	return HeightSorghumSudangrass.String()
}

// grazeGrace reports whether stock inside lets the height lines rest on the
// measurement before their turn-in.
func (g *ground) grazeGrace() bool {
	var turnIn fields.Date
	inside := false
	for _, s := range g.stays {
		if s.Out != fields.NoDate {
			continue
		}
		if s.In == fields.NoDate {
			return false
		}
		if !inside || s.In < turnIn {
			turnIn = s.In
		}
		inside = true
	}
	if !inside || g.x.Sub(turnIn) > g.book.Days(HeightGrace) {
		return false
	}
	reset := g.lastReset()
	if reset >= turnIn {
		return false
	}
	m, ok := g.lastMeasured(reset, turnIn)
	return ok && turnIn.Sub(m.date) <= g.book.Days(HeightLife) && !short(m.cm, g.stand.minHeight)
}

// heightLines are the lines about measured height of a living stand.
func (g *ground) heightLines(grace bool) []Reason {
	low := g.stand.minHeight
	if low == 0 || g.kill.confirmed || grace {
		return nil
	}
	reset := g.lastReset()
	m, ok := g.lastMeasured(reset, g.x)
	switch life := g.book.Days(HeightLife); {
	case !ok:
		return []Reason{{
			Line: LineNeverMeasured, Rule: "height.unmeasured", Flag: Hold, Through: NoEnd, Need: NeedEvidence,
			Began: reset, Figure: Figure{Of: HeightCM, Limit: low}, Species: g.tallest(), undated: true,
		}}
	case short(m.cm, low):
		return []Reason{{
			Line: LineTooShort, Rule: g.heightRule(), Flag: Hold, Through: NoEnd, Need: NeedEvidence,
			On: m.date, Figure: measured(HeightCM, m.cm, low), Species: g.tallest(), Entries: []string{m.id}, undated: m.dead,
		}}
	case g.x.Sub(m.date) > life:
		return []Reason{{
			Line: LineOldHeight, Rule: g.rule(HeightLife), Flag: Caution, Need: NeedEvidence,
			On: m.date, Figure: measured(HeightCM, m.cm, low), Days: life, Entries: []string{m.id},
		}}
	}
	return nil
}

// droughtState folds the drought entries dated upTo or earlier. An end closes
// every start before it; on one date the start holds.
func (g *ground) droughtState(upTo fields.Date) (start, end fields.Date, startID, endID string) {
	for _, f := range g.drought {
		if f.Date > upTo {
			continue
		}
		if f.Body.(*fields.Drought).State == "end" {
			end, endID = f.Date, f.ID
		}
	}
	for _, f := range g.drought {
		if f.Date <= upTo && f.Date >= end && f.Body.(*fields.Drought).State == "start" {
			if start == fields.NoDate {
				start, startID = f.Date, f.ID
			}
		}
	}
	return
}

// droughtLines answer for droughts and the rains that ended them, from before
// the sowing too.
func (g *ground) droughtLines(upTo fields.Date, standing bool) []Reason {
	var rs []Reason
	start, end, startID, endID := g.droughtState(upTo)
	if start != fields.NoDate {
		last, id := start, startID
		for _, f := range g.drought { // the newest start is what an earlier may-graze did not know
			if f.Date <= upTo && f.Date >= start && f.Body.(*fields.Drought).State == "start" {
				last, id = f.Date, f.ID
			}
		}
		rs = append(rs, Reason{
			Line: LineDrought, Rule: g.rule(DroughtWait), Flag: Hold, Through: NoEnd, Need: NeedDecision,
			On: last, Began: start, Entries: unique(startID, id),
		})
	}
	if r, ok := g.wait(LineRainWait, DroughtWait, end, NeedTime, endID); ok {
		rs = append(rs, r)
	}
	if low := g.stand.minHeight; standing && end != fields.NoDate && low > 0 && !g.kill.confirmed && !g.minimumSince(end) {
		rs = append(rs, Reason{
			Line: LineRainHeight, Rule: g.rule(DroughtWait), Flag: Hold, Through: NoEnd, Need: NeedEvidence,
			On: end, Figure: Figure{Of: HeightCM, Limit: low}, Entries: []string{endID}, Species: g.tallest(),
		})
	}
	return rs
}

func unique(ids ...string) []string {
	var out []string
	for _, id := range ids {
		if id != "" && !in(out, id) {
			out = append(out, id)
		}
	}
	return out
}

// minimumSince reports a measured minimum height dated later than d.
func (g *ground) minimumSince(d fields.Date) bool {
	for _, f := range g.walks {
		if f.Date <= d {
			continue
		}
		if m, ok := g.lastMeasured(f.Date-1, f.Date); ok && !short(m.cm, g.stand.minHeight) {
			return true
		}
	}
	return false
}

// harmLines are the waits after hail, trampling and spray dated upTo or earlier.
func (g *ground) harmLines(upTo fields.Date) []Reason {
	var rs []Reason
	for _, kind := range []struct {
		k    fields.Kind
		line Line
		rule RuleKey
	}{{fields.KindHail, LineHail, HailWait}, {fields.KindTrampled, LineTrampled, TrampledWait}, {fields.KindSprayed, LineSprayed, SprayWait}} {
		var last fields.Fact
		for _, f := range g.harm {
			if f.Kind() == kind.k && f.Date <= upTo {
				last = f
			}
		}
		if last.Entry == nil {
			continue
		}
		if r, ok := g.wait(kind.line, kind.rule, last.Date, NeedTime, last.ID); ok {
			rs = append(rs, r)
		}
	}
	return rs
}

func (g *ground) wiltedLine(upTo fields.Date) []Reason {
	date, wilted, id := g.lastWilted(upTo)
	if !wilted {
		return nil
	}
	return []Reason{{Line: LineWilted, Rule: "wilted", Flag: Hold, Through: NoEnd, Need: NeedEvidence, On: date, Entries: []string{id}}}
}

// liveLines are the cautions and holds that concern living growth only.
func (g *ground) liveLines() []Reason {
	if g.kill.confirmed {
		return nil
	}
	var rs []Reason
	ended := g.growthEnded(g.x)
	since := max(ended, g.stand.start)
	outgrown := g.book.Days(FrostOutgrown)

	var frost fields.Date
	for d := max(since, g.nightsFrom); d <= g.x+1; d++ {
		if g.isTrigger(d) {
			frost = d
		}
	}
	if frost != fields.NoDate && !g.outgrown(max(frost, g.clock.last).Add(outgrown)) {
		last := max(frost, g.clock.last)
		rs = append(rs, Reason{
			Line: LineFrosted, Rule: g.rule(FrostOutgrown), Flag: Caution, Need: NeedEvidence,
			On: frost, WalkOn: last.Add(outgrown), Days: outgrown, Entries: g.nightEntries(frost),
		})
		if f, wet := g.lastNotDry(); wet && f.Date >= frost {
			rs = append(rs, Reason{Line: LineNotDry, Rule: "walk.not-dry", Flag: Caution, Need: NeedEvidence, On: f.Date, Entries: []string{f.ID}})
		}
	}
	var hurt fields.Fact
	for _, f := range g.walks {
		w := f.Body.(*fields.Walk)
		// "all" counts too while no kill is confirmed: whoever saw it dead
		// must not make the stand look sounder than whoever saw it half dead.
		if damaged(w) && f.Date >= ended && g.stand.countsForStand(f.Date) {
			hurt = f
		}
	}
	if hurt.Entry != nil && !g.outgrown(hurt.Date.Add(outgrown)) {
		rs = append(rs, Reason{
			Line: LineDamaged, Rule: g.rule(FrostOutgrown), Flag: Caution, Need: NeedEvidence,
			On: hurt.Date, WalkOn: hurt.Date.Add(outgrown), Days: outgrown, Entries: []string{hurt.ID},
		})
	}
	if p := g.stand.any((*plant).capped); p != nil {
		rs = append(rs, Reason{Line: LineCapped, Rule: "species.green-cap", Flag: Caution, Need: NeedDecision, Species: p.name})
	}
	rs = append(rs, g.possibleLine(g.walks)...)
	rs = append(rs, g.unreadLine()...)
	return append(rs, g.forecastLines(false)...)
}

// lastNotDry is the last walk that said whether the stand was dry, if it said no;
// of one date "no" counts.
func (g *ground) lastNotDry() (last fields.Fact, wet bool) {
	for _, f := range g.walks {
		w := f.Body.(*fields.Walk)
		if w.Dry == nil || !g.stand.countsForStand(f.Date) || wet && f.Date == last.Date {
			continue
		}
		last, wet = f, !*w.Dry
	}
	return last, wet
}

// possibleLine names the newest possible night still standing.
func (g *ground) possibleLine(walks []fields.Fact) []Reason {
	wait := g.book.Days(FrostWait)
	apart := g.book.Days(FrostKillWalkAfter)
	for d := g.x + 1; d >= g.x.Add(-wait) && (g.stand.start == fields.NoDate || d >= g.stand.start); d-- {
		n := g.at(d)
		if n == nil || n.trigger || !n.possible || n.inPaddock {
			continue
		}
		lifted := false
		for _, f := range walks {
			if f.Date >= d.Add(apart) && g.undamaged(f) {
				lifted = true
			}
		}
		if lifted {
			continue
		}
		k := FrostPossible
		if g.h.NightSetting(g.line, d).LowLying {
			k = FrostPossibleLow
		}
		return []Reason{{
			Line: LinePossible, Rule: g.rule(k), Flag: Caution, Need: NeedEvidence, On: d, Figure: Figure{LowC, n.hasLow, n.low, g.book.V[k]},
			WalkOn: d.Add(apart), Days: wait, Entries: g.nightEntries(d),
		}}
	}
	return nil
}

// unreadDays is how far back unread nights keep a living stand at caution.
const unreadDays = 14

func (g *ground) unreadNights() []fields.Date {
	var nights []fields.Date
	ended := g.x > g.clock.end(g.book.Days(FrostWait))
	for d := g.x.Add(1 - unreadDays); d <= g.x; d++ {
		// A frost that no thermometer read must not be less than an unread
		// night, where a farm waits for less than these days after a frost.
		n := g.at(d)
		unseen := ended && n != nil && n.watched && n.trigger && !n.covered && (g.stand.start == fields.NoDate || d >= g.stand.start)
		if unseen || g.unread(d) {
			nights = append(nights, d)
		}
	}
	return nights
}

func (g *ground) unreadLine() []Reason {
	nights := g.unreadNights()
	if len(nights) == 0 {
		return nil
	}
	return []Reason{{Line: LineUnreadNights, Rule: "night.unread", Flag: Caution, Need: NeedEvidence, Nights: nights, On: nights[len(nights)-1], Days: unreadDays}}
}

// forecastLines answer for forecasts of tonight and of last night while no
// reading or statement covers it. In a swath they go no further than caution.
func (g *ground) forecastLines(cautionOnly bool) []Reason {
	var rs []Reason
	for _, n := range []fields.Date{g.x, g.x + 1} {
		low, ids, ok := g.forecast(n)
		if !ok || g.coveredNight(n) {
			continue
		}
		line := FrostPossible
		if g.h.NightSetting(g.line, n).LowLying {
			line = FrostPossibleLow
		}
		r := Reason{Rule: "forecast", On: n, Figure: measured(LowC, low, g.book.V[line]), Entries: ids, undated: true}
		switch {
		case low <= g.book.V[FrostTrigger] && !cautionOnly && !g.moment.Before((n-1).At(12, 0, g.h.Loc)):
			r.Line, r.Flag, r.Through, r.Need, r.Limit = LineForecastHold, Hold, n, NeedTime, g.book.V[FrostTrigger]
		case low <= g.book.V[line]+possibleSlack || low <= g.book.V[FrostTrigger]:
			r.Line, r.Flag, r.Need = LineForecastCaution, Caution, NeedDecision
		default:
			continue
		}
		rs = append(rs, r)
	}
	return rs
}

// coveredNight reports a covering reading or statement for a night, which may
// lie after the day asked and is then never covered.
func (g *ground) coveredNight(d fields.Date) bool {
	n := g.at(d)
	return n != nil && n.covered
}

func (g *ground) deadLine() []Reason {
	k := &g.kill
	if !k.confirmed {
		return nil
	}
	key := WalkLife
	if k.lastClean.Sub(k.first) >= settledApart {
		key = WalkLifeSettled
	}
	if g.book.V[WalkLifePerennial] < g.book.V[key] &&
		g.stand.any(func(p *plant) bool {
			return p.row != nil && p.row.Perennial && (p.row.Habit == HabitSorghum || p.row.Habit == HabitPerennial)
		}) != nil {
		key = WalkLifePerennial
	}
	life := g.book.Days(key)
	if g.x.Sub(k.lastClean) <= life {
		return nil
	}
	return []Reason{{Line: LineOldWalk, Rule: g.rule(key), Flag: Caution, Need: NeedEvidence, On: k.lastClean, Days: life, Entries: k.entries[len(k.entries)-1:]}}
}

// settledApart is how far apart two clean walks must lie for the longer life.
const settledApart = 14

func (g *ground) flaxLines() []Reason {
	p := g.stand.any(func(p *plant) bool { return p.habit() == HabitFlax })
	if p == nil {
		return nil
	}
	if !g.kill.confirmed {
		return []Reason{{Line: LineFlax, Rule: "species.flax", Flag: Hold, Through: NoEnd, Need: NeedDecision, Species: p.name, undated: true}}
	}
	for _, f := range g.labs {
		if f.Date >= g.kill.base && g.lowHCN(f) {
			return nil
		}
	}
	return []Reason{{Line: LineFlaxTest, Rule: "species.flax", Flag: Caution, Need: NeedEvidence, Species: p.name, On: g.kill.base}}
}

// horseLine holds horses off the species that harm them whatever the frost.
func (g *ground) horseLine() []Reason {
	p := g.stand.any(func(p *plant) bool { return p.unknown() || p.row.Sorghum || p.row.HorsesOff })
	if p == nil {
		return nil
	}
	return []Reason{{Line: LineHorses, Rule: "species.horses", Flag: Hold, Through: NoEnd, Need: NeedDecision, Species: p.name, undated: true}}
}
