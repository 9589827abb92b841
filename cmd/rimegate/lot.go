package main

import (
	"fmt"
	"strings"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
)

var lots = thing{
	kind: fields.KindLot,
	list: listLots,
	find: (*farm.View).Lot,
	facts: func(v *farm.View, id string) fields.Body {
		if x := v.LotFacts(id); x != nil {
			return x
		}
		return nil
	},
}

func listLots(r *request) {
	var rows [][]string
	for _, id := range r.view.History.Lots() {
		rows = append(rows, lotRow(r.view, id))
	}
	if len(rows) == 0 {
		fmt.Fprintln(r.out, "No lot of feed yet: rimegate lot add --kind hay --made 12-Aug --from bench bench-hay")
		return
	}
	r.table([]string{"SHORT NAME", "KIND", "MADE", ""}, rows)
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
	return []string{id, string(b.LotKind), b.MadeOn.Words(), strings.Join(more, "; ")}
}
