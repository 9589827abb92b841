package main

import (
	"cmp"
	"os"
	"os/user"
	"path/filepath"
	"strings"

	"github.com/adrg/xdg"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/form"
)

// open names the farm by the command line, the environment or the usual place. The
// journal is not touched yet.
func (r *request) open() error {
	path, ok := given(r.c, "journal")
	if ok && path == "" {
		return usagef("--journal needs a file name")
	}
	path = journalAt(path)
	if isFolder(path) {
		return usagef("%s is a folder; name the journal's file", path)
	}
	f := farm.Open(path)
	f.Clock = r.clock
	by, ok := given(r.c, "by")
	if !ok {
		by = os.Getenv("RIMEGATE_BY")
	}
	if !ok && by == "" {
		by = login()
	}
	f.By = strings.TrimSpace(by)
	f.Store().Cache = filepath.Join(xdg.CacheHome, "rimegate", "lists")
	if host, err := os.Hostname(); err == nil {
		f.Store().Seat = host // each computer has a chain of its own
	}
	if zone, ok := given(r.c, "zone"); ok {
		name, err := form.ParseZone(zone)
		if err != nil {
			return usagef("--zone: %v", err)
		}
		loc, err := fields.LoadZone(name)
		if err != nil {
			return usagef("--zone: %v", err)
		}
		f.Zone = loc
	}
	if no, _ := given(r.c, "no-color"); no == "true" {
		r.colour = false
	}
	r.farm = f
	return nil
}

// journalAt is where the journal lies: where the line says, or else the environment,
// or else in the usual place.
func journalAt(named string) string {
	return cmp.Or(named, os.Getenv("RIMEGATE_JOURNAL"), filepath.Join(xdg.DataHome, "rimegate", "farm.journal"))
}

// login is the name of whoever is logged in at this computer, "" if unknown.
func login() string {
	if u, err := user.Current(); err == nil {
		return cmp.Or(u.Name, u.Username)
	}
	return os.Getenv("USER")
}

// load opens the farm and reads its journal for today, with everything known now.
func (r *request) load() error {
	if err := r.open(); err != nil {
		return err
	}
	if r.c.Bool("stream") {
		collectAt.Store(streamCollectAt)
	}
	read := func() (*farm.View, error) { return r.farm.View(farm.Question{}) }
	if r.lately {
		read = r.farm.Lately
	}
	v, err := read()
	if err != nil {
		return err
	}
	if z := r.farm.Zone; z != nil && v.History.ZoneSet && z.String() != v.Loc.String() {
		return usagef("--zone %s is not the farm's zone, %s; leave it out", z, v.Loc)
	}
	for _, n := range v.Notes {
		r.note(n)
	}
	r.view = v
	return nil
}
