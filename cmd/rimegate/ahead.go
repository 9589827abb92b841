package main

import (
	"errors"
	"io"
	"slices"
	"strings"
	"unicode"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard"
)

func runAhead(r *request) error {
	days := r.days("days", 21, farm.MaxAhead)
	if err := r.err(); err != nil {
		return err
	}
	wrongIf := func(err error) error { return usagef("--if: %s", strings.ReplaceAll(err.Error(), "\n", "\n--if: ")) }
	var assumed []fields.Entry
	for _, t := range r.List("if") {
		made, err := r.assumed(t)
		if err != nil {
			return wrongIf(err)
		}
		assumed = append(assumed, made...)
	}
	filter := r.filter()
	a, err := r.view.Ahead(days, assumed, farm.Only{
		Uses: []hazard.Use{filter.ListUse()}, Classes: filter.ListClasses(r.view.History),
	})
	if statusOf(err) == statusRefused {
		return wrongIf(err)
	}
	if err != nil {
		return err
	}
	a.Notes = append(r.says, a.Notes...)
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
	strip := a.Strip(filter)
	return r.print(strip, func() ([]byte, error) { return strip.JSON(a.Assumed()) })
}

// assumed reads what is assumed: the words of a `log` line, read as `log` reads them, or
// an entry in the journal's own JSON.
func (r *request) assumed(line string) (made []fields.Entry, err error) {
	if strings.HasPrefix(strings.TrimSpace(line), "{") {
		e, err := r.view.Assumed(line)
		if err != nil {
			return nil, err
		}
		return []fields.Entry{*e}, nil
	}
	args, err := splitWords(line)
	if err != nil {
		return nil, err
	}
	for _, w := range []string{"rimegate", "log"} {
		if len(args) > 0 && args[0] == w {
			args = args[1:]
		}
	}
	do := func(makes maker) step {
		return func(x *request) (err error) {
			x.farm, x.view, x.assumes = r.farm, r.view, true
			made, err = makes(x)
			r.says = append(r.says, x.says...)
			return err
		}
	}
	app := &cli.App{
		Name: "rimegate log", HelpName: "rimegate log", HideHelpCommand: true, Writer: io.Discard, ErrWriter: io.Discard,
		ExitErrHandler: func(*cli.Context, error) {}, Commands: logCommands(r.program, form.Named(namedIn(args)), do),
	}
	const log = "log moved"
	_, table := programTable(func(name string) bool { return name == log })
	k := table[slices.IndexFunc(table, func(k *form.Kind) bool { return k.Kind == log })]
	move := command(r.program, k, do(moved))
	move.Name = "moved"
	app.Commands = append(app.Commands, move)
	guard(app)
	if err := app.Run(append([]string{app.Name}, args...)); err != nil {
		return nil, err
	}
	if len(made) == 0 {
		return nil, errors.New("says nothing that happens; type it as behind `rimegate log`, " +
			"like \"frost --low -3C --night tomorrow creek\"")
	}
	return made, nil
}

// splitWords splits a line into words as a shell does: at spaces, those in quotes apart.
func splitWords(line string) ([]string, error) {
	var words []string
	var quote rune
	inside := false
	for _, c := range line {
		switch {
		case quote == 0 && (c == '"' || c == '\''):
			quote = c
		case c == quote:
			quote = 0
			continue
		case quote == 0 && unicode.IsSpace(c):
			inside = false
			continue
		}
		if !inside {
			words, inside = append(words, ""), true
		}
		if c != quote {
			words[len(words)-1] += string(c)
		}
	}
	if quote != 0 {
		return nil, errors.New("a quote in it is not closed")
	}
	return words, nil
}
