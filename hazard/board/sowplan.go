package board

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
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
	Ready fields.Date
	Odds  []FrostOdds

	*speaker
	paddock string
	typed   []string
	sow     fields.Date
	how     string // why it is ready then
}

// NewSowPlan works the plan out for species as typed. paddock is the id of the
// land to be sown, "" if none is named; it is no escape from itself. days is
// how long the mix needs until it can be grazed, 0 for ReadyDays.
func NewSowPlan(a *hazard.Assessment, paddock string, species []string, sow fields.Date, days int) *SowPlan {
	p := &SowPlan{speaker: newSpeaker(a, UnitsOf(a.History)), paddock: paddock, typed: species, sow: sow}
	p.how = plural(days, "day") + ", as you say"
	if days == 0 {
		days = ReadyDays
		p.how = "about " + plural(days, "day") + " for warm-season annuals: common practice, no source"
	}
	p.Ready = sow.Add(days)
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

// say is what the rulebook says of a plant, a sentence each.
func (p *SowPlan) say(row *hazard.Species) (out []string) {
	if row == nil {
		return []string{"Not in the species table: treated as a dangerous unknown plant, never better than CAUTION, whatever grows with it."}
	}
	line, rated := prussicLines[row.Habit]
	switch {
	case row.Habit == hazard.HabitNone && row.NotListed:
		line = "prussic acid: not known to make it; caution until a walk has checked the weeds"
	case !rated:
		line = "prussic acid: nobody rated it; treated as unknown, never better than CAUTION"
	default:
		line = fmt.Sprintf(line, provided(row.Level != "", " (published: "+Clean(row.Level)+")"))
	}
	lines := []string{line}
	if row.Height >= 0 {
		lines = append(lines, "minimum height: "+p.u.atLeast(p.book.V[row.Height])+" at the shortest before any stock go in")
	}
	lines = append(lines,
		provided(row.GreenCap, "cannot be grazed on a CLEAR while it is green: ask first, whatever its height"),
		nitrateLines[row.Nitrate],
		provided(row.HorsesOff, "horses: never, neither green nor as hay"),
	)
	if row.SurvivesC != nil {
		lines = append(lines, "lives through frosts down to "+p.u.temp(*row.SurvivesC)+": the first frosts do not end the stand")
	}
	for _, l := range lines {
		out = append(out, sentence(l))
	}
	return out
}

// escape says where a herd could go if the new stand is held: to paddocks clear
// for all its classes today, and to those without any species that makes
// prussic acid.
func (p *SowPlan) escape(g *fields.Herd) string {
	classes := herdClasses(g)
	if len(classes) == 0 {
		classes = hazard.Classes
	}
	var clears, safes []string
	for i := range p.a.Paddocks {
		x := &p.a.Paddocks[i]
		if x.Paddock.ID == p.paddock {
			continue
		}
		v := worstOf(func(c hazard.Class) *hazard.Verdict { return x.Verdict(hazard.Graze, c) }, classes)
		if v != nil && v.Flag == hazard.Clear {
			clears = append(clears, p.name(x))
		}
		if !x.Stand.HasP && !x.Stand.Unlisted {
			safes = append(safes, p.name(x))
		}
	}
	herd, clear, safe := Clean(g.HerdFacts.Herd), strings.Join(clears, ", "), strings.Join(safes, ", ")
	switch {
	case safe == "" && clear == "":
		return herd + ": NOWHERE. No other paddock is CLEAR today, and none is free of prussic-acid species. Keep one out of the mix, or feed in a yard."
	case safe == "":
		return herd + ": CLEAR today: " + clear + "; but each holds a prussic-acid species, and the same frost would hold it too."
	case clear == "":
		return herd + ": no other paddock is CLEAR today; without prussic-acid species: " + safe + "."
	}
	return herd + ": CLEAR today: " + clear + "; without prussic-acid species: " + safe + "."
}

// Text writes the plan as plain text of at most width cells a line.
func (p *SowPlan) Text(w io.Writer, width int) error { return Sheet(p.text).Text(w, width) }

func (p *SowPlan) text(t *text) {
	var rows []*hazard.Species
	var names, cited []string
	tallest, by := 0.0, ""
	for _, typed := range p.typed {
		row, name := p.book.Find(typed), Clean(typed)
		if row != nil {
			name = speciesName(p.book, row.ID)
		}
		if contains(names, name) {
			continue
		}
		rows, names = append(rows, row), append(names, name)
		if row == nil {
			continue
		}
		if row.Height >= 0 && p.book.V[row.Height] > tallest {
			tallest, by = p.book.V[row.Height], name
		}
		for _, id := range row.Sources {
			src, ok := rules.SourceOf(id)
			src.Says = "" // that was said of one rule; the lines put it in our words
			if line := SourceLine(&src); ok && !contains(cited, line) {
				cited = append(cited, line)
			}
		}
	}
	on := ""
	if p.paddock != "" {
		on = paddockName(p.h, p.paddock) + ": "
	}
	t.para("", "", on+join(names)+", sown "+p.sow.Words()+".")
	t.para("", "", "Ready to graze about "+p.date(p.Ready)+" ("+p.how+"); the measured height decides, not the date.")
	for i, row := range rows {
		t.title(names[i])
		t.items(p.say(row)...)
	}
	t.blank()
	if len(rows) > 1 {
		t.para("", "", "In a mix the most dangerous species decides; its share of the seed does not matter, since stock pick."+
			provided(by != "", " Minimum height of the mix: "+p.u.atLeast(tallest)+" ("+by+")."))
		t.blank()
	}
	for i := range p.Odds {
		t.para("", "  ", p.Odds[i].words())
	}
	t.blank()
	herds := slices.DeleteFunc(slices.Clone(p.h.Herds), func(g *fields.Herd) bool { return g.Head != nil && *g.Head == 0 })
	t.para("", "", provided(len(herds) > 0, "Where stock could go on the morning it is held:")+
		provided(len(herds) == 0, "No herd is set up, so nothing is said of where stock could go when it is held."))
	for _, g := range herds {
		t.items(p.escape(g))
	}
	if len(cited) > 0 {
		t.blank()
		t.para("", "", "Sources of what is said of the species:")
	}
	for _, line := range cited {
		t.whole("  ", "    ", line)
	}
}

func (o *FrostOdds) words() string {
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
	if s.Habit == hazard.HabitNone && s.NotListed {
		return "no source speaks of it"
	}
	return cmp.Or(map[hazard.Habit]string{
		hazard.HabitSorghum:   "after frost, stress; when short",
		hazard.HabitPerennial: "after frost, stress; when short",
		hazard.HabitAlways:    "at any time",
		hazard.HabitFlax:      "while green",
		hazard.HabitMinor:     "little or none",
		hazard.HabitNone:      "none",
	}[s.Habit], "nobody rated it")
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
