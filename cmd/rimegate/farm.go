package main

import (
	"cmp"
	"errors"
	"fmt"
	"path/filepath"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/fields/journal"
	"rimegate/hazard/board"
)

// runFarm says what is known of the farm.
func runFarm(r *request) error {
	h := r.view.History
	if !h.ZoneSet {
		fmt.Fprintln(r.out, "The farm has no name and time zone yet: rimegate farm set --name NAME --zone ZONE")
		return nil
	}
	f := h.Farm
	rows := [][2]string{{"Name", f.Name}, {"Time zone", f.Zone}, {"Units", cmp.Or(f.Units, "metric")}}
	if f.Lat != nil && f.Lon != nil {
		rows = append(rows, [2]string{"Place", fmt.Sprintf("%v, %v", *f.Lat, *f.Lon)})
	}
	if f.ElevationM != nil {
		rows = append(rows, [2]string{"Elevation", fields.Elevation.Both(*f.ElevationM)})
	}
	watch := "all year: every night needs a reading"
	if w := f.FrostWatch; w != nil && !w.WholeYear() {
		watch = "from " + w.From.String() + " through " + w.To.String() + " (month-day): only these nights need a reading"
		if x := w.Record; x != nil {
			watch += fmt.Sprintf("; from the record of %s, %s from %d to %d", x.Station, counted(x.Seasons, "season", "seasons"), x.FromYear, x.ToYear)
		}
	}
	rows = append(rows, [2]string{"Frost watch", watch})
	rows = append(rows, [2]string{"Nitrate table", cmp.Or(f.NitrateTable, "all of them, the strictest answer counts")})
	if k := f.Contacts; k != nil {
		for _, x := range [][2]string{{"Manager", k.Manager}, {"Backup", k.Backup}, {"Vet", k.Vet}} {
			if x[1] != "" {
				rows = append(rows, x)
			}
		}
	} else {
		rows = append(rows, [2]string{"Whom to call", "nobody on file: rimegate farm set --manager ... --vet ..."})
	}
	path, err := filepath.Abs(r.farm.Store().Path)
	if err != nil {
		return err
	}
	rows = append(rows, [2]string{"Journal", board.Clean(path)})
	rows = append(rows, [2]string{"Paddocks", fmt.Sprint(len(h.Standing()))}, [2]string{"Stations", fmt.Sprint(len(h.Stations))}, [2]string{"Herds", fmt.Sprint(len(h.Herds))})
	r.items(14, rows)
	return nil
}

// runFarmSet starts a journal, or changes what it says of the farm.
func runFarmSet(r *request) error {
	err := r.open()
	if err != nil {
		return err
	}
	r.view, err = r.farm.View(farm.Question{})
	fresh := errors.Is(err, journal.ErrMissing)
	if fresh {
		r.view, err = r.farm.Blank(), nil
	}
	if err != nil {
		return err
	}
	k := form.Of(fields.KindFarm)
	said := whatWasSaid(r.c, k)
	if zone, ok := given(r.c, "zone"); ok {
		said["zone"] = []string{zone}
	}
	made, err := r.entries(k, said, &r.view.History.Farm)
	if err != nil {
		return err
	}
	if fresh {
		if r.c.Bool("dry-run") {
			return refusef("there is no journal yet to try this on; without --dry-run this starts one")
		}
		if err := r.create(); err != nil {
			return err
		}
	}
	if err := r.store(made); err != nil {
		return err
	}
	if fresh {
		r.para("", "", "Next, a thermometer and the paddocks:")
		fmt.Fprint(r.out, "   rimegate station add --name \"Yard thermometer\" yard\n   rimegate paddock add --name \"North Slough\" --station yard north-slough\n")
	}
	if said["frost_watch"] == nil && r.view.History.Farm.FrostWatch == nil {
		r.para("", "", "Frost watch: all year, so every night needs a reading. If nobody need read the thermometer in high summer, take a watch from a station's long record: rimegate farm watch --record FILE")
	}
	return nil
}
