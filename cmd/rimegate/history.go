package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/hazard/board"
)

func historyCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:      "history",
		Usage:     "the entries in order, struck ones marked",
		ArgsUsage: "[PADDOCK|LOT]",
		Description: strings.TrimSpace(`
Of the whole farm, or of one paddock with the land it came from, or one lot.
Each entry is shown with its id, which strike takes, and that of the import
that brought it, which strike --batch takes. Nights of a station are
shown by ` + "`rimegate nights`" + `.

   rimegate history --from 1-Sep north-slough`),
		Flags: []cli.Flag{
			text("from", "from this `DAY` on"),
			text("to", "up to this `DAY`"),
			text("known-at", "with only what was written down by then: `TIME` like \"17-Sep-2026 06:40\""),
		},
		Action: func(c *cli.Context) error {
			f, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			form := newForm(c, v)
			from, to, known := form.date("from", 0), form.date("to", 0), form.knownAt()
			if err := wordsWrong(form.err()); err != nil {
				return err
			}
			if c.NArg() > 1 {
				return usagef("`rimegate history` takes one paddock or lot, or none for the whole farm")
			}
			id := ""
			if c.NArg() == 1 {
				if id, err = v.PaddockOrLot(c.Args().First()); err != nil {
					return wordsWrong(err)
				}
			}
			lines, err := f.Past(farm.PastOf{ID: id, From: from, To: to, KnownAt: known})
			if err != nil {
				return err
			}
			for _, x := range lines {
				p.para("", "  ", board.EntryLine(x.Entry, x.History, v.Units()))
				id := "  id " + x.ID
				if x.Batch != "" {
					id += ", import " + x.Batch
				}
				fmt.Fprintln(p.out, id)
				if x.Strike != nil {
					p.para("  STRUCK ", "    ", x.StruckWords())
				}
			}
			if len(lines) == 0 {
				fmt.Fprintln(p.out, "No entry answers to this question.")
			}
			return nil
		},
	}
}
