package main

import (
	"github.com/urfave/cli/v2"

	"rimegate/fields"
)

func nightForms() []kindForm {
	return []kindForm{
		{
			kind: "frost", args: "PADDOCKS", undated: true,
			usage: "a frost that a person saw or measured",
			more: `
A person's frost counts whatever a thermometer said. The night of a day runs
from noon of the day before to noon of that day: last night is the night of
today. A frost of two nights is two entries.

   rimegate log frost --low -3C --night today north-slough,creek`,
			flags: []cli.Flag{
				text("night", "the `DAY` on which the night ended (last night is today; needed after 18:00)"),
				text("ended-at", "when the last freezing hour ended, instead of --night: `TIME` like 07:30"),
				text("low", "lowest `TEMP` at plant height, with its unit: -3C, 26F"),
				text("seen", "`WHAT` was seen, such as white frost in the hollow"),
			},
			build: func(f *form) []fields.Body {
				b := &fields.Frost{Night: f.night(), LowC: f.quantity("low", fields.Temperature), Seen: f.text("seen"), Paddocks: f.paddocks()}
				if f.has("ended-at") {
					b.EndedAt = f.moment("ended-at")
					if !f.has("night") {
						b.Night = fields.NoDate
					}
				}
				return []fields.Body{b}
			},
		},
		{
			kind: "no-frost", args: "PADDOCKS", undated: true,
			usage: "signed: nights already over had no frost",
			more: `
Your word that nights which are over had no frost, and what it rests on: a
look at dawn says least, a thermometer that stood in the paddock at plant
height most. It never beats a frost that somebody or a thermometer recorded;
of such a night it is refused.

   rimegate log no-frost --night today --basis looked-at-dawn creek`,
			flags: []cli.Flag{
				text("night", "the one `DAY` on which the night ended"),
				text("from", "first night of several: `DAY`"),
				text("to", "last night of several: `DAY`"),
				text("basis", "what it rests on, weakest first: looked-at-dawn, other-thermometer or thermometer-in-paddock (`WORD`)"),
			},
			build: func(f *form) []fields.Body {
				b := &fields.NoFrost{Basis: fields.NoFrostBasis(f.mustOne("basis", "looked-at-dawn", "other-thermometer", "thermometer-in-paddock"))}
				switch {
				case f.has("night") && (f.has("from") || f.has("to")):
					f.wrong("night", "and --from/--to are both given", "give one night, or the first and the last")
				case f.has("from") != f.has("to"):
					f.wrong("from", "and --to belong together", "give the first and the last night")
				case f.has("from"):
					b.From, b.To = f.mustDate("from"), f.mustDate("to")
				default:
					b.From = f.mustDate("night")
					b.To = b.From
				}
				b.Paddocks = f.paddocks()
				return []fields.Body{b}
			},
		},
		{
			kind: "reading", args: "[PADDOCK]", undated: true, sure: []cli.Flag{asRead()},
			usage: "what a thermometer said of a night",
			more: `
Of a station (--station): it counts for every paddock that names it, with
the paddock's offset. Or of a thermometer that stood in the one paddock
itself, at plant height (--in-paddock). The lowest reading of a night counts,
and every night needs one: a night without a reading counts as unread, not
as mild.

   rimegate log reading --station home --night today --low 1.5C
   rimegate log reading --in-paddock --night today --low 0.5C creek`,
			flags: []cli.Flag{
				text("station", "the `STATION` that was read"),
				yes("in-paddock", "it stood in the paddock named, at plant height"),
				text("night", "the `DAY` on which the night ended (last night is today; needed after 18:00)"),
				text("low", "lowest `TEMP` of the night, with its unit"),
				yes("below-zero", "it was below freezing, but the number is not known"),
				yes("part", "only part of the night was read: a low counts, a mild one shows nothing"),
				text("hours-below-0", "hours at or below 0 °C (32 °F): `HOURS` like 3h"),
				text("hours-below-kill", "hours at or below -2.2 °C (28 °F): `HOURS` like 3h"),
				text("source", "`WHERE` the number comes from"),
			},
			build: func(f *form) []fields.Body {
				b := fields.Reading{
					Night: f.night(), LowC: f.quantity("low", fields.Temperature), BelowZero: f.said("below-zero"),
					HoursBelow0: f.quantity("hours-below-0", fields.Hours), HoursBelowKill: f.quantity("hours-below-kill", fields.Hours),
					Source: f.text("source"),
				}
				if f.has("part") {
					covers := !f.yes("part")
					b.Covers = &covers
				}
				if !f.has("low") && !f.has("below-zero") {
					f.wrong("low", "is missing", "type it with its unit, like --low -3C, or --below-zero if the number is not known")
				}
				b.Station, b.Paddock = f.thermometer()
				return []fields.Body{&b}
			},
		},
		{
			kind: "forecast", args: "[PADDOCKS]", undated: true,
			usage: "a forecast low for a coming night",
			more: `
A forecast can only warn: it never makes a flag better.

   rimegate log forecast --station home --night tomorrow --low -1C`,
			flags: []cli.Flag{
				text("station", "the `STATION` it is for"),
				text("night", "the `DAY` on which the night ends (tonight is tomorrow)"),
				text("low", "lowest `TEMP` forecast, with its unit"),
				text("issued", "when it was made: `TIME` like 16:30 or \"yesterday 16:30\" (now if left out)"),
				text("source", "who made it (`SOURCE`)"),
			},
			build: func(f *form) []fields.Body {
				b := fields.Forecast{Night: f.mustDate("night"), LowC: f.mustQuantity("low", fields.Temperature), Issued: f.moment("issued"), Source: f.text("source")}
				if b.Issued.IsZero() {
					b.Issued = f.v.Now
				}
				return f.atPlaces(func(station, paddock string) fields.Body {
					r := b
					r.Station, r.Paddock = station, paddock
					return &r
				})
			},
		},
	}
}

