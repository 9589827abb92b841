package main

import (
	"fmt"
	"io"
	"path/filepath"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/hazard/board"
	"rimegate/weather"
	"rimegate/weather/formats"
)

func runImport(r *request) error {
	from := ""
	var err error
	if !r.Has("watch") {
		if from, err = r.file("- is standard input"); err != nil {
			return err
		}
	}
	if r.Has("paddock") && r.Has("station") {
		r.Wrong("paddock", "and --station are both given", "a thermometer is a station, or it stands in one paddock")
	} else if !r.Has("paddock") {
		r.Need("station")
	}
	every := r.checkWatch()
	if err := r.err(); err != nil {
		return err
	}
	in := &intake{
		station: r.Text("station"), paddock: r.Text("paddock"), format: r.Text("format"), note: r.Text("note"), opt: r.fileOptions(),
		dryRun: r.Yes("dry_run"), sure: r.Yes("yes"), whole: r.Has("watch"),
	}
	in.opt.Place, in.opt.Farm = r.view.Place(in.station), r.view.FarmPlace()
	open := func(path, name string) error {
		file, err := opened(path, "")
		if err != nil {
			return err
		}
		defer file.Close()
		in.opt.Received = r.clock()
		v := r.view
		if in.whole { // others may have written since the watch began
			if v, err = r.farm.View(farm.Question{}); err != nil {
				return err
			}
		}
		return r.takeFile(v, in, name, file)
	}
	if in.whole {
		return r.watch(r.Text("watch"), r.Yes("once"), every, open)
	}
	if from == "-" {
		return r.takeFile(r.view, in, "standard input", r.in)
	}
	return open(from, filepath.Base(from))
}

// intake is how files are read and stored.
type intake struct {
	station, paddock string // one of the two
	format, note     string
	opt              formats.Options
	dryRun           bool
	sure             bool // lows that fit the other unit are true
	whole            bool // leave a last line without its end: somebody may be writing it
}

// takeFile reads one file and stores its nights.
func (p *program) takeFile(v *farm.View, in *intake, name string, r io.Reader) error {
	station := in.station
	left := 0
	if in.whole {
		var err error
		if r, left, err = formats.WholeLines(r); err != nil {
			return err
		}
	}
	res, err := formats.ReadNights(in.format, r, in.opt)
	if err != nil {
		return err
	}
	p.readOut(name, res)
	if left > 0 {
		p.para("! ", "  ", fmt.Sprintf("The last line of %s has no end yet (%d bytes); it is read when it is whole.", name, left))
	}
	if err := p.unitDoubt(v, in, name, res); err != nil {
		return err
	}
	var bodies []fields.Body
	readings := weather.ToReadings(res.Nights, station, board.Clean(name))
	for i := range readings {
		readings[i].Paddock = in.paddock
		bodies = append(bodies, &readings[i])
	}
	casts := weather.ToForecasts(res.Forecasts, station, board.Clean(name))
	for i := range casts {
		casts[i].Paddock = in.paddock
		bodies = append(bodies, &casts[i])
	}
	if len(bodies) == 0 {
		return refusef("%s holds no night that can be used", name)
	}
	if n := tooEarly(readings, in.opt); n != fields.NoDate {
		return refusef("%s holds the night of %s, which has not come yet (now it is %s): the thermometer's clock is wrong, or day and month are read the wrong way round (--date-order)",
			name, n.Words(), in.opt.Received.In(in.opt.Loc).Format("15:04 on Mon 2 Jan 2006"))
	}
	l, err := v.Import(bodies, in.note, in.dryRun)
	if err != nil {
		return err
	}
	p.imported(l, in.dryRun, len(readings) == 0)
	return nil
}

