package rules

import (
	"slices"
	"sort"
	"strings"
	"testing"

	"rimegate/hazard"
)

// TestRequiredSpecies: every plant of a warm-season mix, the usual perennials
// and the weeds are found, with the habit that decides about them.
func TestRequiredSpecies(t *testing.T) {
	const (
		sorghum, perennial, always = hazard.HabitSorghum, hazard.HabitPerennial, hazard.HabitAlways
		flax, minor, none          = hazard.HabitFlax, hazard.HabitMinor, hazard.HabitNone
		yes, brassica, low, either = hazard.NitrateYes, hazard.NitrateBrassica, hazard.NitrateLow, hazard.NitrateUnknown
	)
	for _, row := range []struct {
		names   string
		habit   hazard.Habit
		nitrate hazard.NitrateHabit
	}{
		{"sudangrass, sorghum-sudangrass, brown-midrib sorghum, forage sorghum, grain sorghum, johnsongrass, shattercane, columbus grass, silk sorghum", sorghum, yes},
		{"indiangrass, stargrass, Tifton 85", perennial, low},
		{"arrowgrass, chokecherry, black cherry, wild cherry, saskatoon, serviceberry, elderberry, cassava", always, either},
		{"flax, linseed", flax, yes},
		{"pearl millet, foxtail millet, German millet, Siberian millet", minor, yes},
		{"white clover, birdsfoot trefoil, vetch, hairy vetch, clover", minor, low},
		{"proso millet, Japanese millet, corn, sunflower", none, yes},
		{"teff, buckwheat, crabgrass, wild oats, foxtail barley", none, either},
		{"oats, barley, wheat, rye, triticale, Italian ryegrass, annual ryegrass", none, yes},
		{"field peas, mung bean, forage soybean, cowpea, alfalfa, red clover, sainfoin", none, low},
		{"turnip, radish, rape, kale, volunteer canola", none, brassica},
		{"kochia, lamb's-quarters, pigweed, Russian thistle, Canada thistle, smartweed, dock, nightshade", none, yes},
		{"bermudagrass, smooth brome, meadow brome, crested wheatgrass, intermediate wheatgrass, western wheatgrass, timothy, orchardgrass, bluegrass, big bluestem, little bluestem, bluestems, switchgrass, grama, quackgrass, reed canarygrass, fescue", none, low},
	} {
		for _, name := range strings.Split(row.names, ", ") {
			sp := Default().Find(name)
			switch {
			case sp == nil:
				t.Errorf("%q is not found", name)
			case sp.Habit != row.habit || sp.Nitrate != row.nitrate:
				t.Errorf("%q: %s, nitrate %s; want %s, nitrate %s", name, sp.Habit, sp.Nitrate, row.habit, row.nitrate)
			}
		}
	}
}

func TestAliases(t *testing.T) {
	for id, names := range map[string]string{
		"sorghum-sudangrass": "sudex, Sudax, haygrazer, Hay Grazer, hay-grazer, SxS, sxs, S x S, sorghum sudan, sorghum x sudan, Sorghum-Sudan Hybrid, sorghum sudan grass, BMR, BMR sorghum-sudan, sudan",
		"sudangrass":         "sudan grass, Sudan-Grass, sudan_grass, piper, BMR sudangrass, Piper sudangrass",
		"forage-sorghum":     "cane, sorghum, sweet sorghum, BMR forage sorghum, brown midrib sorghum, Forage  Sorghum",
		"grain-sorghum":      "milo, Milo, grain sorghum, volunteer milo, Grain sorghum (milo)",
		"johnsongrass":       "johnson grass, Johnson's grass, JOHNSONGRASS, Sorghum halepense",
		"columbus-grass":     "columbusgrass, sorghum almum, Sorghum × almum",
		"shattercane":        "shatter cane, shatter-cane",
		"tifton-85":          "T85, tifton 85 bermudagrass, Tifton-85 bermuda",
		"bermudagrass":       "bermuda, bermuda grass, coastal bermuda",
		"foxtail-millet":     "german millet, german foxtail millet, Setaria italica",
		"lambs-quarters":     "lamb's quarters, lambs quarters, lambsquarters, lamb’s-quarters",
		"pigweed":            "pig weed, redroot pigweed, carelessweed",
		"annual-ryegrass":    "ryegrass, rye grass",
		"alfalfa":            "lucerne",
		"oats":               "oat, oat greenfeed",
		"saskatoon":          "service berry, Amelanchier alnifolia",
		"black-cherry":       "wild cherry, cherry",
		"western-wheatgrass": "wheatgrass, wheat grass, western wheat grass",
	} {
		for _, name := range strings.Split(names, ", ") {
			if sp := Default().Find(name); sp == nil || sp.ID != id {
				t.Errorf("%q finds %v, want %s", name, sp, id)
			}
		}
	}
}

// TestAmbiguousWordsStayUnknown: a word for plants of different danger must not
// fall on the harmless one.
func TestAmbiguousWordsStayUnknown(t *testing.T) {
	for _, name := range append([]string{"Millet", "grass hay", "bindwee", "", " ", "sorgum", "Sorghum spp", "Egyptian wheat", "Brassica napus", "Sorghum bicolor", "Lolium multiflorum"}, never...) {
		if sp := Default().Find(name); sp != nil {
			t.Errorf("%q finds %s", name, sp.ID)
		}
	}
}

