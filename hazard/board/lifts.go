package board

import (
	"rimegate/fields"
	"rimegate/hazard"
)

// What a task is, as hazard.Task.What.
const (
	taskWalk    = "walk"
	taskMeasure = "measure"
	taskSample  = "sample"
	taskNight   = "night"
	taskVet     = "vet"
)

const waterAct = "give them other water, or have this one tested again and log the result"

// Lifts says what would lift a reason, ending in the one act to do; "" for a
// reason that leaves nothing to lift.
func Lifts(r *hazard.Reason, a *hazard.Assessment, u Units) string {
	return newSpeaker(a, u).lifts(r)
}

func (s *speaker) lifts(r *hazard.Reason) string {
	if r.Flag == hazard.Clear {
		return ""
	}
	if r.SoftBy != nil {
		who := Clean(r.SoftBy.Who)
		if who == "" {
			who = "the veterinarian"
		}
		return sentence("The hold comes back after " + r.SoftBy.Until.Words() + "; ask before turning in, and call " + who + " before that day")
	}
	t, _ := s.act(r)
	return sentence(t)
}

// taken says what counts as the whole growth taken.
func (s *speaker) taken() string {
	left := "20 cm" // hazard.GrazedOffCM
	if s.u == US {
		left = "8 in"
	}
	return "a cut, or stock out that left " + left + " or less,"
}

