package rules

import (
	"slices"

	"rimegate/fields"
	"rimegate/hazard"
)

// wordRules are the rules whose value is a word.
var wordRules = []string{ruleTables, ruleBlendTarget}

const (
	ruleTables      = "nitrate.tables"
	ruleBlendTarget = "nitrate.blend.target"
	allTables       = "all"
)

// fixedIDs are the reasons that are no number of the rulebook.
var fixedIDs = []string{
	"incident", "vet.keep-off", "vet.may-graze", "species.unknown", "species.not-listed", "species.horses",
	"species.flax", "height.unmeasured", "shoots", "night.unread", "night.light", "nitrate.weedy", "forecast", "use.no-swath", "use.no-crop",
}

// Bases of a value.
const (
	BasisPublished = "published"       // a publication prints it
	BasisCommon    = "common-practice" // usual, no source
	BasisOurs      = "ours"            // no publication gives a number
	BasisMemory    = "memory"          // remembered, nothing read
)

var bases = []string{BasisPublished, BasisCommon, BasisOurs, BasisMemory}

// laxer reports whether a is less cautious than b.
func (d *Doc) laxer(a, b float64) bool {
	if d.Stricter == "larger" {
		return a < b
	}
	return a > b
}

// knownIDs are all rules in the order of every list: by key, the rules with
// words before the first nitrate rule, the fixed reasons last.
func knownIDs() (out []string) {
	for k := range hazard.NumRules {
		if k == hazard.NitrateStandingLife {
			out = append(out, wordRules...)
		}
		out = append(out, k.String())
	}
	return append(out, fixedIDs...)
}

// Doc is all that is known of one rule, for rules list and rules show.
type Doc struct {
	reasonShape
	Governs    string          `need:""` // what it decides
	Unit       string          `need:""`
	Value      float64         // the default, in Unit; of a word rule see Word
	Limit      float64         // laxest value a farm may set
	Word       string          // the default of a rule whose value is a word
	Stricter   string          // larger, smaller, or the strictest word
	Derivation string          // how the number was computed
	Why        string          // why the default is not the strictest in print
	Choices    []string        `toml:"-"` // the words allowed
	Published  []float64       `toml:"-"` // every number in print, ascending, in Unit
	Sources    []hazard.Source `toml:"-"` // each with what it says
	Fixed      bool            `toml:"-"` // a reason that is no number and cannot be overridden
}

// reasonShape is what a rule and a fixed reason share.
type reasonShape struct {
	ID        string      `need:""`
	Title     string      `need:""`
	Basis     string      // published, common-practice, ours, memory
	CheckedOn fields.Date `need:""`
	Cites     []struct {
		ID, Says string
		Values   []float64 // the ends of what it prints, in the rule's unit
	} `toml:"sources"`
}

type ruleShape struct {
	Doc
	Choices string // of a word: "tables" or "fixed"
}

// doc checks what rules and fixed reasons share and keeps it.
func (r *reader) doc(s spot, d Doc) *Doc {
	for i, c := range d.Cites {
		at := s.at("sources", i)
		if src, ok := r.cited(at.at("id"), c.ID); ok {
			saysNothing(at, c.ID, c.Says)
			at.remembered("says", c.Says)
			src.Says = c.Says
			d.Sources = append(d.Sources, src)
		}
		d.Published = append(d.Published, c.Values...)
	}
	slices.Sort(d.Published)
	d.Published = slices.Compact(d.Published)
	named := len(d.Cites) > 0 || s.at("sources").bad
	s.refuse(!slices.Contains(bases, d.Basis), "basis", "basis %q is not one of %s", d.Basis, list(bases, " and "))
	s.refuse(d.Basis == BasisMemory && named, "basis", "what is from memory is shipped as published: a rule from memory names no source")
	s.refuse(d.Basis == BasisPublished && !named, "basis", "a published rule names no source: sources is missing")
	r.docs = append(r.docs, d)
	r.byID[d.ID] = len(r.docs) - 1
	return &r.docs[len(r.docs)-1]
}

// info is what answers show of it.
func (d *Doc) info() hazard.RuleInfo {
	return hazard.RuleInfo{ID: d.ID, Title: d.Title, Unit: d.Unit, Basis: d.Basis, Sources: d.Sources}
}

func (r *reader) readRules(s spot) {
	var f struct{ Rule []ruleShape }
	s.decode(&f)
	for i := range f.Rule {
		r.readRule(s.at("rule", i), &f.Rule[i])
	}
}

