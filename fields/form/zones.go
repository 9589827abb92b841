package form

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

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
	if loc, err := fields.LoadZone(typed); err == nil { // an old name, or one of no country
		if slices.Contains(noPlaces, strings.ToUpper(typed)) || strings.HasPrefix(key, "etc/") {
			return "", noPlace(typed, loc)
		}
		return typed, nil
	}
	return "", noZone(typed, Zones(typed))
}

// noPlaces are the names of hours that the database keeps for old programs.
var noPlaces = strings.Fields("EST MST HST EST5EDT CST6CDT MST7MDT PST8PDT WET CET MET EET GMT GMT0 GMT+0 GMT-0 GREENWICH UCT UTC UNIVERSAL ZULU FACTORY")

// noPlace refuses a name that is of no place: most keep one hour all year ("EST"), and a farm
// whose clocks change would have its nights an hour off in summer.
func noPlace(typed string, loc *time.Location) error {
	_, offset := time.Date(2025, 1, 15, 12, 0, 0, 0, time.UTC).In(loc).Zone()
	p := fields.Problem{What: fmt.Sprintf("%q is an hour and no place: it does not say whether the clocks change there in summer", typed)}
	alike := make([]string, 0, 3)
	for _, name := range []string{ // of each hour one whose clocks change and one whose do not
		"America/St_Johns", "America/Halifax", "America/Puerto_Rico", "America/New_York", "America/Panama", "America/Chicago",
		"America/Regina", "America/Denver", "America/Phoenix", "America/Los_Angeles", "America/Anchorage", "Pacific/Honolulu",
		"Europe/London", "Atlantic/Reykjavik", "Europe/Berlin",
	} {
		if place, err := fields.LoadZone(name); err == nil {
			if _, o := time.Date(2025, 1, 15, 12, 0, 0, 0, time.UTC).In(place).Zone(); o == offset {
				alike = append(alike, name)
			}
		}
	}
	if len(alike) == 0 {
		alike = append(alike, "America/Regina")
	}
	p.Type = "name a place whose clocks the farm's keep to, such as " + strings.Join(alike, " or ")
	return p
}
