package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
)

func stationCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "station",
		Usage: "the thermometers: list, add, change",
		Description: strings.TrimSpace(`
A thermometer at 0.3 m (1 ft) or lower reads the frost of the plants
themselves; one at screen height reads warmer than the plants on a clear
night.

   rimegate station add --name "Yard thermometer" --height 1.5m home`),
		Action:      p.listed(stations),
		Subcommands: p.setUp(stations),
	}
}

var stations = thing{
	kind:       fields.KindStation,
	addExample: `--name "Yard thermometer" --height 1.5m home`,
	setExample: `--height 5ft home`,
	list:       (*program).stationList,
	find:       (*farm.View).Station,
	facts: func(v *farm.View, id string) fields.Body {
		if x := v.History.Station(id); x != nil {
			return x
		}
		return nil
	},
}

func (p *program) stationList(v *farm.View) {
	u := string(v.Units())
	var rows [][]string
	for _, s := range v.History.Stations {
		height, last := "", "no reading yet"
		if s.HeightM != nil {
			height = fields.Elevation.In(*s.HeightM, u)
		}
		for _, f := range v.History.OfStation(s.Station) {
			if b, ok := f.Body.(*fields.Reading); ok {
				last = "last read: night of " + f.Date.Words()
				if b.LowC != nil {
					last += ", " + fields.Temperature.Both(*b.LowC)
				}
			}
		}
		rows = append(rows, []string{s.Station, s.Name, height, last})
	}
	if len(rows) == 0 {
		fmt.Fprintln(p.out, "No station yet: rimegate station add --name \"Yard thermometer\" --height 1.5m home")
		return
	}
	p.table([]string{"SHORT NAME", "NAME", "HEIGHT", ""}, rows)
}
