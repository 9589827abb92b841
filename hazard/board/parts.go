package board

import (
	"cmp"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// parts are what the templates of the lines are filled with; "" where a reason has
// nothing for one.
var parts = map[string]func(*speaker, *hazard.Reason) string{
	"day": func(s *speaker, r *hazard.Reason) string { return s.monthDay(r.On) },
	"read it": func(s *speaker, r *hazard.Reason) string {
		if len(unreadOf(r)) == 0 {
			return s.t("walk it")
		}
		return provided(s.lastNight(r), s.t("read the thermometer"))
	},
	"look up": func(s *speaker, r *hazard.Reason) string {
		unread := unreadOf(r)
		return provided(len(unread) > 0, "look up the low for "+s.nights(unread)+" and log it, or ")
	},
	"lows":   func(s *speaker, r *hazard.Reason) string { return provided(len(r.Nights) > 0, s.t("log the lows")) },
	"nights": func(s *speaker, r *hazard.Reason) string { return s.nights(r.Nights) },
	"several nights": func(s *speaker, r *hazard.Reason) string {
		return provided(len(r.Nights) > 1, s.nights(r.Nights))
	},
	"ago":   (*speaker).ago,
	"days":  func(_ *speaker, r *hazard.Reason) string { return plural(r.Days, "day") },
	"until": func(s *speaker, r *hazard.Reason) string { return "wait" + s.dated(" until ", next(r.Through), "") },

	// What it speaks of.
	"plants":      (*speaker).plants,
	"some plants": func(s *speaker, r *hazard.Reason) string { return or(s.plants(r), s.t("a plant here")) },
	"minor": func(s *speaker, r *hazard.Reason) string {
		return provided(slices.ContainsFunc(r.Plants, func(id string) bool {
			row := speciesRow(s.book, id)
			return row != nil && row.Habit == hazard.HabitMinor
		}), "more than a little ")
	},
	"trace":    func(s *speaker, r *hazard.Reason) string { return s.species(r.Trace...) },
	"vet":      func(s *speaker, r *hazard.Reason) string { return s.vetName(r.Vet) },
	"because":  func(_ *speaker, r *hazard.Reason) string { return clause(r.Vet.Because) },
	"vet but":  vetBut,
	"lot":      func(_ *speaker, r *hazard.Reason) string { return Clean(r.Lot) },
	"toll":     toll,
	"what":     func(s *speaker, r *hazard.Reason) string { return clause(incidentOf(s, r).What) },
	"water id": func(_ *speaker, r *hazard.Reason) string { return Clean(r.Water) },

	// Figures.
	"below":   (*speaker).below,
	"height":  func(s *speaker, r *hazard.Reason) string { return s.u.height(r.Value, r.Limit) },
	"limit":   func(s *speaker, r *hazard.Reason) string { return s.u.atLeast(r.Limit) },
	"minimum": (*speaker).minimum,
	"low":     func(s *speaker, r *hazard.Reason) string { return s.u.lowIn(r.Value, r.Limit) },
	"ppm":     func(_ *speaker, r *hazard.Reason) string { return ppm(r.Value) },
	"HCN": func(_ *speaker, r *hazard.Reason) string {
		v, _ := ppmAgainst(r.Value, r.Limit)
		return "HCN " + v + " ppm " + [2]string{"on dry matter", "as is"}[asOne(r.Of == hazard.HCNAsIs)]
	},
	"HCN limit": func(_ *speaker, r *hazard.Reason) string {
		_, l := ppmAgainst(r.Value, r.Limit)
		return l
	},
	"mg":       func(_ *speaker, r *hazard.Reason) string { return number(r.Value, 1) },
	"mg limit": func(_ *speaker, r *hazard.Reason) string { return number(r.Limit, 1) },
	"taken": func(s *speaker, _ *hazard.Reason) string {
		left := "20 cm" // hazard.GrazedOffCM, as people say it
		if s.u == US {
			left = "8 in"
		}
		return "a cut, or stock taken out that left " + left + " or less,"
	},

	// The frost clock and the nights.
	"clock": func(s *speaker, r *hazard.Reason) string { return s.clock(r, "Froze") },
	"swath clock": func(s *speaker, r *hazard.Reason) string {
		return s.clock(r, "The swath, or the stand it was cut from, froze")
	},
	"clock act": (*speaker).clockAct,
	"frost":     (*speaker).frostShort,
	"possible":  (*speaker).possible,
	"unread":    (*speaker).unreadShort,
	"last night": func(s *speaker, r *hazard.Reason) string {
		return provided(s.lastNight(r), "Last night ("+s.on.Short()+") not read yet")
	},
	"dark": func(s *speaker, r *hazard.Reason) string { return provided(s.dark(r.On), "it is dark") },
	"out": func(s *speaker, r *hazard.Reason) string {
		if s.dark(r.On) {
			return "out now"
		}
		return "out before dark " + s.date(r.On-1)
	},

	// Nitrate and lots.
	"sample": func(s *speaker, _ *hazard.Reason) string {
		v := &s.book.V
		return "sample it for nitrate (" + number(v[hazard.NitrateSampleStems], 0) + " stems from " +
			number(v[hazard.NitrateSampleSpots], 0) + " spots, cut at " +
			s.u.cutAt(v[hazard.NitrateSampleCutCM]) + " or lower) and send it to a lab"
	},
	"core": func(s *speaker, r *hazard.Reason) string {
		n := number(r.Bales, 0) + " bales"
		switch {
		case r.Pile:
			return "take " + number(s.book.V[hazard.NitrateSampleBales], 0) + " cores all over the pile and send them to a lab"
		case r.Bales == 0: // nobody said how many there are
			n = number(s.book.V[hazard.NitrateSampleBales], 0) + " bales or " +
				number(s.book.V[hazard.NitrateSampleBalesPct], 0) + " % of the lot, whichever is more,"
		}
		return "core " + n + " and send the cores to a lab"
	},
	"bought": func(s *speaker, r *hazard.Reason) string {
		return provided(r.Damp, "Bought"+s.dated(" ", r.On, "")+", and nobody said how dry it is: it waits as silage does")
	},
	"not said dry": func(s *speaker, r *hazard.Reason) string { return provided(r.Damp, s.t("bought, how dry not said")) },
	"say dry": func(_ *speaker, r *hazard.Reason) string {
		return provided(r.Damp, "; if it is dry hay, log its dry matter (`rimegate lot set --dm 86%`)")
	},
	"bales":     func(_ *speaker, r *hazard.Reason) string { return provided(r.Bales != 0, number(r.Bales, 0)) },
	"nitrate":   func(_ *speaker, r *hazard.Reason) string { return nitrateFigure(says(r).Value) },
	"no3n":      func(_ *speaker, r *hazard.Reason) string { return ppm(says(r).Value) },
	"composite": func(_ *speaker, r *hazard.Reason) string { return nitrateFigure(says(r).Composite) },
	"spread":    func(s *speaker, _ *hazard.Reason) string { return number(s.book.V[hazard.NitrateBaleSpread], 2) },
	"leave": func(s *speaker, _ *hazard.Reason) string {
		return s.u.atLeast(s.book.V[hazard.NitrateCutLeave])
	},
	"water": func(_ *speaker, r *hazard.Reason) string { // what the tested water adds to the feed's figure
		n := says(r)
		return provided(n.Water > 0, ppm(n.Value+n.Water))
	},
	"unjudged": func(s *speaker, r *hazard.Reason) string {
		n := says(r)
		return provided(n.Table == "" && n.Value == 0, "The nitrate result"+s.dated(" of ", r.On, "")+
			" cannot be judged: it is as fed, and its dry matter is not logged")
	},
	"nitrate table": (*speaker).nitrateTable,
	"stress":        func(s *speaker, r *hazard.Reason) string { return s.stress(r.Stress) },
	"stress short": func(s *speaker, r *hazard.Reason) string {
		return s.t(stressWords[r.Stress.Kind]) + " " + s.monthDay(r.Stress.On)
	},
	"stress wait": stressWait,
	"rain":        func(_ *speaker, r *hazard.Reason) string { return provided(r.Stress.Ends == hazard.NoEnd, rainAct) },
	"grave":       grave,
	"suspect":     func(_ *speaker, r *hazard.Reason) string { return suspectWords[r.Why.Line] },
	"made clear": func(_ *speaker, r *hazard.Reason) string {
		if w := suspectWords[r.Why.Line]; w != "" {
			return "Tall growth that met nothing but frost (" + w + ")"
		}
		return "Nothing made this lot suspect for prussic acid"
	},
}

// days are the parts that are a day.
var days = map[string]func(*speaker, *hazard.Reason) fields.Date{
	"on":           func(_ *speaker, r *hazard.Reason) fields.Date { return r.On },
	"next day":     func(_ *speaker, r *hazard.Reason) fields.Date { return next(r.On) },
	"since":        func(_ *speaker, r *hazard.Reason) fields.Date { return cmp.Or(r.Began, r.On) },
	"through":      func(_ *speaker, r *hazard.Reason) fields.Date { return r.Through },
	"proof":        func(_ *speaker, r *hazard.Reason) fields.Date { return r.Proof },
	"walk day":     func(_ *speaker, r *hazard.Reason) fields.Date { return r.WalkOn },
	"ends":         func(_ *speaker, r *hazard.Reason) fields.Date { return r.Ends },
	"next end":     func(_ *speaker, r *hazard.Reason) fields.Date { return next(r.Ends) },
	"dosed":        func(_ *speaker, r *hazard.Reason) fields.Date { return r.Dosed },
	"stress ends":  func(_ *speaker, r *hazard.Reason) fields.Date { return r.Stress.Ends },
	"until stress": func(_ *speaker, r *hazard.Reason) fields.Date { return next(r.Stress.Ends) },
	"suspect day":  func(_ *speaker, r *hazard.Reason) fields.Date { return r.Why.On },
	"vet until":    func(_ *speaker, r *hazard.Reason) fields.Date { return r.Vet.Until },
	"peak " +
		"from": func(s *speaker, r *hazard.Reason) fields.Date { return r.On.Add(s.book.Days(hazard.NitratePeakFrom)) },
	"peak " +
		"to": func(s *speaker, r *hazard.Reason) fields.Date { return r.On.Add(s.book.Days(hazard.NitratePeakTo)) },
	"wait end": func(_ *speaker, r *hazard.Reason) fields.Date { return r.On.Add(r.Days) },
}

// fill puts a reason's parts into a template.
func (s *speaker) fill(t string, r *hazard.Reason) string {
	return fillWith(t, func(name string) string {
		if day := days[name]; day != nil {
			return s.date(day(s, r))
		}
		return parts[name](s, r)
	})
}

// next is the day after, none where there is none.
func next(d fields.Date) fields.Date {
	if d == fields.NoDate || d == hazard.NoEnd {
		return fields.NoDate
	}
	return d + 1
}

// dated is a day between two words, nothing where there is none.
func (s *speaker) dated(before string, d fields.Date, behind string) string {
	if d == fields.NoDate || d == hazard.NoEnd {
		return ""
	}
	return before + s.date(d) + behind
}

// when is " on Fri 11 Sep", or nothing where no date is known.
func (s *speaker) when(d fields.Date) string { return s.dated(" on ", d, "") }

// ago is "12 days ago" as seen from the day asked, "" when that is unknown.
func (s *speaker) ago(r *hazard.Reason) string {
	switch {
	case r.On == fields.NoDate || r.On > s.on:
		return ""
	case r.On == s.on:
		return "today"
	}
	return plural(s.on.Sub(r.On), "day") + " ago"
}

// below is "40 cm, under the minimum of 61 cm".
func (s *speaker) below(r *hazard.Reason) string {
	t := s.u.height(r.Value, r.Limit) + ", under the minimum of " + s.u.atLeast(r.Limit)
	if r.Species != "" {
		t += " for " + s.species(r.Species)
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
		return s.species(r.Species)
	}
	return s.species(r.Plants...)
}

// clock puts the frost clock into words: the frost, the nights nobody read and
// what they count as; "" where each was read.
func (s *speaker) clock(r *hazard.Reason, froze string) string {
	n := len(r.Nights)
	if n == 0 {
		return ""
	}
	t := "Nobody read the thermometer for " + s.nights(r.Nights) + ", so count it as frost"
	if frost := lastFrost(r); frost != fields.NoDate {
		t = froze + " " + s.date(frost) + "; not read since, so counted as frost: " + s.nights(r.Nights)
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
	case n > 0 && frost == fields.NoDate:
		return s.unreadShort(r)
	case frost == fields.NoDate:
		frost = r.On
	}
	t := s.say("frost {day}", "day", s.monthDay(frost))
	if n > 0 {
		t += ", " + s.unreadShort(r)
	}
	return t
}

func (s *speaker) possible(r *hazard.Reason) string {
	ds := r.Nights
	if len(ds) == 0 {
		ds = []fields.Date{r.On}
	}
	t := "May have frozen at plant height, " + s.nights(ds)
	if !r.Measured {
		return t + ": no low was logged, only that the thermometer stayed above freezing"
	}
	low := "low "
	if len(ds) > 1 {
		low = "lows down to "
	}
	return t + ": " + low + s.u.lowIn(r.Value, r.Limit) + ", at or below " + s.u.line(r.Limit)
}

// unreadOf are the nights of a reason that nobody read.
func unreadOf(r *hazard.Reason) []fields.Date {
	return slices.DeleteFunc(slices.Clone(r.Nights), func(d fields.Date) bool { return slices.Contains(r.Maybe, d) })
}

// lastNight reports that of the unread nights only the last one is missing.
func (s *speaker) lastNight(r *hazard.Reason) bool {
	return slices.Equal(unreadOf(r), []fields.Date{s.on})
}

func (s *speaker) unreadShort(r *hazard.Reason) string {
	nights := unreadOf(r)
	switch n := len(nights); {
	case n == 0:
		return s.say("may have frozen {day}", "day", s.monthDay(r.On))
	case s.lastNight(r):
		return s.t("last night not read")
	case n == 1:
		return s.say("night of {day} not read", "day", s.monthDay(nights[0]))
	default:
		return s.say("{n} nights not read", "n", number(float64(n), 0))
	}
}

// suspectWords are what made a lot suspect.
var suspectWords = map[hazard.Line]string{
	hazard.LineUnlisted:     "nobody knows what it was cut from",
	hazard.LineUnknown:      "it holds an unknown plant, or none was named",
	hazard.LineFlax:         "flax is always suspect",
	hazard.LineClock:        "cut inside a frost wait, after a frost or a night nobody read",
	hazard.LinePossible:     "it may have frozen",
	hazard.LineUnreadNights: "a night nobody read",
	hazard.LineIncident:     "animals fell sick on its stand",
	hazard.LineDrought:      "its stand was in a drought",
	hazard.LineRainWait:     "cut inside the wait after rain ended a drought",
	hazard.LineHail:         "its stand was hailed on",
	hazard.LineTrampled:     "its stand was trampled",
	hazard.LineSprayed:      "its stand was sprayed",
	hazard.LineWilted:       "its stand was found wilted",
	hazard.LineShoots:       "its stand had short shoots",
	hazard.LineTooShort:     "its stand was below the minimum height",
}

var stressWords = [...]string{
	hazard.NoStress: "a stress", hazard.StressFrost: "frost", hazard.StressHail: "hail",
	hazard.StressTrampled: "trampling",
	hazard.StressSprayed:  "spray", hazard.StressDrought: "drought", hazard.StressRain: "the rain that ended a drought",
	hazard.StressNitrogen: "nitrogen spread",
}

// stress is "frost on Fri 11 Sep".
func (s *speaker) stress(x hazard.Stress) string { return stressWords[x.Kind] + s.when(x.On) }

// stressWait is until when the stress whose wait ends last counts, where no hold says so.
func stressWait(s *speaker, r *hazard.Reason) string {
	from, end := r.Stress.On, r.Stress.Ends
	switch {
	case end == hazard.NoEnd:
		return ", which is not over"
	case end == fields.NoDate || from == fields.NoDate || end < from:
		return ""
	}
	return provided(r.Flag != hazard.Hold, ", through "+s.date(end))
}

// says is what the tables say of a reason's result.
func says(r *hazard.Reason) hazard.NitrateSays {
	if r.Nitrate == nil {
		return hazard.NitrateSays{}
	}
	return *r.Nitrate
}

// nitrateTable says what the table that decided makes of the value.
func (s *speaker) nitrateTable(r *hazard.Reason) string {
	n := says(r)
	t := or(s.tableName(n), "the table that decided") + or(after(" says: ", clause(n.Words)), " decides")
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
	hazard.UntestedPlants:   "it holds an unknown plant, or none was named",
	hazard.UntestedBrassica: "it holds a brassica",
	hazard.UntestedOrigin:   "its origin is unknown",
	hazard.UntestedStress:   "the stand it was cut from had ",
	hazard.UntestedResult:   "a test of the stand it was cut from was high",
}

func grave(s *speaker, r *hazard.Reason) string {
	if r.Untested == hazard.UntestedStress {
		return graveWords[r.Untested] + s.stress(r.Stress)
	}
	return graveWords[r.Untested]
}

// incidentOf is the incident a reason stands on, an empty one where it is not known.
func incidentOf(s *speaker, r *hazard.Reason) *fields.Incident {
	for _, id := range r.Entries {
		if f, ok := s.entry(id); ok {
			if b, ok := f.Body.(*fields.Incident); ok {
				return b
			}
		}
	}
	return &fields.Incident{}
}

// toll is "3 down and 1 dead", of an incident.
func toll(s *speaker, r *hazard.Reason) string {
	b := incidentOf(s, r)
	var n []string
	if b.Down != nil {
		n = append(n, number(*b.Down, 0)+" down")
	}
	if b.Dead != nil {
		n = append(n, number(*b.Dead, 0)+" dead")
	}
	return join(n)
}

// vetName is who said a veterinarian's word.
func (s *speaker) vetName(v *hazard.VetWord) string { return or(Clean(v.Who), s.t("The vet")) }

func vetBut(_ *speaker, r *hazard.Reason) string {
	if r.Vet.Over {
		return "but bad news since then has ended that word"
	}
	return "a vet's word alone never makes it clear"
}

// clause is a person's words without their own full stop.
func clause(s string) string { return strings.TrimRight(Clean(s), ". ") }
