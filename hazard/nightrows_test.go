package hazard_test

import (
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// Of land with two pasts a night is as cold, and as unread, as on the worse of
// them, and each night says what it rests on.
func TestNightRowsOfJoinedLand(t *testing.T) {
	loc, err := fields.LoadZone("America/Regina")
	if err != nil {
		t.Fatal(err)
	}
	day := func(n int) fields.Date { return fields.MakeDate(2026, 10, 1).Add(n) }
	low := func(c float64) *float64 { return &c }
	yes, part := true, false
	var entries []fields.Entry
	add := func(recorded fields.Date, on fields.Date, b fields.Body) {
		id := "01J0000000000000000000000" + string(rune('A'+len(entries)))
		entries = append(entries, fields.Entry{ID: id, By: "x", On: on, Recorded: recorded.At(18, 0, loc), Body: b})
	}
	add(day(-60), day(-60), &fields.Farm{Name: "F", Zone: "America/Regina"})
	for _, p := range []string{"a", "b"} {
		add(day(-50), day(-50), &fields.Sown{Paddock: p, Species: []fields.SpeciesShare{{Species: "oats"}}, NewStand: &yes})
	}
	add(day(0), 0, &fields.Reading{Paddock: "a", Night: day(0), LowC: low(-2)})
	add(day(0), 0, &fields.Reading{Paddock: "b", Night: day(0), LowC: low(6)})
	add(day(1), 0, &fields.Reading{Paddock: "a", Night: day(1), LowC: low(6)})
	add(day(2), 0, &fields.Reading{Paddock: "a", Night: day(2), LowC: low(6)})
	add(day(2), 0, &fields.Reading{Paddock: "b", Night: day(2), LowC: low(1)})
	add(day(3), 0, &fields.Reading{Paddock: "a", Night: day(3), LowC: low(7)})
	add(day(3), 0, &fields.Reading{Paddock: "b", Night: day(3), LowC: low(9), Covers: &part})
	add(day(4), day(4), &fields.Join{From: []string{"a", "b"}, Into: []string{"ab"}})
	h := fields.Fold(entries, fields.View{On: day(4), KnownAt: day(4).At(20, 0, loc)})
	rows := hazard.NightRows(h, rules.Default(), "ab", day(-55), day(9))
	if len(rows) != 60 || rows[59].Night != day(4) {
		t.Fatalf("%d rows, the last of %s; want none after the day asked", len(rows), rows[len(rows)-1].Night)
	}
	at := func(n int) hazard.NightRow { return rows[n+55] }
	for _, c := range []struct {
		n                                  int
		low                                float64
		hasLow, trigger, possible, covered bool
		unread                             bool
		entries                            int
	}{
		{-52, 0, false, false, false, false, false, 0}, // before the stand nothing is missed
		{-40, 0, false, false, false, false, true, 0},
		{0, -2, true, true, false, true, false, 2},
		{1, 6, true, false, false, false, true, 1}, // b was not read
		{2, 1, true, false, true, true, false, 2},
		{3, 7, true, false, false, false, true, 2}, // b was read in part
		{4, 0, false, false, false, false, true, 0},
	} {
		r := at(c.n)
		if r.HasLow != c.hasLow || r.HasLow && r.LowC != c.low || r.Trigger != c.trigger || r.Possible != c.possible ||
			r.Covered != c.covered || r.Unread != c.unread || len(r.Entries) != c.entries || !r.Watched {
			t.Errorf("night of %s: %+v", r.Night, r)
		}
	}
	if got := hazard.NightRows(h, rules.Default(), "nowhere", day(0), day(1)); got != nil {
		t.Errorf("nights of an unknown paddock: %v", got)
	}
}
