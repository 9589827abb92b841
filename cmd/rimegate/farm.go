package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
	"rimegate/fields/journal"
	"rimegate/hazard/board"
)

func farmCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "farm",
		Usage: "the farm: its name, time zone, units, whom to call",
		Description: strings.Trim(`
   rimegate farm                                  what is said of it
   rimegate farm set --name "Tallgrass Place" --zone America/Regina
   rimegate farm set --manager "Maren 555-0101" --vet "Dr Aune 555-0100"`, "\n"),
		Action: func(c *cli.Context) error {
			_, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			h := v.History
			if !h.ZoneSet {
				fmt.Fprintln(p.out, "The farm has no name and time zone yet: rimegate farm set --name NAME --zone ZONE")
				return nil
			}
			f := h.Farm
			rows := [][]string{{"Name", f.Name}, {"Time zone", f.Zone}, {"Units", orWord(f.Units, "metric")}}
			if f.Lat != nil && f.Lon != nil {
				rows = append(rows, []string{"Place", fmt.Sprintf("%v, %v", *f.Lat, *f.Lon)})
			}
			if f.ElevationM != nil {
				rows = append(rows, []string{"Elevation", fields.Elevation.Both(*f.ElevationM)})
			}
			watch := "all year: every night needs a reading"
			if w := f.FrostWatch; w != nil && !w.WholeYear() {
				watch = "from " + w.From.String() + " through " + w.To.String() + " (month-day): only these nights need a reading"
				if r := w.Record; r != nil {
					watch += fmt.Sprintf("; from the record of %s, %s from %d to %d", r.Station, counted(r.Seasons, "season", "seasons"), r.FromYear, r.ToYear)
				}
			}
			rows = append(rows, []string{"Frost watch", watch})
			rows = append(rows, []string{"Nitrate table", orWord(f.NitrateTable, "all of them, the strictest answer counts")})
			if k := f.Contacts; k != nil {
				for _, x := range [][]string{{"Manager", k.Manager}, {"Backup", k.Backup}, {"Vet", k.Vet}} {
					if x[1] != "" {
						rows = append(rows, x)
					}
				}
			} else {
				rows = append(rows, []string{"Whom to call", "nobody written down: rimegate farm set --manager ... --vet ..."})
			}
			rows = append(rows, []string{"Paddocks", fmt.Sprint(len(h.Standing()))}, []string{"Stations", fmt.Sprint(len(h.Stations))}, []string{"Herds", fmt.Sprint(len(h.Herds))})
			for _, r := range rows {
				p.para(fmt.Sprintf("%-14s", r[0]), strings.Repeat(" ", 14), r[1])
			}
			return nil
		},
		Subcommands: []*cli.Command{{
			Name:  "set",
			Usage: "start a journal, or change what it says of the farm",
			Description: strings.TrimSpace(`
The first time this starts the journal; name and zone are needed then.
Without a frost watch every night of the year needs a reading. A watch such
as 08-15..06-15 (month-day, may wrap the year) says that nobody need read
the thermometer outside it; lists print that as RELAXED. One that is taken
from a station's long record is not relaxed: ` + "`rimegate farm watch`" + `.

   rimegate farm set --name "Tallgrass Place" --zone America/Regina --units metric \
      --manager "Maren 555-0101" --vet "Dr Aune 555-0100"`),
			Flags: setUpFlags(
				text("name", "the farm's `NAME`"),
				text("lat", "latitude in degrees (`NUMBER`)"),
				text("lon", "longitude in degrees, west is negative (`NUMBER`)"),
				text("elevation", "`HEIGHT` above the sea with its unit: 610m, 2000ft"),
				text("units", "metric or us (`WORD`)"),
				text("frost-watch", "nights that need a reading: `MM-DD..MM-DD`, or all-year"),
				text("nitrate-table", "judge by this one published `TABLE` only"),
				text("share-days", "for how many `DAYS` a nitrate share is planned"),
				text("manager", "whom to call first: `NAME and number`"),
				text("backup", "whom to call next: `NAME and number`"),
				text("vet", "the veterinarian: `NAME and number`"),
			),
			Action: func(c *cli.Context) error { return p.farmSet(c) },
		}, farmWatchCommand(p)},
	}
}

func (p *program) farmSet(c *cli.Context) error {
	f, err := p.open(c)
	if err != nil {
		return err
	}
	v, err := f.View(question())
	fresh := errors.Is(err, journal.ErrMissing)
	if fresh {
		v, err = f.Blank(), nil
	}
	if err != nil {
		return err
	}
	form := newForm(c, v)
	form.stores = true
	was := v.History.Farm
	b := &fields.Farm{
		Name: was.Name, Zone: was.Zone,
		Lat: form.number("lat"), Lon: form.number("lon"), ElevationM: form.quantity("elevation", fields.Elevation),
		Units: form.one("units", "metric", "us"), NitrateTable: form.text("nitrate-table"), ShareDays: form.number("share-days"),
		FrostWatch: form.watch("frost-watch"),
	}
	if form.has("name") || was.Name == "" {
		b.Name = form.must("name", "type the farm's name, in quotes if it has spaces")
	}
	if zone, ok := given(c, "zone"); ok {
		b.Zone = zone
	} else if was.Zone == "" {
		form.wrong("zone", "is missing", "type an IANA name such as America/Regina")
	}
	k := fields.Contacts{Manager: form.text("manager"), Backup: form.text("backup"), Vet: form.text("vet")}
	if k != (fields.Contacts{}) {
		b.Contacts = &k
	}
	if err := form.err(); err != nil {
		return err
	}
	if fresh {
		if c.Bool("dry-run") {
			return refusef("there is no journal yet to try this on; without --dry-run this starts one")
		}
		if err := f.Store().Create(); err != nil {
			return err
		}
		fmt.Fprintln(p.out, "A new journal is started: "+board.Clean(f.Store().Path))
	}
	if err := p.store(c, f, form, b); err != nil {
		return err
	}
	if fresh {
		p.para("", "", "Next, a thermometer and the paddocks:")
		fmt.Fprint(p.out, "   rimegate station add --name \"Yard thermometer\" yard\n   rimegate paddock add --name \"North Slough\" --station yard north-slough\n")
	}
	if b.FrostWatch == nil && was.FrostWatch == nil {
		p.para("", "", "Frost watch: all year, so every night needs a reading. If nobody need read the thermometer in high summer, take a watch from a station's long record: rimegate farm watch --record FILE")
	}
	return nil
}

// watch reads MM-DD..MM-DD or all-year.
func (f *form) watch(flag string) *fields.Watch {
	s := f.text(flag)
	if s == "" {
		return nil
	}
	if s == "all-year" {
		return &fields.Watch{From: fields.MonthDay{Month: 1, Day: 1}, To: fields.MonthDay{Month: 12, Day: 31}}
	}
	from, to, ok := strings.Cut(s, "..")
	a, err1 := fields.ParseMonthDay(strings.TrimSpace(from))
	b, err2 := fields.ParseMonthDay(strings.TrimSpace(to))
	if !ok || err1 != nil || err2 != nil {
		f.wrong(flag, quoted(s)+" is not two days of the year", "type month and day of the first and last night, like 08-15..06-15, or all-year")
		return nil
	}
	return &fields.Watch{From: a, To: b}
}
