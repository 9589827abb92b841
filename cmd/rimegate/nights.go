package main

import (
	"cmp"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard/board"
	"rimegate/weather"
)

// nightsShown is how many nights are shown when nobody says from when.
const nightsShown = 14

func runNights(r *request) error {
	if err := r.read(); err != nil {
		return err
	}
	if r.Yes("odds") {
		return runOdds(r)
	}
	for _, name := range []string{"station", "below", "ready"} {
		if r.Has(name) {
			r.Wrong(name, "belongs to --odds", "add --odds, or leave it out")
		}
	}
	if r.Yes("chart") && r.Yes("json") {
		r.Wrong("json", "and --chart are both given", "it is one of the two")
	}
	if err := r.err(); err != nil {
		return err
	}
	from, to := r.Date("from"), r.Date("to")
	if to == fields.NoDate {
		to = r.view.Today
	}
	if from == fields.NoDate {
		from = to.Add(1 - nightsShown)
	}
	ids := []string{r.Text("paddock")}
	if ids[0] == "" {
		ids = nil
		for _, x := range r.view.History.Standing() {
			ids = append(ids, x.ID)
		}
	}
	if to < from {
		return usagef("--to %s is before --from %s", to.Words(), from.Words())
	}
	if to.Sub(from) > 370 {
		return usagef("--from and --to are more than a year apart; ask for one season")
	}
	if r.Yes("json") {
		return r.nightsJSON(r.view, ids, from, to)
	}
	return r.nightTables(r.view, ids, from, to, r.Yes("chart"))
}

// runOdds prints when the first frost comes at a station.
func runOdds(r *request) error {
	for _, name := range []string{"paddock", "from", "to", "chart", "json"} {
		if r.Has(name) {
			r.Wrong(name, "and --odds are both given", "the odds are of a station's whole record")
		}
	}
	station := r.Text("station")
	if !r.Has("station") {
		if all := r.view.History.Stations; len(all) == 1 {
			station = all[0].Station
		} else {
			r.Wrong("station", "is missing", "name the station whose record is asked")
		}
	}
	below := 0.0
	if b := r.Number("below"); b != nil {
		if below = *b; below < -15 || below > 5 {
			r.Wrong("below", "lies between -15C (5F) and 5C (41F)", "type the line asked about, like -2.2C")
		}
	}
	ready := r.Date("ready")
	if ready != fields.NoDate {
		now, _ := weather.SeasonDay(r.view.Today)
		if then, _ := weather.SeasonDay(ready); then != now || ready <= r.view.Today {
			r.Wrong("ready", ready.Words()+" is not a coming day of the season that runs until 30 June", "type a day ahead")
		}
	}
	if err := r.err(); err != nil {
		return err
	}
	x, err := board.NewOddsSheet(r.view.History, station, r.view.StationNights(station), below, ready)
	if err != nil {
		return usagef("the odds at %s cannot be told: %s (`rimegate import` takes years of a station's record at once)", station, whatIsWrong(err))
	}
	return r.print(x, nil)
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
				s = cmp.Or(b.Station, "in the paddock")
			case *fields.NoFrost:
				s = "no frost (" + string(b.Basis) + "), " + entries[i].By
			}
			if s != "" && !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return strings.Join(out, "; ")
}
