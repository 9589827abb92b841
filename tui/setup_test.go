package tui

import (
	"errors"
	"strings"
	"testing"

	"rimegate/fields"
)

// noFarm is a farm without a journal.
func noFarm(t testing.TB) *fakeFarm {
	loc, err := fields.LoadZone("America/Regina")
	if err != nil {
		t.Fatal(err)
	}
	return &fakeFarm{loc: loc, now: fields.MakeDate(2026, 10, 6).At(6, 52, loc)}
}

// From nothing to the first page: the farm, a thermometer, the paddocks, the herds, one
// form after the other.
func TestAFarmBeginsOnScreens(t *testing.T) {
	farm := noFarm(t)
	s := sitDown(t, farm, Options{}).waits("LOG: the farm", "no journal yet at own.journal", "whom to call")
	s.press("Willow Bend", "Tab", "Regina", "Enter").waits(`! "Regina" is not a time zone`)
	s.keys = 2 // as if it had been right at once
	s.press("Ctrl-U", "America/Regina", "Tab*2", "Maren 555-0101", "Tab*2", "Dr Lund 555-0100", "Enter").waits("CHECK AND SAVE", "Farm: Willow Bend")
	s.press("Enter").waits("LOG: thermometer", "Next, the thermometers", "Stored: 1 entry (the farm).")
	if text := s.text(); strings.Contains(text, "Ctrl-Z") {
		t.Errorf("a key is named that does nothing in a form:\n%s", text)
	}
	s.press("Yard thermometer", "Enter").waits("Thermometer: Yard thermometer (yard-thermometer)").press("Enter").waits("Stored: 1 entry (thermometer yard-thermometer)", "LOG: thermometer")
	s.press("Esc").waits("LOG: paddock", "Now the paddocks")
	s.press("North Slough", "Tab").waits("= north-slough")
	s.press("Tab", "60ac", "Tab", "y", "Enter").waits("Paddock: North Slough (north-slough)", "Yard thermometer", "WHAT IT CHANGES")
	s.press("Enter").waits("Stored: 1 entry (paddock north-slough)", "LOG: paddock")
	s.press("North-Slough", "Enter").waits("> Name on the gate", `! "north-slough" is there already`)
	s.press("Ctrl-U", "Creek", "Enter").waits("CHECK AND SAVE", "Paddock: Creek").press("Enter").waits("Stored: 1 entry (paddock creek)", "LOG: paddock")
	// What grows: with its day a sowing, without one plants seen; Esc leaves it unknown.
	s.press("Esc").waits("LOG: sown", "Now what grows there", "Creek", "Which poisons can be there").press("smooth brome", "Enter").waits("CHECK AND SAVE", "Seen growing: Creek")
	s.press("Enter").waits("Stored: 1 entry (sown)", "LOG: sown", "North Slough").press("Esc")
	s.waits("LOG: herd", "Now the herds").press("pairs", "Tab", "85 cows with calves").waits(`"cows with calves" is taken as`)
	s.press("Enter").waits("Herd: pairs", "85 head").press("Enter").waits("Stored: 1 entry (herd pairs)", "LOG: herd")
	s.press("Esc").waits("LOG: stock moved", "Last, where they stand", "[pairs]").press("Space", "Space", "Enter", "Enter").waits("CHECK AND SAVE", "pairs into Creek")
	s.press("Enter").waits("WHAT TURNS IT GREEN", "NO and ASK answers wait for it", "l, then walk")
	keys := s.keys // what the page names can be pressed there
	s.press("l").waits("LOG", "what you found when you walked it").press("Esc").waits("WHAT TURNS IT GREEN").press("w").waits("LOG: walk", "none picked").press("Esc").waits("WHAT TURNS IT GREEN")
	s.keys = keys
	s.press("Esc").waits("TODAY", "Creek", "North Slough")
	s.atMost(47) // what grows in two paddocks and where a herd stands too
	if text := s.text(); strings.Contains(text, "not saved") {
		t.Error(text)
	}
	var kinds []string
	for _, e := range farm.all() {
		kinds = append(kinds, string(e.Kind()))
		if e.On != fields.MakeDate(2026, 10, 6) {
			t.Errorf("%s holds from %v", e.Kind(), e.On)
		}
	}
	if got := strings.Join(kinds, " "); got != "farm station paddock paddock seen herd grazed" {
		t.Errorf("stored %s", got)
	}
}

