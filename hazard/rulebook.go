package hazard

import (
	"slices"
	"strings"

	"rimegate/fields"
)

// RuleKey indexes the numbers of a rulebook.
type RuleKey int

// Keys of the rulebook's numbers. Days are whole days, temperatures °C,
// heights cm, concentrations ppm (HCN on dry matter or as is, as named),
// nitrogen kg N/ha, water mg NO3-N per litre.
var (
	FrostTrigger              = rule("prussic.frost.trigger")
	FrostPossible             = rule("prussic.frost.possible")
	FrostPossibleLow          = rule("prussic.frost.possible.low-lying")
	FrostKillHint             = rule("prussic.frost.kill_hint")
	FrostKillHintHours        = rule("prussic.frost.kill_hint.hours")
	FrostWait                 = rule("prussic.frost.wait")
	FrostDryWait              = rule("prussic.frost.dry_wait")
	FrostKillWalkAfter        = rule("prussic.frost.kill_walk_after")
	FrostOutgrown             = rule("prussic.frost.outgrown")
	WalkLife                  = rule("prussic.walk.life")
	WalkLifeSettled           = rule("prussic.walk.life.settled")
	WalkLifePerennial         = rule("prussic.walk.life.perennial")
	HeightLife                = rule("prussic.height.life")
	HeightGrace               = rule("prussic.height.grace")
	HeightSudangrass          = rule("prussic.height.sudangrass")
	HeightPerennial           = rule("prussic.height.perennial")
	HeightSorghumSudangrass   = rule("prussic.height.sorghum-sudangrass")
	HeightForageSorghum       = rule("prussic.height.forage-sorghum")
	HeightJohnsongrass        = rule("prussic.height.johnsongrass")
	HeightShattercane         = rule("prussic.height.shattercane")
	HeightColumbusGrass       = rule("prussic.height.columbus-grass")
	HeightGrainSorghum        = rule("prussic.height.grain-sorghum")
	StandGrowthLimit          = rule("stand.growth.limit")
	BloatAfterFrost           = rule("bloat.after-frost")
	DroughtWait               = rule("prussic.drought.wait")
	HailWait                  = rule("prussic.hail.wait")
	TrampledWait              = rule("prussic.trampled.wait")
	SprayWait                 = rule("prussic.spray.wait")
	ChopWait                  = rule("prussic.chop.wait")
	HayCure                   = rule("prussic.hay.cure")
	SilageWait                = rule("prussic.silage.wait")
	SilageWaitSuspect         = rule("prussic.silage.wait.suspect")
	LotHeightLife             = rule("prussic.lot.height.life")
	LotChopAfterFrost         = rule("prussic.lot.chop.after-frost")
	HCNHoldDM                 = rule("prussic.hcn.hold")
	HCNHoldAsIs               = rule("prussic.hcn.hold.as-is")
	HCNCautionDM              = rule("prussic.hcn.caution")
	NitrateStandingLife       = rule("nitrate.standing.life")
	NitrateStandingLifeInWait = rule("nitrate.standing.life.in-wait")
	NitrateAfterWait          = rule("nitrate.standing.after-wait")
	NitrateRainWait           = rule("nitrate.rain.wait")
	NitrateFrostWait          = rule("nitrate.frost.wait")
	NitrateFrostHard          = rule("nitrate.frost.hard")
	NitrateFrostBorne         = rule("nitrate.frost.borne")
	NitrateFrostBorneDays     = rule("nitrate.frost.borne.days")
	NitrateFrostScreenDrop    = rule("nitrate.frost.screen-drop")
	NitrateHailWait           = rule("nitrate.hail.wait")
	NitrateTrampledWait       = rule("nitrate.trampled.wait")
	NitrateSprayWait          = rule("nitrate.spray.wait")
	NitrateDeadAfterSown      = rule("nitrate.dead.after-sown")
	NitratePeakFrom           = rule("nitrate.peak.from")
	NitratePeakTo             = rule("nitrate.peak.to")
	NitrateNitrogenFlag       = rule("nitrate.nitrogen.flag")
	NitrateLowDose            = rule("nitrate.nitrogen.low.dose")
	NitrateLowTotal           = rule("nitrate.nitrogen.low.total")
	NitrateLowStressed        = rule("nitrate.nitrogen.low.stressed")
	NitrateFresh              = rule("nitrate.nitrogen.fresh")
	NitrateNewSward           = rule("nitrate.nitrogen.new-sward")
	NitrateWeedWalk           = rule("nitrate.weeds.walk")
	NitrateWeedWalkSod        = rule("nitrate.weeds.walk.sod")
	NitrateWeedsTrace         = rule("nitrate.weeds.trace")
	NitrateSilageCredit       = rule("nitrate.silage.credit")
	NitrateSilageFermentation = rule("nitrate.silage.fermentation")
	NitrateWaterCaution       = rule("nitrate.water.caution")
	NitrateWaterHold          = rule("nitrate.water.hold")
	NitrateWaterLitres        = rule("nitrate.water.litres")
	NitrateSampleStems        = rule("nitrate.sample.standing.stems")
	NitrateSampleSpots        = rule("nitrate.sample.standing.spots")
	NitrateSampleCutCM        = rule("nitrate.sample.standing.cut")
	NitrateSampleBales        = rule("nitrate.sample.bales")
	NitrateSampleBalesPct     = rule("nitrate.sample.bales.percent")
	NitrateBaleSpread         = rule("nitrate.bale.spread")
	NitrateCutLeave           = rule("nitrate.cut.leave")
)

