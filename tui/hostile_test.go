package tui

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"github.com/gdamore/tcell/v2"
	"github.com/rivo/uniseg"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// hostileNames are names that would break a screen that trusts them.
var hostileNames = []string{
	"[red]Creek[-] [::b]x[\"y\"]",
	"\x1b[31mRed\x1b[0m \x1b]0;title\x07Slough",
	"\u202egnorw\u202c way",
	"狐狸的大草原狐狸的大草原狐狸的大草原狐狸的大草原",
	"Z\u0301\u0302\u0303\u0304\u0305\u0306\u0307\u0308\u0309\u030a\u030b\u030callow 👩‍👩‍👧 🇨🇦",
	strings.Repeat("A long name ", 17),
	"line\nbreak\ttab\r\x00nul\x7f",
	"\u009b31mC1 \u009d0;t\u0007",
}

// hostileFarm has such names everywhere a person can write one.
func hostileFarm(t testing.TB) *fakeFarm {
	b := newBuilder(t, 6)
	f := b.f
	for i, n := range hostileNames {
		id := "p" + strconv.Itoa(i)
		b.add(f.today().Add(-40), &fields.PaddockFacts{Paddock: id, Name: n})
		b.add(f.today().Add(-39), &fields.Sown{Paddock: id, Species: []fields.SpeciesShare{{Species: n}}, NewStand: yes()})
		b.add(f.today().Add(-8), &fields.Frost{Paddocks: []string{id}, Night: f.today().Add(-8), LowC: num(-3), Seen: n})
		b.add(f.today().Add(-7), &fields.Incident{Paddock: id, Down: num(1), What: n})
		b.add(f.today().Add(-6), &fields.Vet{Paddock: id, Advice: "keep-off", Who: n, Because: n})
		b.add(f.today().Add(-5), &fields.Water{Source: n, SampledOn: f.today().Add(-5), Value: num(3), Form: "NO3", Unit: "mg/L"})
		b.add(f.today().Add(-5), &fields.LotFacts{Lot: "lot" + strconv.Itoa(i), LotKind: "bought", MadeOn: f.today().Add(-5), Seller: n, Species: []string{n}})
	}
	b.add(f.today().Add(-40), &fields.Farm{Name: hostileNames[1] + hostileNames[0], Zone: "America/Regina", Contacts: &fields.Contacts{Manager: hostileNames[1], Vet: hostileNames[0]}})
	b.add(f.today().Add(-2), &fields.Grazed{Paddock: "p1", State: "in"})
	for i := range f.entries {
		f.entries[i].By = hostileNames[1]
		f.entries[i].Note = hostileNames[i%len(hostileNames)]
	}
	return f
}

// Plain letters are drawn as characters are found that are more than a letter.
func TestDrawnLetterByLetter(t *testing.T) {
	scr := tcell.NewSimulationScreen("UTF-8")
	if err := scr.Init(); err != nil {
		t.Fatal(err)
	}
	scr.SetSize(40, 1)
	rnd := rand.New(rand.NewPCG(1, 2))
	letters := []rune("ab #~é狐\u0301\u200d👩🇨🇦")
	for range 2000 {
		text := make([]rune, rnd.IntN(9))
		for i := range text {
			text[i] = letters[rnd.IntN(len(letters))]
		}
		if n := uniseg.StringWidth(string(text)); board.Width(string(text)) != n {
			t.Fatalf("%q is %d cells wide, not %d", string(text), n, board.Width(string(text)))
		}
		drawLine(scr, Mono, row(span{string(text), plain}), 0, 40)
		at := 0
		for g := uniseg.NewGraphemes(string(text)); g.Next(); {
			if g.Width() == 0 {
				continue
			}
			if got, _, _ := scr.Get(at, 0); got != g.Str() {
				t.Fatalf("%q: %q in cell %d, not %q", string(text), got, at, g.Str())
			}
			at += g.Width()
		}
		if got, _, _ := scr.Get(at, 0); got != " " {
			t.Fatalf("%q: %q behind it", string(text), got)
		}
	}
}

