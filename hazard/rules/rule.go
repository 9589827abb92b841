package rules

import (
	"slices"
	"strings"

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

// order is the place of a rule in every list: by key, the rules with words
// before the first nitrate rule, the fixed reasons last.
func order(id string) int {
	if k, ok := hazard.RuleKeyOf(id); ok {
		if k >= hazard.NitrateStandingLife {
			return int(k) + len(wordRules)
		}
		return int(k)
	}
	if i := slices.Index(wordRules, id); i >= 0 {
		return int(hazard.NitrateStandingLife) + i
	}
	return 1000 + slices.Index(fixedIDs, id)
}

// reasonShape is what a rule and a fixed reason share.
type reasonShape struct {
	ID        string `need:""`
	Title     string `need:""`
	Basis     string
	CheckedOn fields.Date `need:""`
	Sources   []struct {
		ID, Says string
		Values   []float64 // the ends of what it prints, in the rule's unit
	}
}

type ruleShape struct {
	reasonShape
	Governs, Unit   string   `need:""`
	Value, Limit    *float64 // of a number
	Word, Choices   string   // of a word; the choices are "tables" or "fixed"
	Stricter        string   // larger, smaller; of a word the strictest one
	Derivation, Why string
}

// doc checks what rules and fixed reasons share and keeps it.
func (r *reader) doc(s spot, f *reasonShape) *Doc {
	d := Doc{ID: f.ID, Title: f.Title, Basis: f.Basis, CheckedOn: f.CheckedOn}
	for i, c := range f.Sources {
		at := s.at("sources", i)
		if src, ok := r.cited(at.at("id"), c.ID); ok {
			saysNothing(at, c.ID, c.Says)
			at.refuse(strings.Contains(strings.ToLower(c.Says), "from memory"), "says", "what is from memory is not shipped as published")
			src.Says = c.Says
			d.Sources = append(d.Sources, src)
		}
		d.Published = append(d.Published, c.Values...)
	}
	slices.Sort(d.Published)
	d.Published = slices.Compact(d.Published)
	named := len(f.Sources) > 0
	s.refuse(!slices.Contains(bases, f.Basis), "basis", "basis %q is not one of %s", f.Basis, list(bases, " and "))
	s.refuse(f.Basis == BasisMemory && named, "basis", "what is from memory is shipped as published: a rule from memory names no source")
	s.refuse(f.Basis == BasisPublished && !named, "basis", "a published rule names no source: sources is missing")
	r.docs = append(r.docs, d)
	r.byID[d.ID] = len(r.docs) - 1
	return &r.docs[len(r.docs)-1]
}

func (r *reader) inform(d *Doc) {
	r.book.Info[d.ID] = hazard.RuleInfo{ID: d.ID, Title: d.Title, Unit: d.Unit, Basis: d.Basis, Sources: d.Sources}
}

func (r *reader) readRules(s spot) bool {
	var f struct{ Rule []ruleShape }
	ok := s.decode(&f)
	for i := 0; ok && i < len(f.Rule); i++ {
		r.readRule(s.at("rule", i), &f.Rule[i])
	}
	return ok
}

func (r *reader) readRule(s spot, f *ruleShape) {
	key, numbered := hazard.RuleKeyOf(f.ID)
	worded := slices.Contains(wordRules, f.ID)
	if !numbered && !worded {
		s.refuse(f.ID != "", "id", "there is no rule %q", f.ID)
		return
	}
	if !r.once(s, "rule", f.ID) {
		return
	}
	d := r.doc(s, &f.reasonShape)
	d.Governs, d.Unit, d.Stricter, d.Derivation, d.Why = f.Governs, f.Unit, f.Stricter, f.Derivation, f.Why
	s.refuse(f.Basis == BasisOurs && f.Derivation == "", "", "%s is ours without a derivation in words", f.ID)
	if worded {
		r.wordRule(s, f, d)
	} else if r.numberRule(s, f, d) {
		r.book.V[key] = d.Value
	}
	r.inform(d)
}

func (r *reader) wordRule(s spot, f *ruleShape, d *Doc) {
	s.refuse(f.Value != nil, "value", "%s has a word, not a value", f.ID)
	s.refuse(f.Limit != nil, "limit", "%s has a word, not a limit", f.ID)
	s.refuse(f.Word == "", "word", "word is missing")
	s.refuse(f.Stricter != f.Word, "stricter", "%s: the default %q is not the strictest word %q", f.ID, f.Word, f.Stricter)
	s.refuse(f.ID == ruleTables && f.Word != allTables, "word", "the default of %s is %q", f.ID, allTables)
	d.Word, d.Choices = f.Word, []string{f.Word}
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
	for i, c := range f.Sources {
		for j, v := range c.Values {
			at := s.at("sources", i, "values", j)
			possible(at, "values", v)
		}
	}
	if f.Value == nil || f.Limit == nil {
		s.refuse(f.Value == nil, "", "value of %s is missing", f.ID)
		s.refuse(f.Value != nil, "", "limit of %s is missing", f.ID)
		return false
	}
	v, limit := *f.Value, *f.Limit
	d.Value, d.Limit = v, limit
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

func (r *reader) readFixed(s spot) bool {
	var f struct{ Fixed []reasonShape }
	ok := s.decode(&f)
	for i := 0; ok && i < len(f.Fixed); i++ {
		at, one := s.at("fixed", i), &f.Fixed[i]
		known := slices.Contains(fixedIDs, one.ID)
		at.refuse(one.ID != "" && !known, "id", "there is no fixed reason %q", one.ID)
		if known && r.once(at, "fixed reason", one.ID) {
			d := r.doc(at, one)
			d.Fixed, d.Published = true, nil
			r.inform(d)
		}
	}
	return ok
}
