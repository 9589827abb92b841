package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
	"rimegate/fields/form"
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
			Flags:  entryFlags(form.Of(fields.KindFarm)),
			Action: p.farmSet,
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
	k := form.Of(fields.KindFarm)
	words := whatWasSaid(c, k)
	if zone, ok := given(c, "zone"); ok {
		words["zone"] = []string{zone}
	}
	made, problems := entries(c, v, k, words, &v.History.Farm)
	if err := problems.Err(); err != nil {
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
	if err := p.store(c, f, made); err != nil {
		return err
	}
	if fresh {
		p.para("", "", "Next, a thermometer and the paddocks:")
		fmt.Fprint(p.out, "   rimegate station add --name \"Yard thermometer\" yard\n   rimegate paddock add --name \"North Slough\" --station yard north-slough\n")
	}
	if words["frost_watch"] == nil && v.History.Farm.FrostWatch == nil {
		p.para("", "", "Frost watch: all year, so every night needs a reading. If nobody need read the thermometer in high summer, take a watch from a station's long record: rimegate farm watch --record FILE")
	}
	return nil
}
