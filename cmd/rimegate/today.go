package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// askFlags say for which day, and with what was known when, is asked.
func askFlags() []cli.Flag {
	return []cli.Flag{
		text("on", "the list of this `DAY` (today if left out; a coming day holds if nothing else happens)"),
		text("known-at", "with only what was written down by then: `TIME` like \"17-Sep-2026 06:40\""),
		text("class", "for this `CLASS` only: bred-cattle, young-cattle, open-cattle, sheep, goats or horses"),
		text("use", "for this `USE`: graze, green-chop, swath-graze, cut-hay, cut-silage or feed"),
	}
}

func todayCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "today",
		Usage: "the morning list: may they go in? Worst first",
		Description: strings.TrimSpace(`
One line a paddock, worst first, for the classes of the farm's herds and for
grazing, unless asked otherwise. Stock that must come out now stands on top.

   rimegate today
   rimegate today --class sheep --use swath-graze
   rimegate today --on yesterday --known-at "yesterday 06:40"
   rimegate today --gate --class bred-cattle --paddock creek && open-the-gate`),
		Flags: append(askFlags(),
			text("paddock", "this `PADDOCK` (or lot) only"),
			yes("json", "as JSON (schema rimegate/today/1), for programs"),
			yes("csv", "as CSV, for spreadsheets"),
			yes("stream", "as JSON, one line a paddock, in order of short names"),
			yes("gate", "end with status 0 for clear, 10 for caution, 20 for hold, by the worst flag asked about"),
		),
		Action: func(c *cli.Context) error {
			_, v, f, err := p.ask(c)
			if err != nil {
				return err
			}
			a := v.Assess()
			shape := 0
			for _, s := range []string{"json", "csv", "stream"} {
				if c.Bool(s) {
					shape++
				}
			}
			if shape > 1 {
				return usagef("--json, --csv and --stream exclude each other; give one")
			}
			switch {
			case c.Bool("json"):
				err = p.bytes(board.TodayJSON(a, f))
			case c.Bool("stream"):
				err = board.StreamJSON(p.out, a, f)
			case c.Bool("csv"):
				err = board.CSV(p.out, a, f)
			default:
				err = p.painted(func(w writer) error { return board.Today(a, f).Text(w, p.width) })
			}
			if err != nil {
				return err
			}
			if c.Bool("gate") {
				return gate(board.Today(a, f).Worst)
			}
			return nil
		},
	}
}

func gate(worst hazard.Flag) error {
	switch worst {
	case hazard.Clear:
		return nil
	case hazard.Caution:
		return gateError(statusCaution)
	}
	return gateError(statusHold) // a flag that was never decided is no way through
}

// ask reads the flags of a question, the view that answers it and the filter.
func (p *program) ask(c *cli.Context) (*farm.Farm, *farm.View, board.Filter, error) {
	var filter board.Filter
	f, v, err := p.view(c, question())
	if err != nil {
		return nil, nil, filter, err
	}
	form := newForm(c, v)
	q := farm.Question{On: form.day("on"), KnownAt: form.knownAt()}
	if s := form.one("class", classWords()...); s != "" {
		if cl, ok := hazard.ParseClass(s); ok {
			filter.Class = &cl
		}
	}
	if s := form.one("use", useWords()...); s != "" {
		if u, ok := hazard.ParseUse(s); ok {
			filter.Use = &u
		}
	}
	if err := wordsWrong(form.err()); err != nil {
		return nil, nil, filter, err
	}
	if q != (farm.Question{}) {
		if v, err = f.View(q); err != nil {
			return nil, nil, filter, err
		}
	}
	if s, ok := value(c, "paddock"); ok {
		id, err := v.PaddockOrLot(s)
		if err != nil {
			return nil, nil, filter, wordsWrong(err)
		}
		filter.Paddock = id
	}
	return f, v, filter, nil
}

// wordsWrong makes a usage error of a refusal where nothing was to be stored.
func wordsWrong(err error) error {
	if err == nil || statusOf(err) != statusRefused {
		return err
	}
	return &questionError{err}
}

// questionError is a question that was put in wrong words.
type questionError struct{ error }

func (e *questionError) Unwrap() error { return e.error }

// bytes writes a finished document.
func (p *program) bytes(b []byte, err error) error {
	if err != nil {
		return err
	}
	_, err = p.out.Write(b)
	return err
}
