package main

import (
	"rimegate/cmd/internal/farm"
	"rimegate/hazard/board"
)

func runWater(r *request) error {
	ask := board.WaterAsk{Herd: r.Text("herd"), Paddock: r.Text("paddock"), Litres: farm.Litres(r.Answers), Days: r.days("days", 0, 366)}
	if err := r.err(); err != nil {
		return err
	}
	return r.print(board.NewWaterSheet(r.view.Assess(), ask), nil)
}
