package form

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
)

// threePaddocks is a farm that knows a few names.
type threePaddocks struct{}

func (threePaddocks) Paddocks(typed []string) ([]string, error) {
	if slices.Contains(typed, "all") {
		return []string{"creek", "hills", "bench"}, nil
	}
	if slices.Contains(typed, "bottom") {
		return nil, errors.New(`there is no paddock "bottom"`)
	}
	return typed, nil
}
func (threePaddocks) Paddock(typed string) (string, error)               { return typed, nil }
func (threePaddocks) Station(typed string) (string, error)               { return typed, nil }
func (threePaddocks) StationNames() string                               { return "home" }
func (threePaddocks) Herd(typed string) (string, error)                  { return typed, nil }
func (threePaddocks) Lot(typed string) (string, error)                   { return typed, nil }
func (threePaddocks) Unexplained(string, *fields.Walk, fields.Date) bool { return true }
func (threePaddocks) HarmSince(string, fields.Kind, fields.Date) bool    { return false }
func (threePaddocks) Fits(string) []string                               { return nil }

func at(hour int, line bool) Context {
	return Context{Now: time.Date(2026, 10, 6, hour, 30, 0, 0, time.UTC), Farm: threePaddocks{}, Line: line}
}

// What is refused, told at its field in the words of the command line and of screens.
func TestRefused(t *testing.T) {
	for _, c := range []struct {
		kind         fields.Kind
		said         Said
		hour         int
		line, screen string
	}{
		{
			fields.KindFrost,
			Said{"paddocks": {"creek"}},
			20,
			"--night: is missing, and it is evening; type --night today for last night, --night tomorrow for the night that has begun",
			"night: is missing, and it is evening; type today for last night, tomorrow for the night that has begun",
		},
		{
			fields.KindHail,
			Said{"on": {"today"}},
			7,
			"no paddock named; type its short name after the flags; several with commas, `all` for every one", "paddocks: is missing",
		},
		{
			fields.KindReading,
			Said{"night": {"today"}, "low_c": {"1C"}},
			7,
			"--station: is missing: say which thermometer was read; type --station and one of home, or --in-paddock PADDOCK if it stood in the paddock itself, at plant height",
			"station: is missing; choose the thermometer that was read",
		},
		{
			fields.KindReading,
			Said{"station": {Inside}, "paddock": {"creek", "hills"}, "night": {"today"}, "low_c": {"1C"}},
			7,
			"several paddocks named; this is said of one at a time",
			"paddock: 2 paddocks are picked, and a thermometer hangs in one; pick that one",
		},
		{
			fields.KindWalk,
			Said{"paddock": {"creek", "hills"}, "on": {"today"}, "dry": {"yes"}},
			7,
			`"--dry" is good news, and good news is said of one paddock at a time; name the one you walked; damage may be said of several`,
			`paddock: "Dry? yes" is good news, and good news is said of one paddock at a time; pick the one you walked; damage may be said of several`,
		},
		{
			fields.KindWalk,
			Said{"paddock": {"creek"}, "on": {"today"}, "killed": {"all"}, "shoots_cm": {"10cm"}, "damage_night": {"today"}},
			7,
			"--killed: all, and yet there are shoots; say --killed part if anything grows",
			"killed: all are killed, and yet there are shoots; say part if anything grows",
		},
		{
			fields.KindWalk,
			Said{"paddock": {"creek"}, "on": {"today"}, "frost_damage": {"tips"}},
			7,
			"you found damage in creek that no recorded night explains; say --damage-night DAY if you know the night, else --cause hail, spray, drought, ripe or dont-know",
			"damage_night: you found damage in creek that no recorded night explains; say which night did it, or choose another cause below",
		},
		{
			fields.KindSown,
			Said{"paddock": {"creek"}, "on": {"today"}, "species": {"oats"}, "new_stand": {"maybe"}},
			7,
			`--new-stand: "maybe" is neither yes nor no; type yes or no`, `new_stand: "maybe" is neither yes nor no; type yes or no`,
		},
		{
			fields.KindSampled,
			Said{"paddock": {"creek"}, "on": {"today"}, "sample": {"NUMBER"}},
			7,
			"--sample: NUMBER only holds the place of what is to be typed; type yours",
			"sample: NUMBER only holds the place of what is to be typed; type yours",
		},
		{
			fields.KindSown,
			Said{"paddock": {"creek"}, "on": {"today"}, "species": {"SPECIES"}},
			7,
			"--species: SPECIES only holds the place of what is to be typed; type yours",
			"species: SPECIES only holds the place of what is to be typed; type yours",
		},
		{
			fields.KindRain,
			Said{"paddocks": {"bottom"}, "on": {"today"}, "mm": {"3mm"}},
			7,
			`there is no paddock "bottom"`, `paddocks: there is no paddock "bottom"`,
		},
	} {
		for want, ctx := range map[string]Context{c.line: at(c.hour, true), c.screen: at(c.hour, false)} {
			got, ps := Of(c.kind).Entries(c.said, ctx)
			if len(ps) != 1 || ps[0].Error() != want || got != nil {
				t.Errorf("%s, line %v: %v with %d entries, want %q", c.kind, ctx.Line, ps, len(got), want)
			}
		}
	}
}

