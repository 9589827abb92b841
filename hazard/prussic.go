package hazard

import (
	"slices"

	"rimegate/fields"
)

// wait returns a hold reason through on+days, if the day asked lies within it (§2.5).
func (g *ground) wait(line Line, k RuleKey, on fields.Date, entries ...string) []Reason {
	days := g.book.Days(k)
	if on == fields.NoDate || g.x > on.Add(days) {
		return nil
	}
	return say(line, Reason{
		Rule: k.String(), Flag: Hold, Need: NeedTime, Through: on.Add(days), On: on, Days: days, Entries: entries,
	})
}

// orClear gives the clear answer where nothing speaks against it.
func orClear(rs []Reason, line Line, clear Reason) []Reason {
	if len(rs) > 0 {
		return rs
	}
	return say(line, clear)
}

// prussicFor answers for one use of the standing or cut growth on this line of
// land (§7, §8), horses apart.
func (g *ground) prussicFor(u Use) []Reason {
	switch u {
	case GreenChop:
		return g.prussicStanding(g.chopGrace(), g.chopFrosted())
	case SwathGraze:
		return g.prussicSwath()
	case CutHay:
		return g.prussicCut(nil)
	case CutSilage:
		return g.prussicCut(g.clockLine(&g.clock, LineChopWait, ChopWait))
	}
	return g.prussicStanding(g.grazeGrace(), nil)
}

// prussicStanding answers for grazing (§7.1, §7.2) and for chopping (§8.1), with the
// grace of the height lines and what is asked besides.
func (g *ground) prussicStanding(grace bool, more []Reason) []Reason {
	rs := g.anyPlantLines(g.x)
	if !g.stand.hasP() {
		return orClear(rs, LineNoP, Reason{Plants: g.stand.names()})
	}
	rs = slices.Concat(
		rs, g.clockLine(&g.clock, LineClock, FrostWait), g.dryWaitLine(), g.shootsLine(), g.heightLines(grace),
		g.droughtLines(g.x), g.rainHeightLine(), g.harmLines(g.x), g.wiltedLine(g.x), g.liveLines(), g.deadLine(),
		g.flaxLines(), more,
	)
	return orClear(rs, LineAllPassed, Reason{Plants: g.stand.names(), On: g.clock.last, Proof: g.clearRestsOn()})
}

// clearRestsOn is the walk a clear answer rests on.
func (g *ground) clearRestsOn() fields.Date {
	if g.kill.confirmed {
		return g.kill.lastClean
	}
	m, _ := g.lastMeasured(g.lastReset(), g.x)
	return m.date
}

// anyPlantLines apply whether or not a plant of P is listed (§7.1); HCN results that no
// taking of the growth up to a day ended.
func (g *ground) anyPlantLines(upTo fields.Date) []Reason {
	rs := g.stand.unlistedLine()
	if g.stand.always() && !g.weedsChecked(g.x.Add(-365)) {
		rs = append(rs, say(LineNeverChecked, Reason{Days: 365})...)
	}
	if !g.weedsOfStand(g.x.Add(-365)) {
		rs = append(rs, g.stand.line(LineNotListedHCN, func(p *plant) bool { return p.row != nil && p.row.NotListed })...)
	}
	return slices.Concat(rs, g.stand.line(LineUnknown, (*plant).unknown), g.hcnLines(upTo))
}

// clockLine holds through a wait after the last night of a clock.
func (g *ground) clockLine(c *clock, line Line, k RuleKey) []Reason {
	rs := g.wait(line, k, c.last, g.nightEntries(c.trigger)...)
	for i := range rs {
		rs[i].Frost, rs[i].Nights = c.trigger, c.unread
		if len(c.unread) > 0 && k == FrostWait {
			rs[i].Need = NeedEvidence
		}
	}
	return rs
}

// dryWaitLine holds through the base of the kill plus the dry wait (§6.4). At its
// default, 0, it asks nothing: the wait, dryness and a fresh walk are all
// asked for elsewhere.
func (g *ground) dryWaitLine() []Reason {
	if !g.kill.confirmed || g.book.Days(FrostDryWait) == 0 {
		return nil
	}
	return g.wait(LineDryWait, FrostDryWait, g.kill.base, g.kill.entries...)
}

