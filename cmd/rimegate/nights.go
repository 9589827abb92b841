package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
	"rimegate/hazard"
)

// nightsShown is how many nights are shown when nobody says from when.
const nightsShown = 14

func nightsCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "nights",
		Usage: "the nights: how cold, who says so, and which were not read",
		Description: strings.TrimSpace(`
The last 14 nights of every paddock, or of one. Which nights nobody read is as
important as which were cold. Temperatures are at plant height: the station's
reading with the paddock's offset.

   rimegate nights --paddock north-slough --from 1-Sep`),
		Flags: []cli.Flag{
			text("paddock", "this `PADDOCK` only"),
			text("from", "from the night of this `DAY` (14 nights if left out)"),
			text("to", "through the night of this `DAY` (last night if left out)"),
		},
		Action: func(c *cli.Context) error {
			_, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			form := newForm(c, v)
			to := form.date("to", v.Today)
			from := form.date("from", to.Add(1-nightsShown))
			ids := []string{}
			if s := form.text("paddock"); s != "" {
				id, err := v.Paddock(s)
				form.failed("paddock", err)
				ids = append(ids, id)
			} else {
				for _, x := range v.History.Standing() {
					ids = append(ids, x.ID)
				}
			}
			if err := wordsWrong(form.err()); err != nil {
				return err
			}
			if to < from {
				return usagef("--to %s is before --from %s", to.Words(), from.Words())
			}
			if to.Sub(from) > 370 {
				return usagef("--from and --to are more than a year apart; ask for one season")
			}
			if len(ids) == 0 {
				fmt.Fprintln(p.out, "No paddock yet.")
			}
			for i, id := range ids {
				if i > 0 {
					fmt.Fprintln(p.out)
				}
				var rows [][]string
				unread := 0
				for _, r := range hazard.NightRows(v.History, v.Book, id, from, to) {
					if r.Unread {
						unread++
					}
					low := "-"
					if r.HasLow {
						low = fields.Temperature.Both(r.LowC)
					}
					rows = append(rows, []string{r.Night.Words(), low, nightWord(r, v.Today, v.Now.Hour()), nightSources(v.Entries, r.Entries)})
				}
				x := v.History.Paddock(id)
				p.para("", "  ", fmt.Sprintf("%s (%s): %s, %d not read", x.Name, id, counted(len(rows), "night", "nights"), unread))
				if len(rows) > 0 {
					p.table([]string{"NIGHT OF", "LOW", "", ""}, rows)
				}
			}
			return nil
		},
	}
}

// nightWord says what a night counts as.
func nightWord(r hazard.NightRow, today fields.Date, hour int) string {
	switch {
	case r.Trigger:
		return "FROZE"
	case r.Unread && r.Night == today && hour < hazard.ClockHour:
		return "not in yet"
	case r.Unread && r.HasLow:
		return "ONLY PART READ"
	case r.Unread:
		return "NOT READ"
	case r.Possible:
		return "may have frozen"
	case r.Covered:
		return "no frost"
	case !r.Watched:
		return "not watched"
	}
	return "before the stand"
}

// nightSources says who speaks of a night.
func nightSources(entries []fields.Entry, ids []string) string {
	var out []string
	for _, id := range ids {
		for i := range entries {
			if entries[i].ID != id {
				continue
			}
			s := ""
			switch b := entries[i].Body.(type) {
			case *fields.Frost:
				s = "frost, " + entries[i].By
			case *fields.Walk:
				s = "damage walked, " + entries[i].By
			case *fields.Reading:
				s = orWord(b.Station, "thermometer in the paddock")
			case *fields.NoFrost:
				s = "no frost (" + b.Basis + "), " + entries[i].By
			}
			if s != "" {
				out = append(out, s)
			}
		}
	}
	return strings.Join(out, "; ")
}
