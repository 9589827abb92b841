package board

import (
	"fmt"
	"io"
	"math"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// ReadyDays is how long a warm-season annual needs from sowing until it can be
// grazed, about (common practice, no source).
const ReadyDays = 60

// FrostOdds are the odds of a first frost of one kind before the stand is ready.
type FrostOdds struct {
	What     string      // "0 °C", ...
	Seasons  int         // with a known first frost
	ByReady  float64     // chance that it comes by the ready day
	Early    fields.Date // one year in ten it has come by then; NoDate if the record does not say
	Middle   fields.Date // one year in two
	Station  string
	Unknown  string // why there are no odds, "" if there are
	OffsetC  float64
	Adjusted bool // the paddock's offset was taken off
}

// SowPlan is what is worth knowing before a mix is sown.
type SowPlan struct {
	Paddock string // its name, "" if none was named
	Sow     fields.Date
	Ready   fields.Date
	Days    int
	Own     bool // the days were given, not taken from common practice
	Species []SowSpecies
	MinCM   float64 // of the whole mix
	MinBy   string
	Odds    []FrostOdds
	Escapes []Escape
	a       *hazard.Assessment
	s       *speaker
}

// SowSpecies is one species of the mix. Its texts are clean.
type SowSpecies struct {
	Name    string
	Unknown bool
	Lines   []string
	Sources []string
}

// Escape is where a herd could go if the new stand is held.
type Escape struct {
	Herd  string
	Clear []string // paddocks clear for all its classes today
	Safe  []string // paddocks without any species that makes prussic acid
}

// NewSowPlan works the plan out for species as typed. paddock is the id of the
// land to be sown, "" if none is named; it is no escape from itself. days is
// how long the mix needs until it can be grazed, 0 for ReadyDays.
func NewSowPlan(a *hazard.Assessment, paddock string, species []string, sow fields.Date, days int) *SowPlan {
	p := &SowPlan{Sow: sow, Days: days, Own: days > 0, a: a, s: newSpeaker(a, UnitsOf(a.History))}
	if days == 0 {
		p.Days = ReadyDays
	}
	p.Ready = sow.Add(p.Days)
	if paddock != "" {
		p.Paddock = paddockName(a.History, paddock)
	}
	seen := map[string]bool{}
	for _, typed := range species {
		row := a.Book.Find(typed)
		key := typed
		if row != nil {
			key = row.ID
		}
		if seen[key] {
			continue
		}
		seen[key] = true
		p.Species = append(p.Species, p.one(typed, row))
		if row != nil && row.Height >= 0 && a.Book.V[row.Height] > p.MinCM {
			p.MinCM, p.MinBy = a.Book.V[row.Height], speciesName(a.Book, row.ID)
		}
	}
	p.escapes(paddock)
	return p
}

// prussicLines say of each habit when such a plant makes prussic acid; %s is
// the published level.
var prussicLines = map[hazard.Habit]string{
	hazard.HabitSorghum:   "prussic acid%s: after frost, drought, hail or trampling, in new shoots and in short growth",
	hazard.HabitPerennial: "prussic acid%s: as sudangrass, and it comes again from the root each spring",
	hazard.HabitAlways:    "prussic acid at any time%s: no height makes it safe",
	hazard.HabitFlax:      "prussic acid%s: no grazing while it is green",
	hazard.HabitMinor:     "prussic acid: little or none%s",
	hazard.HabitNone:      "prussic acid: none%s",
}

// nitrateLines say of each habit how such a plant gathers nitrate.
var nitrateLines = map[hazard.NitrateHabit]string{
	hazard.NitrateYes:      "nitrate: gathers it; sample before grazing and test every lot",
	hazard.NitrateBrassica: "nitrate: a brassica, gathers much; sample before grazing and test every lot",
	hazard.NitrateUnknown:  "nitrate: nobody rated it; treated as one that gathers it",
	hazard.NitrateLow:      "nitrate: low without nitrogen",
	hazard.NitrateNo:       "nitrate: not known to gather it",
}

func (p *SowPlan) one(typed string, row *hazard.Species) SowSpecies {
	if row == nil {
		return SowSpecies{Name: Clean(typed), Unknown: true, Lines: []string{
			"Not in the species table: treated as a dangerous unknown plant, never better than CAUTION, whatever grows with it.",
		}}
	}
	s := SowSpecies{Name: speciesName(p.a.Book, row.ID)}
	line, rated := prussicLines[row.Habit]
	switch {
	case row.Habit == hazard.HabitNone && row.NotListed:
		line = "prussic acid: no source read speaks of it; caution until a walk has checked the weeds"
	case !rated:
		line = "prussic acid: nobody rated it; treated as unknown, never better than CAUTION"
	default:
		line = fmt.Sprintf(line, provided(row.Level != "", " (published: "+Clean(row.Level)+")"))
	}
	lines := []string{line}
	if row.Height >= 0 {
		lines = append(lines, "minimum height: "+p.s.u.atLeast(p.a.Book.V[row.Height])+" at the shortest before any stock go in")
	}
	lines = append(lines,
		provided(row.GreenCap, "cannot be grazed on a CLEAR while it is green: ask first, whatever its height"),
		nitrateLines[row.Nitrate],
		provided(row.HorsesOff, "horses: never, neither green nor as hay"),
	)
	if row.SurvivesC != nil {
		lines = append(lines, "lives through frosts down to "+p.s.u.temp(*row.SurvivesC)+": the first frosts do not end the stand")
	}
	for _, l := range lines {
		s.Lines = append(s.Lines, sentence(l))
	}
	for _, id := range row.Sources {
		if src, ok := rules.SourceOf(id); ok {
			src.Says = "" // that was said of one rule; the lines above put it in our words
			s.Sources = append(s.Sources, SourceLine(&src))
		}
	}
	return s
}

func (p *SowPlan) escapes(own string) {
	for _, g := range p.a.History.Herds {
		if g.Head != nil && *g.Head == 0 {
			continue
		}
		classes := herdClasses(g)
		if len(classes) == 0 {
			classes = hazard.Classes
		}
		e := Escape{Herd: Clean(g.HerdFacts.Herd)}
		for i := range p.a.Paddocks {
			x := &p.a.Paddocks[i]
			if x.Paddock.ID == own {
				continue
			}
			v := worstOf(func(c hazard.Class) *hazard.Verdict { return x.Verdict(hazard.Graze, c) }, classes)
			if v != nil && v.Flag == hazard.Clear {
				e.Clear = append(e.Clear, p.s.name(x))
			}
			if !x.Stand.HasP && !x.Stand.Unlisted {
				e.Safe = append(e.Safe, p.s.name(x))
			}
		}
		p.Escapes = append(p.Escapes, e)
	}
}

// Text writes the plan as plain text of at most width cells a line.
func (p *SowPlan) Text(w io.Writer, width int) error {
	t := newText(w, width)
	names := make([]string, len(p.Species))
	for i := range p.Species {
		names[i] = p.Species[i].Name
	}
	t.para("", "", provided(p.Paddock != "", p.Paddock+": ")+join(names)+", sown "+p.Sow.Words()+".")
	how := "about " + plural(p.Days, "day") + " for warm-season annuals: common practice, no source"
	if p.Own {
		how = plural(p.Days, "day") + ", as you say"
	}
	t.para("", "", "Ready to graze about "+p.Ready.Words()+" ("+how+"); the measured height decides, not the date.")
	for i := range p.Species {
		t.title(p.Species[i].Name)
		t.items(p.Species[i].Lines...)
	}
	t.blank()
	if len(p.Species) > 1 {
		t.para("", "", "In a mix the most dangerous species decides; its share of the seed does not matter, since stock pick."+
			provided(p.MinCM > 0, " Minimum height of the mix: "+p.s.u.atLeast(p.MinCM)+" ("+p.MinBy+")."))
		t.blank()
	}
	for i := range p.Odds {
		t.para("", "  ", p.odds(&p.Odds[i]))
	}
	t.blank()
	head := "Where stock could go on the morning it is held:"
	if len(p.Escapes) == 0 {
		head = "No herd is set up, so nothing is said of where stock could go when it is held."
	}
	t.para("", "", head)
	for i := range p.Escapes {
		t.items(p.Escapes[i].words())
	}
	t.blank()
	head = "Sources of what is said of the species:"
	cited := map[string]bool{}
	for i := range p.Species {
		for _, line := range p.Species[i].Sources {
			if !cited[line] {
				t.para("", "", head)
				t.whole("  ", "    ", line)
				cited[line], head = true, ""
			}
		}
	}
	return t.flush()
}

func (p *SowPlan) odds(o *FrostOdds) string {
	if o.Unknown != "" {
		return "Odds of a night at or below " + o.What + " before that: not known: " + sentence(Clean(o.Unknown))
	}
	at := Clean(o.Station) + provided(o.Adjusted, ", "+fields.Difference.Both(o.OffsetC)+" colder here")
	text := fmt.Sprintf("Odds of a night at or below %s by then: %s (%s, %s).", o.What, percent(o.ByReady), plural(o.Seasons, "season"), at)
	if o.Early != fields.NoDate && o.Middle != fields.NoDate {
		text += " It has come by " + o.Early.Short() + " one year in ten, by " + o.Middle.Short() + " one in two."
	}
	return text
}

func (e *Escape) words() string {
	clear, safe := strings.Join(e.Clear, ", "), strings.Join(e.Safe, ", ")
	switch {
	case safe == "" && clear == "":
		return e.Herd + ": NOWHERE. No other paddock is CLEAR today, and none is free of prussic-acid species. Keep one out of the mix, or feed in a yard."
	case safe == "":
		return e.Herd + ": CLEAR today: " + clear + "; but each holds a prussic-acid species, and the same frost would hold it too."
	case clear == "":
		return e.Herd + ": no other paddock is CLEAR today; without prussic-acid species: " + safe + "."
	}
	return e.Herd + ": CLEAR today: " + clear + "; without prussic-acid species: " + safe + "."
}

// percent rounds away from certainty: no odds read 0 or 100.
func percent(v float64) string {
	switch n := math.Round(v * 100); {
	case n < 1:
		return "below 1 %"
	case n > 99:
		return "above 99 %"
	default:
		return number(n, 0) + " %"
	}
}

// PrussicWords says in a few words when a plant of the species table makes
// prussic acid.
func PrussicWords(s *hazard.Species) string {
	switch s.Habit {
	case hazard.HabitSorghum, hazard.HabitPerennial:
		return "after frost, stress; when short"
	case hazard.HabitAlways:
		return "at any time"
	case hazard.HabitFlax:
		return "while green"
	case hazard.HabitMinor:
		return "little or none"
	case hazard.HabitNone:
		if s.NotListed {
			return "no source speaks of it"
		}
		return "none"
	}
	return "nobody rated it"
}

// NitrateHabitWords says in a few words how a plant of the species table gathers
// nitrate, and whether light frosts that leave it whole count against it.
func NitrateHabitWords(s *hazard.Species) string {
	t := map[hazard.NitrateHabit]string{
		hazard.NitrateYes:      "gathers it",
		hazard.NitrateBrassica: "gathers it, as brassicas do",
		hazard.NitrateLow:      "gathers little, unless fertilized heavily",
		hazard.NitrateNo:       "gathers none to speak of",
		hazard.NitrateUnknown:  "gathers it; nobody rated it",
	}[s.Nitrate]
	return t + provided(s.Hardy, "; hardy: a light frost that leaves it undamaged does not count")
}
