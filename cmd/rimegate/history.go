package main

import (
	"fmt"

	"rimegate/cmd/internal/farm"
)

func runHistory(r *request) error {
	of := farm.PastOf{From: r.Date("from"), To: r.Date("to"), KnownAt: r.knownAt()}
	if err := r.err(); err != nil {
		return err
	}
	if r.c.NArg() > 1 {
		return usagef("`rimegate history` takes one paddock or lot, or none for the whole farm")
	}
	var err error
	if r.c.NArg() == 1 {
		if of.ID, err = r.place(); err != nil {
			return err
		}
	}
	lines, err := r.farm.Past(of)
	if err != nil {
		return err
	}
	for _, x := range lines {
		r.para("", "  ", x.Words)
		id := "  id " + x.ID
		if x.Batch != "" {
			id += ", import " + x.Batch
		}
		fmt.Fprintln(r.out, id)
		if x.Struck != "" {
			r.para("  STRUCK ", "    ", x.Struck)
		}
	}
	if len(lines) == 0 {
		fmt.Fprintln(r.out, "Nothing logged fits that.")
	}
	return nil
}
