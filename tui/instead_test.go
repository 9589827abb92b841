package tui

import (
	"errors"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard/board"
)

// feedFarm is a farm with a lot of hay.
func feedFarm(t *testing.T) *fakeFarm {
	farm := willowBend(t)
	b := &builder{t: t, f: farm, seq: 9000}
	b.add(farm.today().Add(-30), &fields.LotFacts{Lot: "truck-hay", LotKind: "bought", MadeOn: farm.today().Add(-30)})
	return farm
}

// A lot that is chosen takes the place of the paddock in hand, and the form says so. A
// paddock that a person picked is never dropped for it.
func TestALotInsteadOfAPaddock(t *testing.T) {
	const none, both = "none: it is of the lot truck-hay", "A lot and a paddock are both chosen"
	for kind, say := range map[fields.Kind]map[string]string{
		fields.KindSampled:  {"lot": "truck-hay", "sample": "4711"},
		fields.KindVet:      {"lot": "truck-hay", "advice": "keep-off", "who": "Dr Moe", "because": "found chokecherry"},
		fields.KindIncident: {"lot": "truck-hay", "dead": "1"},
	} {
		farm := feedFarm(t)
		d := newDesk(t, farm, 80, 24)
		f := d.fill(kind, say)
		if kind != fields.KindIncident { // of which both count
			d.sees(none).press("Enter").sees("UNDERSTOOD, NOT STORED YET", "truck-hay").press("Enter").sees("Stored: 1 entry")
			d = newDesk(t, farm, 80, 24)
			d.press("Space")
			f = d.fill(kind, say)
		}
		stored := farm.logged
		d.press("Enter").sees("Nothing was stored", both)
		for f.cursor().Name != "paddock" {
			d.press("Tab")
		}
		d.press("Ctrl-U", "Enter").sees("UNDERSTOOD, NOT STORED YET", "lot truck-hay").press("Enter").sees("Stored: 1 entry")
		if farm.logged != stored+1 {
			t.Errorf("%s: %d are stored, not %d", kind, farm.logged, stored+1)
		}
	}
}

// Of which paddocks stock drink, or feed came from, is said only by a person who picks
// them: the one that was selected on the list was not named.
func TestThePaddockInHandIsNoAnswer(t *testing.T) {
	for _, kind := range []fields.Kind{fields.KindWater, fields.KindLot} {
		d := newDesk(t, willowBend(t), 80, 24)
		d.a.openForm(kind)
		if f := d.a.m.form; len(f.places) != 0 {
			t.Errorf("%s says %v", kind, f.places)
		}
		d.press("Esc", "Space*2")
		d.a.openForm(kind)
		if f := d.a.m.form; len(f.places) != 2 {
			t.Errorf("two were picked, and %s says %v", kind, f.places)
		}
	}
}

// What the farm asks about is refused once, beside its field; Enter again stands by it, and
// not by what was typed since.
func TestAskedOnceAndStoodBy(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24)
	d.a.openForm(fields.KindReading)
	d.press("38C", "Enter").sees("Nothing was stored", "> Low                38C", "It would be far too warm; check the unit: C or F; press Enter again")
	d.press("Backspace*3", "39C", "Enter").sees("Nothing was stored", "far too warm")
	d.press("Enter").sees("UNDERSTOOD, NOT STORED YET")
	if d.press("Enter").sees("Stored: 1 entry"); *last(farm).Body.(*fields.Reading).LowC != 39 {
		t.Error("another low is stored")
	}
}

// What must be said aloud names no command that the screens have no line for, and nobody is
// told that a strike can be taken back.
func TestWordsOfTheScreensOwn(t *testing.T) {
	d := newDesk(t, willowBend(t), 120, 40)
	d.fill(fields.KindFrost, map[string]string{"low_c": "-3C"})
	d.press("Enter")
	d.a.m.form.out.Notes = []string{"lot hay is not set up yet: set it up with `rimegate lot add`"}
	d.draw()
	d.sees("set it up with the lot form (l)")
	d.press("Enter").sees("Ctrl-Z takes it back").press("h", "x", "slip", "Enter*2").sees("Stored: 1 entry (strike)")
	if strings.Contains(d.text(), "Ctrl-Z") {
		t.Errorf("a strike can be taken back:\n%s", d.text())
	}
}

// Of a long text of other letters what fits is shown around the cursor.
func TestWhatFitsOfALongText(t *testing.T) {
	x := input{text: strings.Repeat("ä狐👩‍👩‍👧 ", 4000)}
	x.cur = len(x.text)
	text, cur := x.around(59)
	if w := board.Width(text); w != cur || w > 59 || w < 50 || !strings.HasSuffix(x.text, text) {
		t.Errorf("%d cells, the cursor at %d: %q", w, cur, text)
	}
	x.cur = 0
	if text, cur = x.around(59); cur != 0 || !strings.HasPrefix(x.text, text) || board.Width(text) < 50 || board.Width(text) > 59 {
		t.Errorf("the cursor at %d: %q", cur, text)
	}
}

// A walk that is opened on the row of a swath is one of the swath; on that of its paddock,
// or of paddocks that were picked, nobody said so.
func TestAWalkOfTheSwathThatIsSelected(t *testing.T) {
	farm := willowBend(t)
	b := &builder{t: t, f: farm, seq: 9000}
	b.add(farm.today().Add(-2), &fields.Cut{Paddock: "creek", Use: "swath"})
	for picked, want := range map[bool]string{false: "swath", true: ""} {
		d := newDesk(t, farm, 80, 24)
		for i := 0; !strings.HasSuffix(d.a.m.selected(pageToday), aSwath); i++ {
			if i > 20 {
				t.Fatal("there is no row of a swath")
			}
			d.press("Down")
		}
		if picked {
			d.press("Space", "Up")
		}
		if f := d.press("w").a.m.form; f.textOf("part") != want || f.places[0] != "creek" {
			t.Errorf("picked %v: a walk of %q of %v", picked, f.textOf("part"), f.places)
		}
		d.press("Esc", "Home", "w")
		if f := d.a.m.form; f.textOf("part") != "" {
			t.Errorf("a walk of the stand is one of %q", f.textOf("part"))
		}
	}
}

// What relaxes a rule of every list is said before it is stored.
func TestARelaxedWatchIsSaid(t *testing.T) {
	d := newDesk(t, willowBend(t), 80, 24).press("l", "End", "Up*3")
	d.sees("> the farm").press("Enter")
	f := d.a.m.form
	f.named("name").text, f.named("zone").text, f.named("frost_watch").text = "Willow Bend", "America/Regina", "08-15..06-15"
	f.changed()
	d.press("Enter").sees("UNDERSTOOD, NOT STORED YET", "On every list from now on: RELAXED: the frost watch runs from 15 August")
}

func TestASentenceOfSeveralLines(t *testing.T) {
	if got := sentence(errors.New("the hay has no result\nthe straw has none")); got != "The hay has no result; the straw has none." {
		t.Errorf("%q", got)
	}
}
