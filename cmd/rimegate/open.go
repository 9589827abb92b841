package main

import (
	"os"
	"os/user"
	"path/filepath"
	"strings"
	"time"

	"github.com/adrg/xdg"
	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
)

// open returns the farm that the command line, the environment or the usual
// place names. The journal is not touched yet.
func (p *program) open(c *cli.Context) (*farm.Farm, error) {
	path, ok := given(c, "journal")
	if !ok {
		path = os.Getenv("RIMEGATE_JOURNAL")
	}
	if ok && path == "" {
		return nil, usagef("--journal needs a file name")
	}
	if path == "" {
		path = filepath.Join(xdg.DataHome, "rimegate", "farm.journal")
	}
	if st, err := os.Stat(path); err == nil && st.IsDir() {
		return nil, usagef("%s is a folder; name the journal's file", path)
	}
	f := farm.Open(path)
	f.Clock = p.clock
	by, ok := given(c, "by")
	if !ok {
		by = os.Getenv("RIMEGATE_BY")
	}
	if !ok && by == "" {
		by = login()
	}
	f.By = strings.TrimSpace(by)
	if host, err := os.Hostname(); err == nil {
		f.Store().Seat = host // each computer has a chain of its own
	}
	zone, err := p.zone(c)
	if err != nil {
		return nil, err
	}
	f.Zone = zone
	if no, _ := given(c, "no-color"); no == "true" {
		p.colour = false
	}
	return f, nil
}

func (p *program) zone(c *cli.Context) (*time.Location, error) {
	name, ok := given(c, "zone")
	if !ok {
		return nil, nil
	}
	loc, err := fields.LoadZone(name)
	if err != nil {
		return nil, usagef("--zone: %v", err)
	}
	return loc, nil
}

// login is the name of whoever is logged in at this computer, "" if unknown.
func login() string {
	if u, err := user.Current(); err == nil {
		if u.Name != "" {
			return u.Name
		}
		return u.Username
	}
	return os.Getenv("USER")
}

// view opens the farm and reads its journal for a question.
func (p *program) view(c *cli.Context, q farm.Question) (*farm.Farm, *farm.View, error) {
	f, err := p.open(c)
	if err != nil {
		return nil, nil, err
	}
	v, err := f.View(q)
	if err != nil {
		return nil, nil, err
	}
	if f.Zone != nil && v.History.ZoneSet && f.Zone.String() != v.Loc.String() {
		return nil, nil, usagef("--zone %s is not the farm's zone, %s; leave it away", f.Zone, v.Loc)
	}
	for _, n := range v.Notes {
		p.note(n)
	}
	return f, v, nil
}
