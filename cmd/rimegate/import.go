package main

import (
	"fmt"
	"io"
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

func importCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:      "import",
		Usage:     "bring in a thermometer's file",
		ArgsUsage: "FILE|-",
		Description: strings.TrimSpace(`
Reads the file of a logger, notebook, spreadsheet or weather service and
keeps one reading a night for the station. What the file leaves open (unit,
clock, month, order of day and month) is asked for, never guessed; lows that
fit the other unit of temperature are asked about. Bringing in the same file
twice changes nothing; parts of a night, in several files, add up. Each file
is one import: ` + "`rimegate strike --batch`" + ` undoes it. Hours below 0 and
-2.2 °C are integrated from hourly files; from daily highs and lows they are
reconstructed, marked as such, and confirm no kill.

   rimegate import --station home --clock local logger.csv
   rimegate import --station home --unit F --clock utc airport.csv
   rimegate import --station home --month 2026-10 reports.metar
   rimegate import --paddock north-slough --clock local slough-logger.csv
   rimegate import --station home --clock local --watch /srv/logger

With --watch each new file of a folder is taken once, by its content, as
soon as it has lain still between two looks; what was taken is remembered in
a file beside the journal (its name with .taken). A last line without its
end is left until it is whole.

Formats: ` + strings.Join(formats.Names(), ", ") + ` (recognised by themselves).`),
		Flags: []cli.Flag{
			text("station", "the `STATION` the readings are of"),
			text("paddock", "instead: the `PADDOCK` in which the thermometer stands, for which alone it counts"),
			text("format", "the file's `FORMAT`, if it is not recognised"),
			text("unit", "the file's unit, C or F, if it does not say (`WORD`)"),
			text("clock", "stamps without a zone are local, standard (no summer time), utc, or of a `ZONE` such as America/Denver"),
			text("month", "the month of the first report, of reports that say the day alone: `YYYY-MM` (UTC)"),
			text("date-order", "dates in numbers alone are dmy, mdy or ymd (`WORD`)"),
			text("file-station", "take this `NAME` of a file that holds several stations"),
			text("note", "a `NOTE` in your own words"),
			text("watch", "take each new file of this `FOLDER` once, until Ctrl-C"),
			text("every", "with --watch: the `TIME` between two looks, like 10s or 5m (30s if left out)"),
			yes("once", "with --watch: look once and end"),
			yes("yes", "lows that were asked about are true: you looked, and the unit is right"),
			yes("dry-run", "say what is in the file and what would change, but store nothing"),
		},
		Action: func(c *cli.Context) error { return p.importFile(c) },
	}
}