func (g *ground) shootsLine() []Reason {
	f, some := g.lastShoots(g.x)
	if !some || !short(*f.ShootsCM, g.stand.minHeight) || g.kill.confirmed {
		return nil
	}
	return say(LineShoots, Reason{
		On: f.Date, Figure: measured(HeightCM, *f.ShootsCM, g.stand.minHeight), Entries: []string{f.ID},
		Species: g.stand.tallest.name,
	})
}

func (g *ground) heightRule() string {
	if row := g.stand.tallest.row; row != nil {
		return row.Height.String()
	}
	return HeightSorghumSudangrass.String()
}

// grazeGrace reports whether stock inside lets the height lines rest on the
// measurement before their turn-in (§7.5).
func (g *ground) grazeGrace() bool {
	turnIn := NoEnd
	for _, s := range g.stays {
		if s.Out == fields.NoDate {
			turnIn = min(turnIn, s.In) // NoDate, if nobody said when
		}
	}
	reset := g.lastReset()
	return turnIn != NoEnd && turnIn != fields.NoDate && g.x.Sub(turnIn) <= g.book.Days(HeightGrace) &&
		reset < turnIn && g.passedBy(reset, turnIn)
}

// passedBy reports that the last height since a day passed and was within its life on
// another.
func (g *ground) passedBy(since, d fields.Date) bool {
	m, ok := g.lastMeasured(since, d)
	return ok && d.Sub(m.date) <= g.book.Days(HeightLife) && !short(m.cm, g.stand.minHeight)
}

// chopGrace: for 7 days from the first chop after a measurement that passed
// within its life, the height lines rest on that measurement (§8.1).
func (g *ground) chopGrace() bool {
	for _, c := range fields.Between(g.Cuts, g.x.Add(-g.book.Days(HeightGrace)), g.x) {
		before := g.lastCut(c.Date-1, true) // last cut or graze-out before this chop
		other := c.Use != fields.CutGreenChop || g.lastCut(g.x, false) >= c.Date
		for _, s := range g.stays {
			if s.Out < c.Date {
				before = max(before, s.Out)
			} else {
				other = true
			}
		}
		if !other && g.passedBy(before, c.Date) {
			return true
		}
	}
	return false
}

// heightLines are the lines about measured height of a living stand.
func (g *ground) heightLines(grace bool) []Reason {
	low := g.stand.minHeight
	if low == 0 || g.kill.confirmed || grace {
		return nil
	}
	reset := g.lastReset()
	m, ok := g.lastMeasured(reset, g.x)
	if !ok {
		return say(LineNeverMeasured, Reason{
			Began: reset, Figure: Figure{Of: HeightCM, Limit: low}, Species: g.stand.tallest.name,
		})
	}
	r := Reason{On: m.date, Figure: measured(HeightCM, m.cm, low), Entries: []string{m.id}}
	switch life := g.book.Days(HeightLife); {
	case short(m.cm, low):
		r.Rule, r.Species, r.undated = g.heightRule(), g.stand.tallest.name, m.dead
		return say(LineTooShort, r)
	case g.x.Sub(m.date) > life:
		r.Days = life
		return say(LineOldHeight, r)
	}
	return nil
}

// drought is the drought that runs on a day, and the rain that ended the last one.
type drought struct {
	first, newest fields.DroughtFact // its starts; none: no drought runs
	end           fields.DroughtFact
}

func (d *drought) running() bool { return d.first.Entry != nil }

// droughtOf folds the drought entries dated upTo or earlier. An end closes
// every start before it; on one date the start holds.
func (g *ground) droughtOf(upTo fields.Date) drought {
	var d drought
	fs := fields.UpTo(g.Droughts, upTo)
	for _, f := range fs {
		if f.State == fields.DroughtEnd {
			d.end = f
		}
	}
	for _, f := range fs {
		if f.State == fields.DroughtStart && f.Date >= d.end.Date {
			if !d.running() {
				d.first = f
			}
			d.newest = f
		}
	}
	return d
}

