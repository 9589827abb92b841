package main

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/weather"
)

// nightTables prints the nights of paddocks, as tables or drawn on a scale.
func (p *program) nightTables(v *farm.View, ids []string, from, to fields.Date, draw bool) error {
	if len(ids) == 0 {
		fmt.Fprintln(p.out, "No paddock yet.")
	}
	told, anyRebuilt := false, false
	for i, id := range ids {
		if i > 0 {
			fmt.Fprintln(p.out)
		}
		var rows [][]string
		var lows []string // in one unit, where the hours need the room
		var chart []board.ChartNight
		unread, hours := 0, false
		for _, r := range hazard.NightRows(v.History, v.Book, id, from, to) {
			if r.Unread {
				unread++
			}
			low, short := "-", "-"
			if r.HasLow {
				low, short = fields.Temperature.Both(r.LowC), fields.Temperature.In(r.LowC, string(v.Units()))
			}
			word := board.NightWord(&r, v.Today, v.Now.Hour())
			chart = append(chart, board.ChartNight{Row: r, Word: word})
			cold := v.NightHours(r.Entries)
			hours, anyRebuilt = hours || cold.Any(), anyRebuilt || cold.Any() && cold.Rebuilt
			lows = append(lows, short)
			rows = append(rows, []string{r.Night.Beside(v.Today), low, word, hoursCell(cold), nightSources(v.Entries, r.Entries)})
		}
		x := v.History.Paddock(id)
		p.say("%s (%s): %s, %d not read", x.Name, id, counted(len(rows), "night", "nights"), unread)
		switch {
		case len(rows) == 0:
		case draw:
			if err := board.NightChart(p.out, chart, v.Units(), p.width); err != nil {
				return err
			}
		default:
			head := []string{"NIGHT OF", "LOW", "", hoursHead(v.Units()), ""}
			if !hours { // nothing to tell: no column
				head = slices.Delete(head, 3, 4)
				for k := range rows {
					rows[k] = slices.Delete(rows[k], 3, 4)
				}
			} else {
				for k := range rows {
					rows[k][1] = lows[k]
				}
			}
			told = told || hours
			p.table(head, rows)
		}
	}
	if told {
		fmt.Fprintln(p.out)
		p.para("", "  ", hoursWords(v.Units(), anyRebuilt))
	}
	return nil
}

// hoursCell writes the hours of a night; ~ marks those that nobody measured.
func hoursCell(h farm.NightHours) string {
	if !h.Any() {
		return ""
	}
	mark := ""
	if h.Rebuilt {
		mark = "~"
	}
	say := func(v *float64) string {
		if v == nil {
			return "-"
		}
		return mark + strconv.FormatFloat(*v, 'f', 1, 64)
	}
	return say(h.Below0) + " / " + say(h.BelowKill) + " h"
}

// lines are the two thresholds in the farm's unit.
func lines(u board.Units) (freezing, kill, unit string) {
	if u == board.US {
		return "32", "28", "°F"
	}
	return "0", "-2.2", "°C"
}

func hoursHead(u board.Units) string {
	a, b, unit := lines(u)
	return "AT " + a + " / " + b + " " + unit
}

// hoursWords explains the hours below a table of nights.
func hoursWords(u board.Units, rebuilt bool) string {
	a, b, unit := lines(u)
	s := fmt.Sprintf("Hours at or below %s and %s %s at the thermometer, without the paddock's offset.", a, b, unit)
	if rebuilt {
		s += fmt.Sprintf(" ~ marks hours reconstructed from daily highs and lows, not measured: nine of ten within about %.0f h on nights of a first or last frost, %.0f h in steady cold, rather too many than too few.",
			weather.ReconstructedP90, weather.ReconstructedP90All)
	}
	return s + " Hours of frost confirm no kill: only a walk does."
}

// nightsSchema names the form of `nights --json`.
const nightsSchema = "rimegate/nights/1"

type jsonNights struct {
	Schema   string            `json:"schema"`
	Farm     string            `json:"farm"`
	From     string            `json:"from"`
	To       string            `json:"to"`
	Paddocks []jsonNightsOfOne `json:"paddocks"`
}

type jsonNightsOfOne struct {
	Paddock string      `json:"paddock"`
	Name    string      `json:"name"`
	Nights  []jsonNight `json:"nights"`
}

type jsonNight struct {
	Night   string     `json:"night"`
	Word    string     `json:"word"` // as in the table
	LowC    *float64   `json:"low_c"`
	Hours   *jsonHours `json:"hours"`
	Entries []string   `json:"entries"`
}

// jsonHours are the hours of one night at the thermometer. What was reconstructed
// is never under the names of what was measured.
type jsonHours struct {
	Below0           *float64 `json:"measured_below_0,omitempty"`
	BelowKill        *float64 `json:"measured_below_minus_2_2,omitempty"`
	Rebuilt0         *float64 `json:"reconstructed_below_0,omitempty"`
	RebuiltKill      *float64 `json:"reconstructed_below_minus_2_2,omitempty"`
	ErrorFirstFrosts float64  `json:"reconstructed_nine_in_ten_within_h_first_or_last_frost,omitempty"`
	ErrorSteadyCold  float64  `json:"reconstructed_nine_in_ten_within_h_steady_cold,omitempty"`
}

func (p *program) nightsJSON(v *farm.View, ids []string, from, to fields.Date) error {
	doc := jsonNights{Schema: nightsSchema, Farm: board.Clean(v.History.Farm.Name), From: from.String(), To: to.String(), Paddocks: []jsonNightsOfOne{}}
	for _, id := range ids {
		one := jsonNightsOfOne{Paddock: id, Name: board.Clean(v.History.Paddock(id).Name), Nights: []jsonNight{}}
		for _, r := range hazard.NightRows(v.History, v.Book, id, from, to) {
			n := jsonNight{Night: r.Night.String(), Word: board.NightWord(&r, v.Today, v.Now.Hour()), Entries: append([]string{}, r.Entries...)}
			if r.HasLow {
				n.LowC = &r.LowC
			}
			switch h := v.NightHours(r.Entries); {
			case h.Below0 == nil && h.BelowKill == nil:
			case h.Rebuilt:
				n.Hours = &jsonHours{Rebuilt0: h.Below0, RebuiltKill: h.BelowKill, ErrorFirstFrosts: weather.ReconstructedP90, ErrorSteadyCold: weather.ReconstructedP90All}
			default:
				n.Hours = &jsonHours{Below0: h.Below0, BelowKill: h.BelowKill}
			}
			one.Nights = append(one.Nights, n)
		}
		doc.Paddocks = append(doc.Paddocks, one)
	}
	e := json.NewEncoder(p.out)
	e.SetIndent("", "  ")
	return e.Encode(doc)
}