func (r *reader) readRule(s spot, f *ruleShape) {
	key, numbered := hazard.RuleKeyOf(f.ID)
	worded := slices.Contains(wordRules, f.ID)
	if !numbered && !worded {
		s.refuse(f.ID != "", "id",
			"there is no rule %q; `rimegate rules list` has their ids, and a new one needs its key in hazard/rulebook.go first", f.ID)
		return
	}
	if !r.once(s, "rule", f.ID) {
		return
	}
	d := r.doc(s, f.Doc)
	s.refuse(f.Basis == BasisOurs && f.Derivation == "", "", "%s is ours without a derivation in words", f.ID)
	if worded {
		r.wordRule(s, f, d)
	} else if r.numberRule(s, f, d) {
		r.book.V[key] = d.Value
	}
	r.book.Info[d.ID] = d.info()
	r.reviewRule(s, d)
}

func (r *reader) wordRule(s spot, f *ruleShape, d *Doc) {
	s.refuse(s.find("value") != nil, "value", "%s has a word, not a value", f.ID)
	s.refuse(s.find("limit") != nil, "limit", "%s has a word, not a limit", f.ID)
	s.refuse(f.Word == "", "word", "word is missing")
	s.refuse(f.Stricter != f.Word, "stricter", "%s: the default %q is not the strictest word %q", f.ID, f.Word, f.Stricter)
	s.refuse(f.ID == ruleTables && f.Word != allTables, "word", "the default of %s is %q", f.ID, allTables)
	d.Choices = []string{f.Word}
	switch f.Choices {
	case "tables":
		for i := range r.book.Tables {
			if !r.book.Tables[i].OneRow {
				d.Choices = append(d.Choices, r.book.Tables[i].ID)
			}
		}
	case "fixed":
	default:
		s.at("choices").add("choices of %s must be tables or fixed", f.ID)
	}
}

func (r *reader) numberRule(s spot, f *ruleShape, d *Doc) bool {
	s.refuse(f.Word != "" || f.Choices != "", "word", "%s has a number, not a word", f.ID)
	s.refuse(f.Stricter != "larger" && f.Stricter != "smaller", "stricter", "stricter of %s must be larger or smaller", f.ID)
	u, known := units[f.Unit]
	s.refuse(!known && f.Unit != "", "unit", "%q is no unit of a rule", f.Unit)
	possible := func(at spot, key string, v float64) {
		at.refuse(known && !u.holds(v), "", "%s %s cannot be", key, withUnit(v, f.Unit))
	}
	for i, c := range f.Cites {
		for j, v := range c.Values {
			possible(s.at("sources", i, "values", j), "values", v)
		}
	}
	for _, key := range []string{"value", "limit"} {
		if s.find(key) == nil {
			s.add("%s of %s is missing", key, f.ID)
			return false
		}
	}
	if s.broken() {
		return true
	}
	v, limit := d.Value, d.Limit
	at := s.at("value")
	possible(at, "value", v)
	possible(s.at("limit"), "limit", limit)
	at.refuse(d.laxer(v, limit), "", "value %s of %s lies beyond its limit %s", number(v), f.ID, withUnit(limit, f.Unit))
	n := len(d.Published)
	s.refuse(f.Basis == BasisPublished && n == 0, "", "%s is published, but no source gives a value", f.ID)
	if n == 0 || f.Basis == BasisOurs {
		return true
	}
	lo, hi := d.Published[0], d.Published[n-1]
	strictest := hi
	if f.Stricter == "smaller" {
		strictest = lo
	}
	outside := v < lo || v > hi
	at.refuse(outside, "", "value %s of %s lies outside what is published (%s to %s) and its basis is not ours",
		number(v), f.ID, number(lo), withUnit(hi, f.Unit))
	at.refuse(!outside && d.laxer(v, strictest) && f.Why == "", "",
		"value %s of %s is not the strictest in print (%s) and no why says why", number(v), f.ID, withUnit(strictest, f.Unit))
	return true
}

func (r *reader) readFixed(s spot) {
	var f struct{ Fixed []reasonShape }
	s.decode(&f)
	for i := range f.Fixed {
		at, one := s.at("fixed", i), &f.Fixed[i]
		known := slices.Contains(fixedIDs, one.ID)
		at.refuse(one.ID != "" && !known, "id", "there is no fixed reason %q", one.ID)
		if known && r.once(at, "fixed reason", one.ID) {
			d := r.doc(at, Doc{reasonShape: *one, Fixed: true})
			d.Published = nil
			r.book.Info[d.ID] = d.info()
		}
	}
}
