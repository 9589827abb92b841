package main

import (
	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

func runToday(r *request) error {
	shapes := 0
	for _, s := range []string{"json", "csv", "stream"} {
		if r.Yes(s) {
			shapes++
		}
	}
	if shapes > 1 {
		return usagef("--json, --csv and --stream exclude each other; give one")
	}
	if r.Has("lang") && (shapes > 0 || r.Yes("full")) {
		r.Wrong("lang", "is for the morning's page", "leave it out, or --full, --json, --csv and --stream")
	}
	tongue := r.tongue()
	if err := r.err(); err != nil {
		return err
	}
	f := r.filter()
	var err error
	if r.view, err = r.view.Of(f.Paddock); err != nil {
		return err
	}
	if p := r.view.History.Paddock(f.Paddock); p != nil && p.Retired != fields.NoDate {
		return wordsWrong(refusef("--paddock: %v", board.GoneWords(r.view.History, p)))
	}
	if r.Yes("stream") {
		if err = board.StreamJSON(r.out, r.view.History, r.view.Book, f); err != nil || !r.Yes("gate") {
			return err
		}
	}
	a, err := r.view.Naming(f.Paddock)
	if err != nil {
		return err
	}
	switch {
	case r.Yes("stream"): // is written
	case r.Yes("csv"):
		err = board.CSV(r.out, a, f)
	case r.Yes("full") && !r.Yes("json"):
		err = r.print(board.Today(a, f), nil)
	default:
		err = r.print(board.NewPage(a, f, tongue), func() ([]byte, error) { return board.TodayJSON(a, f) })
	}
	if err == nil && r.Yes("gate") {
		err = gate(board.Today(a, f).Worst)
	}
	return err
}

// tongue is the catalogue of the language asked for.
func (r *request) tongue() board.Catalog {
	if !r.Has("lang") {
		return nil
	}
	c, err := board.CatalogFor(r.Text("lang"))
	if err != nil {
		r.Failed("lang", err)
	}
	return c
}

func gate(worst hazard.Flag) error {
	switch worst {
	case hazard.Clear:
		return nil
	case hazard.Caution:
		return ends(statusCaution)
	}
	return ends(statusHold) // a flag that was never decided is no way through
}

// bytes writes a finished document.
func (p *program) bytes(b []byte, err error) error {
	if err != nil {
		return err
	}
	_, err = p.out.Write(b)
	return err
}
