package farm

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard/board"
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
	ask.OnHandKg = v.byLot(b, "on_hand", ask.Feeds, fields.Weight.Parse)
	ask.MinTDN, ask.MinProt = percentOf(b, "min_tdn"), percentOf(b, "min_protein")
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
	if err := b.Err(); err != nil {
		return nil, err
	}
	return board.NewBlendSheet(v.Assess(), ask)
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

// percent reads 58 or 58%: beside these flags there is no other unit.
func percent(s string) (float64, error) {
	v, err := fields.ParseNumber(strings.TrimSpace(strings.TrimSuffix(s, "%")))
	if err == nil && !(v > 0 && v <= 100) {
		err = fmt.Errorf("%s does not lie between 0 and 100 %%", quote(s))
	}
	return v, err
}

func percentOf(b *form.Answers, name string) *float64 {
	s := b.Text(name)
	if s == "" {
		return nil
	}
	v, err := percent(s)
	b.Failed(name, err)
	return &v
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
			"type it in digits, like "+strconv.Itoa(def))
		return def
	}
	return n
}

// Litres reads what a head drinks in a day; 0 if it is not said.
func Litres(b *form.Answers) float64 {
	s := b.Text("litres")
	if s == "" {
		return 0
	}
	number, factor := strings.ToLower(strings.ReplaceAll(s, " ", "")), 0.0
	for _, unit := range []string{"litres", "liters", "gallons", "gal", "l"} {
		if rest, ok := strings.CutSuffix(number, unit); ok {
			number, factor = rest, 1
			if unit[0] == 'g' {
				factor = 3.785411784 // US gallon, exact
			}
			break
		}
	}
	v, err := fields.ParseNumber(number)
	switch {
	case factor == 0:
		b.Wrong("litres", quote(s)+" has no unit", "type it like 60L or 16gal (US gallons)")
	case err != nil:
		b.Wrong("litres", quote(s)+" is not an amount of water", "type it like 60L or 16gal (US gallons)")
	case !(v*factor >= 0.5 && v*factor <= 300):
		b.Wrong("litres", quote(s)+" is not what a head drinks in a day", "type litres or US gallons, like 60L or 16gal")
	default:
		return v * factor
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
