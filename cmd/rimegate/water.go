package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
	"rimegate/hazard/board"
)

func waterCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "water",
		Usage: "nitrate of the stock water, added to the feed's",
		Description: strings.TrimSpace(`
The water results on record with what the rules say of each, and for every
herd the grams of nitrate a head takes in a day from feed and water, at both
ends of its intake, with summer litres. Untested water is said, never taken
for clean.

   rimegate water
   rimegate water --herd pairs
   rimegate water --herd ewes --paddock creek --litres 12L`),
		Flags: []cli.Flag{
			text("herd", "this `HERD` only"),
			text("paddock", "the herds on this `PADDOCK`; with --herd, as if the herd stood there"),
			text("litres", "what a head drinks in a day, instead of the published figure: `AMOUNT` like 60L or 16gal"),
		},
		Action: func(c *cli.Context) error {
			_, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			form := newForm(c, v)
			ask := board.WaterAsk{Herd: form.herd("herd"), Litres: form.litres("litres")}
			if s := form.text("paddock"); s != "" {
				id, err := v.Paddock(s)
				form.failed("paddock", err)
				ask.Paddock = id
			}
			if err := wordsWrong(form.err()); err != nil {
				return err
			}
			return p.painted(func(w writer) error { return board.NewWaterSheet(v.Assess(), ask).Text(w, p.width) })
		},
	}
}

// litres reads what a head drinks in a day; 0 if the flag is not given.
func (f *flagReader) litres(flag string) float64 {
	s := f.text(flag)
	if s == "" {
		return 0
	}
	t := strings.ToLower(strings.ReplaceAll(s, " ", ""))
	factor := 0.0
	for _, u := range []struct {
		unit   string
		factor float64
	}{{"litres", 1}, {"liters", 1}, {"gallons", 3.785411784}, {"gal", 3.785411784}, {"l", 1}} {
		if strings.HasSuffix(t, u.unit) {
			t, factor = strings.TrimSuffix(t, u.unit), u.factor
			break
		}
	}
	v, err := fields.ParseNumber(t)
	switch {
	case factor == 0:
		f.wrong(flag, quoted(s)+" has no unit", "type it like 60L or 16gal (US gallons)")
		return 0
	case err != nil:
		f.wrong(flag, quoted(s)+" is no amount of water", "type it like 60L or 16gal (US gallons)")
		return 0
	}
	if v *= factor; !(v >= 0.5 && v <= 300) {
		f.wrong(flag, quoted(s)+" is no amount a head drinks in a day", "type litres or US gallons, like 60L or 16gal")
		return 0
	}
	return v
}
