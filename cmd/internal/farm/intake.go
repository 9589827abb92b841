package farm

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard/board"
	"rimegate/weather"
	"rimegate/weather/formats"
)

// Intake is how files are read and stored, as the form of imports says.
type Intake struct {
	Station, Paddock string // one of the two
	Format, Note     string
	Options          formats.Options
	Sure             bool // lows that fit the other unit are true
	Whole            bool // leave a last line without its end: somebody may be writing it
	Line             bool // the sentences of the command line, not of screens
}

// NewIntake is what a filled-in form of imports says.
func NewIntake(v *View, b *form.Answers) *Intake {
	in := &Intake{
		Station: b.Text("station"), Paddock: b.Text("paddock"), Format: b.Text("format"), Note: b.Text("note"),
		Options: FileOptions(v, b), Sure: b.Yes("yes"), Line: b.Line,
	}
	in.Options.Place, in.Options.Farm = v.Place(in.Station), v.FarmPlace()
	return in
}

// FileOptions are how a station's file is to be read.
func FileOptions(v *View, b *form.Answers) formats.Options {
	return formats.Options{
		Loc: v.Loc, Unit: strings.ToUpper(b.Text("unit")), Station: b.Text("file_station"), Clock: clockWord(b.Text("clock")),
		Month: b.Text("month"), DateOrder: strings.ToLower(b.Text("date_order")), Received: v.Now,
	}
}

// clockWord is what is said of a clock: a word, or a zone as it is spelled.
func clockWord(s string) string {
	switch low := strings.ToLower(s); low {
	case "local", "standard", "utc":
		return low
	}
	return s
}

// Told is a paragraph: what stands before its first row, before the others, and it.
type Told struct{ First, Rest, Text string }

// Found is what a file holds for the journal.
type Found struct {
	Told     []Told
	Readings int

	note   string
	line   bool
	bodies []fields.Body
}

func (x *Found) say(first, rest, format string, args ...any) {
	x.Told = append(x.Told, Told{first, rest, fmt.Sprintf(format, args...)})
}

// Read reads one file and stores nothing. What was found is said also of a file that
// is refused.
func (in *Intake) Read(v *View, name string, r io.Reader) (*Found, error) {
	out := &Found{note: in.Note, line: in.Line}
	left := 0
	if in.Whole {
		var err error
		if r, left, err = formats.WholeLines(r); err != nil {
			return out, err
		}
	}
	res, err := formats.ReadNights(in.Format, r, in.Options)
	if err != nil {
		return out, err
	}
	out.Told = ReadOut(name, res)
	if left > 0 {
		out.say("! ", "  ", "The last line of %s has no end yet (%d bytes); it is read when it is whole.", name, left)
	}
	doubt, err := in.UnitDoubt(v, name, res)
	if err != nil {
		return out, err
	}
	out.Told = append(out.Told, doubt...)
	readings := weather.ToReadings(res.Nights, in.Station, board.Clean(name))
	out.bodies = make([]fields.Body, 0, len(readings)+len(res.Forecasts))
	for i := range readings {
		readings[i].Paddock = in.Paddock
		out.bodies = append(out.bodies, &readings[i])
	}
	casts := weather.ToForecasts(res.Forecasts, in.Station, board.Clean(name))
	for i := range casts {
		casts[i].Paddock = in.Paddock
		out.bodies = append(out.bodies, &casts[i])
	}
	out.Readings = len(readings)
	if len(out.bodies) == 0 {
		return out, refused("%s holds no night that can be used", name)
	}
	if n := tooEarly(readings, in.Options); n != fields.NoDate {
		order := either(in.Line, "--date-order", "say the order of dates")
		return out, refused("%s holds the night of %s, which has not come yet (now it is %s): the thermometer's "+
			"clock is wrong, or day and month are read the wrong way round (%s)",
			name, n.Words(), in.Options.Received.In(in.Options.Loc).Format("15:04 on Mon 2 Jan 2006"), order)
	}
	return out, nil
}

func refused(format string, args ...any) error {
	return fields.Problem{What: fmt.Sprintf(format, args...)}
}