// On every screen, at every size, foreign text stays text: no control
// character reaches a cell, nothing is taken for a colour tag, the words of a
// flag stay whole, and every row fits.
func TestHostileNamesOnEveryScreen(t *testing.T) {
	for _, s := range ways {
		d := newDesk(t, hostileFarm(t), 80, 24).press(s.keys...)
		for _, size := range [][2]int{{80, 24}, {60, 20}, {120, 40}, {40, 10}, {20, 5}} {
			d.size(size[0], size[1])
			d.draw()
			cells, w, h := d.scr.GetContents()
			if w != size[0] || h != size[1] {
				t.Fatalf("the screen is %d by %d", w, h)
			}
			for i, c := range cells {
				for _, r := range c.Runes {
					if r != 0 && (r < ' ' || r >= 0x7f && r < 0xa0 || r == '\u202e' || r == '\u202c') {
						t.Fatalf("%s %v: cell %d holds %U", s.name, size, i, r)
					}
				}
			}
			if strings.Contains(d.text(), "could not be drawn") || strings.Contains(d.text(), "failed") {
				t.Errorf("%s %v:\n%s", s.name, size, d.text())
			}
			f := d.a.m.frame(size[0], size[1])
			for i, l := range f.lines {
				if l.width() > size[0] {
					t.Errorf("%s %v: row %d is %d cells wide", s.name, size, i, l.width())
				}
			}
		}
	}
}

// Square brackets are shown, not obeyed.
func TestBracketsAreText(t *testing.T) {
	d := newDesk(t, hostileFarm(t), 120, 40)
	d.sees("[red]Creek[-] [::b]x[\"y\"]")
	golden(t, "hostile-today-120x40", shot(d))
}

// Pasted text is cleaned; a character of several code points goes as one.
func TestTypingIsClean(t *testing.T) {
	d := newDesk(t, willowBend(t), 80, 24).press("f", "Tab*2")
	d.a.onPaste("\x1b[31mwhite\x1b[0m\nfrost [red] e\u0301👩‍👩‍👧")
	d.draw()
	d.sees("white frost [red]")
	x := d.a.m.form.cursor()
	d.press("Backspace")
	if !strings.HasSuffix(x.text, "e\u0301") {
		t.Errorf("one Backspace left %q", x.text)
	}
	d.press("Backspace")
	if !strings.HasSuffix(x.text, "[red] ") {
		t.Errorf("two left %q", x.text)
	}
	d.press("Home", "Delete*6", "Right", "x", "End", "y")
	if x.text != "fxrost [red] y" {
		t.Errorf("edited to %q", x.text)
	}
}

// manyHolds is a farm of n paddocks, every third held.
func manyHolds(t testing.TB, n int) *fakeFarm {
	b := newBuilder(t, 6)
	f := b.f
	for i := 0; i < n; i++ {
		id := fmt.Sprintf("p%04d", i)
		b.add(f.today().Add(-40), &fields.PaddockFacts{Paddock: id, Name: fmt.Sprintf("Paddock %04d", i)})
		sp := "alfalfa"
		if i%3 == 0 {
			sp = "forage sorghum"
		}
		b.add(f.today().Add(-39), &fields.Sown{Paddock: id, Species: []fields.SpeciesShare{{Species: sp}}, NewStand: yes()})
	}
	return f
}

// From 40x10 to 200x60, on the way up and down, with the cursor anywhere, each
// HOLD is on the list or counted as out of sight; stock that must come out is
// named on every page. Below that size the names are all there is.
func TestNoSizeHidesAHold(t *testing.T) {
	for _, n := range []int{7, 60} {
		f := manyHolds(t, n)
		if n == 7 {
			f = willowBend(t)
		}
		d := newDesk(t, f, 80, 24)
		holds := 0
		for _, r := range d.a.m.list.Rows {
			if r.Flag == hazard.Hold {
				holds++
			}
		}
		if holds < 4 {
			t.Fatalf("only %d holds", holds)
		}
		for _, at := range []string{"Home", "End"} {
			for _, w := range []int{40, 41, 56, 60, 72, 80, 120, 200} {
				for _, h := range []int{10, 11, 13, 16, 20, 24, 40, 60} {
					d.size(w, h)
					d.press(at)
					text := d.text()
					shown, hidden := 0, 0
					for _, row := range strings.Split(text, "\n") {
						if strings.Contains(row, "# NO") {
							shown++
						}
						if i := strings.Index(row, " more NO out of sight"); i > 0 {
							fmt.Sscan(row[:i], &hidden)
						}
					}
					if shown+hidden != holds || shown == 0 && at == "Home" {
						t.Fatalf("%dx%d: %d of %d holds are shown and %d counted:\n%s", w, h, shown, holds, hidden, text)
					}
					if n == 7 && !strings.Contains(text, "MOVE OUT NOW: PAIRS out of CREEK") {
						t.Fatalf("%dx%d does not say who must move:\n%s", w, h, text)
					}
				}
			}
		}
		if n != 7 {
			continue
		}
		for _, s := range ways {
			d := newDesk(t, f, 40, 10).press(s.keys...)
			if d.a.m.page == pageToday {
				d.sees("MOVE OUT NOW: PAIRS out of CREEK")
			} else {
				d.sees("MOVE OUT NOW: pairs in Creek")
			}
			d.size(30, 9)
			d.draw()
			d.sees("MOVE OUT NOW: pairs in Creek", "North Slough", "40 by 10")
			d.size(80, 24)
			d.draw()
			d.sees("MOVE OUT NOW")
		}
		d.size(12, 3)
		d.draw()
		d.sees("MOVE OUT", "and more;")
	}
}

