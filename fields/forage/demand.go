package forage

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rimegate/fields"
)

// Range has a low and a high end. Feed is always counted at the high end of
// what stock eat, nitrate in water at the low one; both are kept.
type Range struct{ Low, High float64 }

// Times is a range whose ends are so many times as large.
func (r Range) Times(v float64) Range { return Range{r.Low * v, r.High * v} }

// PercentOf is a range of percentages taken of v.
func (r Range) PercentOf(v float64) Range { return Range{r.Low * v / 100, r.High * v / 100} }

func (r Range) ok() bool { return r.Low > 0 && r.High >= r.Low && !math.IsInf(r.High, 0) }

// Demand is what a herd eats.
type Demand struct {
	Why     string // what is missing; "" when it is known
	Head    float64
	PerHead Range // kg dry matter a head a day
	PerDay  Range // kg dry matter a day for the herd
	How     string
}

// HerdDemand returns a herd's demand in kg of dry matter a day at both ends.
// Of what is known the first of these counts:
//
//  1. the intake the farm stated for the herd: percent of body weight x weight;
//  2. perHead, kg dry matter a head a day, with perHeadHow saying whose figure
//     it is (the ends of published intakes, for instance);
//  3. the smallest and largest animal unit of the published tables for the
//     herd's classes x 26 lb.
//
// Without a head count nothing is known.
func HerdDemand(h *fields.HerdFacts, perHead *Range, perHeadHow string) Demand {
	var d Demand
	if h.Head == nil {
		d.Why = fmt.Sprintf("how many head %q has is not logged; set it with `rimegate herd set`", h.Herd)
		return d
	}
	d.Head = *h.Head
	switch {
	case h.IntakePctBW != nil && h.WeightKg != nil:
		d.PerHead = Range{*h.IntakePctBW, *h.IntakePctBW}.PercentOf(*h.WeightKg)
		d.How = fmt.Sprintf("%s %% of body weight, as the farm states", number(*h.IntakePctBW, 2))
	case perHead != nil && perHead.ok():
		d.PerHead, d.How = *perHead, perHeadHow
	default:
		r, low, high, ok := unitsOf(h.Classes)
		if !ok {
			d.Why = fmt.Sprintf("no animal-unit figure fits %q (%s); set its weight and intake", h.Herd, strings.Join(h.Classes, ", "))
			return d
		}
		d.PerHead = r.Times(UnitDay)
		d.How = fmt.Sprintf("animal units from %s to %s, 26 lb of dry matter each; set the herd's weight for a closer figure", low, high)
	}
	if !d.PerHead.ok() {
		d.Why = fmt.Sprintf("the weight or intake of %q is no number above zero; set it again", h.Herd)
		return d
	}
	d.PerDay = d.PerHead.Times(d.Head)
	return d
}

// unitsOf returns the smallest and the largest animal unit of any table for
// the classes.
func unitsOf(classes []string) (r Range, low, high string, ok bool) {
	for _, u := range Units() {
		if !slices.ContainsFunc(u.Classes, func(c string) bool { return slices.Contains(classes, c) }) {
			continue
		}
		name := fmt.Sprintf("%s (%s, %s)", number(u.AU, 2), u.Kind, u.Source.Publisher)
		if !ok || u.AU < r.Low {
			r.Low, low = u.AU, name
		}
		if !ok || u.AU > r.High {
			r.High, high = u.AU, name
		}
		ok = true
	}
	return r, low, high, ok
}

var number = fields.Rounded
