package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/form"
)

// thing is something the farm has several of.
type thing struct {
	kind                   fields.Kind
	addExample, setExample string
	list                   func(*request)
	find                   func(v *farm.View, typed string) (id string, err error)
	facts                  func(v *farm.View, id string) fields.Body // what is said of it, nil for nothing
	next                   string                                    // what is to be done when one was added, SHORT standing for its name
}

var things = map[string]*thing{"paddock": &paddocks, "herd": &herds, "station": &stations, "lot": &lots}

// commands are the commands of a thing: list, add, set.
func (t *thing) commands(p *program) []*cli.Command {
	k := form.Of(t.kind)
	name := "   rimegate " + string(t.kind)
	action := func(run func(*request) error) cli.ActionFunc {
		return func(c *cli.Context) error { return run(&request{program: p, c: c, flags: k}) }
	}
	return []*cli.Command{
		{Name: "list", Usage: "list the " + string(t.kind) + "s", Description: name + " list", Action: action(t.runList)},
		{
			Name: "add", Usage: "add a " + string(t.kind), ArgsUsage: "SHORT-NAME", Flags: entryFlags(k),
			Description: name + " add " + t.addExample, Action: action(func(r *request) error { return t.run(r, true) }),
		},
		{
			Name: "set", Usage: "change what is said of a " + string(t.kind), ArgsUsage: "SHORT-NAME", Flags: entryFlags(k),
			Description: "What is not named stays as it is.\n\n" + name + " set " + t.setExample,
			Action:      action(func(r *request) error { return t.run(r, false) }),
		},
	}
}

func (t *thing) runList(r *request) (err error) {
	if r.farm, r.view, err = r.program.view(r.c, question()); err == nil {
		t.list(r)
	}
	return err
}

// run adds a thing, or changes what is said of it.
func (t *thing) run(r *request, add bool) (err error) {
	if r.farm, r.view, err = r.program.view(r.c, question()); err != nil {
		return err
	}
	said := whatWasSaid(r.c, r.flags)
	var was fields.Body
	if names := fields.SplitList(said[string(t.kind)]); len(names) == 1 { // else the form says what is wrong
		id := names[0]
		if !add {
			if id, err = t.find(r.view, id); err != nil {
				return err
			}
			said[string(t.kind)] = []string{id}
		}
		was = t.facts(r.view, id)
		if add && was != nil {
			return fields.Problem{
				What: fmt.Sprintf("the %s %s is there already", t.kind, quoted(id)), Type: "change it with `rimegate " + string(t.kind) + " set`",
			}
		}
	}
	made, err := r.entries(r.flags, said, was)
	if err != nil {
		return err
	}
	if err := r.store(made); err != nil || !add || t.next == "" {
		return err
	}
	r.para("", "  ", strings.ReplaceAll(t.next, "SHORT", said[string(t.kind)][0]))
	return nil
}
