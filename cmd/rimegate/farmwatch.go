package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard/board"
	"rimegate/weather"
	"rimegate/weather/formats"
)

// runFarmWatch takes the frost watch from a station's long record.
func runFarmWatch(r *request) error {
	r.Need("record")
	if !r.view.History.ZoneSet {
		r.Wrong("", "the farm has no name and time zone yet", "type `rimegate farm set --name NAME --zone ZONE` first")
	}
	if err := r.err(); err != nil {
		return err
	}
	name, station := r.Text("record"), r.Text("station")
	in, err := r.opened(name, "--record: ")
	if err != nil {
		return err
	}
	defer in.Close()
	opt := farm.FileOptions(r.view, r.Answers)
	opt.Farm = r.view.FarmPlace()
	res, err := formats.ReadNights(r.Text("format"), in, opt)
	if err != nil {
		return err
	}
	if station == "" {
		station = res.Station
	}
	if station == "" {
		r.Wrong("station", "is missing", "the file does not name its station; type its name")
		return r.err()
	}
	doubt, err := (&farm.Intake{Sure: r.Yes("yes"), Line: true}).UnitDoubt(r.view, filepath.Base(name), res)
	if err != nil {
		return err
	}
	r.told(doubt)
	lines, need := r.view.WatchLines()
	w, err := weather.WatchOf(board.Clean(station), res.Nights, lines, need)
	if err != nil {
		return refusef("%s: %s; the frost watch stays as it was", filepath.Base(name), whatIsWrong(err))
	}
	r.told(farm.ReadOut(filepath.Base(name), res))
	fmt.Fprintln(r.out)
	r.watchWords(w)
	if lone := loneWords(w.Need); lone != "" && !r.Yes("yes") {
		return refusef("%s; if it is true, say so with --yes, else take it out of the file", lone)
	}
	if w.WholeYear() {
		return refusef("with 14 days either side this leaves no night of the year out: every night needs a reading, and the frost watch stays as it was")
	}
	k := form.Of(fields.KindFarm)
	made, err := r.entries(k, whatWasSaid(r.c, k), &r.view.History.Farm)
	if err != nil {
		return err
	}
	made[0].Body.(*fields.Farm).FrostWatch = &w.Watch
	return r.store(made)
}

// watchWords prints what a record says, line by line.
func (p *program) watchWords(w *weather.RecordWatch) {
	r := w.Watch.Record
	p.say("The record of %s: %s from %d to %d.", r.Station, counted(r.Seasons, "whole season", "whole seasons"), r.FromYear, r.ToYear)
	if s := w.VoidWords(); s != "" {
		p.para("  ", "    ", s+".")
	}
	for _, l := range w.Lines {
		mark := ""
		if l.LineC == w.Need.LineC {
			mark = ", the line of your coldest paddock"
		}
		line := fields.Temperature.Both(l.LineC)
		if l.Earliest == fields.NoDate {
			p.para("  ", "    ", fmt.Sprintf("At or below %s%s: never.", line, mark))
			continue
		}
		p.para("  ", "    ", fmt.Sprintf("At or below %s%s: earliest %s, latest %s. Before and after: %s.", line, mark, l.Earliest.Words(), l.Latest.Words(), weather.NeverWords(r.Seasons)))
	}
}

// loneWords asks about the days that stand alone, "" if none does.
func loneWords(l weather.RecordLine) string {
	var out []string
	for _, x := range []struct {
		alone, next fields.Date
		which       string
	}{{l.LoneEarliest, l.NextEarliest, "earliest"}, {l.LoneLatest, l.NextLatest, "latest"}} {
		if x.alone == fields.NoDate {
			continue
		}
		s := fmt.Sprintf("%s is the %s day at or below %s by more than 21 days", x.alone.Words(), x.which, fields.Temperature.Both(l.LineC))
		if x.next != fields.NoDate {
			s += " (then " + x.next.Words() + ")"
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}
