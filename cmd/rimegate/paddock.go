package main

import (
	"cmp"
	"fmt"
	"strings"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/hazard/board"
)

var paddocks = thing{
	kind: fields.KindPaddock,
	list: listPaddocks,
	find: (*farm.View).Paddock,
	facts: func(v *farm.View, id string) fields.Body {
		if x := v.History.Paddock(id); x != nil && x.Known {
			return &fields.PaddockFacts{Name: x.Name, Paddock: id}
		}
		return nil
	},
	next: "Next, what grows there: rimegate log sown --new-stand --species NAMES --on DAY SHORT, or of old grass: rimegate log seen --species NAMES SHORT",
}

func listPaddocks(r *request) {
	h, u := r.view.History, string(r.view.Units())
	var rows [][]string
	for _, x := range h.Standing() {
		area := ""
		if x.AreaHa != nil {
			area = fields.Area.In(*x.AreaHa, u)
		}
		var more []string
		s := h.NightSetting([]string{x.ID}, r.view.Today)
		if len(x.Parents) > 0 {
			more = append(more, "came from "+words(x.Parents))
			s = h.NightSetting(h.Lines(x.ID)[0], r.view.Today)
		}
		if len(s.Stations) > 0 {
			t := "read at " + words(s.Stations)
			if s.OffsetC != 0 {
				t += ", " + fields.Difference.Both(s.OffsetC) + " there"
			}
			more = append(more, t)
		} else {
			more = append(more, "no station: every night is unread unless said")
		}
		if s.LowLying {
			more = append(more, "low-lying")
		}
		for _, st := range h.Inside([]string{x.ID}) {
			more = append(more, cmp.Or(board.Clean(st.Herd), "stock")+" inside since "+st.In.Words())
		}
		rows = append(rows, []string{x.ID, x.Name, area, strings.Join(more, "; ")})
	}
	if len(rows) == 0 {
		fmt.Fprintln(r.out, "No paddock yet: rimegate paddock add --name \"North Slough\" --area 24ha north-slough")
		return
	}
	r.table([]string{"SHORT NAME", "NAME", "AREA", ""}, rows)
}
