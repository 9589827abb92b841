package rules

import (
	"slices"
	"strings"

	"rimegate/hazard"
)

// Levels of species without a rating.
const (
	LevelNotListed = "not listed by any source read"
	LevelUnrated   = "unrated"
	LevelMemory    = "from memory, no publication checked"
)

// FrostUnread is said of hardy perennials of whose hardiness nothing was read.
const FrostUnread = "no publication gives a frost temperature"

// never are words for whole mixtures, or for plants that no list could hold: no
// species may take them, so that they stay unknown and are treated with care.
var never = []string{
	"grass", "grasses", "native grass", "native mix", "cover crop", "hay", "pasture", "forage", "greenfeed",
	"weeds", "weed", "mix", "cocktail", "bean", "beans", "legume", "legumes", "cereal", "cereals", "small grain",
	"small grains", "egyptian wheat",
}

type speciesShape struct {
	ID         string `need:""`
	Name       string `need:""`
	Scientific string `need:""`
	hazard.Species
	Habit, Nitrate string
	Height         string // a rule of a minimum height
	Unlisted       bool
	Frost          []frostShape
	FrostUnread    bool // no source read gives a temperature
	Levels         []said
	LevelsBasis    string

	NitrateSources, OtherSources []string

	// Of a row these are worked out.
	Level, NotListed, Sources, Fits struct{} `toml:"-"`
}

// said is what a source says of a plant.
type said struct{ Source, Says string }

// frostShape is what one publication says of a plant's hardiness, °C.
type frostShape struct {
	said
	DamageC *float64 // the warmest temperature it gives for visible damage
	KillC   *float64 // the same for death
}

func (r *reader) readSpecies(s spot) {
	var f struct {
		Species  []speciesShape
		Everyday []everydayShape
	}
	s.decode(&f)
	spelled := map[string][]string{}
	for i := range f.Species {
		r.oneSpecies(s.at("species", i), &f.Species[i], spelled)
	}
	for i := range f.Everyday {
		r.readEveryday(s.at("everyday", i), &f.Everyday[i])
	}
	// Scientific names and other spellings find their species where they mean
	// only one and nobody took them.
	for key, id := range r.aliases {
		for _, v := range spellings(key) {
			if !slices.Contains(spelled[v], id) {
				spelled[v] = append(spelled[v], id)
			}
		}
	}
	for key, ids := range spelled {
		if _, taken := r.aliases[key]; !taken && len(ids) == 1 && !slices.Contains(never, key) {
			r.aliases[key] = ids[0]
		}
	}
}

// names makes a row found by its id, its name in full and without what stands
// in brackets, and its other names.
func (r *reader) names(s spot, id string, names []string) {
	own := map[string]bool{}
	for j, name := range names {
		at := s.at("name")
		if j == 0 {
			at = s.at("id")
		} else if j > 2 {
			at = s.at("names", j-3)
		}
		key := hazard.SpeciesKey(name)
		switch was, taken := r.aliases[key]; {
		case key == "":
			at.add("species %q has an empty name", id)
		case slices.Contains(never, key):
			at.add("%q stands for plants of different danger: no species may take it", name)
		case taken && was != id:
			at.add("%q already names %s", name, was)
		case own[key] && j > 2:
			at.add("%q stands twice among the names of %s", name, id)
		default:
			r.aliases[key], own[key] = id, true
		}
	}
}

// tails are the parts of a plant's name that people write joined or apart:
// sudangrass and sudan grass, pigweed and pig weed.
var tails = []string{"grass", "weed", "clover", "cherry", "berry", "wheat", "thistle", "quarters", "millet", "cane"}

var joiner, parter = func() (*strings.Replacer, *strings.Replacer) {
	var join, part []string
	for _, t := range tails {
		join, part = append(join, " "+t, t), append(part, t, " "+t)
	}
	return strings.NewReplacer(join...), strings.NewReplacer(part...)
}()

// spellings returns a folded name with its tails joined and set apart.
func spellings(key string) []string {
	return []string{joiner.Replace(key), strings.Join(strings.Fields(parter.Replace(key)), " ")}
}

