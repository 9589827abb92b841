package main

import "rimegate/hazard/board"

func runWhy(r *request) error {
	id, err := r.place()
	if err != nil {
		return err
	}
	a, f := r.view.Assess(), r.filter()
	e, err := board.Why(a, id, f)
	if err != nil {
		return wordsWrong(refusef("%v", err))
	}
	return r.print(e, func() ([]byte, error) { return board.WhyJSON(a, id, f) })
}
