package hazard

import (
	"slices"

	"rimegate/fields"
)

// Flag is the answer for one use and class. The zero value is unknown; it is
// worse than hold in no comparison, because it may never reach a person: a
// verdict that is still unknown panics when it is put into words.
type Flag uint8

// Flags, from unknown over the best to the worst.
const (
	Unknown Flag = iota
	Clear
	Caution
	Hold
)

// String returns the flag's word; it panics on unknown.
func (f Flag) String() string {
	if f == Unknown {
		panic("hazard: a flag that was never decided")
	}
	return [...]string{"", "clear", "caution", "hold"}[f]
}

// wordOf finds the value that a word names.
func wordOf[T ~int | ~uint8](words []string, s string) (T, bool) {
	i := slices.Index(words, s)
	return T(max(i, 0)), i >= 0
}

// Use is what is asked of a paddock or lot.
type Use uint8

// Uses of a paddock, then the use of a stored lot.
const (
	Graze Use = iota
	GreenChop
	SwathGraze
	CutHay
	CutSilage
	Feed
)

// PaddockUses are the uses of a paddock, in printed order.
var PaddockUses = []Use{Graze, GreenChop, SwathGraze, CutHay, CutSilage}

var useWords = []string{"graze", "green-chop", "swath-graze", "cut-hay", "cut-silage", "feed"}

func (u Use) String() string { return useWords[u] }

// ParseUse reads a use's word.
func ParseUse(s string) (Use, bool) { return wordOf[Use](useWords, s) }

// Class is a class of stock.
type Class uint8

// Classes of stock, in printed order.
const (
	BredCattle  Class = iota // exposed and not confirmed open, or with a calf at side
	YoungCattle              // under 12 months
	OpenCattle               // the rest
	Sheep
	Goats
	Horses
)

// Classes are all classes, in printed order.
var Classes = []Class{BredCattle, YoungCattle, OpenCattle, Sheep, Goats, Horses}

var classWords = []string{"bred-cattle", "young-cattle", "open-cattle", "sheep", "goats", "horses"}

func (c Class) String() string { return classWords[c] }

// Stock is the class as ranch people call it; what is typed and JSON have its word.
func (c Class) Stock() string {
	return [...]string{
		"cows and bred heifers", "calves under a year", "cattle not bred", "sheep", "goats", "horses",
	}[c]
}

// ParseClass reads a class's word.
func ParseClass(s string) (Class, bool) { return wordOf[Class](classWords, s) }

// Kind of hazard.
type Hazard uint8

// Hazards, in printed order.
const (
	PrussicAcid Hazard = iota
	Nitrate
	Veterinary
)

// Hazards are all hazards, in printed order.
var Hazards = []Hazard{PrussicAcid, Nitrate, Veterinary}

var hazardWords = [...]string{"prussic-acid", "nitrate", "veterinary"}

func (h Hazard) String() string { return hazardWords[h] }

// Need says what would lift an answer: only days, evidence that someone must
// bring, or a decision about a known hazard.
type Need uint8

// Needs, from the mildest to the gravest.
const (
	NeedNothing Need = iota
	NeedTime
	NeedEvidence
	NeedDecision
)

func (n Need) String() string { return [...]string{"", "time", "evidence", "decision"}[n] }

// NoEnd is the through-date of a hold that no day ends: later than any date.
const NoEnd fields.Date = 1<<31 - 1

// NotAssessed are hazards that every list names as not assessed: a CLEAR says
// nothing of them.
var NotAssessed = []string{
	"bloat", "sulfur", "photosensitisation", "ergot", "brassica anaemia", "magnesium (tetany)",
	"cloudy spells", "moldy feed", "other poisonous plants", "other water quality",
}

// Flags, uses, classes and hazards stand in JSON by their words; a need of
// nothing is null.

// MarshalText panics on unknown, as String does.
func (f Flag) MarshalText() ([]byte, error) { return []byte(f.String()), nil }

// MarshalText is String.
func (u Use) MarshalText() ([]byte, error) { return []byte(u.String()), nil }

// MarshalText is String.
func (c Class) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// MarshalText is String.
func (h Hazard) MarshalText() ([]byte, error) { return []byte(h.String()), nil }

// MarshalJSON is String, null for nothing.
func (n Need) MarshalJSON() ([]byte, error) {
	if n == NeedNothing {
		return []byte("null"), nil
	}
	return []byte(`"` + n.String() + `"`), nil
}
