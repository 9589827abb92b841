package fields

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// Check reports everything impossible in an entry, however it was made: typed,
// imported or built by a screen. It does not look at other entries.
func Check(e *Entry) Problems { return checkEntry(e, nil) }

// checkEntry is Check for an entry of which some fields could not be read.
func checkEntry(e *Entry, unread map[string]bool) Problems {
	var ps Problems
	if e.Recorded.IsZero() && !unread["recorded"] {
		ps = append(ps, Problem{Field: "recorded", What: "is missing"})
	}
	if strings.TrimSpace(e.By) == "" && !unread["by"] {
		ps = append(ps, Problem{Field: "by", What: "is missing", Type: "say who signs, with --by NAME"})
	}
	return append(ps, CheckBody(e, unread)...)
}

// CheckBody is Check but for who signed and when. Fields that could not be read
// were reported already: they count as said, and are not reported again.
func CheckBody(e *Entry, unread map[string]bool) Problems {
	var ps Problems
	add := func(field, what, hint string) {
		if !unread[field] {
			ps = append(ps, Problem{Field: field, What: what, Type: hint})
		}
	}
	for _, s := range []string{e.By, e.Note} {
		if !utf8.ValidString(s) {
			add("note", "is not UTF-8 text", "")
		}
	}
	v := reflect.ValueOf(e.Body).Elem()
	p := planOf(v.Type())
	groups := map[string][]string{}
	have := map[string]bool{}
	dateUnread := unread["on"] || unread["at"]
	for i := range p.fields {
		f := &p.fields[i]
		fv := v.Field(f.index)
		zero := fv.IsZero()
		switch fv.Interface().(type) {
		case Date, time.Time:
			dateUnread = dateUnread || unread[f.name]
		}
		if f.typ.Kind() == reflect.Slice && fv.Len() == 0 && !zero && f.name != "alive" && f.name != "absent" && f.name != "species" {
			add(f.name, "is an empty list", "leave the field out instead")
			continue
		}
		if f.group != "" {
			groups[f.group] = append(groups[f.group], f.name)
			have[f.group] = have[f.group] || !zero || unread[f.name]
		}
		if zero {
			if f.required {
				add(f.name, "is missing", "")
			}
			continue
		}
		for _, prob := range checkValue(fv, f) {
			add(f.name, prob, "")
		}
	}
	for i := range p.fields {
		f := &p.fields[i]
		if f.group != "" && !have[f.group] {
			have[f.group] = true
			add(groups[f.group][0], "is missing", "give "+strings.Join(groups[f.group], " or "))
		}
	}
	if e.EventDate(time.UTC) == NoDate && !dateUnread {
		add("on", "is missing", "say the day, like 2026-09-17")
	}
	if e.Batch != "" && !validULID(e.Batch) {
		add("batch", fmt.Sprintf("%q is not a ULID", e.Batch), "it has 26 letters and digits")
	}
	if e.ID != "" && !validULID(e.ID) {
		add("id", fmt.Sprintf("%q is not a ULID", e.ID), "it has 26 letters and digits")
	}
	for _, prob := range checkBody(e) {
		add(prob.Field, prob.What, prob.Type)
	}
	return ps
}

func checkValue(fv reflect.Value, f *fieldPlan) []string {
	var out []string
	text := func(s string) {
		switch {
		case !utf8.ValidString(s):
			out = append(out, "is not UTF-8 text")
		case f.required && strings.TrimSpace(s) == "":
			out = append(out, "is empty")
		case f.ref && !validRef(s):
			out = append(out, fmt.Sprintf("%q is not a short name; use letters, digits, - and _ (at most 64)", s))
		case len(f.choices) > 0 && !contains(f.choices, s):
			out = append(out, fmt.Sprintf("%q is not one of %s", s, strings.Join(f.choices, ", ")))
		case len(s) > 64<<10:
			out = append(out, "is longer than 65,536 bytes")
		}
	}
	number := func(n float64) {
		if math.IsNaN(n) || math.IsInf(n, 0) || f.bounded && (n < f.lo || n > f.hi) {
			out = append(out, fmt.Sprintf("%v cannot be; it lies between %v and %v", n, f.lo, f.hi))
		}
	}
	if fv.Kind() == reflect.String {
		text(fv.String())
	}
	switch x := fv.Interface().(type) {
	case *float64:
		number(*x)
	case []Value:
		for _, v := range x {
			number(v.N)
		}
	case []Span:
		for _, s := range x {
			if !s.From.Before(s.To) {
				out = append(out, fmt.Sprintf("a part of the night ends at %s, not after it began", s.To.Format(time.RFC3339)))
			}
		}
	case *Watch:
		if r := x.Record; r != nil {
			out = append(out, r.problems()...)
		}
	case []string:
		seen := map[string]bool{}
		for _, s := range x {
			text(s)
			if strings.TrimSpace(s) == "" {
				out = append(out, "has an empty name")
			}
			if seen[s] {
				out = append(out, fmt.Sprintf("names %q twice", s))
			}
			seen[s] = true
		}
	case []SpeciesShare:
		for _, s := range x {
			if strings.TrimSpace(s.Species) == "" || !utf8.ValidString(s.Species) {
				out = append(out, "has a species without a name")
			}
			if s.Share != nil && (math.IsNaN(*s.Share) || *s.Share < 0 || *s.Share > 100) {
				out = append(out, fmt.Sprintf("share %v cannot be; it lies between 0 and 100 percent", *s.Share))
			}
		}
	case *RuleValue:
		if x.Number == nil && strings.TrimSpace(x.Word) == "" {
			out = append(out, "is empty")
		}
		if x.Number != nil && (math.IsNaN(*x.Number) || math.IsInf(*x.Number, 0)) {
			out = append(out, "is not a number that can be")
		}
	}
	return out
}