// act returns what lifts the line as one clause, and the task behind it, "" if
// no errand but waiting or asking is meant.
func (s *speaker) act(r *hazard.Reason) (text, task string) {
	switch r.Line {
	case hazard.LineNone:
		return "nobody decided this: treat it as NO and ask", ""
	case hazard.LineNoP, hazard.LineAllPassed, hazard.LineNitrateClears, hazard.LineNitrateLow, hazard.LineCutClear,
		hazard.LineLotClear, hazard.LineVetNone:
		return "", ""
	case hazard.LineUnlisted:
		return "log what grows here: sown, or seen on a walk that checks the weeds", taskWalk
	case hazard.LineNeverChecked, hazard.LineNotListedHCN:
		return "walk it, look for sorghum types, johnsongrass, arrowgrass and cherries, and log the weeds as checked", taskWalk
	case hazard.LineUnknown, hazard.LineCutUnknown:
		return "find out what the plant is and log it by its name; ask an extension office", ""
	case hazard.LineNoSwath:
		return "log the cut if it lies in the swath", ""
	case hazard.LineNoCrop:
		return "measure the shortest growth when it has grown back", ""

	case hazard.LineClock:
		return s.clockAct(r), s.clockTask(r)
	case hazard.LineDryWait, hazard.LineRainWait, hazard.LineHail, hazard.LineTrampled, hazard.LineSprayed:
		return s.waitThen(r, "walk it"), taskWalk
	case hazard.LineShoots:
		return "wait until the shoots stand " + s.minimum(r) + " or a later frost kills them; then walk it and measure the shortest growth", taskMeasure
	case hazard.LineNeverMeasured, hazard.LineOldHeight:
		return "walk it and measure the shortest green growth", taskMeasure
	case hazard.LineTooShort:
		return "wait until it stands " + s.minimum(r) + "; then measure the shortest green growth", taskMeasure
	case hazard.LineDrought, hazard.LineNitrateDrought:
		return "wait for rain; when it has ended the drought, log that", ""
	case hazard.LineRainHeight:
		return "when it has grown after the rain, measure the shortest green growth", taskMeasure
	case hazard.LineWilted:
		return "walk it when it stands fresh again and log wilted as no", taskWalk
	case hazard.LineNotDry:
		return "walk it again when it has dried and log it as dry", taskWalk
	case hazard.LineFrosted, hazard.LineDamaged:
		from := ""
		if r.WalkOn != fields.NoDate {
			from = " on or after " + r.WalkOn.Words()
		}
		return "only new growth or a confirmed kill lifts it: walk it" + from + " and find no frost damage, no short shoots and the minimum height; " + s.taken() + " ends it too", taskWalk
	case hazard.LineCapped:
		return "no walk lifts this while it is green: ask before turning in", ""
	case hazard.LinePossible:
		from := ""
		if r.WalkOn != fields.NoDate {
			from = " on or after " + r.WalkOn.Words()
		}
		return "walk it" + from + " and log whether there is frost damage", taskWalk
	case hazard.LineUnreadNights:
		return "look up the thermometer for the nights named and log the lows, or sign that there was no frost", taskNight
	case hazard.LineForecastCaution, hazard.LineForecastHold:
		if r.On == fields.NoDate {
			return "have the stock out before dark; in the morning read the thermometer", taskNight
		}
		if s.dark(r.On) {
			return "have the stock out now, it is dark; in the morning of " + r.On.Words() + " read the thermometer", taskNight
		}
		return "have the stock out before dark" + when(before(r.On)) + "; in the morning of " + r.On.Words() + " read the thermometer", taskNight
	case hazard.LineOldWalk:
		return "walk it again: all killed, dry, no shoots, weeds checked", taskWalk
	case hazard.LineHCNHold, hazard.LineHCNCaution, hazard.LineHCNUnfit:
		return "send a sealed or frozen sample to a laboratory for HCN; " + s.taken() + " ends it too", taskSample
	case hazard.LineFlax:
		return "walk it once it is dead and log all killed, dry, no shoots, weeds checked", taskWalk
	case hazard.LineFlaxTest:
		return "send a sealed or frozen sample to a laboratory for HCN", taskSample
	case hazard.LineHorses:
		return "nothing lifts this: put the horses elsewhere", ""

	case hazard.LineChopFrosted:
		return "a cut for another use ends it: ask before chopping", ""
	case hazard.LineChopWait:
		return s.wait(r), ""
	case hazard.LineSwathNotDry:
		return "walk the swath twice, at least 2 days apart, and log that it is dry", taskWalk
	case hazard.LineSwathOldWalk:
		return "walk the swath again and log whether it is dry", taskWalk
	case hazard.LineSwathStubble:
		return "walk the stubble: all killed, dry, no shoots, weeds checked", taskWalk
	case hazard.LineSwathClock:
		return s.clockAct(r), s.clockTask(r)
	case hazard.LineCure, hazard.LineEnsile:
		return s.wait(r), ""
	case hazard.LineSuspect:
		return s.core(r) + " for HCN, sealed or frozen", taskSample

	case hazard.LineNitrateUntested, hazard.LineNitrateAged, hazard.LineNitrateOvertaken:
		return s.sample(), taskSample
	case hazard.LineNitrateWait, hazard.LineNitrateInsideWait:
		switch _, end := waitEnd(r); end {
		case hazard.NoEnd:
			return "wait for rain; when it has ended the drought, log that", ""
		case fields.NoDate:
			return "when the wait is over, " + s.sample(), taskSample
		default:
			return "wait until " + (end + 1).Words() + "; then " + s.sample(), taskSample
		}
	case hazard.LineNitrateNights:
		return "walk it at least 2 days after the last of those nights and look for frost damage, or take a new sample", taskWalk
	case hazard.LineNitrateTable:
		return "graze something else, or wait and test again: " + s.sample(), taskSample
	case hazard.LineWater:
		return waterAct, taskSample
	case hazard.LineNitrateOpen:
		return "walk it on or after " + r.WalkOn.Words() + " and log whether there is frost damage", taskWalk
	case hazard.LineNitrateFresh:
		return "wait until " + (r.Ends + 1).Words(), ""
	case hazard.LineNitrateWeedy:
		return "log how much of it there is (seen, extent trace, patches or common), that a walk finds it gone, or " + s.sample(), taskWalk
	case hazard.LineNitrateLowUnsure:
		return "walk it, look for pigweed, lamb's-quarters, kochia, thistles and the like, and log the weeds as checked", taskWalk
	case hazard.LineNitrateCutNow:
		return "cut today, or wait until the peak is over", ""
	case hazard.LineNitratePeak, hazard.LineNitrateCutRain:
		return "wait if you can; if you cut, raise the bar and have the lot tested before it is fed", ""
	case hazard.LineNitrateCutBar:
		return "raise the bar, and have the lot tested before it is fed", ""
	case hazard.LineNitrateLotUntested, hazard.LineNitrateLotThin:
		return s.core(r) + " for nitrate", taskSample
	case hazard.LineNitrateLotTable:
		return "mix it with feed low in nitrate to what is allowed, or feed something else: work out the blend", ""
	case hazard.LineNitrateLotSpread:
		return "have several bales tested one by one, or mix it evenly into the ration: work out the blend", ""

	case hazard.LineIncident, hazard.LineLotIncident:
		return "only a veterinarian's word lifts this: call the vet", taskVet
	case hazard.LineKeepOff:
		if r.Through != hazard.NoEnd && r.Through != fields.NoDate {
			return "it ends after " + r.Through.Words() + "; before that, call the vet who said it", taskVet
		}
		return "only a veterinarian's word lifts this: call the vet who said it", taskVet
	case hazard.LineMayGraze:
		return "ask before turning in", ""
	}
	return "", ""
}

