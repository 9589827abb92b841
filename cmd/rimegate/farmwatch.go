package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard/board"
	"rimegate/weather"
	"rimegate/weather/formats"
)

func farmWatchCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "watch",
		Usage: "take the frost watch from a station's long record",
		Description: strings.TrimSpace(`
Outside the frost watch no night needs a reading. From the daily lows of a
station nearby, of 30 seasons or more, this takes the earliest autumn and the
latest spring day that came down to the line at which frost is possible in
your coldest paddock, its offset and low ground counted, and sets the watch
from 14 days before to 14 days after. Such a watch is no RELAXED rule; with
a shorter record the watch stays as it was. Seasons run from 24 July; one
with ten days or more missing is not counted.

   rimegate farm watch --record station.dly
   rimegate farm watch --record lows.csv --unit C --station "Elk Creek" --dry-run

A day that stands alone, more than 21 days from that of any other season, may
be a wrong reading: it is asked about. With --yes it is true and counts.`),
		Flags: append([]cli.Flag{
			text("record", "the station's daily lows (GHCN-Daily, ECCC daily, a table with date and low): `FILE`"),
			text("station", "the `NAME` of the station, if the file does not say it"),
			text("format", "the file's `FORMAT`, if it is not recognised"),
			text("unit", "the file's unit, C or F, if it does not say (`WORD`)"),
			text("clock", "stamps without a zone are local, standard, utc, or of a `ZONE`"),
			text("date-order", "dates in numbers alone are dmy, mdy or ymd (`WORD`)"),
			text("file-station", "take this `NAME` of a file that holds several stations"),
			yes("yes", "days and lows that were asked about are true"),
		}, entryFlags(form.Of(fields.KindFarm), "on", "note")...),
		Action: func(c *cli.Context) error { return p.farmWatch(c) },
	}
}

func (p *program) farmWatch(c *cli.Context) error {
	f, v, err := p.view(c, question())
	if err != nil {
		return err
	}
	flags := newForm(c, v)
	name := flags.must("record", "name the file of a station's daily lows")
	opt := formats.Options{
		Loc: v.Loc, Unit: strings.ToUpper(flags.text("unit")), Station: flags.text("file-station"), Clock: flags.clock(),
		DateOrder: strings.ToLower(flags.text("date-order")), Received: v.Now, Farm: v.FarmPlace(),
	}
	station := flags.text("station")
	if !v.History.ZoneSet {
		flags.wrong("", "the farm has no name and time zone yet", "type `rimegate farm set --name NAME --zone ZONE` first")
	}
	if err := flags.err(); err != nil {
		return err
	}
	in, err := os.Open(name)
	if err != nil {
		return usagef("--record: %s cannot be read (%v)", name, cause(err))
	}
	defer in.Close()
	res, err := formats.ReadNights(flags.text("format"), in, opt)
	if err != nil {
		return err
	}
	p.readOut(filepath.Base(name), res)
	if station == "" {
		station = res.Station
	}
	if station == "" {
		flags.wrong("station", "is missing", "the file does not name its station; type its name")
		return flags.err()
	}
	if err := p.unitDoubt(f, &intake{sure: flags.yes("yes")}, filepath.Base(name), res); err != nil {
		return err
	}
	lines, need := v.WatchLines()
	w, err := weather.WatchOf(board.Clean(station), res.Nights, lines, need)
	if err != nil {
		return refusef("%s: %s; the frost watch stays as it was", filepath.Base(name), whatIsWrong(err))
	}
	fmt.Fprintln(p.out)
	p.watchWords(w)
	if lone := loneWords(w.Need); lone != "" && !flags.yes("yes") {
		return refusef("%s; if it is true, say so with --yes, else take it out of the file", lone)
	}
	if w.WholeYear() {
		return refusef("with 14 days either side this leaves no night of the year out: every night needs a reading, and the frost watch stays as it was")
	}
	k := form.Of(fields.KindFarm)
	made, problems := entries(c, v, k, whatWasSaid(c, k), &v.History.Farm)
	if err := problems.Err(); err != nil {
		return err
	}
	made[0].Body.(*fields.Farm).FrostWatch = &w.Watch
	return p.store(c, f, made)
}

// watchWords prints what a record says, line by line.
func (p *program) watchWords(w *weather.RecordWatch) {
	r := w.Watch.Record
	p.para("", "  ", fmt.Sprintf("The record of %s: %s from %d to %d.", r.Station, counted(r.Seasons, "whole season", "whole seasons"), r.FromYear, r.ToYear))
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
