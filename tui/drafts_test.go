package tui

import (
	"strings"
	"testing"
	"time"

	"rimegate/fields"
)

// A form opened from another paddock speaks of that paddock alone; what was
// typed about the first is offered and comes back whole.
func TestAFormIsOfThePaddockInHand(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).sees("> Creek")
	d.press("w", "Tab*7", "10in", "Esc", "Down", "w").sees("LOG: walk", "North Slough", "Not saved yet: walk for Creek. Ctrl-O opens it.", "Ctrl-O other draft")
	if f := d.a.m.form; f.dirty || f.named("shortest_cm").text != "" || f.subject() == "" || f.places[0] != "north-slough" || len(f.places) != 1 {
		t.Fatalf("the form of North Slough holds %+v of %v", f.named("shortest_cm").text, f.places)
	}
	d.press("p", "Enter").sees("CHECK AND SAVE", "Walk: North Slough")
	d.press("Esc", "Ctrl-O").sees("Creek", "10in", "Not saved yet: walk for North Slough")
	d.press("Ctrl-O").sees("North Slough", "[part]")
	d.press("Esc", "l").sees("walk                   NOT SAVED: half-written for North Slough")
	// Saving one leaves the other.
	d.press("Esc", "w", "Enter", "Enter").sees("Stored: 1 entry (walk).")
	d.press("Home", "w").sees("Creek", "10in", "What you typed before is still here")
	if e := farm.all()[len(farm.all())-1]; e.Body.(*fields.Walk).Paddock != "north-slough" {
		t.Errorf("stored %+v", e.Body)
	}
	// Other paddocks picked inside the form make it a form of those.
	d.press("Up*9", "Space", "Down*2", "Space", "Esc").sees("2 paddocks")
	d.press("Esc", "w").sees("Not saved yet: walk for 2 paddocks.")
	if f := d.a.m.form; f.dirty || len(f.places) != 1 || f.places[0] != "creek" {
		t.Errorf("the form of Creek is of %v", f.places)
	}
}

// A strike half-written is of its own entry, and survives Esc.
func TestAStrikeIsKeptForItsEntry(t *testing.T) {
	d := newDesk(t, willowBend(t), 80, 24).press("h", "x", "wrong paddock", "Esc", "Down", "x")
	d.sees("Strikes: ", "Not saved yet: strike (Strikes: Stock moved")
	if f := d.a.m.form; f.dirty || f.named("because").text != "" {
		t.Fatal("the reason was taken for another entry")
	}
	d.press("Esc", "Up", "x").sees("wrong paddock", "What you typed before is still here")
}

// Ctrl-C on the running screens asks once, with the form still there; only the
// same key again leaves, and any other key takes the question back.
func TestCtrlCAsksOnce(t *testing.T) {
	s := sitDown(t, willowBend(t), Options{}).waits("MOVE OUT NOW")
	s.press("f", "-3C").waits("= -3 °C (26.6 °F)")
	s.press("Ctrl-C").waits("A form is not saved. Ctrl-C again leaves without it.", "-3C")
	s.press("Tab", "Ctrl-C").waits("A form is not saved.", "> Frost ended at")
	select {
	case <-s.a.ctx.Done():
		t.Fatal("the screens ended with a form half-written")
	default:
	}
	s.press("Ctrl-C")
	s.ends()
	// With nothing typed there is nothing to ask.
	s = sitDown(t, willowBend(t), Options{}).waits("MOVE OUT NOW")
	s.press("f").waits("LOG: frost").press("Ctrl-C")
	s.ends()
}

func (s *seat) ends() {
	s.t.Helper()
	select {
	case <-s.a.ctx.Done():
	case <-time.After(20 * time.Second):
		s.t.Fatal("the screens go on:\n" + s.text())
	}
}

// The round that is selected is the one that was done, whatever was typed of
// another.
func TestARoundIsTheSelectedOne(t *testing.T) {
	farm := willowBend(t)
	b := &builder{t: t, f: farm, seq: 9000}
	b.add(farm.today().Add(-20), &fields.Round{Name: "check the water", RRule: "FREQ=DAILY"})
	d := newDesk(t, farm, 80, 24).press("5").taskRow("check the water").press("Enter")
	first := d.a.m.form.named("round").text
	d.press("Tab", "half a note", "Esc").taskRow("walk the regrowth").press("Enter")
	if f := d.a.m.form; f.kind.Kind != fields.KindDone || f.dirty || f.named("round").text == first || !strings.Contains(d.text(), "Not saved yet: done of "+first) {
		t.Errorf("the form of the other round holds %q:\n%s", f.named("round").text, d.text())
	}
}

// A form that lies over midnight says that its "today" is another day now.
func TestAFormOverMidnight(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).press("f", "-3C")
	const turned = "This form was begun on Tue 6 Oct"
	if strings.Contains(d.text(), turned) {
		t.Fatal("it is still that day")
	}
	farm.now = farm.now.AddDate(0, 0, 1)
	d.a.reload()
	d.drain()
	d.draw()
	d.sees(turned, "today is Wed 7 Oct")
	d.press("Up", "Ctrl-U", "6-Oct")
	if strings.Contains(d.text(), turned) {
		t.Error("the day is typed out and still asked about")
	}
}

// On the page of lots the selected lot is in hand, as a paddock is elsewhere.
func TestAFormIsOfTheLotInHand(t *testing.T) {
	farm := willowBend(t)
	b := &builder{t: t, f: farm, seq: 9000}
	b.add(farm.today().Add(-30), &fields.LotFacts{Lot: "truck-hay", LotKind: "bought", MadeOn: farm.today().Add(-30)})
	d := newDesk(t, farm, 80, 24).press("3", "b")
	first := d.a.m.form.named("lot").text
	d.press("yesterday", "Esc", "Down", "b")
	f := d.a.m.form
	if first == "" || f.named("lot").text == first || f.named("lot").text == "" || f.named("sampled_on").text != "" {
		t.Errorf("after %s the form is of %q, sampled %q", first, f.named("lot").text, f.named("sampled_on").text)
	}
	d.sees("Not saved yet: lab result for lot " + first)
	d.press("Esc", "Enter", "b")
	if d.a.m.form.named("lot").text == "" {
		t.Error("the page of a lot has no lot in hand")
	}
	d.press("Esc*2", "1", "b")
	if f := d.a.m.form; f.named("lot").text != "" || len(f.places) != 1 {
		t.Errorf("a paddock is in hand, and the form is of %q", f.named("lot").text)
	}
}
