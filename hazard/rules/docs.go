package rules

import (
	"rimegate/fields"
	"rimegate/hazard"
)

// Doc is all that is known of one rule, for rules list and rules show.
type Doc struct {
	ID         string
	Title      string
	Governs    string   // what it decides
	Value      float64  // the default, in Unit; of a word rule see Word
	Word       string   // the default of a rule whose value is a word
	Choices    []string // the words allowed
	Unit       string
	Stricter   string    // larger, smaller, or the strictest word
	Limit      float64   // laxest value a farm may set
	Published  []float64 // every number in print, ascending, in Unit
	Basis      string    // published, common-practice, ours, memory
	CheckedOn  fields.Date
	Sources    []hazard.Source // each with what it says
	Derivation string          // how the number was computed
	Why        string          // why the default is not the strictest in print
	Fixed      bool            // a reason that is no number and cannot be overridden
}

// Says prints the default with its unit, "" for a fixed reason.
func (d Doc) Says() string {
	switch {
	case d.Fixed:
		return ""
	case d.Word != "":
		return d.Word
	}
	return withUnit(d.Value, d.Unit)
}

// SaysLimit prints the limit with its unit, "" where there is none.
func (d Doc) SaysLimit() string {
	if d.Fixed || d.Word != "" {
		return ""
	}
	return withUnit(d.Limit, d.Unit)
}

// Docs returns every rule and fixed reason of the embedded rulebook, in the
// order of their ids' kind.
func Docs() []Doc { return append([]Doc(nil), embedded().docs...) }

// DocOf returns one of them.
func DocOf(id string) (Doc, bool) {
	b := embedded()
	i, ok := b.byID[id]
	if !ok {
		return Doc{}, false
	}
	return b.docs[i], true
}

// SpeciesDocs returns the species table, sorted by id. The rows are shared and
// must not be changed.
func SpeciesDocs() []*hazard.Species { return append([]*hazard.Species(nil), embedded().species...) }

// FrostOf returns what is published of a species' hardiness, with its
// publishers, "" where nothing was read or the id is no single plant.
func FrostOf(id string) string { return embedded().frost[id] }

// SourceOf returns a publication by its id.
func SourceOf(id string) (hazard.Source, bool) {
	s, ok := embedded().sources[id]
	return s, ok
}

// TableNote returns what has to be known of a nitrate table beside its bands,
// "" for nothing.
func TableNote(id string) string { return embedded().notes[id] }
