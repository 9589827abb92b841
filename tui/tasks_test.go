package tui

import (
	"slices"
	"strings"
	"testing"

	"rimegate/fields"
)

// taskRow selects the first row of the page of tasks that holds a text in its words.
func (d *desk) taskRow(words string) *desk {
	d.t.Helper()
	rows := d.a.m.todo()
	i := slices.IndexFunc(rows, func(t task) bool { return strings.Contains(t.Name+": "+t.Text, words) })
	if i < 0 {
		d.t.Fatalf("nothing to do says %q", words)
	}
	d.a.m.sel[pageTasks] = rows[i].key
	d.draw()
	return d
}

// What is most urgent stands first: the vet, stock that must move, today, this
// week, later; in a small window too each act can be read to its end.
func TestTheMostUrgentTaskStandsFirst(t *testing.T) {
	farm := willowBend(t)
	b := &builder{t: t, f: farm, seq: 9000}
	b.add(farm.today(), &fields.Incident{Paddock: "lease", Down: num(1)})
	d := newDesk(t, farm, 80, 40).press("5").sees("CALL THE VET", "Only a vet's")
	at := -1
	for _, w := range []string{"CALL THE VET\n", "MOVE\n", "ACT TODAY\n", "LATE", "DUE THIS WEEK\n", "LATER\n"} {
		i := strings.Index(d.text()[at+1:], w)
		if i < 0 {
			t.Fatalf("%q does not stand where it belongs:\n%s", w, d.text())
		}
		at += 1 + i
	}
	was := urgency(0)
	for i, x := range d.a.m.todo() {
		if x.urgency < was {
			t.Errorf("row %d, %s, is more urgent than the one above", i, x.Text)
		}
		was = x.urgency
	}
	for _, size := range [][2]int{{80, 24}, {60, 20}} {
		d.size(size[0], size[1])
		d.press("Home")
		for _, x := range d.a.m.todo() {
			d.draw()
			if text := strings.Join(strings.Fields(d.text()), " "); !strings.Contains(text, strings.Join(strings.Fields(x.Text), " ")) {
				t.Errorf("%dx%d: the act cannot be read: %q\n%s", size[0], size[1], x.Text, d.text())
			}
			d.press("Down")
		}
	}
}

// Enter opens the form that does it, filled in as far as the task goes; of a call
// to the vet it shows why.
func TestEnterOnATaskOpensItsForm(t *testing.T) {
	farm := twoThermometers(t)
	b := &builder{t: t, f: farm, seq: 9500}
	b.add(farm.today(), &fields.Incident{Paddock: "strip", Down: num(1)})
	for words, want := range map[string][]string{
		"Corral Strip: Only a vet's":        {"WHY: Corral Strip"},
		"PAIRS out of CREEK":                {"LOG: stock moved", "Paddocks           Creek", "[out]", "[pairs]"},
		"North Slough: Walk it on":          {"LOG: walk", "Paddocks           North Slough"},
		"North Slough: Walk it and measure": {"LOG: walk", "Paddocks           North Slough"},
		"North Slough: Look up the low":     {"LOG: thermometer reading", "[Yard thermometer]", "Sat 3 Oct", "> Low"},
		"Home Quarter: Sample it":           {"LOG: sample sent", "Paddocks           Home Quarter"},
		"Creek: Give them other water":      {"LOG: water result"},
		"walk the regrowth: Round":          {"LOG: done", "[walk the regrowth]"},
	} {
		newDesk(t, farm, 80, 24).press("5").taskRow(words).press("Enter").sees(want...)
	}
	// The thermometer is the paddock's own, whichever was read last.
	b.add(farm.today().Add(-9), &fields.Sown{Paddock: "lease", Species: []fields.SpeciesShare{{Species: "forage sorghum"}}, NewStand: yes()})
	newDesk(t, farm, 80, 24).press("5").taskRow("Lease Eighty: Look up").press("Enter").sees("[Airport]")
}
