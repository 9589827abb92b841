package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/hazard/board"
	"rimegate/weather"
)

func offsetCommand(p *program) *cli.Command {
	return &cli.Command{
		Name: "offset", Usage: "learn how much colder a paddock is than a station", ArgsUsage: "PADDOCK",
		Description: strings.TrimSpace(`
Put a thermometer into the paddock for some weeks and bring in its readings
(log reading --in-paddock PADDOCK, or import --paddock PADDOCK FILE). From the
nights read in both places this tells the difference with its interval. Windy
nights hide it: --history, the station's hourly file with wind, keeps the
calm and clear ones. Nothing is stored without --store, which sets the cold
end of the interval.

   rimegate paddock offset --station home north-slough
   rimegate paddock offset --station home --history home.metar --store north-slough`),
		Flags: append(historyFlags("the station's hourly readings with wind, to tell calm and clear nights: `FILE`"),
			text("station", "the `STATION` to compare with (the paddock's own if left out)"),
			yes("store", "set the offset of the paddock from today on (its first one reaches back)"),
		),
		Action: func(c *cli.Context) error { return p.paddockOffset(c) },
	}
}

func (p *program) paddockOffset(c *cli.Context) error {
	f, v, err := p.view(c, question())
	if err != nil {
		return err
	}
	form := newForm(c, v)
	id := form.paddock()
	station := form.station("station")
	var set fields.NightSetting
	if id != "" {
		set = v.History.NightSetting(v.History.Lines(id)[0], v.Today)
		if station == "" && !form.has("station") {
			if len(set.Stations) != 1 {
				form.wrong("station", "is missing", "name the station to compare with; the paddock names none by itself")
			} else {
				station = set.Stations[0]
			}
		}
	}
	if err := wordsWrong(form.err()); err != nil {
		return err
	}
	calm, err := p.calmNights(form, v, station)
	if err != nil {
		return err
	}
	pairs := weather.Pairs(coldest(v.StationNights(station)), coldest(v.PaddockNights(id)), calm)
	var inForce *float64
	if set.OffsetC != 0 && len(set.Stations) == 1 && set.Stations[0] == station {
		inForce = &set.OffsetC
	}
	x, err := board.NewOffsetSheet(v.History, id, station, pairs, calm != nil, inForce)
	if err != nil {
		return usagef("the offset of %s to %s cannot be told: %s; bring in the readings of a thermometer in the paddock with `rimegate log reading --in-paddock --low ... %s` or `rimegate import --paddock %s FILE`", id, station, whatIsWrong(err), id, id)
	}
	if err := p.painted(func(w writer) error { return x.Text(w, p.width) }); err != nil {
		return err
	}
	if !c.Bool("store") {
		p.para("", "  ", "Nothing is stored; --store sets it from today on, and over the nights before if it is the paddock's first.")
		return nil
	}
	offset := x.Cautious()
	name := id
	if have := v.History.Paddock(id); have != nil && have.Name != "" {
		name = have.Name
	}
	note := fmt.Sprintf("learned from %s read in the paddock and at %s", counted(x.Offset.N, "night", "nights"), station)
	l, err := f.Log([]fields.Entry{{On: v.Today, Note: note, Body: &fields.PaddockFacts{Paddock: id, Name: name, Station: station, OffsetC: &offset}}}, false)
	if err != nil {
		return err
	}
	fmt.Fprintln(p.out)
	return p.logged(l)
}

// calmNights tells calm and clear nights by the station's hourly file; nil
// without one.
func (p *program) calmNights(form *flagReader, v *farm.View, station string) (func(fields.Date) bool, error) {
	if !form.has("history") {
		return nil, nil
	}
	lat, lon, err := where(v, station)
	if err != nil {
		return nil, err
	}
	res, err := p.history(form, v)
	if err != nil {
		return nil, err
	}
	calm := farm.CalmNights(res.Observations, lat, lon, v.Loc)
	return func(d fields.Date) bool { return calm[d] }, nil
}

// coldest keeps one reading a night: of several that cover it the coldest
// counts, as it does on the list.
func coldest(nights []weather.NightLow) []weather.NightLow {
	at := map[fields.Date]int{}
	var out []weather.NightLow
	for _, n := range nights {
		if n.LowC == nil || !n.Covers {
			continue
		}
		i, ok := at[n.Night]
		if !ok {
			at[n.Night] = len(out)
			out = append(out, n)
		} else if *n.LowC < *out[i].LowC {
			out[i] = n
		}
	}
	return out
}
