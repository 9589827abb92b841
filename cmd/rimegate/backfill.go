package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields/form"
	"rimegate/hazard/board"
)

// withTemplate makes a command of a kind print the head of its sheet where that is asked
// for, without a journal.
func withTemplate(p *program, cmd *cli.Command, k *form.Kind) {
	act := cmd.Action
	cmd.Action = func(c *cli.Context) error {
		if !c.Bool("template") {
			return act(c)
		}
		w := csv.NewWriter(p.out)
		return w.WriteAll(k.Template())
	}
}

// readBack is how many entries of a sheet are read back in words: the first ones show
// whether the columns are understood.
const readBack = 5

// takeSheet brings in a spreadsheet saved as CSV.
func (r *request) takeSheet(from string, in io.Reader) error {
	if _, keep := value(r.c, "keep"); keep {
		return usagef("--keep is for entries that have ids, and %s is a spreadsheet; leave it out", from)
	}
	if err := r.load(); err != nil {
		return err
	}
	if !r.view.History.ZoneSet {
		return noFarmYet()
	}
	name := "standard input"
	if from != "-" {
		name = filepath.Base(from)
	}
	kind, _ := value(r.c, "kind")
	order, _ := value(r.c, "date-order")
	sheet, err := farm.ReadSheet(name, in, farm.SheetOptions{Kind: kind, DateOrder: order})
	if err != nil {
		return err
	}
	out, err := r.view.Backfill(sheet, r.c.Bool("dry-run"), sure(r.c))
	if err != nil {
		return err
	}
	r.backfilled(name, sheet, out)
	return nil
}

func noFarmYet() error {
	return refusef("the farm has no name and time zone yet, so no day can be told; " +
		"type `rimegate farm set --name NAME --zone ZONE` first")
}

// backfilled says what became of a sheet, and what it changed.
func (r *request) backfilled(name string, s *farm.Sheet, b *farm.Backfilled) {
	did := "Stored"
	if !b.Stored {
		did = "Dry run, nothing is stored. New"
	}
	head := ""
	if s.Passed > 0 {
		head = fmt.Sprintf("; %s of the template passed over", counted(s.Passed, "row", "rows"))
	}
	r.say("%s: %s of %s%s.", name, counted(len(s.Rows), "row", "rows"), s.Kind.Command(), head)
	if s.Dates != "" {
		r.para("  ", "  ", s.Dates+".")
	}
	var kinds []string
	for _, k := range slices.Sorted(maps.Keys(b.Kinds)) {
		kinds = append(kinds, fmt.Sprintf("%d %s", b.Kinds[k], k))
	}
	if len(b.Entries) == 0 {
		did, kinds = "Nothing new", nil
	}
	days := ""
	switch {
	case b.From != b.To:
		days = ", from " + b.From.Words() + " through " + b.To.Words()
	case len(b.Entries) > 0:
		days = ", of " + b.From.Words()
	}
	if kinds != nil {
		did += ": " + strings.Join(kinds, ", ")
	}
	r.say("%s%s; %d were in the journal already.", did, days, b.Same)
	note := func(n int, one, many, rest string) {
		if n > 0 {
			r.para("  ", "  ", counted(n, one, many)+rest)
		}
	}
	note(b.Twice, "entry is", "entries are", " said by a row above too; that is one.")
	note(b.Others, "entry was", "entries were", " logged by somebody else too; both stand.")
	for i := range b.Entries[:min(readBack, len(b.Entries))] {
		r.para("  ", "    ", board.EntryEcho(&b.Entries[i], b.After.History, b.View.Units()))
	}
	if more := len(b.Entries) - readBack; more > 0 {
		r.para("  ", "  ", "and "+thousands(more)+" more; `rimegate history` shows each.")
	}
	for _, n := range slices.Concat(b.Taken, b.Notes) {
		r.para("! ", "  ", n)
	}
	if len(b.Entries) == 0 {
		return
	}
	if b.Stored {
		r.say("All of it is one import, %s; `rimegate strike --batch %s --because ...` undoes it.", b.Batch, b.Batch)
	}
	r.consequences(&b.Logged)
}
