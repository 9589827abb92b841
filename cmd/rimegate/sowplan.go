package main

import "rimegate/hazard/board"

func runSowPlan(r *request) error {
	r.Need("species")
	r.Need("sow")
	days := 0
	if r.Has("ready_in") {
		days = r.days("ready_in", board.ReadyDays, 365)
	}
	id := ""
	if r.c.NArg() > 0 {
		id = r.onePaddock()
	}
	if err := r.err(); err != nil {
		return err
	}
	for _, s := range r.List("species") {
		if w := r.view.SpeciesWarning(s); w != "" {
			r.note(w)
		}
	}
	return r.print(r.view.SowPlan(id, r.List("species"), r.Date("sow"), days), nil)
}
