package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/hazard/board"
)

func whyCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:      "why",
		Usage:     "the full reasoning about one paddock or lot of feed",
		ArgsUsage: "PADDOCK|LOT",
		Description: strings.TrimSpace(`
Every rule that fired, the entries it fired on, the arithmetic, the
published source, and the one act that would lift it.

   rimegate why north-slough
   rimegate why --use swath-graze --class sheep north-slough`),
		Flags: append(askFlags(), yes("json", "as JSON (schema rimegate/today/1), for programs")),
		Action: func(c *cli.Context) error {
			if c.NArg() != 1 {
				return usagef("`rimegate why` takes one paddock or lot, like `rimegate why north-slough`")
			}
			_, v, f, err := p.ask(c)
			if err != nil {
				return err
			}
			id, err := v.PaddockOrLot(c.Args().First())
			if err != nil {
				return wordsWrong(err)
			}
			a := v.Assess()
			if c.Bool("json") {
				return p.bytes(board.WhyJSON(a, id, f))
			}
			e, err := board.Why(a, id, f)
			if err != nil {
				return wordsWrong(refusef("%v", err))
			}
			return p.painted(func(w writer) error { return e.Text(w, p.width) })
		},
	}
}
