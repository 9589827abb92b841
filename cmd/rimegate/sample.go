package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/hazard/board"
)

func sampleCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:      "sample",
		Usage:     "how to take a sample that counts, and how many more",
		ArgsUsage: "PADDOCK|LOT",
		Description: strings.TrimSpace(`
How many stems, spots, bales and cores, where and how, what to write on the
bag, and what earlier results tell: how many more for a mean of a wanted
width at 95 %, and the chance that the worst bale of a lot passes the line.
Limits of means never clear a lot.

   rimegate sample north-slough
   rimegate sample --for hcn bench-hay
   rimegate sample --width 150 bench-hay`),
		Flags: []cli.Flag{
			text("for", "what it is tested for: nitrate (if left out) or hcn (`WORD`)"),
			text("width", "how near the mean shall be told: `PPM` NO3-N on dry matter, either side"),
		},
		Action: func(c *cli.Context) error {
			if c.NArg() != 1 {
				return usagef("`rimegate sample` takes one paddock or lot, like `rimegate sample north-slough`")
			}
			_, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			form := newForm(c, v)
			ask := board.SampleAsk{Analyte: orWord(form.one("for", "nitrate", "hcn"), "nitrate")}
			if w := form.number("width"); w != nil {
				if !(*w >= 1 && *w <= 100000) {
					form.wrong("width", "lies between 1 and 100000 ppm NO3-N", "type it like 150")
				}
				if ask.Analyte == "hcn" {
					form.wrong("width", "is for nitrate", "no mean of HCN results counts")
				}
				ask.WidthPPM = *w
			}
			id, err := v.PaddockOrLot(c.Args().First())
			form.failed("", err)
			if err := wordsWrong(form.err()); err != nil {
				return err
			}
			x, err := board.NewSampleSheet(v.Assess(), id, ask)
			if err != nil {
				return wordsWrong(refusef("%v", err))
			}
			return p.painted(func(w writer) error { return x.Text(w, p.width) })
		},
	}
}
