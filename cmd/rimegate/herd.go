package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
)

func herdCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "herd",
		Usage: "the herds and flocks: list, add, change",
		Description: strings.TrimSpace(`
Every cow or heifer exposed and not confirmed open, and every cow with a
calf at side, is bred-cattle; under 12 months is young-cattle. A herd may
hold several classes: the worst answer holds for it.

   rimegate herd add --class bred-cattle,young-cattle --head 85 --weight 620kg pairs`),
		Action:      p.listed(herds),
		Subcommands: p.setUp(herds),
	}
}

var herds = thing{
	kind:       fields.KindHerd,
	addExample: `--class bred-cattle,young-cattle --head 85 --weight 620kg pairs`,
	setExample: `--head 82 pairs`,
	list:       (*program).herdList,
	find:       (*farm.View).Herd,
	facts: func(v *farm.View, id string) fields.Body {
		if x := v.History.Herd(id); x != nil {
			return &x.HerdFacts
		}
		return nil
	},
}

func (p *program) herdList(v *farm.View) {
	u := string(v.Units())
	var rows [][]string
	for _, g := range v.History.Herds {
		head, weight, where := "", "", "nobody said where"
		if g.Head != nil {
			head = fmt.Sprint(*g.Head)
		}
		if g.WeightKg != nil {
			weight = fields.Weight.In(*g.WeightKg, u)
		}
		if g.In != "" {
			where = "in " + g.In + " since " + g.Since.Words()
		}
		rows = append(rows, []string{g.HerdFacts.Herd, head, weight, words(g.Classes), where})
	}
	if len(rows) == 0 {
		fmt.Fprintln(p.out, "No herd yet: rimegate herd add --class bred-cattle --head 85 pairs")
		return
	}
	p.table([]string{"SHORT NAME", "HEAD", "EACH", "CLASSES", ""}, rows)
}
