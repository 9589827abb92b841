package main

import (
	"time"

	"rimegate/fields"
	"rimegate/hazard/rules"
)

// runCompare sets every publication's answer beside ours.
func runCompare(r *request) error {
	id, err := r.place()
	if err != nil {
		return err
	}
	with, err := r.drafted()
	if err != nil {
		return err
	}
	x, err := r.view.Compare(id, with...)
	if err != nil {
		return wordsWrong(refusef("%v", err))
	}
	return r.print(x, x.JSON)
}

// drafted is the publication that --with names, which nobody has accepted.
func (r *request) drafted() ([]rules.Publication, error) {
	if !r.Has("with") {
		return nil, nil
	}
	f, err := r.ruleFile(r.Text("with"))
	if err != nil {
		return nil, err
	}
	p, err := rules.Draft(f, fields.DateOf(r.clock(), time.Local))
	if err != nil {
		return nil, refusef("--with: %v", err)
	}
	p.Publisher = "NOT ACCEPTED, DOES NOT COUNT: " + p.Publisher
	return []rules.Publication{*p}, nil
}
