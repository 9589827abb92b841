package main

import (
	"fmt"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
)

var stations = thing{
	kind: fields.KindStation,
	list: listStations,
	find: (*farm.View).Station,
	facts: func(v *farm.View, id string) fields.Body {
		if x := v.History.Station(id); x != nil {
			return x
		}
		return nil
	},
}

func listStations(r *request) {
	u := string(r.view.Units())
	var rows [][]string
	for _, s := range r.view.History.Stations {
		height, last := "", "no reading yet"
		if s.HeightM != nil {
			height = fields.Elevation.In(*s.HeightM, u)
		}
		for _, f := range r.view.History.OfStation(s.Station) {
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
		fmt.Fprintln(r.out, "No station yet: rimegate station add --name \"Yard thermometer\" --height 1.5m home")
		return
	}
	r.table([]string{"SHORT NAME", "NAME", "HEIGHT", ""}, rows)
}
