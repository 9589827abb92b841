package rules

import (
	"math"
	"slices"
	"sort"
	"strconv"

	"github.com/pelletier/go-toml/v2"

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

// unit says what numbers of a unit are possible.
type unit struct {
	lo, hi float64
	whole  bool
}

var units = map[string]unit{
	"days":                     {0, 3650, true},
	"hours":                    {0, 24, false},
	"°C":                       {-90, 60, false},
	"cm":                       {0, 1000, false},
	"cm a day":                 {0, 100, false},
	"ppm HCN on dry matter":    {0, 1e6, false},
	"ppm HCN as is":            {0, 1e6, false},
	"kg N/ha":                  {0, 2000, false},
	"mg NO3-N per litre":       {0, 1e5, false},
	"litres per kg dry matter": {0, 100, false},
	"%":                        {0, 100, false},
	"stems":                    {1, 1e5, true},
	"spots":                    {1, 1e5, true},
	"bales":                    {1, 1e6, true},
	"times the mean":           {1, 1000, false},
}

func (u unit) holds(v float64) bool {
	return !math.IsNaN(v) && v >= u.lo && v <= u.hi && (!u.whole || v == math.Trunc(v))
}

// laxer reports whether a is less cautious than b.
func laxer(a, b float64, stricter string) bool {
	if stricter == "larger" {
		return a < b
	}
	return a > b
}

func (r *reader) readRules(docs []*doc) {
	for _, d := range docs {
		var f ruleFile
		if !d.decode(&f, &r.problems) {
			r.whole = false
			continue
		}
		for i := range f.Rule {
			r.readRule(d, at("rule", i), &f.Rule[i])
		}
	}
	sort.SliceStable(r.docs, func(i, j int) bool { return order(r.docs[i].ID) < order(r.docs[j].ID) })
	r.reindex()
}

func (r *reader) reindex() {
	for i := range r.docs {
		r.byID[r.docs[i].ID] = i
	}
}

// order is the place of a rule in every list: by key, the rules with words
// before the first nitrate rule.
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

func (r *reader) readRule(d *doc, path string, s *ruleShape) {
	key, numbered := hazard.RuleKeyOf(s.ID)
	worded := slices.Contains(wordRules, s.ID)
	before := len(r.problems)
	switch {
	case s.ID == "":
		r.add(d, path, "id is missing")
	case !numbered && !worded:
		r.add(d, dot(path, "id"), "there is no rule %q", s.ID)
	case !r.once(d, dot(path, "id"), "rule", s.ID):
		return
	}
	r.need(d, path, "title", s.Title)
	r.need(d, path, "governs", s.Governs)
	r.need(d, path, "unit", s.Unit)
	doc := Doc{
		ID: s.ID, Title: s.Title, Governs: s.Governs, Unit: s.Unit, Stricter: s.Stricter,
		Basis: s.Basis, Derivation: s.Derivation, Why: s.Why, CheckedOn: r.date(d, path, s.CheckedOn),
		Sources: r.cite(d, path, s.Sources),
	}
	r.basis(d, path, s.Basis, s.Sources)
	if s.Basis == BasisOurs && s.Derivation == "" {
		r.add(d, path, "%s is ours without a derivation in words", s.ID)
	}
	if worded {
		r.wordRule(d, path, s, &doc)
	} else {
		r.numberRule(d, path, s, &doc)
	}
	if s.ID != "" && (numbered || worded) {
		// Kept even with faults, so that it is not called missing besides.
		r.docs = append(r.docs, doc)
		r.byID[s.ID] = len(r.docs) - 1
	}
	if len(r.problems) > before {
		return
	}
	if numbered {
		r.book.V[key] = *s.Value
	}
	r.book.Info[s.ID] = hazard.RuleInfo{ID: s.ID, Title: s.Title, Unit: s.Unit, Basis: s.Basis, Sources: doc.Sources}
}

func (r *reader) wordRule(d *doc, path string, s *ruleShape, doc *Doc) {
	if s.Value != nil {
		r.add(d, dot(path, "value"), "%s has a word, not a value", s.ID)
	}
	if s.Limit != nil {
		r.add(d, dot(path, "limit"), "%s has a word, not a limit", s.ID)
	}
	r.need(d, path, "word", s.Word)
	if s.Stricter != s.Word {
		r.add(d, dot(path, "stricter"), "%s: the default %q is not the strictest word %q", s.ID, s.Word, s.Stricter)
	}
	doc.Word = s.Word
	switch s.Choices {
	case "tables":
		if s.ID == ruleTables && s.Word != allTables {
			r.add(d, dot(path, "word"), "the default of %s is %q", s.ID, allTables)
		}
		doc.Choices = []string{allTables}
		for i := range r.book.Tables {
			if !r.book.Tables[i].OneRow {
				doc.Choices = append(doc.Choices, r.book.Tables[i].ID)
			}
		}
	case "fixed":
		doc.Choices = []string{s.Word}
	default:
		r.add(d, dot(path, "choices"), "choices of %s must be tables or fixed", s.ID)
	}
}

func (r *reader) numberRule(d *doc, path string, s *ruleShape, doc *Doc) {
	if s.Word != "" || s.Choices != "" {
		r.add(d, dot(path, "word"), "%s has a number, not a word", s.ID)
	}
	if s.Stricter != "larger" && s.Stricter != "smaller" {
		r.add(d, dot(path, "stricter"), "stricter of %s must be larger or smaller", s.ID)
	}
	u, known := units[s.Unit]
	if !known && s.Unit != "" {
		r.add(d, dot(path, "unit"), "%q is no unit of a rule", s.Unit)
	}
	possible := func(key string, v float64) {
		if known && !u.holds(v) {
			r.add(d, dot(path, key), "%s %s cannot be", key, withUnit(v, s.Unit))
		}
	}
	for i, c := range s.Sources {
		for j, v := range c.Values {
			possible(at(dot(at("sources", i), "values"), j), v)
			doc.Published = append(doc.Published, v)
		}
	}
	sort.Float64s(doc.Published)
	doc.Published = slices.Compact(doc.Published)
	if s.Value == nil {
		r.add(d, path, "value of %s is missing", s.ID)
		return
	}
	if s.Limit == nil {
		r.add(d, path, "limit of %s is missing", s.ID)
		return
	}
	v, limit := *s.Value, *s.Limit
	doc.Value, doc.Limit = v, limit
	possible("value", v)
	possible("limit", limit)
	if laxer(v, limit, s.Stricter) {
		r.add(d, dot(path, "value"), "value %s of %s lies beyond its limit %s", number(v), s.ID, withUnit(limit, s.Unit))
	}
	if s.Basis == BasisPublished && len(doc.Published) == 0 {
		r.add(d, path, "%s is published, but no source gives a value", s.ID)
	}
	if n := len(doc.Published); n > 0 && s.Basis != BasisOurs {
		lo, hi := doc.Published[0], doc.Published[n-1]
		strictest := hi
		if s.Stricter == "smaller" {
			strictest = lo
		}
		switch {
		case v < lo || v > hi:
			r.add(d, dot(path, "value"), "value %s of %s lies outside what is published (%s to %s) and its basis is not ours", number(v), s.ID, number(lo), withUnit(hi, s.Unit))
		case laxer(v, strictest, s.Stricter) && s.Why == "":
			r.add(d, dot(path, "value"), "value %s of %s is not the strictest in print (%s) and no why says why", number(v), s.ID, withUnit(strictest, s.Unit))
		}
	}
}

func (r *reader) basis(d *doc, path, basis string, sources []citation) {
	if !slices.Contains(bases, basis) {
		r.add(d, dot(path, "basis"), "basis %q is not one of %s", basis, list(bases))
		return
	}
	if basis == BasisMemory && len(sources) > 0 {
		r.add(d, dot(path, "basis"), "what is from memory is shipped as published: a rule from memory names no source")
	}
	if basis == BasisPublished && len(sources) == 0 {
		r.add(d, dot(path, "basis"), "a published rule names no source: sources is missing")
	}
}

func (r *reader) date(d *doc, path string, on *toml.LocalDate) fields.Date {
	if on == nil {
		r.add(d, path, "checked_on is missing")
		return fields.NoDate
	}
	date, err := fields.ParseISODate(on.String())
	if err != nil {
		r.add(d, dot(path, "checked_on"), "checked_on %s", err)
	}
	return date
}

func (r *reader) readFixed(d *doc) {
	var f fixedFile
	if !d.decode(&f, &r.problems) {
		r.whole = false
		return
	}
	for i := range f.Fixed {
		s, path := &f.Fixed[i], at("fixed", i)
		switch {
		case s.ID == "":
			r.add(d, path, "id is missing")
			continue
		case !slices.Contains(fixedIDs, s.ID):
			r.add(d, dot(path, "id"), "there is no fixed reason %q", s.ID)
			continue
		case !r.once(d, dot(path, "id"), "fixed reason", s.ID):
			continue
		}
		r.need(d, path, "title", s.Title)
		r.basis(d, path, s.Basis, s.Sources)
		doc := Doc{ID: s.ID, Title: s.Title, Basis: s.Basis, Fixed: true, CheckedOn: r.date(d, path, s.CheckedOn), Sources: r.cite(d, path, s.Sources)}
		r.docs = append(r.docs, doc)
		r.book.Info[s.ID] = hazard.RuleInfo{ID: s.ID, Title: s.Title, Basis: s.Basis, Sources: doc.Sources}
	}
	sort.SliceStable(r.docs, func(i, j int) bool { return order(r.docs[i].ID) < order(r.docs[j].ID) })
	r.reindex()
}

func itoa(i int) string { return strconv.Itoa(i) }

// number prints a rule's number without needless digits.
func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// withUnit prints a number with its unit: 14 days, 0.6 °C, 20 %.
func withUnit(v float64, unit string) string {
	if v == 1 {
		switch unit {
		case "days", "hours", "stems", "spots", "bales":
			unit = unit[:len(unit)-1]
		}
	}
	if unit == "" {
		return number(v)
	}
	return number(v) + " " + unit
}
