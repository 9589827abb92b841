package fields

import (
	"maps"
	"reflect"
	"slices"
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
	KindHerd     Kind = "herd"
	KindIncident Kind = "incident"
	KindVet      Kind = "vet"
	KindRound    Kind = "round"
	KindDone     Kind = "done"
	KindRead     Kind = "read"
	KindStrike   Kind = "strike"
)

// bodies is the one list of kinds; a new kind is a body type and a place here.
var bodies = []Body{
	&Farm{}, &Override{}, &PaddockFacts{}, &Split{}, &Join{}, &Sown{}, &Seen{}, &StationFacts{}, &Reading{}, &Forecast{},
	&NoFrost{}, &Frost{}, &Walk{}, &Drought{}, &Rain{}, &Hail{}, &Trampled{}, &Sprayed{}, &Nitrogen{}, &Cut{}, &Grazed{},
	&LotFacts{}, &Sampled{}, &Lab{}, &Water{}, &Fed{}, &HerdFacts{}, &Incident{}, &Vet{}, &Round{}, &Done{}, &Read{}, &Strike{},
}

var typeOf = func() map[Kind]reflect.Type {
	m := map[Kind]reflect.Type{}
	for _, b := range bodies {
		m[b.Kind()] = reflect.TypeOf(b).Elem()
	}
	return m
}()

// Kinds returns every kind, in alphabetical order.
func Kinds() []Kind { return slices.Sorted(maps.Keys(typeOf)) }

// NewBody returns an empty body of kind k, or nil for an unknown kind.
func NewBody(k Kind) Body {
	t, ok := typeOf[k]
	if !ok {
		return nil
	}
	return reflect.New(t).Interface().(Body)
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
	t, ok := typeOf[k]
	if !ok {
		return nil
	}
	var out []FieldInfo
	for _, f := range planOf(t).fields {
		out = append(out, FieldInfo{f.name, f.required, f.group, f.choices})
	}
	return out
}
