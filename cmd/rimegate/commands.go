package main

import (
	_ "embed"
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
	return map[string]func(*request) error{
		"demo": runDemo, "today": runToday, "why": runWhy, "strike": runStrike, "history": runHistory, "nights": runNights,
		"tonight": runTonight, "import": runImport, "farm": runFarm, "farm set": runFarmSet, "farm watch": runFarmWatch,
		"paddock": paddocks.runList, "paddock offset": runOffset, "paddock plan": runSowPlan, "herd": herds.runList,
		"station": stations.runList, "lot": lots.runList, "ahead": runAhead, "moves": runMoves, "rounds": runRounds,
		"calendar": runCalendar, "sample": runSample, "water": runWater, "blend": runBlend,
		"rules": runRules, "rules list": runRules, "rules show": runRule, "rules compare": runCompare, "rules species": runSpecies,
		"journal check": runCheck, "journal copy": runCopy, "journal export": runExport, "journal import": runJournalImport,
		"journal merge": runMerge, "journal salvage": runSalvage, "journal accept": runAccept,
		"version": runVersion, "help": runHelp, "man": runMan, "completion": runCompletion,
	}
}

// hidden are commands that shells and packagers call.
var hidden = map[string]bool{"man": true, "completion": true}

// commands makes the commands of the table.
func commands(p *program) []*cli.Command {
	var all []*cli.Command
	run := runs()
	for _, k := range form.Commands(commandTable) {
		name := string(k.Kind)
		group, last, nested := strings.Cut(name, " ")
		cmd := &cli.Command{
			Name: name, Usage: k.Says, ArgsUsage: k.Args, Flags: flagsOf(k), Hidden: hidden[name],
			Description: strings.ReplaceAll(k.Help, "FORMATS", strings.Join(formats.Names(), ", ")),
		}
		if do := run[name]; do != nil {
			cmd.Action = func(c *cli.Context) error { return do(&request{program: p, c: c, flags: k}) }
		}
		if nested {
			cmd.Name = last
			under := all[len(all)-1]
			if under.Name != group {
				panic("the table has " + name + " outside of its group")
			}
			under.Subcommands = append(under.Subcommands, cmd)
			continue
		}
		if t := things[name]; t != nil {
			cmd.Subcommands = t.commands(p)
		}
		if name == "log" {
			cmd.Subcommands = logCommands(p)
		}
		all = append(all, cmd)
	}
	return all
}

// flagsOf are the flags of a command: its own, and those of a kind of entry.
func flagsOf(k *form.Kind) []cli.Flag {
	own := fieldFlags(k)
	if kind, only, _ := strings.Cut(k.Entry, " "); kind != "" {
		own = append(own, entryFlags(form.Of(fields.Kind(kind)), strings.Fields(only)...)...)
	}
	return own
}
