package main

import (
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/weather"
)

// nightsShown is how many nights are shown when nobody says from when.
const nightsShown = 14

func nightsCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "nights",
		Usage: "the nights: how cold, who says so, and which were not read",
		Description: strings.TrimSpace(`
The last 14 nights of every paddock, or of one. Which nights nobody read is
as important as which were cold. Temperatures are at plant height: the
station's reading with the paddock's offset.

   rimegate nights --paddock north-slough --from 1-Sep
   rimegate nights --chart --paddock north-slough
   rimegate nights --odds --station home --ready 20-Oct

With --odds: when the first frost of a season comes at a station, from its
own record in the journal, counted and fitted, given that none has come so
far.`),
		Flags: []cli.Flag{
			text("paddock", "this `PADDOCK` only"),
			text("from", "from the night of this `DAY` (14 nights if left out)"),
			text("to", "through the night of this `DAY` (last night if left out)"),
			yes("chart", "draw each night on a scale with the freezing line"),
			yes("json", "as JSON, with the hours of frost, measured or reconstructed"),
			yes("odds", "the odds of the first frost at a station"),
			text("station", "with --odds: the `STATION` (the only one if left out)"),
			text("below", "with --odds: the line, a `TEMP` at the thermometer (0C if left out)"),
			text("ready", "with --odds: the `DAY` on which the stand would be ready"),
		},
		Action: func(c *cli.Context) error {
			_, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			form := newForm(c, v)
			if c.Bool("odds") {
				return p.odds(form)
			}
			for _, flag := range []string{"station", "below", "ready"} {
				if form.has(flag) {
					form.wrong(flag, "belongs to --odds", "give --odds with it, or leave it away")
				}
			}
			if form.has("chart") && form.has("json") {
				form.wrong("json", "and --chart are both given", "it is one of the two")
			}
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
			if c.Bool("json") {
				return p.nightsJSON(v, ids, from, to)
			}
			return p.nightTables(v, ids, from, to, c.Bool("chart"))
		},
	}
}

// odds prints when the first frost comes at a station.
func (p *program) odds(form *flagReader) error {
	v := form.v
	for _, flag := range []string{"paddock", "from", "to", "chart", "json"} {
		if form.has(flag) {
			form.wrong(flag, "and --odds are both given", "the odds are of a station's whole record")
		}
	}
	station := form.station("station")
	if !form.has("station") {
		if len(v.History.Stations) != 1 {
			form.wrong("station", "is missing", "name the station whose record is asked")
		} else {
			station = v.History.Stations[0].Station
		}
	}
	below := 0.0
	if b := form.quantity("below", fields.Temperature); b != nil {
		if below = *b; below < -15 || below > 5 {
			form.wrong("below", "lies between -15C (5F) and 5C (41F)", "type the line asked about, like -2.2C")
		}
	}
	ready := form.ahead("ready")
	if ready != fields.NoDate {
		now, _ := weather.SeasonDay(v.Today)
		if then, _ := weather.SeasonDay(ready); then != now || ready <= v.Today {
			form.wrong("ready", ready.Words()+" is not a coming day of the season that runs until 30 June", "type a day ahead")
		}
	}
	if err := wordsWrong(form.err()); err != nil {
		return err
	}
	x, err := board.NewOddsSheet(v.History, station, v.StationNights(station), below, ready)
	if err != nil {
		return usagef("the odds at %s cannot be told: %s (`rimegate import` takes years of a station's record at once)", station, whatIsWrong(err))
	}
	return p.painted(func(w writer) error { return x.Text(w, p.width) })
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
				s = orWord(b.Station, "in the paddock")
			case *fields.NoFrost:
				s = "no frost (" + b.Basis + "), " + entries[i].By
			}
			if s != "" && !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return strings.Join(out, "; ")
}
