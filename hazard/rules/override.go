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
func With(book *hazard.Rulebook, all []fields.Fact, on fields.Date) (*hazard.Rulebook, []string) {
	b := embedded()
	var facts []fields.Fact
	for i := range all {
		if _, ok := overrideOf(all[i].Body); ok {
			facts = append(facts, all[i])
		}
	}
	fields.SortFacts(facts)
	type set struct {
		fields.Override
		fact fields.Fact
	}
	last := map[string]set{}
	var refused []string
	for _, f := range facts {
		o, _ := overrideOf(f.Body)
		if f.Date > on || o.Until != fields.NoDate && o.Until < on {
			continue
		}
		if err := b.check(&o); err != nil {
			refused = append(refused, fmt.Sprintf("entry %s is not applied: %s", f.ID, err))
			continue
		}
		last[o.Rule] = set{o, f}
	}
	out := *book
	out.Relaxed = slices.DeleteFunc(slices.Clone(book.Relaxed), func(was hazard.Relaxed) bool { return last[was.Rule].Value != nil })
	for i := range b.docs {
		d := &b.docs[i]
		s, ok := last[d.ID]
		if !ok {
			continue
		}
		value := s.Value.Word
		laxer := value != d.Word
		if k, numbered := hazard.RuleKeyOf(d.ID); numbered {
			out.V[k] = *s.Value.Number
			value, laxer = withUnit(out.V[k], d.Unit), d.laxer(out.V[k], d.Value)
		} else if d.ID == ruleTables {
			// One table out of several can only be laxer than all of them.
			out.Tables = slices.DeleteFunc(slices.Clone(b.book.Tables), func(t hazard.NitrateTableData) bool { return laxer && t.ID != value })
		}
		if laxer {
			out.Relaxed = append(out.Relaxed, hazard.Relaxed{
				Rule: d.ID, Default: d.Says(), Value: value, Because: s.Because, By: s.fact.Signer(), Until: s.Until, Entry: s.fact.ID,
			})
		}
	}
	out.Species = tallestAnew(out.Species, &out.V)
	for _, r := range out.Relaxed {
		if r.Until != fields.NoDate && (out.LaterFrom == fields.NoDate || r.Until < out.LaterFrom) {
			out.LaterFrom = r.Until + 1
		}
	}
	if out.LaterFrom != fields.NoDate {
		out.Later, _ = With(book, slices.DeleteFunc(facts, func(f fields.Fact) bool { return f.Date > on }), out.LaterFrom)
	}
	return &out, refused
}

// overrideOf is what an entry sets, if it sets a rule.
func overrideOf(body fields.Body) (o fields.Override, ok bool) {
	switch body := body.(type) {
	case *fields.Override:
		return *body, true
	case *fields.Farm:
		value := &fields.RuleValue{Word: body.NitrateTable}
		return fields.Override{Rule: ruleTables, Value: value, Because: "the farm's nitrate table"}, body.NitrateTable != ""
	}
	return o, false
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
	v, u := *o.Value.Number, units[d.Unit]
	cannot := fmt.Sprintf("%s cannot be %s", d.ID, withUnit(v, d.Unit))
	limit := "the least cautious value allowed is " + withUnit(d.Limit, d.Unit)
	switch {
	case u.whole && u.lo <= v && v <= u.hi && !u.holds(v):
		return errors.New(cannot + "; write a whole number")
	case !u.holds(v):
		return fmt.Errorf("%s; possible are %s to %s", cannot, number(u.lo), withUnit(u.hi, d.Unit))
	case d.laxer(v, d.Limit):
		return fmt.Errorf("%s: %s (%s)", cannot, limit, d.allowed())
	case len(d.Published) > 0 && d.laxer(v, d.Value) && !slices.Contains(d.Published, v):
		return fmt.Errorf("%s: no publication gives it (%s; %s)", cannot, limit, d.allowed())
	}
	return nil
}

// MayBe says in words what a farm may set a rule to, with a value of those that is
// less cautious than the default, "" if none is.
func (d *Doc) MayBe() (says, laxer string) {
	switch {
	case d.Fixed:
		return "a farm cannot change it", ""
	case d.Word != "" && len(d.Choices) == 1:
		return "it cannot be set to anything else than " + d.Word, ""
	case d.Word != "":
		return "a farm may name one of " + strings.Join(d.Choices, ", "), d.Choices[len(d.Choices)-1]
	}
	for _, v := range append([]float64{d.Limit}, d.Published...) {
		if d.laxer(v, d.Value) && CheckOverride(&fields.Override{Rule: d.ID, Value: &fields.RuleValue{Number: &v}}) == nil {
			return d.allowed(), number(v)
		}
	}
	return d.allowed(), ""
}

// allowed says in words what a farm may set.
func (d *Doc) allowed() string {
	if len(d.Published) == 0 {
		return "nothing is published; the default is " + withUnit(d.Value, d.Unit)
	}
	var all, may []string
	for _, v := range d.Published {
		all = append(all, number(v))
		if !d.laxer(v, d.Limit) && d.laxer(v, d.Value) {
			may = append(may, number(v))
		}
	}
	bound := "at least "
	if d.Stricter == "smaller" {
		bound = "at most "
	}
	may = append(may, bound+withUnit(d.Value, d.Unit))
	return "published: " + list(all, " and ") + " " + d.Unit + "; a farm may set " + list(may, " or ")
}

func (d *Doc) checkWord(v *fields.RuleValue) error {
	switch {
	case v.Number != nil:
		return fmt.Errorf("%s wants a word, not the number %s: one of %s", d.ID, number(*v.Number), strings.Join(d.Choices, ", "))
	case slices.Contains(d.Choices, v.Word):
		return nil
	case len(d.Choices) == 1:
		return errors.New(d.ID + " cannot be set to another value than " + d.Choices[0])
	}
	return fmt.Errorf("%s cannot be %q: it is one of %s", d.ID, v.Word, strings.Join(d.Choices, ", "))
}
