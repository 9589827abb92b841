package fields

import (
	"fmt"
	"math"
	"reflect"
	"slices"
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
func CheckBody(e *Entry, unread map[string]bool) (ps Problems) {
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
	p := planOf(e.Body)
	dateUnread := unread["on"] || unread["at"]
	for i := range p.fields {
		f := &p.fields[i]
		fv := v.Field(f.index)
		dateUnread = dateUnread || f.timed && unread[f.name]
		switch {
		case fv.Kind() == reflect.Slice && fv.Len() == 0 && !fv.IsZero():
			if !f.mayBeNone {
				add(f.name, "is an empty list", "leave the field out instead")
			}
		case !fv.IsZero():
			for _, wrong := range f.problems(fv) {
				add(f.name, wrong, "")
			}
		case f.required:
			add(f.name, "is missing", "")
		}
	}
	said := func(name string) bool { return unread[name] || !v.Field(p.fields[p.byName[name]].index).IsZero() }
	for _, group := range p.groups {
		if !slices.ContainsFunc(group, said) {
			add(group[0], "is missing", "give "+strings.Join(group, " or "))
		}
	}
	if e.EventDate(time.UTC) == NoDate && !dateUnread {
		add("on", "is missing", "say the day, like 2026-09-17")
	}
	for _, id := range [][2]string{{"batch", e.Batch}, {"id", e.ID}} {
		if id[1] != "" && !validULID(id[1]) {
			add(id[0], fmt.Sprintf("%q is not a ULID", id[1]), ulidForm)
		}
	}
	if b, ok := e.Body.(checked); ok {
		b.check(e, add)
	}
	return ps
}

const ulidForm = "it has 26 letters and digits"

// problems are what is impossible in the value of a field.
func (f *fieldPlan) problems(fv reflect.Value) (out []string) {
	add := func(wrong string) {
		if wrong != "" {
			out = append(out, wrong)
		}
	}
	if fv.Kind() == reflect.String {
		add(f.text(fv.String()))
		return out
	}
	switch x := fv.Interface().(type) {
	case *float64:
		add(f.number(*x))
	case []Value:
		for _, v := range x {
			add(f.number(v.N))
		}
	case []string:
		for i, s := range x {
			add(f.text(s))
			if strings.TrimSpace(s) == "" {
				add("has an empty name")
			}
			if slices.Contains(x[:i], s) {
				add(fmt.Sprintf("names %q twice", s))
			}
		}
	case []Span:
		for _, s := range x {
			if !s.From.Before(s.To) {
				add(fmt.Sprintf("a part of the night ends at %s, not after it began", s.To.Format(time.RFC3339)))
			}
		}
	case []SpeciesShare:
		for _, s := range x {
			if strings.TrimSpace(s.Species) == "" || !utf8.ValidString(s.Species) {
				add("has a species without a name")
			}
			if s.Share != nil {
				if err := shareProblem(*s.Share); err != nil {
					add(err.Error())
				}
			}
		}
	case *Watch:
		if x.Record != nil {
			out = append(out, x.Record.problems()...)
		}
	case *RuleValue:
		if x.Number == nil && strings.TrimSpace(x.Word) == "" {
			add("is empty")
		}
		if x.Number != nil && !finite(*x.Number) {
			add("is not a number that can be")
		}
	}
	return out
}

func (f *fieldPlan) text(s string) string {
	switch {
	case !utf8.ValidString(s):
		return "is not UTF-8 text"
	case f.required && strings.TrimSpace(s) == "":
		return "is empty"
	case f.of != "" && !validRef(s):
		return fmt.Sprintf("%q is not a short name; use letters, digits, - and _ (at most 64)", s)
	case len(f.choices) > 0 && !slices.Contains(f.choices, s):
		return fmt.Sprintf("%q is not one of %s", s, strings.Join(f.choices, ", "))
	case len(s) > 64<<10:
		return "is longer than 65,536 bytes"
	}
	return ""
}

func (f *fieldPlan) number(n float64) string {
	if !finite(n) || f.bounded && (n < f.lo || n > f.hi) {
		return fmt.Sprintf("%v cannot be; it lies between %v and %v", n, f.lo, f.hi)
	}
	return ""
}

func finite(n float64) bool { return !math.IsNaN(n) && !math.IsInf(n, 0) }

// adder takes a problem: the field, what is wrong and what to type.
type adder func(field, what, hint string)

// checked is a body with conditions that concern several of its fields.
type checked interface{ check(e *Entry, add adder) }

func (b *Farm) check(_ *Entry, add adder) {
	if _, err := LoadZone(b.Zone); b.Zone != "" && err != nil {
		add("zone", err.Error(), "")
	}
}

func (b *PaddockFacts) check(_ *Entry, add adder) {
	if b.OffsetC != nil && *b.OffsetC > 0 {
		colder := func(units string) string { return strings.ReplaceAll(Difference.In(-*b.OffsetC, units), " °", "") }
		add("offset_c", Difference.Both(*b.OffsetC)+" without a minus is warmer, and an offset can only make a paddock colder than its thermometer",
			"type "+colder("us")+" or "+colder("metric"))
	}
}

func (b *Seen) check(_ *Entry, add adder) {
	if b.Species != nil && len(b.Species) == 0 {
		add("species", "is an empty list", "name what was found growing")
	}
}

// notBefore refuses an end before its beginning.
func notBefore(field string, to, from Date, add adder) {
	if to != NoDate && to < from {
		add(field, fmt.Sprintf("%s is before %s", to, from), "")
	}
}

func (b *NoFrost) check(_ *Entry, add adder) {
	notBefore("to", b.To, b.From, add)
	if b.From != NoDate && b.To.Sub(b.From) > 370 {
		add("to", "the statement spans more than a year", "")
	}
}

func (b *Fed) check(_ *Entry, add adder) { notBefore("to", b.To, b.From, add) }

func (b *Reading) check(_ *Entry, add adder) {
	for _, s := range b.Spans { // in any zone the night of D lies within these days
		if DateOf(s.From, time.UTC) < b.Night-2 || DateOf(s.To, time.UTC) > b.Night+2 {
			add("spans", fmt.Sprintf("the part from %s to %s lies outside the night of %s", s.From.Format(time.RFC3339), s.To.Format(time.RFC3339), b.Night), "")
		}
	}
	if b.LowC != nil && b.BelowZero != nil && *b.LowC <= 0 && !*b.BelowZero {
		add("below_zero", fmt.Sprintf("false, but the low is %v °C", *b.LowC), "leave out one of them")
	}
}

func (b *Nitrogen) check(_ *Entry, add adder) {
	switch {
	case b.RateUnknown == nil:
	case b.KgNHa != nil && *b.RateUnknown:
		add("rate_unknown", "was given with a rate", "leave out one of them")
	case b.KgNHa == nil && !*b.RateUnknown:
		add("kg_n_ha", "is missing", "say the rate, or rate_unknown true")
	}
}

func (b *Walk) check(e *Entry, add adder) {
	if e.On != NoDate && b.DamageNight > e.On {
		add("damage_night", fmt.Sprintf("%s is after the walk of %s", b.DamageNight, e.On), "")
	}
}

func (b *Lab) check(_ *Entry, add adder) {
	if b.Analyte == "nitrate" && b.Form == "" {
		add("form", "is missing for a nitrate result", "NO3, NO3-N, KNO3 or NaNO3: NO3 is 4.43 times NO3-N, KNO3 is 7.22 times")
	}
	if b.Analyte == "nitrate" && b.Basis == "as-fed" && b.DMPct == nil {
		add("dm_pct", "is missing for a nitrate result as fed", "say the dry matter in percent: as fed, the number hides how much of it is water")
	}
	if b.Analyte == "hcn" && b.Form != "" {
		add("form", "belongs to nitrate results only", "")
	}
	for _, v := range b.Values {
		if b.Unit == "%" && v.N > 100 {
			add("values", fmt.Sprintf("%v %% cannot be", v.N), "")
		}
	}
}

func (b *Vet) check(e *Entry, add adder) {
	if b.Advice == "may-graze" && b.Until == NoDate {
		add("until", "is missing", "a may-graze needs its last day")
	}
	notBefore("until", b.Until, e.EventDate(time.UTC), add)
}

func (b *Strike) check(_ *Entry, add adder) {
	if b.Entry != "" && !validULID(b.Entry) {
		add("entry", fmt.Sprintf("%q is not the id of an entry", b.Entry), ulidForm)
	}
	if b.Batch != "" && !validULID(b.Batch) {
		add("batch", fmt.Sprintf("%q is not the id of an import", b.Batch), ulidForm)
	}
	if b.Entry != "" && b.Batch != "" {
		add("batch", "was given with an entry", "a strike names an entry or a batch, not both")
	}
}

func (b *Split) check(_ *Entry, add adder) {
	if len(b.From) != 1 {
		add("from", "a split has one paddock it comes from", "")
	}
	if len(b.Into) < 2 {
		add("into", "a split makes at least two paddocks", "")
	}
	noOverlap(b.From, b.Into, add)
}

func (b *Join) check(_ *Entry, add adder) {
	if len(b.Into) != 1 {
		add("into", "a join makes one paddock", "")
	}
	if len(b.From) < 2 {
		add("from", "a join takes at least two paddocks", "")
	}
	noOverlap(b.From, b.Into, add)
}

func noOverlap(from, into []string, add adder) {
	for _, f := range from {
		if slices.Contains(into, f) {
			add("into", fmt.Sprintf("%q is on both sides", f), "give the new paddock a new short name")
			return
		}
	}
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

func shareProblem(percent float64) error {
	if percent >= 0 && percent <= 100 {
		return nil
	}
	return fmt.Errorf("share %v cannot be; it lies between 0 and 100 percent", percent)
}
