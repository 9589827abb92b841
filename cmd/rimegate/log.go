package main

import (
	"encoding/json"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/form"
)

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
	for _, k := range form.Kinds() {
		if k.Help == "" && k.Kind != fields.KindRead { // those have commands of their own
			continue
		}
		cmd.Subcommands = append(cmd.Subcommands, &cli.Command{
			Name: string(k.Kind), Usage: k.Says, ArgsUsage: k.Args, Description: k.Help, Flags: entryFlags(k),
			Action: func(c *cli.Context) error { return p.logKind(c, k) },
		})
	}
	cmd.Subcommands = append(cmd.Subcommands, rawEntryCommand(p))
	return cmd
}

// entryFlags are the flags of a kind of entry, or those of some of its fields.
func entryFlags(k *form.Kind, only ...string) []cli.Flag {
	var out []cli.Flag
	for i := range k.Fields {
		f := &k.Fields[i]
		if len(only) > 0 && !slices.Contains(only, f.Name) {
			continue
		}
		switch {
		case f.Flag == "":
		case f.Type == form.Figures:
			out = append(out, &cli.GenericFlag{Name: f.Flag, Usage: f.Use, Value: &each{}})
		case f.Many():
			out = append(out, list(f.Flag, f.Use))
		default:
			out = append(out, text(f.Flag, f.Use))
		}
		for _, w := range f.Words {
			out = append(out, yes(w.Flag, w.Use))
		}
	}
	switch k.Sure {
	case "names":
		out = append(out, asSaid())
	case "printed":
		out = append(out, asPrinted())
	case "read":
		out = append(out, asRead())
	}
	return append(out, dryRun())
}

func dryRun() cli.Flag {
	return yes("dry-run", "read it back and show what would change, but store nothing")
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

// whatWasSaid is what was typed for a kind of entry.
func whatWasSaid(c *cli.Context, k *form.Kind) form.Said {
	out := form.Said{}
	for i := range k.Fields {
		f := &k.Fields[i]
		var texts []string
		switch {
		case f.Flag != "":
			texts = typed(c, f.Flag)
		case f.OfPaddocks(), f.Type == form.New:
			texts = c.Args().Slice()
		}
		for _, w := range f.Words {
			switch {
			case c.Bool(w.Flag):
				texts = append(texts, w.Text)
			case c.IsSet(w.Flag) && f.Type == form.YesNo:
				texts = append(texts, map[string]string{"yes": "no", "no": "yes"}[w.Text])
			}
		}
		if len(texts) > 0 {
			out[f.Name] = texts
		}
	}
	return out
}

// entries makes the entries of what was typed; was fills what must be said.
func entries(c *cli.Context, v *farm.View, k *form.Kind, words form.Said, was fields.Body) ([]fields.Entry, fields.Problems) {
	return k.Entries(words, form.Context{
		Now: v.Now, Behind: v.Behind, Farm: v, Line: true, Was: was,
		Stands: func(string) bool { return sure(c).Figures },
	})
}

func (p *program) logKind(c *cli.Context, k *form.Kind) error {
	f, v, err := p.view(c, question())
	if err != nil {
		return err
	}
	if !v.History.ZoneSet {
		return refusef("the farm has no name and time zone yet, so no day can be told; type `rimegate farm set --name NAME --zone ZONE` first")
	}
	made, problems := entries(c, v, k, whatWasSaid(c, k), nil)
	if err := problems.Err(); err != nil {
		return err
	}
	return p.store(c, f, made)
}

// store stores entries, or tries them, and prints what they change.
func (p *program) store(c *cli.Context, f *farm.Farm, made []fields.Entry) error {
	l, err := f.Log(made, c.Bool("dry-run"), sure(c))
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
		Flags: []cli.Flag{asSaid(), asPrinted(), asRead(), dryRun()},
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
			return p.store(c, f, []fields.Entry{*e})
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
