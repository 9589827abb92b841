package main

import (
	"encoding/json"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
)

// kindForm is the form of one kind of entry on the command line.
type kindForm struct {
	kind    string
	usage   string
	args    string // arguments as the help shows them
	more    string // description
	flags   []cli.Flag
	sure    []cli.Flag // what a person can stand by when asked
	undated bool       // the kind has a date of its own, or none is asked for
	asksDay string     // what is asked if --on is left out, which is then refused
	// build makes the bodies of the entries; entries does, where they have
	// days or notes of their own.
	build   func(f *form) []fields.Body
	entries func(f *form) []fields.Entry
}

func logForms() []kindForm {
	var all []kindForm
	all = append(all, nightForms()...)
	all = append(all, walkForms()...)
	all = append(all, standForms()...)
	all = append(all, stockForms()...)
	all = append(all, feedForms()...)
	all = append(all, officeForms()...)
	return all
}

func logCommand(p *program) *cli.Command {
	cmd := &cli.Command{
		Name:  "log",
		Usage: "write down what happened",
		Description: strings.TrimSpace(`
Each kind of entry has its own form. Flags come first, paddocks last;
several paddocks with commas or spaces, "all" for every standing one.
Numbers carry their unit (-3C, 26F, 61cm, 24in); days are today, yesterday,
17-Sep or 17-Sep-2026. What is left out means "not said", never no or zero.

The entry is read back in words, then every flag and date it changed is
shown as "was ... now ...". With --dry-run that is all that happens.

   rimegate log frost --low -3C --night today north-slough,creek
   rimegate log walk --killed all --dry --no-shoots --weeds-checked north-slough
   rimegate log rain --amount 12mm all`),
	}
	for _, k := range logForms() {
		cmd.Subcommands = append(cmd.Subcommands, k.command(p))
	}
	cmd.Subcommands = append(cmd.Subcommands, rawEntryCommand(p))
	return cmd
}

func (k kindForm) command(p *program) *cli.Command {
	flags := append([]cli.Flag{}, k.flags...)
	switch {
	case k.asksDay != "":
		flags = append(flags, text("on", "the `DAY` it happened; it has to be said"))
	case !k.undated:
		flags = append(flags, text("on", "the `DAY` it happened (today if left out)"))
	}
	flags = append(flags, k.sure...)
	flags = append(flags,
		text("note", "a `NOTE` in your own words"),
		yes("dry-run", "read it back and show what would change, but store nothing"),
	)
	return &cli.Command{
		Name:        k.kind,
		Usage:       k.usage,
		ArgsUsage:   k.args,
		Description: strings.Trim(k.more, "\n"),
		Flags:       flags,
		Action:      func(c *cli.Context) error { return k.run(p, c) },
	}
}

// asSaid, asPrinted and asRead are the answers to what is asked about.
func asSaid() cli.Flag {
	return yes("as-said", "keep an everyday name that fits several plants: the worst among them is taken")
}

func asPrinted() cli.Flag {
	return yes("as-printed", "the report prints this figure with this unit, however odd it looks")
}

func asRead() cli.Flag {
	return yes("as-read", "the thermometer showed this low in this unit, however odd it looks")
}

func sure(c *cli.Context) farm.Sure {
	return farm.Sure{Names: c.Bool("as-said"), Figures: c.Bool("as-printed") || c.Bool("as-read")}
}

func (k kindForm) run(p *program, c *cli.Context) error {
	_, v, err := p.view(c, question())
	if err != nil {
		return err
	}
	if !v.History.ZoneSet {
		return refusef("the farm has no name and time zone yet, so no day can be told; type `rimegate farm set --name NAME --zone ZONE` first")
	}
	form := newForm(c, v)
	form.stores = true
	if k.asksDay != "" && !form.has("on") {
		form.wrong("on", "is missing: say on which day "+k.asksDay, "type today, yesterday or one like 17-Sep-2026: frosts and heights count from that day")
	}
	var entries []fields.Entry
	if k.entries != nil {
		entries = k.entries(form)
	} else {
		for _, b := range k.build(form) {
			entries = append(entries, fields.Entry{Body: b})
		}
	}
	note := form.text("note")
	for i := range entries {
		e := &entries[i]
		if !k.undated && e.On == fields.NoDate {
			e.On = form.date("on", v.Today)
		}
		e.Note = strings.TrimPrefix(e.Note+"; "+note, "; ")
		e.Note = strings.TrimSuffix(e.Note, "; ")
	}
	if err := form.err(); err != nil {
		return err
	}
	l, err := v.Log(entries, c.Bool("dry-run"), sure(c))
	if err != nil {
		return err
	}
	return p.logged(l)
}

// rawEntryCommand logs an entry given as the journal's own JSON.
func rawEntryCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:      "entry",
		Usage:     "any kind of entry, as one JSON object",
		ArgsUsage: "JSON|-",
		Description: strings.TrimSpace(`
Takes one entry in the journal's own form, for kinds and fields that have no
flags of their own; "-" reads it from standard input. Numbers are in inside
units (°C, cm, ha, kg, mm). Leave out id, recorded and by: they are filled
in.

   rimegate log entry '{"kind":"walk","on":"2026-10-03","paddock":"creek","killed":"none"}'`),
		Flags: []cli.Flag{asSaid(), asPrinted(), asRead(), yes("dry-run", "read it back and show what would change, but store nothing")},
		Action: func(c *cli.Context) error {
			f, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			if c.NArg() != 1 {
				return usagef("`rimegate log entry` takes one JSON object in quotes, or - for standard input")
			}
			text := c.Args().First()
			if text == "-" {
				if text, err = readAll(p.in); err != nil {
					return err
				}
			}
			e, err := rawEntry(text, f.By, v)
			if err != nil {
				return err
			}
			l, err := v.Log([]fields.Entry{*e}, c.Bool("dry-run"), sure(c))
			if err != nil {
				return err
			}
			return p.logged(l)
		},
	}
}

// rawEntry decodes one JSON object strictly, with id, recorded and by filled in.
func rawEntry(text, by string, v *farm.View) (*fields.Entry, error) {
	var given map[string]json.RawMessage
	if err := json.Unmarshal([]byte(text), &given); err != nil {
		return nil, refusef("that is not one JSON object (%v)", err)
	}
	for _, name := range []string{"id", "recorded"} {
		if _, ok := given[name]; ok {
			return nil, refusef("%s is filled in by the program; leave it out (`rimegate journal import` takes entries that have theirs)", name)
		}
	}
	if _, ok := given["by"]; !ok {
		given["by"], _ = json.Marshal(by)
	}
	given["id"] = json.RawMessage(`"` + blankID + `"`)
	given["recorded"], _ = json.Marshal(v.Now.Format(time.RFC3339Nano))
	full, err := json.Marshal(given)
	if err != nil {
		return nil, err
	}
	e, probs := fields.DecodeEntry(full)
	if err := probs.Err(); err != nil {
		return nil, refusef("%v", err) // with the field names of the JSON, not with flags
	}
	e.ID, e.Recorded = "", time.Time{}
	return e, nil
}

// blankID stands in for the id that storing gives.
const blankID = "00000000000000000000000000"
