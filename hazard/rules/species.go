package rules

import (
	"slices"
	"sort"
	"strings"

	"rimegate/hazard"
)

// Levels of species without a rating.
const (
	LevelNotListed = "not listed by any source read"
	LevelUnrated   = "unrated"
	LevelMemory    = "from memory, no source read"
)

// never are words that stand for plants of different danger: no species may
// take them, so that they stay unknown and are treated with care.
var never = []string{
	"millet", "millets", "grass", "native grass", "native mix", "cover crop", "foxtail", "hay", "pasture",
	"weeds", "weed", "mix", "cocktail", "beans", "egyptian wheat",
}

func (r *reader) readSpecies(d *doc) {
	var f speciesFile
	if !d.decode(&f, &r.problems) {
		r.whole = false
		return
	}
	scientific := map[string][]string{}
	for i := range f.Species {
		s, path := &f.Species[i], at("species", i)
		sp := r.oneSpecies(d, path, s)
		if s.ID == "" || !r.once(d, dot(path, "id"), "species", s.ID) {
			if s.ID == "" {
				r.add(d, path, "id is missing")
			}
			continue
		}
		r.book.Species[s.ID] = sp
		r.species = append(r.species, sp)
		short, _, _ := strings.Cut(s.Name, " (")
		own := map[string]bool{}
		for j, name := range append([]string{s.ID, s.Name, short}, s.Names...) {
			where := dot(path, "name")
			if j == 0 {
				where = dot(path, "id")
			} else if j > 2 {
				where = at(dot(path, "names"), j-3)
			}
			key := hazard.SpeciesKey(name)
			switch was, taken := r.book.Alias[key]; {
			case key == "":
				r.add(d, where, "species %q has an empty name", s.ID)
			case slices.Contains(never, key):
				r.add(d, where, "%q stands for plants of different danger: no species may take it", name)
			case taken && was != s.ID:
				r.add(d, where, "%q already names %s", name, was)
			case own[key] && j > 2:
				r.add(d, where, "%q stands twice among the names of %s", name, s.ID)
			default:
				r.book.Alias[key], own[key] = s.ID, true
			}
		}
		if sci, _, _ := strings.Cut(s.Scientific, " ("); sci != "" && !strings.Contains(sci, ",") {
			scientific[hazard.SpeciesKey(sci)] = append(scientific[hazard.SpeciesKey(sci)], s.ID)
		}
	}
	// Scientific names and other spellings find their species where they mean
	// only one and nobody took them.
	spelled := scientific
	for key, id := range r.book.Alias {
		for _, v := range spellings(key) {
			if !slices.Contains(spelled[v], id) {
				spelled[v] = append(spelled[v], id)
			}
		}
	}
	for key, ids := range spelled {
		if _, taken := r.book.Alias[key]; !taken && len(ids) == 1 && !slices.Contains(never, key) {
			r.book.Alias[key] = ids[0]
		}
	}
	sort.Slice(r.species, func(i, j int) bool { return r.species[i].ID < r.species[j].ID })
}

// tails are the parts of a plant's name that people write joined or apart:
// sudangrass and sudan grass, pigweed and pig weed.
var tails = []string{"grass", "weed", "clover", "cherry", "berry", "wheat", "thistle", "quarters", "millet", "cane"}

// spellings returns a folded name with its tails joined and set apart.
func spellings(key string) []string {
	joined, apart := key, key
	for _, t := range tails {
		joined = strings.ReplaceAll(joined, " "+t, t)
		apart = strings.ReplaceAll(apart, t, " "+t)
	}
	apart = strings.Join(strings.Fields(apart), " ")
	return []string{joined, apart}
}