// Whatever keys are hit in whatever order, at whatever size: nothing fails, the
// stock that must come out stays named, and only SAVE stores.
func TestAMonkeyAtTheKeys(t *testing.T) {
	keys := strings.Fields("Enter Enter Enter Enter Enter Enter Enter Enter Enter Enter Esc Space Tab Tab Shift-Tab Up Down Down Left Right PgUp PgDn Home End Backspace Delete Ctrl-U Ctrl-N Ctrl-R Ctrl-T Ctrl-Z Ctrl-Z a b c e i f g h j k l m n r s t u w x y z 0 1 2 3 4 5 6 7 9 / ? . , [ ] % - é 狐")
	stored := 0
	for seed := uint64(1); seed <= 10; seed++ {
		rnd := rand.New(rand.NewPCG(seed, 1))
		farm := willowBend(t)
		d := newDesk(t, farm, 80, 24).press("f", "-3C", "Enter") // one key from storing
		var last []string
		for range 200 {
			if rnd.IntN(20) == 0 {
				d.size(10+rnd.IntN(120), 3+rnd.IntN(50))
			}
			key := keys[rnd.IntN(len(keys))]
			last = append(last, key)
			was, on := farm.logged, d.a.m.page
			d.press(key)
			if text := d.text(); strings.Contains(text, "could not be drawn") || strings.Contains(text, "That key failed") {
				t.Fatalf("seed %d, after %q:\n%s", seed, last, text)
			}
			if farm.logged != was && (on != pageCheck || key != "Enter") {
				t.Fatalf("seed %d: %q stored something on page %d", seed, key, on)
			}
			kept := d.a.m.frame(d.w, d.h)
			d.a.m.kept = nil
			if !reflect.DeepEqual(kept, d.a.m.frame(d.w, d.h)) {
				t.Fatalf("seed %d, after %q: what is kept is not what would be made:\n%s", seed, last, d.text())
			}
			if len(d.a.m.list.MoveOut) > 0 && d.w >= 40 && d.h >= 10 && !strings.Contains(d.text(), "MOVE OUT NOW") {
				t.Fatalf("seed %d, after %q: nobody is told to move:\n%s", seed, last, d.text())
			}
		}
		stored += farm.logged
	}
	if stored == 0 {
		t.Error("the monkey never came as far as storing anything")
	}
	t.Log(stored, "entries stored")
}

// An answer to an older state of a form is not taken for one of the new state.
func TestACheckOfAnOlderStateIsVoid(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).press("f", "-3C")
	d.a.onKey(events("Enter")[0]) // the farm has not answered yet
	d.a.onKey(events("x")[0])
	d.drain()
	d.draw()
	d.sees("LOG: frost", "-3Cx", "was changed meanwhile")
	d.press("Backspace", "Enter").sees("CHECK AND SAVE")
	// Enter twice in a row stores once.
	d.a.onKey(events("Enter")[0])
	d.a.onKey(events("Enter")[0])
	d.drain()
	if farm.logged != 1 {
		t.Errorf("%d entries were stored", farm.logged)
	}
}

