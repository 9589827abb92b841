package main

import (
	"errors"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields/form"
	"rimegate/fields/lazy"
)

// This file is the one place that keeps the command-line library from doing
// what must not happen to a journal:
//
//   - a flag behind an argument is taken for an argument, and the entry is
//     stored without it ("log frost north --low -3C");
//   - completing a line with TAB runs the command, or panics;
//   - an unknown command or flag prints a page of help and ends with a status
//     that says nothing.

// guard puts the guards around every command of the app.
func guard(app *cli.App) {
	app.Flags = append(anywhere(), cli.HelpFlag) // not added by the library where "help" is a command of ours
	app.OnUsageError = wrongWords
	app.EnableBashCompletion = false
	app.Suggest = false
	app.Action = noSuchCommand(app.Commands, app.Action)
	for _, c := range app.Commands {
		guardCommand(c)
	}
}

func guardCommand(c *cli.Command) {
	c.OnUsageError = wrongWords
	c.HideHelpCommand = true // or a paddock called "help" could not be named
	if len(c.Subcommands) > 0 {
		if c.Name != helpName { // help takes the name of any command
			c.Action = noSuchCommand(c.Subcommands, c.Action)
		}
		c.CustomHelpTemplate = groupHelp
		for _, s := range c.Subcommands {
			guardCommand(s)
		}
		return
	}
	if c.Action == nil { // in brief: no word of the line names it
		return
	}
	c.CustomHelpTemplate = leafHelp(len(c.Flags))
	c.Flags = append(c.Flags, anywhere()...)
	takesArgs := c.ArgsUsage != ""
	act := c.Action
	c.Action = func(ctx *cli.Context) error {
		if err := leftovers(ctx, takesArgs); err != nil {
			return err
		}
		return act(ctx)
	}
}

// leftovers refuses arguments that are flags in the wrong place, or that a
// command has no use for.
func leftovers(ctx *cli.Context, takesArgs bool) error {
	args := ctx.Args().Slice()
	for i, a := range args {
		if strings.HasPrefix(a, "-") && a != "-" {
			before := ctx.Command.HelpName
			if i > 0 {
				return usagef("put %q before %q: %s %s ... %s (nothing was done)", a, args[i-1], before, a, strings.Join(args[:i], " "))
			}
			return usagef("%q comes too late: flags go first, as `%s --help` shows (nothing was done)", a, before)
		}
	}
	if !takesArgs && len(args) > 0 {
		return usagef("`%s` takes no argument, but %q was typed (nothing was done)", ctx.Command.HelpName, args[0])
	}
	return nil
}

// noSuchCommand is what runs when no subcommand was recognised.
func noSuchCommand(commands []*cli.Command, bare cli.ActionFunc) cli.ActionFunc {
	return func(ctx *cli.Context) error {
		if word := ctx.Args().First(); word != "" {
			return unknownCommand(ctx.Command.HelpName, word, commands)
		}
		if bare == nil {
			return cli.ShowSubcommandHelp(ctx)
		}
		return bare(ctx)
	}
}

func unknownCommand(under, word string, commands []*cli.Command) error {
	if strings.HasPrefix(word, "-") {
		return usagef("%q is not a command; type `%s --help`", word, under)
	}
	var names []string
	for _, c := range commands {
		if !c.Hidden {
			names = append(names, c.Name)
		}
	}
	if s := form.Closest(word, names); s != "" {
		return usagef("there is no command %q; did you mean `%s %s`?", word, under, s)
	}
	return usagef("there is no command %q; `%s --help` lists them", word, under)
}

var (
	noSuchFlag = lazy.Regexp(`^flag provided but not defined: -+(.+)$`)
	noValue    = lazy.Regexp(`^flag needs an argument: -+(.+)$`)
	badValue   = lazy.Regexp(`(?s)^invalid (?:boolean )?value "(.*)" for (?:flag )?-+([^:]+): (.*)$`)
	badSyntax  = lazy.Regexp(`(?s)^bad flag syntax: (.*)$`)
)

// wrongWords turns the library's words for a wrong flag into ours.
func wrongWords(ctx *cli.Context, err error, _ bool) error {
	under, flags := "rimegate", ctx.App.Flags
	if ctx.Command != nil && ctx.Command.HelpName != "" {
		under, flags = ctx.Command.HelpName, ctx.Command.Flags
	}
	text := err.Error()
	if m := noSuchFlag().FindStringSubmatch(text); m != nil {
		var names []string
		for _, f := range flags {
			names = append(names, f.Names()...)
		}
		if negative().MatchString(m[1]) {
			return usagef("-%s has no flag; a negative number goes after its flag, like --low -3C", m[1])
		}
		if s := form.Closest(m[1], names); s != "" {
			return usagef("`%s` has no flag --%s; did you mean --%s?", under, m[1], s)
		}
		return usagef("`%s` has no flag --%s; `%s --help` lists them", under, m[1], under)
	}
	if m := noValue().FindStringSubmatch(text); m != nil {
		return usagef("--%s needs a value after it; `%s --help` shows which", m[1], under)
	}
	if m := badValue().FindStringSubmatch(text); m != nil {
		if m[3] == errTwice.Error() {
			return usagef("--%s is given twice, as %q too; give it once", m[2], m[1])
		}
		return usagef("--%s takes no value %q; leave out the value, or write --%s=false", m[2], m[1], m[2])
	}
	if m := badSyntax().FindStringSubmatch(text); m != nil {
		return usagef("%q is not a flag; `%s --help` lists them", m[1], under)
	}
	return usagef("%s; `%s --help` shows the words", text, under)
}

var negative = lazy.Regexp(`^[0-9.]+[a-zA-Z°%"]*$`)

var errTwice = errors.New("given twice")
