package fields

import (
	"reflect"
	"sort"
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

// makers is the one list of kinds; a new kind is a body type and a line here.
var makers = map[Kind]func() Body{
	KindFarm:     func() Body { return new(Farm) },
	KindOverride: func() Body { return new(Override) },
	KindPaddock:  func() Body { return new(PaddockFacts) },
	KindSplit:    func() Body { return new(Split) },
	KindJoin:     func() Body { return new(Join) },
	KindSown:     func() Body { return new(Sown) },
	KindSeen:     func() Body { return new(Seen) },
	KindStation:  func() Body { return new(StationFacts) },
	KindReading:  func() Body { return new(Reading) },
	KindForecast: func() Body { return new(Forecast) },
	KindNoFrost:  func() Body { return new(NoFrost) },
	KindFrost:    func() Body { return new(Frost) },
	KindWalk:     func() Body { return new(Walk) },
	KindDrought:  func() Body { return new(Drought) },
	KindRain:     func() Body { return new(Rain) },
	KindHail:     func() Body { return new(Hail) },
	KindTrampled: func() Body { return new(Trampled) },
	KindSprayed:  func() Body { return new(Sprayed) },
	KindNitrogen: func() Body { return new(Nitrogen) },
	KindCut:      func() Body { return new(Cut) },
	KindGrazed:   func() Body { return new(Grazed) },
	KindLot:      func() Body { return new(LotFacts) },
	KindSampled:  func() Body { return new(Sampled) },
	KindLab:      func() Body { return new(Lab) },
	KindWater:    func() Body { return new(Water) },
	KindFed:      func() Body { return new(Fed) },
	KindHerd:     func() Body { return new(HerdFacts) },
	KindIncident: func() Body { return new(Incident) },
	KindVet:      func() Body { return new(Vet) },
	KindRound:    func() Body { return new(Round) },
	KindDone:     func() Body { return new(Done) },
	KindRead:     func() Body { return new(Read) },
	KindStrike:   func() Body { return new(Strike) },
}

// Kinds returns every kind, in alphabetical order.
func Kinds() []Kind {
	ks := make([]Kind, 0, len(makers))
	for k := range makers {
		ks = append(ks, k)
	}
	sort.Slice(ks, func(i, j int) bool { return ks[i] < ks[j] })
	return ks
}

// NewBody returns an empty body of kind k, or nil for an unknown kind.
func NewBody(k Kind) Body {
	m, ok := makers[k]
	if !ok {
		return nil
	}
	return m()
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
	b := NewBody(k)
	if b == nil {
		return nil
	}
	var out []FieldInfo
	for _, f := range planOf(reflect.TypeOf(b).Elem()).fields {
		out = append(out, FieldInfo{f.name, f.required, f.group, f.choices})
	}
	return out
}
