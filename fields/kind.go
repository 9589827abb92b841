package fields

import (
	"maps"
	"reflect"
	"slices"
	"sync"
)

// Kind names what an entry states.
type Kind string

// The entry kinds of the journal.
const (
	KindFarm     Kind = "farm"
	KindOverride Kind = "override"
	KindPaddock  Kind = "paddock"
	KindSplit    Kind = "split"
	KindJoin     Kind = "join"
	KindSown     Kind = "sown"
	KindSeen     Kind = "seen"
	KindStation  Kind = "station"
	KindReading  Kind = "reading"
	KindForecast Kind = "forecast"
	KindNoFrost  Kind = "no-frost"
	KindFrost    Kind = "frost"
	KindWalk     Kind = "walk"
	KindDrought  Kind = "drought"
	KindRain     Kind = "rain"
	KindHail     Kind = "hail"
	KindTrampled Kind = "trampled"
	KindSprayed  Kind = "sprayed"
	KindNitrogen Kind = "nitrogen"
	KindCut      Kind = "cut"
	KindGrazed   Kind = "grazed"
	KindLot      Kind = "lot"
	KindSampled  Kind = "sampled"
	KindLab      Kind = "lab"
	KindWater    Kind = "water"
	KindFed      Kind = "fed"
	KindUsedUp   Kind = "used-up"
	KindHerd     Kind = "herd"
	KindIncident Kind = "incident"
	KindVet      Kind = "vet"
	KindRound    Kind = "round"
	KindDone     Kind = "done"
	KindRead     Kind = "read"
	KindStrike   Kind = "strike"
)

// bodies is the one table of kinds; a new kind is a body type and a place here.
var bodies = sync.OnceValue(func() map[Kind]Body {
	return map[Kind]Body{
		KindFarm: &Farm{}, KindOverride: &Override{}, KindPaddock: &PaddockFacts{}, KindSplit: &Split{},
		KindJoin: &Join{}, KindSown: &Sown{}, KindSeen: &Seen{}, KindStation: &StationFacts{}, KindReading: &Reading{},
		KindForecast: &Forecast{}, KindNoFrost: &NoFrost{}, KindFrost: &Frost{}, KindWalk: &Walk{},
		KindDrought: &Drought{}, KindRain: &Rain{}, KindHail: &Hail{}, KindTrampled: &Trampled{},
		KindSprayed: &Sprayed{}, KindNitrogen: &Nitrogen{}, KindCut: &Cut{}, KindGrazed: &Grazed{},
		KindLot: &LotFacts{}, KindSampled: &Sampled{}, KindLab: &Lab{}, KindWater: &Water{}, KindFed: &Fed{},
		KindUsedUp: &UsedUp{},
		KindHerd:   &HerdFacts{}, KindIncident: &Incident{}, KindVet: &Vet{}, KindRound: &Round{}, KindDone: &Done{},
		KindRead: &Read{}, KindStrike: &Strike{},
	}
})

// Kinds returns every kind, in alphabetical order.
func Kinds() []Kind { return slices.Sorted(maps.Keys(bodies())) }

// NewBody returns an empty body of kind k, or nil for an unknown kind.
func NewBody(k Kind) Body {
	b, ok := bodies()[k]
	if !ok {
		return nil
	}
	return reflect.New(reflect.TypeOf(b).Elem()).Interface().(Body)
}

// FieldInfo describes one field of a kind for forms, help and documents.
type FieldInfo struct {
	Name     string
	Required bool
	Group    string   // at least one field of a group is required
	Choices  []string // the words allowed, empty for any
}

// FieldsOf lists the fields of kind k in the order they are written.
func FieldsOf(k Kind) []FieldInfo {
	b, ok := bodies()[k]
	if !ok {
		return nil
	}
	var out []FieldInfo
	for _, f := range planOf(b).fields {
		out = append(out, FieldInfo{f.name, f.required, f.group, f.choices})
	}
	return out
}
