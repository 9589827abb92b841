package rules

import "github.com/pelletier/go-toml/v2"

// The shapes of the TOML files. Numbers that may be left out are pointers, so
// that zero and not said stay apart.

type bookFile struct {
	Name    string `toml:"name"`
	Version string `toml:"version"`
}

type sourceFile struct {
	Source []sourceShape `toml:"source"`
}

type sourceShape struct {
	ID        string `toml:"id"`
	Publisher string `toml:"publisher"`
	Title     string `toml:"title"`
	Year      *int   `toml:"year"` // 0: the page shows none
	URL       string `toml:"url"`
}

type ruleFile struct {
	Rule []ruleShape `toml:"rule"`
}

type ruleShape struct {
	ID         string          `toml:"id"`
	Title      string          `toml:"title"`
	Governs    string          `toml:"governs"`
	Value      *float64        `toml:"value"`
	Word       string          `toml:"word"`    // instead of value, for rules that name something
	Choices    string          `toml:"choices"` // of a word: "tables" or "fixed"
	Unit       string          `toml:"unit"`
	Stricter   string          `toml:"stricter"` // larger, smaller; of a word the strictest one
	Limit      *float64        `toml:"limit"`
	Basis      string          `toml:"basis"`
	CheckedOn  *toml.LocalDate `toml:"checked_on"`
	Derivation string          `toml:"derivation"`
	Why        string          `toml:"why"`
	Sources    []citation      `toml:"sources"`
}

type citation struct {
	ID     string    `toml:"id"`
	Says   string    `toml:"says"`
	Values []float64 `toml:"values"` // the ends of what it prints, in the rule's unit
}

type fixedFile struct {
	Fixed []fixedShape `toml:"fixed"`
}

type fixedShape struct {
	ID        string          `toml:"id"`
	Title     string          `toml:"title"`
	Basis     string          `toml:"basis"`
	CheckedOn *toml.LocalDate `toml:"checked_on"`
	Sources   []citation      `toml:"sources"`
}

type speciesFile struct {
	Species  []speciesShape  `toml:"species"`
	Everyday []everydayShape `toml:"everyday"`
}

// everydayShape is an everyday name that fits several plants.
type everydayShape struct {
	ID    string   `toml:"id"`
	Name  string   `toml:"name"` // without the words that it fits several
	Names []string `toml:"names"`
	Fits  []string `toml:"fits"` // ids of species
}

type speciesShape struct {
	ID             string        `toml:"id"`
	Name           string        `toml:"name"`
	Scientific     string        `toml:"scientific"`
	Names          []string      `toml:"names"`
	Habit          string        `toml:"habit"`
	Height         string        `toml:"height"`
	GreenCap       bool          `toml:"green_cap"`
	Sorghum        bool          `toml:"sorghum"`
	Perennial      bool          `toml:"perennial"`
	HorsesOff      bool          `toml:"horses_off"`
	Unlisted       bool          `toml:"unlisted"`
	Nitrate        string        `toml:"nitrate"`
	PerennialGrass bool          `toml:"perennial_grass"`
	Legume         bool          `toml:"legume"`
	CoolSeason     bool          `toml:"cool_season"`
	Bloat          bool          `toml:"bloat"`
	Hardy          bool          `toml:"hardy"`
	SurvivesC      *float64      `toml:"survives_c"`
	Frost          []frostSource `toml:"frost"`
	FrostUnread    bool          `toml:"frost_unread"` // no source read gives a temperature
	Notes          string        `toml:"notes"`
	Levels         []levelSource `toml:"levels"`
	LevelsBasis    string        `toml:"levels_basis"`
	NitrateSources []string      `toml:"nitrate_sources"`
	OtherSources   []string      `toml:"other_sources"`
}

// frostSource is what one publication says of a plant's hardiness, °C.
type frostSource struct {
	Source  string   `toml:"source"`
	Says    string   `toml:"says"`
	DamageC *float64 `toml:"damage_c"` // the warmest temperature it gives for visible damage
	KillC   *float64 `toml:"kill_c"`   // the same for death
}

type levelSource struct {
	Source string `toml:"source"`
	Says   string `toml:"says"`
}

type tableFile struct {
	ID        string          `toml:"id"`
	Publisher string          `toml:"publisher"`
	Title     string          `toml:"title"`
	Year      *int            `toml:"year"`
	URL       string          `toml:"url"`
	Says      string          `toml:"says"`
	Form      string          `toml:"form"`
	Unit      string          `toml:"unit"`
	OneRow    bool            `toml:"one_row"`
	CheckedOn *toml.LocalDate `toml:"checked_on"`
	Note      string          `toml:"note"`
	Pregnant  []bandShape     `toml:"pregnant"`
	Other     []bandShape     `toml:"other"`
}

type bandShape struct {
	UpTo      *float64 `toml:"up_to"` // in the printed unit; left out: no upper edge
	Share     *float64 `toml:"share"`
	ShareOurs bool     `toml:"share_ours"` // the source prints no share
	Caution   bool     `toml:"caution"`
	DoNot     bool     `toml:"do_not"`
	Words     string   `toml:"words"`
}
