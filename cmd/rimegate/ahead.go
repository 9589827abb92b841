package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

func aheadCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "ahead",
		Usage: "the coming days, if nothing else happens or if it does",
		Description: strings.TrimSpace(`
Shows each paddock day by day, and the earliest day a CLEAR could come with
the evidence it still needs. With --if, an entry in the journal's own form
is assumed and what it would change is shown; nothing is stored.

   rimegate ahead
   rimegate ahead --days 35 --class bred-cattle
   rimegate ahead --if '{"kind":"frost","night":"2026-10-08","paddocks":["creek"]}'`),
		Flags: []cli.Flag{
			text("days", "look `N` days ahead (21 if left out)"),
			text("class", "for this `CLASS` only: bred-cattle, young-cattle, open-cattle, sheep, goats or horses"),
			text("use", "for this `USE`: graze, green-chop, swath-graze, cut-hay or cut-silage"),
			text("paddock", "this `PADDOCK` only"),
			&cli.GenericFlag{Name: "if", Usage: "assume this `ENTRY`, one JSON object; id, recorded and by may be left out (repeat for more)", Value: &each{}},
			yes("json", "as JSON (schema rimegate/ahead/1), for programs"),
		},
		Action: func(c *cli.Context) error {
			f, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			form := newForm(c, v)
			var filter board.Filter
			days := form.daysFlag("days", 21, farm.MaxAhead)
			if s := form.one("class", classWords()...); s != "" {
				if cl, ok := hazard.ParseClass(s); ok {
					filter.Class = &cl
				}
			}
			uses := make([]string, len(hazard.PaddockUses))
			for i, u := range hazard.PaddockUses {
				uses[i] = u.String()
			}
			if s := form.one("use", uses...); s != "" {
				if u, ok := hazard.ParseUse(s); ok {
					filter.Use = &u
				}
			}
			if err := wordsWrong(form.err()); err != nil {
				return err
			}
			if s, ok := value(c, "paddock"); ok {
				if filter.Paddock, err = v.Paddock(s); err != nil {
					return wordsWrong(err)
				}
			}
			var assumed []fields.Entry
			for _, t := range typed(c, "if") {
				e, err := v.Assumed(t)
				if err != nil {
					return usagef("--if: %s", strings.ReplaceAll(err.Error(), "\n", "\n--if: "))
				}
				assumed = append(assumed, *e)
			}
			a, err := f.Ahead(days, assumed)
			if err != nil {
				if statusOf(err) == statusRefused {
					return usagef("--if: %s", strings.ReplaceAll(err.Error(), "\n", "\n--if: "))
				}
				return err
			}
			if c.Bool("json") {
				for _, n := range a.Notes {
					p.note(n)
				}
				return p.bytes(a.Strip(filter).JSON(a.Assumed()))
			}
			for _, x := range a.Assumed() {
				p.para("If: ", "    ", x)
			}
			for _, n := range a.Notes {
				p.para("! ", "  ", n)
			}
			return p.painted(func(w writer) error { return a.Strip(filter).Text(w, p.width) })
		},
	}
}
