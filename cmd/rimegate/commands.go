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

// step is what a command does, or what comes before that.
type step = func(*request) error

// behind is a step that follows another.
func behind(first, then step) step {
	return func(r *request) error {
		if err := first(r); err != nil {
			return err
		}
		return then(r)
	}
}

// lately is a first step that reads no more of the journal than today's answers need.
func lately(read step) step {
	return func(r *request) error {
		r.lately = true
		return read(r)
	}
}

// runs are what the commands of the table do. A group without an own one shows
// its help.
func runs() map[string]step {
	all := map[string]step{
		"demo": runDemo, "nights": runNights, "calendar": runCalendar, "farm set": runFarmSet,
		"rules": runRules, "rules list": runRules, "rules show": runRule, "rules species": runSpecies,
		"rules check": runRulesCheck, "district": runDistrict,
		"start": runStart, "version": runVersion, "help": runHelp, "man": runMan, "completion": runCompletion,
	}
	add := func(first step, runs map[string]step) {
		for name, run := range runs {
			all[name] = behind(first, run)
		}
	}
	add((*request).open, map[string]step{
		"journal check": runCheck, "journal copy": runCopy, "journal export": runExport, "journal import": runJournalImport,
		"share":         runShare,
		"journal merge": runMerge, "journal salvage": runSalvage, "journal accept": runAccept,
	})
	add((*request).load, map[string]step{"log entry": runRawEntry})
	add(lately((*request).load), map[string]step{"log moved": storing(moved)})
	add(lately((*request).read), map[string]step{
		"ahead": runAhead, "moves": runMoves, "rounds": runRounds, "tonight": runTonight, "water": runWater,
	})
	add((*request).read, map[string]step{
		"blend": runBlend, "farm": runFarm, "farm export": runFarmExport, "history": runHistory, "paddock offset": runOffset,
		"paddock plan": runSowPlan, "record": runRecord, "sample": runSample,
	})
	add(lately((*request).readAsOf), map[string]step{"sheet": runSheet, "today": runToday, "why": runWhy})
	add((*request).readAsOf, map[string]step{"rules compare": runCompare})
	add(lately((*request).readToStore), map[string]step{"import": runImport})
	add((*request).readToStore, map[string]step{"farm watch": runFarmWatch, "strike": runStrike})
	for name, t := range things {
		add((*request).load, map[string]step{
			name: t.list, name + " list": t.list,
			name + " add": func(r *request) error { return t.run(r, true) },
			name + " set": func(r *request) error { return t.run(r, false) },
		})
	}
	for topic := range topicPages {
		all[helpName+" "+topic] = runTopic
	}
	all[helpName+" limits"], all[helpName+" rules"] = runLimits, runHelpRules
	return all
}

// hidden are commands that shells and packagers call.
var hidden = map[string]bool{"man": true, "completion": true}

// programTable reads the table, in brief what is not wanted of it: the program itself
// stands first.
func programTable(wanted func(name string) bool) (top *form.Kind, commands []*form.Kind) {
	all := form.Commands(commandTable, func(name string) bool { return name == programName || wanted(name) })
	return all[0], all[1:]
}

// programName is the name of the program.
const programName = "rimegate"

// namedIn tells which commands a line can be about: those all of whose words stand on it.
// The library finds a command by its name alone, so that no other can run or show its flags.
func namedIn(line []string) func(name string) bool {
	return func(name string) bool {
		group, last, nested := strings.Cut(name, " ")
		return slices.Contains(line, group) && (!nested || slices.Contains(line, last))
	}
}

// commands makes the commands of the table; logs that are not wanted in brief too.
func commands(p *program, table []*form.Kind, wanted func(name string) bool) []*cli.Command {
	var all []*cli.Command
	run := runs()
	for _, k := range table {
		group, last, nested := strings.Cut(string(k.Kind), " ")
		if nested && !wanted(group) && group != helpName { // the list of all commands shows those of help alone
			continue
		}
		cmd := command(p, k, run[string(k.Kind)])
		if nested {
			cmd.Name = last
			if k.Field("template") != nil {
				withTemplate(p, cmd, form.Of(fields.Kind(group)))
			}
			i := slices.IndexFunc(all, func(c *cli.Command) bool { return c.Name == group })
			all[i].Subcommands = append(all[i].Subcommands, cmd)
			continue
		}
		if group == "log" && !k.Brief {
			kinds := form.Named(wanted)
			cmd.Subcommands = logCommands(p, kinds, func(makes maker) step { return behind(lately((*request).load), storing(makes)) })
			for _, kind := range cmd.Subcommands {
				form := kinds[slices.IndexFunc(kinds, func(k *form.Kind) bool { return string(k.Kind) == kind.Name })]
				if !form.Brief {
					kind.Flags = append(kind.Flags, cmd.Flags...)
					withTemplate(p, kind, form)
				}
			}
			cmd.Flags = nil
		}
		all = append(all, cmd)
	}
	return all
}

func command(p *program, k *form.Kind, run step) *cli.Command {
	name := string(k.Kind)
	if k.Brief {
		return &cli.Command{Name: name, Usage: k.Says, Hidden: hidden[name]}
	}
	cmd := &cli.Command{
		Name: name, Usage: k.Says, ArgsUsage: k.Args, Flags: flagsOf(k), Hidden: hidden[name],
		Description: strings.ReplaceAll(k.Help, "FORMATS", strings.Join(formats.Names(), ", ")),
	}
	if run != nil {
		cmd.Action = func(c *cli.Context) error {
			defer p.patience.begin(p)()
			return run(&request{program: p, c: c, flags: k})
		}
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
