package main

import "rimegate/hazard/board"

func runWhy(r *request) error {
	id, err := r.place()
	if err != nil {
		return err
	}
	a, err := r.view.Naming(id)
	if err != nil {
		return err
	}
	f := r.filter()
	json := func() ([]byte, error) { return board.WhyJSON(a, id, f) }
	var e sheet
	if r.Yes("full") {
		e, err = board.Why(a, id, f)
	} else {
		e, err = board.WhyShort(a, id, f, r.Yes("sources"))
	}
	if err != nil {
		return wordsWrong(refusef("%v", err))
	}
	return r.print(e, json)
}
