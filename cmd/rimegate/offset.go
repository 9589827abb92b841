package main

import (
	"fmt"

	"rimegate/fields"
	"rimegate/hazard/board"
	"rimegate/weather"
)

func runOffset(r *request) error {
	v, id, station := r.view, r.onePaddock(), r.Text("station")
	var set fields.NightSetting
	if id != "" {
		set = v.History.NightSetting(v.History.Lines(id)[0], v.Today)
		if !r.Has("station") {
			if len(set.Stations) != 1 {
				r.Wrong("station", "is missing", "name the station to compare with; the paddock names none by itself")
			} else {
				station = set.Stations[0]
			}
		}
	}
	if err := r.err(); err != nil {
		return err
	}
	calm, err := r.calmNights(station)
	if err != nil {
		return err
	}
	pairs := weather.Pairs(coldest(v.StationNights(station)), coldest(v.PaddockNights(id)), calm)
	var inForce *float64
	if set.OffsetC != 0 && len(set.Stations) == 1 && set.Stations[0] == station {
		inForce = &set.OffsetC
	}
	x, err := board.NewOffsetSheet(v.History, id, station, pairs, calm != nil, inForce)
	if err != nil {
		return usagef("the offset of %s to %s cannot be told: %s; bring in the readings of a thermometer in the paddock with `rimegate log reading --in-paddock --low ... %s` or `rimegate import --paddock %s FILE`", id, station, whatIsWrong(err), id, id)
	}
	if err := r.print(x, nil); err != nil {
		return err
	}
	if !r.Yes("store") {
		r.para("", "  ", "Nothing is stored; --store sets it from today on, and over the nights before if it is the paddock's first.")
		return nil
	}
	offset := x.Cautious()
	name := id
	if have := v.History.Paddock(id); have != nil && have.Name != "" {
		name = have.Name
	}
	note := fmt.Sprintf("learned from %s read in the paddock and at %s", counted(x.Offset.N, "night", "nights"), station)
	l, err := r.view.Log([]fields.Entry{{On: v.Today, Note: note, Body: &fields.PaddockFacts{Paddock: id, Name: name, Station: station, OffsetC: &offset}}}, false)
	if err != nil {
		return err
	}
	fmt.Fprintln(r.out)
	return r.logged(l)
}

// calmNights tells calm and clear nights by the station's hourly file; nil
// without one.
func (r *request) calmNights(station string) (func(fields.Date) bool, error) {
	if !r.Has("history") {
		return nil, nil
	}
	lat, lon, err := where(r.view, station)
	if err != nil {
		return nil, err
	}
	res, err := r.history()
	if err != nil {
		return nil, err
	}
	calm := weather.CalmNights(res.Observations, lat, lon, r.view.Loc)
	return func(d fields.Date) bool { return calm[d] }, nil
}

// coldest keeps one reading a night: of several that cover it the coldest
// counts, as it does on the list.
func coldest(nights []weather.NightLow) []weather.NightLow {
	at := map[fields.Date]int{}
	var out []weather.NightLow
	for _, n := range nights {
		if n.LowC == nil || !n.Covers {
			continue
		}
		i, ok := at[n.Night]
		if !ok {
			at[n.Night] = len(out)
			out = append(out, n)
		} else if *n.LowC < *out[i].LowC {
			out[i] = n
		}
	}
	return out
}