// eveningAt is the farm hour from which "the night" can be the one that ended
// this morning or the one that has just begun; the person must say which.
const eveningAt = 18

// night reads --night; left out it is the night that ended this morning.
func (f *form) night() fields.Date {
	if f.has("night") || f.has("ended-at") {
		return f.date("night", fields.NoDate)
	}
	if f.v.Now.Hour() >= eveningAt {
		f.wrong("night", "is missing, and it is evening", "type --night today for last night, --night tomorrow for the night that has begun")
	}
	f.whichDay("night", "is left out")
	return f.v.Today
}

// thermometer reads which thermometer was read: that it stood in the paddock is
// the strongest claim, and is never taken for said.
func (f *form) thermometer() (station, paddock string) {
	switch {
	case f.has("station") && (f.yes("in-paddock") || f.c.NArg() > 0):
		f.wrong("station", "and a paddock are both named", "a station counts for every paddock that names it; leave one of the two out")
	case f.has("station"):
		return f.station("station"), ""
	case f.yes("in-paddock"):
		return "", f.paddock()
	default:
		hint := "name it with --station"
		if s := f.v.StationNames(); s != "" {
			hint = "type --station and one of " + s
		}
		f.wrong("station", "is missing: say which thermometer was read", hint+", or --in-paddock PADDOCK if it stood in the paddock itself, at plant height")
	}
	return "", ""
}

// atPlaces makes one body for the station, or one for each paddock.
func (f *form) atPlaces(make func(station, paddock string) fields.Body) []fields.Body {
	if f.has("station") {
		if f.c.NArg() > 0 {
			f.wrong("station", "and a paddock are both named", "it is about one of the two")
		}
		return []fields.Body{make(f.station("station"), "")}
	}
	if f.c.NArg() == 0 {
		f.wrong("station", "is missing", "name the station, or the paddock in which the thermometer stands")
		return nil
	}
	var out []fields.Body
	for _, id := range f.paddocks() {
		out = append(out, make("", id))
	}
	return out
}
