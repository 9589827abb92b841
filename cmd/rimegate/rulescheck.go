package main

import (
	"fmt"
	"io"
	"time"

	"rimegate/fields"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
)

// runRulesCheck reads files as if they were in the rulebook and stores nothing.
func runRulesCheck(r *request) error {
	if r.c.NArg() == 0 {
		return usagef("`rimegate rules check` takes the files to check, like `rimegate rules check my-table.toml`")
	}
	var files []rules.File
	for _, name := range r.c.Args().Slice() {
		f, err := r.ruleFile(name)
		if err != nil {
			return err
		}
		files = append(files, f)
	}
	faults := 0
	checked := rules.Check(files, fields.DateOf(r.clock(), time.Local))
	for i := range checked {
		if i > 0 {
			fmt.Fprintln(r.out)
		}
		r.checked(&checked[i])
		faults += len(checked[i].Problems)
	}
	if faults > 0 {
		return refusef("%s to mend", counted(faults, "fault", "faults"))
	}
	return nil
}

// ruleFile reads a file that may go into the rulebook.
func (p *program) ruleFile(name string) (rules.File, error) {
	in, err := p.opened(name, "")
	if err != nil {
		return rules.File{}, err
	}
	defer in.Close()
	text, err := io.ReadAll(io.LimitReader(in, maxInput+1))
	switch {
	case err != nil:
		return rules.File{}, usagef("%s cannot be read (%v)", name, cause(err))
	case len(text) > maxInput:
		return rules.File{}, refusef("%s is longer than %d bytes: no file of a rulebook is", name, maxInput)
	}
	return rules.File{Name: name, Text: string(text)}, nil
}

// checked prints what became of one file: faults, questions, and what it says where all
// is well.
func (r *request) checked(c *rules.Checked) {
	if c.Kind != "" {
		r.say("%s: taken for %s.", c.Name, c.Kind)
	}
	for _, x := range c.Problems {
		r.para("", "  ", x.Error())
	}
	for _, x := range c.Doubts {
		r.para("? ", "    ", x.Error())
	}
	if len(c.Problems) > 0 {
		return
	}
	if n := len(c.Doubts); n > 0 {
		r.say("No fault; %s a reviewer would ask stand above, each with a ?.", counted(n, "thing", "things"))
	} else {
		r.say("No fault, and nothing to ask.")
	}
	if c.Publication != nil {
		r.items(12, board.PublicationItems(c.Publication))
	}
	if c.Table != nil {
		r.items(12, board.TableItems(c.Table))
	}
	for i := range c.Rules {
		fmt.Fprintln(r.out)
		r.rule(&c.Rules[i])
	}
	for _, s := range c.Species[:min(len(c.Species), fewPlants)] {
		fmt.Fprintln(r.out)
		r.plant(s, c.Frost[s.ID])
	}
	if n := len(c.Species); n > fewPlants {
		r.say("%d plants and names; `rimegate rules species NAME` shows them once they are in.", n)
	}
}
