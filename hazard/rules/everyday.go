package rules

import (
	"fmt"
	"slices"
	"strings"

	"rimegate/hazard"
)

// whichNotSaid ends the name of a row that fits several plants.
const whichNotSaid = " (which one not said)"

// everydayShape is an everyday name that fits several plants.
type everydayShape struct {
	ID    string `need:""`
	Name  string `need:""` // without the words that it fits several
	Names []string
	Fits  []string // ids of species
}

// readEveryday makes one row of an everyday name that fits several plants.
func (r *reader) readEveryday(s spot, f *everydayShape) {
	if f.ID == "" || !r.once(s, "species", f.ID) {
		return
	}
	var fits []*hazard.Species
	for i, id := range f.Fits {
		sp, at := r.book.Species[id], s.at("fits", i)
		at.refuse(sp == nil, "", "there is no species %q", id)
		at.refuse(sp != nil && sp.Fits != nil, "", "%q is an everyday name itself; name the plants", id)
		at.refuse(sp != nil && slices.Contains(fits, sp), "", "%q stands twice among the plants that %s fits", id, f.ID)
		if sp != nil && sp.Fits == nil && !slices.Contains(fits, sp) {
			fits = append(fits, sp)
		}
	}
	s.refuse(len(f.Fits) < 2, "fits", "%s fits fewer than two plants: give the name to the plant itself", f.ID)
	if len(fits) < 2 || len(fits) < len(f.Fits) {
		return
	}
	for _, sp := range fits {
		habit := sp.Habit
		if !slices.Contains(apart, habit) {
			habit = fits[0].Habit
		}
		if sp.Habit != fits[0].Habit && slices.Contains(apart, habit) {
			s.at("fits").add("%s fits plants of the habit %s and others: leave the name out, so that it stays unknown", f.ID, habit)
			return
		}
		// Perennial sorghums and the like have a shorter life of the walk.
		if sp.Perennial != fits[0].Perennial && sp.Habit.Cyanogenic() {
			s.at("fits").add("%s fits perennials and annuals that make prussic acid: leave the name out, so that it stays unknown", f.ID)
			return
		}
	}
	row := worstOf(fits, &r.book.V)
	row.ID, row.Name, row.Names = f.ID, f.Name+whichNotSaid, f.Names
	r.book.Species[f.ID] = row
	r.names(s, f.ID, append([]string{f.ID, row.Name, f.Name}, f.Names...))
}

// Orders of habits, the most dangerous first. Unknown, always and flax never
// stand beside another habit in one row.
var (
	// apart are the habits with lines of their own that no other habit covers:
	// a name of such a plant and others must stay unknown, which is at least as
	// strict in all of them.
	apart = []hazard.Habit{hazard.HabitUnknown, hazard.HabitAlways, hazard.HabitFlax}

	worstHabits  = []hazard.Habit{hazard.HabitUnknown, hazard.HabitAlways, hazard.HabitFlax, hazard.HabitSorghum, hazard.HabitPerennial, hazard.HabitMinor, hazard.HabitNone}
	worstNitrate = []hazard.NitrateHabit{hazard.NitrateBrassica, hazard.NitrateYes, hazard.NitrateUnknown, hazard.NitrateLow, hazard.NitrateNo}
)

// worstOf is the row of a name that fits all of these plants: of each habit the
// worst among them, of each mark that spares something only what all have.
// Brassica is the worst nitrate habit: it counts as yes and holds lots besides.
func worstOf(fits []*hazard.Species, v *[hazard.NumRules]float64) *hazard.Species {
	row := &hazard.Species{Height: -1, Habit: fits[0].Habit, Nitrate: fits[0].Nitrate, Perennial: true, CoolSeason: true, Hardy: true, Legume: true}
	var names, scientific []string
	same := true
	survives := fits[0].SurvivesC
	for _, sp := range fits {
		row.Fits = append(row.Fits, sp.ID)
		short, _, _ := strings.Cut(sp.Name, " (")
		names = append(names, short)
		if !slices.Contains(scientific, sp.Scientific) {
			scientific = append(scientific, sp.Scientific)
		}
		same = same && sp.Level == fits[0].Level
		for _, id := range sp.Sources {
			if !slices.Contains(row.Sources, id) {
				row.Sources = append(row.Sources, id)
			}
		}
		if slices.Index(worstHabits, sp.Habit) < slices.Index(worstHabits, row.Habit) {
			row.Habit = sp.Habit
		}
		if slices.Index(worstNitrate, sp.Nitrate) < slices.Index(worstNitrate, row.Nitrate) {
			row.Nitrate = sp.Nitrate
		}
		row.GreenCap = row.GreenCap || sp.GreenCap
		row.Sorghum = row.Sorghum || sp.Sorghum
		row.HorsesOff = row.HorsesOff || sp.HorsesOff
		row.NotListed = row.NotListed || sp.NotListed
		row.PerennialGrass = row.PerennialGrass || sp.PerennialGrass
		row.Perennial = row.Perennial && sp.Perennial
		row.CoolSeason = row.CoolSeason && sp.CoolSeason
		row.Bloat = row.Bloat || sp.Bloat
		row.Hardy = row.Hardy && sp.Hardy
		row.Legume = row.Legume && sp.Legume
		if survives != nil && (sp.SurvivesC == nil || *sp.SurvivesC > *survives) {
			survives = sp.SurvivesC
		}
	}
	row.Height = tallest(fits, v)
	row.SurvivesC = survives
	row.Scientific = strings.Join(scientific, "; ")
	row.Level = fits[0].Level
	if !same {
		// What is published of the plant that decides.
		i := slices.IndexFunc(fits, func(sp *hazard.Species) bool { return sp.Habit == row.Habit && sp.Height == row.Height })
		row.Level = names[i] + ": " + fits[i].Level
	}
	row.Notes = fmt.Sprintf("This name fits %s. Of each rule it takes the strictest among them: say which one it is.", list(names, " and "))
	return row
}

// tallest is the height rule of these plants that asks for the most, -1 if none
// has one.
func tallest(fits []*hazard.Species, v *[hazard.NumRules]float64) hazard.RuleKey {
	key := hazard.RuleKey(-1)
	for _, sp := range fits {
		if sp.Height >= 0 && (key < 0 || v[sp.Height] > v[key]) {
			key = sp.Height
		}
	}
	return key
}