// TestGenericWordsAreCautious: where a general word finds a plant, no plant it
// may mean is treated with more care.
func TestGenericWordsAreCautious(t *testing.T) {
	book := Default()
	for word, meant := range map[string]string{
		"sorghum":  "forage-sorghum, grain-sorghum, sorghum-sudangrass, sudangrass, johnsongrass",
		"sudan":    "sudangrass, sorghum-sudangrass",
		"BMR":      "sudangrass, sorghum-sudangrass",
		"clover":   "white-clover, red-clover, alsike-clover, crimson-clover, berseem-clover",
		"vetch":    "hairy-vetch, vetch",
		"cherry":   "black-cherry, chokecherry, pin-cherry",
		"ryegrass": "annual-ryegrass, italian-ryegrass, perennial-ryegrass",
		"brome":    "smooth-brome, meadow-brome",
		"tifton":   "tifton-85, bermudagrass",
		"thistle":  "canada-thistle, variegated-thistle",
	} {
		got := book.Find(word)
		if got == nil {
			t.Errorf("%q finds nothing", word)
			continue
		}
		for _, id := range strings.Split(meant, ", ") {
			sp := book.Species[id]
			height := func(s *hazard.Species) float64 {
				if s.Height < 0 {
					return 0
				}
				return book.V[s.Height]
			}
			rank := []hazard.Habit{hazard.HabitNone, hazard.HabitMinor, hazard.HabitPerennial, hazard.HabitSorghum, hazard.HabitAlways}
			worse := func(a, b hazard.Habit) bool { return slices.Index(rank, a) > slices.Index(rank, b) }
			nit := []hazard.NitrateHabit{hazard.NitrateNo, hazard.NitrateLow, hazard.NitrateYes, hazard.NitrateUnknown}
			if worse(sp.Habit, got.Habit) || height(sp) > height(got) || sp.GreenCap && !got.GreenCap && sp.Habit != hazard.HabitAlways ||
				sp.HorsesOff && !got.HorsesOff || slices.Index(nit, sp.Nitrate) > slices.Index(nit, got.Nitrate) {
				t.Errorf("%q finds %s, but may mean %s, which is treated with more care", word, got.ID, id)
			}
		}
	}
}

func TestSpeciesRows(t *testing.T) {
	capped := []string{"columbus-grass", "forage-sorghum", "grain-sorghum", "johnsongrass", "shattercane", "silk-sorghum"}
	var gotCapped []string
	horses := []string{"foxtail-millet"}
	var gotHorses []string
	for _, sp := range SpeciesDocs() {
		if sp.GreenCap {
			gotCapped = append(gotCapped, sp.ID)
		}
		if sp.Sorghum {
			horses = append(horses, sp.ID)
		}
		if sp.HorsesOff {
			gotHorses = append(gotHorses, sp.ID)
		}
		if sp.Level == "" || sp.Name == "" || sp.Scientific == "" {
			t.Errorf("%s: level %q, name %q, scientific %q", sp.ID, sp.Level, sp.Name, sp.Scientific)
		}
		if (sp.Level == LevelNotListed) != sp.NotListed {
			t.Errorf("%s: not listed %v, level %q", sp.ID, sp.NotListed, sp.Level)
		}
		if sp.Habit == hazard.HabitUnknown {
			t.Errorf("%s stands in the table unrated", sp.ID)
		}
		if sp.Habit == hazard.HabitSorghum && !strings.Contains(sp.Level, "(") {
			t.Errorf("%s: level %q names no publisher", sp.ID, sp.Level)
		}
		for _, id := range sp.Sources {
			if _, ok := SourceOf(id); !ok {
				t.Errorf("%s cites %q, which is nowhere", sp.ID, id)
			}
		}
		if sp.SurvivesC != nil && *sp.SurvivesC >= -2 {
			t.Errorf("%s survives to %v", sp.ID, *sp.SurvivesC)
		}
		if Default().Species[sp.ID] != sp {
			t.Errorf("%s: the list and the rulebook differ", sp.ID)
		}
	}
	sort.Strings(horses)
	if !slices.Equal(gotCapped, capped) {
		t.Errorf("caution at best while green: %v, want %v", gotCapped, capped)
	}
	if !slices.Equal(gotHorses, horses) {
		t.Errorf("kept from horses: %v, want %v", gotHorses, horses)
	}
	if !slices.IsSortedFunc(SpeciesDocs(), func(a, b *hazard.Species) int { return strings.Compare(a.ID, b.ID) }) {
		t.Error("the species are not sorted")
	}
}

// TestPublishedLevels spot-checks ratings against the publications.
func TestPublishedLevels(t *testing.T) {
	for id, words := range map[string][]string{
		// Ohio State, https://u.osu.edu/henryag/?p=787; University of Arkansas,
		// http://hayandforage.com/grazing/death-prussic-acid-drought-stressed-forage
		"grain-sorghum": {"high to very high (Ohio State University", "highest of the group (University of Arkansas"},
		// Kansas State University, article 3170.
		"sorghum-sudangrass": {"above sudangrass, below forage sorghum (Kansas State University"},
		// foragebeef.ca lists what Nebraska calls free of it.
		"pearl-millet": {"none (University of Nebraska", "listed as a producer (foragebeef.ca"},
		"proso-millet": {"none (Kansas State University"},
		"barley":       {LevelNotListed},
	} {
		for _, w := range words {
			if got := Default().Species[id].Level; !strings.Contains(got, w) {
				t.Errorf("%s: %q does not say %q", id, got, w)
			}
		}
	}
}

// TestAliasIndex: every alias leads to a species, and folding it again changes
// nothing, or Find could never reach it.
func TestAliasIndex(t *testing.T) {
	for key, id := range Default().Alias {
		if Default().Species[id] == nil {
			t.Errorf("%q leads to %q, which is nowhere", key, id)
		}
		if hazard.SpeciesKey(key) != key {
			t.Errorf("%q folds to %q", key, hazard.SpeciesKey(key))
		}
	}
}