// checkBody holds the conditions that concern several fields of one kind.
func checkBody(e *Entry) Problems {
	var ps Problems
	add := func(field, what, hint string) { ps = append(ps, Problem{Field: field, What: what, Type: hint}) }
	switch b := e.Body.(type) {
	case *Farm:
		if b.Zone != "" {
			if _, err := LoadZone(b.Zone); err != nil {
				add("zone", err.Error(), "")
			}
		}
	case *PaddockFacts:
		if b.OffsetC != nil && *b.OffsetC > 0 {
			add("offset_c", fmt.Sprintf("%v is above 0", *b.OffsetC), "an offset can only make a paddock colder than its thermometer")
		}
	case *Seen:
		if b.Species != nil && len(b.Species) == 0 {
			add("species", "is an empty list", "name what was found growing")
		}
	case *NoFrost:
		if b.To < b.From && b.To != NoDate {
			add("to", fmt.Sprintf("%s is before %s", b.To, b.From), "")
		}
		if b.To.Sub(b.From) > 370 {
			add("to", "the statement spans more than a year", "")
		}
	case *Reading:
		for _, s := range b.Spans { // in any zone the night of D lies within these days
			if d := DateOf(s.From, time.UTC); d < b.Night-2 || DateOf(s.To, time.UTC) > b.Night+2 {
				add("spans", fmt.Sprintf("the part from %s to %s lies outside the night of %s", s.From.Format(time.RFC3339), s.To.Format(time.RFC3339), b.Night), "")
			}
		}
		if b.LowC != nil && b.BelowZero != nil && *b.LowC <= 0 && !*b.BelowZero {
			add("below_zero", fmt.Sprintf("false, but the low is %v °C", *b.LowC), "leave one of the two out")
		}
	case *Nitrogen:
		if b.KgNHa != nil && b.RateUnknown != nil && *b.RateUnknown {
			add("rate_unknown", "stands beside a rate", "leave one of the two out")
		}
		if b.KgNHa == nil && b.RateUnknown != nil && !*b.RateUnknown {
			add("kg_n_ha", "is missing", "say the rate, or rate_unknown true")
		}
	case *Fed:
		if b.To != NoDate && b.To < b.From {
			add("to", fmt.Sprintf("%s is before %s", b.To, b.From), "")
		}
	case *Walk:
		if b.DamageNight != NoDate && e.On != NoDate && b.DamageNight > e.On {
			add("damage_night", fmt.Sprintf("%s is after the walk of %s", b.DamageNight, e.On), "")
		}
	case *Lab:
		if b.Analyte == "nitrate" && b.Form == "" {
			add("form", "is missing for a nitrate result", "NO3, NO3-N, KNO3 or NaNO3: between NO3 and NO3-N lies a factor of 4.43, between KNO3 and NO3-N one of 7.22")
		}
		if b.Analyte == "nitrate" && b.Basis == "as-fed" && b.DMPct == nil {
			add("dm_pct", "is missing for a nitrate result as fed", "say the dry matter in percent: as fed, the number hides how much of it is water")
		}
		if b.Analyte == "hcn" && b.Form != "" {
			add("form", "belongs to nitrate results only", "")
		}
		if b.Unit == "%" {
			for _, v := range b.Values {
				if v.N > 100 {
					add("values", fmt.Sprintf("%v %% cannot be", v.N), "")
				}
			}
		}
	case *Vet:
		if b.Advice == "may-graze" && b.Until == NoDate {
			add("until", "is missing", "a may-graze needs its last day")
		}
		if d := e.EventDate(time.UTC); b.Until != NoDate && b.Until < d {
			add("until", fmt.Sprintf("%s is before %s", b.Until, d), "")
		}
	case *Strike:
		if b.Entry != "" && !validULID(b.Entry) {
			add("entry", fmt.Sprintf("%q is not the id of an entry", b.Entry), "it has 26 letters and digits")
		}
		if b.Batch != "" && !validULID(b.Batch) {
			add("batch", fmt.Sprintf("%q is not the id of an import", b.Batch), "it has 26 letters and digits")
		}
		if b.Entry != "" && b.Batch != "" {
			add("batch", "stands beside an entry", "a strike names an entry or a batch, not both")
		}
	case *Split:
		if len(b.From) != 1 {
			add("from", "a split has one paddock it comes from", "")
		}
		if len(b.Into) < 2 {
			add("into", "a split makes at least two paddocks", "")
		}
		ps = append(ps, noOverlap(b.From, b.Into)...)
	case *Join:
		if len(b.Into) != 1 {
			add("into", "a join makes one paddock", "")
		}
		if len(b.From) < 2 {
			add("from", "a join takes at least two paddocks", "")
		}
		ps = append(ps, noOverlap(b.From, b.Into)...)
	}
	return ps
}

func noOverlap(from, into []string) Problems {
	for _, f := range from {
		if contains(into, f) {
			return Problems{{Field: "into", What: fmt.Sprintf("%q stands on both sides", f), Type: "give the new paddock a new short name"}}
		}
	}
	return nil
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// validRef reports whether s can be a short name of a paddock, station, herd
// or lot: letters, digits, - _ and . only, not beginning with a sign.
func validRef(s string) bool {
	if s == "" || utf8.RuneCountInString(s) > 64 {
		return false
	}
	for i, r := range s {
		switch {
		case unicode.IsLetter(r), unicode.IsDigit(r):
		case i > 0 && (r == '-' || r == '_' || r == '.'):
		default:
			return false
		}
	}
	return true
}
