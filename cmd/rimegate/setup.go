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
	list                   func(*program, *farm.View)
	find                   func(v *farm.View, typed string) (id string, err error)
	facts                  func(v *farm.View, id string) fields.Body // what is said of it, nil for nothing
	next                   string                                    // what is to be done when one was added, SHORT standing for its name
}

// setUp are the commands of a thing: list, add, set.
func (p *program) setUp(t thing) []*cli.Command {
	k := form.Of(t.kind)
	name := "   rimegate " + string(t.kind)
	return []*cli.Command{
		{Name: "list", Usage: "list the " + string(t.kind) + "s", Description: name + " list", Action: p.listed(t)},
		{
			Name: "add", Usage: "add a " + string(t.kind), ArgsUsage: "SHORT-NAME", Flags: entryFlags(k),
			Description: name + " add " + t.addExample,
			Action:      func(c *cli.Context) error { return p.setThing(c, t, true) },
		},
		{
			Name: "set", Usage: "change what is said of a " + string(t.kind), ArgsUsage: "SHORT-NAME", Flags: entryFlags(k),
			Description: "What is not named stays as it is.\n\n" + name + " set " + t.setExample,
			Action:      func(c *cli.Context) error { return p.setThing(c, t, false) },
		},
	}
}

func (p *program) listed(t thing) cli.ActionFunc {
	return func(c *cli.Context) error {
		_, v, err := p.view(c, question())
		if err == nil {
			t.list(p, v)
		}
		return err
	}
}

// setThing adds a thing, or changes what is said of it.
func (p *program) setThing(c *cli.Context, t thing, add bool) error {
	f, v, err := p.view(c, question())
	if err != nil {
		return err
	}
	k := form.Of(t.kind)
	words := whatWasSaid(c, k)
	var was fields.Body
	if names := fields.SplitList(words[string(t.kind)]); len(names) == 1 { // else the form says what is wrong
		id := names[0]
		if !add {
			if id, err = t.find(v, id); err != nil {
				return err
			}
			words[string(t.kind)] = []string{id}
		}
		was = t.facts(v, id)
		if add && was != nil {
			return fields.Problem{
				What: fmt.Sprintf("the %s %s is there already", t.kind, quoted(id)), Type: "change it with `rimegate " + string(t.kind) + " set`",
			}
		}
	}
	made, problems := entries(c, v, k, words, was)
	if err := problems.Err(); err != nil {
		return err
	}
	if err := p.store(c, f, made); err != nil || !add || t.next == "" {
		return err
	}
	p.para("", "  ", strings.ReplaceAll(t.next, "SHORT", words[string(t.kind)][0]))
	return nil
}
