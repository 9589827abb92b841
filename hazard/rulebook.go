package hazard

import "rimegate/fields"

// RuleKey indexes the numbers of a rulebook.
type RuleKey int

// Keys of the rulebook's numbers. Days are whole days, temperatures °C,
// heights cm, concentrations ppm (HCN on dry matter or as is, as named),
// nitrogen kg N/ha, water mg NO3-N per litre.
const (
	FrostTrigger RuleKey = iota
	FrostPossible
	FrostPossibleLow
	FrostKillHint
	FrostKillHintHours
	FrostWait
	FrostDryWait
	FrostKillWalkAfter
	FrostOutgrown
	WalkLife
	WalkLifeSettled
	WalkLifePerennial
	HeightLife
	HeightGrace
	HeightSudangrass
	HeightPerennial
	HeightSorghumSudangrass
	HeightForageSorghum
	HeightJohnsongrass
	HeightShattercane
	HeightColumbusGrass
	HeightGrainSorghum
	StandGrowthLimit
	BloatAfterFrost
	DroughtWait
	HailWait
	TrampledWait
	SprayWait
	ChopWait
	HayCure
	SilageWait
	SilageWaitSuspect
	LotHeightLife
	LotChopAfterFrost
	HCNHoldDM
	HCNHoldAsIs
	HCNCautionDM
	NitrateStandingLife
	NitrateStandingLifeInWait
	NitrateAfterWait
	NitrateRainWait
	NitrateFrostWait
	NitrateFrostHard
	NitrateFrostBorne
	NitrateFrostBorneDays
	NitrateFrostScreenDrop
	NitrateHailWait
	NitrateTrampledWait
	NitrateSprayWait
	NitrateDeadAfterSown
	NitratePeakFrom
	NitratePeakTo
	NitrateNitrogenFlag
	NitrateLowDose
	NitrateLowTotal
	NitrateLowStressed
	NitrateFresh
	NitrateNewSward
	NitrateWeedWalk
	NitrateWeedWalkSod
	NitrateWeedsTrace
	NitrateSilageCredit
	NitrateSilageFermentation
	NitrateWaterCaution
	NitrateWaterHold
	NitrateWaterLitres
	NitrateSampleStems
	NitrateSampleSpots
	NitrateSampleCutCM
	NitrateSampleBales
	NitrateSampleBalesPct
	NitrateBaleSpread
	NitrateCutLeave
	NumRules
)

