package tui

import (
	"strings"
	"testing"

	"rimegate/fields"
)

// twoThermometers is the farm with a second station, which Lease Eighty names,
// and a frost pocket.
func twoThermometers(t testing.TB) *fakeFarm {
	farm := willowBend(t)
	b := &builder{t: t, f: farm, seq: 9000}
	on := farm.today().Add(-50)
	b.add(on, &fields.StationFacts{Station: "airport", Name: "Airport"})
	b.add(on, &fields.PaddockFacts{Paddock: "lease", Name: "Lease Eighty", Station: "airport"})
	b.add(on, &fields.PaddockFacts{Paddock: "creek", Name: "Creek", OffsetC: num(-2)})
	return farm
}

func last(f *fakeFarm) fields.Entry {
	es := f.all()
	return es[len(es)-1]
}

// A reading is of the thermometer read last, whatever is picked; the others are
// one key away, those inside a paddock by name.
func TestAReadingIsOfTheUsualThermometer(t *testing.T) {
	farm := twoThermometers(t)
	d := newDesk(t, farm, 80, 24).press("a", "r")
	d.sees("[Yard thermometer]  Airport", "inside Creek", "inside another paddock", "those that name the thermometer", "> Low")
	d.press("41F", "Enter").sees("CHECK AND SAVE", "Yard thermometer", "41 °F", "for Creek with 2 °C taken", "off (3 °C (37.4 °F))", "North Slough").press("Enter").sees("Stored: 1 entry")
	if b := last(farm).Body.(*fields.Reading); b.Station != "yard" || b.Paddock != "" {
		t.Errorf("stored %+v", b)
	}
	d.press("Down*5", "r", "Ctrl-T").sees("[Airport]", "> Low").press("2C", "Enter*2").sees("Stored: 1 entry")
	if b := last(farm).Body.(*fields.Reading); b.Station != "airport" {
		t.Errorf("stored %+v", b)
	}
	// Read last is what a person read, not what an import brought.
	b := &builder{t: t, f: farm, seq: 9500}
	b.add(farm.today(), &fields.Reading{Station: "yard", Night: farm.today(), LowC: num(4)})
	farm.entries[len(farm.entries)-1].Batch = "01TESTBATCH000000000000000"
	d.a.reload()
	d.drain()
	d.press("r").sees("[Airport]")
	// The thermometer inside the paddock in hand is offered by its name, and is that of no other paddock's form.
	d.press("Ctrl-T").sees("[inside Lease Eighty]", "Inside paddock     Lease Eighty").press("41F", "Esc", "Up", "r").sees("[Airport]", "Ctrl-O opens it")
	d.press("Ctrl-O").sees("[inside Lease Eighty]", "41F", "Enter check").press("Enter")
	d.sees("CHECK AND SAVE", "a thermometer in Lease Eighty", "counts only there, as read").press("Enter")
	if b := last(farm).Body.(*fields.Reading); b.Station != "" || b.Paddock != "lease" {
		t.Errorf("stored %+v", b)
	}
	d.press("Home", "r").sees("[inside Lease Eighty]")
}

// One thermometer hangs in one paddock, and a reading without a thermometer is
// of none.
func TestAReadingHasOneThermometer(t *testing.T) {
	farm := twoThermometers(t)
	d := newDesk(t, farm, 80, 24).press("r", "Up*2", "Space").sees("choose that above first")
	d.press("Up", "i*2").sees("[inside another paddock]", "none picked").press("Down*3", "41F", "Enter").sees("! Is missing; pick the paddock with Space")
	d.press("Space*3", "Enter", "Enter").sees("paddocks are picked, and a thermometer hangs in one; pick that one")
	d.press("Up", "Backspace", "Enter").sees("> Thermometer", "choose the thermometer that was read")
	if farm.logged != 0 {
		t.Error("something was stored")
	}
	// No station is set up: still nothing is taken for said.
	b := newBuilder(t, 6)
	b.add(b.f.today().Add(-40), &fields.PaddockFacts{Paddock: "creek", Name: "Creek"})
	newDesk(t, b.f, 80, 24).press("r", "41F", "Enter").sees("[-]  inside Creek", "choose the thermometer")
}

// What a no-frost word rests on: the weakest claim first, every word in sight,
// none of them said for the person.
func TestTheWeakestBasisStandsFirst(t *testing.T) {
	d := newDesk(t, willowBend(t), 60, 20).press("0").sees("at plant\n                      height")
	d.size(80, 24)
	d.draw()
	text := d.text()
	at := -1
	for _, w := range []string{"[-] ", "1 looked at dawn", "2 another thermometer", "3 thermometer in the paddock"} {
		i := strings.Index(text, w)
		if i <= at {
			t.Fatalf("%q does not stand where it belongs:\n%s", w, text)
		}
		at = i
	}
	d.press("Enter").sees("Nothing was stored")
	d.press("Right").sees("[1 looked at dawn]")
	d.press("Right*2").sees("[3 thermometer in the paddock at plant height]")
}

