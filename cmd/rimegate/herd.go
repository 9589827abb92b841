package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
)

func herdCommand(p *program) *cli.Command {
	flags := func() []cli.Flag {
		return setUpFlags(
			list("class", "its `CLASSES`: bred-cattle, young-cattle, open-cattle, sheep, goats, horses"),
			text("head", "`N` head"),
			text("weight", "weight of one: `WEIGHT` like 600kg or 1320lb"),
			text("intake", "dry matter eaten a day, of the body weight: `PERCENT` like 2.5%"),
		)
	}
	return &cli.Command{
		Name:  "herd",
		Usage: "the herds and flocks: list, add, change",
		Description: strings.TrimSpace(`
Every cow or heifer exposed and not confirmed open, and every cow with a
calf at side, is bred-cattle; under 12 months is young-cattle. A herd may
hold several classes: the worst answer holds for it.

   rimegate herd add --class bred-cattle,young-cattle --head 85 --weight 620kg pairs`),
		Action: func(c *cli.Context) error { return p.herdList(c) },
		Subcommands: p.setUp("herd", flags, p.herdList, p.herdSet,
			`--class bred-cattle,young-cattle --head 85 --weight 620kg pairs`, `--head 82 pairs`),
	}
}

func (p *program) herdSet(c *cli.Context, add bool) error {
	f, v, err := p.view(c, question())
	if err != nil {
		return err
	}
	form := newForm(c, v)
	form.stores = true
	b := &fields.HerdFacts{
		Herd: form.name("herd"), Classes: form.classes("class"), Head: form.count("head"),
		WeightKg: form.quantity("weight", fields.Weight), IntakePctBW: form.quantity("intake", fields.Percentage),
	}
	have := v.History.Herd(b.Herd)
	switch {
	case b.Herd == "":
	case add && have != nil:
		form.wrong("", fmt.Sprintf("the herd %s is there already", quoted(b.Herd)), "change it with `rimegate herd set`")
	case !add && have == nil:
		_, err := v.Herd(b.Herd)
		form.failed("", err)
	default:
		if add && !form.has("class") {
			form.wrong("class", "is missing", "type one or more of "+words(classWords()))
		}
		if add && !form.has("head") {
			form.wrong("head", "is missing", "type how many there are")
		}
		if !add && len(b.Classes) == 0 {
			b.Classes = have.Classes
		}
		if !add && b.Head == nil {
			b.Head = have.Head
		}
	}
	return p.store(c, f, form, b)
}

func (p *program) herdList(c *cli.Context) error {
	_, v, err := p.view(c, question())
	if err != nil {
		return err
	}
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
		return nil
	}
	p.table([]string{"SHORT NAME", "HEAD", "EACH", "CLASSES", ""}, rows)
	return nil
}
