package form

import (
	_ "embed"
	"fmt"
	"strings"
	"sync"

	"rimegate/fields"
)

// mostZones is how many names are proposed for one that is none.
const mostZones = 8

func noZone(typed string, like []Zone) error {
	p := fields.Problem{What: fmt.Sprintf("%q is not a time zone", typed), Type: "use an IANA name such as America/Regina"}
	if n := len(like); n > 0 && n <= mostZones {
		var names []string
		for _, z := range like {
			names = append(names, z.Name)
		}
		p.Type = "did you mean " + strings.Join(names, " or ") + "?"
	}
	return p
}

// zoneTable is the table of zones that the IANA time zone database ships for people
// who choose one (release 2025b, in the public domain).
//
//go:embed zone.tab
var zoneTable string

// Zone is one zone of the table: the country it lies in as two letters of ISO 3166,
// its name, and what part of the country it is for where there are several.
type Zone struct{ Country, Name, For string }

// allZones are those of the table, in its order: by country.
var allZones = sync.OnceValue(func() []Zone {
	var out []Zone
	for row := range strings.Lines(zoneTable) {
		cells := append(strings.Split(strings.TrimSpace(row), "\t"), "")
		if len(cells) > 3 && !strings.HasPrefix(row, "#") {
			out = append(out, Zone{cells[0], cells[2], cells[3]})
		}
	}
	return out
})

// ZoneOf is the row of a zone by its name, without one where the table has none.
func ZoneOf(name string) (z Zone) {
	for _, z := range allZones() {
		if z.Name == name {
			return z
		}
	}
	return z
}

// Zones are the zones that a part of a name, of a region or a country's two letters
// can mean, whatever its capitals.
func Zones(part string) (out []Zone) {
	key := zoneKey(part)
	for _, z := range allZones() {
		if key != "" && (zoneKey(z.Country) == key || strings.Contains(zoneKey(z.Name), key) ||
			len(key) > 2 && strings.Contains(zoneKey(z.For), key)) {
			out = append(out, z)
		}
	}
	return out
}

func zoneKey(s string) string {
	return strings.ReplaceAll(strings.ToLower(strings.TrimSpace(s)), " ", "_")
}

// ParseZone is the name of the zone that is typed, in any capitals and with blanks for
// underscores. A name that is none is refused with those that it can mean.
func ParseZone(typed string) (string, error) {
	typed = strings.TrimSpace(typed)
	key := zoneKey(typed)
	for _, z := range allZones() {
		if zoneKey(z.Name) == key {
			return z.Name, nil
		}
	}
	if _, err := fields.LoadZone(typed); err == nil { // an old name, or one of no country
		return typed, nil
	}
	return "", noZone(typed, Zones(typed))
}
