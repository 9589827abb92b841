package tui

import (
	"testing"

	"rimegate/fields"
)

// sheetOf types a laboratory's sheet into the form of two paddocks.
func sheetOf(d *desk) *draft {
	d.t.Helper()
	d.press("Down", "Space*2", "b")
	f := d.a.m.form
	for name, text := range map[string]string{"sampled_on": "yesterday", "analyte": "nitrate", "form": "NO3", "unit": "ppm", "basis": "dm", "method": "lab"} {
		f.named(name).text = text
	}
	return f
}

func (f *draft) of(name, place string) *field {
	for i := range f.fields {
		if x := &f.fields[i]; x.Name == name && x.place == place {
			return x
		}
	}
	return nil
}

// One sheet with a number for each paddock is one form, one read-back and one
// storing; each result is of its own paddock.
func TestALaboratorysSheetOfSeveralPaddocks(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24)
	f := sheetOf(d)
	d.draw()
	d.sees("2 paddocks: North Slough, The Bench", "\n  North Slough\n  The Bench\n", "Sample's number                 for North Slough", "Stems                           for The Bench")
	f.of("values", "north-slough").text, f.of("sample", "north-slough").text = "3000", "4711"
	d.press("Enter").sees("Nothing was stored", "> The Bench", "! Is missing")
	if d.a.m.page != pageForm {
		t.Fatal("a paddock without a number goes on")
	}
	d.press("820; 910", "Enter").sees("UNDERSTOOD, NOT STORED YET", "Nitrate result: North Slough", "3,000 ppm NO3", "sample 4711", "Nitrate result: The Bench", "820", "910")
	d.press("Enter").sees("Stored: 2 entries (lab result).")
	es := farm.all()
	got := map[string]*fields.Lab{}
	for _, e := range es[len(es)-2:] {
		b := e.Body.(*fields.Lab)
		got[b.Paddock] = b
	}
	if a, b := got["north-slough"], got["bench"]; farm.logged != 2 || a == nil || b == nil || len(a.Values) != 1 || a.Values[0].N != 3000 || a.Sample != "4711" || len(b.Values) != 2 || b.Sample != "" {
		t.Errorf("stored %+v, %+v", a, b)
	}
}

// As fed, each result needs the dry matter of its own sample.
func TestASheetAsFedNeedsEachDryMatter(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24)
	f := sheetOf(d)
	f.named("basis").text = "as-fed"
	f.of("values", "north-slough").text, f.of("values", "bench").text, f.of("dm_pct", "north-slough").text = "3000", "820", "32%"
	d.press("Enter").sees("Nothing was stored")
	if x := f.cursor(); x.Name != "dm_pct" || x.place != "bench" || d.a.m.page != pageForm {
		t.Errorf("the cursor is on %s of %q on page %d", x.Name, x.place, d.a.m.page)
	}
	d.press("45%", "Enter").sees("CHECK AND SAVE")
}

// What was typed stays with its paddock while others are picked and dropped; a lot
// of feed has one number.
func TestASheetKeepsWhatIsTyped(t *testing.T) {
	d := newDesk(t, willowBend(t), 80, 24)
	f := sheetOf(d)
	f.of("values", "north-slough").text, f.of("values", "bench").text = "3000", "820"
	f.at = 0
	d.press("Space", "Home") // the picker: paddocks in order of short names
	d.sees("> [x] The Bench").press("Space", "Esc").sees("North Slough")
	if x := f.named("values"); x.place != "" || x.text != "3000" || f.of("values", "bench") != nil {
		t.Fatalf("one paddock is left, and its number is %q of %q", x.text, x.place)
	}
	are := func(numbers ...string) { // of North Slough, The Bench, Creek
		t.Helper()
		for i, p := range []string{"north-slough", "bench", "creek"} {
			if got := f.of("values", p).text; got != numbers[i] {
				t.Errorf("the number of %s is %q", p, got)
			}
		}
	}
	d.press("Space", "Home", "Space*2", "Esc").sees("3 paddocks")
	are("3000", "820", "") // its number comes back with the paddock
	d.press("Down", "b").sees("[bench-hay]")
	if x := f.named("values"); x.place != "" || x.text != "" {
		t.Errorf("a lot is asked for the numbers of paddocks, or has one: %q", x.text)
	}
	d.press("Left").sees("3 paddocks")
	are("3000", "820", "")
	// The last that is left is not the first that was typed.
	d.press("Up", "Space")
	for range 7 {
		if id := d.a.m.selected(pagePick); id == "north-slough" || id == "creek" {
			d.press("Space")
		} else {
			d.press("Down")
		}
	}
	d.press("Esc").sees("The Bench")
	if x := f.named("values"); x.place != "" || x.text != "820" {
		t.Errorf("The Bench is left with the number %q", x.text)
	}
}