// Import stores what was found, unless dryRun, and says what became of it.
func (x *Found) Import(v *View, dryRun bool) (*Imported, []Told, error) {
	l, err := v.Import(x.bodies, x.note, dryRun)
	if err != nil {
		return nil, nil, err
	}
	out := &Found{}
	did, one, many := "Stored", "night", "nights"
	if dryRun {
		did = "Dry run, nothing is stored. New"
	}
	if x.Readings == 0 {
		one, many = "forecast night", "forecast nights"
	}
	nights := func(n int) string { return Counted(n, "night", "nights") }
	out.say("", "  ", "%s: %s; %d were in the journal already.", did, Counted(len(l.Entries), one, many), l.Same)
	if l.Joined > 0 {
		cover := "do not cover the night yet"
		if l.Whole > 0 {
			cover = "together they cover " + nights(l.Whole)
		}
		out.say("  ", "  ", "%s of them stood in the journal in part; the parts add up, and %s.", nights(l.Joined), cover)
	}
	if l.Changed > 0 {
		out.say("! ", "  ", "%s of this file had another reading in the journal; both are kept and the colder counts.",
			nights(l.Changed))
	}
	if l.Told > 0 {
		out.say("  ", "  ", "%s of them stood in the journal too, but without the hours that the highs and lows "+
			"beside them give.", nights(l.Told))
	}
	for _, n := range l.Notes {
		out.say("! ", "  ", "%s", n)
	}
	if l.Stored && x.line {
		out.say("", "  ", "All of it is one import, %s; `rimegate strike --batch %s --because ...` undoes it.",
			l.Batch, l.Batch)
	}
	return l, out.Told, nil
}

// hotRows is how many rows too warm for °C make the unit doubtful: ours; one is a fault of
// the sensor.
const hotRows = 3

// UnitDoubt asks about lows that fit the other unit of temperature. Lows that are too
// warm are refused until somebody says that they are true: frosts may hide in them. Lows
// that are too cold go in, and that is said: holding a frost back would be worse.
func (in *Intake) UnitDoubt(v *View, name string, res *weather.Result) ([]Told, error) {
	if in.Sure || len(res.Nights) == 0 {
		return nil, nil
	}
	if res.Hot >= hotRows {
		return nil, refused("%s: %d temperatures are too warm to be °C, and would do in °F: the unit may change inside "+
			"the file; %s", name, res.Hot, either(in.Line, "part the file, or say --yes if the others are true",
			"part the file, or say below that the others are true"))
	}
	first := slices.MinFunc(res.Nights, func(a, b weather.NightLow) int { return int(a.Night - b.Night) }).Night
	v, err := v.Whole(fields.Entry{Body: &fields.Reading{Night: first}})
	if err != nil {
		return nil, err
	}
	d, odd := weather.DoubtUnit(res.Nights, res.InFahrenheit(), v.Place(in.Station), v.LowsBeside(in.Station, in.Paddock))
	switch {
	case !odd:
		return nil, nil
	case d.TooWarm:
		return nil, refused("%s: %s; %s", name, d.Words(), either(in.Line,
			"say --unit F if they are in °F, or --yes if they are true",
			"the unit is F if they are in °F; else say below that they are true"))
	}
	again := either(in.Line, "undo this import and say --unit C", "take this import back and say unit C")
	again = "Look again: " + d.Words() + ". They are taken as they stand; if the unit is wrong, " + again + "."
	return []Told{{"! ", "  ", again}}, nil
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

// ReadOut says what was found in a file: every row is in one of the counts.
func ReadOut(name string, res *weather.Result) []Told {
	out := &Found{}
	out.say("", "  ", "%s: %s, %s read: %d used, %d refused, %d say they are missing, %d doubled, "+
		"%d about something else.", name, res.Format, Counted(res.Read, "row", "rows"), res.Kept, res.Rejected, res.Missing, res.Doubled, res.Skipped)
	for _, n := range res.Notes {
		out.say("  ", "  ", "%s", n)
	}
	for _, x := range res.Rejects {
		out.say("  ", "    ", "%s", fields.Problem{Line: x.Line, What: x.What}.Error())
	}
	if more := res.Rejected - len(res.Rejects); more > 0 && len(res.Rejects) > 0 {
		out.say("  ", "  ", "and %d more rows refused", more)
	}
	if n := len(res.Nights); n > 0 {
		part := 0
		for _, x := range res.Nights {
			if !x.Covers {
				part++
			}
		}
		first, last := res.Nights[0].Night, res.Nights[n-1].Night
		line := fmt.Sprintf("%s, from %s through %s", Counted(n, "night", "nights"), first.Words(), last.Words())
		if n == 1 {
			line = "1 night, that of " + first.Words()
		}
		if part > 0 {
			of := fmt.Sprintf("; %d of them only partly read", part)
			if n == 1 {
				of = ", only partly read"
			}
			line += of
		}
		if gaps := last.Sub(first) + 1 - n; gaps > 0 {
			line += fmt.Sprintf("; %d in between are not in the file and stay unread", gaps)
		}
		out.say("  ", "  ", "%s.", line)
	}
	return out.Told
}

// Counted is a number of things in words.
func Counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