func (s *speaker) clockAct(r *hazard.Reason) string {
	if len(r.Nights) > 0 {
		return "look up the thermometer for " + nights(r.Nights) + " and log the lows: a night that did not freeze takes its wait away"
	}
	if from := s.walkFrom(r); from != fields.NoDate && (s.on == fields.NoDate || from >= s.on) {
		return "wait it out; on or after " + from.Words() + " walk it, so that frosts on what is dead no longer restart the wait"
	}
	return s.waitThen(r, "walk it")
}

func (s *speaker) clockTask(r *hazard.Reason) string {
	if len(r.Nights) > 0 {
		return taskNight
	}
	return taskWalk
}

// walkFrom is the first day on which a walk shows what the frost did.
func (s *speaker) walkFrom(r *hazard.Reason) fields.Date {
	if r.On == fields.NoDate {
		return fields.NoDate
	}
	return r.On.Add(s.days(hazard.FrostKillWalkAfter, 2))
}

// wait is "wait until Sat 26-Sep-2026", the first day that can differ.
func (s *speaker) wait(r *hazard.Reason) string {
	if r.Through == fields.NoDate || r.Through == hazard.NoEnd {
		return "wait"
	}
	return "wait until " + (r.Through + 1).Words()
}

func (s *speaker) waitThen(r *hazard.Reason, act string) string {
	return s.wait(r) + "; then " + act
}

func (s *speaker) minimum(r *hazard.Reason) string {
	if r.Limit > 0 {
		return s.u.atLeast(r.Limit) + " at the shortest"
	}
	return "at the minimum height at the shortest"
}

func (s *speaker) sample() string {
	return "sample it for nitrate (" + number(s.rule(hazard.NitrateSampleStems, 20), 0) + " stems from " +
		number(s.rule(hazard.NitrateSampleSpots, 10), 0) + " spots, cut at " +
		s.u.in(fields.Height, s.rule(hazard.NitrateSampleCutCM, 10)) + " or lower) and send it to a laboratory"
}

// core asks for the lot's bales.
func (s *speaker) core(r *hazard.Reason) string {
	if r.Bales > 0 {
		return "core " + number(r.Bales, 0) + " bales and send the cores to a laboratory"
	}
	return "core " + number(s.rule(hazard.NitrateSampleBales, 20), 0) + " bales or " +
		number(s.rule(hazard.NitrateSampleBalesPct, 20), 0) + " % of the lot, whichever is more, and send the cores to a laboratory"
}
