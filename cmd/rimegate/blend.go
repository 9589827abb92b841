package main

import (
	"errors"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
	"rimegate/hazard/board"
)

func blendCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "blend",
		Usage: "mix feeds so that the diet stays below the nitrate line",
		Description: strings.TrimSpace(`
Works out a mixture of lots for a herd that meets the nitrate line with the
water counted in, the tables' largest shares, energy and protein if asked,
and what is on hand. Without prices it uses up as much as may be of what is
too hot by itself. A blend clears no lot: the flags stay what they are.

   rimegate blend --feed bench-hay --feed oat-hay --herd yearlings
   rimegate blend --feed bench-hay,oat-hay --herd pairs --days 90 --cost bench-hay=60,oat-hay=110
   rimegate blend --feed bench-hay,oat-hay --herd pairs --longest oat-hay --step 5kg`),
		Flags: []cli.Flag{
			list("feed", "a `LOT` to mix"),
			text("herd", "the `HERD` that eats it"),
			text("days", "for how many `DAYS` it must last"),
			list("cost", "what a tonne as fed costs: `LOT=PRICE`"),
			list("tdn", "energy of a lot, percent TDN of dry matter: `LOT=PERCENT`"),
			list("protein", "crude protein of a lot, percent of dry matter: `LOT=PERCENT`"),
			list("dm", "dry matter of a lot, instead of the journal's: `LOT=PERCENT`"),
			list("on-hand", "what there is of a lot as fed, instead of the journal's: `LOT=WEIGHT` like oat-hay=20t"),
			text("min-tdn", "the least energy of the mixture, `PERCENT` TDN"),
			text("min-protein", "the least protein of the mixture, `PERCENT`"),
			text("longest", "make this `LOT` last: as little of it as the limits allow"),
			yes("use-up", "use as much as may be of what is too hot by itself, whatever it costs"),
			text("litres", "what a head drinks in a day: `AMOUNT` like 60L or 16gal"),
			text("step", "weigh a day's load in steps of this `WEIGHT`, like 5kg"),
		},
		Action: func(c *cli.Context) error {
			_, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			form := newForm(c, v)
			ask := board.BlendAsk{Herd: form.herd("herd"), UseUp: form.yes("use-up"), Litres: form.litres("litres")}
			if !form.has("herd") {
				form.must("herd", "name the herd that eats it")
			}
			for _, s := range form.list("feed") {
				id, err := v.Lot(s)
				form.failed("feed", err)
				if err == nil && slices.Contains(ask.Feeds, id) {
					form.wrong("feed", quoted(id)+" is named twice", "")
				}
				ask.Feeds = append(ask.Feeds, id)
			}
			if len(form.list("feed")) == 0 {
				form.wrong("feed", "is missing", "name the lots to mix, like --feed bench-hay,oat-hay")
			}
			if form.has("days") {
				ask.Days = form.daysFlag("days", 0, 3660)
			}
			price := func(s string) (float64, string) {
				v, err := fields.ParseNumber(s)
				if err != nil {
					return 0, err.Error()
				}
				if v < 0 {
					return 0, quoted(s) + " is below zero"
				}
				return v, ""
			}
			ask.Cost = form.byLot("cost", ask.Feeds, price)
			ask.TDN = form.byLot("tdn", ask.Feeds, percent)
			ask.Protein = form.byLot("protein", ask.Feeds, percent)
			ask.DM = form.byLot("dm", ask.Feeds, percent)
			ask.OnHandKg = form.byLot("on-hand", ask.Feeds, func(s string) (float64, string) {
				kg, err := fields.Weight.Parse(s)
				if err != nil {
					return 0, err.Error()
				}
				return kg, ""
			})
			ask.MinTDN, ask.MinProt = form.percent("min-tdn"), form.percent("min-protein")
			if ask.Longest = form.lot("longest"); ask.Longest != "" && !slices.Contains(ask.Feeds, ask.Longest) {
				form.wrong("longest", quoted(ask.Longest)+" is not among the feeds", "name one of --feed")
			}
			if ask.Longest != "" && (ask.UseUp || len(ask.Cost) > 0) {
				form.wrong("longest", "and --use-up or --cost are both given", "a blend has one aim")
			}
			if ask.UseUp && len(ask.Cost) > 0 {
				ask.Cost = form.byLot("cost", ask.Feeds, price) // shown, not aimed at
			}
			if kg := form.quantity("step", fields.Weight); kg != nil {
				if !(*kg >= 0.1 && *kg <= 1000) {
					form.wrong("step", "lies between 0.1kg and 1000kg", "type the step of the scale, like 5kg")
				}
				ask.StepKg = *kg
			}
			if err := wordsWrong(form.err()); err != nil {
				return err
			}
			x, err := board.NewBlendSheet(v.Assess(), ask)
			var refused board.BlendRefused
			if errors.As(err, &refused) {
				return wordsWrong(refusef("%v", err))
			}
			if err != nil {
				return err
			}
			if err := p.painted(func(w writer) error { return x.Text(w, p.width) }); err != nil {
				return err
			}
			if x.None != nil {
				return gateError(statusRefused)
			}
			return nil
		},
	}
}

// byLot reads a list of LOT=VALUE.
func (f *flagReader) byLot(flag string, feeds []string, read func(string) (float64, string)) map[string]float64 {
	out := map[string]float64{}
	for _, item := range f.list(flag) {
		name, val, ok := strings.Cut(item, "=")
		if !ok {
			f.wrong(flag, quoted(item)+" names no lot", "type it like --"+flag+" LOT=VALUE")
			continue
		}
		id, err := f.v.Lot(name)
		if err != nil {
			f.failed(flag, err)
			continue
		}
		if !slices.Contains(feeds, id) {
			f.wrong(flag, quoted(id)+" is not among the feeds", "name one of --feed")
			continue
		}
		v, wrong := read(strings.TrimSpace(val))
		if wrong != "" {
			f.wrong(flag, wrong, "")
			continue
		}
		if _, twice := out[id]; twice {
			f.wrong(flag, quoted(id)+" is given twice", "")
		}
		out[id] = v
	}
	return out
}

// percent reads 58 or 58%: beside these flags there is no other unit.
func percent(s string) (float64, string) {
	v, err := fields.ParseNumber(strings.TrimSpace(strings.TrimSuffix(s, "%")))
	if err != nil {
		return 0, err.Error()
	}
	if !(v > 0 && v <= 100) {
		return 0, quoted(s) + " does not lie between 0 and 100 %"
	}
	return v, ""
}

func (f *flagReader) percent(flag string) *float64 {
	s := f.text(flag)
	if s == "" {
		return nil
	}
	v, wrong := percent(s)
	if wrong != "" {
		f.wrong(flag, wrong, "")
	}
	return &v
}
