package rows

import (
	"bytes"
	"fmt"
	"strings"
)

// Pick follows the station column of a file. With one station in the file and none
// wanted, everything is taken. With several, the rows of the wanted one are; without a
// wanted one, or when it is not there, the file is refused with the names.
type Pick struct {
	want    string
	current []byte
	names   []string // distinct names seen, the first 8
	more    bool
	matched bool
}

// NewPick returns a Pick for the wanted name, "" for any.
func NewPick(want string) *Pick { return &Pick{want: strings.TrimSpace(want)} }

// Take says whether a row of the named station is to be kept, and whether what
// was kept before is to be forgotten, because it was of another station.
func (p *Pick) Take(name []byte) (keep, forget bool) {
	name = Trim(name)
	if p.current != nil && bytes.Equal(name, p.current) {
		return true, false
	}
	first := len(p.names) == 0
	p.see(name)
	if p.want != "" && !p.matched && strings.EqualFold(string(name), p.want) {
		p.matched = true
		p.current = bytes.Clone(name)
		return true, !first
	}
	if first {
		p.current = append([]byte{}, name...)
		return true, false
	}
	return false, false
}

func (p *Pick) see(name []byte) {
	for _, n := range p.names {
		if n == string(name) {
			return
		}
	}
	if len(p.names) < 8 {
		p.names = append(p.names, string(name))
	} else {
		p.more = true
	}
}

// Name returns the station that was kept.
func (p *Pick) Name() string { return string(p.current) }

// Problem returns what is wrong at the end of the file, "" for nothing: several
// stations and none of them picked, or one that is not the wanted one. quote cleans a
// name for printing; also are further names of the one station.
func (p *Pick) Problem(quote func(string) string, also ...string) string {
	if p.matched || len(p.names) < 2 && p.want == "" {
		return ""
	}
	if len(p.names) == 0 {
		return fmt.Sprintf("the file does not name its stations in a column called station, site, sensor, logger, location or device, so %s cannot be told from others", quote(p.want))
	}
	for _, a := range also {
		if len(p.names) == 1 && strings.EqualFold(strings.TrimSpace(a), p.want) {
			return ""
		}
	}
	list := make([]string, len(p.names))
	for i, n := range p.names {
		list[i] = quote(n)
	}
	and := ""
	if p.more {
		and = " and more"
	}
	if p.want != "" && len(p.names) == 1 {
		return fmt.Sprintf("the station in the file is called %s, not %s", list[0], quote(p.want))
	}
	if p.want != "" {
		return fmt.Sprintf("none of the stations in the file is called %s; it has %s%s", quote(p.want), strings.Join(list, ", "), and)
	}
	return fmt.Sprintf("the file holds several stations: %s%s", strings.Join(list, ", "), and)
}
