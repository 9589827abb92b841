package hazard_test

import (
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// The bloat sentence is printed for 5 days after a frost on alfalfa or clover, of
// grazing and green-chop alone, and moves no flag.
func TestBloatIsAConditionForFiveDays(t *testing.T) {
	loc, _ := fields.LoadZone("America/Regina")
	frost := fields.MakeDate(2026, 9, 10)
	entries := []fields.Entry{
		{ID: "01J00000000000000000000001", Recorded: frost.At(7, 0, loc), By: "Ann", On: frost - 60, Body: &fields.Seen{Paddock: "lucerne", Species: []string{"alfalfa"}}},
		{ID: "01J00000000000000000000002", Recorded: frost.At(7, 0, loc), By: "Ann", On: frost - 60, Body: &fields.Seen{Paddock: "grass", Species: []string{"smooth brome"}}},
		{ID: "01J00000000000000000000003", Recorded: frost.At(7, 0, loc), By: "Ann", Body: &fields.Farm{Name: "F", Zone: "America/Regina"}, On: frost - 60},
		{ID: "01J00000000000000000000004", Recorded: frost.At(8, 0, loc), By: "Ann", Body: &fields.Frost{Paddocks: []string{"lucerne", "grass"}, Night: frost}},
	}
	for _, x := range []struct {
		paddock string
		use     hazard.Use
		on      fields.Date
		want    fields.Date
	}{
		{"lucerne", hazard.Graze, frost, frost},
		{"lucerne", hazard.GreenChop, frost + 5, frost},
		{"lucerne", hazard.Graze, frost + 6, fields.NoDate},
		{"lucerne", hazard.CutHay, frost, fields.NoDate},
		{"grass", hazard.Graze, frost, fields.NoDate},
	} {
		h := fields.Fold(entries, fields.View{On: x.on, KnownAt: x.on.At(12, 0, loc)})
		p, ok := hazard.AssessPaddock(h, rules.Default(), x.paddock)
		if !ok {
			t.Fatal(x.paddock)
		}
		if v := p.Verdict(x.use, hazard.BredCattle); v.Bloat != x.want {
			t.Errorf("%s %s on %s: bloat after %s, want %s", x.paddock, x.use, x.on, v.Bloat, x.want)
		}
	}
}
