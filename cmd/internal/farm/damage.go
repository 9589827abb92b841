package farm

import (
	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// Unexplained reports whether a walk of the paddock on day found damage that
// no night explains. Whoever logs such a walk is asked for the night, or for
// another cause.
func (v *View) Unexplained(paddock string, w *fields.Walk, day fields.Date) bool {
	v = v.reaching(fields.Entry{On: day, Body: w})
	return hazard.Unexplained(v.History, v.Book, paddock, w, day)
}

// HarmSince reports whether hail, spray or drought (by kind) was logged for
// the paddock since it was last known to be unharmed.
func (v *View) HarmSince(paddock string, kind fields.Kind, day fields.Date) bool {
	v = v.reaching(fields.Entry{On: day, Body: &fields.Walk{}})
	return hazard.HarmSince(v.History, paddock, kind, day)
}

// FrostOnFile returns the first night from the first through the last for
// which something stands above a statement that there was no frost in the
// paddock: a person's frost, damage of that night, or a low at or below zero
// (the trigger is never below it); NoDate if there is none. The words say which.
func (v *View) FrostOnFile(paddock string, first, last fields.Date) (fields.Date, string) {
	v = v.reaching(fields.Entry{Body: &fields.Reading{Night: first}})
	var x hazard.Frost
	for _, f := range hazard.FrostsOf(v.History, v.Book, paddock, first, last) {
		if x.Night == fields.NoDate || f.Night < x.Night {
			x = f
		}
	}
	if x.Night == fields.NoDate {
		return fields.NoDate, ""
	}
	b, ok := x.Fact.Body.(*fields.Reading)
	switch {
	case x.Fact.Kind() == fields.KindFrost:
		return x.Night, board.Clean(x.Fact.By) + " logged a frost"
	case !ok:
		return x.Night, "a walk found its damage"
	}
	words := "a thermometer in it"
	if b.Station != "" {
		words = board.StationName(v.History, b.Station)
	}
	if b.BelowZero != nil && *b.BelowZero || b.HoursBelow() > 0 {
		return x.Night, words + " was below zero"
	}
	words += " read " + fields.Temperature.Both(*b.LowC)
	if x.OffsetC != 0 {
		words += ", " + fields.Temperature.Both(*b.LowC+x.OffsetC) + " there"
	}
	return x.Night, words
}
