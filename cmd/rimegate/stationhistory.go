package main

import (
	"errors"
	"path/filepath"
	"slices"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/weather"
	"rimegate/weather/formats"
)

// where is the place of a station, or else of the farm.
func where(v *farm.View, station string) (lat, lon float64, err error) {
	at := v.Place(station)
	if at == nil {
		return 0, 0, usagef("sunset is not known: type where the station stands, like `rimegate station set --lat LAT --lon LON %s`, or the farm", station)
	}
	return at.Lat, at.Lon, nil
}

// history reads the file of --history, every reading kept.
func (r *request) history() (*weather.Result, error) {
	name := r.Text("history")
	in, err := r.opened(name, "--history: ")
	if err != nil {
		return nil, err
	}
	defer in.Close()
	res, err := formats.Read("", in, farm.FileOptions(r.view, r.Answers))
	if err != nil {
		what := err.Error()
		var pr fields.Problem
		if errors.As(err, &pr) {
			what = sentenceOf(pr)
		}
		return nil, usagef("--history: %s: %s", filepath.Base(name), what)
	}
	r.say("%s: %s, %s read, %d used.", filepath.Base(name), res.Format, counted(res.Read, "row", "rows"), res.Kept)
	for _, n := range res.Notes {
		r.para("  ", "  ", n)
	}
	if res.WindUnread != "" {
		return nil, usagef("--history: the wind of %s cannot be used, since its column %s does not say its unit, and without it nobody can tell the calm nights; name the column like wind_kmh, wind_ms, wind_mph or wind_kt",
			filepath.Base(name), weather.Quote(res.WindUnread))
	}
	if !slices.ContainsFunc(res.Observations, func(o weather.Observation) bool { return o.WindMS != nil }) {
		r.para("! ", "  ", "No wind in this file: a night passes for calm and clear if it fell by 10 °C (18 °F) or more and was coldest about sunrise. Some windy nights do.")
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
