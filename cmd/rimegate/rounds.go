package main

import (
	"strings"

	"rimegate/hazard/board"
)

func runRounds(r *request) error {
	days := r.days("days", 60, board.MaxWindow)
	if err := r.asOf(); err != nil {
		return err
	}
	return r.print(board.RoundsOn(r.view.Assess(), r.view.Rounds(), days, r.filter()), nil)
}

func runCalendar(r *request) error {
	path := r.c.Args().First()
	if r.c.NArg() != 1 || strings.TrimSpace(path) == "" {
		return usagef("`rimegate calendar` takes one file name, like farm.ics")
	}
	if !strings.HasSuffix(strings.ToLower(path), ".ics") {
		return usagef("%s does not end in .ics, so no calendar would open it; type a name like farm.ics", quoted(path))
	}
	if err := lately((*request).read)(r); err != nil {
		return err
	}
	if err := folderOf(path); err != nil {
		return err
	}
	ch, err := r.view.WriteCalendar(path)
	if err != nil {
		return notOurs(err)
	}
	r.say("Wrote %s: %d new, %d moved or changed, %d cancelled, %d as before.", path, ch.Added, ch.Moved, ch.Cancelled, ch.Same)
	r.para("", "  ", "It holds what the journal says now. Write it again after each frost, walk or result; a phone shows old dates until it reads the file anew.")
	return nil
}