func (r *reader) oneSpecies(d *doc, path string, s *speciesShape) *hazard.Species {
	sp := &hazard.Species{
		ID: s.ID, Name: s.Name, Scientific: s.Scientific, Names: s.Names, Height: -1,
		GreenCap: s.GreenCap, Sorghum: s.Sorghum, Perennial: s.Perennial, HorsesOff: s.HorsesOff,
		NotListed: s.Unlisted, PerennialGrass: s.PerennialGrass, Legume: s.Legume, SurvivesC: s.SurvivesC, Notes: s.Notes,
	}
	r.need(d, path, "name", s.Name)
	r.need(d, path, "scientific", s.Scientific)
	var ok bool
	if sp.Habit, ok = hazard.ParseHabit(s.Habit); !ok {
		r.add(d, dot(path, "habit"), "habit %q is not one of sorghum, perennial, always, flax, minor, none, unknown", s.Habit)
	}
	if sp.Nitrate, ok = hazard.ParseNitrateHabit(s.Nitrate); !ok {
		r.add(d, dot(path, "nitrate"), "nitrate %q is not one of yes, brassica, low, no, unknown", s.Nitrate)
	}
	if s.Height != "" {
		k, ok := hazard.RuleKeyOf(s.Height)
		if !ok || k < hazard.HeightSudangrass || k > hazard.HeightGrainSorghum {
			r.add(d, dot(path, "height"), "%q is no rule of a minimum height", s.Height)
		} else {
			sp.Height = k
		}
	}
	// What follows from the habit.
	tall := sp.Habit == hazard.HabitSorghum || sp.Habit == hazard.HabitPerennial
	if tall && s.Height == "" {
		r.add(d, path, "%s has the habit %s and no height rule", s.ID, s.Habit)
	}
	if !tall && s.Height != "" {
		r.add(d, dot(path, "height"), "%s has the habit %s, which knows no height", s.ID, s.Habit)
	}
	if s.Sorghum != (sp.Habit == hazard.HabitSorghum) && ok {
		r.add(d, dot(path, "sorghum"), "%s: a plant of the sorghum genus has the habit sorghum, and no other plant has", s.ID)
	}
	if s.Sorghum && !s.HorsesOff {
		r.add(d, path, "%s is of the sorghum genus and not kept from horses", s.ID)
	}
	if s.PerennialGrass && s.Legume {
		r.add(d, dot(path, "legume"), "%s is grass and legume at once", s.ID)
	}
	if s.SurvivesC != nil && (*s.SurvivesC > 0 || *s.SurvivesC < -60) {
		r.add(d, dot(path, "survives_c"), "%s survives to %s °C cannot be", s.ID, number(*s.SurvivesC))
	}
	sp.Level = r.level(d, path, s, sp.Habit)

	cite := func(where, id string) {
		if _, ok := r.sources[id]; !ok {
			if r.whole {
				r.add(d, where, "there is no source %q", id)
			}
			return
		}
		if !slices.Contains(sp.Sources, id) {
			sp.Sources = append(sp.Sources, id)
		}
	}
	for i, l := range s.Levels {
		cite(dot(at(dot(path, "levels"), i), "source"), l.Source)
	}
	for i, id := range s.NitrateSources {
		cite(at(dot(path, "nitrate_sources"), i), id)
	}
	switch {
	case s.FrostSource != "":
		cite(dot(path, "frost_source"), s.FrostSource)
	case s.SurvivesC != nil:
		r.add(d, dot(path, "survives_c"), "%s survives to %s °C says no source: frost_source is missing", s.ID, number(*s.SurvivesC))
	}
	for i, id := range s.OtherSources {
		cite(at(dot(path, "other_sources"), i), id)
	}
	return sp
}

// level puts the published ratings in one line, each with its publisher.
func (r *reader) level(d *doc, path string, s *speciesShape, h hazard.Habit) string {
	rated := len(s.Levels) > 0
	switch {
	case s.Unlisted && (rated || s.LevelsBasis != ""):
		r.add(d, dot(path, "unlisted"), "%s is called unlisted, but a source rates it", s.ID)
	case s.Unlisted && h != hazard.HabitNone:
		r.add(d, dot(path, "unlisted"), "%s is called unlisted with the habit %s; an unlisted plant has the habit none", s.ID, h)
	case s.Unlisted:
		return LevelNotListed
	case s.LevelsBasis != "" && (s.LevelsBasis != BasisMemory || rated):
		r.add(d, dot(path, "levels_basis"), "levels_basis can only be memory, and only where no source rates the plant")
	case s.LevelsBasis == BasisMemory && (h == hazard.HabitNone || h == hazard.HabitMinor):
		r.add(d, dot(path, "levels_basis"), "%s: a remembered rating may only make a plant more dangerous", s.ID)
	case s.LevelsBasis == BasisMemory:
		return LevelMemory
	case !rated && h == hazard.HabitUnknown:
		return LevelUnrated
	case !rated:
		r.add(d, path, "no source rates %s: levels is missing; say unlisted = true for an ordinary plant, or habit unknown", s.ID)
	}
	// Ratings that agree are said once, with all who say so.
	var says []string
	by := map[string][]string{}
	for i, l := range s.Levels {
		if strings.TrimSpace(l.Says) == "" {
			r.add(d, at(dot(path, "levels"), i), "source %q does not say what it says: says is missing", l.Source)
		}
		if by[l.Says] == nil {
			says = append(says, l.Says)
		}
		who, _, _ := strings.Cut(r.sources[l.Source].Publisher, ",")
		if !slices.Contains(by[l.Says], who) {
			by[l.Says] = append(by[l.Says], who)
		}
	}
	for i, w := range says {
		says[i] = w + " (" + strings.Join(by[w], "; ") + ")"
	}
	return strings.Join(says, "; ")
}
