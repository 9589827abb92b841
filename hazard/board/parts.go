package board

import (
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// parts are what the templates of the lines are filled with. One that a reason
// has nothing for is empty, its comma included.
var parts = map[string]func(*speaker, *hazard.Reason) string{
	// Days.
	"on":       func(_ *speaker, r *hazard.Reason) string { return when(r.On) },
	"of":       func(_ *speaker, r *hazard.Reason) string { return ofDate(r.On) },
	"date":     func(_ *speaker, r *hazard.Reason) string { return r.On.Words() },
	"day":      func(_ *speaker, r *hazard.Reason) string { return r.On.Short() },
	"next day": func(_ *speaker, r *hazard.Reason) string { return (r.On + 1).Words() },
	"proof":    func(_ *speaker, r *hazard.Reason) string { return r.Proof.Words() },
	"ends":     func(_ *speaker, r *hazard.Reason) string { return r.Ends.Words() },
	"nights":   func(_ *speaker, r *hazard.Reason) string { return nights(r.Nights) },
	"sampled":  func(_ *speaker, r *hazard.Reason) string { return dated(", sampled ", r.On, "") },
	"found":    func(_ *speaker, r *hazard.Reason) string { return dated(" (measured ", r.On, ")") },
	"last":     func(_ *speaker, r *hazard.Reason) string { return dated(" (the last one: ", r.On, ")") },
	"cut": func(_ *speaker, r *hazard.Reason) string {
		return dated(": it was cut on ", r.On, ", and no walk since then measured growth")
	},
	"rests": func(_ *speaker, r *hazard.Reason) string { return dated("; it rests on the walk of ", r.Proof, "") },
	"dry":   func(_ *speaker, r *hazard.Reason) string { return dated(" (first found dry ", r.Proof, ")") },
	"from":  func(_ *speaker, r *hazard.Reason) string { return dated(" on or after ", r.WalkOn, "") },
	"since": func(_ *speaker, r *hazard.Reason) string {
		if r.Began != fields.NoDate {
			return dated(" since ", r.Began, "")
		}
		return dated(" since ", r.On, "")
	},
	", ago": (*speaker).ago,
	"days":  func(_ *speaker, r *hazard.Reason) string { return plural(r.Days, "day") },
	"wait": func(_ *speaker, r *hazard.Reason) string {
		if n := waited(r, r.On); n > 0 {
			return "; " + plural(n, "day")
		}
		return ""
	},
	"until": (*speaker).wait,

	// What it speaks of.
	"plants": func(s *speaker, r *hazard.Reason) string { return or(s.plants(r), "a plant here") },
	"(plants)": func(s *speaker, r *hazard.Reason) string {
		if x := s.plants(r); x != "" {
			return " (" + x + ")"
		}
		return ""
	},
	": plants": func(s *speaker, r *hazard.Reason) string { return after(": ", s.plants(r)) },
	"trace": func(s *speaker, r *hazard.Reason) string {
		if len(r.Trace) == 0 {
			return ""
		}
		return " (scattered in it: " + speciesNames(s.book, r.Trace) + ")"
	},
	"vet":     func(_ *speaker, r *hazard.Reason) string { return vetName(r.Vet) },
	"because": func(_ *speaker, r *hazard.Reason) string { return becauseWords(r.Vet.Because) },

	// Figures.
	"below":   (*speaker).below,
	"height":  func(s *speaker, r *hazard.Reason) string { return s.u.in(fields.Height, r.Value) },
	"limit":   func(s *speaker, r *hazard.Reason) string { return s.u.atLeast(r.Limit) },
	"minimum": (*speaker).minimum,
	"low":     func(s *speaker, r *hazard.Reason) string { return s.u.temp(r.Value) },
	"ppm":     func(_ *speaker, r *hazard.Reason) string { return ppm(r.Value) },
	"taken": func(s *speaker, _ *hazard.Reason) string {
		left := "20 cm" // hazard.GrazedOffCM, as people say it
		if s.u == US {
			left = "8 in"
		}
		return "a cut, or stock out that left " + left + " or less,"
	},

	// The frost clock and the nights.
	"frost":  (*speaker).frostShort,
	"unread": (*speaker).unreadShort,
	"out": func(s *speaker, r *hazard.Reason) string {
		if s.dark(r.On) {
			return "out now"
		}
		return "out before dark" + when(r.On-1)
	},

	// Nitrate and lots.
	"sample": func(s *speaker, _ *hazard.Reason) string {
		return "sample it for nitrate (" + number(s.book.V[hazard.NitrateSampleStems], 0) + " stems from " +
			number(s.book.V[hazard.NitrateSampleSpots], 0) + " spots, cut at " +
			s.u.in(fields.Height, s.book.V[hazard.NitrateSampleCutCM]) + " or lower) and send it to a laboratory"
	},
	"core": func(s *speaker, r *hazard.Reason) string {
		n := number(r.Bales, 0) + " bales"
		if r.Bales == 0 { // nobody said how many there are
			n = number(s.book.V[hazard.NitrateSampleBales], 0) + " bales or " + number(s.book.V[hazard.NitrateSampleBalesPct],
				0) +
				" % of the lot, whichever is more,"
		}
		return "core " + n + " and send the cores to a laboratory"
	},
	"bales": func(_ *speaker, r *hazard.Reason) string {
		if r.Bales == 0 {
			return ""
		}
		return ": " + number(r.Bales, 0) + " bales or cores are asked for"
	},
	"nitrate":   func(_ *speaker, r *hazard.Reason) string { return nitrateFigure(says(r).Value) },
	"no3n":      func(_ *speaker, r *hazard.Reason) string { return ppm(says(r).Value) },
	"composite": func(_ *speaker, r *hazard.Reason) string { return nitrateFigure(says(r).Composite) },
	"spread":    func(s *speaker, _ *hazard.Reason) string { return number(s.book.V[hazard.NitrateBaleSpread], 2) },
	"leave": func(s *speaker, _ *hazard.Reason) string {
		return s.u.in(fields.Height, s.book.V[hazard.NitrateCutLeave])
	},
	"water":  withWater,
	"stress": func(_ *speaker, r *hazard.Reason) string { return stress(r.Stress) },
	"stress short": func(_ *speaker, r *hazard.Reason) string {
		return stressWords[r.Stress.Kind] + " " + r.Stress.On.Short()
	},
	"stress wait": stressWait,
	"stress end": func(_ *speaker, r *hazard.Reason) string {
		return dated(", through and including ", r.Stress.Ends,
			"")
	},
	"grave": grave,
	"suspect": func(_ *speaker, r *hazard.Reason) string {
		return after(": ", suspectWords[r.Why.Line]) + dated(" (", r.Why.On, ")")
	},
}

// fill puts the parts into a template.
func (s *speaker) fill(t string, r *hazard.Reason) string {
	var b strings.Builder
	for {
		head, rest, ok := strings.Cut(t, "{")
		b.WriteString(head)
		if !ok {
			return b.String()
		}
		name, tail, _ := strings.Cut(rest, "}")
		b.WriteString(parts[name](s, r))
		t = tail
	}
}

// dated is a day between two words, nothing where there is none.
func dated(before string, d fields.Date, behind string) string {
	if d == fields.NoDate || d == hazard.NoEnd {
		return ""
	}
	return before + d.Words() + behind
}

// when is " on Fri 11-Sep-2026", or nothing where no date is known.
func when(d fields.Date) string { return dated(" on ", d, "") }

func ofDate(d fields.Date) string { return dated(" of ", d, "") }

// waited returns the days a dated hold counts: from the day to its last one.
func waited(r *hazard.Reason, from fields.Date) int {
	if end := r.HoldEnd(); from != fields.NoDate && end != hazard.NoEnd && end >= from {
		return end.Sub(from)
	}
	return r.Days
}

// ago is ", 12 days ago" as seen from the day asked, "" when that is unknown.
func (s *speaker) ago(r *hazard.Reason) string {
	switch {
	case r.On == fields.NoDate || r.On > s.on:
		return ""
	case r.On == s.on:
		return ", today"
	}
	return ", " + plural(s.on.Sub(r.On), "day") + " ago"
}

// wait is "wait until Sat 26-Sep-2026", the first day that can differ.
func (s *speaker) wait(r *hazard.Reason) string {
	if r.Through == fields.NoDate || r.Through == hazard.NoEnd {
		return "wait"
	}
	return "wait until " + (r.Through + 1).Words()
}

// below is "40 cm, below the minimum of 61 cm".
func (s *speaker) below(r *hazard.Reason) string {
	v, l := s.u.in(fields.Height, r.Value), s.u.atLeast(r.Limit)
	if v == l {
		v, l = s.u.against(fields.Height, r.Value, r.Limit)
	}
	t := v + ", below the minimum of " + l
	if r.Species != "" {
		t += " for " + speciesName(s.book, r.Species)
	}
	return t
}

func (s *speaker) minimum(r *hazard.Reason) string {
	if r.Limit > 0 {
		return s.u.atLeast(r.Limit) + " at the shortest"
	}
	return "at the minimum height at the shortest"
}

// plants names the reason's species, "" if it names none.
func (s *speaker) plants(r *hazard.Reason) string {
	if r.Species != "" {
		return speciesName(s.book, r.Species)
	}
	return speciesNames(s.book, r.Plants)
}

func (s *speaker) noPrussic(r *hazard.Reason) string {
	t := "No plant listed here makes prussic acid"
	for _, n := range r.Plants {
		if row := speciesRow(s.book, n); row != nil && row.Habit == hazard.HabitMinor {
			t = "No plant listed here makes more than a little prussic acid"
		}
	}
	return t + after(": ", s.plants(r))
}

func (s *speaker) unknownPlant(r *hazard.Reason) string {
	if x := s.plants(r); x != "" {
		return "Not in the species table, so taken for dangerous: " + x
	}
	return "It is not known what grows here: a sowing names no species"
}

// clock puts the frost clock into words: the frost, the nights nobody read and
// the count of days from the last of them.
func (s *speaker) clock(r *hazard.Reason, froze string) string {
	n := len(r.Nights)
	if n == 0 {
		return s.fill(froze+dated(" ", r.On, "")+"{wait}", r)
	}
	t := "Cannot tell: no reading for " + nights(r.Nights)
	if frost := lastFrost(r); frost != fields.NoDate {
		t = froze + " " + frost.Words() + "; cannot tell since then: no reading for " + nights(r.Nights)
	}
	last := max(r.On, r.Nights[n-1])
	if days := waited(r, last); days > 0 {
		t += "; " + plural(days, "day") + " from " + last.Words()
	}
	return t
}

// lastFrost is the known frost before the nights that nobody read.
func lastFrost(r *hazard.Reason) fields.Date {
	for _, d := range []fields.Date{r.Frost, r.On} {
		if d != fields.NoDate && (len(r.Nights) == 0 || d < r.Nights[0]) {
			return d
		}
	}
	return fields.NoDate
}

func (s *speaker) frostShort(r *hazard.Reason) string {
	frost, n := lastFrost(r), len(r.Nights)
	switch {
	case frost == fields.NoDate:
		return plural(n, "night") + " not read"
	case n > 0:
		return "frost " + frost.Short() + ", " + plural(n, "night") + " not read since"
	}
	return "frost " + r.On.Short()
}

func (s *speaker) possible(r *hazard.Reason) string {
	ds := r.Nights
	if len(ds) == 0 {
		ds = []fields.Date{r.On}
	}
	t := "It may have frozen where plants stand in " + nights(ds)
	if !r.Measured {
		return t + ": no low is known, only that the thermometer stayed above zero"
	}
	low := "low "
	if len(ds) > 1 {
		low = "lows down to "
	}
	return t + ": " + low + s.u.temp(r.Value) + ", at or below " + s.u.temp(r.Limit)
}

// lastNight reports that of the unread nights only the last one is missing.
func (s *speaker) lastNight(r *hazard.Reason) bool { return len(r.Nights) == 1 && r.Nights[0] == s.on }

func (s *speaker) unread(r *hazard.Reason) string {
	if s.lastNight(r) {
		return "Cannot tell: last night (" + s.on.Words() + ") is not in yet"
	}
	return "Cannot tell: no reading for " + nights(r.Nights)
}

func (s *speaker) unreadShort(r *hazard.Reason) string {
	if s.lastNight(r) {
		return "last night not read"
	}
	return plural(len(r.Nights), "night") + " not read"
}

// hcn says which line a result of HCN reaches.
func hcn(r *hazard.Reason, line string) string {
	basis := "on dry matter"
	if r.Of == hazard.HCNAsIs {
		basis = "as is"
	}
	v, l := ppmAgainst(r.Value, r.Limit)
	return "HCN " + v + " ppm " + basis + ", at or above the " + line + " line of " + l + " ppm" + dated(", sampled ",
		r.On, "")
}

func (s *speaker) lotClear(r *hazard.Reason) string {
	t := "Nothing made this lot suspect of prussic acid"
	if w := suspectWords[r.Why.Line]; w != "" {
		t = "Tall growth that met nothing but frost (" + w + ")"
	}
	if r.On != fields.NoDate {
		t += ", and its wait since " + r.On.Words() + " is over"
	}
	return t
}

// suspectWords are what made a lot suspect.
var suspectWords = map[hazard.Line]string{
	hazard.LineUnlisted:     "nobody knows what it was cut from",
	hazard.LineUnknown:      "it holds a plant that is not in the species table, or none was named",
	hazard.LineFlax:         "flax is always suspect",
	hazard.LineClock:        "its stand or swath was inside a frost wait, set by a frost or an unread night",
	hazard.LinePossible:     "it may have frozen",
	hazard.LineUnreadNights: "a night was not read",
	hazard.LineIncident:     "animals fell sick on its stand",
	hazard.LineDrought:      "its stand was in a drought",
	hazard.LineRainWait:     "its stand was inside the wait after a drought, which rain ended",
	hazard.LineHail:         "its stand was hailed on",
	hazard.LineTrampled:     "its stand was trampled",
	hazard.LineSprayed:      "its stand was sprayed",
	hazard.LineWilted:       "its stand was found wilted",
	hazard.LineShoots:       "its stand had short shoots",
	hazard.LineTooShort:     "its stand was below the minimum height",
}

func (s *speaker) untested(r *hazard.Reason) string {
	if r.On != fields.NoDate {
		return "No nitrate sample clears it: the last one, of " + r.On.Words() + ", does not"
	}
	return "Nitrate is untested" + after(": ", s.plants(r)) + dated(", which gather it after so much nitrogen (last spread ", r.Dosed, ")")
}

var stressWords = [...]string{
	hazard.NoStress: "a stress", hazard.StressFrost: "frost", hazard.StressHail: "hail",
	hazard.StressTrampled: "trampling",
	hazard.StressSprayed:  "spray", hazard.StressDrought: "drought", hazard.StressRain: "the rain that ended a drought",
	hazard.StressNitrogen: "nitrogen spread",
}

// stress is "frost on Fri 11-Sep-2026".
func stress(x hazard.Stress) string { return stressWords[x.Kind] + when(x.On) }

// stressWait counts the days of the stress whose wait ends last.
func stressWait(_ *speaker, r *hazard.Reason) string {
	from, end := r.Stress.On, r.Stress.Ends
	switch {
	case end == hazard.NoEnd:
		return ", which has not ended"
	case end == fields.NoDate || from == fields.NoDate || end < from:
		return ""
	}
	t := "; " + plural(end.Sub(from), "day")
	if r.Flag != hazard.Hold {
		t += ", through and including " + end.Words()
	}
	return t
}

// peak names the days on which nitrate is highest after a frost or hail.
func (s *speaker) peak(r *hazard.Reason) string {
	from, to := s.book.Days(hazard.NitratePeakFrom), s.book.Days(hazard.NitratePeakTo)
	return "Nitrate is high after " + stress(r.Stress) + "; it peaks " + r.On.Add(from).Words() + " through " +
		r.On.Add(to).Words() +
		", and the wait runs through and including " + r.On.Add(r.Days).Words()
}

func (s *speaker) lightFrosts(r *hazard.Reason) string {
	t := "A light frost" + when(r.On) + ", and no walk since then says whether it hurt the plants"
	if len(r.Nights) > 1 {
		t = "Light frosts (" + nights(r.Nights) + "), and no walk says whether the last one hurt the plants"
	}
	return t + "; damaged plants gather nitrate"
}

// says is what the tables say of a reason's result.
func says(r *hazard.Reason) hazard.NitrateSays {
	if r.Nitrate == nil {
		return hazard.NitrateSays{}
	}
	return *r.Nitrate
}

// withWater says what the tested water adds to the feed's figure.
func withWater(_ *speaker, r *hazard.Reason) string {
	if n := says(r); n.Water > 0 {
		return ", with its water " + ppm(n.Value+n.Water) + " ppm NO3-N"
	}
	return ""
}

// nitrateTable says what the table that decided makes of the value.
func (s *speaker) nitrateTable(r *hazard.Reason, first string) string {
	n := says(r)
	if n.Table == "" && n.Value == 0 {
		return "The nitrate result" + ofDate(r.On) + " cannot be judged: it is as fed, and its dry matter was not said"
	}
	t := first + s.fill("{nitrate}{sampled}{water}", r) + "; " + or(s.tableName(n), "the table that decided")
	t += or(after(" says: ", clause(n.Words)), " decides")
	switch {
	case n.MaxShare <= 0:
		t += "; so none for this class"
	case n.MaxShare < 100:
		t += "; so at most " + number(n.MaxShare, 1) + " % of the ration's dry matter for this class"
		if r.Line == hazard.LineNitrateTable {
			t += ", which grazing cannot measure out"
		}
	}
	return t
}

// tableName is the publisher and year of the table that decided.
func (s *speaker) tableName(n hazard.NitrateSays) string {
	t := s.table(n)
	if t == nil {
		return Clean(n.Table)
	}
	name := or(Clean(t.Source.Publisher), Clean(t.ID))
	if t.Source.Year > 0 {
		name += " (" + exact(float64(t.Source.Year)) + ")"
	}
	return name
}

func (s *speaker) table(n hazard.NitrateSays) *hazard.NitrateTableData {
	for _, want := range []string{n.Source, n.Table} {
		for i := range s.book.Tables {
			if t := &s.book.Tables[i]; want != "" && (t.ID == want || t.Source.ID == want) {
				return t
			}
		}
	}
	return nil
}

// nitrateFigure prints ppm NO3-N with the same number as NO3 beside it: the
// two are mistaken for each other by a factor of 4.43.
func nitrateFigure(n float64) string {
	return ppm(n) + " ppm NO3-N (" + ppm(hazard.ConvertNitrate(n, "NO3-N", "NO3")) + " ppm NO3) on dry matter"
}

// graveWords are why an untested lot is held for the classes judged as
// pregnant cattle.
var graveWords = [...]string{
	hazard.UntestedBought:   "it was bought, so its origin is unknown",
	hazard.UntestedPlants:   "it holds a plant that is not in the species table, or none was named",
	hazard.UntestedBrassica: "it holds a brassica",
	hazard.UntestedOrigin:   "its origin is unknown",
	hazard.UntestedStress:   "the stand it was cut from had ",
	hazard.UntestedResult:   "a result of the stand it was cut from speaks against it",
}

func grave(_ *speaker, r *hazard.Reason) string {
	switch r.Untested {
	case hazard.UntestedPlain:
		return ""
	case hazard.UntestedStress:
		return "; " + graveWords[r.Untested] + stress(r.Stress)
	}
	return "; " + graveWords[r.Untested]
}

func (s *speaker) waterCause(r *hazard.Reason) string {
	return "The stock water (" + Clean(r.Water) + ") holds " + number(r.Value, 1) + " mg NO3-N per litre (tested " +
		r.On.Words() +
		"), at or above " + number(r.Limit, 1) + "; it adds to the nitrate of the feed"
}

func (s *speaker) incident(r *hazard.Reason, t string) string {
	t += when(r.On)
	_, b, ok := body[*fields.Incident](s, r)
	if !ok {
		return t
	}
	var n []string
	if b.Down != nil {
		n = append(n, number(*b.Down, 0)+" down")
	}
	if b.Dead != nil {
		n = append(n, number(*b.Dead, 0)+" dead")
	}
	t += after(", ", join(n))
	if w := clause(b.What); w != "" {
		t += " (" + w + ")"
	}
	return t
}

// vetName is who said a veterinarian's word.
func vetName(v *hazard.VetWord) string { return or(Clean(v.Who), "A veterinarian") }

func (s *speaker) mayGraze(r *hazard.Reason) string {
	t := vetName(r.Vet) + " says it may be used" + dated(" through and including ", r.Vet.Until, "") +
		becauseWords(r.Vet.Because)
	if r.Vet.Over {
		return t + "; but bad news since then has ended what that word did to earlier holds"
	}
	return t + "; a veterinarian's word alone never makes it clear"
}

// clause is a person's words without their own full stop.
func clause(s string) string { return strings.TrimRight(Clean(s), ". ") }
