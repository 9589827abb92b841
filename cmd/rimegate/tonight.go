package main

import (
	"fmt"
	"math"
	"path/filepath"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/hazard/board"
	"rimegate/weather"
	"rimegate/weather/formats"
)

// smallHours end at this farm hour: before it "tonight" is the night that runs.
const smallHours = 6

// runTonight says who has to be out before dark.
func runTonight(r *request) error {
	r.checkTonight()
	if err := r.err(); err != nil {
		return err
	}
	night := r.view.Today + 1
	if r.view.Now.Hour() < smallHours {
		night = r.view.Today
	}
	bodies, own, err := r.tonightsLow(night)
	if err != nil {
		return err
	}
	a := r.view.Assess()
	var l *farm.Imported
	if len(bodies) > 0 {
		if l, err = r.view.Import(bodies, "", !r.Yes("store")); err != nil {
			return err
		}
		a = l.After
	}
	if err := r.print(board.NewTonight(a, night, own, board.Filter{Herd: r.Text("herd")}), nil); err != nil || l == nil {
		return err
	}
	fmt.Fprintln(r.out)
	if !r.Yes("store") {
		r.para("", "  ", "Nothing is stored; with --store the forecast goes into the journal and shows on the list.")
		return nil
	}
	r.say("Stored: %s; %d were in the journal already.", counted(len(l.Entries), "forecast", "forecasts"), l.Same)
	r.changes(&l.Logged)
	return nil
}

// checkTonight sees that the flags name one way to the low, and all of it.
func (r *request) checkTonight() {
	low, t0, dew := r.Number("low"), r.Number("sunset_temp"), r.Number("dew")
	ways := 0
	for _, name := range []string{"file", "low", "sunset_temp"} {
		if r.Has(name) {
			ways++
		}
	}
	switch {
	case ways > 1:
		r.Wrong("", "--file, --low and --sunset-temp are different ways to the low", "give one of them")
	case ways == 1 && !r.Has("station"):
		r.Wrong("station", "is missing", "name the station the low is for")
	case ways == 0 && r.Has("station"):
		r.Wrong("station", "says nothing by itself", "add --low, --file or --sunset-temp, or leave it out")
	}
	if r.Has("sunset_temp") != r.Has("dew") || r.Has("sunset_temp") && !r.Has("history") {
		r.Wrong("sunset_temp", "needs --dew and --history with it", "the low depends on the dew point, and on how this station cooled on past nights")
	}
	if low != nil && *low > 30 {
		r.Wrong("low", "a low of "+fields.Temperature.Both(*low)+" is none to ask about", "check the unit: C or F")
	}
	if t0 != nil && dew != nil && *dew > *t0 {
		r.Wrong("dew", "is above the temperature", "the dew point is never above it")
	}
	if r.Yes("store") && ways == 0 {
		r.Wrong("store", "has nothing to store", "give a forecast with --file, --low or --sunset-temp")
	}
}

// tonightsLow makes forecasts of what was typed, none if nothing was.
func (r *request) tonightsLow(night fields.Date) ([]fields.Body, *board.OwnForecast, error) {
	b := &fields.Forecast{Station: r.Text("station"), Night: night, LowC: r.Number("low"), Issued: r.view.Now, Source: "typed"}
	switch {
	case r.Has("file"):
		bodies, err := r.forecastFile(night)
		return bodies, nil, err
	case b.LowC != nil:
		if r.Has("issued") {
			b.Issued = r.Time("issued")
		}
		return []fields.Body{b}, nil, nil
	case r.Has("sunset_temp"):
		own, err := r.ownForecast()
		if err != nil {
			return nil, nil, err
		}
		x := math.Round(own.Model.Low(own.T0C, own.DewC)*10) / 10 // as it is printed
		b.LowC, b.Source = &x, "worked out from the evening's temperature and dew point"
		return []fields.Body{b}, own, nil
	}
	return nil, nil, nil
}

func (r *request) forecastFile(night fields.Date) ([]fields.Body, error) {
	name := r.Text("file")
	in, err := r.opened(name, "--file: ")
	if err != nil {
		return nil, err
	}
	defer in.Close()
	res, err := formats.ReadNights("", in, formats.Options{Loc: r.view.Loc, Received: r.view.Now})
	if err != nil {
		return nil, err
	}
	casts := weather.ToForecasts(res.Forecasts, r.Text("station"), board.Clean(filepath.Base(name)))
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
func (r *request) ownForecast() (*board.OwnForecast, error) {
	station := r.Text("station")
	lat, lon, err := where(r.view, station)
	if err != nil {
		return nil, err
	}
	res, err := r.history()
	if err != nil {
		return nil, err
	}
	m, err := weather.FitMinimum(weather.Evenings(res.Observations, lat, lon, r.view.Loc))
	if err != nil {
		return nil, usagef("--history: the low cannot be worked out: %s", whatIsWrong(err))
	}
	return &board.OwnForecast{Station: station, T0C: *r.Number("sunset_temp"), DewC: *r.Number("dew"), Model: m}, nil
}