// Esc at once looks around without a farm; nothing can be logged, and the form is
// reached again from the menu.
func TestWithoutAFarm(t *testing.T) {
	farm := noFarm(t)
	d := newDesk(t, farm, 80, 24).press("Esc").sees("TODAY", "no name and time zone yet")
	for _, kind := range menuKinds() {
		if kind == fields.KindFarm {
			continue
		}
		d.fill(kind, filled[kind])
		if d.press("Enter"); d.a.m.page == pageCheck || farm.logged > 0 {
			t.Errorf("%s is logged of no farm", kind)
		}
		d.sees("no name and time zone yet")
	}
	d.press("Esc*4", "l", "End", "Up*3", "Enter").sees("LOG: the farm", "> Name")
	// One with a name and no paddock goes on where it was left.
	d = newDesk(t, newBuilder(t, 6).f, 80, 24).sees("LOG: the farm", "> Units").press("Esc").sees("LOG: thermometer", "Next, the thermometers").press("Esc").sees("LOG: paddock")
	d.press("Esc*2").sees("TODAY", "No paddock is set up yet: l, then paddock")
	d.a.reload()
	d.drain()
	d.draw()
	d.sees("TODAY")
	// A farm that has both is not asked for anything.
	d = newDesk(t, willowBend(t), 80, 24).sees("TODAY")
	if d.a.m.page != pageToday {
		t.Error("a farm with a name is begun again")
	}
}

// A change says only what was touched, of the thing that was chosen.
func TestAChangeSaysWhatIsTouched(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).press("Down", "l", "End", "Up", "Enter").sees("SET UP", "> north-slough", "North Slough (north-slough)")
	d.press("Enter").sees("LOG: paddock", "Changes north-slough.", "North Slough", "20 ha", "[Yard thermometer]")
	d.press("Enter").sees("Nothing is changed yet")
	d.press("Down*3", "-2C", "Enter").sees("CHECK AND SAVE", "Paddock: North Slough (north-slough)", "2 °C")
	d.press("Enter").sees("Stored: 1 entry (paddock north-slough)", "SET UP")
	b := last(farm).Body.(*fields.PaddockFacts)
	if b.Paddock != "north-slough" || b.Name != "North Slough" || b.OffsetC == nil || *b.OffsetC != -2 || b.AreaHa != nil || b.Station != "" || b.LowLying != nil {
		t.Errorf("stored %+v", b)
	}
	d.press("Enter", "Ctrl-U", "Ctrl-N").sees("what is on file again", "North Slough", "-2 °C").press("Ctrl-U", "Tab*3", "Ctrl-U", "Enter").sees("Nothing was stored", "! Cannot be emptied; it was North Slough", "! Cannot be emptied; it was -2 °C")
	// The farm's own: of its contacts only the new one.
	d.press("Esc*3", "l", "End", "Up*3", "Enter").sees("Maren 555-0101", "Dr Lund 555-0100").press("Tab*4", "Ctrl-U", "Tobias 555-0102", "Enter*2").sees("Stored: 1 entry (the farm)")
	f := last(farm).Body.(*fields.Farm)
	if f.Name != "Willow Bend" || *f.Contacts != (fields.Contacts{Backup: "Tobias 555-0102"}) {
		t.Errorf("stored %+v %+v", f, f.Contacts)
	}
	if k := d.a.m.answer.History.Farm.Contacts; k.Manager != "Maren 555-0101" || k.Backup != "Tobias 555-0102" {
		t.Errorf("on file are %+v", k)
	}
	// A half-written change is of its own thing.
	d.press("Esc*3", "1", "l", "End", "Enter").sees("HERD", "ewes", "pairs").press("Down", "Enter", "Tab", "Ctrl-U", "150", "Esc", "Down", "Enter").sees("Changes pairs", "60", "Not saved yet: herd of ewes")
}

