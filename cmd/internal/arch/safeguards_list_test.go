package arch

// safeguard is a piece of code that stands in the way of a failure of SAFETY.md's
// tables, what it becomes when it is taken out, and the test that must notice.
type safeguard struct{ row, test, file, is, put string }

// useCases is the folder of package farm.
const useCases = "cmd/internal/farm"

var safeguards = []safeguard{
	{"1", "failure-01-clear-is-not-the-default", "hazard/stand.go", `if !s.unlisted {`, `if true {`},
	{"1", "TestFailure01NothingIsClearByDefault", "hazard/lots.go", `if latest == nil {`, `if false {`},
	{"1", "TestFailure01UnknownFlagIsNeverPrinted", "hazard/flag.go", `panic("hazard: a flag that was never decided")`, `return "clear"`},
	{"2", "TestFailure02BareNitrateNumberIsRefused", "fields/check.go", `if b.Analyte == "nitrate" && b.Form == "" {`, `if b.Analyte == "nitrate" && b.Form == "x" {`},
	{"2", "failure-02-no3-read-as-no3-n", "hazard/nitrate.go", `return v * b / a`, `return v * a / b`},
	{"3", "TestFailure03PercentAndPPM", "hazard/hcn.go", `return 10000`, `return 1000`},
	{"4", "failure-04-as-fed-taken-as-dry-matter", "hazard/nitrate.go", `return ppm / (*l.DMPct / 100), true`, `return ppm, true`},
	{"4", "TestNitrateResultNeedsFormAndDryMatter", "fields/check.go", `b.Basis == "as-fed" && b.DMPct == nil {`, `b.Basis == "x" && b.DMPct == nil {`},
	{"5", "TestFailure05FrostDateInEveryZone", "fields/date.go", `if l.Hour() >= 12 {`, `if l.Hour() > 12 {`},
	{"6", "failure-06-off-by-one", "hazard/prussic.go", `g.x > on.Add(days) {`, `g.x >= on.Add(days) {`},
	{
		"7", "failure-07-counted-from-the-first-frost", "hazard/nights.go", `if last := g.lastTrigger(from, to); last != fields.NoDate {
		from, c.last = last, last
	}`, `for d := from; d <= to && c.last == fields.NoDate; d++ {
		if g.isTrigger(d) {
			c.last, c.trigger, from = d, d, to+1
		}
	}`,
	},
	{"8", "failure-08-second-frost-on-a-dead-stand", "hazard/walks.go", `if g.green(f.Walk) {`, `if false {`},
	{"9", "failure-09-regrowth-nobody-looked-for", "hazard/prussic.go", `if g.x.Sub(last) <= days {`, `if g.x.Sub(last) <= 100*days {`},
	{"10", "failure-10-average-height", "hazard/walks.go", `if *f.ShortestCM < m.cm {`, `if *f.ShortestCM > m.cm {`},
	{"11", "failure-11-mixture-takes-its-worst-member", "hazard/stand.go", `return ps.any((*plant).cyanogenic) != nil`, `return len(ps) > 0 && ps[0].cyanogenic()`},
	{"12", "TestFailure12EveryNameOfASorghumHolds", "hazard/stand.go", `return HabitUnknown`, `return HabitNone`},
	{"12", "failure-12-everyday-names-and-unknown-plants", "hazard/stand.go", `return HabitUnknown`, `return HabitNone`},
	{"13", "failure-13-volunteers-and-weeds", "hazard/stand.go", `for _, f := range g.Seen {`, `for _, f := range g.Seen[:0] {`},
	{"13", "failure-13-volunteers-and-weeds", "hazard/walks.go", `yes(w.WeedsChecked) && !g.green(w)`, `!g.green(w)`},
	{"14", "failure-14-rows-dropped-in-silence.txtar", "hazard/nights.go", `return n.Watched && !n.Trigger && !n.Covered`, `return false`},
	{"14", "failure-14-rows-dropped-in-silence.txtar", "weather/internal/table/values.go", `if v > -88 && v < 99.9 {`, `if v > -88 && v < 9999 {`},
	{"15", "failure-15-the-station-is-down", "hazard/nights.go", `case d <= c.end(wait) && g.unreadForClock(d):`, `case false:`},
	{"15", "TestFailure15DataThroughStamps", "hazard/assess.go", `DataThrough{min(a.Night`, `DataThrough{max(a.Night`},
	{"16", "failure-16-the-hilltop-thermometer", "hazard/nights.go", `g.book.froze(b.Reading, t.offset)`, `g.book.froze(b.Reading, 0)`},
	{"16", "failure-16-the-hilltop-thermometer", "hazard/nights.go", `return FrostPossibleLow`, `return FrostPossible`},
	{"17", "failure-17-celsius-taken-for-fahrenheit.txtar", "fields/quantity.go", `case word == "":`, `case false:`},
	{"17", "failure-17-celsius-taken-for-fahrenheit.txtar", useCases + "/check.go", `c.v.LowsBeside(b.Station, b.Paddock)); odd {`, `c.v.LowsBeside(b.Station, b.Paddock)); odd && false {`},
	{"18", "failure-18-sample-older-than-the-stress", "hazard/nitrate.go", `return taken || lastDate(w.Sown) >= p.Date || w.stressedSince(p, false)`, `return taken || lastDate(w.Sown) >= p.Date`},
	{"19", "failure-19-another-paddocks-sample.txtar", useCases + "/check.go", `if b.Sample == "" {`, `if true {`},
	{"20", "failure-20-a-screening-never-clears", "hazard/nitrate.go", `return known && l.Analyte == fields.AnalyteNitrate && l.Method == fields.MethodLab &&`, `return known && l.Analyte == fields.AnalyteNitrate &&`},
	{"20", "failure-20-hcn-not-detected", "hazard/hcn.go", `fields.AnalyteHCN || l.Method != fields.MethodLab || l.SampleState`, `fields.AnalyteHCN || l.SampleState`},
	{"21", "failure-21-one-bale-clears-the-lot", "hazard/lots.go", `case bale.Flag == Hold:`, `case false:`},
	{"21", "failure-21-one-bale-clears-the-lot", "hazard/lots.go", `return atLeast(s.Bales, 1) && atLeast(l.BalesCored, s.balesNeeded()) && atLeast(l.Cores, s.balesNeeded())`, `return true`},
	{"22", "failure-22-ok-to-cut-is-not-ok-to-feed", "hazard/lots.go", `if s.x > s.MadeOn.Add(days) {`, `if true {`},
	{"23", "failure-23-class-of-stock", "hazard/nitrate.go", `return c == BredCattle || c == YoungCattle || c == Sheep || c == Goats`, `return c == BredCattle`},
	{"23", "failure-23-class-of-stock", "hazard/assess.go", `if c == Horses && u != CutHay && u != CutSilage {`, `if false {`},
	{"23", "nitrate-17-feed-plus-water", "hazard/water.go", `return n * b.V[NitrateWaterLitres]`, `return 0`},
	{"24", "failure-24-the-sheet-outlives-its-day.txtar", "hazard/board/page.go", `Good: s.t("good for TODAY only"),`, `Good: "",`},
	{"25", "land-split", "fields/history.go", `if p == nil || len(p.Parents) == 0 || under[id] {`, `if true {`},
	{"25", "TestFailure25StruckIncidentIsPrinted", "hazard/notices.go", `if kind == "" ||`, `if true ||`},

	{"F1", "frost-of-this-evening", "hazard/nights.go", "case upTo == g.x:\n\t\tend++", "case false:"},
	{"F2", "chop-leaves-the-rest-standing", "hazard/ground.go", `last := g.lastCut(upTo, false)`, `last := g.lastCut(upTo, true)`},
	{"F2", "out-is-not-grazed-off", "hazard/ground.go", `f.State == fields.MoveOut && f.LeftCM != nil && *f.LeftCM <= GrazedOffCM`, `f.State == fields.MoveOut`},
	{"F3", "dead-is-not-dead-for-ever", "hazard/walks.go", `upTo.Sub(k.lastClean) > killLapses`, `upTo.Sub(k.lastClean) > 100*killLapses`},
	{"F4", "lot-incident-before-the-sowing", "hazard/lots.go", `if !said(g.Vets, fields.AdviceMayGraze, u, c, f.Date+1, max(from, g.began)) {`, `if said(g.Vets, fields.AdviceMayGraze, u, c, 0, 0) {`},
	{"F5", "lot-clock-of-what-was-gone-by-baling", "hazard/lots.go", `if d < as.x && as.changedAfter(d) {`, `if false {`},
	{"F6", "lot-frost-in-the-swath", "hazard/lots.go", `if d := w.frostInSwath(g.of.made); d != fields.NoDate {`, `if d := w.frostInSwath(g.of.made); false {`},
	{"F7", "lot-bought-origin-unknown", "hazard/lots.go", `s.unknown = len(s.From) == 0 || s.LotKind == fields.LotBought`, `s.unknown = false`},
	{"F8", "third-species-mixed", "hazard/prussic.go", `if g.stand.always() && !g.weedsChecked(`, `if false && !g.weedsChecked(`},
	{"F9", "TestEverydayNamesAreTheWorst", "hazard/rules/everyday.go", `if slices.Index(worstHabits, sp.Habit) <`, `if false && slices.Index(worstHabits, sp.Habit) <`},
	{"F10", "new-stand-old-species-linger", "hazard/stand.go", `if r.stand < current && (!cyanogenic || g.namedAbsent(r, records, starts)) {`, `if r.stand < current {`},
	{"F11", "hardy-edges-of-evidence", "hazard/gathering.go", `from = f.Date + 1`, `from += 0`},
	{"F12", "one-date-the-worse-holds", "hazard/walks.go", `from = max(from, f.Date+1)`, `from = max(from, f.Date)`},
	{"F13", "edges-on-or-after", "hazard/walks.go", `return g.weedsChecked(max(from, g.stand.sownFirst+1))`, `return g.weedsChecked(from)`},
	{"F14", "nothing-alive-and-a-later-sowing", "hazard/nitrate.go", `sown.Add(g.book.Days(NitrateDeadAfterSown))`, `sown.Add(1)`},
	{"F15", "third-swaths", "hazard/swath.go", `walks := fields.Between(g.SwathWalks, w.cut+1, g.x)`, `walks := fields.Between(slices.Concat(g.SwathWalks, g.Walks), w.cut+1, g.x)`},
	{"F16", "spans-cover-a-night-together", "hazard/nights.go", `whole := yes(b.Covers) || b.Covers == nil && len(b.Spans) == 0`, `whole := true`},
	{"F17", "third-odds-and-ends", "hazard/nights.go", `whole && fields.DateOf(b.Recorded, g.h.Loc) >= b.Date`, `whole`},
	{"F18", "edges-hcn", "hazard/hcn.go", `return most, most * part`, `return most, math.NaN()`},
	{"F19", "land-split", "fields/history.go", `if p == nil || len(p.Parents) == 0 || under[id] {`, `if true {`},
	{"F20", "nitrate-nights-since-the-sample", "hazard/nitrate.go", `rs = join(rs, w.nightsSince(proper.Date))`, `_ = w.nightsSince(proper.Date)`},
	{"F21", "edges-on-or-after", "hazard/stand.go", `r.date <= sown[0].Date`, `r.date < sown[0].Date`},
	{"F22", "possible-nights-and-statements", "hazard/nights.go", `if f.Basis == "thermometer-in-paddock" {`, `if true {`},
	{"F23", "edges-pounds-of-nitrogen-and-names-of-water", "hazard/water.go", `strings.ToLower(f.Source)`, `f.Source`},
	{"F24", "new-stand-old-species-linger", "hazard/walks.go", `max(after+1, s.newStand+1, s.sownFirst+1, s.start)`, `max(after+1, s.start)`},
	{"F25", "third-vet-and-later-news", "hazard/vet.go", `if word.Over = ended(f.Date); !word.Over {`, `if true {`},
	{"F26", "low-stands-nitrogen-and-weed-walk", "hazard/gathering.go", `high = true // a rate`, `_ = high // a rate`},
	{"F27", "lot-of-what-grew-on-the-cut-day", "hazard/lots.go", `if s.cut < s.MadeOn { // what was cut`, `if false { // what was cut`},
	{"F28", "third-lots-found-late", "hazard/stand.go", `g.Walks, g.SwathWalks, g.foundAlive}`, `g.Walks, g.SwathWalks}`},
	{"F29", "vet-keep-off-and-incidents", "hazard/lots.go", `if o.Lot.Lot == s.Lot.Lot || o.cut != s.cut ||`, `if true ||`},
	{"F30", "weed-named-alive-in-alfalfa", "hazard/nitrate.go", `k := g.findKillAll(upTo)`, `k := g.findKill(upTo)`},
	{"F31", "TestASwathIsAskedAboutToo", "hazard/moves/situation.go", `worst = max(worst, swath.Flag)`, `_ = swath.Flag`},
	{"F32", "TestOlderCopyBroughtBack", "fields/journal/mark.go", `runs, other := m.Done.lost(now, link)`, `if true {
		return verdict{}
	}
	runs, other := m.Done.lost(now, link)`},
	{"F33", "TestZoneOfTheColumnRead", "weather/plaincsv/header.go", `if set(at) && c.stamp < 0 {`, `if _ = set(at); true {`},
	{"F34", "TestParseFigures", "fields/typed.go", `strings.Contains(text, ",") && (run ||`, `false && (run ||`},
	{"F35", "import-doubts.txtar", "weather/formats/wholelines.go", `end := bytes.LastIndexAny(text, "\n\r") + 1`, `end := len(text)`},
	{"F36", "what-speaks-against-and-what-went", "hazard/stand.go", `s.lastPSeen = max(s.lastPSeen, r.date)`, `_ = s.lastPSeen`},
	{"F37", "what-speaks-against-and-what-went", "hazard/nitrate.go", `state == sampleClears && !(against && holds):`, `state == sampleClears:`},
	{"F38", "TestClosedEdges", "fields/closed.go", `case "on": // of a kind that has a day of its own it says nothing
		if k.date == NoDate {`, `case "on":
		if true {`},
	{"F39", "fourth-said-in-another-field", "fields/land.go", `l.From = unite(l.From, []string{b.Paddock})`, `_ = b`},
	{"F40", "fourth-said-in-another-field", "fields/land.go", `if slices.Index(lotKinds, b) > slices.Index(lotKinds, a) {`, `if true {`},
	{"F41", "fourth-said-in-another-field", "hazard/prussic.go", `if yes(f.NewStand) && f.Ended == fields.EndedSprayed && f.Date >=`, `if false && f.Date >=`},
	{"F42", "fourth-said-in-another-field", "hazard/prussic.go", `k.entries[len(k.entries)-1:]), g.notDryLine(k.base)...)`, `k.entries[len(k.entries)-1:]), g.notDryLine(g.x+1)...)`},
	{"F43", "fourth-said-in-another-field", "hazard/ask.go", `yes(r.BelowZero) || r.HoursBelow() > 0 ||`, `yes(r.BelowZero) ||`},
	{"F44", "edges-bales", "hazard/lots.go", `case l.Method != fields.MethodLab, l.SampledOn < s.MadeOn:`, `case l.Method != fields.MethodLab:`},
	{"F45", "start-from.txtar", useCases + "/startfile.go", `return append(old, out...)`, `return out`},
	{
		"F46", "land.txtar", useCases + "/check.go",
		`case (kind == fields.KindWalk || kind == fields.KindLab) && e.EventDate(c.v.Loc) >= p.Retired:`, `case false:`,
	},
	{"F47", "walk.txtar", "hazard/ask.go", `return w.DamageNight > sownBefore(h, line, day)`, `return true`},
	{"F48", "land-split-said-under-the-old-name", "fields/land.go", `h.UnderOldName(line, f.Paddocks()[0], f.Date) {`, `false {`},
	{"F49", "incident-of-stock-that-had-been-fed", "fields/land.go", `l.Incidents = append(l.Incidents, l.AtFeed...)`, `_ = l.AtFeed`},
	{"F50", "edges-bales", "fields/land.go", `b.MadeOn == l.counted && *b.Bales > *l.MostBales) {`, `b.MadeOn == l.counted) {`},
	{"F51", "height-that-nothing-reaches", "hazard/walks.go", `return cm != nil && *cm <= TallestCM`, `return cm != nil`},
	{"F51", "typed.txtar", useCases + "/check.go", `if x.cm != nil && *x.cm > hazard.TallestCM {
			c.refuse(`, `if false {
			c.refuse(`},
	{"F52", "fourth-own-numbers-with-an-end", "hazard/assess.go", `h.Through >= from-1 && then.Through > h.Through {`, `false {`},
	{"F53", "TestUnitOfTheService", "weather/ghcnd/read.go", `case p.Opt.Unit == "" && !notF:`, `case false:`},
	{"F54", "TestQualityLetters", "weather/nws/read.go", `case "X", "Q", "B", "I", "W":`, `case "X", "Q":`},
	{"F55", "TestFailedReadings", "weather/nights.go", `if f := o.unrefuted(low); f != nil && !below`, `if f := o.unrefuted(low); false && f != nil && !below`},
	{"F56", "TestALotInsteadOfAPaddock", "tui/form.go", `x.OfPaddocks() && f.ofLot() && !f.chosen:`, `x.OfPaddocks() && f.ofLot():`},
	{"F57", "TestScreensAskAsTheLineDoes", useCases + "/screens.go", `Dawns: stands, Figures: stands}`, `Dawns: true, Figures: true}`},
	{"F58", "TestTheHourSaysTheNight", "tui/form.go", `night.text, night.cur = "", 0`, `_ = night`},
	{"F59", "blend.txtar", "hazard/board/blend.go", `heldBeyond(l, classes); r != nil`, `heldBeyond(l, classes); false && r != nil`},
	{"F60", "blend.txtar", "hazard/board/blend.go", `x.asListed(a, classes)`, `_ = classes`},
	{"F61", "moves-ends.txtar", "fields/forage/standing.go", `max(0, s.KgDM*above*share/100-s.Eaten)`, `max(0, (s.KgDM-s.Eaten)*above*share/100)`},
	{"F62", "moves-ends.txtar", useCases + "/moves.go", `s.Drinks(m, names, asked[m].Days)`, `_ = names`},
	{"F63", "moves-ends.txtar", "hazard/moves/situation.go", `doubt(row[q].Flags, s.Grounds[q].ID, days)`, `_ = days`},
	{"F64", "incident-of-stock-that-had-been-fed", "fields/feedings.go", `h.OneLand(s.Paddock, b.Paddock)`, `s.Paddock == b.Paddock`},
	{"F65", "lots-of-land-by-two-names", "hazard/lots.go", `return s.h.OneLand(p, q)`, `return p == q`},
	{"F66", "lots-of-land-by-two-names", "hazard/lots.go", `range s.h.Became(p, s.MadeOn)`, `range []string{p}`},
}
