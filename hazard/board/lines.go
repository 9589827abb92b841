package board

import (
	"rimegate/fields"
	"rimegate/hazard"
)

// lineRow is all that is said of one line of the answer. Texts are templates:
// {name} is a part of parts.go.
type lineRow struct {
	says  string                                     // the cause, a clause without its full stop
	short string                                     // the cause in at most about twelve words, for a page
	step  string                                     // what comes next in a few words; behind a last day, after it
	act   string                                     // what lifts it, as one clause; none for a line that is always clear
	task  string                                     // the errand behind act; none where it is to wait or to ask
	due   func(*speaker, *hazard.Reason) fields.Date // when it is due: at once if left out, never on hazard.NoEnd

	source   string     // where it comes from that is no number of the rulebook
	use      hazard.Use // the use it belongs to whatever is asked; Graze: the one asked
	states   bool       // its cause already says what cannot be done
	restarts bool       // the next frost makes the hold longer
}

// What a task is, as Task.What.
const (
	taskWalk    = "walk"
	taskMeasure = "measure"
	taskSample  = "sample"
	taskNight   = "night"
	taskVet     = "vet"
)

// Acts and sources of more than one line.
const (
	waterAct = "give them other water, or have this one tested again and log the result"
	// One word says that weeds were looked for, so all of them are.
	weedsAct = "walk it, look for sorghum types, johnsongrass, arrowgrass and cherries, and for pigweed, " +
		"lamb's-quarters, kochia, thistles and the like, and log the weeds as checked"
	plantAct    = "find out what the plant is and log it by name; an extension office can help"
	rainAct     = "wait for rain, then log that the drought is over"
	measureAct  = "walk it and measure the shortest green growth"
	outgrownAct = "walk it{ on or after |walk day}: it lifts when you find no frost damage, no short shoots and the " +
		"minimum height, or all of it killed, dry and without shoots; {taken} lifts it too"
	hcnAct       = "send a sealed or frozen sample to a lab for HCN; {taken} lifts it too"
	barAct       = "wait if you can; if you cut, raise the bar and have the lot tested before you feed it"
	vetAct       = "only a vet's word lifts this: call the vet"
	judged       = "{nitrate}{, sampled |on}{, with its water |water| ppm NO3-N}; {nitrate table}"
	speciesTable = "the species table: what is said of each plant"
	incidentLog  = "the farm's journal: a sick or dead animal"
	vetLog       = "the farm's journal: a vet's word"
	unknownOurs  = "ours: no publication rates this plant, so it is treated as dangerous"
	unreadOurs   = "ours: a night nobody read is not a night without frost"
	forecastOurs = "ours: a forecast can only make an answer worse"
	flaxOurs     = "ours: the species table treats flax apart"
)

// waitThenWalk is a row for a wait of days that a walk ends.
func waitThenWalk(says, short string) lineRow {
	return lineRow{says: says, short: short, step: "then walk it", act: "{until}; then walk it", task: taskWalk, due: afterHold}
}