// droughtLines answer for droughts and the rains that ended them, from before
// the sowing too. The newest start is what an earlier may-graze did not know.
func (g *ground) droughtLines(upTo fields.Date) []Reason {
	var rs []Reason
	d := g.droughtOf(upTo)
	if d.running() {
		rs = append(rs, say(LineDrought, Reason{
			On: d.newest.Date, Began: d.first.Date, Entries: unique(d.first.ID, d.newest.ID),
		})...)
	}
	if d.end.Entry != nil {
		rs = append(rs, g.wait(LineRainWait, DroughtWait, d.end.Date, d.end.ID)...)
	}
	return rs
}

// rainHeightLine asks for a minimum height measured later than the rain.
func (g *ground) rainHeightLine() []Reason {
	end, low := g.droughtOf(g.x).end, g.stand.minHeight
	if end.Entry == nil || low == 0 || g.kill.confirmed ||
		slices.ContainsFunc(fields.Between(g.Walks, end.Date+1, g.x), func(f fields.WalkFact) bool {
			m, ok := g.lastMeasured(f.Date-1, f.Date)
			return ok && !short(m.cm, low)
		}) {
		return nil
	}
	return say(LineRainHeight, Reason{
		On: end.Date, Figure: Figure{Of: HeightCM, Limit: low}, Entries: []string{end.ID},
		Species: g.stand.tallest.name,
	})
}

