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

// FrostUnread is said of hardy perennials of whose hardiness nothing was read.
const FrostUnread = "no source read gives a frost temperature"

// never are words for whole mixtures, or for plants that no list could hold: no
// species may take them, so that they stay unknown and are treated with care.
var never = []string{
	"grass", "grasses", "native grass", "native mix", "cover crop", "hay", "pasture", "forage", "greenfeed",
	"weeds", "weed", "mix", "cocktail", "bean", "beans", "legume", "legumes", "cereal", "cereals", "small grain",
	"small grains", "egyptian wheat",
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
		r.names(d, path, s.ID, append([]string{s.ID, s.Name, short}, s.Names...))
		if sci, _, _ := strings.Cut(s.Scientific, " ("); sci != "" && !strings.Contains(sci, ",") {
			scientific[hazard.SpeciesKey(sci)] = append(scientific[hazard.SpeciesKey(sci)], s.ID)
		}
	}
	for i := range f.Everyday {
		r.readEveryday(d, at("everyday", i), &f.Everyday[i])
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

// names makes a row found by its id, its name in full and without what stands
// in brackets, and its other names.
func (r *reader) names(d *doc, path, id string, names []string) {
	own := map[string]bool{}
	for j, name := range names {
		where := dot(path, "name")
		if j == 0 {
			where = dot(path, "id")
		} else if j > 2 {
			where = at(dot(path, "names"), j-3)
		}
		key := hazard.SpeciesKey(name)
		switch was, taken := r.book.Alias[key]; {
		case key == "":
			r.add(d, where, "species %q has an empty name", id)
		case slices.Contains(never, key):
			r.add(d, where, "%q stands for plants of different danger: no species may take it", name)
		case taken && was != id:
			r.add(d, where, "%q already names %s", name, was)
		case own[key] && j > 2:
			r.add(d, where, "%q stands twice among the names of %s", name, id)
		default:
			r.book.Alias[key], own[key] = id, true
		}
	}
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
		GreenCap: s.GreenCap, Sorghum: s.Sorghum, HorsesOff: s.HorsesOff,
		Perennial: s.Perennial, CoolSeason: s.CoolSeason, Hardy: s.Hardy, Bloat: s.Bloat,
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
	if s.PerennialGrass && !s.Perennial {
		r.add(d, dot(path, "perennial_grass"), "%s is a perennial grass and not perennial", s.ID)
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
	for i, f := range s.Frost {
		cite(dot(at(dot(path, "frost"), i), "source"), f.Source)
	}
	r.frosts(d, path, s, sp)
	for i, id := range s.OtherSources {
		cite(at(dot(path, "other_sources"), i), id)
	}
	return sp
}

// frosts checks and keeps what is published of a plant's hardiness.
func (r *reader) frosts(d *doc, path string, s *speciesShape, sp *hazard.Species) {
	possible := func(where string, c *float64) {
		if c != nil && (*c > 0 || *c < -60) {
			r.add(d, where, "%s: %s °C cannot be a frost that a plant lives through", s.ID, number(*c))
		}
	}
	possible(dot(path, "survives_c"), s.SurvivesC)
	// The warmest temperature in print at which it dies; of plants nobody has
	// seen die, at which it is hurt.
	var kill, damage *float64
	var given []float64
	warmest := func(was, c *float64) *float64 {
		if was == nil || c != nil && *c > *was {
			return c
		}
		return was
	}
	all := make([]said, len(s.Frost))
	for i, f := range s.Frost {
		here := at(dot(path, "frost"), i)
		possible(dot(here, "damage_c"), f.DamageC)
		possible(dot(here, "kill_c"), f.KillC)
		if strings.TrimSpace(f.Says) == "" {
			r.add(d, here, "source %q does not say what it says: says is missing", f.Source)
		}
		kill, damage = warmest(kill, f.KillC), warmest(damage, f.DamageC)
		for _, c := range []*float64{f.DamageC, f.KillC} {
			if c != nil {
				given = append(given, *c)
			}
		}
		all[i] = said{f.Source, f.Says}
	}
	if kill == nil {
		kill = damage
	}
	low := sp.Nitrate == hazard.NitrateLow && s.Perennial
	switch {
	case s.FrostUnread && (len(s.Frost) > 0 || s.SurvivesC != nil):
		r.add(d, dot(path, "frost_unread"), "%s: a frost temperature is given, so frost_unread cannot be", s.ID)
	case s.FrostUnread && !(s.Hardy && low):
		r.add(d, dot(path, "frost_unread"), "%s: frost_unread is for hardy perennials with nitrate low alone", s.ID)
	case s.Hardy && s.SurvivesC == nil && !s.FrostUnread:
		r.add(d, dot(path, "hardy"), "%s is hardy without a temperature: survives_c and its frost sources are missing", s.ID)
	case s.SurvivesC != nil && kill == nil:
		r.add(d, dot(path, "survives_c"), "%s survives to %s °C says no source: frost with kill_c or damage_c is missing", s.ID, number(*s.SurvivesC))
	case s.SurvivesC != nil && *s.SurvivesC < *kill:
		r.add(d, dot(path, "survives_c"), "%s survives to %s °C, but a source gives %s °C", s.ID, number(*s.SurvivesC), number(*kill))
	case s.SurvivesC != nil && !slices.Contains(given, *s.SurvivesC):
		r.add(d, dot(path, "survives_c"), "%s survives to %s °C, which no source gives", s.ID, number(*s.SurvivesC))
	case s.Hardy && s.PerennialGrass && !s.CoolSeason:
		r.add(d, dot(path, "hardy"), "%s is a warm-season grass and cannot be hardy", s.ID)
	}
	if s.ID == "" {
		return
	}
	switch {
	case s.FrostUnread:
		r.frost[s.ID] = FrostUnread
	case len(all) > 0:
		r.frost[s.ID] = r.inOneLine(all)
	}
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
	all := make([]said, len(s.Levels))
	for i, l := range s.Levels {
		if strings.TrimSpace(l.Says) == "" {
			r.add(d, at(dot(path, "levels"), i), "source %q does not say what it says: says is missing", l.Source)
		}
		all[i] = said{l.Source, l.Says}
	}
	return r.inOneLine(all)
}

// publisherOnly is a publisher without places and authors after the first comma.
func publisherOnly(p string) string {
	who, _, _ := strings.Cut(p, ",")
	if i := strings.IndexByte(who, '('); i > 0 && !strings.Contains(who, ")") { // the comma stood among authors
		who = who[:i]
	}
	return strings.TrimSpace(who)
}

// said is a source's id and what it says.
type said [2]string

// inOneLine puts what sources say in one line, each with its publisher; what
// they agree on is said once, with all who say so.
func (r *reader) inOneLine(all []said) string {
	var says []string
	by := map[string][]string{}
	for _, s := range all {
		if by[s[1]] == nil {
			says = append(says, s[1])
		}
		who := publisherOnly(r.sources[s[0]].Publisher)
		if !slices.Contains(by[s[1]], who) {
			by[s[1]] = append(by[s[1]], who)
		}
	}
	for i, w := range says {
		says[i] = w + " (" + strings.Join(by[w], "; ") + ")"
	}
	return strings.Join(says, "; ")
}
