package main

import (
	"encoding/json"
	"slices"
	"time"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/form"
)

// maker makes entries of the words of a line.
type maker func(*request) ([]fields.Entry, error)

// logCommands are one command for each kind of entry that has no other of its own.
func logCommands(p *program, kinds []*form.Kind, do func(maker) step) []*cli.Command {
	var all []*cli.Command
	for _, k := range kinds {
		if k.Help != "" {
			all = append(all, command(p, k, do(logged)))
		}
	}
	return all
}

// fieldFlags are the flags of a form's fields, or of some of them.
func fieldFlags(k *form.Kind, only ...string) []cli.Flag {
	var out []cli.Flag
	for i := range k.Fields {
		f := &k.Fields[i]
		if len(only) > 0 && !slices.Contains(only, f.Name) {
			continue
		}
		switch {
		case f.Flag == "":
		case f.Type == form.Flag:
			out = append(out, yes(f.Flag, f.Use))
		default:
			out = append(out, text(f))
		}
		for _, w := range f.Words {
			out = append(out, yes(w.Flag, w.Use))
		}
	}
	return out
}

func sure(c *cli.Context) farm.Sure {
	return farm.Sure{Names: c.Bool("as-said"), Dawns: c.Bool("as-said"), Figures: c.Bool("as-printed") || c.Bool("as-read")}
}

// whatWasSaid is what was typed for a kind of entry.
func whatWasSaid(c *cli.Context, k *form.Kind) form.Said {
	out := form.Said{}
	for i := range k.Fields {
		f := &k.Fields[i]
		var texts []string
		switch {
		case f.Type == form.Flag:
			if c.Bool(f.Flag) {
				texts = []string{"yes"}
			}
		case f.Flag != "":
			texts = typed(c, f.Flag)
		case f.Argument():
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
func (r *request) entries(k *form.Kind, said form.Said, was fields.Body) ([]fields.Entry, error) {
	r.stores = !r.assumes
	in := r.context()
	in.Was = was
	made, problems := k.Entries(said, in)
	r.says = append(r.says, k.Read(said, in).Taken()...)
	return made, problems.Err()
}

// storing stores the entries that the words of a line make.
func storing(makes maker) step {
	return func(r *request) error {
		if !r.view.History.ZoneSet {
			return noFarmYet()
		}
		made, err := makes(r)
		whole, werr := r.view.Whole(made...)
		if werr != nil {
			return werr
		}
		if whole != r.view { // what was asked rests on all of the record
			r.view, r.says = whole, nil
			made, err = makes(r)
		}
		if err != nil {
			return err
		}
		return r.store(made)
	}
}

// logged are the entries of one kind.
func logged(r *request) ([]fields.Entry, error) {
	return r.entries(r.flags, whatWasSaid(r.c, r.flags), nil)
}

// store stores entries, or tries them, and prints what they change.
func (r *request) store(made []fields.Entry) error {
	l, err := r.view.Log(made, r.c.Bool("dry-run"), sure(r.c))
	if err != nil {
		return err
	}
	l.Notes = append(r.says, l.Notes...)
	return r.logged(l)
}

// runRawEntry logs an entry given as the journal's own JSON.
func runRawEntry(r *request) (err error) {
	if r.c.NArg() != 1 {
		return usagef("`rimegate log entry` takes one JSON object in quotes, or - for standard input")
	}
	text := r.c.Args().First()
	if text == "-" {
		r.patience.hush() // somebody may be typing
		if text, err = readAll(r.in); err != nil {
			return err
		}
	}
	e, err := rawEntry(text, r.farm.By, r.view)
	if err != nil {
		return err
	}
	return r.store([]fields.Entry{*e})
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
