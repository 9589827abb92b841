package farm

import (
	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// Unexplained reports whether a walk of the paddock on day found damage that
// no night explains: no trigger night of its land since the last walk that
// looked and found none, or since the stand was sown. Whoever logs such a walk
// is asked for the night, or for another cause.
func (v *View) Unexplained(paddock string, w *fields.Walk, day fields.Date) bool {
	if !w.FoundDamage() || w.DamageNight != fields.NoDate || w.Part == "swath" {
		return false
	}
	for _, line := range v.History.Lines(paddock) {
		since := v.unharmedSince(line, day)
		explained := false
		for _, d := range v.triggerNights(line) {
			if d > since && d <= day {
				explained = true
			}
		}
		if !explained {
			return true
		}
	}
	return false
}

// unharmedSince is the last day before day on which the stand was known to
// have no damage: a walk that said so, or the day it was sown (anew).
func (v *View) unharmedSince(line []string, day fields.Date) fields.Date {
	since := fields.NoDate
	sown := false
	for _, f := range v.History.LineFacts(line) {
		if f.Date >= day {
			break
		}
		switch b := f.Body.(type) {
		case *fields.Walk:
			if b.FrostDamage == "none" && !b.FoundDamage() && b.Part != "swath" {
				since = f.Date
			}
		case *fields.Sown:
			if !sown || b.NewStand != nil && *b.NewStand {
				since = f.Date
			}
			sown = true
		}
	}
	return since
}

// triggerNights are the nights with a frost by a person, by a walk or by a
// thermometer.
func (v *View) triggerNights(line []string) []fields.Date {
	trigger := v.Book.V[hazard.FrostTrigger]
	froze := func(b *fields.Reading, offset float64) bool {
		return b.BelowZero != nil && *b.BelowZero || b.LowC != nil && *b.LowC+offset <= trigger
	}
	var out []fields.Date
	for _, f := range v.History.LineFacts(line) {
		switch b := f.Body.(type) {
		case *fields.Frost:
			out = append(out, f.Date)
		case *fields.Walk:
			if b.DamageNight != fields.NoDate {
				out = append(out, b.DamageNight)
			}
		case *fields.Reading:
			if froze(b, 0) {
				out = append(out, f.Date)
			}
		}
	}
	for _, id := range v.History.StationsOf(line) {
		for _, f := range v.History.OfStation(id) {
			b, ok := f.Body.(*fields.Reading)
			if !ok {
				continue
			}
			s := v.History.NightSetting(line, f.Date)
			for _, at := range s.Stations {
				if at == id && froze(b, s.OffsetC) {
					out = append(out, f.Date)
				}
			}
		}
	}
	return out
}

// FrostOnFile returns the first night from the first through the last for
// which something stands above a statement that there was no frost in the
// paddock: a person's frost, damage of that night, or a low at or below zero;
// NoDate if there is none. The words say which.
func (v *View) FrostOnFile(paddock string, first, last fields.Date) (fields.Date, string) {
	night, what := fields.NoDate, ""
	take := func(d fields.Date, s string) {
		if d >= first && d <= last && (night == fields.NoDate || d < night) {
			night, what = d, s
		}
	}
	reading := func(f fields.Fact, b *fields.Reading, offset float64) {
		where := "a thermometer in it"
		if b.Station != "" {
			where = board.StationName(v.History, b.Station)
		}
		switch {
		case b.BelowZero != nil && *b.BelowZero:
			take(f.Date, where+" was below zero")
		case b.LowC != nil && min(*b.LowC, *b.LowC+offset) <= max(0, v.Book.V[hazard.FrostTrigger]):
			s := where + " read " + fields.Temperature.Both(*b.LowC)
			if offset != 0 {
				s += ", " + fields.Temperature.Both(*b.LowC+offset) + " there"
			}
			take(f.Date, s)
		}
	}
	for _, line := range v.History.Lines(paddock) {
		for _, f := range v.History.LineFacts(line) {
			switch b := f.Body.(type) {
			case *fields.Frost:
				take(f.Date, board.Clean(f.By)+" logged a frost")
			case *fields.Walk:
				take(b.DamageNight, "a walk found its damage")
			case *fields.Reading:
				reading(f, b, 0)
			}
		}
		for d := first; d <= last; d++ {
			s := v.History.NightSetting(line, d)
			for _, id := range s.Stations {
				for _, f := range v.History.ReadingsOf(id, d) {
					reading(f.Fact, f.Reading, s.OffsetC)
				}
			}
		}
	}
	return night, what
}

// HarmSince reports whether hail, spray or drought (by kind) was logged for
// the paddock since it was last known to be unharmed.
func (v *View) HarmSince(paddock string, kind fields.Kind, day fields.Date) bool {
	for _, line := range v.History.Lines(paddock) {
		since := v.unharmedSince(line, day)
		for _, f := range v.History.LineFacts(line) {
			if f.Kind() == kind && f.Date > since && f.Date <= day {
				return true
			}
		}
	}
	return false
}