// Ctrl-Z takes back what was stored last, all of it, after asking; nothing is deleted.
func TestCtrlZTakesBackWhatWasStored(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).press("Ctrl-Z").sees("Nothing was stored in this sitting")
	was := d.a.m.list.Rows
	d.press("Down", "Space*2", "w", "p", "Enter*2").sees("Stored: 2 entries (walk).")
	d.press("End", "l", "Down*5", "Enter", "Tab*3", "1", "Enter*2").sees("Stored: 1 entry (animal sick or dead).")
	d.press("f", "Ctrl-Z").sees("LOG: frost").press("Esc")
	d.press("Ctrl-Z").sees("CHECK AND SAVE: strike", "TAKE BACK?", "Strike:", "no longer counts", "because: taken back", "WHAT IT CHANGES", "East Hills")
	stored := farm.logged
	d.press("Esc").sees("Takes back what was stored: animal sick or dead, 1 entry", "Because", "taken back")
	if farm.logged != stored {
		t.Fatal("asking stored something")
	}
	d.press("Enter", "Enter").sees("Taken back: animal sick or dead, 1 entry. Changed: ", "TODAY")
	d.press("Ctrl-Z", "Enter").sees("Taken back: walk, 2 entries.")
	d.press("Ctrl-Z").sees("Nothing was stored in this sitting")
	struck := 0
	for _, e := range farm.all() {
		if b, ok := e.Body.(*fields.Strike); ok && b.Because == "taken back" {
			struck++
		}
	}
	if struck != 3 || farm.logged != stored+3 {
		t.Errorf("%d strikes", struck)
	}
	for i, r := range d.a.m.list.Rows {
		if r.Flag != was[i].Flag || r.ID != was[i].ID {
			t.Errorf("%s is not as it was", r.ID)
		}
	}
}

// A strike is not taken back, and nothing else is taken back in its place unasked.
func TestCtrlZAfterAStrike(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).press("Down", "w", "p", "Enter*2").sees("Stored: 1 entry (walk).")
	d.press("h", "x", "wrong paddock", "Enter*2").sees("Stored: 1 entry (strike).").press("Esc", "f", "-3C", "Enter*2").sees("Stored: 1 entry (frost).")
	d.press("Ctrl-Z", "Esc", "!", "Esc") // a half-written one is of its own
	d.press("s", "p", "Enter*2").sees("Stored: 1 entry (stock moved).")
	d.press("Ctrl-Z").sees("TAKE BACK?", "stock moved, 1 entry").press("Enter").sees("Taken back: stock moved")
	d.press("Ctrl-Z").sees("TAKE BACK?", "frost, 1 entry").press("Esc").sees("taken back!").press("Enter*2").sees("Taken back: frost")
	stored := farm.logged
	d.press("Ctrl-Z").sees("What was stored last is a strike")
	if farm.logged != stored || d.a.m.page != pageToday {
		t.Error("something else is taken back")
	}
}

// What somebody struck meanwhile is not struck twice, and what was stored before it
// is next.
func TestCtrlZPassesOverWhatIsStruck(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).press("f", "-3C", "Enter*2").sees("Stored: 1 entry (frost).")
	d.press("w", "p", "Enter*2").sees("Stored: 1 entry (walk).")
	id := last(farm).ID
	farm.write(fields.Entry{ID: "01STRIKE0000000000000000001", By: "Tobias", Recorded: farm.now, On: farm.today(), Body: &fields.Strike{Entry: id, Because: "wrong paddock"}})
	d.a.reload()
	d.drain()
	d.press("Ctrl-Z").sees("TAKE BACK?", "Frost").press("Enter").sees("Taken back: frost, 1 entry.")
	if d.press("Ctrl-Z").sees("Nothing was stored in this sitting"); farm.logged != 4 {
		t.Errorf("%d entries were stored", farm.logged)
	}
}