// NumRules is how many numbers a rulebook has.
const NumRules = RuleKey(73)

// ruleIDs are the ids of the keys made so far.
var ruleIDs = make([]string, 0, NumRules)

// rule makes the next key. More of them than NumRules, or fewer, fail the tests of the rules.
func rule(id string) RuleKey {
	ruleIDs = append(ruleIDs, id)
	return RuleKey(len(ruleIDs) - 1)
}

func (k RuleKey) String() string { return ruleIDs[k] }

// RuleKeyOf finds the key of a rule id.
func RuleKeyOf(s string) (RuleKey, bool) { return wordOf[RuleKey](ruleIDs, s) }

// Habit is how a species makes prussic acid.
type Habit uint8

// Habits. Unknown is the zero value: what nobody rated is treated with care.
const (
	HabitUnknown Habit = iota
	HabitSorghum
	HabitPerennial
	HabitAlways
	HabitFlax
	HabitMinor
	HabitNone
)

var habitWords = []string{"unknown", "sorghum", "perennial", "always", "flax", "minor", "none"}

func (h Habit) String() string { return habitWords[h] }

// ParseHabit reads a habit's word.
func ParseHabit(s string) (Habit, bool) { return wordOf[Habit](habitWords, s) }

// Cyanogenic reports whether the habit belongs to P: all but minor and none.
func (h Habit) Cyanogenic() bool { return h != HabitMinor && h != HabitNone }

// NitrateHabit is how a species gathers nitrate. Unknown counts as yes.
type NitrateHabit uint8

// Nitrate habits.
const (
	NitrateUnknown NitrateHabit = iota
	NitrateYes
	NitrateBrassica
	NitrateLow
	NitrateNo
)

var nitrateWords = []string{"unknown", "yes", "brassica", "low", "no"}

func (n NitrateHabit) String() string { return nitrateWords[n] }

// ParseNitrateHabit reads a nitrate habit's word.
func ParseNitrateHabit(s string) (NitrateHabit, bool) { return wordOf[NitrateHabit](nitrateWords, s) }

// Species is one row of the species table.
type Species struct {
	ID             string // short name, such as sorghum-sudangrass
	Name           string // everyday name as printed
	Scientific     string
	Names          []string // aliases
	Level          string   // cyanogenic level as published, "unrated" or "not listed by any source read"
	Habit          Habit
	Height         RuleKey // minimum height rule, -1 if none
	GreenCap       bool    // caution at best while green
	Sorghum        bool    // sorghum genus
	Perennial      bool    // comes back from its roots for years
	CoolSeason     bool    // of the cool-season grasses and forbs
	Hardy          bool    // for nitrate (§5.6): a light frost that leaves it undamaged is no stress
	Bloat          bool    // bloats stock for some days after a frost
	HorsesOff      bool    // horses hold
	NotListed      bool    // no source speaks of HCN: caution until weeds are checked
	Nitrate        NitrateHabit
	PerennialGrass bool // a perennial grass; a sod asks for Perennial besides, see Fits
	Legume         bool
	SurvivesC      *float64 // survives frost to this temperature; nil: frost-killed or not said
	Notes          string
	Sources        []string
	// Fits are, for an everyday name that fits several plants, their ids. Such a
	// row has of each habit the worst among them; perennial, hardy and the like
	// are marks it has only if all of them have it, PerennialGrass if one has it.
	Fits []string
}