// lines has a row for every line of the contract's appendix A.
var lines = [hazard.NumLines]lineRow{
	hazard.LineNone: {
		says: "A rule with no words applies: treat it as NO and call", short: "a rule with no words",
		step: "ask",
		act:  "nobody decided this: treat it as NO and call",
	},
	hazard.LineNoP: {
		says: "No plant listed here makes {minor}prussic acid{: |plants}", short: "no prussic acid plants here",
		source: speciesTable,
	},
	hazard.LineAllPassed: {
		says:  "Passed every prussic acid check{ (|plants|)}{, by the walk of |proof}",
		short: "passed every prussic acid check", source: "every rule on prussic acid in the rulebook",
	},
	hazard.LineUnlisted: {
		says: "Nobody has logged what grows here", short: "nobody has logged what grows here",
		step: "log it",
		act:  "log what was sown, or walk it, check the weeds and log what grows here", task: taskWalk,
		source: "ours: nothing is known of what grows there",
	},
	hazard.LineNeverChecked: {
		says: "Not sown anew, and weeds last looked for {on}, over 365 days ago; some make prussic acid || Not sown anew, " +
			"and weeds never looked for; some make prussic acid",
		short: "not sown anew, weeds not checked", act: weedsAct, task: taskWalk,
		step:   "walk it",
		source: "ours: land that was not sown anew needs a walk that checks its weeds every year",
	},
	hazard.LineNotListedHCN: {
		says: "{some plants}: weeds last looked for {on}, over 365 days ago, and some make prussic acid || " +
			"{some plants}: weeds never looked for, and some make prussic acid",
		short: "weeds not checked", act: weedsAct, task: taskWalk,
		step:   "walk it",
		source: "ours: a plant that no publication rates needs a walk that checks the weeds",
	},
	hazard.LineUnknown: {
		says:  "Unknown plant, so treated as dangerous: {plants} || Unknown plant: a sowing here names no species",
		short: "unknown plant{: |plants}", act: plantAct, source: unknownOurs,
		step: "find out what it is",
	},
	hazard.LineNoSwath: {
		says: "No swath here to graze", short: "no swath here", act: "if there is a swath, log the cut",
		step:   "log the cut if it lies there",
		source: "the farm's journal: no swath lies there", states: true,
	},
	hazard.LineNoCrop: {
		says:   "Nothing here to cut{: cut |on|, and no growth measured since}",
		short:  "nothing here to cut",
		step:   "measure it when it has grown",
		act:    "measure the shortest growth when it has grown back",
		source: "the farm's journal: the last cut and the walks since", states: true,
	},

	hazard.LineClock: {
		says: "{clock} || Froze{ |on}", short: "{frost}",
		step: "{lows} || then walk it",
		act:  "{clock act} || {until}; then walk it", task: taskWalk, restarts: true,
	},
	hazard.LineDryWait: waitThenWalk("Killed and dry since {on}", "killed, dry since {day}"),
	hazard.LineShoots: {
		says: "New shoots of {below}{ (measured |on|)}", short: "new shoots {height}",
		step: "until {limit}",
		act: "wait until the shoots stand {minimum} or a later frost kills them; then walk it and measure the " +
			"shortest growth",
		task: taskMeasure, due: remeasure, source: "ours: shoots below the minimum height are held",
	},
	hazard.LineNeverMeasured: {
		says: "Growing, and the shortest growth never measured{ since |since}", short: "growing, never measured",
		step: "measure it",
		act:  measureAct,
		task: taskMeasure, source: "ours: what was not measured is not clear",
	},
	hazard.LineTooShort: {
		says: "Too short: {below}{ (measured |on|)}", short: "shortest growth {height}",
		step: "until {limit}",
		act:  "wait until it stands {minimum}; then measure the shortest green growth", task: taskMeasure,
		due: remeasure,
	},
	hazard.LineOldHeight: {
		says:  "Height last measured{ |on}{, |ago}; a height is good for {days}",
		short: "height last measured {day}", act: measureAct, task: taskMeasure,
		step: "measure it again",
	},
	hazard.LineDrought: {
		says: "Drought{ since |since}, and no rain has ended it", short: "drought, no rain has ended it", act: rainAct,
		step: "until rain ends it",
	},
	hazard.LineRainWait: waitThenWalk("Rain ended the drought{ |on}", "rain after drought {day}"),
	hazard.LineRainHeight: {
		says:  "Growing, and {limit} not measured since the rain that ended the drought{ |on}",
		short: "not measured since the rain {day}",
		step:  "measure it when it has grown",
		act:   "when it has grown after the rain, measure the shortest green growth", task: taskMeasure,
	},
	hazard.LineHail: waitThenWalk("Hail{ |on} (no wait is published; the frost wait is used)",
		"hail {day}"),
	hazard.LineTrampled: waitThenWalk("Trampled{ |on} (no wait is published; the frost wait is used)",
		"trampled {day}"),
	hazard.LineSprayed: waitThenWalk("Sprayed{ |on} (publications say several weeks; the number is ours)",
		"sprayed {day}"),
	hazard.LineWilted: {
		says: "Found wilted{ |on}, and no walk since says otherwise", short: "found wilted {day}",
		step: "walk it when fresh again",
		act:  "walk it when it stands fresh again and log wilted as no", task: taskWalk,
		source: "ours: what was last found wilted is held",
	},
	hazard.LineFrosted: {
		says:  "Frosted{ |on} and not confirmed dead: what lives can stay poisonous",
		short: "frosted {day}, not known dead",
		step:  "walk it{ from |walk day}",
		act:   outgrownAct, task: taskWalk, due: onWalkDay,
	},
	hazard.LineDamaged: {
		says:  "Walk{ of |on} found frost damage, and it is not confirmed dead",
		short: "frost damage found {day}",
		step:  "walk it{ from |walk day}",
		act:   outgrownAct, task: taskWalk, due: onWalkDay,
	},
	hazard.LineNotDry: {
		says:  "Walk{ of |on} found it not dry: dead counts only when it is dry too",
		short: "found not dry {day}",
		step:  "walk it when dry",
		act:   "walk it again when it has dried and log it as dry", task: taskWalk,
		source: "ours: a stand is dead when it is killed and dry",
	},
	hazard.LineCapped: {
		says: "{some plants} while green: never better than ASK", short: "{some plants} while green: always ask",
		act:    "no walk lifts this while it is green: call before you turn in",
		source: "the species table: what is said of the plant",
	},
	hazard.LinePossible: {
		says: "{possible}", short: "may have frozen {day}",
		step: "walk it{ from |walk day}",
		act:  "walk it{ on or after |walk day} and log whether there is frost damage", task: taskWalk,
		due: func(_ *speaker, r *hazard.Reason) fields.Date { return r.WalkOn },
	},
	hazard.LineUnreadNights: {
		says: "{last night} || Nobody read the thermometer for {nights}", short: "{unread}", task: taskNight,
		step:   "read the thermometer",
		source: unreadOurs,
		act:    "look up the low for {nights} and log it, or sign that there was no frost",
	},
	hazard.LineForecastCaution: {
		says:  "Forecast low {low}, night{ of |on}: it may freeze at plant height, so {out}",
		short: "may freeze, night of {day}",
		step:  "out before dark",
		act:   "have the stock {out}{, |dark}; read the thermometer the morning of {on}", task: taskNight, due: onDay,
		source: forecastOurs,
	},
	hazard.LineForecastHold: {
		says: "Forecast low {low}, night{ of |on}: freezing", short: "freezing forecast, night of {day}",
		step: "out before dark",
		act:  "have the stock {out}{, |dark}; read the thermometer the morning of {on}", task: taskNight, due: onDay,
		source: forecastOurs,
	},
	hazard.LineOldWalk: {
		says:  "Dead, but last walked clean{ |on}{, |ago}; a walk is good for {days}",
		short: "dead, but last walked {day}",
		step:  "walk it again",
		act:   "walk it again: all killed, dry, no shoots, weeds checked", task: taskWalk,
	},
	hazard.LineHCNHold: {
		says: "{HCN}, at or above the hold line of {HCN limit} ppm{, sampled |on}", short: "HCN {ppm} ppm, {day}",
		step: "new HCN test",
		act:  hcnAct, task: taskSample,
	},
	hazard.LineHCNCaution: {
		says: "{HCN}, at or above the caution line of {HCN limit} ppm{, sampled |on}", short: "HCN {ppm} ppm, {day}",
		step: "new HCN test",
		act:  hcnAct, task: taskSample,
	},
	hazard.LineHCNUnfit: {
		says:  "The HCN test{ of |on} cannot clear it: dried sample, quick test, or as-fed without dry matter",
		short: "HCN test {day} cannot clear it", act: hcnAct, task: taskSample,
		step: "send a fresh sample",
	},
	hazard.LineFlax: {
		says: "Flax not confirmed dead", short: "flax not known dead", task: taskWalk, source: flaxOurs,
		step: "walk it once dead",
		act:  "walk it once it is dead and log all killed, dry, no shoots, weeds checked",
	},
	hazard.LineFlaxTest: {
		says: "Flax, even dead, needs an HCN test, and none clears it", short: "dead flax, no HCN test",
		step: "have it tested",
		act:  "send a sealed or frozen sample to a lab for HCN", task: taskSample, source: flaxOurs,
	},
	hazard.LineHorses: {
		says: "Horses never on {some plants}", short: "never for horses",
		step:   "nothing lifts this",
		act:    "nothing lifts this: put the horses elsewhere",
		source: "ours: the species table names the plant as harmful to horses",
	},

	hazard.LineChopFrosted: {
		says:  "Froze while it was alive{ |on}, and was not cut for another use since",
		short: "froze {day}, not cut since", act: "a cut for another use ends it; call before you chop",
		step:   "ask before chopping",
		source: "ours: chopped feed of a frosted stand is asked about first",
	},
	hazard.LineChopWait: {
		says: "Last frost{ |on}", short: "frost {day}: wait to chop",
		act: "{until}",
		use: hazard.CutSilage, restarts: true,
	},
	hazard.LineCutUnknown: {
		says:  "Unknown plant in it{ (|plants|)}: find out what it is before you cut",
		short: "unknown plant{: |plants}", act: plantAct, source: unknownOurs,
		step: "find out what it is",
	},
	hazard.LineCutClear: {
		says: "May be cut; feeding it is a separate question", short: "may be cut",
		source: "ours: cutting and feeding are separate questions",
	},
	hazard.LineSwathNotDry: {
		says: "Swath cut {on} not confirmed dry: two walks at least 2 days apart must find it dry{ (first " +
			"found dry |proof|)}",
		short: "swath not known dry", act: "walk the swath twice, at least 2 days apart, and log that it is dry",
		step: "walk it twice",
		task: taskWalk, source: "ours: a swath is dry when two walks found it so",
	},
	hazard.LineSwathOldWalk: {
		says:  "Swath dry, but last walked{ |on}{, |ago}; a walk is good for {days}",
		short: "swath last walked {day}", act: "walk the swath again and log whether it is dry", task: taskWalk,
		step: "walk the swath again",
	},
	hazard.LineSwathStubble: {
		says:  "No clean walk of the stubble since {on} (all killed, dry, no shoots, weeds checked)",
		short: "stubble not walked clean", act: "walk the stubble: all killed, dry, no shoots, weeds checked",
		step:   "walk the stubble",
		task:   taskWalk,
		source: "ours: what grows back in the stubble is looked at",
	},
	hazard.LineSwathClock: {
		says:  "{swath clock} || The swath, or the stand it was cut from, froze{ |on}",
		short: "swath: {frost}", act: "{clock act} || {until}; then walk it", task: taskWalk, use: hazard.SwathGraze,
		step:     "{lows} || then walk it",
		restarts: true,
	},
	hazard.LineCure: {
		says: "Baled{ |on}, still curing", short: "baled {day}, curing", act: "{until}",
		use: hazard.Feed,
	},
	hazard.LineEnsile: {
		says: "{bought} || Made{ |on}, still ensiling", short: "{not said dry} || made {day}, ensiling", act: "{until}{say dry}",
		use: hazard.Feed,
	},
	hazard.LineSuspect: {
		says:  "Suspect for prussic acid{: |suspect}{ (|suspect day|)}; no lab HCN test of the lot itself clears it",
		short: "prussic acid suspect", act: "{core} for HCN, sealed or frozen", task: taskSample,
		step: "HCN test",
		use:  hazard.Feed,
	},
	hazard.LineLotClear: {
		says: "{made clear}{, and its wait since |on| is over}", short: "not suspect for prussic acid",
		use: hazard.Feed,
	},

	hazard.LineNitrateUntested: {
		says: "The last nitrate test, of {on}, does not clear it || Nitrate not tested{: |plants}{, which gather it " +
			"after that much nitrogen (last spread |dosed|)}",
		short: "nitrate untested", act: "{sample}", task: taskSample,
		step: "lab test",
	},
	hazard.LineNitrateWait: {
		says: "Nitrate can be high after {stress}{stress wait}", short: "nitrate after {stress short}",
		step: "then a lab test",
		act:  "{rain} || wait until {until stress}, then {sample} || when the wait is over, {sample}",
		task: taskSample, due: afterStress,
	},
	hazard.LineNitrateInsideWait: {
		says: "Nitrate can be high after {stress}{stress wait}", short: "nitrate after {stress short}",
		step: "then a lab test",
		act:  "{rain} || wait until {until stress}, then {sample} || when the wait is over, {sample}",
		task: taskSample, due: afterStress,
	},
	hazard.LineNitrateDrought: {
		says:  "Nitrate is high in a drought{ (since |since|)}, and no rain has ended it",
		short: "nitrate in a drought",
		step:  "until rain ends it",
		act:   rainAct,
	},
	hazard.LineNitrateOvertaken: {
		says: "The nitrate test{ of |on} no longer counts: a stress, a sowing, nitrogen, a cut or stock taken out came " +
			"that day or later",
		short: "nitrate test {day} no longer counts", act: "{sample}", task: taskSample,
		step: "new lab test",
	},
	hazard.LineNitrateAged: {
		says:  "The nitrate test{ of |on}{, |ago}, is too old: a test is good for {days}",
		short: "nitrate test {day} too old",
		step:  "new lab test",
		act:   "{sample}", task: taskSample,
	},
	hazard.LineNitrateNights: {
		says:  "The nitrate test of {proof} no longer clears it: not read, or maybe freezing, since: {nights}",
		short: "{unread}",
		step:  "{read it} || walk it for frost damage",
		act:   "{look up}walk it at least 2 days after the last of those nights and look for frost damage, or sample it again on a later day",
		task:  taskWalk, due: afterNights, source: unreadOurs,
	},
	hazard.LineNitrateTable: {
		says:  "{unjudged} || Nitrate " + judged,
		short: "nitrate {no3n} ppm NO3-N, {day}", act: "graze something else, or wait and test again: {sample}",
		step: "graze elsewhere",
		task: taskSample,
	},
	hazard.LineNitrateClears: {
		says:  "Nitrate {nitrate}{, sampled |on}{, with its water |water| ppm NO3-N}: clear in every table asked",
		short: "nitrate tested clear {day}",
	},
	hazard.LineNitrateLow: {
		says: "The plants here gather little nitrate{ (|plants|)}, no nitrogen was spread lately, weeds were " +
			"checked, and no test says otherwise{ (scattered in it: |trace|)}",
		short: "plants low in nitrate", source: speciesTable,
	},
	hazard.LineNitrateLowUnsure: {
		says: "The plants here gather little nitrate{ (|plants|)}, but nobody looked for nitrate weeds in the last " +
			"{days}",
		short: "nitrate weeds not looked for",
		step:  "walk it",
		act:   weedsAct,
		task:  taskWalk,
	},
	hazard.LineNitrateOpen: {
		says: "Light frosts ({several nights}), and no walk says whether the last one hurt the plants; hurt plants " +
			"gather nitrate || Light frost{ |on}, and no walk since says whether it hurt the plants; hurt plants gather " +
			"nitrate",
		short: "light frost {day}, not walked since",
		step:  "walk it{ from |walk day}",
		act:   "walk it{ on or after |walk day} and log whether there is frost damage", task: taskWalk, due: onWalkDay,
		source: "ours: a light frost counts until a walk finds no damage, which all publications name as the cause",
	},
	hazard.LineNitrateFresh: {
		says: "Nitrogen spread{ |on}: too fresh through {ends}", short: "nitrogen spread {day}",
		step: "wait{ until |next end}",
		act:  "wait until {next end}",
	},
	hazard.LineNitrateWeedy: {
		says: "Weeds in it that gather nitrate: {some plants}", short: "nitrate weeds: {some plants}",
		step: "log how many",
		act:  "log how much of it there is (trace, patches or common), or that a walk found it gone, or {sample}",
		task: taskWalk, source: "the species table: what is said of the weed; how much of it is too much is ours",
	},
	hazard.LineNitrateCutNow: {
		says:  "Nitrate has not risen yet after the frost or hail{ of |on}: cut now, through {next day}",
		short: "cut now, before nitrate rises", act: "cut today, or wait until the peak is over",
		step: "cut today or wait",
	},
	hazard.LineNitratePeak: {
		says:  "Nitrate is high after {stress}: it peaks {peak from} through {peak to}; wait through {wait end}",
		short: "nitrate high after {stress short}", act: barAct,
		step: "wait or raise the bar",
	},
	hazard.LineNitrateCutRain: {
		says:  "Nitrate can be high after {stress}{, through |stress ends}",
		short: "nitrate after {stress short}", act: barAct,
		step: "wait or raise the bar",
	},
	hazard.LineNitrateCutBar: {
		says: "Nitrate {nitrate}{, sampled |on}, is too high for some stock: raise the bar (leave {leave} or the " +
			"bottom third, whichever is higher) and test the lot",
		short: "nitrate {no3n} ppm NO3-N: raise the bar",
		step:  "test before feeding",
		act:   "raise the bar, and have the lot tested before you feed it",
	},
	hazard.LineNitrateLotUntested: {
		says:  "This lot was never tested for nitrate, and storing does not take it away{; |grave}",
		short: "never tested for nitrate", act: "{core} for nitrate", task: taskSample, use: hazard.Feed,
		step:   "core {bales} bales for the lab || core it for the lab",
		source: "ours: stored feed is never clear of nitrate without a result of its own",
	},
	hazard.LineNitrateLotTable: {
		says:  "{unjudged} || The lot's nitrate " + judged,
		short: "nitrate {no3n} ppm NO3-N, {day}",
		step:  "mix or feed something else",
		act:   "mix it down to what is allowed with feed low in nitrate, or feed something else",
		use:   hazard.Feed,
	},
	hazard.LineNitrateLotSpread: {
		says: "One mixed sample of the lot says {composite}, but the worst bale may hold {spread} times that, {no3n} " +
			"ppm NO3-N, which a table says not to feed",
		short: "one mixed sample only: the worst bale may be too high",
		step:  "test several bales",
		act:   "have several bales tested one by one, or mix it evenly into the ration",
		use:   hazard.Feed,
	},
	hazard.LineNitrateLotThin: {
		says:  "Too few bales or cores tested for nitrate, or not by a lab{: it takes |bales| bales or cores}{; |grave}",
		short: "too few bales cored", act: "{core} for nitrate", task: taskSample, use: hazard.Feed,
		step: "core {bales} bales || core more",
	},
	hazard.LineWater: {
		says: "Stock water ({water id}) holds {mg} mg NO3-N per litre (tested {on}), at or above {mg limit}; it " +
			"adds to the nitrate of the feed",
		short: "nitrate in the stock water, {day}", act: waterAct, task: taskSample,
		step: "water the stock elsewhere",
	},

	hazard.LineIncident: {
		says:  "Animals fell sick or died here{ |on}{, |toll}{ (|what|)}",
		short: "animal down {day}", act: vetAct, task: taskVet, source: incidentLog,
		step: "the vet decides",
	},
	hazard.LineLotIncident: {
		says:  "Animals fell sick or died on feed cut with this (lot {lot}){ |on}{, |toll}{ (|what|)}",
		short: "animals sick on feed of this cut {day}", act: vetAct, task: taskVet, use: hazard.Feed,
		step:   "the vet decides",
		source: incidentLog,
	},
	hazard.LineFedIncident: {
		says:  "Animals that had been fed this fell sick or died{ |on}{, |toll}{ (|what|)}",
		short: "animals fed this fell sick {day}", act: vetAct, task: taskVet, use: hazard.Feed,
		step:   "the vet decides",
		source: incidentLog,
	},
	hazard.LineKeepOff: {
		says: "{vet} says keep off ({on}){, because: |because}", short: "{vet} says keep off",
		step: "the vet decides",
		act:  "it ends after {through}; before that, call the vet who said it || " + vetAct + " who said it",
		task: taskVet, source: vetLog,
	},
	hazard.LineMayGraze: {
		says:  "{vet} says it may be used{ through |vet until}{, because: |because}; {vet but}",
		short: "{vet} says it may be used", act: "call before you turn in", source: vetLog,
	},
	hazard.LineVetNone: {
		says: "No sick animal and no vet's word against it", short: "no vet's word against it",
		source: "the farm's journal: no sick animal, no vet's word",
	},
}