// A frost on file is told while the form is open.
func TestAFrostOnFileIsToldBeforeNoFrostIsSaid(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).press("Down", "0", "l")
	if strings.Contains(d.text(), "FROST IS ON FILE") {
		t.Fatal("there was none last night")
	}
	d.press("Up*2", "Ctrl-U", "1-Oct").sees("A FROST IS ON FILE, and a frost beats any statement: North Slough", "Thu 1 Oct (Maren logged it)")
	d.press("Ctrl-U", "2-Oct")
	if strings.Contains(d.text(), "FROST IS ON FILE") {
		t.Fatal("the night is not named any more")
	}
	farm.write(fields.Entry{ID: "01NEW000000000000000000001", By: "Tobias", Recorded: farm.now, On: farm.today(), Body: &fields.Frost{Paddocks: []string{"north-slough"}, Night: farm.today()}})
	d.a.reload()
	d.drain()
	d.draw()
	d.sees("A FROST IS ON FILE", "Tobias logged it")
}

// "All" is no paddock that somebody looked at.
func TestNoFrostNamesItsPaddocks(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).press("a", "0").sees("Paddocks           Creek", "pick them one by one")
	if n := len(d.a.m.form.places); n != 1 {
		t.Fatalf("%d paddocks are taken", n)
	}
	d.press("Up*3", "Space", "a").sees("pick them one by one", "[x] Creek", "[ ] The Bench")
	d.press("Home", "Space", "Esc").sees("2 paddocks")
	d.press("Down*3", "t", "Enter").sees("A thermometer hangs in one paddock; pick that one")
	d.press("Down*3", "l", "Enter").sees("CHECK AND SAVE").press("Enter")
	if b := last(farm).Body.(*fields.NoFrost); len(b.Paddocks) != 2 || b.Basis != "looked-at-dawn" {
		t.Errorf("stored %+v", b)
	}
	// Picked one by one they are named; bad news is said of all at once.
	d.press("Esc", "Space*3", "0").sees("3 paddocks: ")
	d.press("Esc", "a", "f").sees("ALL 7 paddocks")
}

// A veterinarian's leave is of paddocks that were named; a keep-off may be of all.
func TestAVetsLeaveNamesItsPaddocks(t *testing.T) {
	for _, pick := range [][]string{{"a"}, {"a", "End", "Space"}} {
		farm := willowBend(t)
		d := newDesk(t, farm, 80, 24).press(pick...)
		d.fill(fields.KindVet, filled[fields.KindVet])
		d.press("Enter").sees("> Paddocks", "pick them one by one")
		d.a.m.form.named("advice").text, d.a.m.form.named("until").text = "keep-off", ""
		d.press("Enter").sees("CHECK AND SAVE")
	}
	d := newDesk(t, willowBend(t), 80, 24).press("Space*3")
	d.fill(fields.KindVet, filled[fields.KindVet])
	d.press("Enter").sees("CHECK AND SAVE")
	d = newDesk(t, willowBend(t), 80, 24)
	d.fill(fields.KindVet, filled[fields.KindVet])
	d.press("Up*2", "Space", "a", "Tab", "Enter").sees("> Paddocks", "pick them one by one")
}

// Good news of a walk is of one paddock; damage may be of several.
func TestGoodNewsIsOfOnePaddock(t *testing.T) {
	for name, text := range map[string]string{
		"killed": "all", "frost_damage": "none", "dry": "yes", "shoots_cm": "none", "shortest_cm": "80cm", "wilted": "no",
		"stress_free": "yes", "weeds_checked": "yes", "alive": "nothing", "absent": "kochia", "kg_dm_ha": "2000kg/ha",
	} {
		farm := willowBend(t)
		d := newDesk(t, farm, 80, 24).press("a", "w")
		f := d.a.m.form
		f.named("frost_damage").text = "part"
		f.named("damage_night").text = "1-Oct"
		f.named(name).text = text
		d.press("Enter").sees("is good news")
		if d.a.m.page != pageForm || farm.logged != 0 {
			t.Errorf("%s %s is taken for seven paddocks", name, text)
		}
		f.places = []string{"creek"}
		if d.press("Enter"); d.a.m.page != pageCheck {
			t.Errorf("%s %s is not taken for one:\n%s", name, text, d.text())
		}
	}
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).press("a", "w")
	for name, text := range map[string]string{"killed": "part", "frost_damage": "tips", "damage_night": "1-Oct", "wilted": "yes", "stress_free": "no", "dry": "no", "alive": "oats"} {
		d.a.m.form.named(name).text = text
	}
	d.press("Enter").sees("CHECK AND SAVE").press("Enter").sees("Stored: 7 entries (walk)")
	for kind, set := range map[fields.Kind]map[string]string{
		fields.KindSampled: {"sample": "4711"}, fields.KindGrazed: {"state": "out", "left_cm": "10cm"},
	} {
		d := newDesk(t, willowBend(t), 80, 24).press("Space*2")
		d.a.openForm(kind)
		for name, text := range set {
			d.a.m.form.named(name).text = text
		}
		d.press("Enter").sees("one paddock")
		if d.a.m.page != pageForm {
			t.Errorf("%s is taken for two paddocks", kind)
		}
	}
}

