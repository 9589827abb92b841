package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/hazard/board"
)

func paddockPlanCommand(p *program) *cli.Command {
	return &cli.Command{
		Name: "plan", Usage: "before sowing: hazards of a mix, frost odds, escapes", ArgsUsage: "[PADDOCK]",
		Description: strings.TrimSpace(`
Says what each species of a mix brings: prussic acid, nitrate, minimum
height, what cannot be grazed while it is green; when it is ready, the odds
of a frost before that (from the nights in the journal), and where stock
could go on the morning it is held. Nothing is stored.

   rimegate paddock plan --species "sorghum-sudangrass,cowpea" --sow 10-Jun creek`),
		Flags: []cli.Flag{
			list("species", "the `SPECIES` of the mix"),
			text("sow", "the `DAY` it is sown"),
			text("ready-in", "ready to graze after `N` days (60 if left out)"),
		},
		Action: func(c *cli.Context) error {
			_, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			form := newForm(c, v)
			species := form.list("species")
			if len(species) == 0 {
				form.wrong("species", "is missing", `type the mix, like "sorghum-sudangrass,cowpea"`)
			}
			if !form.has("sow") {
				form.wrong("sow", "is missing", "type the day, like 10-Jun")
			}
			sow := form.day("sow")
			days := 0
			if form.has("ready-in") {
				days = form.daysFlag("ready-in", board.ReadyDays, 365)
			}
			id := ""
			if c.NArg() > 0 {
				id = form.paddock()
			}
			if err := wordsWrong(form.err()); err != nil {
				return err
			}
			for _, s := range species {
				if w := v.SpeciesWarning(s); w != "" {
					p.note(w)
				}
			}
			plan := v.SowPlan(id, species, sow, days)
			return p.painted(func(w writer) error { return plan.Text(w, p.width) })
		},
	}
}
