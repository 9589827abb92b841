package main

import (
	"strings"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
)

func runAhead(r *request) error {
	days := r.days("days", 21, farm.MaxAhead)
	if err := r.err(); err != nil {
		return err
	}
	wrongIf := func(err error) error { return usagef("--if: %s", strings.ReplaceAll(err.Error(), "\n", "\n--if: ")) }
	var assumed []fields.Entry
	for _, t := range r.List("if") {
		e, err := r.view.Assumed(t)
		if err != nil {
			return wrongIf(err)
		}
		assumed = append(assumed, *e)
	}
	a, err := r.view.Ahead(days, assumed)
	if statusOf(err) == statusRefused {
		return wrongIf(err)
	}
	if err != nil {
		return err
	}
	if r.Yes("json") {
		for _, n := range a.Notes {
			r.note(n)
		}
	} else {
		for _, x := range a.Assumed() {
			r.para("If: ", "    ", x)
		}
		for _, n := range a.Notes {
			r.para("! ", "  ", n)
		}
	}
	strip := a.Strip(r.filter())
	return r.print(strip, func() ([]byte, error) { return strip.JSON(a.Assumed()) })
}
