package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/hazard/board"
	"rimegate/weather"
	"rimegate/weather/formats"
)

// smallHours end at this farm hour: before it "tonight" is the night that runs.
const smallHours = 6

func tonightCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "tonight",
		Usage: "the coming night: who has to be out before dark",
		Description: strings.TrimSpace(`
Takes forecasts already logged, a saved forecast file, a low as typed, or
works a low out from the temperature and dew point two hours after sunset,
calibrated on the station's own history. Nothing is stored without --store;
stored or not, a forecast can only warn.

   rimegate tonight
   rimegate tonight --file gridpoint.json --station home --store
   rimegate tonight --low -1C --station home
   rimegate tonight --station home --sunset-temp 4C --dew -2C \
      --history home.metar --month 2026-09`),
		Flags: append([]cli.Flag{
			text("file", "a saved forecast: `FILE` (GeoJSON of a gridpoint forecast)"),
			text("low", "the lowest `TEMP` forecast for the station, with its unit"),
			text("station", "the `STATION` it is for"),
			text("issued", "when --low was forecast: `TIME` like 16:30 (now if left out)"),
			text("sunset-temp", "`TEMP` two hours after sunset"),
			text("dew", "dew point two hours after sunset: `TEMP`"),
			yes("store", "store the forecasts in the journal"),
		}, historyFlags("the station's past hourly readings with dew point and, best, wind: `FILE`")...),
		Action: func(c *cli.Context) error { return p.tonight(c) },
	}
}

func (p *program) tonight(c *cli.Context) error {
	f, v, err := p.view(c, question())
	if err != nil {
		return err
	}
	form := newForm(c, v)
	night := v.Today + 1
	if v.Now.Hour() < smallHours {
		night = v.Today
	}
	station := form.station("station")
	low, t0, dew := form.quantity("low", fields.Temperature), form.quantity("sunset-temp", fields.Temperature), form.quantity("dew", fields.Temperature)
	issued := form.moment("issued")
	if issued.IsZero() {
		issued = v.Now
	}
	ways := 0
	for _, flag := range []string{"file", "low", "sunset-temp"} {
		if form.has(flag) {
			ways++
		}
	}
	switch {
	case ways > 1:
		form.wrong("", "--file, --low and --sunset-temp are different ways to the low", "give one of them")
	case ways == 1 && !form.has("station"):
		form.wrong("station", "is missing", "name the station the low is for")
	case ways == 0 && form.has("station"):
		form.wrong("station", "says nothing by itself", "give --low, --file or --sunset-temp with it, or leave it away")
	}
	if form.has("sunset-temp") != form.has("dew") || form.has("sunset-temp") && !form.has("history") {
		form.wrong("sunset-temp", "needs --dew and --history with it", "the low depends on the dew point, and on how this station cooled on past nights")
	}
	if low != nil && *low > 30 {
		form.wrong("low", "a low of "+fields.Temperature.Both(*low)+" is none to ask about", "check the unit: C or F")
	}
	if t0 != nil && dew != nil && *dew > *t0 {
		form.wrong("dew", "is above the temperature", "the dew point is never above it")
	}
	if form.has("store") && ways == 0 {
		form.wrong("store", "has nothing to store", "give a forecast with --file, --low or --sunset-temp")
	}
	if err := wordsWrong(form.err()); err != nil {
		return err
	}
	var bodies []fields.Body
	var own *board.OwnForecast
	switch {
	case low != nil:
		bodies = append(bodies, &fields.Forecast{Station: station, Night: night, LowC: low, Issued: issued, Source: "typed"})
	case form.has("file"):
		if bodies, err = p.forecastFile(form, v, station, night); err != nil {
			return err
		}
	case t0 != nil:
		if own, err = p.ownForecast(form, v, station, *t0, *dew); err != nil {
			return err
		}
		x := math.Round(own.Model.Low(*t0, *dew)*10) / 10 // as it is printed
		bodies = append(bodies, &fields.Forecast{Station: station, Night: night, LowC: &x, Issued: v.Now, Source: "worked out from the evening's temperature and dew point"})
	}
	a := v.Assess()
	var l *farm.Imported
	if len(bodies) > 0 {
		if l, err = f.Import(bodies, "", !c.Bool("store")); err != nil {
			return err
		}
		a = l.After
	}
	if err := p.painted(func(w writer) error { return board.NewTonight(a, night, own).Text(w, p.width) }); err != nil {
		return err
	}
	if l == nil {
		return nil
	}
	fmt.Fprintln(p.out)
	if !c.Bool("store") {
		p.para("", "  ", "Nothing is stored; with --store the forecast goes into the journal and shows on the list.")
		return nil
	}
	p.para("", "  ", fmt.Sprintf("Stored: %s; %d stood in the journal already.", counted(len(l.Entries), "forecast", "forecasts"), l.Same))
	p.changes(&l.Logged)
	return nil
}

func (p *program) forecastFile(form *flagReader, v *farm.View, station string, night fields.Date) ([]fields.Body, error) {
	name := form.text("file")
	in, err := os.Open(name)
	if err != nil {
		return nil, usagef("--file: %s cannot be read (%v)", name, cause(err))
	}
	defer in.Close()
	res, err := formats.ReadNights("", in, formats.Options{Loc: v.Loc, Received: v.Now})
	if err != nil {
		return nil, err
	}
	casts := weather.ToForecasts(res.Forecasts, station, board.Clean(filepath.Base(name)))
	var out []fields.Body
	seen := false
	for i := range casts {
		if casts[i].Night < night {
			continue
		}
		seen = seen || casts[i].Night == night
		out = append(out, &casts[i])
	}
	if len(res.Forecasts) == 0 {
		return nil, refusef("%s holds no forecast; readings go in with `rimegate import`", filepath.Base(name))
	}
	if !seen {
		return nil, refusef("%s says nothing of the night of %s; its nights run from %s through %s", filepath.Base(name), night.Words(),
			res.Forecasts[0].Night.Words(), res.Forecasts[len(res.Forecasts)-1].Night.Words())
	}
	return out, nil
}

// ownForecast learns how the station cools from its own history.
func (p *program) ownForecast(form *flagReader, v *farm.View, station string, t0, dew float64) (*board.OwnForecast, error) {
	lat, lon, err := where(v, station)
	if err != nil {
		return nil, err
	}
	res, err := p.history(form, v)
	if err != nil {
		return nil, err
	}
	evenings := farm.Evenings(res.Observations, lat, lon, v.Loc)
	m, err := weather.FitMinimum(evenings)
	if err != nil {
		return nil, usagef("--history: the low cannot be worked out: %s", whatIsWrong(err))
	}
	return &board.OwnForecast{Station: station, T0C: t0, DewC: dew, Model: m}, nil
}
