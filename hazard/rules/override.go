package rules

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// With returns the rulebook as a farm has set it on a day: overrides dated on
// or before it and not past their until, per rule the last by date, then id.
// A farm entry's nitrate_table counts as an override of nitrate.tables; other
// kinds are passed over. Rules now less cautious than the default are in
// Relaxed. What cannot be is not applied and reported, a sentence each.
//
// A farm may set one of the published values, or anything at least as cautious
// as the default; where nothing is published, anything within the limit; beyond
// the limit nothing.
func With(book *hazard.Rulebook, overrides []fields.Fact, on fields.Date) (*hazard.Rulebook, []string) {
	b := boundOf(book)
	facts := append([]fields.Fact(nil), overrides...)
	fields.SortFacts(facts)
	type set struct {
		fact fields.Fact
		o    fields.Override
	}
	last := map[string]set{}
	var refused []string
	for _, f := range facts {
		if f.Date > on {
			continue
		}
		var o fields.Override
		switch body := f.Body.(type) {
		case *fields.Override:
			o = *body
		case *fields.Farm:
			if body.NitrateTable == "" {
				continue
			}
			o = fields.Override{Rule: ruleTables, Value: &fields.RuleValue{Word: body.NitrateTable}, Because: "the farm's nitrate table"}
		default:
			continue
		}
		if o.Until != fields.NoDate && o.Until < on {
			continue
		}
		if err := b.check(&o); err != nil {
			refused = append(refused, fmt.Sprintf("entry %s is not applied: %s", f.ID, err))
			continue
		}
		last[o.Rule] = set{f, o}
	}
	out := *book
	out.Relaxed = nil
	for _, was := range book.Relaxed {
		if _, again := last[was.Rule]; !again {
			out.Relaxed = append(out.Relaxed, was)
		}
	}
	for i := range b.docs {
		d := &b.docs[i]
		s, ok := last[d.ID]
		if !ok {
			continue
		}
		relaxed := hazard.Relaxed{Rule: d.ID, Default: d.Says(), Because: s.o.Because, By: s.fact.By, Until: s.o.Until, Entry: s.fact.ID}
		if d.Word != "" {
			if d.ID != ruleTables {
				continue
			}
			if s.o.Value.Word == allTables {
				out.Tables = b.book.Tables
				continue
			}
			// One table out of several can only be laxer than all of them.
			i := slices.IndexFunc(b.book.Tables, func(t hazard.NitrateTableData) bool { return t.ID == s.o.Value.Word })
			out.Tables = b.book.Tables[i : i+1 : i+1]
			relaxed.Value = s.o.Value.Word
			out.Relaxed = append(out.Relaxed, relaxed)
			continue
		}
		k, _ := hazard.RuleKeyOf(d.ID)
		out.V[k] = *s.o.Value.Number
		if laxer(out.V[k], d.Value, d.Stricter) {
			relaxed.Value = withUnit(out.V[k], d.Unit)
			out.Relaxed = append(out.Relaxed, relaxed)
		}
	}
	out.Species = tallestAnew(out.Species, &out.V)
	return &out, refused
}

// tallestAnew chooses the height of each everyday name that fits several plants
// once more: an override may have set another of them taller.
func tallestAnew(species map[string]*hazard.Species, v *[hazard.NumRules]float64) map[string]*hazard.Species {
	out := species
	for id, sp := range species {
		if sp.Height < 0 || sp.Fits == nil {
			continue
		}
		var fits []*hazard.Species
		for _, f := range sp.Fits {
			if one := species[f]; one != nil {
				fits = append(fits, one)
			}
		}
		if k := tallest(fits, v); k != sp.Height {
			row := *sp
			row.Height = k
			out = maps.Clone(out)
			out[id] = &row
		}
	}
	return out
}

// CheckOverride reports in one sentence why an override cannot be, naming the
// limit and the published values; nil if it can.
func CheckOverride(o *fields.Override) error { return embedded().check(o) }

// CheckNitrateTable reports in one sentence why a farm cannot name this table;
// nil if it can.
func CheckNitrateTable(id string) error {
	return CheckOverride(&fields.Override{Rule: ruleTables, Value: &fields.RuleValue{Word: id}})
}

func (b *bound) check(o *fields.Override) error {
	i, ok := b.byID[o.Rule]
	if !ok {
		return fmt.Errorf("there is no rule %q; `rimegate rules list` shows them all", o.Rule)
	}
	d := &b.docs[i]
	switch {
	case d.Fixed:
		return fmt.Errorf("%s is no number and cannot be set to another value", d.ID)
	case o.Value == nil || o.Value.Number == nil && o.Value.Word == "":
		return fmt.Errorf("the override of %s has no value; its default is %s", d.ID, d.Says())
	case d.Word != "":
		return d.checkWord(o.Value)
	case o.Value.Number == nil:
		return fmt.Errorf("%s wants a number of %s, not the word %q", d.ID, d.Unit, o.Value.Word)
	}
	v := *o.Value.Number
	u := units[d.Unit]
	if u.whole && u.lo <= v && v <= u.hi && !u.holds(v) {
		return fmt.Errorf("%s cannot be %s; write a whole number", d.ID, withUnit(v, d.Unit))
	}
	if !u.holds(v) {
		return fmt.Errorf("%s cannot be %s; possible are %s to %s", d.ID, withUnit(v, d.Unit), number(u.lo), withUnit(u.hi, d.Unit))
	}
	if laxer(v, d.Limit, d.Stricter) {
		return fmt.Errorf("%s cannot be %s: the least cautious value allowed is %s (%s)", d.ID, withUnit(v, d.Unit), withUnit(d.Limit, d.Unit), d.allowed())
	}
	open := len(d.Published) == 0
	if open || !laxer(v, d.Value, d.Stricter) || slices.Contains(d.Published, v) {
		return nil
	}
	return fmt.Errorf("%s cannot be %s: no publication gives it (the least cautious value allowed is %s; %s)", d.ID, withUnit(v, d.Unit), withUnit(d.Limit, d.Unit), d.allowed())
}

// allowed says in words what a farm may set.
func (d *Doc) allowed() string {
	var below []string
	for _, v := range d.Published {
		if !laxer(v, d.Limit, d.Stricter) && laxer(v, d.Value, d.Stricter) {
			below = append(below, number(v))
		}
	}
	bound := "at least "
	if d.Stricter == "smaller" {
		bound = "at most "
	}
	if len(d.Published) == 0 {
		return "nothing is published; the default is " + withUnit(d.Value, d.Unit)
	}
	may := append(below, bound+withUnit(d.Value, d.Unit))
	return "published: " + d.published() + "; a farm may set " + either(may)
}

func (d *Doc) published() string {
	words := make([]string, len(d.Published))
	for i, v := range d.Published {
		words[i] = number(v)
	}
	return list(words) + " " + d.Unit
}

func (d *Doc) checkWord(v *fields.RuleValue) error {
	if v.Number != nil {
		return fmt.Errorf("%s wants a word, not the number %s: one of %s", d.ID, number(*v.Number), strings.Join(d.Choices, ", "))
	}
	if !slices.Contains(d.Choices, v.Word) {
		if len(d.Choices) == 1 {
			return errors.New(d.ID + " cannot be set to another value than " + d.Choices[0])
		}
		return fmt.Errorf("%s cannot be %q: it is one of %s", d.ID, v.Word, strings.Join(d.Choices, ", "))
	}
	return nil
}
