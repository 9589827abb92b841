package tui

import (
	"slices"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard"
)

// A change that was begun before somebody else changed the same thing does not put back
// what was on file then.
func TestAStaleChangePutsNothingBack(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24)
	d.a.m.begin(d.a.m.setUp(form.Of(fields.KindHerd), "pairs"))
	d.a.m.form.named("weight_kg").text, d.a.m.form.dirty = "600kg", true
	d.press("Esc")
	b := &builder{t: t, f: farm, seq: 9000}
	b.add(farm.today(), &fields.HerdFacts{Herd: "pairs", Classes: []string{"bred-cattle", "young-cattle"}, Head: num(80)})
	d.press("Ctrl-R")
	d.a.m.begin(d.a.m.setUp(form.Of(fields.KindHerd), "pairs"))
	d.draw()
	if d.a.m.form.textOf("weight_kg") != "600kg" {
		t.Fatal("the half-written change is not offered again")
	}
	n := farm.logged
	d.press("Enter").sees("changed since this form was opened", "Ctrl-N")
	if farm.logged != n || d.a.m.page != pageForm {
		t.Error("a stale change goes on to the check")
	}
	d.press("Ctrl-N")
	if got := d.a.m.form.textOf("head"); got != "80" {
		t.Errorf("Ctrl-N shows %q head", got)
	}
}

// A herd, a way and a night that a key filled in are never replaced by those of a
// half-written form.
func TestAKeysHerdIsNotReplacedByADraft(t *testing.T) {
	d := newDesk(t, willowBend(t), 80, 24)
	move := func(herd string) *draft {
		f := d.a.m.formFor(fields.KindGrazed, nil)
		f.named("herd").text = herd
		d.a.m.begin(f)
		return d.a.m.form
	}
	f := move("pairs")
	f.dirty = true
	if got := move("ewes").textOf("herd"); got != "ewes" {
		t.Errorf("asked to move the ewes, the form moves %q", got)
	}
	d.a.m.form.dirty = true
	if got := move("pairs"); got != f {
		t.Error("what was begun for the pairs is not offered for the pairs")
	}
}

// Paddocks picked all at once stay so when the form is emptied: good news is not said
// of all.
func TestAnEmptiedFormIsStillOfAll(t *testing.T) {
	d := newDesk(t, willowBend(t), 80, 24).press("a", "l")
	d.a.openForm(fields.KindVet)
	d.press("Ctrl-N")
	f := d.a.m.form
	for name, text := range map[string]string{"advice": "may-graze", "who": "Dr Lund", "because": "seen", "until": "tomorrow"} {
		f.named(name).text = text
	}
	d.press("Enter").sees("pick them one by one")
}

// "The lows are true" is said of one file: another one is asked about anew.
func TestAYesIsOfOneFile(t *testing.T) {
	d := newDesk(t, willowBend(t), 80, 24)
	d.a.openForm(form.Import)
	f := d.a.m.form
	f.named("yes").text, f.named("unit").text = "yes", "C"
	f.at = slices.IndexFunc(f.fields, func(x field) bool { return x.Name == "file" })
	d.press("a")
	if f.textOf("file") != "a" || f.textOf("yes") != "" || f.textOf("unit") != "" {
		t.Errorf("file %q, yes %q, unit %q", f.textOf("file"), f.textOf("yes"), f.textOf("unit"))
	}
}

// Which way stock went is asked where a picked paddock has stock in it, unless it was
// chosen by hand.
func TestPickingAStockedPaddockAsksWhichWay(t *testing.T) {
	d := newDesk(t, willowBend(t), 80, 24)
	f := d.a.m.formFor(fields.KindGrazed, []string{"bench"})
	d.a.m.begin(f)
	if f.textOf("state") != "in" {
		t.Fatalf("state is %q where nobody stands", f.textOf("state"))
	}
	d.a.m.open(pagePick)
	d.a.m.setPicks([]string{"creek"}, false)
	if f.textOf("state") != "" {
		t.Errorf("state is %q where the pairs stand", f.textOf("state"))
	}
	f.named("state").text, f.named("state").meant = "in", true
	d.a.m.setPicks([]string{"hills"}, false)
	if f.textOf("state") != "in" {
		t.Error("what was chosen by hand is gone")
	}
}

// A swath keeps its own row whatever is looked for.
func TestASwathIsNotItsPaddock(t *testing.T) {
	farm := willowBend(t)
	b := &builder{t: t, f: farm, seq: 9000}
	b.add(farm.today().Add(-12), &fields.Cut{Paddock: "home", Use: "swath"})
	d := newDesk(t, farm, 120, 40)
	rows := d.a.m.rows()
	ids, _ := pageIDs(rows, hazard.Graze)
	for i := range rows {
		if strings.Contains(rows[i].Name, "the swath") {
			if ids[i] == rows[i].ID || !strings.HasPrefix(ids[i], "home") {
				t.Errorf("the swath's id is %q", ids[i])
			}
			if d.press("/", "the swath", "Enter"); strings.Contains(d.text(), "Other uses") {
				t.Errorf("the paddock's reasoning stands under the swath:\n%s", d.text())
			}
			return
		}
	}
	t.Fatal("no swath is shown")
}
