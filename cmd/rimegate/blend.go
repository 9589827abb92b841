package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard/board"
)

func runBlend(r *request) error {
	ask := board.BlendAsk{Herd: r.Text("herd"), Feeds: r.List("feed"), UseUp: r.Yes("use_up"), Litres: r.litres(), Longest: r.Text("longest")}
	r.Need("herd")
	r.Need("feed")
	for i, id := range ask.Feeds {
		if slices.Contains(ask.Feeds[:i], id) {
			r.Wrong("feed", quoted(id)+" is named twice", "")
		}
	}
	if r.Has("days") {
		ask.Days = r.days("days", 0, 3660)
	}
	ask.Cost = r.byLot("cost", ask.Feeds, price)
	ask.TDN = r.byLot("tdn", ask.Feeds, percent)
	ask.Protein = r.byLot("protein", ask.Feeds, percent)
	ask.DM = r.byLot("dm", ask.Feeds, percent)
	ask.OnHandKg = r.byLot("on_hand", ask.Feeds, fields.Weight.Parse)
	ask.MinTDN, ask.MinProt = r.percent("min_tdn"), r.percent("min_protein")
	if ask.Longest != "" {
		if !slices.Contains(ask.Feeds, ask.Longest) {
			r.Wrong("longest", quoted(ask.Longest)+" is not among the feeds", "name one of --feed")
		}
		if ask.UseUp || len(ask.Cost) > 0 {
			r.Wrong("longest", "and --use-up or --cost are both given", "a blend has one aim")
		}
	}
	if kg := r.Number("step"); kg != nil {
		if !(*kg >= 0.1 && *kg <= 1000) {
			r.Wrong("step", "lies between 0.1kg and 1000kg", "type the step of the scale, like 5kg")
		}
		ask.StepKg = *kg
	}
	if err := r.err(); err != nil {
		return err
	}
	x, err := board.NewBlendSheet(r.view.Assess(), ask)
	var refused board.BlendRefused
	if errors.As(err, &refused) {
		return wordsWrong(refusef("%v", err))
	}
	if err != nil {
		return err
	}
	if err := r.print(x, nil); err != nil {
		return err
	}
	if x.None != nil {
		return ends(statusRefused)
	}
	return nil
}

// byLot reads a list of LOT=VALUE.
func (r *request) byLot(name string, feeds []string, read func(string) (float64, error)) map[string]float64 {
	out := map[string]float64{}
	for _, item := range r.List(name) {
		lot, text, ok := strings.Cut(item, "=")
		if !ok {
			r.Wrong(name, quoted(item)+" names no lot", "type it like --"+r.flags.Field(name).Flag+" LOT=VALUE")
			continue
		}
		id, err := r.view.Lot(lot)
		if err != nil {
			r.Failed(name, err)
			continue
		}
		if !slices.Contains(feeds, id) {
			r.Wrong(name, quoted(id)+" is not among the feeds", "name one of --feed")
			continue
		}
		if _, twice := out[id]; twice {
			r.Wrong(name, quoted(id)+" is given twice", "")
		}
		v, err := read(strings.TrimSpace(text))
		r.Failed(name, err)
		out[id] = v
	}
	return out
}

func price(s string) (float64, error) {
	v, err := fields.ParseNumber(s)
	if err == nil && v < 0 {
		err = fmt.Errorf("%s is below zero", quoted(s))
	}
	return v, err
}

// percent reads 58 or 58%: beside these flags there is no other unit.
func percent(s string) (float64, error) {
	v, err := fields.ParseNumber(strings.TrimSpace(strings.TrimSuffix(s, "%")))
	if err == nil && !(v > 0 && v <= 100) {
		err = fmt.Errorf("%s does not lie between 0 and 100 %%", quoted(s))
	}
	return v, err
}

func (r *request) percent(name string) *float64 {
	s := r.Text(name)
	if s == "" {
		return nil
	}
	v, err := percent(s)
	r.Failed(name, err)
	return &v
}
