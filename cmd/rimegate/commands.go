package main

import (
	_ "embed"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/weather/formats"
)

//go:embed commands.txt
var commandTable string

// runs are what the commands of the table do. A group without an own one shows
// its help.
func runs() map[string]func(*request) error {
	all := map[string]func(*request) error{
		"log entry": runRawEntry,
		"demo":      runDemo, "today": runToday, "why": runWhy, "strike": runStrike, "history": runHistory, "nights": runNights,
		"tonight": runTonight, "import": runImport, "farm": runFarm, "farm set": runFarmSet, "farm watch": runFarmWatch,
		"paddock offset": runOffset, "paddock plan": runSowPlan, "ahead": runAhead, "moves": runMoves, "rounds": runRounds,
		"calendar": runCalendar, "sample": runSample, "water": runWater, "blend": runBlend,
		"rules": runRules, "rules list": runRules, "rules show": runRule, "rules compare": runCompare, "rules species": runSpecies,
		"journal check": runCheck, "journal copy": runCopy, "journal export": runExport, "journal import": runJournalImport,
		"journal merge": runMerge, "journal salvage": runSalvage, "journal accept": runAccept,
		"version": runVersion, "help": runHelp, "man": runMan, "completion": runCompletion,
	}
	for name, t := range things {
		all[name], all[name+" list"] = t.runList, t.runList
		all[name+" add"] = func(r *request) error { return t.run(r, true) }
		all[name+" set"] = func(r *request) error { return t.run(r, false) }
	}
	return all
}

// hidden are commands that shells and packagers call.
var hidden = map[string]bool{"man": true, "completion": true}

// programTable reads the table: the program itself stands first.
func programTable() (top *form.Kind, commands []*form.Kind) {
	all := form.Commands(commandTable)
	return all[0], all[1:]
}

// commands makes the commands of the table.
func commands(p *program, table []*form.Kind) []*cli.Command {
	var all []*cli.Command
	run := runs()
	for _, k := range table {
		group, last, nested := strings.Cut(string(k.Kind), " ")
		cmd := command(p, k, run[string(k.Kind)])
		if nested {
			cmd.Name = last
			i := slices.IndexFunc(all, func(c *cli.Command) bool { return c.Name == group })
			all[i].Subcommands = append(all[i].Subcommands, cmd)
			continue
		}
		if group == "log" {
			cmd.Subcommands = logCommands(p)
		}
		all = append(all, cmd)
	}
	return all
}

func command(p *program, k *form.Kind, run func(*request) error) *cli.Command {
	name := string(k.Kind)
	cmd := &cli.Command{
		Name: name, Usage: k.Says, ArgsUsage: k.Args, Flags: flagsOf(k), Hidden: hidden[name],
		Description: strings.ReplaceAll(k.Help, "FORMATS", strings.Join(formats.Names(), ", ")),
	}
	if run != nil {
		cmd.Action = func(c *cli.Context) error { return run(&request{program: p, c: c, flags: k}) }
	}
	return cmd
}

// flagsOf are the flags of a command: its own, and those of a kind of entry.
func flagsOf(k *form.Kind) []cli.Flag {
	own := fieldFlags(k)
	if kind, only, _ := strings.Cut(k.Entry, " "); kind != "" {
		own = append(own, fieldFlags(form.Of(fields.Kind(kind)), strings.Fields(only)...)...)
	}
	return own
}
