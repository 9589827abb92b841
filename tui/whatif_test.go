package tui

import (
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
)

// What if it freezes on a coming day: the table shows it, marked, and Esc takes it
// away; nothing is stored, and no other page shows it.
func TestWhatIfItFreezes(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).press("4", "Down*3", "Right*4").sees("10v", "> Corral Strip")
	was := d.text()
	d.press("i").sees("IF, on Sat 10 Oct", "> frost").press("Enter").sees("IF, on Sat 10 Oct: frost", "Corral Strip", "Sat 10 Oct")
	d.press("-3", "Enter").sees("has no unit", "> Low").press("C", "Enter")
	d.sees("IF: COMING DAYS", "IF Frost: night ending Sat 10 Oct", "-3 °C (26.6 °F), Corral Strip", "Nothing of it is stored", "> Corral Strip",
		"IF it happens: HOLD today, CAUTION from Sun 25 Oct. If not:", "today, CAUTION from Fri 16 Oct", "MOVE OUT NOW")
	if n := d.a.m.flags(d.a.m.ifs, "strip", farm.today().Add(12), farm.today().Add(12))[0]; n != hazard.Hold {
		t.Errorf("after a frost assumed the strip is %v", n)
	}
	d.press("c").sees("IF: COMING DAYS", "for ewes (c)").press("c*2")
	d.press("Esc")
	if d.text() != was {
		t.Errorf("Esc leaves\n%s\nof\n%s", d.text(), was)
	}
	// Another page, or another log, is about what is.
	d.press("i", "Enter", "-3C", "Enter").sees("IF: COMING DAYS").press("Enter").sees("WHY: Corral Strip", "through Thu 15 Oct").press("Esc")
	if d.a.m.ifs != nil {
		t.Error("what was assumed outlives its page")
	}
	d.press("i", "Esc", "f").sees("LOG: frost", "Night ending       today")
	if farm.logged != 0 || len(d.a.m.unsaved()) != 0 {
		t.Errorf("%d entries are stored, %q not saved", farm.logged, d.a.m.unsaved())
	}
}

// A half-written form that assumes something is never taken for one that logs.
func TestWhatIsAssumedIsNotLogged(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).press("4", "i", "Enter", "-3C", "Esc*2", "l", "Enter").sees("LOG: frost")
	if f := d.a.m.form; f.dirty || f.onto != fields.NoDate {
		t.Fatalf("the form that logs holds %+v", f.said())
	}
	d.press("-2C", "Ctrl-N").sees("LOG: frost", "Night ending       today").press("-2C", "Esc", "4", "i").sees("IF, on", "NOT SAVED")
	d.press("Enter").sees("-3C", "IF, on").press("Ctrl-N").sees("Tue 6 Oct").press("-3C", "Enter").sees("IF: COMING DAYS")
	if farm.logged != 0 {
		t.Error("something was stored")
	}
	d.press("Esc", "f").sees("LOG: frost", "-2C")
	for _, k := range d.a.m.menu() {
		if strings.Contains(string(k.Kind), "lot") && d.a.m.supposed != fields.NoDate {
			t.Errorf("%s can be assumed", k.Kind)
		}
	}
}

// Every form of what may be assumed works: entries of a coming day are taken.
func TestEveryKindThatMayBeAssumed(t *testing.T) {
	for _, k := range ifKinds {
		farm := willowBend(t)
		d := newDesk(t, farm, 80, 24).press("4", "Down", "Right*3", "i")
		for d.a.m.menu()[d.a.m.at(pageMenu)].Kind != k {
			d.press("Down")
		}
		d.press("Enter")
		for name, text := range filled[k] {
			if x := d.a.m.form.named(name); x != nil && name != "sampled_on" && name != "ended_at" && name != "until" {
				x.text = text
			}
		}
		if x := d.a.m.form.named("until"); x != nil {
			x.text = "20-Oct"
		}
		d.press("Enter")
		if d.a.m.ifs == nil || farm.logged != 0 {
			t.Errorf("%s is not taken for assumed:\n%s", k, d.text())
		}
	}
}

// The terminal's cursor stands on what is selected or edited, where a screen reader
// looks for it.
func TestTheCursorStandsWhereTheEyeIs(t *testing.T) {
	d := newDesk(t, willowBend(t), 80, 24)
	for _, x := range []struct {
		keys []string
		want string // what begins at the cursor
	}{
		{nil, ">"},
		{[]string{"Down*2"}, ">"},
		{[]string{"2"}, ">"},
		{[]string{"4"}, ">"},
		{[]string{"5", "Down"}, ">"},
		{[]string{"1", "l"}, ">"},
		{[]string{"Esc", "f", "-3"}, ""},
		{[]string{"Up*2"}, "The Bench"},
		{[]string{"Space"}, ">"},
		{[]string{"Esc*2", "0"}, "[-]"},
		{[]string{"Right"}, "[1 looked at dawn]"},
		{[]string{"Right*2"}, "[3 thermometer"},
	} {
		d.press(x.keys...)
		cx, cy, on := d.scr.GetCursor()
		rows := strings.Split(d.text(), "\n")
		if !on || cy >= len(rows) || !strings.HasPrefix(string(append([]rune(rows[cy]), []rune(strings.Repeat(" ", 80))...)[cx:]), x.want) {
			t.Errorf("after %q the cursor (%v) is at %d in row %d:\n%s", x.keys, on, cx, cy, d.text())
		}
	}
	d.press("Esc*2", "Enter").sees("WHY")
	if cx, cy, on := d.scr.GetCursor(); !on || cx != 0 || cy != 2 {
		t.Errorf("of a text the cursor (%v) is at %d, %d", on, cx, cy)
	}
	d.press("Esc", "/", "ho")
	if cx, cy, on := d.scr.GetCursor(); !on || cy != 22 || cx != len(" Find: ho") {
		t.Errorf("while a name is looked for the cursor (%v) is at %d, %d", on, cx, cy)
	}
}