// oneSpecies checks and keeps a row; its scientific name goes into spelled.
func (r *reader) oneSpecies(s spot, f *speciesShape, spelled map[string][]string) {
	sp := new(hazard.Species)
	*sp = f.Species
	sp.ID, sp.Name, sp.Scientific, sp.NotListed, sp.Height = f.ID, f.Name, f.Scientific, f.Unlisted, -1
	var habit, nitrate bool
	sp.Habit, habit = hazard.ParseHabit(f.Habit)
	s.refuse(!habit, "habit", "habit %q is not one of sorghum, perennial, always, flax, minor, none, unknown", f.Habit)
	sp.Nitrate, nitrate = hazard.ParseNitrateHabit(f.Nitrate)
	s.refuse(!nitrate, "nitrate", "nitrate %q is not one of yes, brassica, low, no, unknown", f.Nitrate)
	if k, ok := hazard.RuleKeyOf(f.Height); ok && k >= hazard.HeightSudangrass && k <= hazard.HeightGrainSorghum {
		sp.Height = k
	}
	s.refuse(f.Height != "" && sp.Height < 0, "height", "%q is no rule of a minimum height", f.Height)
	if !s.broken() {
		r.follows(s, f, sp)
	}
	cite := func(at spot, id string) {
		if _, ok := r.cited(at, id); ok && !slices.Contains(sp.Sources, id) {
			sp.Sources = append(sp.Sources, id)
		}
	}
	for i, l := range f.Levels {
		cite(s.at("levels", i, "source"), l.Source)
	}
	for i, id := range f.NitrateSources {
		cite(s.at("nitrate_sources", i), id)
	}
	for i, l := range f.Frost {
		cite(s.at("frost", i, "source"), l.Source)
	}
	for i, id := range f.OtherSources {
		cite(s.at("other_sources", i), id)
	}
	if f.ID == "" || !r.once(s, "species", f.ID) {
		return
	}
	r.book.Species[f.ID] = sp
	r.reviewSpecies(s, sp)
	short, _, _ := strings.Cut(f.Name, " (")
	r.names(s, f.ID, append([]string{f.ID, f.Name, short}, f.Names...))
	if sci, _, _ := strings.Cut(f.Scientific, " ("); sci != "" && !strings.Contains(sci, ",") {
		key := hazard.SpeciesKey(sci)
		spelled[key] = append(spelled[key], f.ID)
	}
}

// follows checks what follows from the habit and puts what is published in words.
func (r *reader) follows(s spot, f *speciesShape, sp *hazard.Species) {
	tall := sp.Habit == hazard.HabitSorghum || sp.Habit == hazard.HabitPerennial
	s.refuse(tall && f.Height == "", "", "%s has the habit %s and no height rule", f.ID, f.Habit)
	s.refuse(!tall && f.Height != "", "height", "%s has the habit %s, which knows no height", f.ID, f.Habit)
	s.refuse(f.Sorghum != (sp.Habit == hazard.HabitSorghum), "sorghum",
		"%s: a plant of the sorghum genus has the habit sorghum, and no other plant has", f.ID)
	s.refuse(f.Sorghum && !f.HorsesOff, "", "%s is of the sorghum genus and not kept from horses", f.ID)
	s.refuse(f.PerennialGrass && f.Legume, "legume", "%s is grass and legume at once", f.ID)
	s.refuse(f.PerennialGrass && !f.Perennial, "perennial_grass", "%s is a perennial grass and not perennial", f.ID)
	sp.Level = r.level(s, f, sp.Habit)
	if frost := r.frosts(s, f); frost != "" {
		r.frost[f.ID] = frost
	}
}