// Everything wrong is told at once, and a field of a day in doubt too.
func TestAllAtOnce(t *testing.T) {
	c := at(7, true)
	c.Behind = "the clock says 1970"
	_, ps := Of(fields.KindFrost).Entries(Said{"paddocks": {"bottom"}, "low_c": {"-3"}}, c)
	if len(ps) != 3 {
		t.Errorf("%v", ps)
	}
}

// Damage may be said of every paddock, and another cause becomes an entry too.
func TestDamageOfAll(t *testing.T) {
	got, ps := Of(fields.KindWalk).Entries(Said{"paddock": {"all"}, "on": {"today"}, "frost_damage": {"tips"}, "cause": {"hail"}, "note": {"x"}}, at(7, true))
	if len(ps) > 0 || len(got) != 4 || got[0].Note != "x" {
		t.Fatalf("%v, %d entries", ps, len(got))
	}
	if b, ok := got[3].Body.(*fields.Hail); !ok || len(b.Paddocks) != 3 || got[3].On != got[0].On {
		t.Errorf("%+v", got[3])
	}
}

// An empty line of a screen is not said.
func TestEmptyLines(t *testing.T) {
	said := Said{"paddocks": {"creek"}, "night": {""}, "from": {"today"}, "to": {"today"}, "basis": {"looked-at-dawn"}, "note": {" "}}
	got, ps := Of(fields.KindNoFrost).Entries(said, at(7, false))
	if len(ps) > 0 || len(got) != 1 || got[0].Note != "" {
		t.Errorf("%v %+v", ps, got)
	}
}

// What was left out stands as it was said before; nothing else is taken over.
func TestKeptFromBefore(t *testing.T) {
	c := at(7, true)
	head, weight := 80.0, 600.0
	c.Was = &fields.HerdFacts{Herd: "pairs", Classes: []string{"sheep"}, Head: &head, WeightKg: &weight}
	got, ps := Of(fields.KindHerd).Entries(Said{"herd": {"pairs"}, "head": {"82"}}, c)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	if b := got[0].Body.(*fields.HerdFacts); *b.Head != 82 || !slices.Equal(b.Classes, []string{"sheep"}) || b.WeightKg != nil {
		t.Errorf("%+v", b)
	}
}

// People write "oats and turnips": two plants.
func TestPlantsWithAnd(t *testing.T) {
	for typed, want := range map[string]string{
		"oats and turnips:40": "oats,turnips", "oats & peas + turnip": "oats,peas,turnip", "oats": "oats",
		"Beet (sugar and fodder beet)": "Beet (sugar and fodder beet)", "sandbluestem": "sandbluestem",
	} {
		got, ps := Of(fields.KindSown).Entries(Said{"paddock": {"creek"}, "on": {"today"}, "species": {typed}}, at(7, true))
		if len(ps) > 0 {
			t.Fatal(ps)
		}
		var names []string
		for _, x := range got[0].Body.(*fields.Sown).Species {
			names = append(names, x.Species)
		}
		if s := strings.Join(names, ","); s != want {
			t.Errorf("%q: %q, want %q", typed, s, want)
		}
	}
}

// A yes-or-no question takes the words in any letters, and their first.
func TestYesOrNo(t *testing.T) {
	for text, want := range map[string]bool{"yes": true, "Y": true, "No": false, "n": false} {
		got, ps := Of(fields.KindSown).Entries(Said{"paddock": {"creek"}, "on": {"today"}, "species": {"oats"}, "new_stand": {text}}, at(7, false))
		if len(ps) > 0 || *got[0].Body.(*fields.Sown).NewStand != want {
			t.Errorf("%q: %v", text, ps)
		}
	}
}

// A no-frost whose first night was emptied misses that, and says nothing of its span.
func TestNoFrostWithoutItsFirstNight(t *testing.T) {
	_, ps := Of(fields.KindNoFrost).Entries(Said{"paddocks": {"creek"}, "to": {"today"}, "basis": {"looked-at-dawn"}}, at(9, false))
	if len(ps) != 1 || ps[0].Field != "from" || ps[0].What != "is missing" {
		t.Errorf("%v", ps)
	}
}
