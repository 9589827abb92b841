package hazard

import "rimegate/fields"

// Assess answers for every standing paddock and every lot of the history, for
// all uses and classes, on the history's day and at its moment.
func Assess(h *fields.History, book *Rulebook) *Assessment {
	return &Assessment{History: h, Book: book}
}