// A refresh does not move the cursor to another paddock.
func TestTheCursorStaysOnItsPaddock(t *testing.T) {
	f := willowBend(t)
	d := newDesk(t, f, 80, 24).press("Down*4").sees("> Home Quarter ? ASK")
	f.write(fields.Entry{ID: "01NEW000000000000000000001", By: "Tobias", Recorded: f.now, On: f.today(), Body: &fields.Incident{Paddock: "hills", Dead: num(1)}})
	d.a.reload()
	d.drain()
	d.draw()
	d.sees("> Home Quarter ? ASK", "East Hills   # NO")
}

// The key table is the help: every key that does something is in it, and
// everything in it does something.
func TestHelpIsTheKeyTable(t *testing.T) {
	seen := map[string]bool{}
	for _, b := range keyTable() {
		if b.long == "" || b.do == nil || b.part == "" {
			t.Errorf("%q is half a binding", b.keys)
		}
		for _, k := range strings.Fields(b.keys) {
			on := b.on
			if on == nil {
				on = []page{numPages}
			}
			for _, p := range on {
				id := k + fmt.Sprint(p)
				if seen[id] {
					t.Errorf("%s is bound twice on page %d", k, p)
				}
				seen[id] = true
			}
		}
	}
	d := newDesk(t, willowBend(t), 80, 200).press("?")
	for _, b := range keyTable() {
		words := strings.Fields(b.long)
		if first := strings.Join(words[:min(3, len(words))], " "); !strings.Contains(d.text(), first) {
			t.Errorf("the help does not say %q", b.long)
		}
	}
}

// menuKinds are the kinds of entries of the menu.
func menuKinds() []fields.Kind {
	var out []fields.Kind
	for _, k := range new(model).menu() {
		if asks[k.Kind] == nil {
			out = append(out, k.Kind)
		}
	}
	return out
}

// Every form asks for what its kind needs, each field under a label of its own.
func TestEveryFieldHasALook(t *testing.T) {
	d := newDesk(t, willowBend(t), 80, 24)
	for _, k := range menuKinds() {
		f := newDraft(d.a.m, form.Of(k), nil)
		for _, x := range fields.FieldsOf(k) {
			if x.Required && f.named(x.Name) == nil {
				t.Errorf("%s: the form does not ask for %s, which is needed", k, x.Name)
			}
		}
		labels := map[string]bool{}
		for _, x := range f.fields {
			if labels[x.Label] {
				t.Errorf("%s: %q is the label of two fields", k, x.Label)
			}
			labels[x.Label] = true
		}
		if first := f.kind.First; first != "" && f.named(first) == nil {
			t.Errorf("%s: the first field %s is not asked for", k, first)
		}
	}
}

// filled is something to say in each form, by field; what is not listed stays
// empty.
var filled = map[fields.Kind]map[string]string{
	fields.KindFrost:    {"low_c": "26F", "ended_at": "05:30"},
	fields.KindNoFrost:  {"from": "yesterday", "to": "today", "basis": "other-thermometer"},
	fields.KindWalk:     {"killed": "none", "shortest_cm": "32in", "alive": "oats, field peas", "stress_free": "yes", "kg_dm_ha": "2200lb/ac"},
	fields.KindGrazed:   {"state": "in", "herd": "ewes"},
	fields.KindLab:      {"sampled_on": "yesterday", "analyte": "hcn", "values": "120, 140", "unit": "ppm", "basis": "dm", "method": "lab", "sample_state": "frozen"},
	fields.KindIncident: {"down": "2", "what": "staggering"},
	fields.KindReading:  {"station": "yard", "low_c": "1.5C"},
	fields.KindForecast: {"station": "yard", "low_c": "-1C"},
	fields.KindDrought:  {"state": "end", "rain_mm": "25mm"},
	fields.KindRain:     {"mm": "0.5in"},
	fields.KindHail:     {},
	fields.KindTrampled: {},
	fields.KindSprayed:  {"product": "glyphosate"},
	fields.KindNitrogen: {"kg_n_ha": "50lb/ac", "form": "urea"},
	fields.KindCut:      {"use": "hay", "height_cm": "4in"},
	fields.KindSampled:  {"sample": "4711", "stems": "20", "spots": "10"},
	fields.KindLot:      {"lot": "new-hay", "lot_kind": "hay", "made_on": "today", "bales": "40"},
	fields.KindFed:      {"lot": "bench-hay", "herd": "pairs", "kg": "1100lb"},
	fields.KindUsedUp:   {"lot": "bench-hay"},
	fields.KindWater:    {"source": "west well", "value": "24", "form": "NO3-N", "unit": "mg/L", "sampled_on": "yesterday"},
	fields.KindVet:      {"advice": "may-graze", "who": "Dr Lund", "because": "looked at them", "until": "20-Oct"},
	fields.KindDone:     {"round": "walk the regrowth"},
	fields.KindSeen:     {"species": "johnsongrass, kochia"},
	fields.KindFarm:     {"name": "Tallgrass Place", "zone": "America/Denver", "units": "us", "vet": "Dr Aune 555-0100", "frost_watch": "08-15..06-15"},
	fields.KindStation:  {"name": "Creek post", "height_m": "5ft"},
	fields.KindPaddock:  {"name": "Far Corner", "area_ha": "60ac", "station": "yard", "offset_c": "-3.6F", "low_lying": "yes"},
	fields.KindHerd:     {"herd": "Yearling steers", "classes": "young-cattle", "head": "40", "weight_kg": "700lb"},
	fields.KindSown:     {"species": "oats:60, field peas:40", "new_stand": "yes", "on": "17-May"},
}

