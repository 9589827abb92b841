package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
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
		text("clock", "stamps of --history without a zone are local, standard, utc, or of a `ZONE`"),
		text("month", "the month of the first report of --history, of reports that say the day alone: `YYYY-MM`"),
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
func (p *program) history(form *flagReader, v *farm.View) (*weather.Result, error) {
	name := form.text("history")
	in, err := os.Open(name)
	if err != nil {
		return nil, usagef("--history: %s cannot be read (%v)", name, cause(err))
	}
	defer in.Close()
	opt := formats.Options{
		Loc: v.Loc, Unit: strings.ToUpper(form.text("unit")), Clock: form.clock(), Month: form.text("month"),
		DateOrder: strings.ToLower(form.text("date-order")), Received: v.Now,
	}
	if err := wordsWrong(form.err()); err != nil {
		return nil, err
	}
	res, err := formats.Read("", in, opt)
	if err != nil {
		what := err.Error()
		var pr fields.Problem
		if errors.As(err, &pr) {
			what = sentenceOf(pr)
		}
		return nil, usagef("--history: %s: %s", filepath.Base(name), what)
	}
	p.para("", "  ", fmt.Sprintf("%s: %s, %s read, %d used.", filepath.Base(name), res.Format, counted(res.Read, "row", "rows"), res.Kept))
	for _, n := range res.Notes {
		p.para("  ", "  ", n)
	}
	if res.WindUnread != "" {
		return nil, usagef("--history: the wind of %s cannot be used, since its column %s does not say its unit, and without it nobody can tell the calm nights; name the column like wind_kmh, wind_ms, wind_mph or wind_kt",
			filepath.Base(name), weather.Quote(res.WindUnread))
	}
	if !slices.ContainsFunc(res.Observations, func(o weather.Observation) bool { return o.WindMS != nil }) {
		p.para("! ", "  ", "No wind in this file: a night passes for calm and clear if it fell by 10 °C (18 °F) or more and was coldest about sunrise. Some windy nights do.")
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