func unique(ids ...string) []string {
	var out []string
	for _, id := range ids {
		if id != "" && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}

// harms are what hail, trampling and spray do: the line and wait of prussic acid and the
// stress and wait of nitrate.
var harms = map[fields.Kind]struct {
	line   Line
	wait   RuleKey
	stress StressKind
}{
	fields.KindHail:     {LineHail, HailWait, StressHail},
	fields.KindTrampled: {LineTrampled, TrampledWait, StressTrampled},
	fields.KindSprayed:  {LineSprayed, SprayWait, StressSprayed},
}

// lastHarm is the last hail, trampling and spray dated upTo or earlier, by kind. A new stand
// whose old one was sprayed off tells of a spray.
func (g *ground) lastHarm(upTo fields.Date) map[fields.Kind]fields.Fact {
	last := map[fields.Kind]fields.Fact{}
	for _, f := range fields.UpTo(g.Harm, upTo) {
		last[f.Kind()] = f
	}
	for _, f := range fields.UpTo(g.Sown, upTo) {
		if yes(f.NewStand) && f.Ended == fields.EndedSprayed && f.Date >= last[fields.KindSprayed].Date {
			last[fields.KindSprayed] = f.Fact
		}
	}
	return last
}

// harmLines are the waits after them.
func (g *ground) harmLines(upTo fields.Date) (rs []Reason) {
	last := g.lastHarm(upTo)
	for _, kind := range []fields.Kind{fields.KindHail, fields.KindTrampled, fields.KindSprayed} {
		if f, ok := last[kind]; ok {
			rs = append(rs, g.wait(harms[kind].line, harms[kind].wait, f.Date, f.ID)...)
		}
	}
	return rs
}

func (g *ground) wiltedLine(upTo fields.Date) []Reason {
	f, wilted := g.lastWilted(upTo)
	if !wilted {
		return nil
	}
	return say(LineWilted, Reason{On: f.Date, Entries: []string{f.ID}})
}

// liveLines are the cautions and holds that concern living growth only.
func (g *ground) liveLines() []Reason {
	if g.kill.confirmed {
		return nil
	}
	return slices.Concat(
		g.frostedLines(), g.damagedLine(), g.stand.line(LineCapped, (*plant).capped), g.possibleLine(g.Walks),
		g.unreadLine(), g.forecastLines(false),
	)
}

func (g *ground) frostedLines() []Reason {
	frost := g.lastTrigger(max(g.growthEnded(g.x), g.stand.start), g.x+1)
	whole := max(frost, g.clock.last).Add(g.book.Days(FrostOutgrown)) // from this day a walk can show it
	if frost == fields.NoDate || g.outgrown(whole) {
		return nil
	}
	rs := say(LineFrosted, Reason{
		On: frost, WalkOn: whole, Days: g.book.Days(FrostOutgrown), Entries: g.nightEntries(frost),
	})
	return append(rs, g.notDryLine(frost)...)
}

func (g *ground) notDryLine(since fields.Date) []Reason {
	f, wet := g.lastNotDry()
	if !wet || f.Date < since {
		return nil
	}
	return say(LineNotDry, Reason{On: f.Date, Entries: []string{f.ID}})
}

// damagedLine: "killed all" counts too while no kill is confirmed: whoever saw it dead
// must not make the stand look sounder than whoever saw it half dead.
func (g *ground) damagedLine() []Reason {
	walks := fields.Between(g.Walks, max(g.growthEnded(g.x), g.stand.start), g.x)
	for i := len(walks) - 1; i >= 0; i-- {
		f := walks[i]
		if !f.FoundDamage() {
			continue
		}
		days := g.book.Days(FrostOutgrown)
		if g.outgrown(f.Date.Add(days)) {
			return nil
		}
		return say(LineDamaged, Reason{On: f.Date, WalkOn: f.Date.Add(days), Days: days, Entries: []string{f.ID}})
	}
	return nil
}

// possibleLine names the newest possible night still standing (§4.4).
func (g *ground) possibleLine(walks []fields.WalkFact) []Reason {
	wait := g.book.Days(FrostWait)
	apart := g.book.Days(FrostKillWalkAfter)
	for d := g.x + 1; d >= max(g.x.Add(-wait), g.stand.start); d-- {
		n := g.at(d)
		if !n.maybe() ||
			slices.ContainsFunc(walks, func(f fields.WalkFact) bool { return f.Date >= d.Add(apart) && g.undamaged(f) }) {
			continue
		}
		k := possibleRule(g.h.NightSetting(g.line, d).LowLying)
		return say(LinePossible, Reason{
			Rule: k.String(), On: d, Figure: Figure{LowC, n.HasLow, n.LowC, g.book.V[k]}, WalkOn: d.Add(apart),
			Days: wait, Entries: g.nightEntries(d),
		})
	}
	return nil
}

// unreadDays is how far back unread nights keep a living stand at caution.
const unreadDays = 14

func (g *ground) unreadLine() []Reason {
	var nights []fields.Date
	ended := g.x > g.clock.end(g.book.Days(FrostWait))
	for d := g.x.Add(1 - unreadDays); d <= g.x; d++ {
		// A frost that no thermometer read must not be less than an unread
		// night, where a farm waits for less than these days after a frost.
		n := g.at(d)
		unseen := ended && n != nil && n.Watched && n.Trigger && !n.Covered && d >= g.stand.start
		if unseen || g.unread(d) {
			nights = append(nights, d)
		}
	}
	if len(nights) == 0 {
		return nil
	}
	return say(LineUnreadNights, Reason{Nights: nights, On: nights[len(nights)-1], Days: unreadDays})
}

// forecastLines answer for forecasts of tonight and of last night while no
// reading or statement covers it (§4.8). In a swath they go no further than caution.
func (g *ground) forecastLines(cautionOnly bool) []Reason {
	var rs []Reason
	for _, n := range []fields.Date{g.x, g.x + 1} {
		low, ids, ok := g.forecast(n)
		if at := g.at(n); !ok || at != nil && at.Covered {
			continue
		}
		trigger, possible := g.book.V[FrostTrigger], g.book.V[possibleRule(g.h.NightSetting(g.line, n).LowLying)]
		r := Reason{Rule: "forecast", On: n, Entries: ids, undated: true}
		switch {
		case low <= trigger && !cautionOnly && !g.moment.Before((n-1).At(12, 0, g.h.Loc)):
			r.Through, r.Figure = n, measured(LowC, low, trigger)
			rs = append(rs, say(LineForecastHold, r)...)
		case low <= possible+possibleSlack || low <= trigger:
			r.Figure = measured(LowC, low, possible)
			rs = append(rs, say(LineForecastCaution, r)...)
		}
	}
	return rs
}

// walkLife is the life of the last of two or more walks that found a stand or swath dead
// and dry (§7.4).
func (g *ground) walkLife(first, last fields.Date) RuleKey {
	if settled(first, last) {
		return WalkLifeSettled
	}
	return WalkLife
}

func (g *ground) deadLine() []Reason {
	k := &g.kill
	if !k.confirmed {
		return nil
	}
	key := g.walkLife(k.first, k.lastClean)
	if g.book.V[WalkLifePerennial] < g.book.V[key] && g.stand.any(func(p *plant) bool {
		return p.row != nil && p.row.Perennial && (p.row.Habit == HabitSorghum || p.row.Habit == HabitPerennial)
	}) != nil {
		key = WalkLifePerennial
	}
	return append(g.oldWalkLine(LineOldWalk, key, k.lastClean, k.entries[len(k.entries)-1:]), g.notDryLine(k.base)...)
}

func (g *ground) oldWalkLine(line Line, life RuleKey, last fields.Date, entries []string) []Reason {
	days := g.book.Days(life)
	if g.x.Sub(last) <= days {
		return nil
	}
	return []Reason{{
		Line: line, Rule: life.String(), Flag: Caution, Need: NeedEvidence, On: last, Days: days, Entries: entries,
	}}
}

// flaxLines answer for flax (§7.7).
func (g *ground) flaxLines() []Reason {
	p := g.stand.any(func(p *plant) bool { return p.habit() == HabitFlax })
	switch {
	case p == nil:
		return nil
	case !g.kill.confirmed:
		return say(LineFlax, Reason{Species: p.name})
	case slices.ContainsFunc(fields.Between(g.Labs, g.kill.base, g.x), g.lowHCN):
		return nil
	}
	return say(LineFlaxTest, Reason{Species: p.name, On: g.kill.base})
}

// horseLine holds horses off the species that harm them whatever the frost (§7.2, §11.6).
func (ps plants) horseLine() []Reason { return ps.line(LineHorses, (*plant).harmsHorses) }

// chopFrosted: a frost that fell on the living stand caps chopping until a cut for
// another use (§8.1).
func (g *ground) chopFrosted() []Reason {
	end := g.x + 1
	if g.kill.confirmed {
		end = min(g.x, g.kill.base)
	}
	frost := g.lastTrigger(max(g.lastCut(g.x, false), g.stand.start), end)
	if frost == fields.NoDate {
		return nil
	}
	return say(LineChopFrosted, Reason{On: frost, Entries: g.nightEntries(frost)})
}

// prussicCut answers whether the stand may be cut (§8.4); feeding is a separate
// question.
func (g *ground) prussicCut(more []Reason) []Reason {
	if gone := g.noCrop(); gone != nil {
		return gone
	}
	rs := slices.Concat(g.stand.unlistedLine(), g.stand.line(LineCutUnknown, (*plant).unknown), more)
	return orClear(rs, LineCutClear, Reason{Plants: g.stand.names()})
}

// noCrop: from a cut, chops apart, until a new stand is sown or a later walk with a shortest
// growth above 0 there is nothing to cut.
func (g *ground) noCrop() []Reason {
	cut := g.lastCut(g.x, false)
	nothing := func(f fields.WalkFact) bool { return f.ShortestCM != nil && *f.ShortestCM == 0 && !f.OldName }
	if cut == fields.NoDate || cut < g.stand.anew || slices.ContainsFunc(fields.Between(g.Walks, cut+1, g.x), func(f fields.WalkFact) bool {
		return f.ShortestCM != nil && *f.ShortestCM > 0 && !f.OldName &&
			!slices.ContainsFunc(fields.Between(g.Walks, f.Date, f.Date), nothing) // of one date the worse (§2.6)
	}) {
		return nil
	}
	return say(LineNoCrop, Reason{On: cut})
}