// frosts checks what is published of a plant's hardiness and puts it in one
// line, "" where nothing is.
func (r *reader) frosts(s spot, f *speciesShape) string {
	possible := func(at spot, key string, c *float64) {
		at.refuse(c != nil && (*c > 0 || *c < -60), key, "%s: %s °C cannot be a frost that a plant lives through", f.ID, number(or(c, 0)))
	}
	possible(s, "survives_c", f.SurvivesC)
	// The warmest temperature in print at which it dies; of plants nobody has
	// seen die, at which it is hurt.
	const none = -1e9
	kill, damage := float64(none), float64(none)
	var given []float64
	all := make([]said, len(f.Frost))
	for i, l := range f.Frost {
		at := s.at("frost", i)
		possible(at, "damage_c", l.DamageC)
		possible(at, "kill_c", l.KillC)
		saysNothing(at, l.Source, l.Says)
		kill, damage = max(kill, or(l.KillC, none)), max(damage, or(l.DamageC, none))
		given = append(given, or(l.KillC, none), or(l.DamageC, none))
		all[i] = l.said
	}
	if kill == none {
		kill = damage
	}
	survives := or(f.SurvivesC, none)
	switch {
	case f.FrostUnread && (len(f.Frost) > 0 || f.SurvivesC != nil):
		s.at("frost_unread").add("%s: a frost temperature is given, so frost_unread cannot be", f.ID)
	case f.FrostUnread && !(f.Hardy && f.Nitrate == hazard.NitrateLow.String() && f.Perennial):
		s.at("frost_unread").add("%s: frost_unread is for hardy perennials with nitrate low alone", f.ID)
	case f.Hardy && f.SurvivesC == nil && !f.FrostUnread:
		s.at("hardy").add("%s is hardy without a temperature: survives_c and its frost sources are missing", f.ID)
	case f.SurvivesC != nil && kill == none:
		s.at("survives_c").add("%s survives to %s °C says no source: frost with kill_c or damage_c is missing", f.ID, number(survives))
	case f.SurvivesC != nil && survives < kill:
		s.at("survives_c").add("%s survives to %s °C, but a source gives %s °C", f.ID, number(survives), number(kill))
	case f.SurvivesC != nil && !slices.Contains(given, survives):
		s.at("survives_c").add("%s survives to %s °C, which no source gives", f.ID, number(survives))
	case f.Hardy && f.PerennialGrass && !f.CoolSeason:
		s.at("hardy").add("%s is a warm-season grass and cannot be hardy", f.ID)
	}
	if f.FrostUnread {
		return FrostUnread
	}
	return r.inOneLine(all)
}

// level puts the published ratings in one line, each with its publisher.
func (r *reader) level(s spot, f *speciesShape, h hazard.Habit) string {
	rated, memory := len(f.Levels) > 0, f.LevelsBasis == BasisMemory
	switch {
	case f.Unlisted && (rated || f.LevelsBasis != ""):
		s.at("unlisted").add("%s is called unlisted, but a source rates it", f.ID)
	case f.Unlisted && h != hazard.HabitNone:
		s.at("unlisted").add("%s is called unlisted with the habit %s; an unlisted plant has the habit none", f.ID, h)
	case f.Unlisted:
		return LevelNotListed
	case f.LevelsBasis != "" && (!memory || rated):
		s.at("levels_basis").add("levels_basis can only be memory, and only where no source rates the plant")
	case memory && (h == hazard.HabitNone || h == hazard.HabitMinor):
		s.at("levels_basis").add("%s: a remembered rating may only make a plant more dangerous", f.ID)
	case memory:
		return LevelMemory
	case !rated && h == hazard.HabitUnknown:
		return LevelUnrated
	case !rated:
		s.add("no source rates %s: levels is missing; say unlisted = true for an ordinary plant, or habit unknown", f.ID)
	}
	for i, l := range f.Levels {
		saysNothing(s.at("levels", i), l.Source, l.Says)
	}
	return r.inOneLine(f.Levels)
}

// publisherOnly is a publisher without places and authors after the first comma.
func publisherOnly(p string) string {
	who, _, _ := strings.Cut(p, ",")
	if i := strings.IndexByte(who, '('); i > 0 && !strings.Contains(who, ")") { // the comma stood among authors
		who = who[:i]
	}
	return strings.TrimSpace(who)
}

// inOneLine puts what sources say in one line, each with its publisher; what
// they agree on is said once, with all who say so.
func (r *reader) inOneLine(all []said) string {
	var says []string
	by := map[string][]string{}
	for _, s := range all {
		if by[s.Says] == nil {
			says = append(says, s.Says)
		}
		who := publisherOnly(r.cites[s.Source].Publisher)
		if !slices.Contains(by[s.Says], who) {
			by[s.Says] = append(by[s.Says], who)
		}
	}
	for i, w := range says {
		says[i] = w + " (" + strings.Join(by[w], "; ") + ")"
	}
	return strings.Join(says, "; ")
}