func (p *program) importFile(c *cli.Context) error {
	f, v, err := p.view(c, question())
	if err != nil {
		return err
	}
	from := ""
	if !c.IsSet("watch") {
		if from, err = file(c, "- is standard input"); err != nil {
			return err
		}
	}
	form := newForm(c, v)
	station, paddock := form.station("station"), ""
	switch {
	case form.has("paddock") && form.has("station"):
		form.wrong("paddock", "and --station are both given", "a thermometer is a station, or it stands in one paddock")
	case form.has("paddock"):
		id, err := v.Paddock(form.text("paddock"))
		form.failed("paddock", err)
		paddock = id
	default:
		form.must("station", "name the station the readings are of")
	}
	opt := formats.Options{
		Loc: v.Loc, Unit: strings.ToUpper(form.text("unit")), Station: form.text("file-station"), Clock: form.clock(), Month: form.text("month"),
		DateOrder: strings.ToLower(form.text("date-order")), Received: v.Now, Place: v.Place(station), Farm: v.FarmPlace(),
	}
	in := &intake{station: station, paddock: paddock, format: form.text("format"), note: form.text("note"), opt: opt, dryRun: c.Bool("dry-run"), sure: c.Bool("yes"), whole: form.has("watch")}
	dir, every := form.text("watch"), form.every()
	switch {
	case form.has("watch") && c.NArg() > 0:
		form.wrong("watch", "and a file are both named", "it is one of the two")
	case form.has("watch") && in.dryRun:
		form.wrong("watch", "and --dry-run are both given", "try one file with --dry-run first")
	case form.has("once") && !form.has("watch"):
		form.wrong("once", "belongs to --watch", "leave it away")
	case form.has("every") && (!form.has("watch") || form.has("once")):
		form.wrong("every", "belongs to --watch without --once", "leave it away")
	}
	if err := form.err(); err != nil {
		return err
	}
	open := func(path, name string) error {
		r, err := os.Open(path)
		if err != nil {
			return usagef("%s cannot be read (%v)", path, cause(err))
		}
		defer r.Close()
		in.opt.Received = p.clock()
		return p.takeFile(f, in, name, r)
	}
	if dir != "" {
		return p.watch(f, dir, c.Bool("once"), every, open)
	}
	if from == "-" {
		return p.takeFile(f, in, "standard input", p.in)
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

// clock reads --clock: a word, or a zone as it is spelled.
func (f *flagReader) clock() string {
	s := f.text("clock")
	switch low := strings.ToLower(s); low {
	case "local", "standard", "utc":
		return low
	}
	return s
}

// takeFile reads one file and stores its nights.
func (p *program) takeFile(f *farm.Farm, in *intake, name string, r io.Reader) error {
	station := in.station
	var cut *formats.WholeLines
	if in.whole {
		cut = formats.NewWholeLines(r)
		r = cut
	}
	res, err := formats.ReadNights(in.format, r, in.opt)
	if err != nil {
		return err
	}
	p.readOut(name, res)
	if cut != nil && cut.Left() > 0 {
		p.para("! ", "  ", fmt.Sprintf("The last line of %s has no end yet (%d bytes); it is read when it is whole.", name, cut.Left()))
	}
	if err := p.unitDoubt(f, in, name, res); err != nil {
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
			name, n.Words(), in.opt.Received.In(in.opt.Loc).Format("15:04 on Mon 02-Jan-2006"))
	}
	l, err := f.Import(bodies, in.note, in.dryRun)
	if err != nil {
		return err
	}
	did := "Stored"
	if in.dryRun {
		did = "Dry run, nothing is stored. New"
	}
	one, many := "night", "nights"
	if len(readings) == 0 {
		one, many = "forecast night", "forecast nights"
	}
	p.para("", "  ", fmt.Sprintf("%s: %s; %d stood in the journal already.", did, counted(len(l.Entries), one, many), l.Same))
	if l.Joined > 0 {
		p.para("  ", "  ", fmt.Sprintf("%s of them stood in the journal in part; the parts add up, and %s.", counted(l.Joined, "night", "nights"),
			map[bool]string{true: "together they cover " + counted(l.Whole, "night", "nights"), false: "do not cover the night yet"}[l.Whole > 0]))
	}
	if l.Changed > 0 {
		p.para("! ", "  ", fmt.Sprintf("%s of this file had another reading in the journal; both are kept and the colder counts.", counted(l.Changed, "night", "nights")))
	}
	if l.Told > 0 {
		p.para("  ", "  ", fmt.Sprintf("%s of them stood in the journal too, but without the hours that the highs and lows beside them give.", counted(l.Told, "night", "nights")))
	}
	for _, n := range l.Notes {
		p.para("! ", "  ", n)
	}
	if l.Stored {
		p.para("", "  ", fmt.Sprintf("All of it is one import, %s; `rimegate strike --batch %s --because ...` undoes it.", l.Batch, l.Batch))
	}
	p.changes(&l.Logged)
	return nil
}

// unitDoubt asks about lows that fit the other unit of temperature. Lows that are too
// warm are refused until somebody says that they are true: frosts may hide in them. Lows
// that are too cold go in, and that is said: holding a frost back would be worse.
func (p *program) unitDoubt(f *farm.Farm, in *intake, name string, res *weather.Result) error {
	if in.sure || len(res.Nights) == 0 {
		return nil
	}
	v, err := f.View(question())
	if err != nil {
		return err
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
	p.para("", "  ", fmt.Sprintf("%s: %s, %s read: %d used, %d refused, %d say they are missing, %d doubled, %d about something else.",
		name, res.Format, counted(res.Read, "row", "rows"), res.Kept, res.Rejected, res.Missing, res.Doubled, res.Skipped))
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
