package main

import (
	"errors"

	"rimegate/hazard/board"
)

func runBlend(r *request) error {
	x, err := r.view.Blend(r.Answers)
	var refused board.BlendRefused
	if errors.As(err, &refused) {
		return wordsWrong(refusef("%v", err))
	}
	if err != nil {
		return wordsWrong(err)
	}
	if err := r.print(x, nil); err != nil {
		return err
	}
	if x.None != nil {
		return ends(statusRefused)
	}
	return nil
}
