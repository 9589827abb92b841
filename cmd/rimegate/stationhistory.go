package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/weather"
	"rimegate/weather/formats"
)

// historyFlags are those of the commands that learn from a station's past.
func historyFlags(usage string) []cli.Flag {
	return []cli.Flag{
		text("history", usage),
		text("unit", "the unit of --history if the file does not say, C or F (`WORD`)"),
		text("clock", "stamps of --history without a zone are local, standard or utc (`WORD`)"),
		text("date-order", "dates of --history in numbers alone are dmy, mdy or ymd (`WORD`)"),
	}
}

// where is the place of a station, or else of the farm.
func where(v *farm.View, station string) (lat, lon float64, err error) {
	at := v.Place(station)
	if at == nil {
		return 0, 0, usagef("when the sun sets is not known: type where the station stands, like `rimegate station set --lat 50.4 --lon -105.5 %s`, or the farm", station)
	}
	return at.Lat, at.Lon, nil
}

// history reads the file of --history, every reading kept.
func (p *program) history(form *form, v *farm.View) (*weather.Result, error) {
	name := form.text("history")
	in, err := os.Open(name)
	if err != nil {
		return nil, usagef("--history: %s cannot be read (%v)", name, cause(err))
	}
	defer in.Close()
	opt := formats.Options{
		Loc: v.Loc, Unit: strings.ToUpper(form.text("unit")), Clock: strings.ToLower(form.text("clock")),
		DateOrder: strings.ToLower(form.text("date-order")), Received: v.Now,
	}
	if err := wordsWrong(form.err()); err != nil {
		return nil, err
	}
	res, err := formats.Read("", in, opt)
	if err != nil {
		return nil, usagef("--history: %s: %v", filepath.Base(name), err)
	}
	return res, nil
}

// whatIsWrong is the sentence of an error without its field's name.
func whatIsWrong(err error) string {
	var pr fields.Problem
	if errors.As(err, &pr) {
		return pr.What
	}
	return err.Error()
}
