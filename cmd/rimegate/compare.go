package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
)

func compareCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:      "compare",
		Usage:     "every publication's answer for one paddock or lot",
		ArgsUsage: "PADDOCK|LOT",
		Description: strings.TrimSpace(`
Our own answer first; then what each publication that gives a rule would say
on this very record, the strictest and the laxest marked, with its source.
Of the latest nitrate result: what each embedded table says, class by class.

   rimegate rules compare north-slough
   rimegate rules compare --on 20-Oct north-slough
   rimegate rules compare --json north-slough`),
		Flags: []cli.Flag{
			text("on", "as of this `DAY` (today if left out; a coming day holds if nothing else happens)"),
			yes("json", "as JSON (schema rimegate/compare/1), for programs"),
		},
		Action: func(c *cli.Context) error {
			if c.NArg() != 1 {
				return usagef("`rimegate rules compare` takes one paddock or lot, like `rimegate rules compare north-slough`")
			}
			f, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			form := newForm(c, v)
			on := form.day("on")
			if err := wordsWrong(form.err()); err != nil {
				return err
			}
			if on != 0 {
				if v, err = f.View(farm.Question{On: on}); err != nil {
					return err
				}
			}
			id, err := v.PaddockOrLot(c.Args().First())
			if err != nil {
				return wordsWrong(err)
			}
			x, err := v.Compare(id)
			if err != nil {
				return wordsWrong(refusef("%v", err))
			}
			if c.Bool("json") {
				return p.bytes(x.JSON())
			}
			return p.painted(func(w writer) error { return x.Text(w, p.width) })
		},
	}
}
