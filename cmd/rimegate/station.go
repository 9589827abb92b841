package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
)

func stationCommand(p *program) *cli.Command {
	flags := func() []cli.Flag {
		return setUpFlags(
			text("name", "its `NAME`"),
			text("lat", "latitude in degrees (`NUMBER`)"),
			text("lon", "longitude in degrees, west is negative (`NUMBER`)"),
			text("elevation", "`HEIGHT` of the ground above the sea: 610m, 2000ft"),
			text("height", "`HEIGHT` of the thermometer above the ground: 1.5m, 5ft"),
		)
	}
	return &cli.Command{
		Name:  "station",
		Usage: "the thermometers: list, add, change",
		Description: strings.TrimSpace(`
A thermometer at 0.3 m (1 ft) or lower reads the frost of the plants
themselves; one at screen height reads warmer than the plants on a clear
night.

   rimegate station add --name "Yard thermometer" --height 1.5m home`),
		Action: func(c *cli.Context) error { return p.stationList(c) },
		Subcommands: p.setUp("station", flags, p.stationList, p.stationSet,
			`--name "Yard thermometer" --height 1.5m home`, `--height 5ft home`),
	}
}

func (p *program) stationSet(c *cli.Context, add bool) error {
	f, v, err := p.view(c, question())
	if err != nil {
		return err
	}
	form := newForm(c, v)
	form.stores = true
	b := &fields.StationFacts{
		Station: form.name("station"), Name: form.text("name"), Lat: form.number("lat"), Lon: form.number("lon"),
		ElevationM: form.quantity("elevation", fields.Elevation), HeightM: form.quantity("height", fields.Elevation),
	}
	have := v.History.Station(b.Station)
	switch {
	case b.Station == "":
	case add && have != nil:
		form.wrong("", fmt.Sprintf("the station %s is there already", quoted(b.Station)), "change it with `rimegate station set`")
	case !add && have == nil:
		_, err := v.Station(b.Station)
		form.failed("", err)
	case add && b.Name == "":
		form.wrong("name", "is missing", "type a name for it")
	case b.Name == "":
		b.Name = have.Name
	}
	return p.store(c, f, form, b)
}

func (p *program) stationList(c *cli.Context) error {
	_, v, err := p.view(c, question())
	if err != nil {
		return err
	}
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
		return nil
	}
	p.table([]string{"SHORT NAME", "NAME", "HEIGHT", ""}, rows)
	return nil
}