// Every form makes an entry that the journal takes, from what a person types.
func TestEveryFormMakesAnEntry(t *testing.T) {
	for _, k := range menuKinds() {
		farm := willowBend(t)
		d := newDesk(t, farm, 80, 24).press("Down")
		d.a.openForm(k)
		f := d.a.m.form
		say, ok := filled[k]
		if !ok {
			t.Fatalf("nothing to say in the form of %s", k)
		}
		for name, text := range say {
			f.named(name).text = text
		}
		d.press("Enter")
		if d.a.m.page != pageCheck {
			t.Errorf("%s is not understood:\n%s", k, d.text())
			continue
		}
		d.press("Enter")
		es := farm.all()
		if farm.logged != 1 || es[len(es)-1].Kind() != k {
			t.Errorf("%s: %d entries were stored:\n%s", k, farm.logged, d.text())
		}
	}
}

// An empty form says what is missing and stores nothing, whatever its kind.
func TestEmptyFormsAreRefused(t *testing.T) {
	for _, k := range menuKinds() {
		farm := willowBend(t)
		d := newDesk(t, farm, 80, 24)
		d.a.openForm(k)
		for j := range d.a.m.form.fields {
			d.a.m.form.fields[j].text = ""
		}
		d.a.m.form.places = nil
		d.press("Enter")
		if d.a.m.page != pageForm || farm.logged != 0 {
			t.Errorf("%s empty goes on to page %d", k, d.a.m.page)
		}
		d.sees("! ")
		if strings.Contains(d.text(), "! on:") { // a field the form does not have
			t.Errorf("%s empty blames a field nobody can see:\n%s", k, d.text())
		}
	}
}

// Damage that no recorded night explains must be explained by the person.
func TestAWalkAsksForTheNight(t *testing.T) {
	b := newBuilder(t, 6)
	b.add(b.f.today().Add(-40), &fields.PaddockFacts{Paddock: "creek", Name: "Creek"})
	d := newDesk(t, b.f, 80, 24)
	d.press("w", "Tab*4", "t", "Enter").sees("no recorded night explains", "> ", "which night")
	d.press("Tab", "h", "Enter").sees("CHECK AND SAVE", "Walk: Creek", "frost damage: tips", "Hail:")
	d.press("Esc", "Left", "d", "Enter")
	d.press("Esc", "Ctrl-U", "d*2", "Enter").sees("from the night ending")
	d.press("Esc", "r", "Enter").sees("ripe, not frost")
	d.press("Esc", "Shift-Tab", "yesterday", "Enter").sees("A night and another cause are both given")
	d.press("Shift-Tab", "Ctrl-U", "Shift-Tab", "n", "Enter").sees("but no damage")
}

// In the evening "last night" can mean two nights: the person must say which.
func TestInTheEveningTheNightIsAsked(t *testing.T) {
	b := newBuilder(t, 20)
	b.add(b.f.today().Add(-40), &fields.PaddockFacts{Paddock: "creek", Name: "Creek"})
	d := newDesk(t, b.f, 80, 24).press("f").sees("> Night ending")
	d.press("Tab", "-3C", "Enter").sees("it is evening; type today for last night, tomorrow for the")
	d.press("tomorrow", "Enter").sees("night ending Wed 7 Oct")
}
