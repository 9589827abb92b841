package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields/calendar"
	"rimegate/hazard/board"
)

func roundsCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "rounds",
		Usage: "recurring checks and errands: due, done, missed",
		Description: strings.TrimSpace(`
Lists every round (log round) with its days, and the errands that follow
from the record. A done counts for the latest day of the round on or before
it. A round is a reminder: it never ends a hold.

   rimegate rounds
   rimegate rounds --paddock bench --days 30
   rimegate log done --round "walk the regrowth"`),
		Flags: []cli.Flag{
			text("on", "as of this `DAY` (today if left out)"),
			text("days", "look `N` days back for what was missed (60 if left out)"),
			text("paddock", "what concerns this `PADDOCK` only"),
		},
		Action: func(c *cli.Context) error {
			f, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			form := newForm(c, v)
			on, days := form.day("on"), form.daysFlag("days", 60, board.MaxWindow)
			if err := wordsWrong(form.err()); err != nil {
				return err
			}
			if on != 0 {
				if v, err = f.View(farm.Question{On: on}); err != nil {
					return err
				}
			}
			var filter board.Filter
			if s, ok := value(c, "paddock"); ok {
				if filter.Paddock, err = v.Paddock(s); err != nil {
					return wordsWrong(err)
				}
			}
			return p.painted(func(w writer) error {
				return board.RoundsOn(v.Assess(), f.Rounds(v), days, filter).Text(w, p.width)
			})
		},
	}
}

// daysFlag reads a number of days from 1 to most; def if the flag is not given.
func (f *flagReader) daysFlag(flag string, def, most int) int {
	s, ok := value(f.c, flag)
	if !ok {
		return def
	}
	n, err := strconv.Atoi(strings.TrimSpace(s))
	if err != nil || n < 1 || n > most {
		f.wrong(flag, quoted(s)+" is no number of days from 1 to "+strconv.Itoa(most), "type it in digits, like "+strconv.Itoa(def))
		return def
	}
	return n
}

func calendarCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:      "calendar",
		Usage:     "holds, errands and rounds as a calendar file",
		ArgsUsage: "FILE.ics",
		Description: strings.TrimSpace(`
Holds are all-day events whose last day is the hold's through-date; rounds
come back by their rule, with a reminder. Written again to the same file,
events that moved are moved and those that vanished are cancelled, so a
phone that reads the file again keeps no old dates. The day after a hold is
no YES.

   rimegate calendar farm.ics`),
		Action: func(c *cli.Context) error {
			if c.NArg() != 1 || strings.TrimSpace(c.Args().First()) == "" {
				return usagef("`rimegate calendar` takes one file name, like farm.ics")
			}
			path := c.Args().First()
			if !strings.HasSuffix(strings.ToLower(path), ".ics") {
				return usagef("%s does not end in .ics, so no calendar would open it; type a name like farm.ics", quoted(path))
			}
			f, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			ch, err := f.WriteCalendar(v, path)
			var foreign *calendar.ForeignError
			if errors.As(err, &foreign) {
				return refusef("%v", err)
			}
			if err != nil {
				return err
			}
			p.para("", "  ", fmt.Sprintf("Wrote %s: %d new, %d moved or changed, %d cancelled, %d as before.", path, ch.Added, ch.Moved, ch.Cancelled, ch.Same))
			p.para("", "  ", "It holds what the journal says now. Write it again after each frost, walk or result; a phone shows old dates until it reads the file anew.")
			return nil
		},
	}
}
