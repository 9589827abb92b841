package tui

import (
	"strings"
	"testing"

	"rimegate/fields"
)

// Stock put into a paddock on hold are told of before it is stored.
func TestMovingIntoAHoldIsSaidAtTheCheck(t *testing.T) {
	d := newDesk(t, willowBend(t), 80, 24)
	d.a.openForm(fields.KindGrazed)
	f := d.a.m.form
	f.places = []string{"north-slough"}
	f.named("state").text, f.named("herd").text = "in", "ewes"
	d.press("Enter").sees("CHECK AND SAVE", "MOVE OUT NOW: ewes in North Slough: HOLD")
}

// In a small window the conditions of a CLEAR are not what is cut away.
func TestTheConditionsOfAClearStayInSight(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}, {120, 40}} {
		d := newDesk(t, willowBend(t), size[0], size[1]).press("End")
		text := d.text()
		if !strings.Contains(text, "+ YES") {
			t.Fatalf("the last row is not clear:\n%s", text)
		}
		d.sees("YES = in at midday, never hungry")
	}
}
