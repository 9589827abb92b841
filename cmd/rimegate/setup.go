package main

import (
	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
)

// setUp are the commands of a thing the farm has several of: list, add, set.
func (p *program) setUp(thing string, flags func() []cli.Flag, list cli.ActionFunc, set func(c *cli.Context, add bool) error, addExample, setExample string) []*cli.Command {
	name := "   rimegate " + thing
	return []*cli.Command{
		{Name: "list", Usage: "list the " + thing + "s", Description: name + " list", Action: list},
		{
			Name: "add", Usage: "add a " + thing, ArgsUsage: "SHORT-NAME", Flags: flags(),
			Description: name + " add " + addExample,
			Action:      func(c *cli.Context) error { return set(c, true) },
		},
		{
			Name: "set", Usage: "change what is said of a " + thing, ArgsUsage: "SHORT-NAME", Flags: flags(),
			Description: "What is not named stays as it is.\n\n" + name + " set " + setExample,
			Action:      func(c *cli.Context) error { return set(c, false) },
		},
	}
}

// store logs entries made by a set-up command.
func (p *program) store(c *cli.Context, f *farm.Farm, form *form, body fields.Body) error {
	on := form.date("on", form.v.Today)
	note := form.text("note")
	if err := form.err(); err != nil {
		return err
	}
	l, err := form.v.Log([]fields.Entry{{On: on, Note: note, Body: body}}, c.Bool("dry-run"))
	if err != nil {
		return err
	}
	return p.logged(l)
}

// setUpFlags are what every set-up command takes besides its own flags.
func setUpFlags(own ...cli.Flag) []cli.Flag {
	return append(own,
		text("on", "the `DAY` from which it holds (today if left out)"),
		text("note", "a `NOTE` in your own words"),
		yes("dry-run", "read it back and show what would change, but store nothing"))
}
