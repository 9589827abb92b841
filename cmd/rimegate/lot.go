package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
)

func lotCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "lot",
		Usage: "stored feed: list, add, change",
		Description: strings.TrimSpace(`
A lot is feed of one field, one cut and one condition. Whether it may be fed
is a separate question from whether it might be cut.

   rimegate lot add --kind hay --made 12-Aug --from bench --cut-on 8-Aug --bales 120 bench-hay`),
		Action: func(c *cli.Context) error { return p.lotList(c) },
		Subcommands: p.setUp("lot", lotSetFlags, p.lotList, p.lotSet,
			`--kind hay --made 12-Aug --from bench --cut-on 8-Aug --bales 120 bench-hay`, `--bales 118 bench-hay`),
	}
}

func lotSetFlags() []cli.Flag {
	return append(lotFlags(),
		asSaid(),
		text("note", "a `NOTE` in your own words"),
		yes("dry-run", "read it back and show what would change, but store nothing"))
}

func (p *program) lotSet(c *cli.Context, add bool) error {
	_, v, err := p.view(c, question())
	if err != nil {
		return err
	}
	form := newForm(c, v)
	form.stores = true
	id := form.name("lot")
	have := v.LotFacts(id)
	switch {
	case id == "":
	case add && have != nil:
		form.wrong("", fmt.Sprintf("the lot %s is there already", quoted(id)), "change it with `rimegate lot set`")
	case !add && have == nil:
		_, err := v.Lot(id)
		form.failed("", err)
		return form.err()
	}
	b := lotBody(form, id, have)
	note := form.text("note")
	if err := form.err(); err != nil {
		return err
	}
	l, err := v.Log([]fields.Entry{{Note: note, Body: b}}, c.Bool("dry-run"), sure(c))
	if err != nil {
		return err
	}
	return p.logged(l)
}

func (p *program) lotList(c *cli.Context) error {
	_, v, err := p.view(c, question())
	if err != nil {
		return err
	}
	var rows [][]string
	for _, id := range v.History.Lots() {
		rows = append(rows, lotRow(v, id))
	}
	if len(rows) == 0 {
		fmt.Fprintln(p.out, "No lot of feed yet: rimegate lot add --kind hay --made 12-Aug --from bench bench-hay")
		return nil
	}
	p.table([]string{"SHORT NAME", "KIND", "MADE", ""}, rows)
	return nil
}

func lotRow(v *farm.View, id string) []string {
	b := v.LotFacts(id)
	var more []string
	if len(b.From) > 0 {
		more = append(more, "from "+words(b.From))
	} else {
		more = append(more, "origin unknown")
	}
	if b.CutOn != fields.NoDate {
		more = append(more, "cut "+b.CutOn.Words())
	}
	if b.Bales != nil {
		more = append(more, fmt.Sprintf("%v bales", *b.Bales))
	}
	if b.Tonnes != nil {
		more = append(more, fields.Tonnage.In(*b.Tonnes, string(v.Units())))
	}
	if len(b.Species) > 0 {
		more = append(more, words(b.Species))
	}
	if b.Seller != "" {
		more = append(more, "sold by "+b.Seller)
	}
	return []string{id, b.LotKind, b.MadeOn.Words(), strings.Join(more, "; ")}
}