// Rulebook is everything the engine takes from the embedded rules, compiled to
// numbers. It is made by hazard/rules and never changes while in use.
type Rulebook struct {
	Name    string
	Version string
	Digest  string
	Relaxed []Relaxed // overrides less cautious than the default
	// Later is the rulebook from LaterFrom on, when the first of the Relaxed is over; nil where
	// none ends.
	Later     *Rulebook
	LaterFrom fields.Date
	V         [NumRules]float64
	Species   map[string]*Species // by id
	Aliases   []Alias             // in the order of their names
	Tables    []NitrateTableData
	Info      map[string]RuleInfo // by rule id, for explanations
}

// Alias is an everyday name as SpeciesKey folds it, and the id of its species.
type Alias struct{ Name, Species string }

// Relaxed is a rule set less cautious than the default.
type Relaxed struct {
	Rule    string
	Default string
	Value   string
	Because string
	By      string
	Until   fields.Date
	Entry   string
}

// RuleInfo is what people are shown of a rule.
type RuleInfo struct {
	ID      string
	Title   string
	Unit    string
	Basis   string // published, common-practice, ours
	Sources []Source
}

// Source is one publication.
type Source struct {
	ID        string
	Publisher string
	Title     string
	Year      int
	URL       string
	Says      string // the value as published, in our words
}

// NitrateTableData is one published nitrate table, its lines converted to ppm
// NO3-N on dry matter.
type NitrateTableData struct {
	ID     string
	Source Source
	Form   fields.Form // form it prints: NO3, NO3-N, KNO3
	Unit   string
	ToN    float64                 // ppm NO3-N in one ppm of Form, by atomic weights
	Rows   map[Class][]NitrateBand // bands in ascending order
	OneRow bool                    // a single line: can only tighten
}

// NitrateBand holds for values below UpTo (in the table's own form, as ppm on
// dry matter); a value on the edge belongs to the worse band.
type NitrateBand struct {
	UpTo     float64 // upper edge, +Inf for the last
	MaxShare float64 // percent of ration dry matter, 100 for no limit
	Caution  bool    // the source attaches a caution word
	DoNot    bool    // do not feed
	Words    string  // the band in our words
}

// Days returns a rule in whole days.
func (b *Rulebook) Days(k RuleKey) int { return int(b.V[k]) }

// Find looks a species up by id or everyday name; nil if the table does not
// know it. Case, spaces, hyphens and underscores do not matter.
func (b *Rulebook) Find(name string) *Species {
	i, ok := slices.BinarySearchFunc(b.Aliases, SpeciesKey(name), func(a Alias, key string) int { return strings.Compare(a.Name, key) })
	if !ok {
		return nil
	}
	return b.Species[b.Aliases[i].Species]
}

// EndsWithStand reports a plant that goes with its stand (§5.2): one that the table knows to
// make no prussic acid.
func (b *Rulebook) EndsWithStand(name string) bool {
	s := b.Find(name)
	return s != nil && !s.Habit.Cyanogenic()
}

// Means reports whether a name is one of a plant as answers name it: by its id, or as
// written if the table does not know it.
func (b *Rulebook) Means(name, plant string) bool {
	s := b.Find(name)
	return s != nil && s.ID == plant || SpeciesKey(name) == SpeciesKey(plant)
}

// SpeciesKey folds a typed species name for look-up.
func SpeciesKey(name string) string {
	out := make([]rune, 0, len(name))
	gap := false
	for _, r := range name {
		switch {
		case r >= 'A' && r <= 'Z':
			r += 'a' - 'A'
		case r == '-' || r == '_' || r == ' ' || r == '\t' || r == '\'' || r == '’' || r == '.' || r == ',':
			gap = len(out) > 0 && r != '\'' && r != '’'
			continue
		}
		if gap {
			out = append(out, ' ')
			gap = false
		}
		out = append(out, r)
	}
	return string(out)
}
