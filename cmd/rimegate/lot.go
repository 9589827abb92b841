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
		Action:      p.listed(lots),
		Subcommands: p.setUp(lots),
	}
}

var lots = thing{
	kind:       fields.KindLot,
	addExample: `--kind hay --made 12-Aug --from bench --cut-on 8-Aug --bales 120 bench-hay`,
	setExample: `--bales 118 bench-hay`,
	list:       (*program).lotList,
	find:       (*farm.View).Lot,
	facts: func(v *farm.View, id string) fields.Body {
		if x := v.LotFacts(id); x != nil {
			return x
		}
		return nil
	},
}

func (p *program) lotList(v *farm.View) {
	var rows [][]string
	for _, id := range v.History.Lots() {
		rows = append(rows, lotRow(v, id))
	}
	if len(rows) == 0 {
		fmt.Fprintln(p.out, "No lot of feed yet: rimegate lot add --kind hay --made 12-Aug --from bench bench-hay")
		return
	}
	p.table([]string{"SHORT NAME", "KIND", "MADE", ""}, rows)
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