// A file is read, shown and stored by its form; Tab completes its name.
func TestAFileIsReadOnScreens(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).press("l", "End", "Up*5", "Enter", "da", "Tab").sees("> File               data/")
	d.press("l", "Tab").sees("data/logger-").press("Tab").sees("logger-1.csv, logger-2.csv", "> File").press("2", "Tab").sees("data/logger-2.csv", "> File").press("Tab").sees("> Thermometer")
	d.press("Enter").sees("! Is missing; choose it", "Nothing was stored")
	d.press("Right", "Enter").sees("CHECK AND SAVE: a thermometer's file", "2 rows read: 1 used, 1 refused", "Dry run, nothing is stored. New: 1 night")
	if strings.Contains(d.text(), "Reading:") || farm.logged != 0 {
		t.Error("every night is read back, or stored already")
	}
	d.press("Enter").sees("Stored: 1 entry (a thermometer's file).", "TODAY")
	d.press("Ctrl-Z").sees("TAKE BACK?", "a thermometer's file, 1 entry", "import 01TESTBATCH000000000000000").press("Enter").sees("Taken back")
	if b := last(farm).Body.(*fields.Strike); b.Batch != "01TESTBATCH000000000000000" || b.Entry != "" {
		t.Errorf("struck %+v", b)
	}
	farm.set(errors.New("a disk that is gone"), "")
	d.press("l", "End", "Up*5", "Enter", "x", "Tab").sees("No file begins like that").press("Enter").sees("! A disk that is gone.", "LOG: a thermometer's file")
}

// A blend is a page of text, and no form that is not saved.
func TestABlendIsAskedOnScreens(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).press("l", "End", "Up*4", "Enter", "Enter").sees("LOG: blend of feeds", "! Is missing")
	d.press("bench-hay", "Tab", "p", "Enter").sees("BLEND OF FEEDS", "A blend of bench-hay for pairs")
	d.press("Esc").sees("LOG: blend of feeds", "bench-hay").press("Esc", "l", "End", "Up*4").sees("> blend of feeds         mix lots")
	if strings.Contains(d.text(), "NOT SAVED") || len(d.a.m.unsaved()) != 0 || farm.logged != 0 {
		t.Error("a blend is to be saved")
	}
}

// Feed is said to be used up from its row: next day it is on no screen, and offered nowhere.
func TestUsedUpFeedLeavesTheScreens(t *testing.T) {
	farm := willowBend(t)
	farm.write(fields.Entry{ID: "01NEW000000000000000000001", By: "Tobias", Recorded: farm.now, Body: &fields.Lab{
		Lot: "bench-hay", SampledOn: farm.today().Add(-9), Analyte: "nitrate", Values: fields.Values(1801),
		Form: "NO3-N", Unit: "ppm", Basis: "dm", Method: "lab",
	}})
	d := newDesk(t, farm, 100, 30).press("3").sees("> bench-hay", "1,801 ppm")
	d.press("l", "Down*18").sees("> feed used up")
	d.press("Enter").sees("LOG: feed used up", "Lot of feed        bench-hay", "today")
	d.press("Tab", "Ctrl-U", "yesterday", "Enter")
	d.sees("CHECK AND SAVE", "Used up, nothing left: lot bench-hay, Mon 5 Oct").press("Enter").sees("Stored: 1 entry")
	if b := last(farm).Body.(*fields.UsedUp); b.Lot != "bench-hay" || last(farm).On != farm.today()-1 {
		t.Errorf("stored %+v", b)
	}
	d.press("Esc*3", "3")
	if text := d.text(); strings.Contains(text, "bench-hay") || strings.Contains(text, "1,801") {
		t.Errorf("still on screen:\n%s", text)
	}
	d.press("l", "Home", "Down*17", "Enter").sees("LOG: fed")
	if strings.Contains(d.text(), "bench-hay") {
		t.Error("what is used up is offered to be fed")
	}
}
