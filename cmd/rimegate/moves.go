package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
	"rimegate/hazard/moves"
)

func movesCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "moves",
		Usage: "where each herd can stand, for how many days, and the gap",
		Description: strings.TrimSpace(`
For each herd: where it can stand today and how long the measured feed
lasts, how much feed is clear, to ask about, or locked behind holds, a plan
of the coming days with the fewest days without feed and the fewest moves,
and what opens when. Feed is measured on walks (log walk --standing); what
was not measured is not counted. Herds that stand together move as one.

   rimegate moves
   rimegate moves --days 28 --utilisation 30% --leave 20cm`),
		Flags: []cli.Flag{
			text("days", "plan `N` days ahead (21 if left out)"),
			text("utilisation", "the share of the standing feed that is eaten: `PERCENT` (25% if left out)"),
			text("leave", "the stubble to leave: `HEIGHT` like 20cm or 8in"),
			yes("json", "as JSON (schema rimegate/moves/1), for programs"),
		},
		Action: func(c *cli.Context) error {
			_, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			form := newForm(c, v)
			days := form.daysFlag("days", 21, moves.MaxDays-1)
			var set moves.Settings
			if pct := form.quantity("utilisation", fields.Percentage); pct != nil {
				set.UtilisationPct = *pct
				if !(*pct > 0 && *pct <= 100) {
					form.wrong("utilisation", "lies above 0 and up to 100 %", "type one like 25%")
				}
			}
			if cm := form.quantity("leave", fields.Height); cm != nil {
				set.LeaveCM = *cm
			}
			if err := wordsWrong(form.err()); err != nil {
				return err
			}
			m, err := v.Moves(days, set)
			if err != nil {
				return err
			}
			if c.Bool("json") {
				return p.bytes(m.JSON())
			}
			return p.painted(func(w writer) error { return m.Text(w, p.width) })
		},
	}
}