// imported prints what became of the nights of a file.
func (p *program) imported(l *farm.Imported, dryRun, forecasts bool) {
	did, one, many := "Stored", "night", "nights"
	if dryRun {
		did = "Dry run, nothing is stored. New"
	}
	if forecasts {
		one, many = "forecast night", "forecast nights"
	}
	nights := func(n int) string { return counted(n, "night", "nights") }
	p.say("%s: %s; %d were in the journal already.", did, counted(len(l.Entries), one, many), l.Same)
	if l.Joined > 0 {
		cover := "do not cover the night yet"
		if l.Whole > 0 {
			cover = "together they cover " + nights(l.Whole)
		}
		p.para("  ", "  ", fmt.Sprintf("%s of them stood in the journal in part; the parts add up, and %s.", nights(l.Joined), cover))
	}
	if l.Changed > 0 {
		p.para("! ", "  ", nights(l.Changed)+" of this file had another reading in the journal; both are kept and the colder counts.")
	}
	if l.Told > 0 {
		p.para("  ", "  ", nights(l.Told)+" of them stood in the journal too, but without the hours that the highs and lows beside them give.")
	}
	for _, n := range l.Notes {
		p.para("! ", "  ", n)
	}
	if l.Stored {
		p.say("All of it is one import, %s; `rimegate strike --batch %s --because ...` undoes it.", l.Batch, l.Batch)
	}
	p.changes(&l.Logged)
}

// unitDoubt asks about lows that fit the other unit of temperature. Lows that are too
// warm are refused until somebody says that they are true: frosts may hide in them. Lows
// that are too cold go in, and that is said: holding a frost back would be worse.
func (p *program) unitDoubt(v *farm.View, in *intake, name string, res *weather.Result) error {
	if in.sure || len(res.Nights) == 0 {
		return nil
	}
	d, odd := weather.DoubtUnit(res.Nights, res.InFahrenheit(), v.Place(in.station), v.LowsBeside(in.station, in.paddock))
	switch {
	case !odd:
	case d.TooWarm:
		return refusef("%s: %s; say --unit F if they are in °F, or --yes if they are true", name, d.Words())
	default:
		p.para("! ", "  ", "Look again: "+d.Words()+". They are taken as they stand; if the unit is wrong, undo this import and say --unit C.")
	}
	return nil
}

// tooEarly is the first night of a file that has not begun when it is brought in,
// NoDate if there is none.
func tooEarly(readings []fields.Reading, opt formats.Options) fields.Date {
	now := fields.NightOf(opt.Received, opt.Loc)
	for i := range readings {
		if readings[i].Night > now {
			return readings[i].Night
		}
	}
	return fields.NoDate
}

// readOut says what was found in a file: every row is in one of the counts.
func (p *program) readOut(name string, res *weather.Result) {
	p.say("%s: %s, %s read: %d used, %d refused, %d say they are missing, %d doubled, %d about something else.",
		name, res.Format, counted(res.Read, "row", "rows"), res.Kept, res.Rejected, res.Missing, res.Doubled, res.Skipped)
	for _, n := range res.Notes {
		p.para("  ", "  ", n)
	}
	for _, x := range res.Rejects {
		p.para("  ", "    ", fmt.Sprintf("line %d: %s", x.Line, x.What))
	}
	if more := res.Rejected - len(res.Rejects); more > 0 && len(res.Rejects) > 0 {
		fmt.Fprintf(p.out, "  and %d more rows refused\n", more)
	}
	if n := len(res.Nights); n > 0 {
		part := 0
		for _, x := range res.Nights {
			if !x.Covers {
				part++
			}
		}
		line := fmt.Sprintf("%s, from %s through %s", counted(n, "night", "nights"), res.Nights[0].Night.Words(), res.Nights[n-1].Night.Words())
		if n == 1 {
			line = "1 night, that of " + res.Nights[0].Night.Words()
		}
		if part > 0 {
			of := fmt.Sprintf("; %d of them only partly read", part)
			if n == 1 {
				of = ", only partly read"
			}
			line += of
		}
		if gaps := res.Nights[n-1].Night.Sub(res.Nights[0].Night) + 1 - n; gaps > 0 {
			line += fmt.Sprintf("; %d in between are not in the file and stay unread", gaps)
		}
		p.para("  ", "  ", line+".")
	}
}