// The page of labs and feed answers for the herd it names, and for no older
// reading of the journal.
func TestLotsAnswerForTheHerdNamed(t *testing.T) {
	farm := willowBend(t)
	b := &builder{t: t, f: farm, seq: 9000}
	// Above the line for bred cattle, below it for open ones.
	b.add(farm.today().Add(-9), &fields.HerdFacts{Herd: "dry-cows", Classes: []string{"open-cattle"}, Head: num(9)})
	b.add(farm.today().Add(-9), &fields.Lab{
		Lot: "bench-hay", SampledOn: farm.today().Add(-9), Analyte: "nitrate", Values: fields.Values(1800), Form: "NO3-N", Unit: "ppm",
		Basis: "dm", Method: "lab", BalesCored: num(1), Cores: num(20),
	})
	d := newDesk(t, farm, 80, 24).press("3")
	flags := map[string]bool{}
	for range 5 {
		want := d.a.m.filter.Herd
		row := strings.Split(d.text(), "\n")[2]
		switch {
		case want == "" && !strings.Contains(row, "To feed, for all: dry-cows, ewes, pairs"), want != "" && !strings.Contains(row, "To feed, for "+want+" (c)"):
			t.Errorf("the page does not name its herd: %q", row)
		}
		fresh := newDesk(t, farm, 80, 24)
		fresh.a.m.filter.Herd = want
		fresh.a.m.relist()
		fresh.press("3")
		if fresh.text() != d.text() {
			t.Errorf("for %v the page says\n%s\nand, opened anew,\n%s", want, d.text(), fresh.text())
		}
		flags[strings.Split(d.text(), "\n")[4]] = true
		d.press("c")
	}
	if len(flags) < 2 {
		t.Errorf("the lot has one answer for all: %v", flags)
	}
	// The herd is changed on another page.
	d.press("1", "c*4", "3").sees("To feed, for dry-cows", "bench-hay ? ASK")
	farm.write(fields.Entry{ID: "01NEW000000000000000000001", By: "Tobias", Recorded: farm.now, On: farm.today(), Body: &fields.Incident{Lot: "bench-hay", Dead: num(1)}})
	d.a.reload()
	d.drain()
	d.draw()
	d.sees("bench-hay # NO ")
}

// What a field wants can be read to its end, also in a small window.
func TestEveryHintIsReadable(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {60, 20}} {
		for _, k := range menuKinds() {
			d := newDesk(t, willowBend(t), size[0], size[1])
			d.a.openForm(k)
			for range d.a.m.form.fields {
				d.draw()
				text := strings.Join(strings.Fields(d.text()), " ")
				if hint := strings.Join(strings.Fields(d.a.m.form.hint()), " "); !strings.Contains(text, hint) {
					t.Errorf("%s at %d columns does not say %q:\n%s", k, size[0], hint, d.text())
				}
				d.press("Tab")
			}
		}
	}
}

// Among the nights of a paddock a form is of the night that was selected, and a reading of
// the thermometer of that paddock. The night on top nobody chose.
func TestAFormIsOfTheSelectedNight(t *testing.T) {
	farm := twoThermometers(t)
	for _, c := range []struct {
		keys  []string
		shows []string
	}{
		{[]string{"r"}, []string{"[Airport]", "Night ending       today"}},
		{[]string{"Down*3", "r"}, []string{"[Airport]", "Night ending       Sat 3 Oct 2026", "to noon Sat 3 Oct 2026"}},
		{[]string{"Down*3", "f"}, []string{"Lease Eighty", "Night ending       Sat 3 Oct 2026"}},
		{[]string{"Down*3", "l", "Enter"}, []string{"LOG: frost", "Night ending       Sat 3 Oct 2026"}},
		{[]string{"Down*3", "0"}, []string{"First night        Sat 3 Oct 2026", "Last night         Sat 3 Oct 2026"}},
		{[]string{"Down*3", "0", "Tab*2", "x", "Esc", "Down", "0"}, []string{"First night        Fri 2 Oct 2026", "Last night         Fri 2 Oct 2026"}},
	} {
		d := newDesk(t, farm, 80, 24)
		d.a.m.subject = "lease"
		d.a.m.explain()
		d.a.show(pageNight)
		d.drain()
		d.press(c.keys...).sees(c.shows...)
	}
}

// The hour at which a frost ended says its night; the last night, which the form assumes, is
// not said beside it. A night that was typed, or selected, stays.
func TestTheHourSaysTheNight(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).press("f", "Tab", "yesterday 06:30", "Enter").sees("UNDERSTOOD, NOT STORED YET", "Frost: night ending Mon 5 Oct").press("Enter")
	if b := last(farm).Body.(*fields.Frost); b.Night != fields.NoDate || b.EndedAt.IsZero() {
		t.Errorf("stored %+v", b)
	}
	d.press("f", "Up", "Ctrl-U", "today", "Tab*2", "yesterday 06:30", "Enter").sees("Frost: night ending Tue 6 Oct", "ended Mon 5 Oct 06:30").press("Enter")
	if b := last(farm).Body.(*fields.Frost); b.Night != farm.today() {
		t.Errorf("stored %+v", b)
	}
}
