package tui

import (
	"slices"
	"strings"
	"testing"

	"rimegate/fields"
)

// fill opens the form of a kind and types into it.
func (d *desk) fill(k fields.Kind, say map[string]string) *draft {
	d.t.Helper()
	d.a.openForm(k)
	f := d.a.m.form
	for name, text := range say {
		f.named(name).text = text
	}
	f.changed()
	d.draw()
	return f
}

// A comma in a laboratory's figures is asked about, whatever stands around it;
// "less than" is kept as a limit.
func TestALaboratorysFigures(t *testing.T) {
	for _, text := range []string{"3,000, 3,200", "3,000", "3, 000", "ND"} {
		farm := willowBend(t)
		d := newDesk(t, farm, 80, 24).press("Down")
		f := d.fill(fields.KindLab, filled[fields.KindLab])
		f.named("values").text = text
		d.press("Enter").sees("Nothing was stored", "> Number reported", text)
		if d.a.m.page != pageForm || farm.logged != 0 {
			t.Errorf("%q is taken", text)
		}
	}
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).press("Down")
	f := d.fill(fields.KindLab, filled[fields.KindLab])
	f.named("values").text = "<100; 140"
	d.press("Enter").sees("below 100 (not detected)").press("Enter").sees("Stored: 1 entry")
	if b := last(farm).Body.(*fields.Lab); !slices.Equal(b.Values, []fields.Value{{N: 100, Below: true}, {N: 140}}) {
		t.Errorf("stored %v", b.Values)
	}
}

// A point that may part thousands is asked about once, unless the unit is one of
// small figures.
func TestAPointInALaboratorysFigures(t *testing.T) {
	for kind, name := range map[fields.Kind]string{fields.KindLab: "values", fields.KindWater: "value"} {
		farm := willowBend(t)
		d := newDesk(t, farm, 80, 24).press("Down")
		f := d.fill(kind, filled[kind])
		f.named(name).text = "3.000"
		d.press("Enter").sees("Nothing was stored", "> Number reported", "which parts thousands")
		if d.a.m.page != pageForm || farm.logged != 0 {
			t.Errorf("%s: 3.000 is taken", kind)
		}
		d.press("Enter").sees("UNDERSTOOD, NOT STORED YET")
	}
	d := newDesk(t, willowBend(t), 80, 24).press("Down")
	f := d.fill(fields.KindLab, filled[fields.KindLab])
	f.named("values").text, f.named("unit").text = "0.125; 1.125", "%"
	d.press("Enter").sees("UNDERSTOOD, NOT STORED YET")
}

// How much of a weed there is: not said stands first and is what is stored
// where nobody says.
func TestHowMuchOfAWeed(t *testing.T) {
	for _, said := range []string{"", "trace", "patches", "common"} {
		farm := willowBend(t)
		d := newDesk(t, farm, 80, 24)
		d.fill(fields.KindSeen, map[string]string{"species": "kochia"})
		d.sees("How much of it     [-]  trace   patches   common")
		d.a.m.form.named("extent").text = said
		d.press("Enter*2").sees("Stored: 1 entry")
		if b := last(farm).Body.(*fields.Seen); string(b.Extent) != said {
			t.Errorf("%q is stored as %q", said, b.Extent)
		}
	}
}

// Manure has a rate that nobody knows; it is said, never left out.
func TestARateThatNobodyKnows(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24)
	d.fill(fields.KindNitrogen, map[string]string{"form": "manure"})
	d.press("Enter").sees("Is missing")
	f := d.a.m.form
	f.named("rate_unknown").text, f.named("kg_n_ha").text = "yes", "50lb/ac"
	d.press("Enter").sees("Was given with a rate")
	f.named("kg_n_ha").text = ""
	d.press("Enter").sees("nobody knows the rate").press("Enter").sees("Stored: 1 entry")
	if b := last(farm).Body.(*fields.Nitrogen); b.KgNHa != nil || b.RateUnknown == nil || !*b.RateUnknown {
		t.Errorf("stored %+v", b)
	}
}

// A name that fits several plants is asked about once, in every form.
func TestAnEverydayNameIsAskedAbout(t *testing.T) {
	for kind, say := range map[fields.Kind]map[string]string{
		fields.KindSeen: {"species": "kochia, Clover"},
		fields.KindSown: {"species": "oats:60, Clover:40", "on": "17-May"},
		fields.KindWalk: {"alive": "Clover", "killed": "none"},
		fields.KindLot:  {"lot": "new-hay", "lot_kind": "hay", "made_on": "today", "species": "Clover"},
	} {
		farm := willowBend(t)
		d := newDesk(t, farm, 80, 24)
		d.fill(kind, say)
		d.press("Enter").sees(`"Clover" can be White clover, Red clover or Alsike clover.`, "Enter again if nobody")
		if d.a.m.page != pageForm {
			t.Errorf("%s: nobody is asked", kind)
		}
		d.press("Enter").sees("CHECK AND SAVE").press("Enter").sees("Stored")
		d = newDesk(t, willowBend(t), 80, 24)
		f := d.fill(kind, say)
		d.press("Enter")
		for i := range f.fields {
			f.fields[i].text = strings.Replace(f.fields[i].text, "Clover", "white clover", 1)
		}
		d.press("Enter").sees("CHECK AND SAVE", "white clover")
	}
}

// A sowing needs its day, and a day that lies long back its year.
func TestADayIsNotGuessed(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24)
	d.fill(fields.KindSown, map[string]string{"species": "oats"})
	d.press("Enter").sees("> Day sown", "Is missing")
	d.press("8-Oct", "Enter").sees("> Day sown", "type the year too")
	if farm.logged != 0 || d.a.m.page != pageForm {
		t.Fatal("a day was guessed")
	}
	d.press("-2025", "Enter").sees("CHECK AND SAVE", "Wed 8 Oct 2025")
}

// With a clock that is behind the journal no day may be told from today.
func TestADayInDoubtIsTypedInFull(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24)
	d.a.m.answer.Behind = "this clock says 1970"
	d.press("f", "-3C", "Enter").sees("> Night ending", "Today is in doubt: this clock says 1970; set the clock right")
	d.press("Ctrl-U", "6-Oct", "Enter").sees("Today is in doubt")
	d.press("-2026", "Enter").sees("CHECK AND SAVE")
}
