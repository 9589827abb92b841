package hazard_test

import (
	"fmt"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// season invents a farm of n paddocks with one season of entries each.
func season(n int) []fields.Entry {
	loc, _ := fields.LoadZone("America/Regina")
	var out []fields.Entry
	seq := 0
	add := func(d fields.Date, b fields.Body) {
		seq++
		out = append(out, fields.Entry{ID: fmt.Sprintf("01J%023d", seq), Recorded: d.At(7, 0, loc), By: "bench", On: d, Body: b})
	}
	day := func(m time.Month, d int) fields.Date { return fields.MakeDate(2026, m, d) }
	num := func(v float64) *float64 { return &v }
	yes := true
	add(day(5, 1), &fields.Farm{Name: "Bench", Zone: "America/Regina"})
	add(day(5, 1), &fields.StationFacts{Station: "yard", Name: "Yard"})
	for d := day(8, 15); d <= day(10, 6); d++ {
		low := 6.0
		if d.Sub(day(9, 10))%9 == 0 && d >= day(9, 10) {
			low = -1.5
		}
		add(d, &fields.Reading{Station: "yard", Night: d, LowC: &low})
	}
	for i := range n {
		p := fmt.Sprintf("p%04d", i)
		add(day(5, 2), &fields.PaddockFacts{Paddock: p, Name: "Paddock " + p, Station: "yard"})
		add(day(6, 10), &fields.Sown{Paddock: p, NewStand: &yes, Species: []fields.SpeciesShare{{Species: "sorghum-sudangrass"}, {Species: "oats"}}})
		for k := range 12 {
			add(day(8, 1).Add(5*k), &fields.Walk{Paddock: p, Killed: "none", ShortestCM: num(80 + float64(k)), ShootsCM: num(0), WeedsChecked: &yes})
		}
		if i%3 == 0 {
			add(day(8, 20), &fields.Cut{Paddock: p, Use: "hay"})
			add(day(8, 26), &fields.Lab{Paddock: p, SampledOn: day(8, 26), Analyte: "nitrate", Values: fields.Values(600), Form: "NO3-N", Unit: "ppm", Basis: "dm", Method: "lab", Stems: num(20), Spots: num(10), CutCM: num(10)})
		}
	}
	return out
}

// BenchmarkAssess answers for 1,000 paddocks, five uses and six classes. Its
// baseline in the same run is the fold alone: read the ratio.
func BenchmarkAssess(b *testing.B) {
	entries := season(1000)
	loc, _ := fields.LoadZone("America/Regina")
	on := fields.MakeDate(2026, 10, 6)
	view := fields.View{On: on, KnownAt: on.At(12, 0, loc)}
	book := rules.Default()
	b.Run("fold", func(b *testing.B) {
		for b.Loop() {
			fields.Fold(entries, view)
		}
	})
	b.Run("fold+assess", func(b *testing.B) {
		for b.Loop() {
			a := hazard.Assess(fields.Fold(entries, view), book)
			if len(a.Paddocks) != 1000 {
				b.Fatal("paddocks lost")
			}
		}
	})
}