var ruleIDs = [NumRules]string{
	FrostTrigger:              "prussic.frost.trigger",
	FrostPossible:             "prussic.frost.possible",
	FrostPossibleLow:          "prussic.frost.possible.low-lying",
	FrostKillHint:             "prussic.frost.kill_hint",
	FrostKillHintHours:        "prussic.frost.kill_hint.hours",
	FrostWait:                 "prussic.frost.wait",
	FrostDryWait:              "prussic.frost.dry_wait",
	FrostKillWalkAfter:        "prussic.frost.kill_walk_after",
	FrostOutgrown:             "prussic.frost.outgrown",
	WalkLife:                  "prussic.walk.life",
	WalkLifeSettled:           "prussic.walk.life.settled",
	WalkLifePerennial:         "prussic.walk.life.perennial",
	HeightLife:                "prussic.height.life",
	HeightGrace:               "prussic.height.grace",
	HeightSudangrass:          "prussic.height.sudangrass",
	HeightPerennial:           "prussic.height.perennial",
	HeightSorghumSudangrass:   "prussic.height.sorghum-sudangrass",
	HeightForageSorghum:       "prussic.height.forage-sorghum",
	HeightJohnsongrass:        "prussic.height.johnsongrass",
	HeightShattercane:         "prussic.height.shattercane",
	HeightColumbusGrass:       "prussic.height.columbus-grass",
	HeightGrainSorghum:        "prussic.height.grain-sorghum",
	StandGrowthLimit:          "stand.growth.limit",
	BloatAfterFrost:           "bloat.after-frost",
	DroughtWait:               "prussic.drought.wait",
	HailWait:                  "prussic.hail.wait",
	TrampledWait:              "prussic.trampled.wait",
	SprayWait:                 "prussic.spray.wait",
	ChopWait:                  "prussic.chop.wait",
	HayCure:                   "prussic.hay.cure",
	SilageWait:                "prussic.silage.wait",
	SilageWaitSuspect:         "prussic.silage.wait.suspect",
	LotHeightLife:             "prussic.lot.height.life",
	LotChopAfterFrost:         "prussic.lot.chop.after-frost",
	HCNHoldDM:                 "prussic.hcn.hold",
	HCNHoldAsIs:               "prussic.hcn.hold.as-is",
	HCNCautionDM:              "prussic.hcn.caution",
	NitrateStandingLife:       "nitrate.standing.life",
	NitrateStandingLifeInWait: "nitrate.standing.life.in-wait",
	NitrateAfterWait:          "nitrate.standing.after-wait",
	NitrateRainWait:           "nitrate.rain.wait",
	NitrateFrostWait:          "nitrate.frost.wait",
	NitrateFrostHard:          "nitrate.frost.hard",
	NitrateFrostBorne:         "nitrate.frost.borne",
	NitrateFrostBorneDays:     "nitrate.frost.borne.days",
	NitrateFrostScreenDrop:    "nitrate.frost.screen-drop",
	NitrateHailWait:           "nitrate.hail.wait",
	NitrateTrampledWait:       "nitrate.trampled.wait",
	NitrateSprayWait:          "nitrate.spray.wait",
	NitrateDeadAfterSown:      "nitrate.dead.after-sown",
	NitratePeakFrom:           "nitrate.peak.from",
	NitratePeakTo:             "nitrate.peak.to",
	NitrateNitrogenFlag:       "nitrate.nitrogen.flag",
	NitrateLowDose:            "nitrate.nitrogen.low.dose",
	NitrateLowTotal:           "nitrate.nitrogen.low.total",
	NitrateLowStressed:        "nitrate.nitrogen.low.stressed",
	NitrateFresh:              "nitrate.nitrogen.fresh",
	NitrateNewSward:           "nitrate.nitrogen.new-sward",
	NitrateWeedWalk:           "nitrate.weeds.walk",
	NitrateWeedWalkSod:        "nitrate.weeds.walk.sod",
	NitrateWeedsTrace:         "nitrate.weeds.trace",
	NitrateSilageCredit:       "nitrate.silage.credit",
	NitrateSilageFermentation: "nitrate.silage.fermentation",
	NitrateWaterCaution:       "nitrate.water.caution",
	NitrateWaterHold:          "nitrate.water.hold",
	NitrateWaterLitres:        "nitrate.water.litres",
	NitrateSampleStems:        "nitrate.sample.standing.stems",
	NitrateSampleSpots:        "nitrate.sample.standing.spots",
	NitrateSampleCutCM:        "nitrate.sample.standing.cut",
	NitrateSampleBales:        "nitrate.sample.bales",
	NitrateSampleBalesPct:     "nitrate.sample.bales.percent",
	NitrateBaleSpread:         "nitrate.bale.spread",
	NitrateCutLeave:           "nitrate.cut.leave",
}

func (k RuleKey) String() string { return ruleIDs[k] }

// RuleKeyOf finds the key of a rule id.
func RuleKeyOf(id string) (RuleKey, bool) {
	for k, s := range ruleIDs {
		if s == id {
			return RuleKey(k), true
		}
	}
	return 0, false
}

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

var habitWords = [...]string{"unknown", "sorghum", "perennial", "always", "flax", "minor", "none"}

func (h Habit) String() string { return habitWords[h] }

// ParseHabit reads a habit's word.
func ParseHabit(s string) (Habit, bool) {
	for i, w := range habitWords {
		if w == s {
			return Habit(i), true
		}
	}
	return 0, false
}

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

var nitrateWords = [...]string{"unknown", "yes", "brassica", "low", "no"}

func (n NitrateHabit) String() string { return nitrateWords[n] }

// ParseNitrateHabit reads a nitrate habit's word.
func ParseNitrateHabit(s string) (NitrateHabit, bool) {
	for i, w := range nitrateWords {
		if w == s {
			return NitrateHabit(i), true
		}
	}
	return 0, false
}

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
	V       [NumRules]float64
	Species map[string]*Species // by id
	Alias   map[string]string   // lower-case everyday name -> id
	Tables  []NitrateTableData
	Info    map[string]RuleInfo // by rule id, for explanations
}

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
	key := SpeciesKey(name)
	if id, ok := b.Alias[key]; ok {
		return b.Species[id]
	}
	return nil
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
