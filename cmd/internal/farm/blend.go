package farm

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
)

// Blend works out what a filled-in form of blends asks. The error is board.BlendRefused
// where a feed cannot be used, else what is wrong with the form.
func (v *View) Blend(b *form.Answers) (*board.BlendSheet, error) {
	ask := board.BlendAsk{
		Herd: b.Text("herd"), Feeds: b.List("feed"), UseUp: b.Yes("use_up"), Litres: Litres(b), Longest: b.Text("longest"),
	}
	b.Need("herd")
	b.Need("feed")
	for i, id := range ask.Feeds {
		if slices.Contains(ask.Feeds[:i], id) {
			b.Wrong("feed", quote(id)+" is named twice", "")
		}
	}
	if b.Has("days") {
		ask.Days = Days(b, "days", 0, 3660)
	}
	ask.Cost = v.byLot(b, "cost", ask.Feeds, price)
	ask.TDN = v.byLot(b, "tdn", ask.Feeds, percent)
	ask.Protein = v.byLot(b, "protein", ask.Feeds, percent)
	ask.DM = v.byLot(b, "dm", ask.Feeds, percent)
	ask.OnHandKg = v.byLot(b, "on_hand", ask.Feeds, func(s string) (float64, error) { return fields.Weight.ParseIn(s, v.UnitSystem()) })
	ask.MinTDN, ask.MinProt = b.Number("min_tdn"), b.Number("min_protein")
	if ask.Longest != "" {
		if !slices.Contains(ask.Feeds, ask.Longest) {
			b.Wrong("longest", quote(ask.Longest)+" is not among the feeds", nameOne(b))
		}
		if ask.UseUp || len(ask.Cost) > 0 {
			b.Wrong("longest", either(b.Line, "and --use-up or --cost are both given",
				"and using up hot feed, or a cost, are both said"), "a blend has one aim")
		}
	}
	if kg := b.Number("step"); kg != nil {
		if !(*kg >= 0.1 && *kg <= 1000) {
			b.Wrong("step", "lies between 0.1kg and 1000kg", "type the step of the scale, like 5kg")
		}
		ask.StepKg = *kg
	}
	ask.Table, ask.Every = b.Text("table"), rules.Default()
	if b.Has("target") {
		var err error
		ask.Target, err = fields.ParseNitrateTarget(b.Text("target"))
		b.Failed("target", err)
	}
	if err := b.Err(); err != nil {
		return nil, err
	}
	a, err := v.Naming(ask.Feeds...)
	if err != nil {
		return nil, err
	}
	return board.NewBlendSheet(a, ask)
}

func nameOne(b *form.Answers) string {
	return either(b.Line, "name one of --feed", "name one of the lots to mix")
}

// byLot reads a list of LOT=VALUE.
func (v *View) byLot(
	b *form.Answers, name string, feeds []string, read func(string) (float64, error),
) map[string]float64 {
	out := map[string]float64{}
	for _, item := range b.List(name) {
		lot, text, ok := strings.Cut(item, "=")
		if !ok {
			b.Wrong(name, quote(item)+" names no lot",
				"type it like "+either(b.Line, "--"+form.FlagOf(name)+" ", "")+"LOT=VALUE")
			continue
		}
		id, err := v.Lot(lot)
		if err != nil {
			b.Failed(name, err)
			continue
		}
		if !slices.Contains(feeds, id) {
			b.Wrong(name, quote(id)+" is not among the feeds", nameOne(b))
			continue
		}
		if _, twice := out[id]; twice {
			b.Wrong(name, quote(id)+" is given twice", "")
		}
		n, err := read(strings.TrimSpace(text))
		b.Failed(name, err)
		out[id] = n
	}
	return out
}

func price(s string) (float64, error) {
	v, err := fields.ParseNumber(s)
	if err == nil && v < 0 {
		err = fmt.Errorf("%s is below zero", quote(s))
	}
	return v, err
}

func percent(s string) (float64, error) {
	v, err := fields.Percentage.Parse(s)
	if err == nil && v == 0 {
		err = fmt.Errorf("%s is nothing", quote(s))
	}
	return v, err
}

// Days reads a number of days from 1 to most; def if it is not said.
func Days(b *form.Answers, name string, def, most int) int {
	s := b.Text(name)
	if s == "" {
		return def
	}
	n, err := strconv.Atoi(strings.TrimSpace(s))
	if err != nil || n < 1 || n > most {
		b.Wrong(name, quote(s)+" is not a number of days from 1 to "+strconv.Itoa(most),
			"type it in digits, like "+strconv.Itoa(cmp.Or(def, min(30, most))))
		return def
	}
	return n
}

// Litres is what a head drinks in a day; 0 if it is not said.
func Litres(b *form.Answers) float64 {
	if l := b.Number("litres"); l != nil {
		return *l
	}
	return 0
}

// either chooses the command line's sentence or the screens'.
func either(line bool, onLine, onScreen string) string {
	if line {
		return onLine
	}
	return onScreen
}

func quote(s string) string { return strconv.Quote(board.Clean(s)) }
