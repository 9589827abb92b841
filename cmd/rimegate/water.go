package main

import "rimegate/hazard/board"

func runWater(r *request) error {
	ask := board.WaterAsk{Herd: r.Text("herd"), Paddock: r.Text("paddock"), Litres: r.litres()}
	if err := r.err(); err != nil {
		return err
	}
	return r.print(board.NewWaterSheet(r.view.Assess(), ask), nil)
}
