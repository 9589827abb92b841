package main

import (
	"fmt"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
)

var herds = thing{
	kind: fields.KindHerd,
	list: listHerds,
	find: (*farm.View).Herd,
	facts: func(v *farm.View, id string) fields.Body {
		if x := v.History.Herd(id); x != nil {
			return &x.HerdFacts
		}
		return nil
	},
}

func listHerds(r *request) {
	u := string(r.view.Units())
	var rows [][]string
	for _, g := range r.view.History.Herds {
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
		fmt.Fprintln(r.out, "No herd yet: rimegate herd add --class bred-cattle --head 85 pairs")
		return
	}
	r.table([]string{"SHORT NAME", "HEAD", "EACH", "CLASSES", ""}, rows)
}
