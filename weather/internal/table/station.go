package table

import (
	"fmt"
	"strings"

	"rimegate/weather"
)

// pick follows the station column of a file. With one station in the file and none
// wanted, everything is taken. With several, the rows of the wanted one are; without a
// wanted one, or when it is not there, the file is refused with the names.
type pick struct {
	want, current string
	names         []string // distinct names seen, the first 8
	more, matched bool
}

// take says whether a row of the named station is to be kept, and whether what
// was kept before is to be forgotten, because it was of another station.
func (p *pick) take(name string) (keep, forget bool) {
	first := len(p.names) == 0
	if !first && name == p.current {
		return true, false
	}
	p.see(name)
	if p.want != "" && !p.matched && strings.EqualFold(name, p.want) {
		p.matched, p.current = true, strings.Clone(name)
		return true, !first
	}
	if first {
		p.current = strings.Clone(name)
	}
	return first, false
}

func (p *pick) see(name string) {
	for _, n := range p.names {
		if n == name {
			return
		}
	}
	if p.more = p.more || len(p.names) == 8; !p.more {
		p.names = append(p.names, strings.Clone(name))
	}
}

// problem returns what is wrong at the end of the file and what to do, "" for nothing:
// several stations and none of them picked, or one that is not the wanted one. also
// is a further name of the one station.
func (p *pick) problem(also string) (what, do string) {
	one := len(p.names) == 1
	if p.matched || len(p.names) < 2 && p.want == "" || one && strings.EqualFold(trim(also), p.want) {
		return "", ""
	}
	want, list := weather.Quote(p.want), make([]string, len(p.names))
	for i, n := range p.names {
		list[i] = weather.Quote(n)
	}
	names := strings.Join(list, ", ")
	if p.more {
		names += " and more"
	}
	const which = "say which one to read"
	switch {
	case len(p.names) == 0:
		return "the file does not name its stations in a column called station, site, sensor, logger, location or device, so " + want + " cannot be told from others",
			"leave out the station's name, or name the column station"
	case p.want != "" && one:
		return fmt.Sprintf("the station in the file is called %s, not %s", names, want), which
	case p.want != "":
		return fmt.Sprintf("none of the stations in the file is called %s; it has %s", want, names), which
	}
	return "the file holds several stations: " + names, which
}

// Take says whether a row of the named station is kept. If what was kept before was
// of another station than the one wanted, all of it is forgotten, also by forget.
func (f *File) Take(station string, forget func()) bool {
	keep, again := f.pick.take(trim(station))
	if again {
		forget()
		res := f.Res
		res.Skipped += res.Kept + res.Rejected + res.Missing
		res.Kept, res.Rejected, res.Missing, res.Rejects = 0, 0, 0, nil
		f.failed, f.Name = 0, ""
		f.Sink.Reset()
	}
	if !keep {
		f.Res.Skipped++
	}
	return keep
}

// Station returns the name of the station that was kept.
func (f *File) Station() string { return f.pick.current }
