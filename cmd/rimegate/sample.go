package main

import (
	"cmp"

	"rimegate/hazard/board"
)

func runSample(r *request) error {
	ask := board.SampleAsk{Analyte: cmp.Or(r.Text("for"), "nitrate")}
	if w := r.Number("width"); w != nil {
		if !(*w >= 1 && *w <= 100000) {
			r.Wrong("width", "lies between 1 and 100000 ppm NO3-N", "type it like 150")
		}
		if ask.Analyte == "hcn" {
			r.Wrong("width", "is for nitrate", "no mean of HCN results counts")
		}
		ask.WidthPPM = *w
	}
	if err := r.err(); err != nil {
		return err
	}
	id, err := r.place()
	if err != nil {
		return err
	}
	a, err := r.view.Naming(id)
	if err != nil {
		return err
	}
	x, err := board.NewSampleSheet(a, id, ask)
	if err != nil {
		return wordsWrong(refusef("%v", err))
	}
	return r.print(x, nil)
}
