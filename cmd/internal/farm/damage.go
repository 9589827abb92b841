package farm

import (
	"slices"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// Unexplained reports whether a walk of the paddock on day found damage that
// no night explains. Whoever logs such a walk is asked for the night, or for
// another cause.
func (v *View) Unexplained(paddock string, w *fields.Walk, day fields.Date) bool {
	return w.FoundDamage() && w.DamageNight == fields.NoDate && w.Part != "swath" && hazard.Unexplained(v.History, v.Book, paddock, day)
}

// HarmSince reports whether hail, spray or drought (by kind) was logged for
// the paddock since it was last known to be unharmed.
func (v *View) HarmSince(paddock string, kind fields.Kind, day fields.Date) bool {
	return hazard.HarmSince(v.History, v.Book, paddock, kind, day)
}

// FrostOnFile returns the first night from the first through the last for
// which something stands above a statement that there was no frost in the
// paddock: a person's frost, damage of that night, or a low at or below zero;
// NoDate if there is none. The words say which.
func (v *View) FrostOnFile(paddock string, first, last fields.Date) (fields.Date, string) {
	for _, r := range hazard.NightRows(v.History, v.Book, paddock, first, last) {
		if r.Trigger || r.HasLow && r.LowC <= 0 {
			return r.Night, v.frostWords(paddock, &r)
		}
	}
	return fields.NoDate, ""
}

// frostWords says what tells of a frost in a night.
func (v *View) frostWords(paddock string, r *hazard.NightRow) string {
	offset := 0.0
	for _, line := range v.History.Lines(paddock) {
		offset = min(offset, v.History.NightSetting(line, r.Night).OffsetC)
	}
	words := ""
	for i := range v.History.Facts {
		f := &v.History.Facts[i]
		if !slices.Contains(r.Entries, f.ID) {
			continue
		}
		switch b := f.Body.(type) {
		case *fields.Frost:
			return board.Clean(f.By) + " logged a frost"
		case *fields.Walk:
			return "a walk found its damage"
		case *fields.Reading:
			there, where := 0.0, "a thermometer in it"
			if b.Station != "" {
				there, where = offset, board.StationName(v.History, b.Station)
			}
			switch {
			case b.BelowZero != nil && *b.BelowZero:
				words = where + " was below zero"
			case b.LowC == nil || *b.LowC+there > max(0, v.Book.V[hazard.FrostTrigger]):
			case there != 0:
				words = where + " read " + fields.Temperature.Both(*b.LowC) + ", " + fields.Temperature.Both(*b.LowC+there) + " there"
			default:
				words = where + " read " + fields.Temperature.Both(*b.LowC)
			}
		}
	}
	return words
}
