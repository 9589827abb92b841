package board

import (
	"time"

	"rimegate/fields"
)

// instant prints a moment in farm time: "Fri 11-Sep-2026 06:52".
func instant(t time.Time, h *fields.History) string {
	loc := time.UTC
	if h != nil && h.Loc != nil {
		loc = h.Loc
	}
	l := t.In(loc)
	text := fields.DateOf(l, loc).Words() + " " + l.Format("15:04")
	if h == nil || !h.ZoneSet {
		text += " UTC"
	}
	return text
}

func (t *teller) loc() *time.Location {
	if t.h != nil && t.h.Loc != nil {
		return t.h.Loc
	}
	return time.UTC
}
